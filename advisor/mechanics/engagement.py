"""Slip while a clutch closes: two inertias, the start of a vehicle, gear shifts; time, heat and common speed."""

from typing import NamedTuple

import numpy as np

from .argument_checks import (
    Array,
    MechanicsError,
    Numbers,
    finite,
    not_negative,
    positive,
    refuse_where,
    result,
    within,
)


def slip_time(
    *, clutch_torque: Numbers, driving_inertia: Numbers, driven_inertia: Numbers, speed_difference: Numbers
) -> Numbers:
    """Time two free inertias need to reach one speed under a constant clutch torque.

    Formula
    -------
    reduced = driving_inertia * driven_inertia / (driving_inertia + driven_inertia)
    slip_time = reduced * speed_difference / clutch_torque

    Parameters
    ----------
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    driving_inertia : float or array
        Inertia on the driving side, [kg m2]
    driven_inertia : float or array
        Inertia on the driven side, both at clutch speed, [kg m2]
    speed_difference : float or array
        Driving less driven speed when the clutch bites, [rad/s]

    Returns
    -------
    slip_time : float or array
        Time until slip ends, [s]

    Validity
    --------
    Constant clutch torque, no other torque on either shaft; torque and inertias above zero,
    speed difference zero or above.

    Examples
    --------
    The clutch of [1]_, 10 kW at 2000 rpm:

    >>> from math import pi
    >>> t = slip_time(clutch_torque=47.746, driving_inertia=0.1125, driven_inertia=0.546875,
    ...               speed_difference=2000 * pi / 30)
    >>> round(t, 4)
    0.4093

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.14.
    """
    torque, first, second = positive(
        clutch_torque=clutch_torque, driving_inertia=driving_inertia, driven_inertia=driven_inertia
    )
    (difference,) = not_negative(speed_difference=speed_difference)
    return result(first * second * difference / ((first + second) * torque))


def slip_energy(
    *, clutch_torque: Numbers, driving_inertia: Numbers, driven_inertia: Numbers, speed_difference: Numbers
) -> Numbers:
    """Heat of one engagement of two free inertias.

    The clutch torque does not enter: more clamp load shortens the slip, the heat stays.

    Formula
    -------
    reduced = driving_inertia * driven_inertia / (driving_inertia + driven_inertia)
    slip_time = reduced * speed_difference / clutch_torque
    slip_energy = clutch_torque * speed_difference / 2 * slip_time

    Parameters
    ----------
    clutch_torque : float or array
        Torque the slipping clutch carries; any value above zero gives the same heat, [N m]
    driving_inertia : float or array
        Inertia on the driving side, [kg m2]
    driven_inertia : float or array
        Inertia on the driven side, both at clutch speed, [kg m2]
    speed_difference : float or array
        Driving less driven speed when the clutch bites, [rad/s]

    Returns
    -------
    slip_energy : float or array
        Heat made by the slip, [J]

    Validity
    --------
    No other torque on either shaft; holds for any course of the clutch torque that ends the slip.

    Examples
    --------
    >>> from math import pi
    >>> e = slip_energy(clutch_torque=47.746, driving_inertia=0.1125, driven_inertia=0.546875,
    ...                 speed_difference=2000 * pi / 30)
    >>> round(e, 1)
    2046.4

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.14.
    """
    torque, first, second = positive(
        clutch_torque=clutch_torque, driving_inertia=driving_inertia, driven_inertia=driven_inertia
    )
    (difference,) = not_negative(speed_difference=speed_difference)
    # The torque only lends its shape, so that every result of one engagement broadcasts alike.
    return result(first * second * difference**2 / (2 * (first + second)) + 0 * torque)


def common_speed(
    *, driving_inertia: Numbers, driven_inertia: Numbers, driving_speed: Numbers, driven_speed: Numbers
) -> Numbers:
    """Speed of two free inertias once the slip between them has ended.

    Formula
    -------
    momentum = driving_inertia * driving_speed + driven_inertia * driven_speed
    common_speed = momentum / (driving_inertia + driven_inertia)

    Parameters
    ----------
    driving_inertia : float or array
        Inertia on the driving side, [kg m2]
    driven_inertia : float or array
        Inertia on the driven side, [kg m2]
    driving_speed : float or array
        Speed of the driving side before, [rad/s]
    driven_speed : float or array
        Speed of the driven side before, [rad/s]

    Returns
    -------
    common_speed : float or array
        Speed of both afterwards, [rad/s]

    Validity
    --------
    No other torque on either shaft; inertias above zero; speeds of either sign.

    Examples
    --------
    >>> common_speed(driving_inertia=0.04, driven_inertia=0.02, driving_speed=50, driven_speed=200)
    100.0

    References
    ----------
    .. [1] H. D. Young, R. A. Freedman, University Physics, ch. 10, flywheel and clutch plate (from memory).
    """
    first, second = positive(driving_inertia=driving_inertia, driven_inertia=driven_inertia)
    driving, driven = finite(driving_speed=driving_speed, driven_speed=driven_speed)
    return result((first * driving + second * driven) / (first + second))


