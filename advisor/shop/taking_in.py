"""A list taken into a shop: looked at first, then written as it was seen."""

import re
from collections.abc import Iterable, Mapping as Mapped
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from ..errors import AdvisorError, InputError
from ..knowledge import disk, shop as shops
from ..knowledge.model import Knowledge, Record
from ..knowledge.records import record_fields
from . import grid as grids, mapping as mappings, record_files
from .difference import Difference, difference
from .listed import Listed, read_list
from .mapping import Mapping
from .trade_columns import folded, trade_words

KINDS = ("kits", "platforms", "parts")


@dataclass
class Look:
    """A list as it was looked at: what it holds, what it changes, and the mark by which it is written."""

    kind: str
    supplier: str
    mapping: Mapping
    listed: Listed
    difference: Difference
    mark: str = ""
    sha256: str = ""
    said: Mapped[str, Mapped[str, Any]] = field(default_factory=dict)
    bodies: list[str] = field(default_factory=list)

    @property
    def faults(self) -> list[AdvisorError]:
        """Everything that is wrong, by row."""
        every_fault = [*self.listed.faults, *self.difference.clashes]
        return sorted(every_fault, key=lambda fault: (fault.where.line, fault.where.column) if fault.where else (0, 0))


def supplier_of(path: str | Path) -> str:
    """The name of a supplier where nobody says one: the file's, without what changes from list to list.

    >>> supplier_of("lists/Dunmere Price List 2026-03.csv")
    'dunmere'
    """
    words = re.findall("[a-z0-9]+", Path(path).stem.casefold())
    telling_words = [
        word for word in words if not word.isdigit() and word not in ("price", "list", "pricelist", "preisliste")
    ]
    return "-".join(telling_words) or "list"


def with_said(mapping: Mapping, **said: Any) -> Mapping:
    """The Mapping with what was said on the command line put in; parts not said stay as they are."""
    changes: dict[str, Any] = {}
    for name, value in said.items():
        if not value:
            continue
        held = getattr(mapping, name)
        if isinstance(held, tuple):
            changes[name] = tuple(dict.fromkeys([*held, *value]))
        elif name == "values":
            changes[name] = {**held, **{path: {**held.get(path, {}), **texts} for path, texts in value.items()}}
        else:
            changes[name] = {**held, **value} if isinstance(held, dict) else value
    if "columns" in changes:
        given = {folded(heading) for heading in said["columns"]}
        changes["left_out"] = tuple(
            heading for heading in changes.get("left_out", mapping.left_out) if folded(heading) not in given
        )
    return replace(mapping, **changes)


def look(
    path: str | Path,
    kind: str,
    folder: Path,
    about: shops.About,
    knowledge: Knowledge,
    mapping: Mapping,
    platforms: Iterable[Record] = (),
    *,
    sheet: str | None = None,
    whole: bool = True,
    leave_out_rest: bool = False,
) -> Look:
    """What a list says, and what it would change; nothing is written.

    ``leave_out_rest``: columns that nobody knows are left out, and the mapping of the `Look` says so.
    """
    words = trade_words()
    grid = grids.read(path, sheet)
    cars = {folded(name): car.id for car in platforms for name in (car.id, str(car.fields.get("title", "")))}
    listed = read_list(
        grid, kind, knowledge, words, mapping, cars, currency=about.currency, leave_out_rest=leave_out_rest
    )
    if leave_out_rest:
        known = {folded(heading) for heading in mapping.left_out}
        left_out = [column.heading for column in listed.columns if column.how == "left_out"]
        mapping = with_said(mapping, left_out=[heading for heading in left_out if folded(heading) not in known])
    held = record_files.on_file(folder, kind, mapping.supplier)
    last = record_files.last_list(folder, kind, mapping.supplier)
    changes = difference(
        listed.rows,
        held.records,
        last,
        held.elsewhere,
        record_fields(kind, knowledge),
        grid.name,
        # A list of which rows are bad says nothing about what is gone.
        whole=whole and not listed.faults and not listed.asked,
    )
    seen = Look(kind, mapping.supplier, mapping, listed, changes, sha256=grid.sha256)
    if listed.asked or not changes:
        return seen
    after = record_files.after(changes, held.records, kind)
    head = (
        f"Written by: advisor shop import {kind}, from lists of {mapping.supplier}.\n"
        "A value that is mended here stays as it is mended: no later list overwrites it."
    )
    seen.bodies = record_files.texts(after, kind, knowledge, head)
    taken = {row.id: row.fields for row in listed.rows}
    not_taken = {(record.id, record.path) for record in changes.kept}
    seen.said = {
        **{name: then for name, then in last.items() if name in after},
        **{
            name: {path: value for path, value in fields.items() if (name, path) not in not_taken}
            for name, fields in taken.items()
            if name in after
        },
    }
    seen.mark = changes.mark(kind, mapping.text())
    return seen


def write(seen: Look, folder: Path, mark: str) -> list[Path]:
    """Write what was looked at; the files written. InputError where ``mark`` is not that of this look."""
    if not seen.mark:
        raise InputError("there is nothing to write.", remedy="Look at the list first: leave --write out.")
    if mark != seen.mark:
        raise InputError(
            f"what would be written now is not what {mark!r} stood for: the list, the mapping or the file has changed.",
            value=mark,
            remedy="Look at it again: leave --write out.",
        )
    return record_files.write(
        folder,
        seen.kind,
        seen.mapping,
        seen.difference,
        seen.bodies,
        seen.said,
        seen.sha256,
        record_files.prices_changed(seen.difference),
    )


def remember(folder: Path, mapping: Mapping) -> Path:
    """Keep what was said about a supplier's lists."""
    path = mappings.place(folder, mapping.supplier)
    path.parent.mkdir(exist_ok=True)
    disk.deliver(path, mapping.text(), replace=True)
    return path
