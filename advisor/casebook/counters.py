"""Counters that keep a casebook of their own while the shop's is away, and what the shop's book holds of them.

Every counter's own casebook is a chain of its own, and stays one: its numbers, digests, seals and the signatures in it
are what they were when they were written. The shop's book holds that chain link by link (`file_tables.HANDED_OVER`),
for each link the entry that stands for it here, and an entry of its own that says how far the chain stood: counter so
and so, so many entries, the last of this digest. From what stands here the text that a link's digest was taken over is
put together again, so that either chain shows a change to the other; an anchor of the counter's own casebook can be
held against the shop's book, and the other way round nothing in the counter's file depends on the shop's.

A case is called as its counter calls it: ``WEST/12`` is the twelfth case of the counter WEST's own casebook.
"""

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..errors import InputError
from ..knowledge import canonical
from . import entries, seals, shape, statements
from .quotes import counter_in_numbers

if TYPE_CHECKING:
    from .entries import Entry
    from .store import Connection, Store

_CALLED = re.compile(r"(.{1,60})/(\d{1,18})")


@dataclass(frozen=True, slots=True)
class Counter:
    """A counter that handed over: the name of its ``casebook``, its own ``name``, the ``case`` that tells of it."""

    casebook: str
    name: str
    case: int


@dataclass(frozen=True, slots=True)
class Link:
    """One link of a counter's chain: ``number``, ``case``, ``digest`` and seal there; the ``entry`` that stands for it.

    ``said``: the text that the digest was taken over, where the entry here is not its copy.
    """

    casebook: str
    number: int
    case: int
    digest: str
    entry: int
    said: str | None = None
    key: str | None = None
    mac: str | None = None

    def whole(self) -> bool:
        """Whether every part of it is of the type that this program writes."""
        numbers, texts = (self.number, self.case, self.entry), (self.casebook, self.digest)
        maybe = (text for text in (self.said, self.key, self.mac) if text is not None)
        return all(type(number) is int for number in numbers) and all(
            isinstance(text, str) for text in (*texts, *maybe)
        )

    def keep(self, connection: "Connection") -> None:
        """Write it down inside a transaction."""
        values = (self.casebook, self.number, self.case, self.digest, self.entry, self.said, self.key, self.mac)
        connection.execute(statements.ADD_LINK, values)


def has_any(store: "Store") -> bool:
    """Whether a casebook can hold the chains of counters: one of before, that is only read, cannot."""
    return store.version() >= statements.HANDED_OVER_SINCE


def every(store: "Store") -> list[Counter]:
    """The counters that handed over to a casebook, in the order in which they first did."""
    if not has_any(store):
        return []
    return [Counter(casebook, name, case) for casebook, name, _, case in store.rows(statements.COUNTERS)]


# --- numbers as people see them


def called(store: "Store", number: int, names: Mapping[str, str], own: str = "") -> str:
    """A case as people call it: by the number of the counter that began it, else by its number here.

    ``names``: of the counters that handed over, by their casebooks; ``own``: the name of the counter whose own casebook
    this is, where it is one.
    """
    if own:
        return f"{counter_in_numbers(own)}/{number}"
    if not names:
        return str(number)
    row = store.row(statements.LINKS_OF_CASE, (number,))
    first = store.row(statements.FIRST_OF_CASE, (number,))
    if row is None or row[2] != first[0]:  # begun here, or taken over before its counter handed over
        return str(number)
    return f"{names[row[0]]}/{row[1]}" if row[0] in names else str(number)


def number_of(store: "Store", text: str, own: str = "") -> int | None:
    """The number here of a case that is called by a counter's number, or None where the text is no such number.

    InputError where that counter handed over no such case.
    """
    match = _CALLED.fullmatch(text)
    name = counter_in_numbers(match[1]) if match else ""
    if not name or match is None:
        return None
    if own and name == counter_in_numbers(own):
        return int(match[2])
    counter = next((counter for counter in every(store) if counter.name == name), None)
    if counter is None:
        return None
    row = store.row(statements.CASE_OF_LINK, (counter.casebook, int(match[2])))
    if row is None:
        raise InputError(
            f"{name} has handed over no case {match[2]}.",
            value=text,
            remedy="It may still wait in that counter's own casebook: there, advisor case hand-over.",
        )
    return row[0]


# --- a link put together again