def segment_slip_work(
    *,
    duration: Numbers,
    torque_start: Numbers,
    torque_end: Numbers,
    driving_speed_start: Numbers,
    driving_speed_end: Numbers,
    driven_speed_start: Numbers,
    driven_speed_end: Numbers,
) -> Numbers:
    """Slip work of one stretch of a recorded engagement, by the means of its ends.

    Formula
    -------
    mean_torque = (torque_start + torque_end) / 2
    mean_slip = (driving_speed_start + driving_speed_end - driven_speed_start - driven_speed_end) / 2
    slip_work = mean_torque * mean_slip * duration

    Parameters
    ----------
    duration : float or array
        Length of the stretch, [s]
    torque_start : float or array
        Clutch torque at its start, [N m]
    torque_end : float or array
        Clutch torque at its end, [N m]
    driving_speed_start : float or array
        Speed of the driving side at its start, [rad/s]
    driving_speed_end : float or array
        Speed of the driving side at its end, [rad/s]
    driven_speed_start : float or array
        Speed of the driven side at its start, [rad/s]
    driven_speed_end : float or array
        Speed of the driven side at its end, [rad/s]

    Returns
    -------
    slip_work : float or array
        Work turned into heat in the stretch, [J]

    Validity
    --------
    Short stretches: the product of two means is exact only where torque or slip is constant.

    Examples
    --------
    First stretch of [1]_:

    >>> w = segment_slip_work(duration=0.12, torque_start=0, torque_end=83, driving_speed_start=0,
    ...                       driving_speed_end=132.2, driven_speed_start=0, driven_speed_end=0)
    >>> round(w, 1)
    329.2

    References
    ----------
    .. [1] V. M. Melisarov, Avtomobil. Analiz konstruktsii, elementy rascheta, 2007, section 3, p. 30.
    """
    (time,) = not_negative(duration=duration)
    first, last, w1, w2, v1, v2 = finite(
        torque_start=torque_start,
        torque_end=torque_end,
        driving_speed_start=driving_speed_start,
        driving_speed_end=driving_speed_end,
        driven_speed_start=driven_speed_start,
        driven_speed_end=driven_speed_end,
    )
    return result((first + last) / 2 * (w1 + w2 - v1 - v2) / 2 * time)


def _time_with_torques(
    clutch_torque: Numbers,
    driving_inertia: Numbers,
    driven_inertia: Numbers,
    speed_difference: Numbers,
    driving_torque: Numbers,
    load_torque: Numbers,
) -> tuple[Array, ...]:
    torque, first, second = positive(
        clutch_torque=clutch_torque, driving_inertia=driving_inertia, driven_inertia=driven_inertia
    )
    (difference,) = not_negative(speed_difference=speed_difference)
    driving, load = finite(driving_torque=driving_torque, load_torque=load_torque)
    closing = (torque - driving) / first + (torque - load) / second
    refuse_where(
        closing <= 0, "clutch_torque", "is too small: driving and load torque keep the clutch slipping for ever", torque
    )
    return torque, first, difference, driving, difference / closing


def slip_time_with_torques(
    *,
    clutch_torque: Numbers,
    driving_inertia: Numbers,
    driven_inertia: Numbers,
    speed_difference: Numbers,
    driving_torque: Numbers = 0.0,
    load_torque: Numbers = 0.0,
) -> Numbers:
    """Slip time of two inertias with constant outside torques on their shafts.

    Formula
    -------
    closing = (clutch_torque - driving_torque) / driving_inertia + (clutch_torque - load_torque) / driven_inertia
    slip_time = speed_difference / closing

    Parameters
    ----------
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    driving_inertia : float or array
        Inertia on the driving side, [kg m2]
    driven_inertia : float or array
        Inertia on the driven side, [kg m2]
    speed_difference : float or array
        Driving less driven speed when the clutch bites, [rad/s]
    driving_torque : float or array
        Outside torque that speeds the driving side up; negative where it holds back, [N m]
    load_torque : float or array
        Outside torque that holds the driven side back, [N m]

    Returns
    -------
    slip_time : float or array
        Time until slip ends, [s]

    Validity
    --------
    Constant torques, and a clutch torque that does end the slip.

    Raises
    ------
    MechanicsError
        Names clutch_torque where the slip would never end.

    Examples
    --------
    Rotors of [1]_ with 60 N m driving the first shaft:

    >>> from math import pi
    >>> t = slip_time_with_torques(clutch_torque=37.905, driving_inertia=32, driven_inertia=42.12,
    ...                            speed_difference=1250 * pi / 30, driving_torque=60)
    >>> round(t)
    625

    References
    ----------
    .. [1] R. S. Khurmi, J. K. Gupta, Theory of Machines, ch. 10, two rotors (number not verified).
    """
    return result(
        _time_with_torques(
            clutch_torque, driving_inertia, driven_inertia, speed_difference, driving_torque, load_torque
        )[-1]
    )


