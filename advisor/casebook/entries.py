"""The history: entries that each seal the one before, so that a row changed, removed or put in between shows.

The digest of an entry is taken over everything in it and over the digest before it. Whoever rewrites the whole
history from the changed row on would not be found out by the file alone; its last digest, written down or in a
backup, tells.
"""

import dataclasses
import datetime
import json
import secrets
import unicodedata
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from ..errors import InputError, StoreError
from ..knowledge import canonical, disk, signs
from . import json_within_limits, statements

if TYPE_CHECKING:
    from .store import Connection


#: Kinds of entries; what each holds stands in `shape`.
KINDS = (
    "answers",
    "decision",
    "reading",
    "worksheet",
    "note",
    "quote",
    "sale",
    "fitting",
    "return",
    "asking",
    "outcome",
    "complaint",
    "sign_off",
    "objection",
    "person",
    "adoption",
    "forgotten",
    "hand_over",
)
#: Bytes of the largest stored content: a decision record, or a file of rules or records.
LARGEST = disk.DECISION
LONGEST_NAME, LONGEST_TEXT = 200, 20_000


#: A text as it stands in JSON that is digested.
_quoted = json.encoder.encode_basestring
#: What stands in a sealed body for the name of a case, which stands apart.
NAMELESS = "case"
#: Columns of an entry, before what stands apart for it.
COLUMNS = 11
#: Kinds whose body holds a case, and kinds of signatures.
OF_CASE, SIGNATURES = ("answers", "reading"), ("sign_off", "objection")


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry: ``at`` is UTC; ``body`` JSON data; ``record`` and ``knowledge`` SHA-256 of what it refers to.

    What is people's stands apart, erasable: ``kept`` holds it part by part, ``gone`` the parts that were erased; ``by``
    and ``body`` are whole again, as far as they were not erased. ``sealed`` is the digest over all that stands apart.
    ``before``: all of it is one part, as entries of before have it.
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
    kept: Mapping[str, str] = field(default_factory=dict)
    gone: tuple[str, ...] = ()
    before: bool = False

    def sound(self) -> bool:
        """Whether the entry still says what it said when it was written."""
        try:
            return self.digest == _digest(self)
        except (TypeError, ValueError, RecursionError, AttributeError):  # nothing this program writes
            return False

    def bare(self) -> tuple[str, dict]:
        """(by, body) as they are sealed: without what stands apart."""
        body = self.body
        if "case" in self.kept:
            body = {**body, "case": {**body["case"], "id": NAMELESS}}
        if self.kind in SIGNATURES and "text" in self.kept:
            body = {name: part for name, part in body.items() if name != "text"}
        return "" if "by" in self.kept else self.by, body


