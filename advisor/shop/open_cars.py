"""Cars from public tables: read by a declared layout, kept as drafts, field by field with source, licence and date, until a
lead accepts them. Nothing is fetched; the file is one the shop has downloaded.

Rows of one type, variant and version are one car; where its rows disagree by more than a twentieth it is not drafted.
"""
# ruff: noqa: E501

import datetime
import json
import re
from collections.abc import Mapping as Mapped
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from ..errors import AdvisorError, InputError, KnowledgeError, Position, StoreError
from ..knowledge import disk, quantities, records as record_readers, shapes, strict_yaml
from ..knowledge.model import Knowledge
from ..knowledge.near import did_you_mean
from ..knowledge.records import record_fields
from ..knowledge.sources import default_folder
from ..knowledge.spreadsheet import yaml_lines
from . import grid as grids, linked_cars
from .cell_values import CellReader, ascii_of
from .listed import nodes_of
from .mapping import Mapping
from .numbers_in_columns import Mark
from .trade_columns import ListColumn, folded, trade_words

DRAFTS, ACCEPTED = "drafts", "accepted"
#: How far rows of one car may lie apart.
APART = 0.05
#: Sound figures of a car: power over displacement, kW/l; power over mass, W/kg; wheelbase, mm; final drive. Judgement.
SOUND = {"kW/l": (5.0, 150.0), "W/kg": (40.0, 250.0), "wheelbase": (1800.0, 3600.0), "final_drive": (2.0, 6.0)}


@dataclass(frozen=True, slots=True)
class Draft:
    """A car not accepted yet: ``fields``: path -> {value, raw, row, source, licence, read, file}."""

    id: str
    fields: Mapped[str, Mapped[str, str]]


@dataclass
class Drafted:
    """What became of a table: ``drafts``, ``refused`` (why -> how many rows), ``faults``, ``said``."""

    drafts: dict[str, Draft] = field(default_factory=dict)
    refused: dict[str, int] = field(default_factory=dict)
    faults: list[AdvisorError] = field(default_factory=list)
    said: list[str] = field(default_factory=list)


@cache
def layouts() -> dict[str, Any]:
    """The declared layouts by name."""
    root = strict_yaml.load(default_folder("rules") / "layouts.yaml", error=KnowledgeError)
    shapes.check(root, "layouts", KnowledgeError)
    return root.plain()["layouts"]


def read_table(
    path: str | Path, layout: str, knowledge: Knowledge, digest: str, units: Mapped[str, str] | None = None
) -> Drafted:
    """The `Drafted` of a downloaded table; InputError where it has not the columns of its layout.

    ``units``: heading -> unit of its numbers, as somebody said where the table does not.
    """
    layout_read = layouts().get(layout)
    if layout_read is None:
        raise InputError(f"{layout!r} is no layout.", value=layout, remedy=did_you_mean(layout, layouts()))
    grid = linked_cars.read(path, layout_read["linked"]) if "linked" in layout_read else grids.read(path)
    in_unit = {folded(heading): unit for heading, unit in {**layout_read.get("units", {}), **(units or {})}.items()}
    number, heads = grid.rows[0]
    never = {folded(word) for word in layout_read.get("never", ())}
    names = [cell.text.strip() for cell in heads]
    wanted = {folded(head): target for head, target in layout_read["columns"].items()}
    columns = [
        ListColumn(place, name, wanted[folded(name)], in_unit.get(folded(name), _unit(name)), "said")
        for place, name in enumerate(names, 1)
        if folded(name) in wanted and folded(name) not in never
    ]
    if len(columns) < 2:
        raise InputError(
            f"these are not the columns of {layout_read['title']}.",
            where=Position(grid.name, number),
            remedy=f"Its columns are called {', '.join(list(layout_read['columns'])[:6])} and so on.",
        )
    mapping = Mapping(layout, values=layout_read.get("values", {}), decimal={"": "."})
    reader = CellReader(record_fields("platforms", knowledge), knowledge, trade_words(), mapping, {})
    reader.marks = {column.place: Mark(".") for column in columns}
    drafted = Drafted(said=list(grid.said))
    rows: dict[str, list[tuple[int, dict[str, Any], dict[str, str]]]] = {}
    at = {folded(name): place for place, name in enumerate(names)}
    for row, cells in grid.rows[1:]:
        texts = {name: cells[place].text.strip() if place < len(cells) else "" for name, place in at.items()}
        why = _refused(texts, layout_read)
        if why:
            drafted.refused[why] = drafted.refused.get(why, 0) + 1
            continue
        name = "-".join(
            re.findall("[a-z0-9]+", ascii_of(" ".join(texts.get(folded(word), "") for word in layout_read["id_of"])))
        )
        fields, raw, good = {}, {}, True
        for column in columns:
            cell = cells[column.place - 1] if column.place <= len(cells) else grids.EMPTY
            if not cell.text.strip():
                continue
            try:
                value, _, _ = reader.value(column, cell)
            except AdvisorError as error:
                good = False
                place = Position(grid.name, row, column.place)
                drafted.faults.append(InputError(f"{column.heading}: {error.what}", where=place, remedy=error.remedy))
                continue
            if value is not None and column.path not in fields:
                fields[column.path], raw[column.path] = value, cell.text
        if good and not name:
            what = f"the row has none of {', '.join(layout_read['id_of'])}: it names no car."
            drafted.faults.append(InputError(what, where=Position(grid.name, row, 1), remedy="Write one of them."))
        elif good:
            rows.setdefault(name, []).append((row, fields, raw))
    stamp = {
        "source": layout_read["title"],
        "licence": layout_read["licence"],
        "read": datetime.date.today().isoformat(),
        "file": digest,
    }
    known = record_fields("platforms", knowledge)
    for name, of_car in rows.items():
        _draft(name, of_car, known, stamp, drafted, grid.name)
    return drafted