def vehicle_inertia(*, mass: Numbers, tyre_radius: Numbers, total_ratio: Numbers) -> Numbers:
    """Mass of the vehicle as an inertia turning at clutch speed.

    Formula
    -------
    inertia = mass * (tyre_radius / total_ratio)**2

    Parameters
    ----------
    mass : float or array
        Mass to be moved, trailer included, [kg]
    tyre_radius : float or array
        Rolling radius of the driven tyres, [m]
    total_ratio : float or array
        Gear ratio times final drive, [-]

    Returns
    -------
    inertia : float or array
        Inertia at the clutch, [kg m2]

    Validity
    --------
    No tyre slip; turning parts other than the vehicle's mass left out.

    Examples
    --------
    >>> round(vehicle_inertia(mass=1500, tyre_radius=0.31, total_ratio=14), 4)
    0.7355

    References
    ----------
    .. [1] Kinetic energy of the vehicle at clutch speed; no source needed.
    """
    m, radius, ratio = positive(mass=mass, tyre_radius=tyre_radius, total_ratio=total_ratio)
    return result(m * (radius / ratio) ** 2)


def load_torque(
    *,
    mass: Numbers,
    tyre_radius: Numbers,
    total_ratio: Numbers,
    efficiency: Numbers,
    grade: Numbers,
    rolling_resistance: Numbers,
    gravity: Numbers = 9.80665,
) -> Numbers:
    """Torque at the clutch that hill and rolling resistance ask for.

    Formula
    -------
    slope = arctan(grade)
    torque = mass * gravity * (sin(slope) + rolling_resistance * cos(slope)) * tyre_radius / (total_ratio * efficiency)

    Parameters
    ----------
    mass : float or array
        Mass to be moved, trailer included, [kg]
    tyre_radius : float or array
        Rolling radius of the driven tyres, [m]
    total_ratio : float or array
        Gear ratio times final drive, [-]
    efficiency : float or array
        Efficiency from clutch to wheels, [-]
    grade : float or array
        Rise over run of the road, 0.12 for a hill of 12 %; not negative, [-]
    rolling_resistance : float or array
        Rolling resistance over weight, [-]
    gravity : float or array
        Acceleration of free fall, [m/s2]

    Returns
    -------
    torque : float or array
        Load torque at the clutch, [N m]

    Validity
    --------
    Grade from 0 to 1; rolling resistance from 0 to 1; efficiency above 0, at most 1; no air drag (standing start).

    Examples
    --------
    >>> round(load_torque(mass=1500, tyre_radius=0.31, total_ratio=14, efficiency=0.92, grade=0.12,
    ...                   rolling_resistance=0.013), 1)
    46.8

    References
    ----------
    .. [1] Statics of a wheeled vehicle on a slope; gravity is the standard value of ISO 80000-3.
    """
    m, radius, ratio, eta, g = positive(
        mass=mass, tyre_radius=tyre_radius, total_ratio=total_ratio, efficiency=efficiency, gravity=gravity
    )
    within(0, 1, efficiency=efficiency)
    slope, rolling = within(0, 1, grade=grade, rolling_resistance=rolling_resistance)
    return result(m * g * (slope + rolling) / np.sqrt(1 + slope**2) * radius / (ratio * eta))


