"""Forgetting a person: what is theirs is erased, what looks like them is found, and what remains is said.

Everything that people write freely stands apart from the history (`entries.append`): who wrote, the name of the case,
name and phone, notes, reasons, the words of a signature. Erased, a part leaves the digest of what it was; its salt goes
with it, so that nobody can try names against the digest. What the casebook wrote before it kept such things apart is
sealed into the history: there it is said to remain, and taking the cases over into a new casebook leaves it behind.
"""

import dataclasses
import json
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..errors import InputError
from . import entries, likeness, statements, words as kept_words
from .entries import Entry, line

if TYPE_CHECKING:
    from .book import Casebook
    from .store import Connection

#: Part -> what a person calls it.
CALLED = {
    "by": "who wrote it",
    "case": "the name of the case",
    "name": "name",
    "phone": "phone number",
    "text": "text",
    "reason": "reason",
    "who": "who fitted it",
    "salt": "the salt of a signature",
    "": "name, phone number or note",
}
#: Parts that are the caller's own, and those that are free text.
OWN, FREE = ("name", "phone"), ("text", "reason")


@dataclass(frozen=True, slots=True)
class Erased:
    """A part of an entry that was erased, and why: that it is the caller's own, or what in it looks like the caller."""

    entry: int
    kind: str
    part: str
    why: str

    def line(self) -> str:
        """In words, without the text itself."""
        return f"entry {self.entry} ({self.kind.replace('_', ' ')}): {CALLED[self.part]}, {self.why}"


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What `forget` did. ``remains``: where the person still stands, in words; ``elsewhere``: cases that seem to be of
    the same person; ``gone``: whether the erased text is gone from the disk already.
    """

    entry: Entry
    erased: tuple[Erased, ...]
    remains: tuple[str, ...]
    elsewhere: tuple[int, ...]
    gone: bool


def forget(book: "Casebook", number: int, *, by: str = "", notes: bool = False, words: Sequence[str] = ()) -> Forgotten:
    """Erase the caller of a case, and all that looks like the caller, or like ``words``; what was decided stays.

    ``notes``: all free texts go, whatever they hold.
    """
    by = line(by, "name of who erases") if by else ""
    short = next((word for word in words if len("".join(likeness.letters(word)) + likeness.digits(word)) < 3), None)
    if short is not None:
        raise InputError(f"{short!r} is too short to look for.", value=short, remedy="Give a whole word or number.")

    def write(connection: "Connection") -> Forgotten:
        history = book.history(number)
        people = people_of(history)
        forgotten = erase(connection, history, by=by, notes=notes, words=words)
        remains = tuple(_remaining(book, history, people, words))
        elsewhere = tuple(_elsewhere(book, number, people, words))
        return dataclasses.replace(forgotten, remains=remains, elsewhere=elsewhere)

    forgotten = book.store.transact(write)
    return dataclasses.replace(forgotten, gone=book.store.wipe())


def erase(
    connection: "Connection",
    history: Sequence[Entry],
    *,
    by: str = "",
    notes: bool = False,
    words: Sequence[str] = (),
    also: Collection[tuple[int, str]] = (),
) -> Forgotten:
    """Erase the caller of a case within a transaction, and write that down; ``history``: all entries of the case.

    ``also``: (entry, part) of what goes too, since another casebook erased it.
    """
    erased = list(_found(history, people_of(history), words, notes))
    already = {(removed.entry, removed.part) for removed in erased}
    for entry in history:
        for part in sorted({*named_in(entry, also)}):
            if (entry.number, part) not in already:
                erased.append(Erased(entry.number, entry.kind, part, "erased at another counter"))
    kept_words.erase(connection, history[0].case, [(removed.entry, removed.part) for removed in erased])
    parts = [{"entry": removed.entry, "part": removed.part} for removed in erased]
    body = {"entries": sorted({removed.entry for removed in erased}), "parts": parts}
    forgotten = entries.append(connection, history[0].case, "forgotten", body, by=by)
    return Forgotten(forgotten, tuple(erased), (), (), False)


def named_in(entry: Entry, gone: Collection[tuple[int, str]]) -> list[str]:
    """Parts of an entry whose texts still stand and that are among some (entry, part); of before all are one part."""
    if entry.before:
        return [""] if any(number == entry.number for number, _ in gone) else []
    return [part for part in entry.kept if (entry.number, part) in gone or (entry.number, "") in gone]


def people_of(history: Sequence[Entry]) -> list[dict[str, str]]:
    """The callers of a case: {name, phone} of each entry that holds one."""
    callers = [{part: entry.kept[part] for part in OWN if part in entry.kept} for entry in history]
    return [person for person in callers if person]


def parts_of(entry: Entry) -> dict[str, str]:
    """Part -> text of what stands apart for an entry, without the salt of a signature."""
    return {part: text for part, text in entry.kept.items() if part != "salt"}


def _found(history, people, words, notes):
    for entry in history:
        whys = {part: _why(entry, part, text, people, words, notes) for part, text in parts_of(entry).items()}
        if not any(whys.values()):
            continue
        if entry.before:
            # One part holds all of it.
            yield Erased(entry.number, entry.kind, "", next(filter(None, whys.values())))
            continue
        for part, why in whys.items():
            if why:
                yield Erased(entry.number, entry.kind, part, why)
        # The salt goes with the words it was for: what is left of them cannot be guessed at.
        if "salt" in entry.kept:
            yield Erased(entry.number, entry.kind, "salt", "goes with the words")


def _why(entry, part, text, people, words, notes):
    if part in OWN:
        return "the caller's own"
    if notes and part in FREE and entry.kind not in entries.SIGNATURES:
        return "all notes"
    return likeness.why(text, people, words) or (likeness.form(text) if part in FREE else "")


def _remaining(book, history, people, words) -> Iterator[str]:
    """Where in the sealed history, or in what is decided, something looks like the person."""
    for entry in history:
        by, body = entry.bare()
        for called, texts in (("who wrote it", [by]), ("what it says", list(_texts(body)))):
            why = next(filter(None, (likeness.why(text, people, words) for text in texts)), "")
            if why:
                yield f"entry {entry.number} ({entry.kind.replace('_', ' ')}), {called}: {why}, sealed into the history"
        if entry.record:
            record = entries.fetch(book.store, entry.record)
            name = stored_name(record)
            if name != entries.NAMELESS and likeness.why(name, people, words):
                yield f"entry {entry.number} (decision), the name of the case in its record, sealed into the history"


def stored_name(record: bytes) -> str:
    """The name of the case in the bytes of a stored record."""
    return json.loads(record)["case"]["id"]


def _texts(value) -> Iterator[str]:
    """Free texts in the body of an entry: not ids, numbers, hashes or what is chosen from a list."""
    if not isinstance(value, dict):
        return
    case = value.get("case")
    if isinstance(case, dict) and isinstance(case.get("id"), str):
        yield case["id"]
    if isinstance(value.get("text"), str):
        yield value["text"]
    readings = value.get("readings")
    if isinstance(readings, dict):
        yield from (text for text in readings.values() if isinstance(text, str))


def _elsewhere(book, number, people, words):
    """Cases whose caller, or some text, looks like the same person by whole name or number."""
    whole = [{part: text for part, text in person.items() if part == "phone"} | {"name": ""} for person in people]
    names = ["".join(likeness.letters(person.get("name", ""))) for person in people]
    cases = set()
    for case, _, part, text in book.store.rows(statements.APART_ELSEWHERE, (number,)):
        if part == "salt" or case in cases:
            continue
        run = "".join(likeness.letters(text))
        same = any(len(name) >= likeness.LEAST_RUN and name in run for name in names)
        if same or likeness.why(text, whole, words):
            cases.add(case)
    return sorted(cases)
