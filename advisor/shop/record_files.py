"""Files of records that an import writes: read back, written whole, what a price was remembered."""

import csv
import datetime
import io
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..errors import InputError, Position, StoreError
from ..knowledge import canonical, disk, records as record_readers, shapes, signs, strict_yaml
from ..knowledge.model import Knowledge
from ..knowledge.records import flat
from ..knowledge.spreadsheet import yaml_lines
from .difference import Change, Difference
from .listed import nodes_of
from .mapping import FOLDER, Mapping as Read

#: Records in one file: what a person still scrolls through, and well below the limit of a file.
IN_ONE = 1_000
PRICES = "prices.csv"
_HEAD = ("date", "kind", "supplier", "id", "before", "after", "currency", "list_sha256")


@dataclass(frozen=True)
class OnFile:
    """``records``: id -> path -> value of the supplier's files; ``elsewhere``: id -> file of every other record."""

    records: Mapping[str, Mapping[str, Any]]
    elsewhere: Mapping[str, str]


def own_files(folder: Path, kind: str, supplier: str) -> list[Path]:
    """The files that imports of a supplier have written, in order."""
    place = folder / kind
    first = place / f"{supplier}.yaml"
    more = [place / f"{supplier}-{number}.yaml" for number in range(2, 1000)]
    return [first, *[path for path in more if path.is_file()]] if first.is_file() else []


def on_file(folder: Path, kind: str, supplier: str) -> OnFile:
    """What is on file of a kind; ErrorList or StoreError where a file cannot be read."""
    own, place = own_files(folder, kind, supplier), folder / kind
    records: dict[str, Mapping[str, Any]] = {}
    elsewhere: dict[str, str] = {}
    for path in disk.below(place, (".yaml",)) if place.is_dir() else ():
        root = strict_yaml.load(path, limit=strict_yaml.RECORDS_LIMIT)
        for node in root.many(kind):
            name = str(node.get("id"))
            if path in own:
                records[name] = {
                    where: child.plain() if not isinstance(child.value, list) else [path.plain() for path in child]
                    for where, child in flat(node)
                }
            else:
                elsewhere[name] = str(path)
    return OnFile(records, elsewhere)


def last_list(folder: Path, kind: str, supplier: str) -> dict[str, dict[str, str]]:
    """id -> path -> text as the last list said it; nothing where there was none."""
    path = folder / FOLDER / f"{supplier}.{kind}.json"
    try:
        data = json.loads(disk.read(path, disk.DECISION))
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, RecursionError):
        raise StoreError(
            "what the last list said cannot be read.",
            where=Position(str(path)),
            remedy="Take it back from the last backup; without it everything on file counts as the shop's own.",
        ) from None
    return data if isinstance(data, dict) else {}


def after(changes: Difference, before: Mapping[str, Mapping[str, Any]], kind: str) -> dict[str, dict[str, Any]]:
    """id -> fields of all the supplier's records once the difference is written."""
    records = {name: dict(fields) for name, fields in before.items()}
    for change in changes.changed:
        records[change.id][change.path] = change.after
    for name in changes.gone:
        if kind != "platforms":
            records[name] |= {"discontinued": "yes"} | ({"stock": 0} if "stock" in records[name] else {})
    records |= {name: dict(fields) for name, fields in changes.new.items()}
    return records


def texts(records: Mapping[str, Mapping[str, Any]], kind: str, knowledge: Knowledge, head: str) -> list[str]:
    """The records as files, each checked to read back as what it was made from."""
    ids = sorted(records)
    file_texts = []
    for start in range(0, len(ids), IN_ONE):
        plain = [dict(nodes_of(records[name])) for name in ids[start : start + IN_ONE]]
        lines = [f"# {line}" for line in head.splitlines()] + [f"{kind}:"]
        for record in plain:
            first, *others = yaml_lines(record, "    ")
            lines += [f"  - {first[4:]}", *others]
        text = "\n".join(lines) + "\n"
        root = strict_yaml.loads(text, kind, error=InputError, limit=strict_yaml.RECORDS_LIMIT)
        if root.plain()[kind] != plain:
            raise InputError(
                "the rows cannot be written without changing them.",
                remedy="Report the list to whoever keeps the program.",
            )
        shapes.check(root, kind, InputError)
        getattr(record_readers, f"read_{kind}")([root], knowledge)
        file_texts.append(text)
    return file_texts


def write(
    folder: Path,
    kind: str,
    read: Read,
    changes: Difference,
    bodies: list[str],
    said: Mapping[str, Mapping[str, Any]],
    list_sha256: str,
    prices: Iterable[Change],
) -> list[Path]:
    """Write records, mapping, price history and what the list said; the files of records written."""
    place = folder / kind
    for made_folder in (place, folder / FOLDER):
        made_folder.mkdir(exist_ok=True)
    written = []
    for number, text in enumerate(bodies, 1):
        path = place / (f"{read.supplier}.yaml" if number == 1 else f"{read.supplier}-{number}.yaml")
        disk.deliver(path, text, replace=True)
        written.append(path)
    disk.deliver(folder / FOLDER / f"{read.supplier}.toml", read.text(), replace=True)
    _add_prices(folder / FOLDER / PRICES, kind, read.supplier, prices, said, list_sha256)
    text = json.dumps(
        {name: {path: str(value) for path, value in fields.items()} for name, fields in said.items()},
        sort_keys=True,
        indent=0,
        ensure_ascii=False,
    )
    disk.deliver(folder / FOLDER / f"{read.supplier}.{kind}.json", text + "\n", replace=True)
    return written


def _add_prices(path, kind, supplier, changes, said, list_sha256):
    changes = list(changes)
    if not changes:
        return
    table = io.StringIO(newline="")
    writer = csv.writer(table, lineterminator="\n")
    try:
        before = disk.read(path, disk.DECISION).decode("utf-8")
    except FileNotFoundError:
        before = ""
        writer.writerow(_HEAD)
    today = datetime.date.today().isoformat()
    for change in changes:
        currency = said.get(change.id, {}).get("currency", "")
        held = "" if change.before is None else change.before
        writer.writerow(
            [today, kind, supplier, change.id, str(held), str(change.after), signs.cell(currency), list_sha256[:16]]
        )
    disk.deliver(path, before + table.getvalue(), replace=True)


def prices_changed(changes: Difference) -> list[Change]:
    """Every price that is new or another."""
    first = [
        Change(name, "price", None, fields["price"])
        for name, fields in sorted(changes.new.items())
        if "price" in fields
    ]
    return [record for record in changes.changed if record.path == "price"] + first


def sha256_of(path: str | Path) -> str:
    """Hex SHA-256 of a list as it lies on the disk."""
    return canonical.digest(disk.read(path, 64_000_000))
