"""One cell of a list as the value of a field: numbers with units, choices by the trade's words, cars, tyres."""

import re
import unicodedata
from collections.abc import Mapping as Mapped
from decimal import Decimal, InvalidOperation
from typing import Any

from ..errors import InputError
from ..knowledge import quantities, signs
from ..knowledge.model import KitField, Knowledge
from ..knowledge.units import UNITS, find
from . import tyres
from .grid import Cell
from .mapping import Mapping
from .numbers_in_columns import Mark, written
from .trade_columns import ListColumn, TradeWords, folded

LISTS = ("fits",)


class CellReader:
    """Reads cells of the columns of one list; ``marks``: place of a column -> its decimal mark."""

    def __init__(
        self,
        fields: Mapped[str, KitField],
        knowledge: Knowledge,
        words: TradeWords,
        mapping: Mapping,
        cars: Mapped[str, str],
    ) -> None:
        self.fields, self.knowledge, self.words, self.mapping, self.cars = fields, knowledge, words, mapping, cars
        self.marks: dict[int, Mark] = {}
        #: Texts that name no car on file -> the id made of them.
        self.strange_cars: dict[str, str] = {}

    def value(self, column: ListColumn, cell: Cell) -> tuple[Any, str, str]:
        """(value as a file of records has it, the unit it was read in, the currency beside it) of one cell."""
        path, text = column.path, cell.text.strip()
        field_ = self.fields[path]
        if path in LISTS:
            return self._cars(text), "", ""
        if path == "gear_ratios":
            return self._ratios(column, text), "", ""
        if path == "stock.clutch":
            return "-".join(re.findall("[a-z0-9]+", ascii_of(text))), "", ""
        said = self.mapping.values.get(path, {})
        if text in said:
            return plain_value(said[text], field_), "", ""
        if path == "tyre_radius" and tyres.looks_like(text):
            return f"{tyres.rolling_radius_mm(text):g} mm", "sidewall size", ""
        if field_.kind == "number":
            return self._number(column, cell, field_)
        if field_.kind == "flag":
            return self._flag(text), "", ""
        if field_.choices:
            return self._choice(path, text, field_.choices), "", ""
        if path in ("facing", "kind"):
            known = self.words.values.get(path, {})
            member = known.get(folded(text), folded(text).replace(" ", "_"))
            if path == "facing" and member not in self.knowledge.facings:
                raise InputError(
                    f"the facing {text!r} is not known.", remedy=_allowed(self.knowledge.facings, path, text)
                )
            return member, "", ""
        return signs.from_cell(text.replace("\n", " ")), "", ""

    def _number(self, column, cell, field_):
        words = self.words.values.get(column.path, {})
        if not cell.exact and folded(cell.text) in words:
            return _decimal(words[folded(cell.text)]), "", ""
        number = written(cell)
        if number is None:
            in_unit = f" in {field_.unit}" if field_.unit not in ("", "1") else ""
            raise InputError(
                f"{signs.line(cell.text)[:40]!r} is not a number.",
                remedy=f"Write a number{in_unit}, or leave it empty.",
            )
        decided = self.marks.get(column.place, Mark())
        mark, readings = decided.mark, number.readings
        if not mark and decided.asked is not None and readings.get(".") != readings.get(","):
            return None, "", ""  # the column is asked about
        value = readings.get(mark) if mark else readings.get(".") or readings.get(",")
        if value is None:
            raise InputError(
                f"{cell.text!r} is not written with the decimal mark of the other rows.",
                remedy="Write all numbers of a column alike.",
            )
        if decided.mixed is not None and len(readings) == 1 and not cell.exact:
            raise InputError(
                f"{cell.text!r}: this column mixes decimal marks.", remedy="Write all numbers of a column alike."
            )
        if column.heading in self.mapping.scale:
            value = str(Decimal(value) * Decimal(self.mapping.scale[column.heading]))
        unit = self._unit(column, number.rest, field_)
        low_high = _decimal(value)
        if field_.choices or column.path == "thrust_face.arc_deg":
            return low_high, unit, ""
        given = f"{value} {unit}" if unit not in ("", "1") else low_high
        quantities.read(given, field_)  # raises where it is out of range, or in a unit of another kind
        return given, unit, number.currency

    def _unit(self, column, rest, field_):
        if rest:
            unit = find(rest)
            if unit is None:
                raise InputError(
                    f"{rest[:30]!r} behind the number is no unit.",
                    remedy=f"Write the number alone, or one of {_units(field_)}.",
                )
            return unit.name
        if column.unit:
            return column.unit
        if field_.unit in ("", "1") or field_.name.endswith(f"_{field_.unit}"):
            return ""
        if field_.kind == "number" and field_.unit == "rpm":
            return "rpm"
        raise InputError(
            "the number has no unit, nor has the heading.",
            remedy=f'Say it for the column: --unit "{column.heading}={field_.unit}", or another of {_units(field_)}.',
        )

    def _ratios(self, column, text):
        parts = [part for part in re.split(r"[;|/]\s*|\s+|,\s+", text) if part]
        values = []
        for part in parts:
            number = written(Cell(part))
            mark = self.marks.get(column.place, Mark()).mark
            value = number and (number.readings.get(mark) if mark else number.readings.get("."))
            if not value:
                raise InputError(f"{part!r} is no gear ratio.", remedy="Write them as 3.46; 2.05; 1.30.")
            values.append(_decimal(value))
        return values

    def _flag(self, text):
        if folded(text) in ("yes", "y", "true", "1", "x", "ja", "oui", "si"):
            return "yes"
        if folded(text) in ("no", "n", "false", "0", "nein", "non"):
            return "no"
        raise InputError(f"{text[:40]!r} is neither yes nor no.", remedy="Write yes or no.")

    def _choice(self, path, text, choices):
        names_ = [str(choice) for choice in choices]
        named = self.words.values.get(path, {}).get(folded(text)) or self.words.values.get(path.split(".")[-1], {}).get(
            folded(text)
        )
        if named is None:
            named = next((name for name in names_ if folded(name) == folded(text)), None)
        if named not in names_:
            raise InputError(f"{text[:40]!r} is none of the permitted values.", remedy=_allowed(names_, path, text))
        return named

    def _cars(self, text):
        cars = []
        for part in re.split(r"\s*[;|,\n]\s*|\s+/\s+", text):
            if not part:
                continue
            said = self.mapping.values.get("fits", {}).get(part)
            known = said or self.cars.get(folded(part))
            if known is None:
                known = "-".join(re.findall("[a-z0-9]+", ascii_of(part)))
                self.strange_cars.setdefault(part, known)
            cars.append(known)
        return [car for car in dict.fromkeys(cars) if car]


