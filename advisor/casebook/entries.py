"""The history: entries that each seal the one before, so that a row changed, removed or put in between shows.

The digest of an entry is taken over everything in it and over the digest before it. Whoever rewrites the whole
history from the changed row on would not be found out by the file alone; its last digest, written down or in a
backup, tells.
"""

import datetime
import secrets
import unicodedata
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from ..errors import InputError
from ..knowledge import canonical, disk, signs
from . import shape, statements

if TYPE_CHECKING:
    import sqlite3


#: Kinds of entries; what each holds stands in `shape`.
KINDS = (
    "answers",
    "decision",
    "reading",
    "worksheet",
    "note",
    "sale",
    "fitting",
    "return",
    "asking",
    "outcome",
    "complaint",
    "sign_off",
    "objection",
    "person",
    "forgotten",
)
#: Bytes of the largest stored content: a decision record, or a file of rules or records.
LARGEST = disk.DECISION
LONGEST_NAME, LONGEST_TEXT = 200, 20_000


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry: ``at`` is UTC; ``body`` JSON data; ``record`` and ``knowledge`` SHA-256 of what it refers to.

    ``sealed`` is the salted digest of what stands in ``private`` for it.
    """

    number: int
    case: int
    kind: str
    at: str
    by: str
    body: dict
    record: str | None
    knowledge: str | None
    sealed: str | None
    previous: str
    digest: str

    def sound(self) -> bool:
        """Whether the entry still says what it said when it was written."""
        try:
            return self.digest == _digest(self)
        except (TypeError, ValueError, RecursionError):  # nothing this program writes
            return False


def now() -> str:
    """The time of day in UTC, to the second."""
    return datetime.datetime.now(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def of_row(row: Sequence[Any]) -> "Entry":
    """The Entry of a row of ``tables.ENTRY``."""
    number, case, kind, at, by, body, *rest = row
    data = shape.data(body)
    return Entry(number, case, kind, at, by, {"unreadable": True} if data is None else data, *rest)


def _digest(entry):
    content = [
        entry.previous,
        entry.number,
        entry.case,
        entry.kind,
        entry.at,
        entry.by,
        entry.body,
        entry.record,
        entry.knowledge,
        entry.sealed,
    ]
    return canonical.sha256(content)


def seal(salt: str, private: Mapping[str, str]) -> str:
    """The salted digest of private data."""
    return canonical.digest(f"{salt}{canonical.text(private)}")


def append(
    connection: "sqlite3.Connection",
    case: int,
    kind: str,
    body: dict[str, Any],
    *,
    by: str = "",
    record: str | None = None,
    knowledge: str | None = None,
    private: Mapping[str, str] | None = None,
    at: str | None = None,
    sealed: str | None = None,
) -> "Entry":
    """Add an entry inside a transaction; the Entry.

    ``private`` is sealed with a new salt; an entry from elsewhere brings its ``sealed`` digest, and whoever adds it
    sees to its private row.
    """
    _, count, previous = connection.execute(statements.HEAD).fetchone()
    salt = secrets.token_hex(16)
    if private is not None:
        sealed = seal(salt, private)
    bare = Entry(count + 1, case, kind, at or now(), by, body, record, knowledge, sealed, previous, "")
    entry = replace(bare, digest=_digest(bare))
    connection.execute(
        statements.ADD_ENTRY,
        (
            entry.number,
            case,
            kind,
            entry.at,
            by,
            canonical.text(body),
            record,
            knowledge,
            sealed,
            previous,
            entry.digest,
        ),
    )
    if private is not None:
        connection.execute(statements.ADD_PRIVATE, (entry.number, salt, canonical.text(private)))
    connection.execute(statements.MOVE_HEAD, (entry.number, entry.digest))
    return entry


def keep(connection: "sqlite3.Connection", body: bytes) -> str:
    """Store bytes once; their SHA-256."""
    name = canonical.digest(body)
    if connection.execute(statements.CONTENT, (name,)).fetchone() is None:
        connection.execute(statements.ADD_CONTENT, (name, len(body), zlib.compress(body)))
    return name


def unpack(name: str, size: int, packed: bytes) -> bytes | None:
    """The bytes of a content row, or None where they are not those they were stored under."""
    if type(size) is not int or not 0 <= size <= LARGEST or not isinstance(packed, bytes):
        return None
    try:
        # Never more than the stated size: a row somebody tampered with must not fill the memory.
        body = zlib.decompressobj().decompress(packed, size + 1)
    except zlib.error:
        return None
    return body if len(body) == size and canonical.digest(body) == name else None


def fetch(store: Any, name: str | None) -> bytes:
    """Stored bytes by their SHA-256; StoreError where they are missing or were changed."""
    row = store.row(statements.CONTENT, (name,))
    body = unpack(str(name), *row) if row else None
    if body is None:
        raise store.fault(
            f"the stored content {str(name)[:12]} is missing or was changed.",
            "Run: advisor case check. Take the last backup.",
        )
    return body


def line(text: str, what: str, longest: int = LONGEST_NAME) -> str:
    """One line of text from a person, blanks folded; InputError where it is empty, too long or holds odd characters."""
    return paragraph(" ".join((text or "").split()), what, longest)


def paragraph(text: str, what: str, longest: int = LONGEST_TEXT) -> str:
    """Text from a person, line ends kept; InputError as `line`."""
    text = unicodedata.normalize("NFC", (text or "").strip())
    if not text:
        raise InputError(f"the {what} is empty.", remedy="Write something.")
    if len(text) > longest:
        raise InputError(f"the {what} is longer than {longest} characters.", remedy="Shorten it.")
    odd = signs.first_odd(text)
    if odd:
        raise InputError(f"the {what} holds {odd}, a control or invisible sign.", remedy="Take it out.")
    return text
