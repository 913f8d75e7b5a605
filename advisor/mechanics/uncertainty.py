"""Capacity and demand as lognormal quantities: the chance of holding, bands, and shares of the doubt.

A spread is the standard deviation of the logarithm; up to about 0.2 it reads as a share of the median.
"""

import numpy as np

from ._normal import cdf as _cdf, quantile as _quantile
from .argument_checks import Array, Numbers, not_negative, positive, refuse_where, result, within


def holding_probability(
    *, capacity_median: Numbers, capacity_spread: Numbers, demand_median: Numbers, demand_spread: Numbers
) -> Numbers:
    """Chance that a clutch holds: capacity and demand both lognormal.

    Formula
    -------
    spread = sqrt(capacity_spread**2 + demand_spread**2)
    deviations = log(capacity_median / demand_median) / spread
    probability = (1 + erf(deviations / sqrt(2))) / 2

    Parameters
    ----------
    capacity_median : float or array
        Torque the clutch holds as likely as not, [N m]
    capacity_spread : float or array
        Spread of it, standard deviation of the logarithm, [-]
    demand_median : float or array
        Torque asked as likely as not, [N m]
    demand_spread : float or array
        Spread of it, standard deviation of the logarithm, [-]

    Returns
    -------
    probability : float or array
        Chance that capacity is at least the demand; quote whole per cent, [-]

    Validity
    --------
    Medians above zero, spreads from 0 to 2, capacity and demand independent. With both spreads zero the answer is 1
    or 0.

    Examples
    --------
    >>> round(holding_probability(capacity_median=464, capacity_spread=0.1396, demand_median=400,
    ...                           demand_spread=0.03), 2)
    0.85

    References
    ----------
    .. [1] Ratio of two lognormal quantities is lognormal; any text on structural reliability. No source needed.
    """
    capacity, demand = positive(capacity_median=capacity_median, demand_median=demand_median)
    first, second = within(0, 2, capacity_spread=capacity_spread, demand_spread=demand_spread)
    spread = np.hypot(first, second)
    margin = np.log(capacity / demand)
    certain = spread == 0
    chance = _cdf(margin / np.where(certain, 1.0, spread))
    return result(np.where(certain, np.where(margin >= 0, 1.0, 0.0), chance))


def band_low(*, median: Numbers, spread: Numbers, probability: Numbers = 0.9) -> Numbers:
    """Lower end of the middle band of a lognormal quantity.

    Formula
    -------
    deviations = sqrt(2) * erfinv(probability)
    end = median * exp(-deviations * spread)

    Parameters
    ----------
    median : float or array
        Value exceeded as often as not; the answer has the same unit, [N m]
    spread : float or array
        Spread of it, standard deviation of the logarithm, [-]
    probability : float or array
        Chance that the true value lies inside the band, [-]

    Returns
    -------
    end : float or array
        Lower end of the band, in the unit of median, [N m]

    Validity
    --------
    Median above zero; spread from 0 to 2; probability from 0 to below 1.

    Examples
    --------
    >>> round(band_low(median=400, spread=0.1028, probability=0.9))
    338

    References
    ----------
    .. [1] Ratio of two lognormal quantities is lognormal; any text on structural reliability. No source needed.
    """
    (middle,) = positive(median=median)
    (width,) = within(0, 2, spread=spread)
    (p,) = within(0, 1, probability=probability)
    refuse_where(p == 1, "probability", "must be below 1", p)
    return result(middle * np.exp(-width * _quantile((1 + p) / 2)))


