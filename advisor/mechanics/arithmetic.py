"""The small sums that rules may not do themselves.

In the units here ``[any]`` stands for any one unit, the same for every ``[any]``
argument of a function and for an ``[any]`` result.
"""

import numpy as np

from .argument_checks import Numbers, finite, not_negative, positive, result, within


def scaled(*, value: Numbers, factor: Numbers) -> Numbers:
    """A value times a factor.

    Formula
    -------
    scaled = value * factor

    Parameters
    ----------
    value : float or array
        Any quantity, [any]
    factor : float or array
        Factor, [-]

    Returns
    -------
    scaled : float or array
        The product, [any]

    Validity
    --------
    Finite numbers.

    Examples
    --------
    >>> scaled(value=400, factor=1.25)
    500.0

    References
    ----------
    Plain arithmetic; which factor to take is common practice, no source.
    """
    quantity, times = finite(value=value, factor=factor)
    return result(quantity * times)


def scaled_with_floor(*, value: Numbers, factor: Numbers, floor: Numbers) -> Numbers:
    """A value times a factor, but never less than a floor.

    Formula
    -------
    scaled_with_floor = max(floor, factor * value)

    Parameters
    ----------
    value : float or array
        Any quantity, such as the factory clutch's figure, [any]
    factor : float or array
        Factor, [-]
    floor : float or array
        Least result, [any]

    Returns
    -------
    scaled_with_floor : float or array
        The greater of floor and product, [any]

    Validity
    --------
    Finite numbers.

    Examples
    --------
    A moderate pedal: 220 N, or 1.2 times the factory pedal where that is more:

    >>> scaled_with_floor(value=170, factor=1.2, floor=220)
    220.0

    References
    ----------
    Plain arithmetic; such limits are common practice, no source.
    """
    quantity, times, least = finite(value=value, factor=factor, floor=floor)
    return result(np.maximum(least, times * quantity))


def larger(*, first: Numbers, second: Numbers) -> Numbers:
    """The larger of two values.

    Formula
    -------
    larger = max(first, second)

    Parameters
    ----------
    first : float or array
        One value, [any]
    second : float or array
        The other, [any]

    Returns
    -------
    larger : float or array
        The larger, [any]

    Validity
    --------
    Finite numbers.

    Examples
    --------
    >>> larger(first=150, second=156)
    156.0

    References
    ----------
    Plain arithmetic; common practice, no source.
    """
    return result(np.maximum(*finite(first=first, second=second)))


def smaller(*, first: Numbers, second: Numbers) -> Numbers:
    """The smaller of two values.

    Formula
    -------
    smaller = min(first, second)

    Parameters
    ----------
    first : float or array
        One value, [any]
    second : float or array
        The other, [any]

    Returns
    -------
    smaller : float or array
        The smaller, [any]

    Validity
    --------
    Finite numbers.

    Examples
    --------
    Clamp load new against worn:

    >>> smaller(first=5293, second=4361)
    4361.0

    References
    ----------
    Plain arithmetic; common practice, no source.
    """
    return result(np.minimum(*finite(first=first, second=second)))


def total(
    *,
    first: Numbers,
    second: Numbers,
    third: Numbers = 0.0,
    fourth: Numbers = 0.0,
    fifth: Numbers = 0.0,
    sixth: Numbers = 0.0,
) -> Numbers:
    """The sum of two to six values.

    Formula
    -------
    total = first + second + third + fourth + fifth + sixth

    Parameters
    ----------
    first : float or array
        Summand, [any]
    second : float or array
        Summand, [any]
    third : float or array
        Summand, [any]
    fourth : float or array
        Summand, [any]
    fifth : float or array
        Summand, [any]
    sixth : float or array
        Summand, [any]

    Returns
    -------
    total : float or array
        The sum, [any]

    Validity
    --------
    Finite numbers.

    Examples
    --------
    >>> total(first=430, second=130)
    560.0

    References
    ----------
    Plain arithmetic; common practice, no source.
    """
    return result(sum(finite(first=first, second=second, third=third, fourth=fourth, fifth=fifth, sixth=sixth)))


def difference(*, first: Numbers, second: Numbers) -> Numbers:
    """The first value less the second.

    Formula
    -------
    difference = first - second

    Parameters
    ----------
    first : float or array
        Value from which is taken, [any]
    second : float or array
        Value taken off, [any]

    Returns
    -------
    difference : float or array
        The difference, of either sign, [any]

    Validity
    --------
    Finite numbers.

    Examples
    --------
    >>> round(difference(first=0.0082, second=0.0077), 6)
    0.0005

    References
    ----------
    Plain arithmetic; common practice, no source.
    """
    minuend, other = finite(first=first, second=second)
    return result(minuend - other)


