"""One SQLite file: looked at before it is trusted, written in whole transactions, copied while in use.

Nothing is written to a file that is not a casebook, that a newer program made, or that was cut off. Waiting for
another program is done here, so that nobody meets SQLite's own words for it.
"""

import contextlib
import os
import random
import secrets
import sqlite3
import tempfile
import time
from pathlib import Path
from urllib.parse import quote

from ..errors import Position, StoreError
from . import migrations

#: Marks the file as a casebook (bytes 68 to 71 of an SQLite file): the letters LCcb.
APPLICATION = 0x4C436362
MAGIC = b"SQLite format 3\x00"
#: Seconds to wait for other programs that write to the same file before giving up.
PATIENCE = 120.0
_BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


def default_path():
    """The casebook in the user's data folder."""
    base = os.environ.get("XDG_DATA_HOME") or os.path.join(os.path.expanduser("~"), ".local", "share")
    return Path(base) / "least-clutch" / "casebook.sqlite"


class Store:
    """An open casebook file. ``write=False`` reads only, also from a disk that cannot be written."""

    def __init__(self, path, *, write=True, patience=PATIENCE):
        self.path = Path(path)
        self.write = write
        self.patience = patience
        self.connection = None
        with self._told():
            if not self.path.exists():
                if not write:
                    raise self.fault("there is no casebook here.", "Save a case first, or name another with --casebook.")
                _make(self.path)
            inspect(self.path)
            self.connection = self._connect()
            try:
                self._prepare()
            except BaseException:
                self.close()
                raise

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.close()

    def close(self):
        """Close the file; the object cannot be used again."""
        if self.connection is not None:
            self.connection.close()
            self.connection = None

    def fault(self, what, remedy=""):
        """A StoreError about this file."""
        return StoreError(what, where=Position(str(self.path)), remedy=remedy)

    # --- opening

    def _connect(self):
        writable = os.access(self.path, os.W_OK) and os.access(self.path.parent, os.W_OK)
        if self.write and not writable:
            raise self.fault("the casebook is read-only here.", "Copy it to where it can be written, or change its permissions.")
        options = "mode=rw"
        if not writable:
            # Without a log beside it the file is complete as it stands, and nothing need be locked.
            options = "mode=ro" if _has_log(self.path) else "mode=ro&immutable=1"
        return connect(f"file:{quote(str(self.path.resolve()))}?{options}", uri=True)

    def _prepare(self):
        self.patiently(lambda: self.connection.execute("SELECT count(*) FROM sqlite_schema").fetchone())
        version = self.version()
        if version > migrations.LATEST:
            raise newer(self.path, version)
        if version < migrations.LATEST:
            if not os.access(self.path, os.W_OK):
                raise self.fault("the casebook is of an older version and read-only.", "Copy it to where it can be written.")
            migrate(self)
        if self.write and self.connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
            # A backup is kept without a log beside it; once it is written to again it gets one.
            self.patiently(lambda: self.connection.execute("PRAGMA journal_mode=WAL"))

    def version(self):
        """Number of the last migration the file has been through."""
        return self.connection.execute("PRAGMA user_version").fetchone()[0]

    # --- using

    def patiently(self, action):
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
    def transaction(self):
        """The connection inside one transaction: all of it happens or nothing."""
        if not self.write:
            raise self.fault("the casebook was opened to be read only.")
        with self._told():
            self.patiently(lambda: self.connection.execute("BEGIN IMMEDIATE"))
            try:
                yield self.connection
                self.patiently(lambda: self.connection.execute("COMMIT"))
            except BaseException:
                with contextlib.suppress(sqlite3.Error):
                    self.connection.execute("ROLLBACK")
                raise

    @contextlib.contextmanager
    def reading(self):
        """The connection with everything read inside as of one moment."""
        with self._told():
            self.patiently(lambda: self.connection.execute("BEGIN"))
            try:
                yield self.connection
            finally:
                with contextlib.suppress(sqlite3.Error):
                    self.connection.execute("ROLLBACK")

    def rows(self, sql, values=()):
        """The rows of one query, one after the other."""
        with self._told():
            yield from self.patiently(lambda: self.connection.execute(sql, values))

    def row(self, sql, values=()):
        """The first row of one query, or None."""
        with self._told():
            return self.patiently(lambda: self.connection.execute(sql, values).fetchone())

    def copy_to(self, target):
        """A complete copy of the file as of one moment, made while others go on writing."""
        target = Path(target)
        if target.exists():
            raise StoreError("there is a file of this name already.", where=Position(str(target)), remedy="Name another for the backup.")
        try:
            descriptor, draft = tempfile.mkstemp(prefix=".casebook-", suffix=".new", dir=target.parent)
        except OSError as error:
            raise StoreError(f"the backup cannot be written: {error.strerror}.", where=Position(str(target)),
                             remedy="Name a folder that exists and can be written.") from None
        os.close(descriptor)
        try:
            with _telling(target):
                copy = sqlite3.connect(draft, isolation_level=None)
                try:
                    self.connection.backup(copy, pages=2000, sleep=0.01)
                    # One single file, which can be read from a disk that cannot be written.
                    copy.execute("PRAGMA journal_mode=DELETE")
                    if copy.execute("PRAGMA integrity_check").fetchone()[0] != "ok":
                        raise StoreError("the copy is damaged.", where=Position(str(target)), remedy="Check the casebook and the disk.")
                finally:
                    copy.close()
                _sync(draft)
                _put_in_place(draft, target)
        finally:
            Path(draft).unlink(missing_ok=True)

    def wipe_log(self):
        """Empty the log beside the file, so that erased text is gone from the disk; False where others hold it open."""
        until = time.monotonic() + 5.0
        while True:
            with self._told():
                busy = self.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
            if not busy or time.monotonic() > until:
                return not busy
            time.sleep(0.05)

    def _told(self):
        return _telling(self.path)