def said_of(connection: "Connection", entry: "Entry", casebook: str, link: Link, previous: str) -> str | None:
    """The text that the digest of a link was taken over, out of the entry here that is its copy; None where it is none.

    ``previous``: the digest of the link before.
    """
    numbers = _NumbersThere(connection, casebook)
    try:
        by, body = entry.bare()
        body = dict(body)
        taken = body.pop("taken_over")
        if taken["casebook"] != casebook:
            return None
        before = list(taken.get("before", ()))
        if before:
            earlier = before.pop()
            body["taken_over"] = earlier | ({"before": before} if before else {})
        for name in ("of", "corrects"):
            if name in body:
                body[name] = numbers[body[name]]
        if entry.kind == "forgotten":
            body["entries"] = [numbers[number] for number in body["entries"]]
            if "parts" in body:
                body["parts"] = [part | {"entry": numbers[part["entry"]]} for part in body["parts"]]
    except (LookupError, TypeError, AttributeError):  # it is at fault itself, or no copy
        return None
    there = [previous, link.number, link.case, entry.kind, entry.at, by, body]
    return canonical.text([*there, entry.record, entry.knowledge, entry.sealed])


class _NumbersThere(dict[int, int]):
    """Number of an entry here -> its number in a counter's casebook, looked up when it is asked for."""

    def __init__(self, connection: "Connection", casebook: str) -> None:
        super().__init__()
        self._connection, self._casebook = connection, casebook

    def __missing__(self, number: int) -> int:
        row = self._connection.execute(statements.NUMBER_OF_LINK, (self._casebook, number)).fetchone()
        if row is None or type(row[0]) is not int:
            raise KeyError(number)
        return row[0]


# --- looking it over


def faults(store: "Store", connection: "Connection") -> Iterator[str]:
    """What is wrong with the chains of counters in a casebook, in words; to be asked inside `Store.reading`."""
    if not has_any(store):
        return
    heads = _told(connection)
    key = seals.key_here()
    names: dict[str, str] = {}
    link: Link | None = None
    for row in connection.execute(statements.EVERY_LINK):
        if not Link(*row).whole():
            yield "a link in the chain of a counter holds what no program wrote there"
            continue
        before, link = link, Link(*row)
        if before is not None and before.casebook != link.casebook:
            yield from _end(before, names, heads)
            before = None
        if before is None:
            names[link.casebook] = str(link.said)
            if link.number or (str(link.said), 0, None) not in heads.get(link.casebook, ()):
                yield f"the chain of the counter {link.said} does not begin where it was first handed over"
            continue
        yield from _wrong(connection, link, before, names[link.casebook], heads, key)
    if link is not None:
        yield from _end(link, names, heads)
    for casebook, of_chain in heads.items():
        if casebook not in names:
            yield f"the entries of the counter {of_chain[0][0]} are gone, which was handed over"


def _told(connection):
    """Casebook -> (counter, how many entries, digest of the last) of every entry that tells of a hand-over."""
    heads: dict[str, list[tuple[str, int, str | None]]] = {}
    for row in connection.execute(statements.HAND_OVERS).fetchall():
        entry = entries.of_row(row)
        if not shape.fault(entry):  # else it is told of by itself
            body = entry.body
            heads.setdefault(body["casebook"], []).append((body["counter"], body["entries"], body["digest"]))
    return heads


def _end(last, names, heads):
    """Whether the last link of a chain is the one that was told of last."""
    of_chain = heads.get(last.casebook, [])
    if not of_chain or (of_chain[-1][1], of_chain[-1][2] or last.casebook) != (last.number, last.digest):
        yield (
            f"the chain of the counter {names[last.casebook]} ends with its entry {last.number}, where another was"
            " handed over last"
        )


def _wrong(connection, link, before, name, heads, key):
    what = f"entry {link.number} of the counter {name}"
    if link.number != before.number + 1:
        yield f"before {what} entries are missing"
        return
    for _, count, digest in heads.get(link.casebook, ()):
        if count == link.number and digest != link.digest:
            yield f"{what} is not the one that was handed over"
    row = connection.execute(statements.ENTRY_OF_NUMBER, (link.entry,)).fetchone()
    if row is None:
        yield f"{what} stands nowhere: the entry {link.entry} that stood for it is gone"
        return
    entry, said = entries.of_row(row), link.said
    if said is None:
        said = said_of(connection, entry, link.casebook, link, before.digest)
    elif not _stands_for(entry, link, before, said):
        said = None
    if said is None or canonical.digest(said) != link.digest:
        yield f"{what} is not what it was when it was handed over"
    elif link.mac is not None and key and link.key == key.id:
        wrong = key.fault(link.casebook, link.digest, link.mac)
        if wrong:
            yield f"{what} {wrong}"


def _stands_for(entry, link, before, said):
    """Whether a text that a link brought along follows on the link before, and came from where the entry here did."""
    if not said.startswith(canonical.text([before.digest, link.number, link.case])[:-1] + ","):
        return False
    try:
        taken = json.loads(said)[6].get("taken_over") or {}
        digests = {link.digest, *(hop["digest"] for hop in (taken, *taken.get("before", ())) if hop)}
        return bool(digests & set(shape.digests(entry)))
    except (ValueError, TypeError, AttributeError, LookupError, RecursionError):
        return False