def ratio(*, numerator: Numbers, denominator: Numbers) -> Numbers:
    """One value over another.

    Formula
    -------
    ratio = numerator / denominator

    Parameters
    ----------
    numerator : float or array
        Any quantity, [any]
    denominator : float or array
        Quantity of the same unit, [any]

    Returns
    -------
    ratio : float or array
        The quotient, [-]

    Validity
    --------
    Finite numerator; denominator above zero.

    Examples
    --------
    >>> ratio(numerator=600, denominator=400)
    1.5

    References
    ----------
    Plain arithmetic; common practice, no source.
    """
    (over,) = finite(numerator=numerator)
    (under,) = positive(denominator=denominator)
    return result(over / under)


def share(*, part: Numbers, whole: Numbers) -> Numbers:
    """A part of a whole; also an actual figure over its limit (above one: over the limit).

    Formula
    -------
    share = part / whole

    Parameters
    ----------
    part : float or array
        Part, or actual figure, [any]
    whole : float or array
        Whole, or limit, [any]

    Returns
    -------
    share : float or array
        The share, zero or above, [-]

    Validity
    --------
    part zero or above; whole above zero.

    Examples
    --------
    >>> share(part=0.35e6, whole=0.7e6)
    0.5

    References
    ----------
    Plain arithmetic; common practice, no source.
    """
    (some,) = not_negative(part=part)
    (everything,) = positive(whole=whole)
    return result(some / everything)


def grown_by_percent(*, value: Numbers, percent: Numbers) -> Numbers:
    """A value after growth, or after loss where the percentage is negative.

    Formula
    -------
    grown_by_percent = value * (1 + percent / 100)

    Parameters
    ----------
    value : float or array
        Any quantity, [any]
    percent : float or array
        Growth in per cent, at least -100, [percent]

    Returns
    -------
    grown_by_percent : float or array
        The grown value, [any]

    Validity
    --------
    percent from -100 to 1000.

    Examples
    --------
    >>> round(grown_by_percent(value=430, percent=10), 6)
    473.0

    References
    ----------
    Plain arithmetic; common practice, no source.
    """
    (quantity,) = finite(value=value)
    (growth,) = within(-100, 1000, percent=percent)
    return result(quantity * (1 + growth / 100))


def amount_along(*, value: Numbers, none_at: Numbers, full_at: Numbers, amount: Numbers) -> Numbers:
    """An amount that grows along a ramp: nothing of it at one end, all of it at the other.

    No small change of the value makes a large change of what counts.

    Formula
    -------
    counted = amount * min(1, max(0, (value - none_at) / (full_at - none_at)))

    Parameters
    ----------
    value : float or array
        What is looked at, [any]
    none_at : float or array
        Here, and on the side away from the other end, nothing counts, [any]
    full_at : float or array
        Here and beyond all of it counts; below or above ``none_at``, [any]
    amount : float or array
        What is counted, [-]

    Returns
    -------
    counted : float or array
        The part of the amount that counts, [-]

    Validity
    --------
    Finite arguments; the two ends differ.

    Examples
    --------
    >>> round(amount_along(value=0.97, none_at=1.0, full_at=0.94, amount=0.08), 9)
    0.04
    >>> amount_along(value=0.8, none_at=1.0, full_at=0.94, amount=0.08)
    0.08

    References
    ----------
    .. [1] Plain arithmetic, linear; where a ramp begins and ends is judgement.
    """
    looked_at, start, counted = finite(value=value, none_at=none_at, amount=amount)
    (length,) = positive(full_at=np.abs(np.subtract(*finite(full_at=full_at, none_at=none_at))))
    way = np.sign(np.subtract(full_at, none_at))
    return result(counted * np.clip(way * (looked_at - start) / length, 0.0, 1.0))


def part_way(*, first: Numbers, second: Numbers, share: Numbers) -> Numbers:
    """A value part of the way from one to another.

    Formula
    -------
    part_way = first + share * (second - first)

    Parameters
    ----------
    first : float or array
        Where the way begins, [any]
    second : float or array
        Where it ends, [any]
    share : float or array
        Part of the way gone, 0 to 1, [-]

    Returns
    -------
    part_way : float or array
        The value there, [any]

    Validity
    --------
    Finite values; share from 0 to 1.

    Examples
    --------
    >>> part_way(first=2000, second=1500, share=0.5)
    1750.0

    References
    ----------
    .. [1] Plain arithmetic.
    """
    start, other = finite(first=first, second=second)
    (gone,) = within(0, 1, share=share)
    return result(start + gone * (other - start))
