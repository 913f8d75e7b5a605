"""Cars described in JSON-LD by the terms of schema.org, or in a table of its dotted names, as rows of cells.

A quantity there is a value with a code of its unit (UN/CEFACT Recommendation 20) or a text of it; it becomes one cell,
"162 kW". A unit that nobody says stays away, so that the reader asks; a code that is not known is told, never guessed.
"""

import json
from collections.abc import Iterator, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

from ..errors import InputError, Position
from ..knowledge import disk, signs
from . import grid as grids
from .grid import Cell, Grid

#: Kinds of schema.org that are cars, and how deep and how many things are looked through.
CARS = ("Car", "Vehicle", "MotorizedVehicle")
DEEPEST, MOST = 12, 100_000
_VALUE, _CODE, _TEXT = "value", "unitCode", "unitText"


def read(path: str | Path, codes: Mapping[str, str]) -> Grid:
    """The `Grid` of a file, headings in its first row; ``codes``: code of a unit -> how it is written here.

    InputError where it is neither JSON-LD with a car in it nor a table.
    """
    data = disk.read_or_tell(path, grids.LARGEST)
    if data.lstrip(b"\xef\xbb\xbf \t\r\n")[:1] in (b"{", b"["):
        rows = [_flat_row(car, codes, str(path), number) for number, car in enumerate(_cars(data, str(path)), 2)]
        headings = list(dict.fromkeys(heading for row in rows for heading in row))
    else:
        headings, rows = _table(grids.read(path), codes)
    if len(headings) > grids.COLUMNS:
        raise InputError(
            f"the cars have {len(headings)} properties.", where=Position(str(path)), remedy="Leave some out."
        )
    cells = tuple(
        (number, tuple(Cell(row.get(heading, "")) for heading in headings)) for number, row in enumerate(rows, 2)
    )
    return Grid(str(path), ((1, tuple(map(Cell, headings))), *cells))


# --- JSON-LD ---------------------------------------------------------------------------------------------------------


def _cars(data: bytes, name: str) -> list[dict[str, Any]]:
    def refused(what: str, remedy: str) -> InputError:
        return InputError(what, where=Position(name), remedy=remedy)

    def constant(text: str) -> Any:
        raise refused(f"the value {text} is no number.", "Take it out.")

    try:
        text = data.decode("utf-8-sig")
        whole = json.loads(text, parse_float=Decimal, parse_constant=constant)
    except (ValueError, RecursionError) as fault:
        where = getattr(fault, "lineno", 0)
        raise InputError(
            "the file is not JSON that can be read.",
            where=Position(name, where, getattr(fault, "colno", 0)),
            remedy="Save the page's JSON-LD part alone, as UTF-8.",
        ) from None
    cars = list(_found(whole, 0))
    if not cars:
        raise refused("there is no car in it.", f"A car says @type: {' or '.join(CARS)}.")
    if len(cars) > MOST:
        raise refused(f"there are {len(cars)} cars in it.", f"Split it: at most {MOST}.")
    return cars


def _found(part: Any, depth: int) -> Iterator[dict[str, Any]]:
    """Every car, wherever it stands: alone, in a list, in a @graph, offered by somebody."""
    if depth > DEEPEST:
        return
    if isinstance(part, list):
        for member in part:
            yield from _found(member, depth + 1)
    elif isinstance(part, dict):
        if set(map(_last, _many(part.get("@type")))) & set(CARS):
            yield part
            return
        for member in part.values():
            if isinstance(member, (dict, list)):
                yield from _found(member, depth + 1)


def _many(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [] if value is None else [value]


def _last(text: Any) -> str:
    """A term without the address it may stand under: "https://schema.org/Car" is "Car"."""
    return str(text).rstrip("/").rpartition("/")[2].rpartition("#")[2].removeprefix("schema:")


def _flat_row(car: Mapping[str, Any], codes: Mapping[str, str], name: str, number: int) -> dict[str, str]:
    row: dict[str, str] = {}

    def put(path: str, value: Any, depth: int) -> None:
        if isinstance(value, list):
            if len(value) > 1 and any(isinstance(member, dict) and len(member) > 2 for member in value):
                row[path] = f"{len(value)} of them"  # two engines are two cars: no reader takes this for a value
                return
            value = value[0] if value else ""
        if isinstance(value, dict):
            if _VALUE in value:
                row[path] = _quantity(value, codes, Position(name, number, 1), path)
            elif depth < DEEPEST:
                if "name" in value:
                    put(path, value["name"], depth + 1)
                for key, member in value.items():
                    if not key.startswith("@") and key != "name":
                        put(f"{path}.{key}" if path else key, member, depth + 1)
        elif value is not None and not isinstance(value, bool):
            text = signs.line(str(value))
            row[path] = _last(text) if "schema.org/" in text else text

    for key, member in car.items():
        if not key.startswith("@"):
            put(key, member, 0)
    return row


def _quantity(said: Mapping[str, Any], codes: Mapping[str, str], where: Position, path: str) -> str:
    value = said[_VALUE]
    if isinstance(value, (dict, list, bool)) or value is None:
        return ""
    code, text = str(said.get(_CODE) or "").strip(), str(said.get(_TEXT) or "").strip()
    return _with_unit(str(value), _last(code), text, codes, where, path)


def _with_unit(value: str, code: str, text: str, codes: Mapping[str, str], where: Position, path: str) -> str:
    if not value.strip():
        return ""
    if code and code not in codes:
        raise InputError(
            f"{path}: the unit code {signs.line(code)[:20]!r} is not known.",
            where=where,
            remedy=f"Known are {', '.join(codes)}; or say the unit as unitText.",
        )
    return f"{value} {codes[code] if code else text}".strip()


# --- a table of dotted names -----------------------------------------------------------------------------------------


def _table(grid: Grid, codes: Mapping[str, str]) -> tuple[list[str], list[dict[str, str]]]:
    (_, heads), *body = grid.rows
    names = [cell.text.strip().replace("/", ".") for cell in heads]
    ends = (f".{_VALUE}", f".{_CODE}", f".{_TEXT}", ".name")
    bare = [next((name[: -len(end)] for end in ends if name.endswith(end)), name) for name in names]
    rows = []
    for number, cells in body:
        texts = {name: cells[place].text.strip() for place, name in enumerate(names) if place < len(cells)}
        row = {}
        for path in dict.fromkeys(bare):
            value = next((texts[at] for at in (f"{path}.{_VALUE}", f"{path}.name", path) if texts.get(at)), "")
            code, unit = _last(texts.get(f"{path}.{_CODE}", "")), texts.get(f"{path}.{_TEXT}", "")
            text = _with_unit(value, code, unit, codes, Position(grid.name, number, 1), path)
            row[path] = _last(text) if "schema.org/" in text else text
        rows.append(row)
    return list(dict.fromkeys(bare)), rows


__all__ = ["CARS", "read"]
