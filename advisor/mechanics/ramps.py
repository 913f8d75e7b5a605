"""Numbers that grow along a ramp instead of leaping at a limit, so that no small change makes a large one.

In the units here ``[any]`` stands for any one unit, the same for every ``[any]``
argument of a function and for an ``[any]`` result.
"""

import numpy as np

from .checks import finite, positive, result, within


def amount_along(*, value, none_at, full_at, amount):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def part_way(*, first, second, share):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> part_way(first=2000, second=1500, share=0.5)
    1750.0

    References
    ----------
    .. [1] Plain arithmetic.
    """
    one, other = finite(first=first, second=second)
    (gone,) = within(0, 1, share=share)
    return result(one + gone * (other - one))
