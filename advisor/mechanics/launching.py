"""Start from rest: vehicle and road at the clutch, time and heat with the engine held, and both ways at once."""

from typing import NamedTuple

import numpy as np

from .checks import MechanicsError, not_negative, positive, refuse_where, result, within
from .launching_free import launch_energy_free, launch_speed_free, launch_time_free


def vehicle_inertia(*, mass, tyre_radius, total_ratio):
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

    Raises
    ------
    MechanicsError
        Names the argument that is not above zero.

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


def load_torque(*, mass, tyre_radius, total_ratio, efficiency, grade, rolling_resistance, gravity=9.80665):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
    *, mass, tyre_radius, total_ratio, efficiency, grade, rolling_resistance, acceleration, gravity=9.80665
):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
        mass=m, tyre_radius=radius, total_ratio=ratio, efficiency=efficiency, grade=grade,
        rolling_resistance=rolling_resistance, gravity=gravity,
    )
    return result(load + m * gain * radius / ratio)


def _held(clutch_torque, vehicle_inertia, engine_speed, load_torque):
    torque, inertia, speed = positive(
        clutch_torque=clutch_torque, vehicle_inertia=vehicle_inertia, engine_speed=engine_speed
    )
    (load,) = not_negative(load_torque=load_torque)
    refuse_where(torque <= load, "clutch_torque", "must be above load_torque, or the vehicle never pulls away", torque)
    return torque, speed, inertia * speed / (torque - load)


def launch_time_held(*, clutch_torque, vehicle_inertia, engine_speed, load_torque=0.0):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def launch_energy_held(*, clutch_torque, vehicle_inertia, engine_speed, load_torque=0.0):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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

    time: float
    energy: float
    speed: float


def launch(
    *, engine, clutch_torque, vehicle_inertia, engine_speed, engine_inertia=None, engine_torque=0.0, load_torque=0.0
):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
            clutch_torque=clutch_torque, engine_inertia=engine_inertia, vehicle_inertia=vehicle_inertia,
            engine_speed=engine_speed, engine_torque=engine_torque, load_torque=load_torque,
        )
        return Launch(launch_time_free(**given), launch_energy_free(**given), launch_speed_free(**given))
    raise MechanicsError("engine", 'must be "held" or "free"', engine)
