"""Two batches of the same cases, one decided by the old rules and one by the new: where they differ and how."""

from typing import TYPE_CHECKING

import numpy as np

from ..deciding.verdicts import NOT_ASKED
from ..engine.fact_columns import kind_of

if TYPE_CHECKING:
    from ..deciding.batch import Batched


def reasons_differ(old: "Batched", new: "Batched") -> np.ndarray:
    """Boolean mask of the cases whose facts, or whose verdicts on or figures of a kit that fits, differ.

    ``old`` and ``new``: Batched over the same cases. Fired rules are compared by what follows from them.
    """
    differs = old.missing != new.missing
    differs |= _facts_differ(old.derived, new.derived)
    places = {kit: place for place, kit in enumerate(new.kits.ids)}
    pairs = [(place, places[kit]) for place, kit in enumerate(old.kits.ids) if kit in places]
    for side, shared in ((old, {here for here, _ in pairs}), (new, {there for _, there in pairs})):
        alone = [place for place in range(len(side.kits)) if place not in shared]
        # A kit judged on one side only was refused for its dimensions on the other.
        differs |= _fits(side)[:, alone].any(axis=1)
    if pairs:
        here, there = (np.array(side, dtype=int) for side in zip(*pairs))
        fits = _fits(old)[:, here] | _fits(new)[:, there]
        differs |= _checks_differ(old, new, here, there, fits)
        differs |= _figures_differ(old, new, here, there, fits)
        gentle = [side.gentle_ranks[:, places] for side, places in ((old, here), (new, there))]
        differs |= _order_differs(fits, *gentle)
        passes = old.passes[:, here] & new.passes[:, there]
        differs |= _order_differs(passes, old.places[:, here], new.places[:, there])
    return differs


def _order_differs(chosen, before, after):
    """Whether the chosen kits of a case stand in another order: (C,) from masks and ranks (C, K)."""
    last = max(before.max(initial=0), after.max(initial=0)) + 1
    orders = [np.argsort(np.where(chosen, ranks, last), axis=1, kind="stable") for ranks in (before, after)]
    return (orders[0] != orders[1]).any(axis=1)


def _facts_differ(old, new):
    differs = np.zeros(old.rows, dtype=bool)
    for name in sorted({*old.columns, *new.columns}):
        sides = [side.fact(name) if name in side.base.facts else None for side in (old, new)]
        there = [side for side in sides if side is not None]
        if len(there) < 2:
            differs |= there[0][1]
            continue
        kinds = [kind_of(side.base.facts[name]) for side in (old, new)]
        known = [side[1] for side in there]
        differs |= known[0] != known[1]
        if kinds[0] != kinds[1]:
            differs |= known[0] | known[1]
            continue
        values = [_values(side.base.facts[name], kinds[0], values) for side, (values, _) in zip((old, new), there)]
        differs |= known[0] & known[1] & _unlike(kinds[0], *values)
    return differs


def _values(fact, kind, values):
    """Choices as their texts, so that another order of the choices is no difference."""
    return np.array([*fact.choices, None], dtype=object)[values] if kind == "choice" else values


def _unlike(kind, before, after):
    if kind != "list":
        return before != after
    names = sorted({*before, *after})
    size = len(next(iter({**before, **after}.values()), ()))
    none = np.zeros(size, dtype=bool)
    return np.logical_or.reduce([before.get(name, none) != after.get(name, none) for name in names]) if names else False


def _fits(side):
    """(C, K): the kit fails no dimension in that case, and the case was judged."""
    return side.fits & ~side.missing[:, None]


def _checks_differ(old, new, here, there, fits):
    differs = np.zeros(fits.shape[0], dtype=bool)
    before = {checked.requirement.id: checked.status[:, here] for checked in old.checks}
    after = {checked.requirement.id: checked.status[:, there] for checked in new.checks}
    for name in {*before, *after}:
        absent = np.full(fits.shape, NOT_ASKED, dtype=np.int8)
        differs |= (fits & (before.get(name, absent) != after.get(name, absent))).any(axis=1)
    return differs


def _figures_differ(old, new, here, there, fits):
    differs = np.zeros(fits.shape[0], dtype=bool)
    for name in sorted({*old.figures.columns, *new.figures.columns}):
        known, values = zip(*(_figure(side, name, places, fits.shape) for side, places in ((old, here), (new, there))))
        unlike = (known[0] != known[1]) | known[0] & known[1] & (values[0] != values[1])
        differs |= (fits & unlike).any(axis=1)
    return differs


def _figure(side, name, places, shape):
    column = side.figures.columns.get(name)
    if column is None:
        return np.zeros(shape, dtype=bool), np.zeros(shape)
    whole = (side.derived.rows, len(side.kits))
    return np.broadcast_to(column.known, whole)[:, places], np.broadcast_to(column.values, whole)[:, places]
