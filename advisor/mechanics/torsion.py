"""Torsional vibration: damper, resonance, firing and shuffle."""

import numpy as np

from .checks import not_negative, positive, refuse_where, result, whole


def two_inertia_frequency(*, stiffness, first_inertia, second_inertia):
    """Natural frequency of two inertias on a torsion spring.

    Formula
    -------
    frequency = sqrt(stiffness * (first_inertia + second_inertia) / (first_inertia * second_inertia)) / (2 * pi)

    Parameters
    ----------
    stiffness : float or array
        Stiffness of damper or shafts, [N m/rad]
    first_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    second_inertia : float or array
        Disc and gearbox input, or the vehicle, [kg m2]

    Returns
    -------
    frequency : float or array
        Natural frequency, [Hz]

    Validity
    --------
    All arguments above zero; no damping.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    Damper of 15 N m/deg:

    >>> round(two_inertia_frequency(stiffness=859.4, first_inertia=0.2, second_inertia=0.012), 1)
    43.9

    References
    ----------
    .. [1] Two inertias on a torsion spring; no source needed.
    """
    k, first, second = positive(stiffness=stiffness, first_inertia=first_inertia, second_inertia=second_inertia)
    return result(np.sqrt(k * (first + second) / (first * second)) / (2 * np.pi))


def firing_frequency(*, speed, cylinders, strokes=4):
    """Firing frequency of an engine at a speed.

    Formula
    -------
    frequency = speed / (2 * pi) * cylinders * 2 / strokes

    Parameters
    ----------
    speed : float or array
        Engine speed, [rad/s]
    cylinders : int or array
        Number of cylinders, firing evenly, [-]
    strokes : int or array
        Strokes of the cycle, [-]

    Returns
    -------
    frequency : float or array
        Firings in a second, [Hz]

    Validity
    --------
    Even firing; 1 to 16 cylinders; strokes 2 or 4.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> from math import pi
    >>> round(firing_frequency(speed=800 * pi / 30, cylinders=4), 1)
    26.7

    References
    ----------
    .. [1] Definition; no source needed.
    """
    (w,) = not_negative(speed=speed)
    (number,) = whole(1, 16, cylinders=cylinders)
    (cycle,) = whole(2, 4, strokes=strokes)
    refuse_where(cycle == 3, "strokes", "must be 2 or 4", cycle)
    return result(w / (2 * np.pi) * number * 2 / cycle)


def resonance_speed(*, frequency, cylinders, strokes=4):
    """Engine speed at which firing meets a natural frequency.

    Formula
    -------
    speed = 2 * pi * frequency * strokes / (2 * cylinders)

    Parameters
    ----------
    frequency : float or array
        Natural frequency, see `two_inertia_frequency`, [Hz]
    cylinders : int or array
        Number of cylinders, firing evenly, [-]
    strokes : int or array
        Strokes of the cycle, [-]

    Returns
    -------
    speed : float or array
        Engine speed, [rad/s]

    Validity
    --------
    Even firing; 1 to 16 cylinders; strokes 2 or 4.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> from math import pi
    >>> round(resonance_speed(frequency=43.9, cylinders=4) * 30 / pi)
    1317

    References
    ----------
    .. [1] Definition; no source needed.
    """
    (f,) = positive(frequency=frequency)
    (number,) = whole(1, 16, cylinders=cylinders)
    (cycle,) = whole(2, 4, strokes=strokes)
    refuse_where(cycle == 3, "strokes", "must be 2 or 4", cycle)
    return result(2 * np.pi * f * cycle / (2 * number))


def stiffness_at_clutch(*, wheel_stiffness, total_ratio):
    """Stiffness of shafts and tyres, seen from the clutch.

    Formula
    -------
    stiffness = wheel_stiffness / total_ratio**2

    Parameters
    ----------
    wheel_stiffness : float or array
        Torsional stiffness at the wheels, [N m/rad]
    total_ratio : float or array
        Gear ratio times final drive, [-]

    Returns
    -------
    stiffness : float or array
        Stiffness at clutch speed, [N m/rad]

    Validity
    --------
    Both above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(stiffness_at_clutch(wheel_stiffness=6000, total_ratio=14), 1)
    30.6

    References
    ----------
    .. [1] Gear kinematics; no source needed.
    """
    k, ratio = positive(wheel_stiffness=wheel_stiffness, total_ratio=total_ratio)
    return result(k / ratio**2)


def shuffle_frequency(*, wheel_stiffness, total_ratio, engine_inertia, vehicle_inertia):
    """Frequency at which the vehicle surges on its half shafts.

    Formula
    -------
    stiffness = wheel_stiffness / total_ratio**2
    frequency = sqrt(stiffness * (engine_inertia + vehicle_inertia) / (engine_inertia * vehicle_inertia)) / (2 * pi)

    Parameters
    ----------
    wheel_stiffness : float or array
        Torsional stiffness at the wheels, [N m/rad]
    total_ratio : float or array
        Gear ratio times final drive, [-]
    engine_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    vehicle_inertia : float or array
        Vehicle as an inertia at clutch speed in that gear, [kg m2]

    Returns
    -------
    frequency : float or array
        Frequency, 2 to 8 in a car, [Hz]

    Validity
    --------
    All arguments above zero; no damping.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(shuffle_frequency(wheel_stiffness=6000, total_ratio=14, engine_inertia=0.2, vehicle_inertia=0.7355), 1)
    2.2

    References
    ----------
    .. [1] Two inertias on a torsion spring; no source needed.
    """
    engine, vehicle = positive(engine_inertia=engine_inertia, vehicle_inertia=vehicle_inertia)
    return two_inertia_frequency(
        stiffness=stiffness_at_clutch(wheel_stiffness=wheel_stiffness, total_ratio=total_ratio),
        first_inertia=engine, second_inertia=vehicle,
    )


def damper_stop_share(*, damper_stop_torque, demand_torque):
    """Likely demand over the stop torque of the hub damper.

    Formula
    -------
    share = demand_torque / damper_stop_torque

    Parameters
    ----------
    damper_stop_torque : float or array
        Torque at which the springs of the hub are solid, [N m]
    demand_torque : float or array
        Likely torque the clutch has to hold, [N m]

    Returns
    -------
    share : float or array
        Above 1 the springs go solid in normal drive, [-]

    Validity
    --------
    Both above zero; sprung hubs only.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> damper_stop_share(damper_stop_torque=500, demand_torque=400)
    0.8

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design (from memory): stop torque 1.5 to 2.0 times engine torque; 1.3 as hard
       minimum is common practice, no source.
    """
    stop, demand = positive(damper_stop_torque=damper_stop_torque, demand_torque=demand_torque)
    return result(demand / stop)