def _decimal(text: str) -> int | Decimal:
    try:
        number = Decimal(text)
    except InvalidOperation:
        raise InputError(f"{text!r} is not a number.", remedy="Write digits.") from None
    return int(number) if number == number.to_integral_value() and abs(number) < 10**15 else number


def plain_value(text: str, field_: KitField) -> Any:
    """What was said of a field as a file of records has it."""
    if field_.name in LISTS:
        return [part for part in re.split(r"[;,\s]+", text) if part]
    if field_.kind == "number" and re.fullmatch(r"[+-]?\d+(\.\d+)?", text):
        return _decimal(text)
    return text


def ascii_of(text: str) -> str:
    """A text in small letters of ASCII, its accents gone, as an id is made of it."""
    special = text.casefold()
    for sign, letters in (("ä", "ae"), ("ö", "oe"), ("ü", "ue"), ("ß", "ss"), ("ø", "o")):
        special = special.replace(sign, letters)
    return unicodedata.normalize("NFKD", special).encode("ascii", "ignore").decode()


def _allowed(names_, path, text) -> str:
    said = f'--value "{path}:{signs.line(text)[:40]}=..."'
    return f"Write one of {', '.join(names_)}; or say which of them it stands for: {said}."


def _units(field_: KitField) -> str:
    wanted = UNITS[field_.unit].dimension if field_.unit in UNITS else ""
    return ", ".join(name for name, unit in UNITS.items() if unit.dimension == wanted)[:80]
