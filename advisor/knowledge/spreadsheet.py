"""A shop's list of kits is a spreadsheet: CSV rows as the same nodes a YAML file gives, each with line and column.

Columns are matched by name: the field's name, its dotted path or its label, whatever the case, with an optional
unit in brackets that counts for cells without one ("Clamp load [N]"). Empty cells are fields not given.
"""

import csv
import io
import json
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

from ..errors import AdvisorError, ErrorList, InputError, Position
from . import disk, shapes, signs, strict_yaml
from .model import Knowledge
from .near import did_you_mean
from .records import read_kits

_UNIT = re.compile(r"[\[(]\s*([^\])]+?)\s*[\])]\s*$")
_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9 ,.()/x-]*")
_TEXTS = ("id", "title", "spline", "bolt_pattern", "currency", "note")
LIMIT = disk.RECORDS


def _fold(text: str) -> str:
    """A name as it is compared: small letters, digits, everything else one underscore."""
    return re.sub(r"[^a-z0-9]+", "_", text.lower()).strip("_")


def fields(knowledge: Knowledge) -> dict[str, str]:
    """Folded column name -> path in a kit record."""
    schema = shapes.schema("kits")["$defs"]["record"]["properties"]
    paths = {}
    for name, entry in schema.items():
        if "properties" in entry:
            paths.update({f"{name}.{inner}": f"{name}.{inner}" for inner in entry["properties"]})
        else:
            paths[name] = name
    columns = {_fold(path): path for path in paths}
    for field in knowledge.kit_fields.values():
        path = field.path or field.name
        if path in paths:
            columns.setdefault(_fold(field.name), path)
            columns.setdefault(_fold(field.label), path)
    return columns


class Sheet:
    """A CSV file read: ``columns`` are (header, path or None, unit); ``rows`` are (line, cells)."""

    def __init__(
        self,
        path: str | Path,
        knowledge: Knowledge,
        *,
        columns: Mapping[str, str] | None = None,
        ignore: Iterable[str] = (),
        constants: Mapping[str, str] | None = None,
    ) -> None:
        self.name = str(path)
        self.knowledge = knowledge
        self.constants = dict(constants or {})
        header, self.rows = _read(path)
        self.columns = self._match(header, dict(columns or {}), set(ignore))

    def _match(
        self, header: Sequence[str], renamed: Mapping[str, str], ignored: Collection[str]
    ) -> list[tuple[str, str | None, str]]:
        known = fields(self.knowledge)
        matched: list[tuple[str, str | None, str]] = []
        errors: list[AdvisorError] = []
        taken: dict[str, str] = {}
        for number, title in enumerate(header, 1):
            unit = _UNIT.search(title)
            bare = title[: unit.start()].strip() if unit else title.strip()
            place = Position(self.name, 1, number)
            if title in ignored or bare in ignored:
                matched.append((title, None, ""))
                continue
            wanted = renamed.get(title, renamed.get(bare, bare))
            path = known.get(_fold(wanted))
            if path is None:
                remedy = did_you_mean(_fold(wanted), known) or "Map it with --column, or leave it out with --ignore."
                errors.append(
                    InputError(f"the column {title!r} is not a kit's field.", where=place, value=title, remedy=remedy)
                )
            elif path in taken:
                errors.append(
                    InputError(
                        f"the columns {taken[path]!r} and {title!r} are the same field, {path}.",
                        where=place,
                        remedy="Leave one out with --ignore.",
                    )
                )
            else:
                taken[path] = title
            matched.append((title, path, unit[1] if unit else ""))
        for path in self.constants:
            if path not in known.values():
                errors.append(
                    InputError(f"{path!r} is not a kit's field.", value=path, remedy=did_you_mean(path, known))
                )
        if errors:
            raise ErrorList(errors)
        return matched

    def node(self, line: int, cells: Sequence[str]) -> strict_yaml.Node:
        """One row as a record node; its cells' places are line and cell number."""
        row = Position(self.name, line, 1)
        record = strict_yaml.Node({}, row, row)
        filled = [(path, value, "", row) for path, value in self.constants.items()]
        for number, ((_, path, unit), cell) in enumerate(zip(self.columns, cells), 1):
            if path and cell.strip():
                filled.append((path, cell.strip(), unit, Position(self.name, line, number)))
        for path, text, unit, place in filled:
            *outer, last = path.split(".")
            target = record
            for name in outer:
                target = target.value.setdefault(name, strict_yaml.Node({}, row, row))
            target.value[last] = strict_yaml.Node(self._value(path, text, unit, place), place, place)
        return record

    def _value(self, path: str, text: str, unit: str, place: Position) -> Any:
        text, odd = signs.from_cell(text), signs.first_odd(text)
        if odd:
            raise InputError(f"the cell holds {odd}, a control or invisible sign.", where=place, remedy="Take it out.")
        if path == "fits":
            return [strict_yaml.Node(part, place, place) for part in re.split(r"[;|,\s]+", text) if part]
        if path in _TEXTS:
            return text
        if re.fullmatch(r"[+-]?\d+(\.\d+)?", text):
            if unit and unit != "1":
                return f"{text} {unit}"
            return Decimal(text) if "." in text else int(text)
        return {"TRUE": "yes", "FALSE": "no", "Yes": "yes", "No": "no"}.get(text, text)


