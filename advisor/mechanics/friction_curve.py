"""Friction against temperature: a facing's curve of factors, read for all kits and cases at once."""

import numpy as np

from .checks import MechanicsError, finite, positive, refuse_where, result


def _curve(temperatures, factors):
    """Check a friction curve; its points lie along the last axis."""
    (temperatures,) = finite(curve_temperatures=temperatures)
    (factors,) = positive(curve_factors=factors)
    if temperatures.ndim == 0 or temperatures.shape[-1] == 0:
        raise MechanicsError("curve_temperatures", "must hold at least one point along its last axis",
                             temperatures.tolist())
    if factors.ndim == 0 or factors.shape[-1] != temperatures.shape[-1]:
        raise MechanicsError("curve_factors", "must have as many points as curve_temperatures", factors.tolist())
    steps = np.diff(temperatures, axis=-1)
    refuse_where(steps <= 0, "curve_temperatures", "must rise from point to point", temperatures[..., 1:])
    return temperatures, factors


def _factor(temperature, temperatures, factors):
    """Factor at a temperature; one pass per segment, so cases x kits never loop in Python."""
    factor = factors[..., 0]
    for point in range(temperatures.shape[-1] - 1):
        start, end = temperatures[..., point], temperatures[..., point + 1]
        along = np.clip((temperature - start) / (end - start), 0.0, 1.0)
        factor = factor + along * (factors[..., point + 1] - factors[..., point])
    return factor + np.zeros_like(temperature)


def friction_at_temperature(*, friction_coefficient, temperature, curve_temperatures, curve_factors):
    """Friction coefficient at a temperature, by a facing's curve of factors.

    Formula
    -------
    friction_at_temperature = friction_coefficient * interp(temperature, curve_temperatures, curve_factors)

    Parameters
    ----------
    friction_coefficient : float or array
        Friction coefficient to which the factors refer, [-]
    temperature : float or array
        Temperature of the face, any shape, [degC]
    curve_temperatures : array
        Temperatures of the curve's points, rising, along the last axis, [degC]
    curve_factors : array
        Factors at these points, along the last axis, [-]

    Returns
    -------
    friction_at_temperature : float or array
        Friction coefficient, in the broadcast shape of the other arguments and the curve without its last axis, [-]

    Validity
    --------
    Linear between the points, flat beyond the ends. One curve for each kit goes along the leading axes;
    shorter curves are filled up with a higher temperature and the last factor, which changes nothing.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    An organic facing at 300 C by the fade shape of common practice:

    >>> round(friction_at_temperature(friction_coefficient=0.33, temperature=300,
    ...                               curve_temperatures=[200, 300, 375], curve_factors=[1, 0.8, 0.5]), 3)
    0.264

    References
    ----------
    .. [1] Linear interpolation; the shape of such curves is common practice, no source.
    """
    (mu,) = positive(friction_coefficient=friction_coefficient)
    (heat,) = finite(temperature=temperature)
    return result(mu * _factor(heat, *_curve(curve_temperatures, curve_factors)))


def lowest_friction(*, friction_coefficient, cold_temperature, hot_temperature, curve_temperatures, curve_factors):
    """Lowest friction coefficient met between a cold and a hot temperature.

    Formula
    -------
    cold_factor = interp(cold_temperature, curve_temperatures, curve_factors)
    hot_factor = interp(hot_temperature, curve_temperatures, curve_factors)
    lowest_friction = friction_coefficient * min(cold_factor, hot_factor)

    Parameters
    ----------
    friction_coefficient : float or array
        Friction coefficient to which the factors refer, [-]
    cold_temperature : float or array
        Coldest temperature at which the clutch must hold, [degC]
    hot_temperature : float or array
        Hottest temperature at which it must hold, [degC]
    curve_temperatures : array
        Temperatures of the curve's points, rising, along the last axis, [degC]
    curve_factors : array
        Factors at these points, along the last axis, [-]

    Returns
    -------
    lowest_friction : float or array
        Friction coefficient, [-]

    Validity
    --------
    cold_temperature at or below hot_temperature. For a curve that rises and then falls this is the lower of the cold
    and the hot friction; a dip of the curve in between counts too.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A carbon-carbon pack is at its weakest cold:

    >>> round(lowest_friction(friction_coefficient=0.36, cold_temperature=20, hot_temperature=250,
    ...                       curve_temperatures=[20, 100, 200, 300], curve_factors=[0.72, 0.78, 0.92, 1]), 4)
    0.2592

    References
    ----------
    .. [1] The lower of the cold and the hot factor: common practice, no source.
    """
    (mu,) = positive(friction_coefficient=friction_coefficient)
    cold, hot = finite(cold_temperature=cold_temperature, hot_temperature=hot_temperature)
    refuse_where(cold > hot, "cold_temperature", "must not be above hot_temperature", cold)
    temperatures, factors = _curve(curve_temperatures, curve_factors)
    lowest = np.minimum(_factor(cold, temperatures, factors), _factor(hot, temperatures, factors))
    for point in range(temperatures.shape[-1]):
        here, factor = temperatures[..., point], factors[..., point]
        lowest = np.where((cold < here) & (here < hot), np.minimum(lowest, factor), lowest)
    return result(mu * lowest)
