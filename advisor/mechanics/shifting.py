"""Heat of gear shifts and clutch kicks: the engine is pulled to another speed through the clutch."""

import numpy as np

from .checks import finite, not_negative, positive, refuse_where, result, within


def speed_after_shift(*, engine_speed, ratio_from, ratio_to):
    """Engine speed that belongs to the next gear at the same road speed.

    Formula
    -------
    speed = engine_speed * ratio_to / ratio_from

    Parameters
    ----------
    engine_speed : float or array
        Engine speed in the gear left, [rad/s]
    ratio_from : float or array
        Ratio of the gear left, [-]
    ratio_to : float or array
        Ratio of the gear taken, [-]

    Returns
    -------
    speed : float or array
        Engine speed in the gear taken, [rad/s]

    Validity
    --------
    All arguments above zero; road speed unchanged during the shift.

    Raises
    ------
    MechanicsError
        Names the argument that is not above zero.

    Examples
    --------
    >>> speed_after_shift(engine_speed=700, ratio_from=3.5, ratio_to=2.0)
    400.0

    References
    ----------
    .. [1] Gear kinematics; no source needed.
    """
    speed, before, after = positive(engine_speed=engine_speed, ratio_from=ratio_from, ratio_to=ratio_to)
    return result(speed * after / before)


def _flywheel_slip(engine_inertia, difference, clutch_torque, engine_torque):
    inertia, torque = positive(engine_inertia=engine_inertia, clutch_torque=clutch_torque)
    (driving,) = not_negative(engine_torque=engine_torque)
    refuse_where(torque <= driving, "clutch_torque", "must be above engine_torque, or the slip never ends", torque)
    return result(inertia * difference**2 / 2 * torque / (torque - driving))


def shift_energy(*, engine_inertia, speed_before, speed_after, clutch_torque, engine_torque=0.0):
    """Heat of a gear shift: the engine is pulled from one speed to the other through the clutch.

    Formula
    -------
    energy = engine_inertia * (speed_before - speed_after)**2 / 2 * clutch_torque / (clutch_torque - engine_torque)

    Parameters
    ----------
    engine_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    speed_before : float or array
        Engine speed before the shift, [rad/s]
    speed_after : float or array
        Engine speed in the new gear, see `speed_after_shift`, [rad/s]
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    engine_torque : float or array
        Torque of the engine while the clutch slips, 0 with the throttle closed, [N m]

    Returns
    -------
    energy : float or array
        Heat of the shift, [J]

    Validity
    --------
    The vehicle counts as infinitely heavy, which errs on the warm side; clutch_torque above engine_torque.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> shift_energy(engine_inertia=0.2, speed_before=700, speed_after=400, clutch_torque=500)
    9000.0

    References
    ----------
    .. [1] Limit of `slip_energy_with_torques` for an endless driven inertia; no source needed.
    """
    before, after = not_negative(speed_before=speed_before, speed_after=speed_after)
    return _flywheel_slip(engine_inertia, before - after, clutch_torque, engine_torque)


def kick_energy(*, engine_inertia, speed_rise, clutch_torque, engine_torque=0.0):
    """Heat of a clutch kick: the engine flares with the pedal down, then the clutch snaps shut.

    Formula
    -------
    energy = engine_inertia * speed_rise**2 / 2 * clutch_torque / (clutch_torque - engine_torque)

    Parameters
    ----------
    engine_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    speed_rise : float or array
        Engine speed over disc speed when the clutch bites, [rad/s]
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    engine_torque : float or array
        Torque of the engine while the clutch slips, [N m]

    Returns
    -------
    energy : float or array
        Heat of one kick, [J]

    Validity
    --------
    Disc speed unchanged during the slip, which errs on the warm side; clutch_torque above engine_torque.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> kick_energy(engine_inertia=0.2, speed_rise=300, clutch_torque=600, engine_torque=300)
    18000.0

    References
    ----------
    .. [1] As `shift_energy`.
    """
    (rise,) = not_negative(speed_rise=speed_rise)
    return _flywheel_slip(engine_inertia, rise, clutch_torque, engine_torque)


def kick_energy_pulling(*, engine_inertia, speed_rise, clutch_torque, engine_torque, torque_share, grip_share, most):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A turbo six on an uprated single, 2800 rpm of flare, seven tenths of 400 N m pulling:

    >>> from math import pi
    >>> round(kick_energy_pulling(engine_inertia=0.235, speed_rise=2800 * pi / 30, clutch_torque=560,
    ...                           engine_torque=400, torque_share=0.7, grip_share=1, most=3) / 1000, 1)
    20.2

    References
    ----------
    .. [1] `kick_energy` with the torque that pulls; shares and ``most`` are judgement, no print on kicks was found.
    """
    inertia, torque = positive(engine_inertia=engine_inertia, clutch_torque=clutch_torque)
    rise, engine = not_negative(speed_rise=speed_rise, engine_torque=engine_torque)
    pulling, gripping = within(0, 1, torque_share=torque_share, grip_share=grip_share)
    (highest,) = finite(most=most)
    refuse_where(highest < 1, "most", "must be 1 or above", highest)
    left = np.maximum(torque - pulling * engine, torque / highest)
    return result(inertia * rise**2 / 2 * (1 + gripping * (torque / left - 1)))
