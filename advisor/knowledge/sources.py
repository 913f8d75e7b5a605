"""Where a shop, rules, kits, platforms and parts lie, and a cache of what was read and checked.

Lookup: what an option names; else the folders of the shop (`shop.find`); else the shipped demonstration, beside the
package where a pyproject.toml stands there (a checkout or an editable install), or packed into the package.
"""

import dataclasses
import functools
import hashlib
import os
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path

from .. import __version__
from ..errors import AdvisorError, Position, StoreError
from ..frozen import frozen
from . import cache as kept, disk, experience, rules_in_force, shop as shops
from .model import Knowledge, Record, Remark

_PACKAGE = Path(__file__).resolve().parent.parent
NAMES = ("rules", "kits", "platforms", "parts")
#: Places of files, the shop's own rules laid over the shipped ones among them.
PLACES = (*NAMES, "house")
#: Bytes from which a file of records is kept by itself: some hundred kits.
LONG = 100_000
#: The shop where records are named by options and no shop is.
UNNAMED = shops.About("Unnamed shop")


def _root() -> Path:
    return _PACKAGE.parent if (_PACKAGE.parent / "pyproject.toml").is_file() else _PACKAGE / "_data"


def demonstration() -> Path:
    """The folder of the invented shop that ships with the program."""
    return _root() / "scenarios"


def default_folder(name: str) -> Path:
    """The folder of rules, kits, platforms or parts that is used where no option and no shop names one."""
    return _root() / name if name == "rules" else demonstration() / name


def _there(place):
    try:
        return place.exists()
    except (OSError, ValueError):  # a name too long, or one no system takes
        return False


@frozen
class Sources:
    """The places everything is read from, and the shop they are of: None where there was none when a case was kept.

    ``house``: the shop's own rules, laid over the others. A folder of records that is not there holds none.
    """

    rules: Path
    kits: Path
    platforms: Path
    parts: Path
    shop: shops.About | None = None
    house: Path | None = None

    @classmethod
    def chosen(cls, shop: str | Path | None = None, **options: str | Path | None) -> "Sources":
        """From the options given; the rest from the shop, named or found, or from the demonstration.

        StoreError where a place is not there, ErrorList where ``shop.toml`` is at fault.
        """
        folder = shops.find(shop)
        about = shops.read(folder) if folder else None
        if about is None:
            named = any(options.get(name) for name in ("kits", "platforms"))
            about = UNNAMED if named else shops.read(demonstration())
        places = {}
        own = _own_rules(folder) if folder is not None and not options.get("rules") else None
        for name in NAMES:
            chosen = options.get(name)
            if chosen:
                places[name] = _named(name, Path(chosen), f"Name another with --{name}.")
            elif folder is None or (name == "rules" and about.rules.use != "alone"):
                places[name] = _named(name, default_folder(name), "Install the program again.")
            elif name == "rules" and own is not None:
                places[name] = own
            else:
                places[name] = folder / name
        house = None
        if own is not None and about.rules.use != "alone":
            house = _house(own)
        return cls(**places, shop=about, house=house)

    def with_own_rules(self, folder: Path) -> "Sources":
        """The same with a folder as the shop's own rules, in the place of those in force."""
        if self.shop is not None and self.shop.rules.use == "alone":
            return dataclasses.replace(self, rules=folder)
        return dataclasses.replace(self, house=_house(folder))

    def files(self) -> tuple[Path, ...]:
        """Every file that is read, by name, in a stable order."""
        return tuple(path for name in PLACES for path in self.files_in(name))

    def files_in(self, name: str) -> list[Path]:
        """The files of one of the places."""
        place = getattr(self, name)
        if place is None or not _there(place):
            return []
        paths = disk.below(place, (".yaml", ".csv")) if place.is_dir() else [place]
        return [path for path in paths if not path.name.endswith(".tests.yaml")]


def _own_rules(folder):
    """Where a shop's own rules lie: its version in force, else loose."""
    standing = rules_in_force.in_force(folder / "rules")
    return standing.folder if standing is not None else folder / "rules"


def _house(folder):
    """A folder of rules to lay over the others; None where it holds none."""
    return folder if disk.below(folder, (".yaml",)) else None


def _named(name, place, remedy):
    if not _there(place):
        raise StoreError(f"there is no {name} file or folder here.", where=Position(str(place)), remedy=remedy)
    return place


@frozen
class Keyed:
    """The ``key`` under which the cache keeps the ``knowledge`` that was read."""

    key: str
    knowledge: Knowledge


@frozen
class Content:
    """Checked knowledge and records with their hashes; ``shop``: whose they are, ``remarks``: what is worth a look.

    ``keyed``: None where it was read without a cache.
    """

    knowledge: Knowledge
    kits: tuple[Record, ...]
    platforms: tuple[Record, ...]
    parts: tuple[Record, ...]
    hashes: Mapping[str, str]
    shop: shops.About | None = None
    remarks: tuple[Remark, ...] = ()
    keyed: Keyed | None = None

    @property
    def knowledge_key(self) -> str:
        """A key for what is worked out of the knowledge: empty where it is not what was read, or not kept."""
        return self.keyed.key if self.keyed is not None and self.keyed.knowledge is self.knowledge else ""