def move_off_torque(
    *,
    mass: Numbers,
    tyre_radius: Numbers,
    total_ratio: Numbers,
    efficiency: Numbers,
    grade: Numbers,
    rolling_resistance: Numbers,
    acceleration: Numbers,
    gravity: Numbers = 9.80665,
) -> Numbers:
    """Torque at the clutch that moves a car off gently: the bite a driver's foot looks for.

    Formula
    -------
    slope = arctan(grade)
    resistance = mass * gravity * (sin(slope) + rolling_resistance * cos(slope)) / efficiency
    torque = (resistance + mass * acceleration) * tyre_radius / total_ratio

    Parameters
    ----------
    mass : float or array
        Mass to be moved, [kg]
    tyre_radius : float or array
        Rolling radius of the driven tyres, [m]
    total_ratio : float or array
        Gear ratio times final drive, [-]
    efficiency : float or array
        Efficiency from clutch to wheels, [-]
    grade : float or array
        Rise over run of the road, [-]
    rolling_resistance : float or array
        Rolling resistance over weight, [-]
    acceleration : float or array
        Acceleration that counts as moving off, a gentle 0.5 m/s2, [m/s2]
    gravity : float or array
        Acceleration of free fall, [m/s2]

    Returns
    -------
    torque : float or array
        Torque at the clutch, [N m]

    Validity
    --------
    That of `load_torque`; acceleration zero or above.

    Examples
    --------
    >>> round(move_off_torque(mass=1400, tyre_radius=0.31, total_ratio=13, efficiency=0.92, grade=0,
    ...                       rolling_resistance=0.013, acceleration=0.5))
    21

    References
    ----------
    .. [1] Load torque and the second law; that a foot calls this the bite is judgement.
    """
    (gain,) = not_negative(acceleration=acceleration)
    m, radius, ratio = positive(mass=mass, tyre_radius=tyre_radius, total_ratio=total_ratio)
    load = load_torque(
        mass=m,
        tyre_radius=radius,
        total_ratio=ratio,
        efficiency=efficiency,
        grade=grade,
        rolling_resistance=rolling_resistance,
        gravity=gravity,
    )
    return result(load + m * gain * radius / ratio)


def _held(
    clutch_torque: Numbers, vehicle_inertia: Numbers, engine_speed: Numbers, load_torque: Numbers
) -> tuple[Array, ...]:
    torque, inertia, speed = positive(
        clutch_torque=clutch_torque, vehicle_inertia=vehicle_inertia, engine_speed=engine_speed
    )
    (load,) = not_negative(load_torque=load_torque)
    refuse_where(torque <= load, "clutch_torque", "must be above load_torque, or the vehicle never pulls away", torque)
    return torque, speed, inertia * speed / (torque - load)


def launch_time_held(
    *, clutch_torque: Numbers, vehicle_inertia: Numbers, engine_speed: Numbers, load_torque: Numbers = 0.0
) -> Numbers:
    """Slip time of a start from rest with the engine held at one speed.

    Formula
    -------
    slip_time = vehicle_inertia * engine_speed / (clutch_torque - load_torque)

    Parameters
    ----------
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    vehicle_inertia : float or array
        Vehicle as an inertia at clutch speed, see `vehicle_inertia`, [kg m2]
    engine_speed : float or array
        Speed the engine is held at, [rad/s]
    load_torque : float or array
        Torque at the clutch for hill and rolling, see `load_torque`, [N m]

    Returns
    -------
    slip_time : float or array
        Time until slip ends, [s]

    Validity
    --------
    Constant torques; clutch_torque above load_torque, or the vehicle never pulls away.

    Examples
    --------
    >>> from math import pi
    >>> round(launch_time_held(clutch_torque=120, vehicle_inertia=0.7355, engine_speed=2000 * pi / 30,
    ...                        load_torque=46.8), 2)
    2.1

    References
    ----------
    .. [1] R. C. Juvinall, K. M. Marshek, Fundamentals of Machine Component Design, ch. 18, clutch with the driver at
       constant speed.
    """
    return result(_held(clutch_torque, vehicle_inertia, engine_speed, load_torque)[-1])


def launch_energy_held(
    *, clutch_torque: Numbers, vehicle_inertia: Numbers, engine_speed: Numbers, load_torque: Numbers = 0.0
) -> Numbers:
    """Heat of a start from rest with the engine held at one speed: the careful choice.

    Formula
    -------
    slip_energy = vehicle_inertia * engine_speed**2 / 2 * clutch_torque / (clutch_torque - load_torque)

    Parameters
    ----------
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    vehicle_inertia : float or array
        Vehicle as an inertia at clutch speed, see `vehicle_inertia`, [kg m2]
    engine_speed : float or array
        Speed the engine is held at, [rad/s]
    load_torque : float or array
        Torque at the clutch for hill and rolling, see `load_torque`, [N m]

    Returns
    -------
    slip_energy : float or array
        Heat of the start, [J]

    Validity
    --------
    Constant torques; clutch_torque above load_torque, or the vehicle never pulls away.

    Examples
    --------
    >>> from math import pi
    >>> round(launch_energy_held(clutch_torque=120, vehicle_inertia=0.7355, engine_speed=2000 * pi / 30,
    ...                          load_torque=46.8) / 1000, 1)
    26.4

    References
    ----------
    .. [1] Without load this is the single-start slip work of Wang Wangyu, Automobile Design (from memory).
    """
    torque, speed, time = _held(clutch_torque, vehicle_inertia, engine_speed, load_torque)
    return result(torque * speed / 2 * time)


