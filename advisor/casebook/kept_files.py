"""The knowledge a decision was made with: the raw bytes of every file, each distinct one stored once."""

import contextlib
import dataclasses
import functools
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any

from ..errors import AdvisorError, InputError, OutgrownError, Position, StoreError
from ..knowledge import cache, canonical, disk, shop as shops
from ..knowledge.sources import NAMES, PLACES, Content, Sources, program, read
from . import entries, statements
from .old_notation import converted

if TYPE_CHECKING:
    from .store import Connection

#: Where what the shop says of itself is kept among the files: the part that an answer rests on, without its people.
SHOP = ("shop", "shop.toml")
#: Sets of knowledge kept in memory once read; each takes some megabytes.
KEPT = 3
_read: dict[str, Content] = {}
#: What of a `Content` is kept in the user's cache: all but the shop, which is read anew.
_OF_CONTENT = tuple(part.name for part in dataclasses.fields(Content) if part.name != "shop")


@dataclass(frozen=True)
class Files:
    """Raw files by (place, path within it); the path is empty where the place is itself one file."""

    bodies: Mapping[tuple[str, str], bytes]

    @classmethod
    def of(cls, sources: Sources) -> "Files":
        """Everything that `sources.read` reads, as it lies on the disk now."""
        bodies = {} if sources.shop is None else {SHOP: shops.written(sources.shop.kept()).encode()}
        try:
            for place in PLACES:
                root = getattr(sources, place)
                if root is None:
                    continue
                for path in sources.files():
                    if path == root:
                        bodies[place, ""] = disk.read(path, disk.RECORDS)
                    elif path.is_relative_to(root):
                        bodies[place, path.relative_to(root).as_posix()] = disk.read(path, disk.RECORDS)
        except OSError as error:
            raise StoreError(
                f"a file of the {place} cannot be read: {error.strerror}.",
                where=Position(str(path)),
                remedy="Do it again.",
            ) from None
        return cls(bodies)

    def names(self, places: tuple[str, ...] = (*PLACES, SHOP[0])) -> list[list[str]]:
        """[place, path, SHA-256] of every file of some places, sorted."""
        return [
            [place, path, canonical.digest(body)]
            for (place, path), body in sorted(self.bodies.items())
            if place in places
        ]

    def sha256(self, places: tuple[str, ...] = (*PLACES, SHOP[0])) -> str:
        """Hex SHA-256 over `names`: one for one set of files, whatever folder they lie in."""
        return canonical.sha256(self.names(places))

    def unchanged_in(self, sources: Sources) -> None:
        """Raise InputError where the files differ from those on the disk: they were edited while being read."""
        try:
            same = Files.of(sources).bodies == self.bodies
        except StoreError:
            same = False
        if not same:
            raise InputError(
                "a file of the rules or the shop was changed while it was being read.", remedy="Do it again."
            )

    def shop(self) -> shops.About | None:
        """What the shop said of itself, None where there was none."""
        body = self.bodies.get(SHOP)
        return shops.shop_of(body.decode()) if body else None

    @contextlib.contextmanager
    def laid_out(self) -> Iterator[Sources]:
        """The files in a folder of their own while the context lasts, as `Sources`; old rules written anew."""
        with tempfile.TemporaryDirectory(prefix="least-clutch-") as folder:
            places = {}
            for place in NAMES:
                places[place] = Path(folder, place)
                if (place, "") in self.bodies:
                    places[place] = Path(folder, f"{place}.yaml")
                else:
                    places[place].mkdir()
            if any(place == "house" for place, _ in self.bodies):
                places["house"] = Path(folder, "house")
                places["house"].mkdir()
            try:
                for (place, path), body in self.bodies.items():
                    if place not in places:
                        continue
                    target = places[place] / PurePosixPath(path) if path else places[place]
                    target.parent.mkdir(parents=True, exist_ok=True)
                    # Only what is read is in today's notation; what is stored stays as it was.
                    target.write_bytes(converted(body) if place == "rules" and _is_rules(path) else body)
                yield Sources(**places, shop=self.shop())
            except AdvisorError as error:
                raise OutgrownError(
                    "the stored knowledge cannot be read by this version of the program: "
                    + str(error).replace(folder, "stored"),
                    remedy="Use the program the case was decided with.",
                ) from error


def _is_rules(path):
    """Whether a path within the rules folder is a file of rules, not a single file or tests."""
    parts = PurePosixPath(path)
    return len(parts.parts) > 1 and parts.suffix == ".yaml" and not parts.name.endswith(".tests.yaml")


def content(files: "Files") -> Content:
    """The checked `Content` of Files; the last few are kept, and processes forked later have them too."""
    name = files.sha256()
    if name not in _read:
        while len(_read) >= KEPT:
            _read.pop(next(iter(_read)))
        key = canonical.digest(f"{program()} {name}")
        parts = cache.fetch(key, cache.PARTS)
        if parts is None:
            with files.laid_out() as sources:
                fresh = read(sources, cache=False)
            parts = {part: getattr(fresh, part) for part in _OF_CONTENT}
            cache.keep(key, parts, cache.PARTS)
        _read[name] = Content(**parts, shop=files.shop())
    return _read[name]


def keep(connection: "Connection", files: "Files") -> str:
    """Store a set of files inside a transaction; its SHA-256."""
    name = files.sha256()
    if connection.execute(statements.KNOWLEDGE, (name,)).fetchone() is None:
        connection.execute(statements.ADD_KNOWLEDGE, (name,))
        for (place, path), body in sorted(files.bodies.items()):
            connection.execute(statements.ADD_FILE, (name, place, path, entries.keep(connection, body)))
    return name


def fetch(store: Any, name: str | None) -> "Files":
    """The stored Files of that SHA-256; StoreError where any was changed or is missing."""
    stored = store.rows(statements.FILES_OF_KNOWLEDGE, (name,))
    listed = [(place, path, content) for place, path, content in stored if _plain(path)]
    files = Files({(place, path): entries.fetch(store, content) for place, path, content in listed})
    if files.sha256() != name:
        raise store.fault(
            f"the stored knowledge {str(name)[:12]} was changed.", "Run: advisor case check. Take the last backup."
        )
    return files


class Contents:
    """The `Content` that entries of one casebook were decided by: each set of files is fetched and held against its
    digest once, however many thousand entries name it; the last few are kept.
    """

    def __init__(self, store: Any) -> None:
        self._of_name = functools.lru_cache(KEPT)(lambda name: content(fetch(store, name)))

    def of(self, entry: "entries.Entry") -> Content:
        """The Content of an entry's files; StoreError where any was changed or is missing."""
        return self._of_name(entry.knowledge)


def bring(connection: "Connection", source: Any, name: str | None) -> None:
    """Take the stored Files of that SHA-256 over from another casebook, inside a transaction; once is enough."""
    if name and connection.execute(statements.KNOWLEDGE, (name,)).fetchone() is None:
        keep(connection, fetch(source, name))


def _plain(path):
    """Whether a stored path stays within its folder."""
    if not isinstance(path, str) or "\0" in path:
        return False
    parts = PurePosixPath(path)
    return not parts.is_absolute() and ".." not in parts.parts and "\\" not in path and ":" not in path
