"""A number that was measured, written into the record it is of; the rest of the file stays as it is."""

import csv
import datetime
import io
from pathlib import Path
from typing import Any

from ..errors import InputError
from ..knowledge import disk, quantities, records as record_readers, shapes, signs, strict_yaml
from ..knowledge.model import KitField, Knowledge
from ..knowledge.near import did_you_mean
from ..knowledge.records import record_fields
from .mapping import FOLDER

NOTED = "measured.csv"
_HEAD = ("date", "by", "record", "field", "before", "after")


def write(folder: Path, name: str, path: str, value: str, by: str, knowledge: Knowledge) -> tuple[Path, Any]:
    """Write ``value`` of field ``path`` into the record ``name`` of a shop; (file, what stood there before, or None).

    InputError where there is no such record or field, or the value cannot be read.
    """
    file, kind, node = _found(folder, name)
    fields = record_fields(kind, knowledge)
    fact = knowledge.facts.get(path)
    path = fact.platform if fact is not None and fact.platform and kind == "platforms" else path
    place = next((measured for measured, field in fields.items() if path in (measured, field.name)), path)
    if place not in fields or place in ("id", "gear_ratios"):
        raise InputError(f"{path!r} is no field that is measured.", value=path, remedy=did_you_mean(path, fields))
    if fields[place].kind == "number":
        quantities.read_value(fields[place], _bare(value, fields[place]))
    text = disk.read(file, strict_yaml.RECORDS_LIMIT).decode("utf-8")
    before, body = _with(text, node, place, value, fields[place])
    root = strict_yaml.loads(body, str(file), error=InputError, limit=strict_yaml.RECORDS_LIMIT)
    shapes.check(root, kind, InputError)
    getattr(record_readers, f"read_{kind}")([root], knowledge)
    disk.deliver(file, body, replace=True)
    _note(folder, by, name, place, before, value)
    return file, before


def as_typed(name: str, knowledge: Knowledge) -> str:
    """How a field of a kit, or a fact of a car's record, is written down once it is measured: "release_load=... N"."""
    fact, field = knowledge.facts.get(name), knowledge.kit_fields.get(name)
    path = fact.platform if fact is not None and fact.platform else name
    word = field or fact
    unit = getattr(word, "unit", "") or "1"
    carried = unit == "1" or path.endswith((f"_{unit}", f".{unit}"))
    return f"{path}=..." if word is None or word.kind != "number" or carried else f"{path}=... {unit}"


def _bare(value: str, field_: KitField) -> Any:
    return int(value) if value.isdigit() and field_.unit in ("", "1", "rpm") else value


def _found(folder, name):
    for kind in ("kits", "platforms"):
        place = folder / kind
        for file in disk.below(place, (".yaml",)) if place.is_dir() else ():
            root = strict_yaml.load(file, limit=strict_yaml.RECORDS_LIMIT)
            for node in root.many(kind):
                if str(node.get("id")) == name:
                    return file, kind, node
    raise InputError(
        f"no kit or car {name!r} is on file in this shop.",
        value=name,
        remedy="See: advisor shop kits, advisor shop check.",
    )


def _with(text, node, path, value, field_):
    """(what stood there, the text with the value at its place)."""
    lines = text.split("\n")
    *outer, last = path.split(".")
    target = node
    for name in outer:
        if name not in target:
            break
        target = target[name]
        if not isinstance(target.value, dict):
            break
    inside = not outer or (outer[-1] in node)
    written_value = (
        value
        if field_.kind == "number"
        else f'"{signs.line(value)}"'
        if not value.replace("_", "").isalnum()
        else value
    )
    if inside and last in target:
        old = target[last]
        if old.position.line != old.key.line:
            raise InputError(f"{path} stands over several lines.", where=old.key, remedy="Mend it by hand.")
        line = lines[old.key.line - 1]
        head = line[: line.index(":", old.key.column - 1) + 1]
        lines[old.key.line - 1] = f"{head} {written_value}"
        return old.plain(), "\n".join(lines)
    if outer and outer[-1] in node:
        first = next(iter(node[outer[-1]].value.values()))
        if first.key.line == node[outer[-1]].key.line:
            raise InputError(
                f"{outer[-1]} is written in one line.", where=node[outer[-1]].key, remedy="Mend it by hand."
            )
        lines.insert(first.key.line - 1, f"{' ' * (first.key.column - 1)}{last}: {written_value}")
        return None, "\n".join(lines)
    indent = " " * (node["id"].key.column - 1)
    new = (
        [f"{indent}{outer[-1]}:", f"{indent}  {last}: {written_value}"]
        if outer
        else [f"{indent}{last}: {written_value}"]
    )
    at = node["id"].key.line
    lines[at:at] = new
    return None, "\n".join(lines)


def _note(folder, by, name, path, before, value):
    table = io.StringIO(newline="")
    writer = csv.writer(table, lineterminator="\n")
    file = folder / FOLDER / NOTED
    file.parent.mkdir(exist_ok=True)
    try:
        held = disk.read(file, disk.DECISION).decode("utf-8")
    except FileNotFoundError:
        held = ""
        writer.writerow(_HEAD)
    today = datetime.date.today().isoformat()
    writer.writerow(
        [today, signs.cell(by), name, path, "" if before is None else signs.cell(str(before)), signs.cell(value)]
    )
    disk.deliver(file, held + table.getvalue(), replace=True)