class Launch(NamedTuple):
    """What one start does: slip time [s], heat [J] and common speed at its end [rad/s]."""

    time: Numbers
    energy: Numbers
    speed: Numbers


def launch(
    *,
    engine: str,
    clutch_torque: Numbers,
    vehicle_inertia: Numbers,
    engine_speed: Numbers,
    engine_inertia: Numbers | None = None,
    engine_torque: Numbers = 0.0,
    load_torque: Numbers = 0.0,
) -> Launch:
    """One start from rest as a named tuple: slip time, heat and speed at its end.

    Formula
    -------
    held: launch = launch_time_held, launch_energy_held, engine_speed
    free: launch = launch_time_free, launch_energy_free, launch_speed_free
    each of clutch_torque, vehicle_inertia, engine_speed, load_torque; free of engine_inertia and engine_torque too
    (engine says which)

    Parameters
    ----------
    engine : str
        "held" at engine_speed during the slip, or "free" to slow down, [-]
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    vehicle_inertia : float or array
        Vehicle as an inertia at clutch speed, see `vehicle_inertia`, [kg m2]
    engine_speed : float or array
        Engine speed when the clutch bites, [rad/s]
    engine_inertia : float or array
        Engine, flywheel and cover; needed for a free engine only, [kg m2]
    engine_torque : float or array
        Torque of a free engine while the clutch slips, [N m]
    load_torque : float or array
        Torque at the clutch for hill and rolling, see `load_torque`, [N m]

    Returns
    -------
    launch : Launch
        time [s], energy [J], speed [rad/s]

    Validity
    --------
    That of `launch_time_held` and `launch_time_free`.

    Examples
    --------
    >>> launch(engine="held", clutch_torque=200, vehicle_inertia=0.5, engine_speed=200)
    Launch(time=0.5, energy=10000.0, speed=200.0)

    References
    ----------
    .. [1] See `launch_energy_held` and `launch_energy_free`.
    """
    if engine == "held":
        torque, speed, time = _held(clutch_torque, vehicle_inertia, engine_speed, load_torque)
        return Launch(result(time), result(torque * speed / 2 * time), result(speed + 0 * time))
    if engine == "free":
        if engine_inertia is None:
            raise MechanicsError("engine_inertia", "is needed for a free engine")
        given = dict(
            clutch_torque=clutch_torque,
            engine_inertia=engine_inertia,
            vehicle_inertia=vehicle_inertia,
            engine_speed=engine_speed,
            engine_torque=engine_torque,
            load_torque=load_torque,
        )
        return Launch(launch_time_free(**given), launch_energy_free(**given), launch_speed_free(**given))
    raise MechanicsError("engine", 'must be "held" or "free"', engine)


def _free(
    clutch_torque: Numbers,
    engine_inertia: Numbers,
    vehicle_inertia: Numbers,
    engine_speed: Numbers,
    engine_torque: Numbers,
    load_torque: Numbers,
) -> tuple[Array, ...]:
    torque, engine, vehicle, speed = positive(
        clutch_torque=clutch_torque,
        engine_inertia=engine_inertia,
        vehicle_inertia=vehicle_inertia,
        engine_speed=engine_speed,
    )
    (driving,) = finite(engine_torque=engine_torque)
    (load,) = not_negative(load_torque=load_torque)
    refuse_where(torque <= load, "clutch_torque", "must be above load_torque, or the vehicle never pulls away", torque)
    closing = (torque - driving) / engine + (torque - load) / vehicle
    refuse_where(
        closing <= 0, "clutch_torque", "is too small: the engine outruns the vehicle and the slip never ends", torque
    )
    return torque, engine, speed, driving, speed / closing


