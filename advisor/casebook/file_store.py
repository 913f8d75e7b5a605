"""A casebook in a file of SQLite: written in whole transactions, copied while in use.

Waiting for another program is done here, so that nobody meets SQLite's own words for it.
"""

import contextlib
import os
import random
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from ..errors import Position, StoreError
from ..knowledge import disk
from . import casebook_file, copied_rows, file_tables, statements, store
from .casebook_file import connect, has_log, inspect, make, newer, sync
from .store import Connection, Place, Remains, Store

_BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
#: No entry takes fewer bytes of a file than this.
LEAST_ENTRY = 100


#: Bytes up to which a file that is written anew goes through memory, beyond them through the disk that it lies on.
IN_MEMORY = 200_000_000


class FileStore(Store):
    """An open casebook file. ``write=False`` reads only, also from a disk that cannot be written."""

    medium = "SQLite"

    def __init__(self, path: Place, *, write: bool = True, patience: float | None = None) -> None:
        super().__init__()
        self.path = self.place = Path(path)
        self.write = write
        self.patience = store.PATIENCE if patience is None else patience
        self._open: sqlite3.Connection | None = None
        with self._told():
            if not self.path.exists():
                if not write:
                    raise self.fault(
                        "there is no casebook here.", "Save a case first, or name another with --casebook."
                    )
                make(self.path)
            inspect(self.path)
            self._open = self.patiently(self._connect)
            try:
                self._prepare()
            except BaseException:
                self.close()
                raise

    def _let_go(self):
        if self._open is not None:
            self._open.close()
            self._open = None

    @property
    def identity(self) -> str:
        """The path of the file without links."""
        return os.path.realpath(self.path)

    @property
    def files(self) -> list[Path]:
        """The file."""
        return [self.path]

    @property
    def traces(self) -> str:
        """What other programs keep open."""
        return "Another program has the casebook open: traces stay in its files until all have closed it."

    @property
    def connection(self) -> sqlite3.Connection:
        """The connection to the open file."""
        assert self._open is not None, "the casebook is closed"
        return self._open

    # --- opening

    def _connect(self):
        writable = os.access(self.path, os.W_OK) and os.access(self.path.parent, os.W_OK)
        if self.write and not writable:
            raise self.fault(
                "the casebook is read-only here.", "Copy it to where it can be written, or change its permissions."
            )
        name = f"file:{quote(str(self.path.resolve()))}"
        if writable:
            try:
                return connect(f"{name}?mode=rw", uri=True)
            except sqlite3.OperationalError as error:
                # Reading needs a little room beside the file too, unless it is read as it stands.
                if self.write or _code(error) in _BUSY or has_log(self.path):
                    raise
        # Without a log beside it the file is complete as it stands, and nothing need be locked.
        return connect(f"{name}?mode=ro" + ("" if has_log(self.path) else "&immutable=1"), uri=True)

    def _prepare(self):
        version = self.version()
        if self.connection.execute(statements.HEADS).fetchone()[0] != 1:
            raise self.fault("the casebook has lost its head row.", "Take the last backup; the file was left as it is.")
        if version > statements.LATEST:
            raise newer(self.path, version)
        if version < statements.LATEST:
            if not os.access(self.path, os.W_OK):
                raise self.fault(
                    "the casebook is of an older version and read-only.", "Copy it to where it can be written."
                )
            migrate(self)
            # It holds names and numbers: for its owner, and whoever the shop gave it to on purpose.
            with contextlib.suppress(OSError):
                os.chmod(self.path, self.path.stat().st_mode & 0o770)
        if self.write and self.connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
            # A backup is kept without a log beside it; once it is written to again it gets one.
            self.patiently(lambda: self.connection.execute("PRAGMA journal_mode=WAL"))

    def version(self) -> int:
        """Number of the last migration the file has been through."""
        return self.connection.execute("PRAGMA user_version").fetchone()[0]

    # --- using

    def patiently(self, action: Callable[[], Any]) -> Any:
        """What ``action`` gives, tried again while another program is in the way."""
        until = time.monotonic() + self.patience
        while True:
            try:
                return action()
            except sqlite3.OperationalError as error:
                if _code(error) not in _BUSY or time.monotonic() > until:
                    raise
                time.sleep(random.uniform(0.005, 0.05))

    @contextlib.contextmanager
    def transaction(self) -> Iterator[Connection]:
        """The connection inside one transaction: all of it happens or nothing. Entries added in it are sealed."""
        if not self.write:
            self._refuse_to_write()
        with self._told():
            self.patiently(lambda: self.connection.execute("BEGIN IMMEDIATE"))
            try:
                _, before, _ = self.connection.execute(statements.HEAD).fetchone()
                yield self.connection
                self._seal(self.connection, before)
                self.patiently(lambda: self.connection.execute("COMMIT"))
            except BaseException:
                with contextlib.suppress(sqlite3.Error):
                    self.connection.execute("ROLLBACK")
                raise

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """The connection with everything read inside as of one moment."""
        with self._told():
            self.patiently(lambda: self.connection.execute("BEGIN"))
            try:
                yield self.connection
            finally:
                with contextlib.suppress(sqlite3.Error):
                    self.connection.execute("ROLLBACK")

    def rows(self, sql: str, values: Sequence[Any] = ()) -> Iterator[Any]:
        """The rows of one query, one after the other."""
        with self._told():
            yield from self.patiently(lambda: self.connection.execute(sql, values))

    def row(self, sql: str, values: Sequence[Any] = ()) -> Any:
        """The first row of one query, or None."""
        with self._told():
            return self.patiently(lambda: self.connection.execute(sql, values).fetchone())

    def copy_to(self, target: Place) -> None:
        """A complete copy of the file as of one moment, made while others go on writing."""
        with _filling(Path(target)) as draft:
            copy = sqlite3.connect(draft, isolation_level=None)
            try:
                self.connection.backup(copy, pages=2000, sleep=0.01)
                _settled(copy, Path(target))
            finally:
                copy.close()

    def wipe(self) -> bool:
        """Write the file anew and empty the log beside it, so that erased text is gone from the disk.

        False where other programs hold it open.
        """
        until = time.monotonic() + 5.0
        while True:
            try:
                busy = self._empty_log() or self._rewrite() or self._empty_log()
            except sqlite3.OperationalError as error:
                if _code(error) not in _BUSY:
                    with self._told():
                        raise
                busy = True
            if not busy or time.monotonic() > until:
                return not busy
            time.sleep(0.05)

    def _empty_log(self):
        return self.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]

    def _rewrite(self):
        # What it goes through has no name that others could open. Nothing of it comes into a folder for temporary
        # files, which may lie on another disk; where SQLite is told so, that counts for the whole process.
        if self.bytes_held() <= IN_MEMORY:
            self.connection.execute("PRAGMA temp_store=MEMORY")
            self.connection.execute("VACUUM")
            return False
        folder = str(self.path.resolve().parent).replace("'", "''")
        self.connection.execute("PRAGMA temp_store=FILE")
        self.connection.execute(f"PRAGMA temp_store_directory='{folder}'")
        try:
            self.connection.execute("VACUUM")
        finally:
            self.connection.execute("PRAGMA temp_store_directory=''")
        return False

    # --- looking itself over

    def damage(self) -> list[str]:
        """What SQLite finds damaged in the file's pages."""
        return [row[0] for row in self.connection.execute("PRAGMA integrity_check") if row[0] != "ok"]

    def misshapen(self) -> list[str]:
        """Tables, indices and triggers that are not as the program makes them."""
        fresh = sqlite3.connect(":memory:", isolation_level=None)
        try:
            for step in file_tables.STEPS:
                for sql in step:
                    fresh.execute(sql)
            wanted, present = (dict(connection.execute(statements.SCHEMA)) for connection in (fresh, self.connection))
        finally:
            fresh.close()
        return [name for name in sorted({*wanted, *present}) if wanted.get(name) != present.get(name)]

    def dangling(self) -> list[str]:
        """Rows that refer to nothing."""
        rows = self.connection.execute("PRAGMA foreign_key_check")
        return [f"table {row[0]} row {row[1]} refers to nothing" for row in rows]

    def bytes_held(self) -> int:
        """The size of the file's pages."""
        pages, page = (self.connection.execute(f"PRAGMA {name}").fetchone()[0] for name in ("page_count", "page_size"))
        return pages * page

    def remarks(self) -> list[str]:
        """That others on this machine can read the file, where they can."""
        mode = self.path.stat().st_mode & 0o077
        if os.name != "posix" or not mode:
            return []
        return [
            f"It holds names and numbers, and others on this machine can read it (mode {mode:03o}): chmod 600"
            f" {self.path}"
        ]

    def _told(self):
        return _telling(self.path)