def _unit(heading):
    inside = re.search(r"\(([^)]+)\)\s*$", heading)
    return {"kg": "kg", "mm": "mm", "cm3": "cm3", "kw": "kW", "l": "l"}.get(inside[1].casefold(), "") if inside else ""


def _refused(texts, layout_read):
    for heading, kept in layout_read.get("only", {}).items():
        if texts.get(folded(heading)) not in map(str, kept):
            return layout_read["because"]
    for heading, out in layout_read.get("without", {}).items():
        if texts.get(folded(heading)) in map(str, out):
            return layout_read["because"]
    return ""


def _draft(name, of_car, known, stamp, drafted, file):
    first_row, fields, raw = of_car[0]
    numbers = {}
    for path in fields:
        if known[path].kind != "number":
            continue
        values = sorted(
            quantities.read(row_fields[path], known[path]) for _, row_fields, _ in of_car if path in row_fields
        )
        if values[-1] > (1 + APART) * values[0]:
            drafted.faults.append(
                InputError(
                    f"rows of {name} disagree about {path}: {values[0]:g} to {values[-1]:g} {known[path].unit}.",
                    where=Position(file, first_row, 1),
                    remedy="They are two cars: keep the rows of one of them in the file.",
                )
            )
            return
        numbers[path] = values[len(values) // 2]
    unsound = _unsound(numbers, known)
    if unsound:
        drafted.faults.append(
            InputError(
                f"{name}: {unsound}", where=Position(file, first_row, 1), remedy="Look whether the row is right."
            )
        )
        return
    kept = {path: {**stamp, "value": str(fields[path]), "raw": raw[path], "row": str(first_row)} for path in fields}
    drafted.drafts[name] = Draft(name, kept)


def _unsound(numbers, known):
    def value(path, unit):
        return quantities.convert(numbers[path], known[path].unit, unit) if path in numbers else None

    power, litres, mass = value("stock.power", "kW"), value("engine.displacement", "l"), value("mass", "kg")
    looked = {
        "kW/l": power / litres if power and litres else None,
        "W/kg": 1000 * power / mass if power and mass else None,
        "wheelbase": value("wheelbase", "mm"),
        "final_drive": value("final_drive", "1"),
    }
    for name, number in looked.items():
        low, high = SOUND[name]
        if number is not None and not low <= number <= high:
            return f"{name} would be {number:.4g}, and no car's lies outside {low:g} to {high:g}."
    return ""


# --- drafts on the disk ----------------------------------------------------------------------------------------------


def keep(folder: Path, drafts: Mapped[str, Draft]) -> int:
    """Write drafts that are new or have changed; how many. A field once accepted is not drafted again."""
    place, written = folder / DRAFTS, 0
    place.mkdir(exist_ok=True)
    for name, draft in drafts.items():
        path = place / f"{name}.json"
        held = read_draft(folder, name) if path.is_file() else None
        if held is not None and {p: f["value"] for p, f in held.fields.items()} == {
            p: f["value"] for p, f in draft.fields.items()
        }:
            continue
        disk.deliver(path, json.dumps(draft.fields, indent=1, sort_keys=True, ensure_ascii=False) + "\n", replace=True)
        written += 1
    return written


def read_draft(folder: Path, name: str) -> Draft:
    """The draft of a car; InputError where there is none, StoreError where it is damaged."""
    names = sorted(path.stem for path in (folder / DRAFTS).glob("*.json")) if (folder / DRAFTS).is_dir() else []
    if name not in names:
        raise InputError(
            f"there is no draft {name!r}.",
            value=name,
            remedy=did_you_mean(name, names, "advisor shop check lists them."),
        )
    path = folder / DRAFTS / f"{name}.json"
    try:
        data = json.loads(disk.read(path, disk.RULES))
        return Draft(name, {p: {k: str(v) for k, v in held.items()} for p, held in data.items()})
    except (ValueError, AttributeError, RecursionError):
        raise StoreError("the draft is damaged.", where=Position(str(path)), remedy="Read the table again.") from None


def accept(folder: Path, name: str, by: str, knowledge: Knowledge) -> tuple[Path, list[str]]:
    """Put a draft among the cars, as far as nothing is on file; (file, sentences on what differs and was not taken)."""
    draft = read_draft(folder, name)
    fields = record_fields("platforms", knowledge)
    path = folder / "platforms" / f"{name}.yaml"
    held: dict[str, Any] = {"id": name, "title": name}
    differs = []
    for file in disk.below(folder / "platforms", (".yaml",)) if (folder / "platforms").is_dir() else ():
        for node in strict_yaml.load(file, limit=strict_yaml.RECORDS_LIMIT).many("platforms"):
            if str(node.get("id")) == name:
                if file != path:
                    raise InputError(
                        f"{name} is on file in {file}.", remedy="Write what is missing there: advisor shop measured."
                    )
                held = {key: child.plain() for key, child in record_readers.flat(node)}
    for place, held_value in draft.fields.items():
        value: Any = held_value["value"]
        if place not in held or (place == "title" and held["title"] == name):
            held[place] = int(value) if value.isdigit() else float(value) if re.fullmatch(r"\d+\.\d+", value) else value
        elif str(held[place]) != value and place != "title":
            differs.append(f"{place}: {held[place]} on file, {value} in {held_value['source']}; what is on file stays")
    licences = sorted({value["licence"] for value in draft.fields.values()})
    held["note"] = (
        f"{'; '.join(licences)}. Read {max(value['read'] for value in draft.fields.values())}, accepted by {by}."
    )
    text = "\n".join(["platforms:", *_record(dict(nodes_of(held)))]) + "\n"
    root = strict_yaml.loads(text, str(path), error=InputError, limit=strict_yaml.RECORDS_LIMIT)
    shapes.check(root, "platforms", InputError)
    record_readers.read_platforms([root], knowledge)
    if place_unknown := [record for record in held if record not in fields and record not in ("id", "title", "note")]:
        raise InputError(f"{place_unknown[0]} is no field of a car.", remedy="Read the table again.")
    path.parent.mkdir(exist_ok=True)
    disk.deliver(path, text, replace=True)
    done = folder / DRAFTS / ACCEPTED
    done.mkdir(exist_ok=True)
    kept = {"by": by, "on": datetime.date.today().isoformat(), "fields": draft.fields}
    disk.deliver(
        done / f"{name}.json", json.dumps(kept, indent=1, sort_keys=True, ensure_ascii=False) + "\n", replace=True
    )
    (folder / DRAFTS / f"{name}.json").unlink()
    return path, differs


def _record(record):
    first, *others = yaml_lines(record, "    ")
    return [f"  - {first[4:]}", *others]