def launch_time_free(
    *,
    clutch_torque: Numbers,
    engine_inertia: Numbers,
    vehicle_inertia: Numbers,
    engine_speed: Numbers,
    engine_torque: Numbers = 0.0,
    load_torque: Numbers = 0.0,
) -> Numbers:
    """Slip time of a start from rest with the engine left free to slow down.

    Formula
    -------
    closing = (clutch_torque - engine_torque) / engine_inertia + (clutch_torque - load_torque) / vehicle_inertia
    slip_time = engine_speed / closing

    Parameters
    ----------
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    engine_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    vehicle_inertia : float or array
        Vehicle as an inertia at clutch speed, see `vehicle_inertia`, [kg m2]
    engine_speed : float or array
        Engine speed when the clutch bites, [rad/s]
    engine_torque : float or array
        Torque of the engine while the clutch slips, [N m]
    load_torque : float or array
        Torque at the clutch for hill and rolling, see `load_torque`, [N m]

    Returns
    -------
    slip_time : float or array
        Time until slip ends, [s]

    Validity
    --------
    Constant torques; clutch_torque above load_torque and large enough to end the slip.

    Examples
    --------
    >>> round(launch_time_free(clutch_torque=300, engine_inertia=0.2, vehicle_inertia=0.8, engine_speed=400), 4)
    0.2133

    References
    ----------
    .. [1] Momentum balance of engine and vehicle; no source needed.
    """
    return result(_free(clutch_torque, engine_inertia, vehicle_inertia, engine_speed, engine_torque, load_torque)[-1])


def launch_energy_free(
    *,
    clutch_torque: Numbers,
    engine_inertia: Numbers,
    vehicle_inertia: Numbers,
    engine_speed: Numbers,
    engine_torque: Numbers = 0.0,
    load_torque: Numbers = 0.0,
) -> Numbers:
    """Heat of a start from rest with the engine left free to slow down.

    Formula
    -------
    closing = (clutch_torque - engine_torque) / engine_inertia + (clutch_torque - load_torque) / vehicle_inertia
    slip_energy = clutch_torque * engine_speed**2 / (2 * closing)

    Parameters
    ----------
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    engine_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    vehicle_inertia : float or array
        Vehicle as an inertia at clutch speed, see `vehicle_inertia`, [kg m2]
    engine_speed : float or array
        Engine speed when the clutch bites, [rad/s]
    engine_torque : float or array
        Torque of the engine while the clutch slips, [N m]
    load_torque : float or array
        Torque at the clutch for hill and rolling, see `load_torque`, [N m]

    Returns
    -------
    slip_energy : float or array
        Heat of the start, [J]

    Validity
    --------
    Constant torques; clutch_torque above load_torque and large enough to end the slip.

    Examples
    --------
    >>> round(launch_energy_free(clutch_torque=300, engine_inertia=0.2, vehicle_inertia=0.8, engine_speed=400), 6)
    12800.0

    References
    ----------
    .. [1] Without outside torques the two-inertia heat of `slip_energy`.
    """
    torque, _, speed, _, time = _free(
        clutch_torque, engine_inertia, vehicle_inertia, engine_speed, engine_torque, load_torque
    )
    return result(torque * speed / 2 * time)


def launch_energy_dumped(
    *,
    clutch_torque: Numbers,
    engine_inertia: Numbers,
    vehicle_inertia: Numbers,
    engine_speed: Numbers,
    engine_torque: Numbers,
    load_torque: Numbers,
    most: Numbers,
) -> Numbers:
    """Heat of a start with the pedal dumped: the engine free, and never more than ``most``.

    A clutch hardly stronger than the engine would slip on and on with the pedal up; the driver lifts long before, so
    the heat is held at what the same start with the engine held at its speed brings.

    Formula
    -------
    closing = (clutch_torque - engine_torque) / engine_inertia + (clutch_torque - load_torque) / vehicle_inertia
    slowest = clutch_torque * engine_speed**2 / (2 * most)
    slip_energy = clutch_torque * engine_speed**2 / (2 * max(closing, slowest))

    Parameters
    ----------
    clutch_torque : float or array
        Torque the slipping clutch carries, all it holds, [N m]
    engine_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    vehicle_inertia : float or array
        Vehicle as an inertia at clutch speed, see `vehicle_inertia`, [kg m2]
    engine_speed : float or array
        Engine speed when the clutch bites, [rad/s]
    engine_torque : float or array
        Torque of the engine while the clutch slips, [N m]
    load_torque : float or array
        Torque at the clutch for hill and rolling, see `load_torque`, [N m]
    most : float or array
        Heat of the same start with the engine held, see `launch_energy_held`, [J]

    Returns
    -------
    slip_energy : float or array
        Heat of the start, [J]

    Validity
    --------
    Constant torques, tyres gripping; torques, inertias and speed above zero.

    Examples
    --------
    >>> round(launch_energy_dumped(clutch_torque=500, engine_inertia=0.196, vehicle_inertia=1.207, engine_speed=418.9,
    ...                            engine_torque=300, load_torque=0, most=54e3) / 1000, 1)
    30.6

    References
    ----------
    .. [1] `launch_energy_free`; the bound is judgement.
    """
    torque, engine, vehicle, speed = positive(
        clutch_torque=clutch_torque,
        engine_inertia=engine_inertia,
        vehicle_inertia=vehicle_inertia,
        engine_speed=engine_speed,
    )
    driving, load = not_negative(engine_torque=engine_torque, load_torque=load_torque)
    (bound,) = positive(most=most)
    closing = (torque - driving) / engine + (torque - load) / vehicle
    slowest = torque * speed**2 / (2 * bound)
    return result(torque * speed**2 / (2 * np.maximum(closing, slowest)))


