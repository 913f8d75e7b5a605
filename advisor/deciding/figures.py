"""Figures: what the mechanics say about every kit in every case, all at once.

Each figure is one mechanics call on arrays. An element is unknown where an input is unknown or lies outside
the function's validity; the reason is kept for the latter.
"""

import functools
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import numpy as np

from ..engine.calculating import round_digits_array
from ..knowledge.functions import function
from ..knowledge.quantities import convert
from ..mechanics.argument_checks import MechanicsError
from .experienced import adjusted_figure, adjusted_inputs
from .kit_columns import Column, FactColumns, KitColumns

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge
    from .batch import BulkFacts


class Figures:
    """Figures of cases and kits, each worked out when it is first asked for.

    A column has shape (C, K) or (1, K). ``reasons``: figure -> {(case, kit): why unknown}, for figures asked for.
    ``live``: boolean (C, K) or None; what is worked out for each case is left unknown where it does not hold.
    """

    def __init__(self, program: "FigureProgram", kits: KitColumns, facts: "BulkFacts | FactColumns") -> None:
        self.columns: dict[str, Any] = {}
        self.reasons: dict[str, Any] = {}
        self.shared: dict[str, Any] = {}
        self.kits = kits
        self.facts = facts
        self.live: np.ndarray | None = None
        self._program = program

    def column(self, name: str) -> Column:
        """The Column of a figure."""
        column = self.columns.get(name)
        if column is None:
            calculation, function = self._program.steps[name]
            alone = self.kits.keep("figures that hang on kits alone", dict)
            if name in alone:
                column, self.reasons[name] = alone[name]
                # What it was worked out from is there as if it had been worked out here.
                for part in _parts(calculation):
                    if part.source == "figure":
                        self.column(part.name)
            else:
                column = adjusted_figure(name, _one(calculation, function, self), self.kits)
                if self.facts.count > 1 and len(column.known) == 1:
                    alone[name] = column, self.reasons.get(name, {})
            self.columns[name] = column
        return column

    def known_names(self, names: Iterable[str]) -> list[str]:
        """Those of ``names`` that are computed here or were put in."""
        return [name for name in names if name in self.columns or name in self._program.steps]

    def value(self, name: str, case: int, kit: int) -> float | None:
        """One element, a float, or None where unknown."""
        number = self.column(name).number(case, kit)
        return None if number is None else float(number)

    def reason(self, name: str, case: int, kit: int) -> str:
        """Why a figure is unknown, where the mechanics said so; else empty text."""
        reasons = self.reasons.get(name, {})
        return reasons.get((case, kit), reasons.get((0, kit), ""))

    def put(self, name: str, values: np.ndarray, known: np.ndarray) -> None:
        """Add a figure that is not computed by the mechanics (total price)."""
        self.columns[name] = Column(values, known)


class FigureProgram:
    """All figure calculations of the knowledge, compiled once."""

    def __init__(self, knowledge: "Knowledge") -> None:
        self.steps = {
            calculation.gives: (calculation, function(calculation.function))
            for calculation in knowledge.figure_calculations
        }

    def count_behind(self, name: str) -> int:
        """How many figures are worked out for one, itself included."""
        counted, waiting = set(), [name]
        while waiting:
            figure = waiting.pop()
            if figure in self.steps and figure not in counted:
                counted.add(figure)
                waiting += [part.name for part in _parts(self.steps[figure][0]) if part.source == "figure"]
        return len(counted)

    def figures(self, kits: KitColumns, facts: "BulkFacts | FactColumns") -> "Figures":
        """`Figures` for KitColumns ``kits`` and FactColumns ``facts``; nothing is computed yet."""
        return Figures(self, kits, facts)


#: One element that is known, from which all that is known begins.
ONE = np.ones((1, 1), dtype=bool)


def _parts(calculation):
    return [part for _, given in calculation.inputs for part in given.first_of or (given,)]


def _source(given, unit, figures):
    """The Column an input reads, its numbers in ``unit``."""
    if given.first_of:
        columns = [_source(alternative, unit, figures) for alternative in given.first_of]
        column = columns[-1]
        for earlier in reversed(columns[:-1]):
            column = Column(np.where(earlier.known, earlier.values, column.values), earlier.known | column.known)
        return column
    if given.source in ("value", "choice"):
        values = np.empty((1, 1), dtype=float if isinstance(given.value, float) else object)
        values[0, 0] = given.value
        column = Column(values, np.ones((1, 1), dtype=bool))
    elif given.source == "fact":
        column = figures.facts.fact(given.name)
    elif given.source == "kit":
        column = figures.kits.field(given.name)
    elif given.source == "facing":
        column = figures.kits.facing(given.name)
    elif given.source == "table":
        column = figures.kits.table(given.name)
    else:
        column = figures.column(given.name)
    if column.values.dtype == object or _same(given.unit, unit):
        return column
    if given.source in ("kit", "facing", "table"):
        key = ("in unit", given.source, given.name, given.unit, unit)
        return figures.kits.keep(key, lambda: Column(convert(column.values, given.unit, unit), column.known))
    return Column(convert(column.values, given.unit, unit), column.known)


