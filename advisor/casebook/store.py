"""An open casebook file: written in whole transactions, copied while in use.

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
from sqlite3 import Connection
from typing import Any, Self
from urllib.parse import quote

from ..errors import Position, StoreError
from ..knowledge import disk
from . import seals, statements
from .casebook_file import connect, has_log, inspect, make, newer, sync

#: Seconds to wait for other programs that write to the same file before giving up.
PATIENCE = 120.0
_BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


def default_path() -> Path:
    """The casebook in the user's data folder."""
    return disk.home("XDG_DATA_HOME", ".local", "share") / "least-clutch" / "casebook.sqlite"


class Store:
    """An open casebook file. ``write=False`` reads only, also from a disk that cannot be written."""

    #: What the casebook is called where cases are taken over from it.
    name = ""

    def __init__(self, path: Path | str, *, write: bool = True, patience: float = PATIENCE) -> None:
        self.path = Path(path)
        self.write = write
        self.patience = patience
        self._open: sqlite3.Connection | None = None
        self._sealed: tuple[int, seals.Key] | None = None
        #: What this machine holds seals against, once read: its key, and its note of what it last wrote.
        self.vouching: tuple[seals.Key | None, seals.Written | None] | None = None
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

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; the object cannot be used again."""
        if self._open is not None:
            if self._sealed is not None:
                with contextlib.suppress(StoreError):
                    seals.note_writing(self, *self._sealed)
                self._sealed = None
            self._open.close()
            self._open = None

    @property
    def connection(self) -> sqlite3.Connection:
        """The connection to the open file."""
        assert self._open is not None, "the casebook is closed"
        return self._open

    def fault(self, what: str, remedy: str = "") -> StoreError:
        """A StoreError about this file."""
        return StoreError(what, where=Position(str(self.path)), remedy=remedy)

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
            raise self.fault("the casebook was opened to be read only.")
        with self._told():
            self.patiently(lambda: self.connection.execute("BEGIN IMMEDIATE"))
            try:
                _, before, _ = self.connection.execute(statements.HEAD).fetchone()
                yield self.connection
                self._seal(before)
                self.patiently(lambda: self.connection.execute("COMMIT"))
            except BaseException:
                with contextlib.suppress(sqlite3.Error):
                    self.connection.execute("ROLLBACK")
                raise

    def _seal(self, before):
        added = self.connection.execute(statements.UNSEALED_AFTER, (before,)).fetchall()
        if not added:
            return
        key = self._sealed[1] if self._sealed else seals.key_to_write_with()
        (casebook, _, _) = self.connection.execute(statements.HEAD).fetchone()
        rows = [(number, key.id, key.seal(casebook, digest)) for number, digest in added]
        self.connection.executemany(statements.ADD_SEAL, rows)
        self._sealed, self.vouching = self._sealed or (added[0][0], key), None

    @contextlib.contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
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

    def copy_to(self, target: Path | str) -> None:
        """A complete copy of the file as of one moment, made while others go on writing."""
        target = Path(target)
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
                copy = sqlite3.connect(draft, isolation_level=None)
                try:
                    self.connection.backup(copy, pages=2000, sleep=0.01)
                    # One single file, which can be read from a disk that cannot be written.
                    copy.execute("PRAGMA journal_mode=DELETE")
                    if copy.execute("PRAGMA integrity_check").fetchone()[0] != "ok":
                        raise StoreError(
                            "the copy is damaged.",
                            where=Position(str(target)),
                            remedy="Check the casebook and the disk.",
                        )
                finally:
                    copy.close()
                sync(draft)
                disk.put_in_place(draft, target)
        finally:
            Path(draft).unlink(missing_ok=True)

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
        # In memory: no copy of anything is to stay behind in a folder for temporary files.
        self.connection.execute("PRAGMA temp_store=MEMORY")
        self.connection.execute("VACUUM")
        return False

    def _told(self):
        return _telling(self.path)


def migrate(store: "Store", upto: int = statements.LATEST) -> None:
    """Bring an open store to version ``upto``, each step in a transaction of its own."""
    while store.version() < upto:
        store.patiently(lambda: store.connection.execute("BEGIN IMMEDIATE"))
        try:
            version = store.version()  # another program may have been quicker
            if version < upto:
                for sql in statements.STEPS[version]:
                    store.connection.execute(sql)
                store.connection.execute(f"PRAGMA user_version={version + 1}")
            store.connection.execute("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                store.connection.execute("ROLLBACK")
            raise


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