def launch_speed_free(
    *,
    clutch_torque: Numbers,
    engine_inertia: Numbers,
    vehicle_inertia: Numbers,
    engine_speed: Numbers,
    engine_torque: Numbers = 0.0,
    load_torque: Numbers = 0.0,
) -> Numbers:
    """Engine speed at which a start with a free engine stops slipping.

    Formula
    -------
    closing = (clutch_torque - engine_torque) / engine_inertia + (clutch_torque - load_torque) / vehicle_inertia
    speed = engine_speed - (clutch_torque - engine_torque) / engine_inertia * engine_speed / closing

    Parameters
    ----------
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    engine_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    vehicle_inertia : float or array
        Vehicle as an inertia at clutch speed, see `vehicle_inertia`, [kg m2]
    engine_speed : float or array
        Engine speed when the clutch bites, [rad/s]
    engine_torque : float or array
        Torque of the engine while the clutch slips, [N m]
    load_torque : float or array
        Torque at the clutch for hill and rolling, see `load_torque`, [N m]

    Returns
    -------
    speed : float or array
        Common speed when slip ends; under the idle speed the engine stalls, [rad/s]

    Validity
    --------
    Constant torques; clutch_torque above load_torque and large enough to end the slip.

    Examples
    --------
    >>> round(launch_speed_free(clutch_torque=300, engine_inertia=0.2, vehicle_inertia=0.8, engine_speed=400), 6)
    80.0

    References
    ----------
    .. [1] Momentum balance of the engine; no source needed.
    """
    torque, engine, speed, driving, time = _free(
        clutch_torque, engine_inertia, vehicle_inertia, engine_speed, engine_torque, load_torque
    )
    return result(speed - (torque - driving) / engine * time)


def engine_torque_at_start(
    *, peak_torque: Numbers, factory_torque: Numbers, torque_share: Numbers, gain_share: Numbers, air_share: Numbers
) -> Numbers:
    """Torque an engine gives at the speed of a start, full throttle, before boost has built up.

    A naturally breathing engine, or one with a blower, has its share of whatever peak it makes. What a tune adds to
    a turbocharged one comes with boost, above the speed of a start, so little of it is there.

    Formula
    -------
    tuned = factory_torque + gain_share * max(peak_torque - factory_torque, 0)
    engine_torque = torque_share * min(peak_torque, tuned) * air_share

    Parameters
    ----------
    peak_torque : float or array
        Peak torque of the engine as it is, [N m]
    factory_torque : float or array
        Peak torque as it left the factory; peak_torque where nobody knows, [N m]
    torque_share : float or array
        Torque at the speed of the start over peak torque, [-]
    gain_share : float or array
        Share of what tuning added that is there at that speed, [-]
    air_share : float or array
        Torque left at the height of the start, see `engine.altitude_factor`, [-]

    Returns
    -------
    engine_torque : float or array
        Torque, [N m]

    Validity
    --------
    Torques above zero; torque_share and air_share above 0, at most 1.1; gain_share from 0 to 1.

    Examples
    --------
    A small turbocharged engine with its trailer, at the sea and at 1000 m:

    >>> [round(engine_torque_at_start(peak_torque=145, factory_torque=145, torque_share=0.6, gain_share=0.33,
    ...                               air_share=air)) for air in (1, 0.897)]
    [87, 78]

    References
    ----------
    .. [1] Full-load curve of a boosted 3.0 litre six in a vehicle-simulation tutorial: 0.68 of its peak at 1000 rpm,
       0.86 at 2020; a magazine's test has a turbocharged engine take three seconds at 1800 rpm to its rated torque.
       Shares for other engines are judgement.
    """
    peak, factory = positive(peak_torque=peak_torque, factory_torque=factory_torque)
    part, air = positive(torque_share=torque_share, air_share=air_share)
    within(0, 1.1, torque_share=part, air_share=air)
    (gain,) = within(0, 1, gain_share=gain_share)
    tuned = factory + gain * np.maximum(peak - factory, 0)
    return result(part * np.minimum(peak, tuned) * air)