def connect(name, **options):
    """A connection set up the way every connection here is."""
    connection = sqlite3.connect(name, timeout=10.0, isolation_level=None, **options)
    for line in (
        "foreign_keys=ON", "synchronous=FULL", "secure_delete=ON", "trusted_schema=OFF", "cell_size_check=ON",
    ):
        connection.execute(f"PRAGMA {line}")
    return connection


def migrate(store, upto=migrations.LATEST):
    """Bring an open store to version ``upto``, each step in a transaction of its own."""
    while store.version() < upto:
        store.patiently(lambda: store.connection.execute("BEGIN IMMEDIATE"))
        try:
            version = store.version()  # another program may have been quicker
            if version < upto:
                for sql in migrations.STEPS[version]:
                    store.connection.execute(sql)
                store.connection.execute(f"PRAGMA user_version={version + 1}")
            store.connection.execute("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                store.connection.execute("ROLLBACK")
            raise


def inspect(path):
    """Raise StoreError unless the file's first bytes are those of a complete casebook this program can read."""
    where = Position(str(path))
    other = "Name another file with --casebook."
    if not path.is_file():
        raise StoreError("this is not a file.", where=where, remedy=other)
    with path.open("rb") as file:
        head = file.read(100)
    size = path.stat().st_size
    if not head:
        raise StoreError("the file is empty, or was cut off; it is not a casebook.", where=where, remedy="Take the last backup, or name another file with --casebook.")
    if not head.startswith(MAGIC[: len(head)]) or head[68:72] != APPLICATION.to_bytes(4, "big") and len(head) == 100:
        raise StoreError("this is not a casebook.", where=where, remedy=other)
    if len(head) < 100:
        raise cut_off(path)
    version = int.from_bytes(head[60:64], "big")
    if version > migrations.LATEST:
        raise newer(path, version)
    page = int.from_bytes(head[16:18], "big")
    pages = int.from_bytes(head[28:32], "big")
    # While a log stands beside the file, pages may still be on their way from it.
    if not _has_log(path) and pages * (65536 if page == 1 else page) > size:
        raise cut_off(path)


def newer(path, version):
    """The error for a file of a later version."""
    return StoreError(
        f"the casebook is of version {version}; this program knows versions up to {migrations.LATEST}.",
        where=Position(str(path)), remedy="Install the newer program; the file was left as it is.",
    )


def cut_off(path):
    """The error for a truncated file."""
    return StoreError("the casebook was cut off: its end is missing.", where=Position(str(path)), remedy="Take the last backup; the file was left as it is.")


def _has_log(path):
    log = path.with_name(path.name + "-wal")
    return log.exists() and log.stat().st_size > 0


def make_file(path, upto=migrations.LATEST):
    """Write a new, empty casebook of version ``upto`` at ``path``, which must be an empty file."""
    connection = connect(path)
    try:
        connection.execute(f"PRAGMA application_id={APPLICATION}")
        connection.execute("BEGIN IMMEDIATE")
        for step in migrations.STEPS[:upto]:
            for sql in step:
                connection.execute(sql)
        connection.execute(f"PRAGMA user_version={upto}")
        name = secrets.token_hex(16)
        connection.execute("INSERT INTO head VALUES (1, ?, 0, ?)", (name, name))
        connection.execute("COMMIT")
        connection.execute("PRAGMA journal_mode=WAL")
    finally:
        connection.close()


def _make(path):
    """Create a casebook: made complete beside its place, then put there in one step."""
    draft = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        for old in path.parent.glob(".casebook-*.new"):
            if time.time() - old.stat().st_mtime > 3600:  # left by a program that was killed
                old.unlink(missing_ok=True)
        descriptor, draft = tempfile.mkstemp(prefix=".casebook-", suffix=".new", dir=path.parent)
        os.close(descriptor)
        make_file(draft)
        _sync(draft)
        _put_in_place(draft, path)
    except FileExistsError:
        if not path.is_file():
            raise StoreError("a folder is needed here.", where=Position(str(path.parent)), remedy="Name another file with --casebook.") from None
    except OSError as error:
        raise StoreError(f"the casebook cannot be made: {error.strerror}.", where=Position(str(path)),
                         remedy="Name a file in a folder that can be written with --casebook.") from None
    finally:
        for name in (draft, f"{draft}-wal", f"{draft}-shm", f"{draft}-journal") if draft else ():
            Path(name).unlink(missing_ok=True)


def _put_in_place(draft, path):
    """Give a finished file its name; FileExistsError where another program was quicker."""
    try:
        os.link(draft, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links
        if Path(path).exists():
            raise FileExistsError(path) from None
        os.rename(draft, path)


def _sync(name):
    descriptor = os.open(name, os.O_RDWR)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _code(error):
    return getattr(error, "sqlite_errorcode", 0) & 0xFF


_NO_ROOM = ("could not be written: the disk is full, or a limit on file size is reached.", "Make room and do it again; nothing was changed.")
_TOLD = {
    sqlite3.SQLITE_FULL: _NO_ROOM,
    sqlite3.SQLITE_IOERR_WRITE: _NO_ROOM,
    sqlite3.SQLITE_IOERR: ("could not be read or written: the disk refused.", "Check the disk and the room on it; nothing was changed."),
    sqlite3.SQLITE_READONLY: ("is read-only here.", "Copy it to where it can be written, or change its permissions."),
    sqlite3.SQLITE_PERM: ("is read-only here.", "Copy it to where it can be written, or change its permissions."),
    sqlite3.SQLITE_CANTOPEN: ("cannot be opened.", "Check that the file and its folder may be read and written."),
    sqlite3.SQLITE_CORRUPT: ("is damaged.", "Take the last backup; the file was left as it is."),
    sqlite3.SQLITE_NOTADB: ("is damaged, or is not a casebook.", "Take the last backup; the file was left as it is."),
    sqlite3.SQLITE_BUSY: ("is in use by another program that does not let go.", "End that program and do it again; nothing was changed."),
    sqlite3.SQLITE_LOCKED: ("is in use by another program that does not let go.", "End that program and do it again; nothing was changed."),
}


@contextlib.contextmanager
def _telling(path):
    """Turns SQLite's errors into StoreErrors about ``path``."""
    try:
        yield
    except sqlite3.Error as error:
        told = _TOLD.get(getattr(error, "sqlite_errorcode", 0)) or _TOLD.get(_code(error))
        what, remedy = told or (f"could not be used: {error}.", "Check it with: advisor case check.")
        raise StoreError(f"the casebook {what}", where=Position(str(path)), remedy=remedy) from error
