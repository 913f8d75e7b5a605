"""The ladder: from the gentlest kit to the harshest, and the pick.

Key of a passing kit: (failed concerns as 0/1 in their order, harshness class, discs, clamp load, bedded
capacity, total price, id). Gentler means earlier by the key without the concerns.
"""

import numpy as np

from .checks import FAIL, UNKNOWN

HARSHNESS = "harshness"
CAPACITY = "capacity_bedded_nm"
PRICE = "total_price"


def failed_concerns(checks, concerns, shape):
    """Boolean (C, K, number of concerns): a should of that concern is failed or not known."""
    failed = np.zeros((*shape, len(concerns)), dtype=bool)
    for checked in checks:
        if checked.requirement.level == "should":
            place = concerns.index(checked.requirement.concern)
            failed[:, :, place] |= (checked.status == FAIL) | (checked.status == UNKNOWN)
    return failed


def _whole(column, shape):
    """Values with unknown as infinity, broadcast to (C, K)."""
    values = np.where(column.known, column.values, np.inf).astype(float)
    return np.broadcast_to(values, shape)


def gentleness_keys(kits, figures, shape):
    """The key without the concerns: a list of (C, K) arrays, most important first; ids are the columns' order."""
    keys = [
        _whole(kits.table(HARSHNESS), shape),
        _whole(kits.field("discs"), shape),
        _whole(kits.field("clamp_load"), shape),
        _whole(figures.column(CAPACITY), shape),
    ]
    if PRICE in figures.columns:
        keys.append(_whole(figures.column(PRICE), shape))
    keys.append(np.broadcast_to(np.arange(shape[1], dtype=float), shape))
    return keys


def ranks(keys):
    """Place of each kit in the order of ``keys`` (C, K): 0 is first."""
    order = np.lexsort(tuple(reversed(keys)), axis=-1)
    places = np.empty_like(order)
    np.put_along_axis(places, order, np.broadcast_to(np.arange(order.shape[1]), order.shape), axis=-1)
    return places


def concern_number(failed):
    """The concern vectors as one number each, first concern heaviest (C, K)."""
    weights = 2 ** np.arange(failed.shape[-1] - 1, -1, -1, dtype=np.int64)
    return (failed * weights).sum(axis=-1)


def picks(passes, ladder_ranks):
    """Index of the pick for each case (C,), -1 where no kit passes."""
    best = np.where(passes, ladder_ranks, passes.shape[1]).argmin(axis=1)
    return np.where(passes.any(axis=1), best, -1)