def start_torque(*, wanted_torque: Numbers, engine_torque: Numbers, load_torque: Numbers, reserve: Numbers) -> Numbers:
    """Clutch torque with which the heat of a start is reckoned: what the driver wants, at most what the engine has.

    An engine that hardly beats the load would slip its clutch for ever, and torque over torque less load would be a
    division by nearly nothing. Below `reserve` times the load the heat is therefore reckoned as at that reserve. It
    is then the least such a start would cost, if it succeeds at all, and whoever shows it has to say so. The heat so
    reckoned is unbroken, and never falls as load grows or the engine weakens.

    Formula
    -------
    start_torque = max(min(wanted_torque, engine_torque), reserve * load_torque)

    Parameters
    ----------
    wanted_torque : float or array
        Torque a driver would bring, [N m]
    engine_torque : float or array
        Torque the engine gives at the speed of the start, see `engine_torque_at_start`, [N m]
    load_torque : float or array
        Load torque at the clutch, see `engagement.load_torque`, [N m]
    reserve : float or array
        Least torque over load that a start may be reckoned with, 1.25, [-]

    Returns
    -------
    start_torque : float or array
        Torque, above load_torque, [N m]

    Validity
    --------
    Torques above zero, load_torque zero or above, reserve from 1.01 to 3.

    Examples
    --------
    A driver who wants 147 N m, an engine that has 87, hills that ask 67 and 80:

    >>> start_torque(wanted_torque=147, engine_torque=87, load_torque=67, reserve=1.25)
    87.0
    >>> start_torque(wanted_torque=147, engine_torque=87, load_torque=80, reserve=1.25)
    100.0

    References
    ----------
    .. [1] Heat over that on the flat is torque over torque less load: 5 at a reserve of 1.25, 11 at 1.10; where to
       stop is judgement.
    """
    wanted, engine = positive(wanted_torque=wanted_torque, engine_torque=engine_torque)
    (load,) = not_negative(load_torque=load_torque)
    (least,) = within(1.01, 3, reserve=reserve)
    return result(np.maximum(np.minimum(wanted, engine), least * load))


def kick_energy_pulling(
    *,
    engine_inertia: Numbers,
    speed_rise: Numbers,
    clutch_torque: Numbers,
    engine_torque: Numbers,
    torque_share: Numbers,
    grip_share: Numbers,
    most: Numbers,
) -> Numbers:
    """Heat of a clutch kick with the engine pulling on, in the mean of kicks of which some grip.

    Derivation: the clutch takes the flare out of the engine while the engine pulls on, so the flare falls at
    (clutch_torque - pull) / engine_inertia against a car that keeps its speed; the heat is clutch torque times half
    the flare times the time that takes. Where the tyres let go they run up with the engine and little but the energy
    of the flare is left. A clutch hardly stronger than the pull would slip on and on: the driver lets go, and ``most``
    holds the factor.

    Formula
    -------
    left = max(clutch_torque - torque_share * engine_torque, clutch_torque / most)
    energy = engine_inertia * speed_rise**2 / 2 * (1 + grip_share * (clutch_torque / left - 1))

    Parameters
    ----------
    engine_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    speed_rise : float or array
        Engine speed over disc speed when the clutch bites, [rad/s]
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    engine_torque : float or array
        Most torque of the engine, [N m]
    torque_share : float or array
        Share of it that pulls during the slip, 0 with the throttle closed, [-]
    grip_share : float or array
        Share of the kicks on which the tyres grip; 1 for one that does, [-]
    most : float or array
        Highest factor on the energy of the flare, 1 or above, [-]

    Returns
    -------
    energy : float or array
        Heat of one kick, [J]

    Validity
    --------
    Constant torques; shares from 0 to 1; most from 1.

    Examples
    --------
    A turbo six on an uprated single, 2800 rpm of flare, seven tenths of 400 N m pulling:

    >>> from math import pi
    >>> round(kick_energy_pulling(engine_inertia=0.235, speed_rise=2800 * pi / 30, clutch_torque=560,
    ...                           engine_torque=400, torque_share=0.7, grip_share=1, most=3) / 1000, 1)
    20.2

    References
    ----------
    .. [1] Energy balance of two inertias, the vehicle endless, with the torque that pulls; shares and
       ``most`` are judgement, no print on kicks was found.
    """
    inertia, torque = positive(engine_inertia=engine_inertia, clutch_torque=clutch_torque)
    rise, engine = not_negative(speed_rise=speed_rise, engine_torque=engine_torque)
    pulling, gripping = within(0, 1, torque_share=torque_share, grip_share=grip_share)
    (highest,) = finite(most=most)
    refuse_where(highest < 1, "most", "must be 1 or above", highest)
    left = np.maximum(torque - pulling * engine, torque / highest)
    return result(inertia * rise**2 / 2 * (1 + gripping * (torque / left - 1)))
