"""Kits and facts as columns, so that one call computes a figure for all cases and all kits.

Shapes: C cases, K kits. A kit column has shape (1, K), a fact column (C, 1); both broadcast to (C, K).
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ..engine.fact_columns import kind_of
from ..frozen import frozen
from ..knowledge.records import CUSHION_TRAVEL, CUSHIONED, CUSHIONED_FROM
from .estimating import HARDEST, LIKELY, estimates_of, filled

if TYPE_CHECKING:
    from ..knowledge.model import Fact, KitTable, Knowledge, Order, Record, Value
    from .estimating import Estimates


@frozen
class Column:
    """``values`` and a boolean ``known`` of one broadcastable shape; unknown elements hold NaN or None."""

    values: np.ndarray
    known: np.ndarray

    def number(self, case: int, kit: int) -> float | None:
        """The value at (case, kit), or None where it is not known."""
        rows, columns = self.known.shape
        if not self.known[case if rows > 1 else 0, kit if columns > 1 else 0]:
            return None
        rows, columns = self.values.shape
        return self.values[case if rows > 1 else 0, kit if columns > 1 else 0]


def _column(values, axis):
    """A Column from a list with None where unknown; texts and flags stay objects."""
    kinds = {value.__class__ for value in values}
    lacking = None.__class__ in kinds
    known = np.array([value is not None for value in values]) if lacking else np.ones(len(values), dtype=bool)
    if all(issubclass(kind, float) for kind in kinds if kind is not None.__class__):
        numbers = [np.nan if value is None else value for value in values] if lacking else values
        array = np.array(numbers, dtype=float)
    else:
        array = np.empty(len(values), dtype=object)
        array[:] = values
    shape = (1, -1) if axis == "kit" else (-1, 1)
    return Column(array.reshape(shape), known.reshape(shape))


#: Id of a kit -> field -> its values by case.
ByRow = Mapping[str, Mapping[str, np.ndarray]]


class KitColumns:
    """The kits of a shop, in the order of their ids, with facing properties and kit tables at hand.

    ``estimates``: what was put into which of them, see `estimating`.
    """

    def __init__(self, kits: "Sequence[Record]", knowledge: "Knowledge", estimates: "Estimates | None" = None) -> None:
        self.estimates = estimates or {}
        self.rows = 0
        self._drawn_rows, self._elsewhere = 0, LIKELY
        self._by_row: ByRow | None = None
        self._hardest: KitColumns | None = None
        self.kits = tuple(sorted(kits, key=lambda kit: kit.id))
        self.ids = tuple(kit.id for kit in self.kits)
        self.index = {kit_id: place for place, kit_id in enumerate(self.ids)}
        self._knowledge = knowledge
        self._columns: dict[Hashable, Any] = {}

    @classmethod
    def of(cls, kits: "Sequence[Record]", knowledge: "Knowledge") -> "KitColumns":
        """Kits with what the estimates put into them, at their likely values."""
        estimates = estimates_of(kits, knowledge)
        return cls([filled(kit, estimates.get(kit.id, {}), LIKELY) for kit in kits], knowledge, estimates)

    def at(self, end: str) -> "KitColumns":
        """The same kits, what was put in at an end of it; these themselves where nothing was put in."""
        if self._hardest is not None and end == HARDEST:
            return self._hardest
        here = {name: self.estimates[name] for name in self.ids if name in self.estimates}
        if not here or self.rows == self._drawn_rows > 0 or self._by_row is not None:
            return self
        if self.rows:
            return self.keep(("at", end), lambda: self._drawn_at(end))
        return self.keep(
            ("at", end),
            lambda: KitColumns([filled(kit, here.get(kit.id, {}), end) for kit in self.kits], self._knowledge),
        )

    def drawn(self, rows: int, more: int = 0) -> "KitColumns":
        """The same kits, what was put in taking its low end, its likely value and its high end in turn over ``rows``
        cases, every field at a pace of its own; these themselves where nothing was put in.

        ``more``: as many cases behind them in which it is as in these here.
        """
        if not rows or not any(name in self.estimates for name in self.ids):
            return self
        other = KitColumns(self.kits, self._knowledge, self.estimates)
        other.rows, other._drawn_rows = rows + more, rows
        return other

    def _drawn_at(self, end):
        other = KitColumns(self.kits, self._knowledge, self.estimates)
        other.rows, other._drawn_rows, other._elsewhere = self.rows, self._drawn_rows, end
        return other

    def varied(self, rows: int, values: "ByRow", hardest: "ByRow | None" = None) -> "KitColumns":
        """The same kits, fields of some of them otherwise from case to case: id -> field -> its value in each of
        ``rows`` cases.

        ``hardest``: these values as a must on safety reads them, the other kits then at the end hardest for it.
        """
        base = self if hardest is not None else self.at(HARDEST)
        other = KitColumns(base.kits, self._knowledge, self.estimates)
        other.rows, other._by_row = rows, values
        if hardest is not None:
            other._hardest = self.varied(rows, hardest)
        return other

    def __len__(self) -> int:
        return len(self.kits)

    @property
    def order(self) -> "Order":
        """The Order they are ranked by."""
        return self._knowledge.order

    def subset(self, places: np.ndarray) -> "KitColumns":
        """The kits at ``places`` (sorted indices), kept for the next call with the same ones."""
        chosen = tuple(int(place) for place in places)
        if len(chosen) == len(self.kits):
            return self
        return self.keep(
            ("subset", chosen),
            lambda: self._part([self.kits[place] for place in chosen]),
        )

    def _part(self, kits):
        part = KitColumns(kits, self._knowledge, self.estimates)
        part.rows, part._by_row = self.rows, self._by_row
        part._drawn_rows, part._elsewhere = self._drawn_rows, self._elsewhere
        if self._hardest is not None:
            part._hardest = self._hardest.subset(np.array([self._hardest.index[kit.id] for kit in kits]))
        return part

    def keep(self, key: Hashable, build: Callable[[], Any]) -> Any:
        """What ``build`` gives, made once for a ``key``."""
        if key not in self._columns:
            self._columns[key] = build()
        return self._columns[key]

    def field(self, name: str) -> "Column":
        """Column (1, K) of a kit field; (cases, K) of one that was `drawn`."""
        return self.keep(("field", name), lambda: self._drawn(name) if self.rows else self.on_file(name))

    def on_file(self, name: str) -> "Column":
        """Column (1, K) of a kit field as the records have it, what was put in likely."""
        return self.keep(("on file", name), lambda: _column([kit.fields.get(name) for kit in self.kits], "kit"))

    def _drawn(self, name):
        column = self.on_file(name)
        if name == CUSHIONED:
            # Worked out from what may be otherwise from case to case, and otherwise with it.
            travel = self.field(CUSHION_TRAVEL)
            if len(travel.known) == 1:
                return column
            values = np.where(travel.known, travel.values >= CUSHIONED_FROM, column.values)
            return Column(values.astype(object), travel.known | column.known)
        if self._by_row is not None:
            return self._varied(name, column)
        put_in = {place: self.estimates.get(kit_id, {}).get(name) for place, kit_id in enumerate(self.ids)}
        if not any(put_in.values()):
            return column
        fields = sorted({estimate.field for estimate in self._knowledge.estimates})
        # Over 3, 9, 27 ... cases, so that every field meets every end of the others.
        pace = 3 ** (fields.index(name) % 5)
        turn = np.arange(self._drawn_rows) // pace % 3
        values = np.repeat(column.values, self.rows, axis=0)
        for place, estimated in put_in.items():
            if estimated is not None:
                values[:, place] = estimated.at(self._elsewhere)
                values[: len(turn), place] = np.array([estimated.low, estimated.likely, estimated.high])[turn]
        return Column(values, np.repeat(column.known, self.rows, axis=0))

    def _varied(self, name, column):
        by_place = {
            self.index[kit]: fields[name]
            for kit, fields in (self._by_row or {}).items()
            if kit in self.index and name in fields
        }
        if not by_place:
            return column
        values = np.repeat(column.values, self.rows, axis=0)
        for place, of_rows in by_place.items():
            values[:, place] = of_rows
        return Column(values, np.repeat(column.known, self.rows, axis=0))

    def facing(self, prop: str) -> "Column":
        """Column (1, K) of a property of each kit's facing."""
        facings = self._knowledge.facings

        def build():
            return _column(
                [
                    facings[kit.fields["facing"]].numbers.get(prop) if kit.fields.get("facing") in facings else None
                    for kit in self.kits
                ],
                "kit",
            )

        return self.keep(("facing", prop), build)

    def facing_curve(self) -> tuple[np.ndarray, np.ndarray]:
        """Temperatures and factors of each kit's facing curve, each (1, K, P), the last point repeated as filling."""

        def build():
            facings = self._knowledge.facings
            longest = max((len(facing.curve) for facing in facings.values()), default=1)
            temperatures = np.zeros((1, len(self.kits), longest))
            factors = np.ones((1, len(self.kits), longest))
            for place, kit in enumerate(self.kits):
                facing = facings.get(kit.fields.get("facing", ""))
                if facing is None:
                    continue
                points = list(facing.curve)
                # A curve is flat beyond its last point: filling points continue it one degree apart.
                while len(points) < longest:
                    points.append((points[-1][0] + 1.0, points[-1][1]))
                temperatures[0, place] = [at for at, _ in points]
                factors[0, place] = [factor for _, factor in points]
            return temperatures, factors

        return self.keep(("curve",), build)

    def table(self, name: str) -> "Column":
        """Column (1, K) of a kit table of order.yaml; (cases, K) where what it goes by differs from case to case."""
        return self.keep(("table", name), lambda: self._table(self.order.tables[name]))

    def _table(self, table):
        # Kits alike in what the table goes by are looked up once.
        alike = [tuple([kit.fields.get(by) for by in table.by]) for kit in self.kits]
        of_alike = {key: look_up(table, kit.fields) for key, kit in dict(zip(alike, self.kits)).items()}
        column = _column([of_alike[key] for key in alike], "kit")
        turning = [by for by in table.by if self.rows and len(self.field(by).known) > 1]
        if not turning:
            return column
        looked_up = [[value] * self.rows for value in column.values[0]]
        for place, kit in enumerate(self.kits):
            ways = list(zip(*(self.field(by).values[:, place] for by in turning)))
            if any(way != ways[0] for way in ways):
                of_way = {way: look_up(table, {**kit.fields, **dict(zip(turning, way))}) for way in set(ways)}
                looked_up[place] = [of_way[way] for way in ways]
        values = np.array([[np.nan if value is None else value for value in of_kit] for of_kit in looked_up]).T
        return Column(values, ~np.isnan(values))


