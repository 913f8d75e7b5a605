"""Requirements against figures and kit fields: pass, fail, unknown, or not asked of this kit."""

import functools
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ..frozen import frozen
from ..knowledge.model import FactRef, KitRef, Requirement
from .kit_columns import Column, FactColumns, KitColumns

if TYPE_CHECKING:
    from .batch import BulkFacts
    from .figures import Figures

FAIL, PASS, UNKNOWN, NOT_ASKED = 0, 1, 2, 3


@frozen
class Checked:
    """One requirement judged: ``status`` int8 (C, K); ``limits`` Columns (one, or two for between);
    ``actual``: the Column held against them.
    """

    requirement: Requirement
    status: np.ndarray
    limits: tuple
    actual: Column


def check(
    requirement: Requirement,
    posted: np.ndarray,
    kits: KitColumns,
    facts: "BulkFacts | FactColumns",
    figures: "Figures | None",
) -> "Checked":
    """Judge one requirement for all cases and kits.

    ``posted``: boolean (C, 1), the cases in which its rule fired.
    """
    shape = (facts.count, len(kits))
    if requirement.source == "kit":
        actual = kits.field(requirement.measure)
    else:
        assert figures is not None, "only requirements on kits are checked before the figures"
        actual = figures.column(requirement.measure)
    limits = _limits(requirement, kits, facts)
    known = actual.known
    for limit in limits:
        known = known & limit.known
    holds = _holds(requirement.compare, actual, limits)
    status = np.where(known, np.where(holds, PASS, FAIL), UNKNOWN).astype(np.int8)
    asked = posted
    for field, values in requirement.of_kits:
        column = kits.field(field)
        among = kits.keep(("among", field, tuple(values)), functools.partial(_has, column, values))
        # Whether it is asked of a kit that leaves the field out is not known, unless the kit meets it anyway.
        status = np.where(~column.known & (status == FAIL), UNKNOWN, status)
        asked = asked & (among | ~column.known)
    status = np.broadcast_to(np.where(asked, status, NOT_ASKED), shape).astype(np.int8)
    return Checked(requirement, status, limits, actual)


def _limits(requirement, kits, facts):
    def column(limit):
        if isinstance(limit, FactRef):
            return facts.fact(limit.name)
        if isinstance(limit, KitRef):
            return kits.field(limit.name)
        values = np.empty((1, 1), dtype=float if isinstance(limit, float) else object)
        values[0, 0] = limit
        return Column(values, np.ones((1, 1), dtype=bool))

    if requirement.compare == "between":
        return tuple(column(limit) for limit in requirement.limit)
    return (column(requirement.limit),)


def _has(column, values):
    return column.known & _among(column, values)


def _among(column, values):
    return np.isin(_comparable(column.values), _comparable(np.array(list(values), dtype=object)))


def _comparable(values):
    return values.astype(str) if values.dtype == object else values


def _holds(compare, actual, limits):
    values = actual.values
    with np.errstate(invalid="ignore"):
        if compare == "between":
            return (values >= limits[0].values) & (values <= limits[1].values)
        if compare in ("in", "not_in"):
            held = _among(actual, limits[0].values[0, 0])
            return held if compare == "in" else ~held
        limit = limits[0].values
        if compare == "is":
            return _comparable(values) == _comparable(limit)
        return {
            "at_least": np.greater_equal,
            "at_most": np.less_equal,
            "above": np.greater,
            "below": np.less,
        }[compare](values, limit)


class Masks(NamedTuple):
    """Boolean (C, K): passes every must; fails one; fails none, but of one it is not known."""

    passes: np.ndarray
    failed: np.ndarray
    unjudged: np.ndarray


def verdict_masks(checks: "Sequence[Checked]", shape: tuple[int, int]) -> Masks:
    """The `Masks` of the checked musts."""
    failed = np.zeros(shape, dtype=bool)
    unknown = np.zeros(shape, dtype=bool)
    for checked in checks:
        if checked.requirement.level == "must":
            failed |= checked.status == FAIL
            unknown |= checked.status == UNKNOWN
    return Masks(~failed & ~unknown, failed, ~failed & unknown)