def _one(calculation, function, figures):
    wanted = dict(calculation.units)
    constants, columns, curves = {}, {}, {}
    for keyword, given in calculation.inputs:
        unit = wanted.get(keyword, "any")
        if given.source == "facing" and given.name in ("curve_temperatures", "curve_factors"):
            curves[keyword] = figures.kits.facing_curve()[given.name == "curve_factors"]
        elif given.source in ("value", "choice") and not given.first_of:
            constants[keyword] = _source(given, unit, figures).values[0, 0]
        else:
            columns[keyword] = _source(given, unit, figures)
    columns = adjusted_inputs(calculation, columns, figures.kits)
    known = functools.reduce(np.logical_and, [column.known for column in columns.values()], ONE)
    if curves:
        known = known & np.ones((1, len(figures.kits)), dtype=bool)
    if figures.live is not None and known.shape == figures.live.shape:
        known = known & figures.live
    if not known.any():
        return Column(np.full(known.shape, np.nan), known)
    every = known.all()
    arguments = dict(constants)
    rows, kits = np.nonzero(known)
    for keyword, column in columns.items():
        picked = _at(column.values, rows, kits)
        arguments[keyword] = _plain(picked) if picked.dtype == object else picked
    for keyword, curve in curves.items():
        arguments[keyword] = np.broadcast_to(curve, (*known.shape, curve.shape[-1]))[known]
    result, good, reasons = _shared(calculation, function, arguments, known, figures)
    if not _same(calculation.result_unit, calculation.unit):
        result = convert(result, calculation.result_unit, calculation.unit)
    if reasons:
        figures.reasons[calculation.gives] = {(int(rows[at]), int(kits[at])): why for at, why in reasons.items()}
    good &= np.isfinite(result)
    if every and good.all():
        return Column(round_digits_array(result).reshape(known.shape), known)
    values, judged = np.full(known.shape, np.nan), known.copy()
    values[rows, kits] = np.where(good, round_digits_array(np.where(good, result, 0.0)), np.nan)
    judged[rows, kits] = good
    return Column(values, judged)


def _at(values, rows, kits):
    """Elements by their places, which costs less than a mask over the whole width for every input."""
    cases, width = values.shape
    if cases > 1:
        return values[rows, kits] if width > 1 else values[:, 0].take(rows)
    return values[0].take(kits) if width > 1 else values[0].repeat(len(rows))


def _plain(picked):
    """Choices and flags as an array NumPy can compare: flags as 0 and 1, choices as text."""
    if all(isinstance(value, bool) for value in picked):
        return picked.astype(float)
    return picked.astype(str)


def _same(array, other):
    return array == other or "any" in (array, other) or {array or "1", other or "1"} <= {"1", "-", "any"}


def _shared(calculation, function, arguments, known, figures):
    """`_call`, once for all functions that are parts of one result on the same inputs."""
    whole, place = getattr(function, "part_of", (None, None))
    if whole is None:
        return _call(function, arguments, int(known.sum()))
    key = (whole, calculation.inputs)
    if key not in figures.shared:
        figures.shared[key] = known, *_call_of_each(whole, arguments, int(known.sum()))
    then, results, good, reasons = figures.shared[key]
    if figures.live is not None:
        # Fewer are live than when it was worked out: theirs are picked out of it.
        still = known[then]
        places = np.cumsum(still) - 1
        reasons = {int(places[at]): why for at, why in reasons.items() if still[at]}
        results, good = results[still], good[still]
    return (results[:, place] if results.ndim > 1 else results), good.copy(), reasons


def _call_of_each(function, arguments, count):
    """As `_call`, equal elements worked out once: parts of one result take long, and many cases share it."""
    varied = {name: value for name, value in arguments.items() if isinstance(value, np.ndarray)}
    if not varied or any(value.shape != (count,) or value.dtype != float for value in varied.values()):
        return _call(function, arguments, count)
    whole = np.stack(list(varied.values()), axis=1)
    first: list[Any] = []
    places = {}
    which = np.empty(count, dtype=int)
    for at, element in enumerate(whole.view(f"V{whole.shape[1] * whole.itemsize}").reshape(-1).tolist()):
        if element not in places:
            places[element] = len(first)
            first.append(at)
        which[at] = places[element]
    fewer = {name: value[first] if name in varied else value for name, value in arguments.items()}
    results, good, reasons = _call(function, fewer, len(first))
    reasons = (
        {at: reasons[kind_of_row] for at, kind_of_row in enumerate(which) if kind_of_row in reasons} if reasons else {}
    )
    return results[which], good[which], reasons


def _call(function, arguments, count):
    """(results, good mask, {element: reason}): elements the function refuses are left out and it is called again."""
    good, chosen = np.ones(count, dtype=bool), arguments
    reasons: dict[int, str] = {}
    while len(reasons) < count:
        try:
            with np.errstate(all="ignore"):
                raw = function(**chosen)
        except MechanicsError as error:
            left = np.flatnonzero(good)
            refused = {index[0] for index in error.elements if index} or range(len(left))
            text = f"{error.argument} {error.reason}"
            for place in refused:
                reasons[int(left[place])] = text
                good[left[place]] = False
            chosen = {name: _chosen(value, good, count) for name, value in arguments.items()}
            continue
        results = np.full((count, *np.shape(raw)[1:]), np.nan)
        results[good] = raw
        return results, good, reasons
    return np.full(count, np.nan), good, reasons


def _chosen(value, good, count):
    return value[good] if isinstance(value, np.ndarray) and value.ndim and value.shape[0] == count else value