def look_up(table: "KitTable", fields: "Mapping[str, Value]") -> float | None:
    """The row value of a KitTable for a kit's fields, or None where no row covers it."""
    for _, conditions, value in table.rows:
        if all(fields.get(field) in values for field, values in conditions):
            return value
    return None


class FactColumns:
    """Facts of one or many cases as columns (C, 1)."""

    def __init__(self, count: int, facts: "Mapping[str, Value] | None" = None) -> None:
        self.count = count
        self._facts = facts or {}
        self._columns: dict[str, Column] = {}

    @classmethod
    def of_case(cls, facts: "Mapping[str, Value]") -> "FactColumns":
        """One case: a mapping of facts to canonical values."""
        return cls(1, facts)

    def fact(self, name: str) -> "Column":
        """Column (C, 1) of a fact; all unknown where no case has it."""
        if name not in self._columns:
            if name in self._facts:
                self._columns[name] = _column([self._facts[name]], "case")
            else:
                self._columns[name] = Column(np.full((self.count, 1), np.nan), np.zeros((self.count, 1), dtype=bool))
        return self._columns[name]


def first_of_column(fact: "Fact", held: Any) -> np.ndarray:
    """The first element of such a column, or a filler where the fact has none (``held`` is None)."""
    if held is not None:
        return held[0][:1]
    kind = kind_of(fact)
    if kind == "choice":
        return np.array([-1], dtype=np.int16)
    if kind == "text":
        return np.array([None], dtype=object)
    return np.array([False]) if kind == "flag" else np.array([np.nan])
