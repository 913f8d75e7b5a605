"""Rows of a list as records: all faults of all rows at once, each with row, column, what is allowed and the remedy."""

import re
from collections.abc import Iterator, Mapping as Mapped, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from ..errors import AdvisorError, ErrorList, InputError, Position
from ..knowledge import quantities, signs
from ..knowledge.model import Knowledge
from ..knowledge.near import did_you_mean, nearest
from ..knowledge.records import record_fields
from ..knowledge.units import find
from .cell_values import CellReader, ascii_of, plain_value
from .grid import Cell, Grid
from .mapping import Mapping
from .numbers_in_columns import MARKS, Mark, mark_of, written
from .trade_columns import ListColumn, TradeWords, folded, head_row, matched

#: Fields that a list need not have: what they are where it says nothing.
LEFT_OUT_MEANS = {"factory": "no", "sold_as": "kit", "discontinued": "no"}
#: Names of no car on file that are told one by one.
STRANGE = 8
_ID = re.compile("[a-z0-9]+(-[a-z0-9]+)*")


@dataclass(frozen=True, slots=True)
class ListedRow:
    """A row as a record: ``fields``: path -> value as a file of records says it; ``raw``: path -> (text, unit read)."""

    number: int
    fields: Mapped[str, Any]
    raw: Mapped[str, tuple[str, str]]

    @property
    def id(self) -> str:
        """Its id."""
        return str(self.fields.get("id", ""))


@dataclass
class Listed:
    """What became of a list: ``rows`` read, ``faults`` of the others (by row), what is ``asked``, what is ``said``."""

    columns: tuple[ListColumn, ...] = ()
    rows: list[ListedRow] = field(default_factory=list)
    faults: list[AdvisorError] = field(default_factory=list)
    bad_rows: set[int] = field(default_factory=set)
    asked: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)


def read_list(
    grid: Grid,
    kind: str,
    knowledge: Knowledge,
    words: TradeWords,
    mapping: Mapping,
    cars: Mapped[str, str],
    *,
    currency: str = "",
    leave_out_rest: bool = False,
) -> Listed:
    """The records of a list of kits, platforms or parts; ``cars``: folded title or id of a platform -> its id;
    ``currency``: of prices that name none; ``leave_out_rest``: columns that nobody knows are left out, not asked about.

    InputError where no row names columns.
    """
    return _Reader(grid, kind, knowledge, words, mapping, cars, currency, leave_out_rest).read()


