"""Slip while a clutch closes: time, heat and common speed of two inertias.

Outside torques stand in `engagement_torques`, the start of a vehicle in `launching` and `launching_free`, gear
shifts in `shifting`; their names are offered here too.
"""

import numpy as np

from .checks import finite, not_negative, positive, result
from .engagement_torques import common_speed_with_torques, slip_energy_with_torques, slip_time_with_torques
from .launching import (
    Launch, launch, launch_energy_held, launch_time_held, load_torque, move_off_torque, vehicle_inertia,
)
from .launching_free import launch_energy_dumped, launch_energy_free, launch_speed_free, launch_time_free
from .shifting import kick_energy, kick_energy_pulling, shift_energy, speed_after_shift

__all__ = [
    "Launch", "common_speed", "common_speed_with_torques", "kick_energy", "kick_energy_pulling", "launch",
    "launch_energy_dumped", "launch_energy_free",
    "launch_energy_held", "launch_speed_free", "launch_time_free", "launch_time_held", "load_torque",
    "move_off_torque", "segment_slip_work", "shift_energy", "slip_energy", "slip_energy_with_torques", "slip_time",
    "slip_time_ramp", "slip_time_with_torques", "speed_after_shift", "vehicle_inertia",
]


def slip_time(*, clutch_torque, driving_inertia, driven_inertia, speed_difference):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def slip_energy(*, clutch_torque, driving_inertia, driven_inertia, speed_difference):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def slip_time_ramp(*, clutch_torque, rise_time, driving_inertia, driven_inertia, speed_difference):
    """Slip time of two free inertias when the clutch torque first rises in a straight line from zero.

    Formula
    -------
    reduced = driving_inertia * driven_inertia / (driving_inertia + driven_inertia)
    plain = reduced * speed_difference / clutch_torque
    slip_time = sqrt(2 * rise_time * min(plain, rise_time / 2)) + max(plain - rise_time / 2, 0)

    Parameters
    ----------
    clutch_torque : float or array
        Torque reached at the end of the rise and kept from there, [N m]
    rise_time : float or array
        Time the torque takes to rise, [s]
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
    No other torque on either shaft. The heat is that of `slip_energy`, however the torque rises.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> given = dict(clutch_torque=400, driving_inertia=0.2, driven_inertia=0.8, speed_difference=100)
    >>> round(slip_time_ramp(rise_time=0, **given), 4), round(slip_time_ramp(rise_time=0.2, **given), 4)
    (0.04, 0.1265)

    References
    ----------
    .. [1] The momentum balance of `slip_time`, integrated; no source needed.
    """
    (rise,) = not_negative(rise_time=rise_time)
    plain = slip_time(
        clutch_torque=clutch_torque, driving_inertia=driving_inertia, driven_inertia=driven_inertia,
        speed_difference=speed_difference,
    )
    return result(np.sqrt(2 * rise * np.minimum(plain, rise / 2)) + np.maximum(plain - rise / 2, 0))


def common_speed(*, driving_inertia, driven_inertia, driving_speed, driven_speed):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
    *, duration, torque_start, torque_end, driving_speed_start, driving_speed_end, driven_speed_start, driven_speed_end
):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
        torque_start=torque_start, torque_end=torque_end,
        driving_speed_start=driving_speed_start, driving_speed_end=driving_speed_end,
        driven_speed_start=driven_speed_start, driven_speed_end=driven_speed_end,
    )
    return result((first + last) / 2 * (w1 + w2 - v1 - v2) / 2 * time)
