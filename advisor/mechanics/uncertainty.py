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


def pooled_median(
    *,
    first_median: Numbers,
    first_spread: Numbers,
    second_median: Numbers,
    second_spread: Numbers,
    shared_spread: Numbers = 0.0,
) -> Numbers:
    """Median of a lognormal quantity that two sources tell, each counting by how well it knows.

    Formula
    -------
    first_weight = 1 / (first_spread**2 - shared_spread**2)
    second_weight = 1 / (second_spread**2 - shared_spread**2)
    mean = (first_weight * log(first_median) + second_weight * log(second_median)) / (first_weight + second_weight)
    higher = second_spread if first_median < second_median else first_spread
    median = max(exp(mean), max(first_median, second_median) / exp(higher))

    The lower one pulls the higher one down by no more than one spread of the higher: where the two do not agree, the
    higher one counts, at the low end of what it allows. Neither, told higher, ever makes the answer lower; a pull that
    grew and then let go would.

    Parameters
    ----------
    first_median : float or array
        What one source tells; the answer has the same unit, [N m]
    first_spread : float or array
        Spread of it, standard deviation of the logarithm, [-]
    second_median : float or array
        What the other tells, [N m]
    second_spread : float or array
        Spread of it, [-]
    shared_spread : float or array
        Part of both spreads that is one and the same guess, [-]

    Returns
    -------
    median : float or array
        What both together tell, [N m]

    Validity
    --------
    Medians above zero, spreads above zero and up to 2, the shared one less than either.

    Examples
    --------
    >>> round(float(pooled_median(first_median=400, first_spread=0.1, second_median=440, second_spread=0.1)), 1)
    419.5
    >>> round(float(pooled_median(first_median=300, first_spread=0.05, second_median=500, second_spread=0.05)), 1)
    475.6

    References
    ----------
    .. [1] Mean weighted by inverse variances, any text on the combination of measurements. That an outlier's pull stays
       bounded and never reverses is Huber's demand on an estimate of location; a bound on one side only is judgement.
    """
    middle, _ = _pooled(first_median, first_spread, second_median, second_spread, shared_spread)
    return result(np.exp(middle))


def pooled_spread(
    *,
    first_median: Numbers,
    first_spread: Numbers,
    second_median: Numbers,
    second_spread: Numbers,
    shared_spread: Numbers = 0.0,
) -> Numbers:
    """Spread of what two sources together tell (see `pooled_median`).

    Formula
    -------
    first_weight = 1 / (first_spread**2 - shared_spread**2)
    second_weight = 1 / (second_spread**2 - shared_spread**2)
    difference = abs(log(first_median / second_median))
    scale = max(1, difference**2 / (first_spread**2 + second_spread**2 - 2 * shared_spread**2))
    together = sqrt(shared_spread**2 + scale / (first_weight + second_weight))
    higher = second_spread if first_median < second_median else first_spread
    apart = min(1, max(0, (difference / (first_spread + second_spread) - 1.2) / (1.645 - 1.2)))
    spread = together + apart * (higher - together)

    That of both together while they lie at most 1.2 spreads apart; that of the higher from 1.645 on, where the bands in
    which nine of ten lie have nothing in common; between them a straight way.

    Parameters
    ----------
    first_median : float or array
        What one source tells, [N m]
    first_spread : float or array
        Spread of it, standard deviation of the logarithm, [-]
    second_median : float or array
        What the other tells, [N m]
    second_spread : float or array
        Spread of it, [-]
    shared_spread : float or array
        Part of both spreads that is one and the same guess, [-]

    Returns
    -------
    spread : float or array
        Standard deviation of the logarithm, [-]

    Validity
    --------
    As `pooled_median`.

    Examples
    --------
    Two that agree are known better than either, two that do not are not:

    >>> round(float(pooled_spread(first_median=400, first_spread=0.1, second_median=400, second_spread=0.1)), 3)
    0.071
    >>> round(float(pooled_spread(first_median=400, first_spread=0.1, second_median=480, second_spread=0.1)), 3)
    0.091

    References
    ----------
    .. [1] Scale factor of a weighted mean whose members scatter by more than they should (Birge's ratio), any text on
       the combination of measurements.
    """
    _, spread = _pooled(first_median, first_spread, second_median, second_spread, shared_spread)
    return result(spread)


def agreed_spread(*, first_spread: Numbers, second_spread: Numbers, shared_spread: Numbers = 0.0) -> Numbers:
    """Spread of what two sources together tell where they agree (see `pooled_spread`).

    Formula
    -------
    own = 1 / (1 / (first_spread**2 - shared_spread**2) + 1 / (second_spread**2 - shared_spread**2))
    spread = sqrt(shared_spread**2 + own)

    Parameters
    ----------
    first_spread : float or array
        Spread of the one, standard deviation of the logarithm, [-]
    second_spread : float or array
        Spread of the other, [-]
    shared_spread : float or array
        Part of both spreads that is one and the same guess, [-]

    Returns
    -------
    spread : float or array
        Standard deviation of the logarithm, [-]

    Validity
    --------
    As `pooled_median`.

    Examples
    --------
    >>> round(float(agreed_spread(first_spread=0.1, second_spread=0.1)), 3)
    0.071

    References
    ----------
    .. [1] Variance of a mean weighted by inverse variances, any text on the combination of measurements.
    """
    return pooled_spread(
        first_median=1.0,
        first_spread=first_spread,
        second_median=1.0,
        second_spread=second_spread,
        shared_spread=shared_spread,
    )


#: So many spreads apart, each counted, two sources begin to be doubted; bands of so many, in which nine of ten lie,
#: have nothing in common.
_DOUBTED, _APART = 1.2, 1.645


def _pooled(first_median, first_spread, second_median, second_spread, shared_spread):
    """(logarithm of the median, spread) of two sources together."""
    first, second = positive(first_median=first_median, second_median=second_median)
    here, other = within(0, 2, first_spread=first_spread, second_spread=second_spread)
    (shared,) = not_negative(shared_spread=shared_spread)
    refuse_where((here <= shared) | (other <= shared), "shared_spread", "must be less than either spread", shared)
    own, others = here**2 - shared**2, other**2 - shared**2
    logs = np.log(first), np.log(second)
    mean = (logs[0] / own + logs[1] / others) / (1.0 / own + 1.0 / others)
    difference = np.abs(logs[0] - logs[1])
    scale = np.maximum(1.0, difference**2 / (own + others))
    together = np.sqrt(shared**2 + scale / (1.0 / own + 1.0 / others))
    apart = np.clip((difference / (here + other) - _DOUBTED) / (_APART - _DOUBTED), 0.0, 1.0)
    higher, its_spread = np.maximum(*logs), np.where(logs[0] >= logs[1], here, other)
    return np.maximum(mean, higher - its_spread), together + apart * (its_spread - together)
