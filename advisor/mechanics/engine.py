"""Torque and power of the engine, with nitrous oxide, and the demand that follows.

Estimates from little knowledge stand in `engine_estimates`, height in `altitude`, correction standards in
`engine_corrections`; their names are offered here too.
"""

import numpy as np

from .altitude import air_pressure_at, air_temperature_at, altitude_factor, sea_level_torque
from .checks import MechanicsError, not_negative, positive, refuse_where, result, within
from .engine_corrections import (
    convert_correction,
    correction_din_70020,
    correction_factor,
    correction_iso_1585_diesel,
    correction_iso_1585_spark,
    correction_sae_j607,
    correction_sae_j1349,
)
from .engine_estimates import (
    boosted_torque,
    displacement_from_bore,
    flywheel_from_wheels,
    flywheel_power_from_wheels,
    peak_torque_from_power,
    pressure_ratio,
    torque_from_bmep,
)

__all__ = [
    "air_pressure_at", "air_temperature_at", "altitude_factor", "boosted_torque", "convert_correction",
    "correction_din_70020", "correction_factor", "correction_iso_1585_diesel", "correction_iso_1585_spark",
    "correction_sae_j1349", "correction_sae_j607", "demand_torque", "displacement_from_bore", "flywheel_from_wheels",
    "flywheel_power_from_wheels", "nitrous_torque", "peak_torque_from_power", "peak_torque_with_nitrous",
    "power_from_torque", "pressure_ratio", "sea_level_torque", "torque_from_bmep", "torque_from_power",
    "torque_with_nitrous",
]


def torque_from_power(*, power, speed):
    """Torque that belongs to a power at a speed.

    Formula
    -------
    torque = power / speed

    Parameters
    ----------
    power : float or array
        Power, [W]
    speed : float or array
        Engine speed, [rad/s]

    Returns
    -------
    torque : float or array
        Torque, [N m]

    Validity
    --------
    Power zero or above, speed above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    200 kW at 6000 rpm:

    >>> from math import pi
    >>> round(torque_from_power(power=200e3, speed=6000 * pi / 30), 1)
    318.3

    References
    ----------
    .. [1] Definition of power; no source needed.
    """
    (p,) = not_negative(power=power)
    (w,) = positive(speed=speed)
    return result(p / w)


def power_from_torque(*, torque, speed):
    """Power that belongs to a torque at a speed.

    Formula
    -------
    power = torque * speed

    Parameters
    ----------
    torque : float or array
        Torque, [N m]
    speed : float or array
        Engine speed, [rad/s]

    Returns
    -------
    power : float or array
        Power, [W]

    Validity
    --------
    Both zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> power_from_torque(torque=300, speed=500)
    150000.0

    References
    ----------
    .. [1] Definition of power; no source needed.
    """
    t, w = not_negative(torque=torque, speed=speed)
    return result(t * w)


def nitrous_torque(*, power, speed):
    """Torque that a fixed power of nitrous oxide adds at a speed.

    Formula
    -------
    torque = power / speed

    Parameters
    ----------
    power : float or array
        Power added, [W]
    speed : float or array
        Engine speed, [rad/s]

    Returns
    -------
    torque : float or array
        Torque added: the lower the speed, the more, [N m]

    Validity
    --------
    Power zero or above, speed above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> from math import pi
    >>> round(nitrous_torque(power=75e3, speed=2500 * pi / 30))
    286

    References
    ----------
    .. [1] Definition of power; no source needed.
    """
    (p,) = not_negative(power=power)
    (w,) = positive(speed=speed)
    return result(p / w)


