"""Spreads of lognormal quantities: put together, taken apart, and shown as a band."""

import numpy as np

from .checks import not_negative, positive, refuse_where, result, within
from ._normal import quantile as _quantile


def band_low(*, median, spread, probability=0.9):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def band_high(*, median, spread, probability=0.9):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def band(*, median, spread, probability=0.9):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def combined_spread(*, first_spread, second_spread, third_spread=0.0, fourth_spread=0.0):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(combined_spread(first_spread=0.11, second_spread=0.07, third_spread=0.05), 4)
    0.1396

    References
    ----------
    .. [1] Ratio of two lognormal quantities is lognormal; any text on structural reliability. No source needed.
    """
    parts = within(
        0, 2, first_spread=first_spread, second_spread=second_spread, third_spread=third_spread,
        fourth_spread=fourth_spread,
    )
    return result(np.sqrt(sum(part**2 for part in parts)))


def variance_share(*, part_spread, whole_spread):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def variance_shares(*, friction_spread, clamp_spread, wear_spread, demand_spread):
    """Where the uncertainty of holding comes from: friction, clamp load, wear and demand.

    Formula
    -------
    whole = friction_spread**2 + clamp_spread**2 + wear_spread**2 + demand_spread**2
    shares = each of friction_spread**2, clamp_spread**2, wear_spread**2, demand_spread**2 over whole

    Parameters
    ----------
    friction_spread : float or array
        Spread of friction, [-]
    clamp_spread : float or array
        Spread of clamp load, [-]
    wear_spread : float or array
        Spread of the worn factor, [-]
    demand_spread : float or array
        Spread of demand, [-]

    Returns
    -------
    shares : array
        Last axis: friction, clamp load, wear, demand; they add up to 1, [-]

    Validity
    --------
    Each from 0 to 2, not all zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> shares = variance_shares(friction_spread=0.11, clamp_spread=0.07, wear_spread=0.05, demand_spread=0.03)
    >>> shares.round(2).tolist()
    [0.59, 0.24, 0.12, 0.04]

    References
    ----------
    .. [1] Ratio of two lognormal quantities is lognormal; any text on structural reliability. No source needed.
    """
    parts = np.stack(np.broadcast_arrays(*within(
        0, 2, friction_spread=friction_spread, clamp_spread=clamp_spread, wear_spread=wear_spread,
        demand_spread=demand_spread,
    )), axis=-1)
    whole = (parts**2).sum(axis=-1, keepdims=True)
    refuse_where(
        whole[..., 0] == 0, "friction_spread", "must not be zero together with every other spread", parts[..., 0]
    )
    return parts**2 / whole