def now() -> str:
    """The time of day in UTC, to the second."""
    return datetime.datetime.now(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def of_row(row: Sequence[Any]) -> Entry:
    """The Entry of a row of ``statements.WHOLE``."""
    return of_columns(row[:COLUMNS], json_within_limits.read(row[COLUMNS]))


def of_columns(row: Sequence[Any], apart_read: Any) -> Entry:
    """The Entry of a row of ``statements.ENTRY``; ``apart_read``: what stands apart for it, part -> text or None."""
    number, case, kind, at, by, body, record, knowledge, sealed, previous, digest = row
    data = json_within_limits.read(body)
    whole = isinstance(data, dict) and isinstance(apart_read, dict)
    parts = _parts(apart_read) if whole else {}
    kept = {part: text for part, text in parts.items() if text is not None}
    gone = () if len(kept) == len(parts) else tuple(sorted(parts.keys() - kept.keys()))
    # Where something stands apart nothing may stand in its place.
    whole = whole and not ("by" in kept and by) and not (kind in SIGNATURES and "text" in kept and "text" in data)
    if whole and "case" in kept:
        whole = isinstance(data.get("case"), dict) and data["case"].get("id") == NAMELESS
    if not whole:
        data, kept = {"unreadable": True}, {}
    if "case" in kept:
        data = {**data, "case": {**data["case"], "id": kept["case"]}}
    if kind in SIGNATURES and "text" in kept:
        data = {**data, "text": kept["text"]}
    by, before = kept.get("by", by), isinstance(apart_read, dict) and apart_read.get("") is not None
    return Entry(number, case, kind, at, by, data, record, knowledge, sealed, previous, digest, kept, gone, before)


def _parts(parts):
    """Part -> text, or None where it was erased; what one part of before held is taken apart."""
    if "" not in parts:
        return parts
    before = parts[""]
    held = json_within_limits.read(before) if before is not None else {}
    if not isinstance(held, dict):
        return parts
    rest = {part: text for part, text in parts.items() if part or text is None}
    return {**rest, **held}


def as_sealed(row: Sequence[Any], entry: Entry) -> bool:
    """Whether an Entry made of a row of ``statements.ENTRY`` says what it said when it was written: as `Entry.sound`.

    The text of the body is digested as it stands, which takes a fraction of the time.
    """
    number, case, kind, at, by, body, record, knowledge, sealed, previous, digest = row
    if not isinstance(body, str) or "unreadable" in entry.body or type(number) is not int or type(case) is not int:
        return entry.sound()
    try:
        # The canonical text of a list, put together here: every entry that is read goes through it.
        before = f"[{_quoted(previous)},{number},{case},{_quoted(kind)},{_quoted(at)},{_quoted(by)}"
        after = f"{_text_or_none(record)},{_text_or_none(knowledge)},{_text_or_none(sealed)}]"
        return canonical.digest(f"{before},{body},{after}") == digest
    except (TypeError, ValueError, UnicodeError):  # nothing this program writes
        return False


def _text_or_none(value):
    return "null" if value is None else _quoted(value)


def _digest(entry):
    return canonical.digest(content(entry))


def content(entry: Entry) -> str:
    """The text that the digest of an Entry is taken over."""
    by, body = entry.bare()
    return canonical.text(
        [
            entry.previous,
            entry.number,
            entry.case,
            entry.kind,
            entry.at,
            by,
            body,
            entry.record,
            entry.knowledge,
            entry.sealed,
        ]
    )


def seal_text(salt: str, text: str) -> str:
    """The salted digest of one part that stands apart."""
    return canonical.digest(f"{salt}{text}")


def seal_parts(digests: Mapping[str, str]) -> str:
    """The digest over all that stands apart for an entry, part -> digest; of before, that of its one part."""
    if len(digests) == 1 and "" in digests:
        return digests[""]
    # The canonical text of a mapping, put together here: every entry that is read goes through it.
    pairs = [f"{_quoted(part)}:{_quoted(digest)}" for part, digest in sorted(digests.items())]
    return canonical.digest("{" + ",".join(pairs) + "}")


def apart_fault(sealed: str | None, rows: Sequence[Sequence[Any]]) -> str:
    """What is wrong with the rows (part, digest, salt, text) that stand apart for an entry, in words, or ""."""
    if not rows:
        return "has lost what stood apart for it" if sealed is not None else ""
    if sealed is None:
        return "has a name or note that does not belong to it"
    digests = {}
    for part, digest, _, _ in rows:
        if not (isinstance(part, str) and isinstance(digest, str)):
            return "has something apart for it that is no text"
        digests[part] = digest
    if seal_parts(digests) != sealed:
        return "has something apart for it that is not what was sealed"
    for _, digest, salt, text in rows:
        if text is not None and (
            not isinstance(text, str) or not isinstance(salt, str) or seal_text(salt, text) != digest
        ):
            return "has a name or note that was changed after it was written"
    return ""


def append(
    connection: "Connection",
    case: int,
    kind: str,
    body: Any,
    *,
    by: str = "",
    record: str | None = None,
    knowledge: str | None = None,
    private: Mapping[str, Any] | None = None,
    at: str | None = None,
    gone: Sequence[str] = (),
) -> Entry:
    """Add an entry inside a transaction; the Entry.

    ``private`` (part -> text), ``by``, the name of the case and the words of a signature stand apart, each under a salt
    of its own; ``gone``: parts that were erased where the entry comes from.
    """
    _, count, previous = connection.execute(statements.HEAD).fetchone()
    parts = dict(private or {})
    if by:
        parts["by"] = by
    case_part = body.get("case") if kind in OF_CASE and isinstance(body, dict) else None
    if isinstance(case_part, dict) and "id" in case_part and not (case_part["id"] == NAMELESS and "case" in gone):
        parts["case"] = case_part["id"]
    if kind in SIGNATURES and isinstance(body, dict) and "text" in body:
        parts["text"] = body["text"]
    rows = [(part, *_salted(text)) for part, text in parts.items()]
    rows += [(part, secrets.token_hex(32), None, None) for part in gone if part not in parts]
    sealed = seal_parts({part: digest for part, digest, _, _ in rows}) if rows else None
    bare = Entry(count + 1, case, kind, at or now(), by, body, record, knowledge, sealed, previous, "", parts)
    return _add(connection, dataclasses.replace(bare, gone=tuple(gone)), rows)


def append_as_sealed(
    connection: "Connection", case: int, entry: Entry, body: Any, apart: Sequence[Sequence[Any]]
) -> Entry:
    """Add an entry of another casebook inside a transaction; the Entry as it stands here.

    ``body``: its body without what stands apart, in this casebook's numbers; ``apart``: the rows (part, digest, salt,
    text) that stand apart for it, which come along as they are, so that what is sealed of them is the same.
    """
    _, count, previous = connection.execute(statements.HEAD).fetchone()
    by, _ = entry.bare()
    here = dataclasses.replace(
        entry,
        number=count + 1,
        case=case,
        by=by,
        body=body,
        previous=previous,
        digest="",
        kept={},
        gone=(),
        before=False,
    )
    return _add(connection, here, apart)


def _add(connection, bare, rows):
    """Write an entry without its digest, and the rows that stand apart for it; the whole Entry."""
    entry = dataclasses.replace(bare, digest=_digest(bare))
    sealed_by, sealed_body = entry.bare()
    connection.execute(
        statements.ADD_ENTRY,
        (
            entry.number,
            entry.case,
            entry.kind,
            entry.at,
            sealed_by,
            canonical.text(sealed_body),
            entry.record,
            entry.knowledge,
            entry.sealed,
            entry.previous,
            entry.digest,
        ),
    )
    for row in rows:
        connection.execute(statements.ADD_APART, (entry.number, *row))
    connection.execute(statements.MOVE_HEAD, (entry.number, entry.digest))
    return entry


def _salted(text):
    text = text if isinstance(text, str) else canonical.text(text)
    salt = secrets.token_hex(16)
    return seal_text(salt, text), salt, text


def keep(connection: "Connection", body: bytes) -> str:
    """Store bytes once; their SHA-256. StoreError where they are more than could be read again."""
    if len(body) > LARGEST:
        raise StoreError(
            f"a decision on so many kits is {len(body) / 1e6:.1f} MB, more than the {LARGEST / 1e6:.1f} MB that a"
            " casebook takes: the answers are kept, the decision is not.",
            remedy="Take kits sold no more out of the shop's folder, then: advisor case save CALLER --corrects ID.",
        )
    name = canonical.digest(body)
    if connection.execute(statements.HAS_CONTENT, (name,)).fetchone() is None:
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


def day_said(text: str) -> str:
    """A day as a person writes it, as YYYY-MM-DD; InputError where it is none."""
    try:
        return datetime.date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise InputError(
            f"{text!r} is not a date.", value=text, remedy="Write year, month and day, as 2026-01-31."
        ) from None


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
