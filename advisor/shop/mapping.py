"""What was once confirmed about a supplier's lists, kept beside the shop's records as ``imports/SUPPLIER.toml``."""

import re
import tomllib
from dataclasses import dataclass, field
from pathlib import Path

from ..errors import InputError, Position
from ..knowledge import disk, shop as shops
from .numbers_in_columns import MARKS

FOLDER = "imports"
LARGEST = 256_000
_NAME = re.compile("[a-z0-9]+(-[a-z0-9]+)*")
_TABLES = ("columns", "units", "decimal", "same", "values", "only", "scale")


@dataclass(frozen=True)
class Mapping:
    """``columns``: heading -> path; ``left_out``: headings; ``units``: heading -> unit; ``decimal``: heading (or "" for
    all) -> mark; ``same``: path -> what it is on every row; ``values``: path -> text -> choice; ``only``: heading ->
    texts of the rows that count; ``scale``: heading -> number that its numbers are multiplied by. ``source`` and
    ``licence`` of open data; ``date`` it was published.
    """

    supplier: str
    columns: dict[str, str] = field(default_factory=dict)
    left_out: tuple[str, ...] = ()
    units: dict[str, str] = field(default_factory=dict)
    decimal: dict[str, str] = field(default_factory=dict)
    same: dict[str, str] = field(default_factory=dict)
    values: dict[str, dict[str, str]] = field(default_factory=dict)
    only: dict[str, tuple[str, ...]] = field(default_factory=dict)
    scale: dict[str, str] = field(default_factory=dict)
    source: str = ""
    licence: str = ""
    date: str = ""

    def text(self) -> str:
        """As it is written."""
        data: dict[str, object] = {}
        if self.source:
            data |= {"source": self.source, "licence": self.licence, "date": self.date}
        if self.left_out:
            data["left_out"] = list(self.left_out)
        for name in ("columns", "units", "decimal", "same", "scale"):
            if getattr(self, name):
                data[name] = {_key(key): value for key, value in getattr(self, name).items()}
        if self.only:
            data["only"] = {_key(key): list(texts) for key, texts in self.only.items()}
        for path, texts in self.values.items():
            data[f"values.{_key(path)}"] = {_key(key): value for key, value in texts.items()}
        return shops.written(
            data, f"How the lists of {self.supplier} are read. Heading on the left, field on the right."
        )


def _key(text: str) -> str:
    return text if re.fullmatch("[A-Za-z0-9_-]+", text) else shops.written({"k": text})[4:].strip()


def place(folder: Path, supplier: str) -> Path:
    """Where the mapping of a supplier lies in a shop's folder; InputError for a name that is no file's."""
    if not _NAME.fullmatch(supplier):
        raise InputError(
            f"{supplier!r} is no name for a supplier's lists.",
            value=supplier,
            remedy="Use small letters, digits and hyphens, as in --supplier dunmere.",
        )
    return folder / FOLDER / f"{supplier}.toml"


def read(path: Path, supplier: str) -> Mapping:
    """The Mapping in a file, an empty one where there is none; InputError where it is at fault."""
    if not path.is_file():
        return Mapping(supplier)
    where = Position(str(path))
    try:
        data = tomllib.loads(disk.read(path, LARGEST).decode("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as fault:
        raise InputError(f"this is not TOML: {fault}.", where=where, remedy="Mend it, or take the file away.") from None
    unknown = [name for name in data if name not in (*_TABLES, "left_out", "source", "licence", "date")]
    tables = {name: data.get(name, {}) for name in _TABLES}
    left_out = data.get("left_out", [])
    if unknown or not all(map(_well_written, tables, tables.values())) or not _texts(left_out):
        raise InputError(
            f"{', '.join(unknown) or 'a table of it'} is not written as a mapping needs it.",
            where=where,
            remedy="Take the file away and confirm the columns once more.",
        )
    return Mapping(
        supplier,
        left_out=tuple(left_out),
        only={name: tuple(texts) for name, texts in tables.pop("only").items()},
        source=str(data.get("source", "")),
        licence=str(data.get("licence", "")),
        date=str(data.get("date", "")),
        **tables,
    )


def _well_written(name, table):
    """Whether a table of the file says what `Mapping` holds under that name."""
    if not isinstance(table, dict):
        return False
    entries = table.values()
    if name == "only":
        return all(map(_texts, entries))
    if name == "values":
        return all(isinstance(texts, dict) and _texts(list(texts.values())) for texts in entries)
    if not _texts(list(entries)):
        return False
    if name == "decimal":
        return all(mark in MARKS for mark in entries)
    return name != "scale" or all(re.fullmatch(r"\d+(\.\d+)?", number, re.ASCII) for number in entries)


def _texts(value):
    return isinstance(value, list) and all(isinstance(text, str) for text in value)
