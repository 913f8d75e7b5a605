"""Facts of many cases as NumPy columns.

A column is (values, known): ``known`` a bool array, one element a case. By kind of fact the values are

======  =================================================================================================
number  float array; what stands where the fact is unknown does not matter
choice  integer array of places in the fact's ``choices``
flag    bool or integer array
text    object array of str
list    mapping member -> bool array: does the list hold the member; one that holds none is not known
======  =================================================================================================

``known`` may be None where the fact is known in every case.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..errors import EngineError
from ..frozen import frozen
from ..knowledge.model import Fact, Value

#: One truth value a case.
Flags = NDArray[np.bool_]
#: A column as it is handed in and out: (values, known).
Given = tuple[Any, Flags | None]

CODES = np.int16


class FactColumn:
    """One fact inside the bulk evaluator: NaN, -1 or None stand where it is unknown, so most tests need no mask."""

    __slots__ = ("known", "values")

    def __init__(self, values: Any, known: Flags) -> None:
        self.values, self.known = values, known


def kind_of(fact: Fact) -> str:
    """The kind of column a fact has; a choice without a closed set of choices is a text."""
    return "text" if fact.kind == "choice" and not fact.choices else fact.kind


def empty(fact: Fact, rows: int) -> FactColumn:
    """The FactColumn of a fact unknown in every case."""
    kind, known = kind_of(fact), np.zeros(rows, bool)
    if kind == "number":
        return FactColumn(np.full(rows, np.nan), known)
    if kind == "list":
        return FactColumn({}, known)
    return FactColumn(np.full(rows, None, object) if kind == "text" else np.full(rows, -1, CODES), known)


def read(fact: Fact, given: Given, rows: int) -> FactColumn:
    """The FactColumn of what was handed in for ``fact``; EngineError where it is not as the module says."""
    values, known = given
    known = np.ones(rows, bool) if known is None else np.asarray(known)
    kind = kind_of(fact)
    arrays = [known, *(values.values() if kind == "list" else (np.asarray(values),))]
    if known.dtype != bool or any(array.shape != (rows,) for array in arrays):
        raise EngineError(f"the column {fact.name} must hold one value and one truth value for each of {rows} cases.")
    if kind == "list":
        if not set(values) <= set(fact.choices):
            raise EngineError(f"the column {fact.name} must hold nothing but its choices.")
        members = {member: np.asarray(flags, bool) & known for member, flags in values.items()}
        # A list without members holds nothing, and counts as not known.
        some = np.logical_or.reduce(list(members.values())) if members else np.zeros(rows, bool)
        return FactColumn(members, known & some)
    values = np.asarray(values)
    good: Flags
    if kind == "number":
        every = known.all()
        values = (values if every else np.where(known, values, np.nan)).astype(float, copy=False)
        good = np.isfinite(values) if every else np.isfinite(values) | ~known
    elif kind == "text":
        values = np.where(known, values, np.array(None))
        good = np.array([value is None or isinstance(value, str) for value in values])
    else:
        if values.dtype.kind not in "biu":
            raise EngineError(f"the column {fact.name} must hold whole numbers that stand for its values.")
        count = 2 if kind == "flag" else len(fact.choices)
        good = ~known | (values >= 0) & (values < count)
        values = np.where(known, values, -1).astype(CODES)
    if not good.all():
        raise EngineError(
            f"the column {fact.name} holds a value outside its kind, first in case {int(np.argmin(good))}."
        )
    return FactColumn(values, known)


def columns(
    facts: Mapping[str, Fact], cases: Sequence[tuple[Mapping[str, Value], Iterable[str]]]
) -> tuple[dict[str, Given], dict[str, Flags]]:
    """(columns, answered masks) of ``cases``, pairs of a mapping of facts and the names answered.

    ``facts`` maps name -> Fact, as a RuleBase has it.
    """
    rows = len(cases)
    # Cases tried together are much alike: all are filled as the first, and what differs is put in its place.
    first: Mapping[str, Value] = cases[0][0] if rows else {}
    filled = shared_columns(facts, first, rows)
    said: dict[str, Flags] = {}
    for row, (given, answered) in enumerate(cases):
        for name in first.keys() - given.keys():
            _take_out(facts[name], filled[name], row)
        for name, value in given.items():
            if name not in filled:
                filled[name] = empty(facts[name], rows)
            if name not in first or first[name] != value:
                _put(facts[name], filled[name], row, value)
        for name in answered:
            said.setdefault(name, np.zeros(rows, bool))[row] = True
    return given_of(filled), said


@frozen
class Cases:
    """Some cases as they are handed in: their ``columns`` and ``answered`` masks, and how many there are."""

    columns: Mapping[str, Given]
    answered: Mapping[str, Flags]
    rows: int


def stacked(facts: Mapping[str, Fact], upper: Cases, lower: Cases) -> Cases:
    """Cases one below the other; what a fact or an answer is not among of either is unknown in it."""
    both, rows = (upper, lower), upper.rows + lower.rows
    joined: dict[str, Given] = {}
    for name in {**upper.columns, **lower.columns}:
        pieces = [
            read(facts[name], cases.columns[name], cases.rows)
            if name in cases.columns
            else empty(facts[name], cases.rows)
            for cases in both
        ]
        values: Any
        if facts[name].kind == "list":
            values = {
                member: np.concatenate(
                    [piece.values.get(member, np.zeros(cases.rows, bool)) for piece, cases in zip(pieces, both)]
                )
                for member in {**pieces[0].values, **pieces[1].values}
            }
        else:
            values = np.concatenate([piece.values for piece in pieces])
        joined[name] = values, np.concatenate([piece.known for piece in pieces])
    answered = {
        name: np.concatenate([cases.answered.get(name, np.zeros(cases.rows, bool)) for cases in both])
        for name in {**upper.answered, **lower.answered}
    }
    return Cases(joined, answered, rows)


@frozen
class Trial:
    """One fact at another value, tried in some of many cases: their ``rows``."""

    fact: str
    value: Value
    rows: NDArray[np.intp]


def each_tried(facts: Mapping[str, Fact], cases: Cases, trials: Sequence[Trial]) -> Cases:
    """A case for each row of each Trial, one Trial after the other: that case, but for the one fact.

    Every fact that is tried has a column among those of ``cases``.
    """
    every = np.concatenate([trial.rows for trial in trials]) if trials else np.zeros(0, int)
    columns = {name: taken(column, every) for name, column in cases.columns.items()}
    start = 0
    for trial in trials:
        count, (values, known) = len(trial.rows), columns[trial.fact]
        place = slice(start, start + count)
        known = np.ones(len(every), bool) if known is None else known
        other = shared_columns(facts, {trial.fact: trial.value}, count)[trial.fact]
        known[place] = other.known
        if isinstance(values, dict):
            for member in {*values, *other.values}:
                flags = values.setdefault(member, np.zeros(len(every), bool))
                flags[place] = other.values.get(member, False)
        else:
            values[place] = other.values
        columns[trial.fact] = values, known
        start += count
    return Cases(columns, {name: mask[every] for name, mask in cases.answered.items()}, len(every))


def some_of(cases: Cases, rows: NDArray[np.intp]) -> Cases:
    """Some of many cases, in the order of ``rows``."""
    return Cases(
        {name: taken(column, rows) for name, column in cases.columns.items()},
        {name: mask[rows] for name, mask in cases.answered.items()},
        len(rows),
    )


def taken(given: Given, rows: NDArray[np.intp]) -> Given:
    """A column of some of its cases, in the order of ``rows``."""
    values, known = given
    picked = {member: flags[rows] for member, flags in values.items()} if isinstance(values, dict) else values[rows]
    return picked, None if known is None else known[rows]


def given_of(filled: Mapping[str, FactColumn]) -> dict[str, Given]:
    """Columns as they are handed in."""
    return {name: (column.values, column.known) for name, column in filled.items()}


def shared_columns(facts: Mapping[str, Fact], given: Mapping[str, Value], rows: int) -> dict[str, FactColumn]:
    """Columns of ``rows`` cases in each of which the same is given; into these `put` puts what is their own."""
    filled = {name: empty(facts[name], rows) for name in given}
    for name, value in given.items():
        _put(facts[name], filled[name], slice(None), value)
    return filled


def constant_columns(facts: Mapping[str, Fact], given: Mapping[str, Value], rows: int) -> dict[str, Given]:
    """The same as they are handed in, for whoever puts other columns in their place."""
    return given_of(shared_columns(facts, given, rows))


def put(fact: Fact, filled: dict[str, FactColumn], row: int, value: Value, rows: int) -> bool:
    """Put the value of one case in the place of what is shared; whether the fact can have it."""
    column = filled.get(fact.name)
    if column is None:
        column = filled[fact.name] = empty(fact, rows)
    members = value if isinstance(value, tuple) else (value,)
    if kind_of(fact) in ("choice", "list") and any(member not in fact.choices for member in members):
        return False
    _put(fact, column, row, value)
    return True


def put_elements(fact: Fact, filled: dict[str, FactColumn], rows: Any, values: Any, count: int) -> None:
    """As `put`, of several cases at once: ``values`` as the column has them, one for each of ``rows``."""
    column = filled.get(fact.name)
    if column is None:
        column = filled[fact.name] = empty(fact, count)
    column.values[rows] = values
    column.known[rows] = True


def _take_out(fact, column, row):
    """As where nothing was put."""
    column.known[row] = False
    if kind_of(fact) == "list":
        for flags in column.values.values():
            flags[row] = False
    else:
        column.values[row] = empty(fact, 1).values[0]


def _put(fact, column, row, value):
    kind = kind_of(fact)
    column.known[row] = True
    if kind == "list":
        for flags in column.values.values():
            flags[row] = False
        for member in value:
            column.values.setdefault(member, np.zeros(len(column.known), bool))[row] = True
    else:
        column.values[row] = fact.choices.index(value) if kind == "choice" else value


def value(fact: Fact, column: FactColumn, row: int) -> Value | None:
    """The fact's value in one case as the engines have it, or None where it is unknown."""
    if not column.known[row]:
        return None
    kind = kind_of(fact)
    if kind == "list":
        return tuple(sorted(member for member, flags in column.values.items() if flags[row]))
    element = column.values[row]
    if kind == "number":
        return float(element)
    if kind == "flag":
        return bool(element)
    return str(element) if kind == "text" else fact.choices[element]