def torque_with_nitrous(*, torque, nitrous_power, nitrous_speed):
    """Torque of the engine and of nitrous oxide together at the speed where it sets in.

    Formula
    -------
    total = torque + nitrous_power / nitrous_speed

    Parameters
    ----------
    torque : float or array
        Torque of the engine at that speed; its peak is the careful choice, [N m]
    nitrous_power : float or array
        Power added, [W]
    nitrous_speed : float or array
        Lowest speed at which it is on, [rad/s]

    Returns
    -------
    total : float or array
        Torque with nitrous oxide, [N m]

    Validity
    --------
    Torque and power zero or above, speed above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> torque_with_nitrous(torque=300, nitrous_power=75e3, nitrous_speed=300)
    550.0

    References
    ----------
    .. [1] Definition of power; no source needed.
    """
    t, p = not_negative(torque=torque, nitrous_power=nitrous_power)
    (w,) = positive(nitrous_speed=nitrous_speed)
    return result(t + p / w)


def peak_torque_with_nitrous(*, speeds, torques, nitrous_power, nitrous_speed):
    """Largest torque of a measured curve with nitrous oxide from a speed upwards.

    Between two points the curve is a straight line, and line plus power over speed is largest at an end: only the
    points and the speed where nitrous oxide sets in are looked at, below which the curve alone counts.

    Formula
    -------
    peak = the highest of torques + nitrous_power / speeds (without it where speeds < nitrous_speed) at every point,
    and of the same at nitrous_speed on the line between its neighbours

    Parameters
    ----------
    speeds : array
        Engine speeds of the curve, rising along the last axis, [rad/s]
    torques : array
        Torque at each, same last axis, [N m]
    nitrous_power : float or array
        Power added, [W]
    nitrous_speed : float or array
        Lowest speed at which it is on, within the curve, [rad/s]

    Returns
    -------
    peak : float or array
        Largest torque, [N m]

    Validity
    --------
    At least two speeds; nitrous_speed between the first and the last.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> peak_torque_with_nitrous(speeds=[200, 400, 600], torques=[200, 300, 250], nitrous_power=60e3, nitrous_speed=300)
    450.0

    References
    ----------
    .. [1] Definition of power; no source needed.
    """
    (w,) = positive(speeds=speeds)
    t, p = not_negative(torques=torques, nitrous_power=nitrous_power)
    (start,) = positive(nitrous_speed=nitrous_speed)
    if w.ndim == 0 or w.shape[-1] < 2 or t.ndim == 0 or t.shape[-1] != w.shape[-1]:
        raise MechanicsError("torques", "must have a value for each of at least two speeds", t.shape)
    refuse_where(np.diff(w) <= 0, "speeds", "must rise along the last axis", w[..., 1:])
    refuse_where(
        (start < w[..., 0]) | (start > w[..., -1]), "nitrous_speed", "must lie within the speeds of the curve", start
    )
    w, t = np.broadcast_arrays(w, t)
    start, p = start[..., None], p[..., None]
    on = w >= start
    # The straight line between the two points around the start.
    part = np.clip((start - w[..., :-1]) / np.diff(w), 0, 1)
    at_start = t[..., :1] + (np.diff(t) * part).sum(axis=-1, keepdims=True)
    peak = (t + np.where(on, p / w, 0.0)).max(axis=-1)
    return result(np.maximum(peak, (at_start + p / start)[..., 0]))


def demand_torque(*, torque, growth=0.0, pulsation=1.0):
    """Likely torque the clutch has to hold.

    Formula
    -------
    demand = torque * (1 + growth) * pulsation

    Parameters
    ----------
    torque : float or array
        Peak engine torque at the flywheel, [N m]
    growth : float or array
        Growth the owner still plans, as a share, [-]
    pulsation : float or array
        Allowance for uneven torque: diesel four 1.08, three cylinders 1.05, else 1, [-]

    Returns
    -------
    demand : float or array
        Likely demand, [N m]

    Validity
    --------
    Torque above zero; growth from 0 to 3; pulsation from 1 to 2.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(demand_torque(torque=400, growth=0.1, pulsation=1.05), 6)
    462.0

    References
    ----------
    .. [1] Pulsation is judgement, common practice, no source.
    """
    (t,) = positive(torque=torque)
    (more,) = within(0, 3, growth=growth)
    (uneven,) = within(1, 2, pulsation=pulsation)
    return result(t * (1 + more) * uneven)