def band_high(*, median: Numbers, spread: Numbers, probability: Numbers = 0.9) -> Numbers:
    """Upper end of the middle band of a lognormal quantity.

    Formula
    -------
    deviations = sqrt(2) * erfinv(probability)
    end = median * exp(deviations * spread)

    Parameters
    ----------
    median : float or array
        Value exceeded as often as not; the answer has the same unit, [N m]
    spread : float or array
        Spread of it, standard deviation of the logarithm, [-]
    probability : float or array
        Chance that the true value lies inside the band, [-]

    Returns
    -------
    end : float or array
        Upper end of the band, in the unit of median, [N m]

    Validity
    --------
    Median above zero; spread from 0 to 2; probability from 0 to below 1.

    Examples
    --------
    >>> round(band_high(median=400, spread=0.1028, probability=0.9))
    474

    References
    ----------
    .. [1] Ratio of two lognormal quantities is lognormal; any text on structural reliability. No source needed.
    """
    (middle,) = positive(median=median)
    (width,) = within(0, 2, spread=spread)
    (p,) = within(0, 1, probability=probability)
    refuse_where(p == 1, "probability", "must be below 1", p)
    return result(middle * np.exp(width * _quantile((1 + p) / 2)))


def band(*, median: Numbers, spread: Numbers, probability: Numbers = 0.9) -> Array:
    """Both ends of the middle band of a lognormal quantity.

    Formula
    -------
    ends = band_low, band_high of median, spread and probability

    Parameters
    ----------
    median : float or array
        Value exceeded as often as not; the answer has the same unit, [N m]
    spread : float or array
        Spread of it, standard deviation of the logarithm, [-]
    probability : float or array
        Chance that the true value lies inside the band, [-]

    Returns
    -------
    ends : array
        Last axis: lower end, upper end, in the unit of median, [N m]

    Validity
    --------
    That of `band_low`.

    Examples
    --------
    >>> band(median=400, spread=0.1028, probability=0.9).round().tolist()
    [338.0, 474.0]

    References
    ----------
    .. [1] Ratio of two lognormal quantities is lognormal; any text on structural reliability. No source needed.
    """
    given = dict(median=median, spread=spread, probability=probability)
    return np.stack([np.asarray(band_low(**given)), np.asarray(band_high(**given))], axis=-1)


def combined_spread(
    *, first_spread: Numbers, second_spread: Numbers, third_spread: Numbers = 0.0, fourth_spread: Numbers = 0.0
) -> Numbers:
    """Spread of a product or quotient of independent lognormal quantities.

    Formula
    -------
    spread = sqrt(first_spread**2 + second_spread**2 + third_spread**2 + fourth_spread**2)

    Parameters
    ----------
    first_spread : float or array
        Spread of the first, friction say, [-]
    second_spread : float or array
        Spread of the second, clamp load say, [-]
    third_spread : float or array
        Spread of the third, wear say, [-]
    fourth_spread : float or array
        Spread of the fourth, fade say, [-]

    Returns
    -------
    spread : float or array
        Spread of the whole, standard deviation of the logarithm, [-]

    Validity
    --------
    Each from 0 to 2; independent quantities.

    Examples
    --------
    >>> round(combined_spread(first_spread=0.11, second_spread=0.07, third_spread=0.05), 4)
    0.1396

    References
    ----------
    .. [1] Ratio of two lognormal quantities is lognormal; any text on structural reliability. No source needed.
    """
    parts = within(
        0,
        2,
        first_spread=first_spread,
        second_spread=second_spread,
        third_spread=third_spread,
        fourth_spread=fourth_spread,
    )
    return result(np.sqrt(sum(part**2 for part in parts)))


def variance_share(*, part_spread: Numbers, whole_spread: Numbers) -> Numbers:
    """Share that one source has in the uncertainty of the whole.

    Formula
    -------
    share = (part_spread / whole_spread)**2

    Parameters
    ----------
    part_spread : float or array
        Spread of the one source, [-]
    whole_spread : float or array
        Spread of the whole, see `combined_spread`, [-]

    Returns
    -------
    share : float or array
        Share of the variance, [-]

    Validity
    --------
    part_spread not above whole_spread, whole_spread above zero.

    Examples
    --------
    >>> round(variance_share(part_spread=0.11, whole_spread=0.1428), 2)
    0.59

    References
    ----------
    .. [1] Ratio of two lognormal quantities is lognormal; any text on structural reliability. No source needed.
    """
    (part,) = not_negative(part_spread=part_spread)
    (whole,) = positive(whole_spread=whole_spread)
    refuse_where(part > whole * (1 + 1e-9), "part_spread", "must not be above whole_spread", part)
    return result(np.minimum(part / whole, 1.0) ** 2)