def _read(path: str | Path) -> tuple[list[str], list[tuple[int, list[str]]]]:
    text = disk.text(path, LIMIT, "CSV in UTF-8")
    if "\0" in text:
        raise InputError("the file holds NUL characters.", where=Position(str(path)), remedy="Save it as CSV in UTF-8.")
    first = text.splitlines()[0] if text.strip() else ""
    if not first:
        raise InputError("the file is empty.", where=Position(str(path)), remedy="The first line names the columns.")
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    header: list[str] | None = None
    rows, start = [], 1
    try:
        for cells in reader:
            if header is None:
                header = cells
            elif any(cell.strip() for cell in cells):
                rows.append((start, cells))
            start = reader.line_num + 1
    except csv.Error as fault:
        raise InputError(
            f"the CSV cannot be read: {fault}.",
            where=Position(str(path), reader.line_num, 1),
            remedy="Check the quotes on that line.",
        ) from None
    if header is None or not rows:
        raise InputError(
            "there are no rows below the column names.", where=Position(str(path)), remedy="Write one kit on each line."
        )
    return header, rows


def read_rows(sheet: Sheet) -> tuple[list[tuple[int, strict_yaml.Node]], list[tuple[int, list[AdvisorError]]]]:
    """(good, bad): pairs (line, record node) and (line, errors); every row of the sheet is in one of them."""
    good, bad = [], []
    seen: dict[str, int] = {}
    for line, cells in sheet.rows:
        errors: list[AdvisorError] = []
        if len(cells) > len(sheet.columns):
            errors.append(
                InputError(
                    f"the row has {len(cells)} cells for {len(sheet.columns)} columns.",
                    where=Position(sheet.name, line, 1),
                    remedy="Look for a delimiter inside a text; put that text in quotes.",
                )
            )
        try:
            node = sheet.node(line, cells)
            root = _root(sheet, [node])
            shapes.check(root, "kits", InputError)
            (record,) = read_kits([root], sheet.knowledge)
            if record.id in seen:
                errors.append(
                    InputError(
                        f"the id {record.id} stands on line {seen[record.id]} already.",
                        where=Position(sheet.name, line, 1),
                        value=record.id,
                        remedy="Give each kit an id of its own.",
                    )
                )
            seen.setdefault(record.id, line)
        except ErrorList as several:
            errors += several.errors
        except InputError as error:
            errors.append(error)
        if errors:
            bad.append((line, errors))
        else:
            good.append((line, node))
    return good, bad


def _root(sheet: Sheet, nodes: list[strict_yaml.Node]) -> strict_yaml.Node:
    place = Position(sheet.name, 1, 1)
    return strict_yaml.Node({"kits": strict_yaml.Node(nodes, place, place)}, place, place)


def root_of(path: str | Path, knowledge: Knowledge) -> strict_yaml.Node:
    """The whole file as the root node of a kit file; ErrorList with every bad row's errors."""
    good, bad = read_rows(sheet := Sheet(path, knowledge))
    if bad:
        raise ErrorList([error for _, errors in bad for error in errors])
    return _root(sheet, [node for _, node in good])


def to_yaml(nodes: Sequence[strict_yaml.Node]) -> str:
    """Record nodes as the text of a kit file, which reads back to the same."""
    lines = ["kits:"]
    for node in nodes:
        first = True
        for line in yaml_lines(node.plain(), "    "):
            lines.append(f"  - {line[4:]}" if first else line)
            first = False
    text = "\n".join(lines) + "\n"
    back = strict_yaml.loads(text, "kits", error=InputError, limit=strict_yaml.RECORDS_LIMIT).plain()
    if back["kits"] != [node.plain() for node in nodes]:
        raise InputError(
            "the rows cannot be written as YAML without changing them.",
            remedy="Report the file to whoever keeps the program.",
        )
    return text


def yaml_lines(record: Mapping[str, Any], indent: str) -> Iterator[str]:
    """A record's lines in a file of records, each behind ``indent``."""
    for key, value in record.items():
        if isinstance(value, dict):
            yield f"{indent}{key}:"
            yield from yaml_lines(value, indent + "  ")
        elif isinstance(value, list):
            yield f"{indent}{key}: [{', '.join(_scalar(member) for member in value)}]"
        else:
            yield f"{indent}{key}: {_scalar(value)}"


def _scalar(value: object) -> str:
    """A value as YAML: quoted wherever that is not plainly a word or a quantity."""
    if not isinstance(value, str):
        return str(value)
    if (
        _PLAIN.fullmatch(value)
        and ": " not in value
        and not value.endswith((" ", ":"))
        and "," not in value
        and value.lower() not in ("null", "true", "false")
    ):
        return value
    if re.fullmatch(r"[0-9]+(\.[0-9]+)? [A-Za-z][A-Za-z0-9 /-]*", value):
        return value
    return json.dumps(value, ensure_ascii=False)


__all__ = ["Sheet", "fields", "read_rows", "root_of", "to_yaml"]