class _Reader(CellReader):
    def __init__(self, grid, kind, knowledge, words, mapping, cars, currency, leave_out_rest):
        self.currency, self.leave_out_rest = currency, leave_out_rest
        super().__init__(record_fields(kind, knowledge), knowledge, words, mapping, cars)
        self.grid, self.kind = grid, kind
        self.found = Listed(said=list(grid.said))
        self.wrong: set[str] = set()  # fields of the row at hand whose cells are at fault

    def read(self) -> Listed:
        rows, listed = self.grid.rows, self.found
        top = head_row(rows, _known(self), [*self.mapping.columns, *self.mapping.left_out])
        number, heads = rows[top]
        if top:
            listed.said.append(f"{_count(top, 'row')} above the names of the columns, in row {number}, left out.")
        columns = matched(
            heads,
            self.kind,
            self.knowledge,
            self.words,
            self.mapping.columns,
            self.mapping.left_out,
            self.mapping.units,
        )
        body = rows[top + 1 :]
        columns, body = self._unit_row(columns, body)
        if self.leave_out_rest:
            columns = [replace(column, how="left_out") if column.how == "unknown" else column for column in columns]
        listed.columns = tuple(columns)
        self._ask_columns(columns)
        body = self._without_totals(body, columns, heads)
        body = self._only(body, columns)
        if not body:
            raise InputError(
                "there are no rows below the names of the columns.",
                where=Position(self.grid.name, number),
                remedy="Write one record in each row.",
            )
        counted = [column for column in columns if column.counts]
        self._decide_marks(counted, body)
        seen: dict[str, int] = {}
        for at, cells in body:
            self._row(at, cells, counted, seen)
        self._tell_strange_cars()
        return listed

    def _tell_strange_cars(self):
        """Cars that are not on file are no fault, but a kit for one is offered for no other."""
        titles = {name: car for name, car in self.cars.items() if name}
        for text, car in [*self.strange_cars.items()][:STRANGE] if titles else ():
            near = next(iter(nearest(folded(text), titles)), "") or next(
                (name for name in sorted(titles) if name.startswith(folded(text))), ""
            )
            what = f"{text!r} is no car on file; it is kept as {car}."
            if near:
                what += f' For {titles[near]} say --value "fits:{text}={titles[near]}".'
            self.found.said.append(what)
        if titles and len(self.strange_cars) > STRANGE:
            self.found.said.append(f"{len(self.strange_cars) - STRANGE} more names are of no car on file.")

    # --- what the rows are ---------------------------------------------------------------------------------------

    def _unit_row(self, columns, body):
        """Units that stand in a row of their own below the headings."""
        if not body:
            return columns, body
        cells = body[0][1]
        texts = [cell.text.strip("[]() ") for cell in cells if cell.text]
        units = [text for text in texts if (unit := find(text)) is not None and unit.name != "1"]
        if not units or len(units) < 0.8 * len([text for text in texts if text not in ("-", "")]):
            return columns, body
        self.found.said.append(f"Row {body[0][0]} holds the units of the columns.")
        taken = []
        for column in columns:
            text = cells[column.place - 1].text.strip("[]() ") if column.place <= len(cells) else ""
            unit = find(text) if text else None
            if unit is not None and unit.name != "1" and not column.unit:
                column = replace(column, unit=unit.name)
                # Two things are called ID: a number of the list, and a length.
                if column.path == "id" and column.how != "said" and "inner_diameter" in self.fields:
                    column = replace(column, path="inner_diameter", how="words")
            taken.append(column)
        return taken, body[1:]

    def _without_totals(self, body, columns, heads):
        kept, left = [], []
        names = [cell.text for cell in heads]
        for number, cells in body:
            texts = [cell.text for cell in cells if cell.text]
            first = folded(texts[0]) if texts else ""
            words = first.split()
            total = bool(words) and (first in self.words.totals or words[0] in self.words.totals)
            if (total and len(texts) <= max(2, len(columns) // 2)) or [cell.text for cell in cells] == names:
                left.append(number)
            else:
                kept.append((number, cells))
        if left:
            shown = ", ".join(map(str, left[:8])) + (" ..." if len(left) > 8 else "")
            self.found.said.append(f"{_count(len(left), 'row')} of totals or repeated names left out: {shown}.")
        return kept

    def _only(self, body, columns):
        """The rows that the mapping says count."""
        for heading, texts in self.mapping.only.items():
            column = next((column for column in columns if folded(column.heading) == folded(heading)), None)
            if column is None:
                self.found.faults.append(
                    InputError(
                        f"the column {heading!r}, by which rows are chosen, is not there.",
                        where=Position(self.grid.name),
                        remedy="Take it out of the mapping.",
                    )
                )
                continue
            wanted = {folded(text) for text in texts}
            kept = [row for row in body if folded(_at(row[1], column).text) in wanted]
            if len(kept) < len(body):
                self.found.said.append(
                    f"{_count(len(body) - len(kept), 'row')} left out, whose {heading} is not {' or '.join(texts)}."
                )
            body = kept
        return body

    # --- columns -------------------------------------------------------------------------------------------------

    def _ask_columns(self, columns):
        taken: dict[str, ListColumn] = {}
        for column in columns:
            head = f"column {column.letter} ({column.heading})"
            if column.how == "near":
                self.found.asked.append(
                    f'{head}: is it {column.path}? Say --column "{column.heading}={column.path}", '
                    f'or --leave-out "{column.heading}".'
                )
            elif column.how == "unknown":
                self.found.asked.append(
                    f'{head}: what is it? Say --column "{column.heading}=FIELD", or --leave-out "{column.heading}".'
                )
            elif column.how == "said" and column.path not in self.fields:
                self._fault(None, column, f"{column.path} is no field.", did_you_mean(column.path, self.fields))
            elif column.counts and column.path in taken:
                self.found.asked.append(
                    f"columns {taken[column.path].letter} ({taken[column.path].heading}) and {column.letter} "
                    f"({column.heading}) are both {column.path}: say --leave-out for one of them, "
                    f'or what it is: --column "{column.heading}=FIELD".'
                )
            elif column.counts:
                taken[column.path] = column

    def _decide_marks(self, columns, body):
        for column, mark in self._marks_by_column(columns, body):
            self.marks[column.place] = mark
            head = f"column {column.letter} ({column.heading})"
            if mark.asked is not None and not mark.mark:
                number = written(mark.asked)
                both = number.readings if number else {}
                self.found.asked.append(
                    f"{head}: {mark.asked.text} may be {both['.']} or {both[',']}, and no cell of the list decides. "
                    f'Say --decimal "{column.heading}=." or --decimal "{column.heading}=,".'
                )
            elif mark.by is not None:
                sign = "comma" if mark.mark == "," else "point"
                self.found.said.append(f"In {head} the decimal mark is a {sign}: {mark.by.text} can be nothing else.")

    def _marks_by_column(self, columns, body):
        """Pairs (column, its `Mark`); one that nothing in it decides is written as all the others of the list are."""
        pairs = []
        for column in columns:
            field_ = self.fields.get(column.path)
            if field_ is None or (field_.kind != "number" and column.path != "gear_ratios"):
                continue
            said = self.mapping.decimal.get(column.heading, self.mapping.decimal.get("", ""))
            cells = [cell for _, row in body if (cell := _at(row, column)).text]
            pairs.append((column, Mark(said) if said in MARKS else mark_of(cells)))
        decided = {mark.mark: column for column, mark in pairs if mark.mark and mark.mixed is None}
        if len(decided) != 1 or any(mark.mixed is not None for _, mark in pairs):
            return pairs
        ((sign, other),) = decided.items()
        taken = []
        for column, mark in pairs:
            if mark.asked is not None and not mark.mark:
                word = "comma" if sign == "," else "point"
                self.found.said.append(
                    f"In column {column.letter} ({column.heading}) the decimal mark is taken for a {word}, as in "
                    f"column {other.letter} ({other.heading}); --decimal says otherwise."
                )
                mark = Mark(sign)
            taken.append((column, mark))
        return taken

    # --- one row -------------------------------------------------------------------------------------------------

    def _row(self, number, cells, columns, seen):
        fields: dict[str, Any] = {}
        self.wrong = set()
        raw: dict[str, tuple[str, str]] = {}
        before = len(self.found.faults)
        last = max((column.place for column in self.found.columns), default=0)
        if len(cells) > last and any(cell.text for cell in cells[last:]):
            self._fault(
                number, None, f"the row has {len(cells)} cells for {last} columns.", "Look for a mark inside a text."
            )
        currency = ""
        for column in columns:
            cell = _at(cells, column)
            text = cell.text
            if not text or text.strip().casefold() in self.words.blank:
                continue
            if column.path in fields or column.path not in self.fields:
                continue
            odd = signs.first_odd(text.replace("\n", " "))
            if odd:
                self._fault(number, column, f"the cell holds {odd}, an invisible or control sign.", "Take it out.")
                continue
            try:
                value, unit, money = self.value(column, cell)
            except AdvisorError as error:
                self._fault(number, column, error.what, error.remedy, text)
                continue
            if value is not None:
                fields[column.path], raw[column.path] = value, (text, unit)
            currency = currency or money
        for path, value in self.mapping.same.items():
            if path in self.fields:
                fields.setdefault(path, plain_value(value, self.fields[path]))
        if currency and "currency" in self.fields and fields.setdefault("currency", currency) != currency:
            self._fault(
                number, None, f"the price is in {currency}, the row in {fields['currency']}.", "Say which is right."
            )
        if "price" in fields and "currency" not in fields and self.currency:
            fields["currency"] = self.currency
            said = f"Prices that name no currency are in the shop's, {self.currency}."
            if said not in self.found.said:
                self.found.said.append(said)
        if self.kind == "kits":
            usual = LEFT_OUT_MEANS | ({"flywheel": "reuse"} if str(fields.get("discs")) == "1" else {})
            taken = {path: value for path, value in usual.items() if path not in fields}
            fields |= taken
            as_taken = ", ".join(f"{path} {value}" for path, value in taken.items())
            if taken and (said := f"What a row does not say is taken as: {as_taken}.") not in self.found.said:
                self.found.said.append(said)
        if self.found.asked and not fields.keys() & {"id", "title"}:
            self.found.bad_rows.add(number)  # its name may stand in a column that is still asked about
            return
        self._identify(number, fields, seen)
        self._lacking(number, fields)
        if len(self.found.faults) == before:
            self.found.rows.append(ListedRow(number, fields, raw))
        else:
            self.found.bad_rows.add(number)

    def _identify(self, number, fields, seen):
        given = str(fields.get("id") or fields.get("title") or "")
        new_id = "-".join(re.findall("[a-z0-9]+", ascii_of(given)))
        if not new_id:
            self._fault(number, None, "the row has no number and no name.", "Write its article number.")
            return
        fields["id"] = new_id
        fields.setdefault("title", given)
        first = seen.setdefault(new_id, number)
        if first != number:
            self._fault(number, None, f"{given} stands in row {first} already.", "Keep one of the two.", given)

    def _lacking(self, number, fields):
        ring = [fields.get(name) for name in ("inner_diameter", "outer_diameter")]
        if None not in ring:
            inner, outer = (quantities.read(value, self.fields["outer_diameter"]) for value in ring)
            if inner >= outer:
                self._fault(
                    number, None, "the inner diameter is not smaller than the outer one.", "Look which column is which."
                )
        if "price" in self.wrong:  # what it is in stands with it
            self.wrong.add("currency")
        if self.found.asked:  # what a column is comes before what a row lacks
            return
        lacking = [
            path
            for path, field_ in self.fields.items()
            if field_.required and path not in fields and path not in ("fits", "id", "title", *self.wrong)
        ]
        if lacking:
            self._fault(
                number,
                None,
                f"the row lacks {', '.join(lacking)}.",
                "Fill it in; or, where it is the same in every row, say it: "
                + ", ".join(f'--same "{path}={self._such(path)}"' for path in lacking)
                + ".",
            )

    def _such(self, path):
        """What may stand for a field, as it is said on the command line."""
        field_ = self.fields[path]
        if path == "facing":
            return "|".join(self.knowledge.facings)
        if field_.choices:
            return "|".join(f"{choice:g}" if isinstance(choice, float) else str(choice) for choice in field_.choices)
        return f"... {field_.unit}".rstrip(" 1") if field_.kind == "number" else "..."

    def _fault(self, number, column, what, remedy="", value=None):
        if column is not None:
            self.wrong.add(column.path)
        head = f"column {column.letter} ({column.heading}): " if column is not None else ""
        place = Position(self.grid.name, number or 1, column.place if column is not None else 1)
        self.found.faults.append(InputError(f"{head}{what}", where=place, value=value, remedy=remedy))


def _known(reader):
    from .trade_columns import names

    return names(reader.kind, reader.knowledge, reader.words)


def _at(cells: Sequence[Cell], column: ListColumn) -> Cell:
    return cells[column.place - 1] if column.place <= len(cells) else Cell("")


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"


def nodes_of(fields: Mapped[str, Any]) -> Iterator[tuple[str, Any]]:
    """Pairs of a record as a file of records nests it: dotted paths become mappings."""
    nested: dict[str, Any] = {}
    for path, value in fields.items():
        *outer, last = path.split(".")
        target = nested
        for name in outer:
            target = target.setdefault(name, {})
        target[last] = value
    yield from nested.items()


__all__ = ["ErrorList", "Listed", "ListedRow", "nodes_of", "read_list"]
