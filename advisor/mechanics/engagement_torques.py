"""Slip between two inertias while outside torques drive one shaft and hold back the other."""

from .checks import finite, not_negative, positive, refuse_where, result


def _time_with_torques(clutch_torque, driving_inertia, driven_inertia, speed_difference, driving_torque, load_torque):
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
    *, clutch_torque, driving_inertia, driven_inertia, speed_difference, driving_torque=0.0, load_torque=0.0
):
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
        Names the argument outside the validity; clutch_torque where the slip would never end.

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
    return result(_time_with_torques(
        clutch_torque, driving_inertia, driven_inertia, speed_difference, driving_torque, load_torque
    )[-1])


def slip_energy_with_torques(
    *, clutch_torque, driving_inertia, driven_inertia, speed_difference, driving_torque=0.0, load_torque=0.0
):
    """Heat of one engagement with constant outside torques on the shafts.

    Formula
    -------
    closing = (clutch_torque - driving_torque) / driving_inertia + (clutch_torque - load_torque) / driven_inertia
    slip_energy = clutch_torque * speed_difference**2 / (2 * closing)

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
    slip_energy : float or array
        Heat made by the slip, [J]

    Validity
    --------
    Constant torques, and a clutch torque that does end the slip.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity; clutch_torque where the slip would never end.

    Examples
    --------
    >>> slip_energy_with_torques(clutch_torque=100, driving_inertia=0.2, driven_inertia=0.2, speed_difference=100)
    500.0

    References
    ----------
    .. [1] The slip falls in a straight line, so the mean slip is half of the first; no source needed.
    """
    torque, _, difference, _, time = _time_with_torques(
        clutch_torque, driving_inertia, driven_inertia, speed_difference, driving_torque, load_torque
    )
    return result(torque * difference / 2 * time)


def common_speed_with_torques(
    *, clutch_torque, driving_inertia, driven_inertia, driving_speed, driven_speed, driving_torque=0.0, load_torque=0.0
):
    """Speed of both shafts when a slip with outside torques has ended.

    Formula
    -------
    closing = (clutch_torque - driving_torque) / driving_inertia + (clutch_torque - load_torque) / driven_inertia
    slip_time = (driving_speed - driven_speed) / closing
    common_speed = driving_speed - (clutch_torque - driving_torque) / driving_inertia * slip_time

    Parameters
    ----------
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    driving_inertia : float or array
        Inertia on the driving side, [kg m2]
    driven_inertia : float or array
        Inertia on the driven side, [kg m2]
    driving_speed : float or array
        Speed of the driving side before, not below driven_speed, [rad/s]
    driven_speed : float or array
        Speed of the driven side before, [rad/s]
    driving_torque : float or array
        Outside torque that speeds the driving side up; negative where it holds back, [N m]
    load_torque : float or array
        Outside torque that holds the driven side back, [N m]

    Returns
    -------
    common_speed : float or array
        Speed of both afterwards, [rad/s]

    Validity
    --------
    Constant torques, and a clutch torque that does end the slip.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity; clutch_torque where the slip would never end.

    Examples
    --------
    >>> common_speed_with_torques(clutch_torque=100, driving_inertia=0.04, driven_inertia=0.02,
    ...                           driving_speed=200, driven_speed=50)
    150.0

    References
    ----------
    .. [1] Momentum balance of each shaft; no source needed.
    """
    driving, driven = finite(driving_speed=driving_speed, driven_speed=driven_speed)
    refuse_where(driving < driven, "driving_speed", "must not be below driven_speed", driving)
    torque, first, _, outside, time = _time_with_torques(
        clutch_torque, driving_inertia, driven_inertia, driving - driven, driving_torque, load_torque
    )
    return result(driving - (torque - outside) / first * time)
