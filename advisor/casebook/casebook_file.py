"""A casebook file: made whole, and looked at before it is trusted.

Nothing is written to a file that is not a casebook, that a newer program made, or that was cut off.
"""

import functools
import os
import secrets
import sqlite3
import tempfile
import time
from pathlib import Path

from ..errors import Position, StoreError
from ..knowledge import disk
from . import file_tables, seals, statements

#: Marks the file as a casebook (bytes 68 to 71 of an SQLite file): the letters LCcb.
APPLICATION = 0x4C436362
#: Bytes of the largest value in a row: a packed decision record.
LARGEST_VALUE = 20_000_000
#: Seconds that the library waits in one step for a casebook another program writes to.
LOCKED = 10.0
MAGIC = b"SQLite format 3\x00"


#: Stored text of its bytes; of bytes that are none something readable, so that a damaged row is at fault and no other.
text_of = functools.partial(str, encoding="utf-8", errors="backslashreplace")


def connect(name: Path | str, **options: bool) -> sqlite3.Connection:
    """A connection set up the way every connection here is."""
    connection = sqlite3.connect(name, timeout=LOCKED, isolation_level=None, **options)
    try:
        connection.text_factory = text_of
        connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, LARGEST_VALUE)
        for line in (
            "foreign_keys=ON",
            "synchronous=FULL",
            "secure_delete=ON",
            "trusted_schema=OFF",
            "cell_size_check=ON",
        ):
            connection.execute(f"PRAGMA {line}")
        # The first look at the file itself: what is wrong with opening it comes out here.
        connection.execute(statements.COUNT).fetchone()
    except BaseException:
        connection.close()
        raise
    return connection


def looks_like_one(path: Path) -> bytes:
    """The first bytes of a file; StoreError unless they are those of a casebook, whole or not."""
    where = Position(str(path))
    other = "Name another file with --casebook."
    if not path.is_file():
        raise StoreError("this is not a file.", where=where, remedy=other)
    with path.open("rb") as file:
        head = file.read(100)
    if not head:
        raise StoreError(
            "the file is empty, or was cut off; it is not a casebook.",
            where=where,
            remedy="Take the last backup, or name another file with --casebook.",
        )
    if not head.startswith(MAGIC[: len(head)]) or (head[68:72] != APPLICATION.to_bytes(4, "big") and len(head) == 100):
        raise StoreError("this is not a casebook.", where=where, remedy=other)
    return head


def inspect(path: Path) -> None:
    """Raise StoreError unless the file's first bytes are those of a complete casebook this program can read."""
    head = looks_like_one(path)
    size = path.stat().st_size
    if len(head) < 100:
        raise cut_off(path)
    version = int.from_bytes(head[60:64], "big")
    if version > statements.LATEST:
        raise newer(path, version)
    page = int.from_bytes(head[16:18], "big")
    pages = int.from_bytes(head[28:32], "big")
    # While a log stands beside the file, pages may still be on their way from it.
    if not has_log(path) and pages * (65536 if page == 1 else page) > size:
        raise cut_off(path)


def newer(path: Path, version: int) -> StoreError:
    """The error for a file of a later version."""
    return StoreError(
        f"the casebook is of version {version}; this program knows versions up to {statements.LATEST}.",
        where=Position(str(path)),
        remedy="Install the newer program; the file was left as it is.",
    )


def cut_off(path: Path) -> StoreError:
    """The error for a truncated file."""
    return StoreError(
        "the casebook was cut off: its end is missing.",
        where=Position(str(path)),
        remedy="Take the last backup; the file was left as it is.",
    )


def has_log(path: Path) -> bool:
    """Whether writes of some program that did not end by closing it stand in the log beside the casebook."""
    log = path.with_name(path.name + "-wal")
    return log.exists() and log.stat().st_size > 0


def make_file(path: Path | str, upto: int = statements.LATEST, name: str | None = None) -> None:
    """Write a new, empty casebook of version ``upto`` at ``path``, which must be an empty file.

    ``name``: what it is called, where it is to hold a copy of that casebook.
    """
    connection = connect(path)
    try:
        connection.execute(f"PRAGMA application_id={APPLICATION}")
        connection.execute("BEGIN IMMEDIATE")
        for step in file_tables.STEPS[:upto]:
            for sql in step:
                connection.execute(sql)
        connection.execute(f"PRAGMA user_version={upto}")
        name = name or secrets.token_hex(16)
        connection.execute(statements.BEGIN_HEAD, (name, name))
        connection.execute("COMMIT")
        connection.execute("PRAGMA journal_mode=WAL")
    finally:
        connection.close()


def make(path: Path) -> None:
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
        sync(draft)
        disk.put_in_place(draft, path)
        seals.begin_anew(os.path.realpath(path))
    except FileExistsError:
        if not path.is_file():
            raise StoreError(
                "a folder is needed here.",
                where=Position(str(path.parent)),
                remedy="Name another file with --casebook.",
            ) from None
    except OSError as error:
        raise StoreError(
            f"the casebook cannot be made: {error.strerror}.",
            where=Position(str(path)),
            remedy="Name a file in a folder that can be written with --casebook.",
        ) from None
    finally:
        for name in (draft, f"{draft}-wal", f"{draft}-shm", f"{draft}-journal") if draft else ():
            Path(name).unlink(missing_ok=True)


def sync(name: str) -> None:
    """Force a file to the disk."""
    descriptor = os.open(name, os.O_RDWR)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
