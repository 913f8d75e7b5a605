"""Where rules, kits, platforms and parts lie, and a cache of what was read and checked.

Lookup: the folder an option names; else the folders beside the package where a pyproject.toml stands there (a
checkout or an editable install); else the data packed into the package.
"""

import hashlib
import sys
from dataclasses import dataclass
from pathlib import Path

from .. import __version__
from ..errors import Position, StoreError
from . import cache as kept, disk
from .model import Knowledge, Record

_PACKAGE = Path(__file__).resolve().parent.parent
NAMES = ("rules", "kits", "platforms", "parts")


def default_folder(name: str) -> Path:
    """The folder of rules, kits, platforms or parts that is used where no option names one."""
    root = _PACKAGE.parent if (_PACKAGE.parent / "pyproject.toml").is_file() else _PACKAGE / "_data"
    return root / name if name == "rules" else root / "scenarios" / name


def _there(place):
    try:
        return place.exists()
    except (OSError, ValueError):  # a name too long, or one no system takes
        return False


@dataclass(frozen=True, slots=True)
class Sources:
    """The four places everything is read from."""

    rules: Path
    kits: Path
    platforms: Path
    parts: Path

    @classmethod
    def chosen(cls, **options: str | Path | None) -> "Sources":
        """From the options given; what is None or missing takes its default. StoreError where a place is not there."""
        places = {}
        for name in NAMES:
            chosen = options.get(name)
            place = Path(chosen) if chosen else default_folder(name)
            if not _there(place):
                raise StoreError(
                    f"there is no {name} file or folder here.",
                    where=Position(str(place)),
                    remedy=f"Name another with --{name}." if chosen else "Install the program again.",
                )
            places[name] = place
        return cls(**places)

    def files(self) -> tuple[Path, ...]:
        """Every file that is read, by name, in a stable order."""
        found = []
        for name in NAMES:
            place = getattr(self, name)
            if place.is_dir():
                found += disk.below(place, (".yaml", ".csv"))
            else:
                found.append(place)
        return tuple(path for path in found if not path.name.endswith(".tests.yaml"))


@dataclass(frozen=True, slots=True)
class Content:
    """Checked knowledge and records with their hashes."""

    knowledge: Knowledge
    kits: tuple[Record, ...]
    platforms: tuple[Record, ...]
    parts: tuple[Record, ...]
    hashes: dict[str, str]


def read(sources: Sources, *, cache: bool = True) -> Content:
    """`Content` of `Sources`; from the user's cache folder where the same bytes were checked before.

    The cache only saves time: it is keyed by every byte read, by the paths that error messages name, and by the
    program itself, and anything odd about it means reading afresh.
    """
    key = _key(sources) if cache else ""
    held = kept.fetch(key) if cache else None
    if held is not None:
        return Content(*held)
    from . import load

    knowledge = load.knowledge(sources.rules)
    kits, platforms, parts = (
        getattr(load, name)(getattr(sources, name), knowledge) for name in ("kits", "platforms", "parts")
    )
    load.check_together(kits, platforms, parts)
    hashes = {
        "kits_sha256": load.records_sha256(kits),
        "platforms_sha256": load.records_sha256(platforms),
        "parts_sha256": load.records_sha256(parts),
    }
    content = Content(knowledge, kits, platforms, parts, hashes)
    if cache:
        kept.keep(key, (knowledge, kits, platforms, parts, hashes))
    return content


def _key(sources: Sources) -> str:
    digest = hashlib.sha256(f"{__version__} {sys.version} {sources}".encode())
    # The program's own files: an edited loader must not be answered from what the old one made.
    for path in sorted(_PACKAGE.rglob("*.py")):
        state = path.stat()
        digest.update(f"{path.name} {state.st_size} {state.st_mtime_ns}".encode())
    for path in sources.files():
        digest.update(str(path).encode())
        digest.update(_body(path))
    return digest.hexdigest()


def _body(path):
    try:
        return disk.read(path, disk.RECORDS)
    except OSError as error:
        raise StoreError(
            f"the file cannot be read ({error.strerror}).",
            where=Position(str(path)),
            remedy="Check the name and the rights.",
        ) from None
