"""Capacity and demand as lognormal quantities: the chance of holding.

A spread is the standard deviation of the logarithm; up to about 0.2 it reads as a share of the median. Bands and
shares of the doubt stand in `spreads`; their names are offered here too.
"""

import numpy as np

from .checks import finite, positive, refuse_where, result, within
from ._normal import cdf as _cdf
from ._normal import quantile as _quantile
from .spreads import band, band_high, band_low, combined_spread, variance_share, variance_shares

__all__ = [
    "band", "band_high", "band_low", "capacity_for_probability", "combined_spread", "holding_probability",
    "normal_cdf", "normal_quantile", "variance_share", "variance_shares",
]


def normal_cdf(*, value):
    """Chance that a standard normal variable lies below a value.

    Formula
    -------
    chance = (1 + erf(value / sqrt(2))) / 2

    Parameters
    ----------
    value : float or array
        Value in standard deviations, [-]

    Returns
    -------
    chance : float or array
        Chance, [-]

    Validity
    --------
    Any finite value.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(normal_cdf(value=1.96), 4)
    0.975

    References
    ----------
    .. [1] M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, 26.2.
    """
    (z,) = finite(value=value)
    return result(_cdf(z))


def normal_quantile(*, chance):
    """Value below which a standard normal variable lies with a given chance.

    Formula
    -------
    value = sqrt(2) * erfinv(2 * chance - 1)

    Parameters
    ----------
    chance : float or array
        Chance, [-]

    Returns
    -------
    value : float or array
        Value in standard deviations, [-]

    Validity
    --------
    Chance above 0 and below 1.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(normal_quantile(chance=0.85), 4)
    1.0364

    References
    ----------
    .. [1] M. J. Wichura, Algorithm AS 241, Applied Statistics 37 (1988), as in the Python library.
    """
    (p,) = finite(chance=chance)
    refuse_where((p <= 0) | (p >= 1), "chance", "must be above 0 and below 1", p)
    return result(_quantile(p))


def holding_probability(*, capacity_median, capacity_spread, demand_median, demand_spread):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def capacity_for_probability(*, probability, demand_median, demand_spread, capacity_spread):
    """Median capacity that holds a demand with a wanted chance.

    Formula
    -------
    spread = sqrt(capacity_spread**2 + demand_spread**2)
    deviations = sqrt(2) * erfinv(2 * probability - 1)
    capacity = demand_median * exp(deviations * spread)

    Parameters
    ----------
    probability : float or array
        Chance wanted, [-]
    demand_median : float or array
        Torque asked as likely as not, [N m]
    demand_spread : float or array
        Spread of it, standard deviation of the logarithm, [-]
    capacity_spread : float or array
        Spread of it, standard deviation of the logarithm, [-]

    Returns
    -------
    capacity : float or array
        Median capacity needed, [N m]

    Validity
    --------
    Probability above 0 and below 1; spreads from 0 to 2.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    Engine dynamometer, 85 %:

    >>> round(capacity_for_probability(probability=0.85, demand_median=1, demand_spread=0.03,
    ...                                capacity_spread=0.1396), 2)
    1.16

    References
    ----------
    .. [1] Inverse of `holding_probability`.
    """
    p, demand = positive(probability=probability, demand_median=demand_median)
    refuse_where(p >= 1, "probability", "must be below 1", p)
    first, second = within(0, 2, capacity_spread=capacity_spread, demand_spread=demand_spread)
    return result(demand * np.exp(_quantile(p) * np.hypot(first, second)))