class FileRemains(Remains):
    """A casebook file read row by row, whatever state it is in."""

    def __init__(self, place: Place) -> None:
        self.path = path = Path(place)
        casebook_file.looks_like_one(path)
        name = f"file:{quote(str(path.resolve()))}?mode=ro" + ("" if has_log(path) else "&immutable=1")
        try:
            self.connection = sqlite3.connect(name, uri=True, isolation_level=None)
            self.connection.text_factory = casebook_file.text_of
            self.connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, casebook_file.LARGEST_VALUE)
            self.connection.execute(statements.COUNT).fetchone()
        except (sqlite3.Error, UnicodeError):  # a message that quotes what is damaged may be no text
            raise casebook_file.cut_off(path) from None
        self.version = (self.row("PRAGMA user_version") or (0,))[0]
        if self.version < statements.APART_SINCE:
            since = statements.PRIVATE_SINCE
            self.row(file_tables.APART_OF_BEFORE if self.version >= since else file_tables.APART_OF_NONE)

    def close(self) -> None:
        """Close the file."""
        self.connection.close()

    def row(self, sql: str, values: Sequence[Any] = ()) -> Any:
        """The first row of one query; None where there is none or it cannot be read."""
        try:
            return self.connection.execute(sql, values).fetchone()
        except (sqlite3.Error, UnicodeError):
            return None

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[Any]:
        """The rows of one query; none where they cannot be read."""
        try:
            return self.connection.execute(sql, values).fetchall()
        except (sqlite3.Error, UnicodeError):
            return []

    def most_entries(self) -> int:
        """By the size of the file."""
        return self.path.stat().st_size // LEAST_ENTRY