def read(sources: Sources, *, cache: bool = True) -> Content:
    """`Content` of `Sources`; from the user's cache folder where the same bytes were checked before.

    The cache only saves time: it is keyed by every byte read, by the paths that error messages name, and by the
    program itself, and anything odd about it means reading afresh.
    """
    key = _key(sources) if cache else ""
    held = kept.fetch(key) if cache else None
    if held is not None:
        rules_key, *others = held
        knowledge = kept.fetch(rules_key, kept.PARTS, hold=True)
        if knowledge is not None:
            return _content(sources, rules_key, knowledge, *others)
    from . import load

    knowledge, rules_key = _knowledge(sources, cache)
    kits, platforms, parts = (_records(name, getattr(sources, name), knowledge, rules_key) for name in NAMES[1:])
    remarks = load.check_together(kits, platforms, parts)
    hashes = {
        "kits_sha256": load.records_sha256(kits),
        "platforms_sha256": load.records_sha256(platforms),
        "parts_sha256": load.records_sha256(parts),
    }
    if sources.shop is not None:
        hashes["shop_sha256"] = sources.shop.sha256
    if cache:
        kept.keep(key, (rules_key, kits, platforms, parts, hashes, remarks))
    return _content(sources, rules_key, knowledge, kits, platforms, parts, hashes, remarks)


def _content(sources, rules_key, knowledge, kits, platforms, parts, hashes, remarks):
    keyed = Keyed(rules_key, knowledge) if rules_key else None
    return _with_experience(Content(knowledge, kits, platforms, parts, hashes, sources.shop, remarks, keyed), sources)


def _knowledge(sources, cache):
    """(Knowledge, the key under which it is kept, empty where nothing is)."""
    from . import load

    if not cache:
        return load.knowledge(sources.rules, sources.house), ""
    files = [path for name in ("rules", "house") for path in sources.files_in(name)]
    key = _digest(f"{sources.rules} {sources.house}", files)
    knowledge = kept.fetch(key, kept.PARTS, hold=True)
    if knowledge is None:
        knowledge = load.knowledge(sources.rules, sources.house)
        kept.keep(key, knowledge, kept.PARTS, hold=True)
    return knowledge, key


def _records(name, place, knowledge, key):
    """Records of a place; of a list of thousands only the files that have changed are read again."""
    from . import load

    whole = getattr(load, name)
    files = load.files_of(name, place) if key else []
    if not any(path.stat().st_size >= LONG for path in files):
        return whole(place, knowledge)
    records: list[Record] = []
    try:
        for path in files:
            records += _records_in(path, name, whole, knowledge, key)
    except AdvisorError:
        return whole(place, knowledge)  # which tells of all faults of all files
    by_id = {record.id: record for record in records}
    if len(by_id) < len(records):
        return whole(place, knowledge)  # which tells where the second of two stands
    return tuple(by_id[name] for name in sorted(by_id))


def _records_in(path, name, whole, knowledge, key):
    if path.stat().st_size < LONG:
        return whole(path, knowledge)
    key = _digest(f"{key} {name}", [path])
    records = kept.fetch(key, kept.PARTS)
    if records is None:
        records = whole(path, knowledge)
        kept.keep(key, records, kept.PARTS)
    return records


def _with_experience(content: Content, sources: Sources) -> Content:
    """The content with what outcomes taught of its kits, where a lead signed a table."""
    signed = experience.experience(sources.kits)
    if signed is None:
        return content
    kits = experience.experienced(content.kits, signed, content.knowledge.facings)
    return dataclasses.replace(content, kits=kits, hashes={**content.hashes, "experience_sha256": signed.digest})


def _key(sources: Sources) -> str:
    return _digest(str(sources), sources.files())


def _digest(places: str, files: Iterable[Path]) -> str:
    digest = hashlib.sha256(f"{program()} {places}".encode())
    for path in files:
        digest.update(str(path).encode())
        digest.update(disk.read_or_tell(path, disk.RECORDS))
    return digest.hexdigest()


@functools.cache
def program() -> str:
    """Digest of the program's own files: an edited loader must not be answered from what the old one made."""
    states = "".join(_states(_PACKAGE))
    return hashlib.sha256(f"{__version__} {sys.version}{states}".encode()).hexdigest()


def _states(folder):
    """Name, size and time of change of every file of Python in and below a folder, in order of name."""
    with os.scandir(folder) as entries:
        ordered = sorted(entries, key=lambda entry: entry.name)
    for entry in ordered:
        if entry.name.endswith(".py"):
            state = entry.stat()
            yield f" {entry.name} {state.st_size} {state.st_mtime_ns}"
        elif entry.name != "__pycache__" and entry.is_dir():
            yield from _states(entry.path)
