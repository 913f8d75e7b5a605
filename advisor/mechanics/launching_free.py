"""Start from rest with the engine left free to slow down while the clutch slips."""

import numpy as np

from .checks import finite, not_negative, positive, refuse_where, result


def _free(clutch_torque, engine_inertia, vehicle_inertia, engine_speed, engine_torque, load_torque):
    torque, engine, vehicle, speed = positive(
        clutch_torque=clutch_torque, engine_inertia=engine_inertia, vehicle_inertia=vehicle_inertia,
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
    *, clutch_torque, engine_inertia, vehicle_inertia, engine_speed, engine_torque=0.0, load_torque=0.0
):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
    *, clutch_torque, engine_inertia, vehicle_inertia, engine_speed, engine_torque=0.0, load_torque=0.0
):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
    *, clutch_torque, engine_inertia, vehicle_inertia, engine_speed, engine_torque, load_torque, most
):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
        clutch_torque=clutch_torque, engine_inertia=engine_inertia, vehicle_inertia=vehicle_inertia,
        engine_speed=engine_speed,
    )
    driving, load = not_negative(engine_torque=engine_torque, load_torque=load_torque)
    (bound,) = positive(most=most)
    closing = (torque - driving) / engine + (torque - load) / vehicle
    slowest = torque * speed**2 / (2 * bound)
    return result(torque * speed**2 / (2 * np.maximum(closing, slowest)))


def launch_speed_free(
    *, clutch_torque, engine_inertia, vehicle_inertia, engine_speed, engine_torque=0.0, load_torque=0.0
):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