def migrate(store: FileStore, upto: int = statements.LATEST) -> None:
    """Bring an open store to version ``upto``, each step in a transaction of its own."""
    while store.version() < upto:
        store.patiently(lambda: store.connection.execute("BEGIN IMMEDIATE"))
        try:
            version = store.version()  # another program may have been quicker
            if version < upto:
                for sql in file_tables.STEPS[version]:
                    store.connection.execute(sql)
                store.connection.execute(f"PRAGMA user_version={version + 1}")
            store.connection.execute("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                store.connection.execute("ROLLBACK")
            raise


def file_of_rows(source: Connection, target: Place) -> None:
    """Write all rows of another store's open casebook into a new file."""
    name, entries, digest = source.execute(statements.HEAD).fetchone()
    with _filling(Path(target)) as draft:
        casebook_file.make_file(draft, name=name)
        copy = connect(draft)
        try:
            copy.execute("BEGIN IMMEDIATE")
            copied_rows.copy(source, copy.executemany)
            copy.execute(statements.MOVE_HEAD, (entries, digest))
            copy.execute("COMMIT")
            _settled(copy, Path(target))
        finally:
            copy.close()


@contextlib.contextmanager
def _filling(target: Path) -> Iterator[str]:
    """A draft beside the target to write a casebook into; put in its place once it is whole."""
    if target.exists():
        raise StoreError(
            "there is a file of this name already.",
            where=Position(str(target)),
            remedy="Name another for the backup.",
        )
    try:
        descriptor, draft = tempfile.mkstemp(prefix=".casebook-", suffix=".new", dir=target.parent)
    except OSError as error:
        raise StoreError(
            f"the backup cannot be written: {error.strerror}.",
            where=Position(str(target)),
            remedy="Name a folder that exists and can be written.",
        ) from None
    os.close(descriptor)
    try:
        with _telling(target):
            yield draft
            sync(draft)
            disk.put_in_place(draft, target)
    finally:
        for name in (draft, f"{draft}-wal", f"{draft}-shm", f"{draft}-journal"):
            Path(name).unlink(missing_ok=True)


def _settled(copy: sqlite3.Connection, target: Path) -> None:
    """One single file, which can be read from a disk that cannot be written; StoreError where it is damaged."""
    copy.execute("PRAGMA journal_mode=DELETE")
    if copy.execute("PRAGMA integrity_check").fetchone()[0] != "ok":
        raise StoreError(
            "the copy is damaged.",
            where=Position(str(target)),
            remedy="Check the casebook and the disk.",
        )


def _code(error):
    return getattr(error, "sqlite_errorcode", 0) & 0xFF


_NO_ROOM = (
    "could not be written: the disk is full, or a limit on file size is reached.",
    "Make room and do it again; nothing was changed.",
)
_TOLD = {
    sqlite3.SQLITE_FULL: _NO_ROOM,
    sqlite3.SQLITE_IOERR_WRITE: _NO_ROOM,
    sqlite3.SQLITE_IOERR: (
        "could not be read or written: the disk refused.",
        "Check the disk and the room on it; nothing was changed.",
    ),
    sqlite3.SQLITE_READONLY: ("is read-only here.", "Copy it to where it can be written, or change its permissions."),
    sqlite3.SQLITE_PERM: ("is read-only here.", "Copy it to where it can be written, or change its permissions."),
    sqlite3.SQLITE_CANTOPEN: ("cannot be opened.", "Check that the file and its folder may be read and written."),
    sqlite3.SQLITE_CORRUPT: ("is damaged.", "Take the last backup; the file was left as it is."),
    sqlite3.SQLITE_NOTADB: ("is damaged, or is not a casebook.", "Take the last backup; the file was left as it is."),
    sqlite3.SQLITE_BUSY: (
        "is in use by another program that does not let go.",
        "End that program and do it again; nothing was changed.",
    ),
    sqlite3.SQLITE_LOCKED: (
        "is in use by another program that does not let go.",
        "End that program and do it again; nothing was changed.",
    ),
}


@contextlib.contextmanager
def _telling(path):
    """Turns SQLite's errors into StoreErrors about ``path``."""
    try:
        yield
    except (sqlite3.Error, UnicodeError) as error:  # a message that quotes what is damaged may be no text
        explained = _TOLD.get(getattr(error, "sqlite_errorcode", 0)) or _TOLD.get(_code(error))
        what, remedy = explained or (f"could not be used: {error}.", "Check it with: advisor case check.")
        raise StoreError(f"the casebook {what}", where=Position(str(path)), remedy=remedy) from error
