"""Taking over the cases of another casebook: another counter's, or a backup after a loss.

Case by case, each whole or not at all; a case that stands here already is left alone, so that a broken-off import
is simply done again. Entries keep their time, author and content; they get a place in this history and say where
they stood before. Nothing is taken from a casebook with any fault: `salvage` takes the sound cases out of such a one.
"""

import json
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from ..deciding.decision_record import DecisionRecord
from ..errors import InputError, StoreError
from . import entries, kept_files, shape, statements, stored_form, words
from .check import check, erased
from .places import opened
from .store import Connection, Place

if TYPE_CHECKING:
    from .book import Casebook


class Source:
    """Where cases are taken from: its ``name``, and queries as those of a `Store`."""

    name = ""


class TakenOver(NamedTuple):
    """How many cases were taken over, stood here already, and entries added to cases taken over earlier."""

    cases: int
    known: int
    entries: int


def take_over(book: "Casebook", place: Place) -> TakenOver:
    """Take over every case of another casebook that is not here yet."""
    with opened(place, write=False) as other:
        faults, _, _ = check(other)
        if faults:
            raise StoreError(
                f"the casebook to take cases from is not sound: {faults[0]}.",
                where=other.fault("").where,
                remedy=f"See all faults with: advisor case check --casebook {other.place}"
                f" Take what is sound with: advisor case salvage {other.place}",
            )
        other.name = other.row(statements.HEAD)[0]
        if other.name == book.store.row(statements.HEAD)[0]:
            raise InputError("a casebook cannot take over its own cases.", remedy="Name another casebook.")
        counts = [0, 0, 0]
        numbers = [number for (number,) in other.rows(statements.EVERY_CASE)]
        for number in numbers:
            rows = other.rows(statements.ENTRIES_OF_CASE, (number,))
            history = [entries.of_row(row) for row in rows]
            if history and history[0].kind == "adoption":
                raise InputError(
                    f"{str(other.place)!r} holds the versions of a shop's rules, not cases.",
                    remedy="Name a casebook of cases.",
                )
            # How its counters' own casebooks stood is of that casebook alone; their cases are taken over as all others.
            if history and history[0].kind == "hand_over":
                continue
            take_case(book, other, history, counts)
        return TakenOver(counts[0], counts[1], counts[2])


def place_of(connection: Connection, entry: entries.Entry) -> tuple[int, int] | None:
    """(number, case) of the entry that stands here for an Entry of another casebook, by any digest it ever had."""
    for digest in shape.digests(entry):
        held = connection.execute(statements.PLACE_OF_DIGEST, (digest, digest)).fetchone()
        if held is not None:
            return held
    return None


def stands_for(connection: Connection, entry: entries.Entry, number: int) -> None:
    """Keep that the entry ``number`` here stands for an Entry of another casebook, under every digest it ever had."""
    for digest in shape.digests(entry):
        if connection.execute(statements.PLACE_OF_DIGEST, (digest, digest)).fetchone() is None:
            connection.execute(statements.ADD_TAKEN_OVER, (digest, number))


def taken_over(connection: Connection, casebook: str, entry: entries.Entry, of: int | None) -> dict[str, Any]:
    """What an entry says of where it came from: the ``casebook``, its number and digest there, and where it was before.

    ``of``: the entry here that it stands on. Where that did not come the same way, it carries none of the digests by
    which this one names it, and what this one names is that.
    """
    earlier = entry.body.get("taken_over")
    said: dict[str, Any] = {"casebook": casebook, "entry": entry.number, "digest": entry.digest}
    if earlier:
        said["before"] = [*earlier.get("before", ()), {name: earlier[name] for name in ("casebook", "entry", "digest")}]
    if of is not None and "decision" in entry.body:
        stood_on = entries.of_row(connection.execute(statements.ENTRY_OF_NUMBER, (of,)).fetchone())
        if entry.body["decision"] not in shape.digests(stood_on):
            said["stood_on"] = stood_on.digest
    return said


def take_case(book: "Casebook", other: Any, history: Iterable[entries.Entry], counts: list[int]) -> None:
    """Take over one case, whose checked entries are given in order; adds to ``counts``, as `take_over` gives them."""
    known = list(history)

    def take(connection: Connection) -> tuple[int, bool]:
        places: dict[int, int] = {}
        case, added, new = None, 0, False
        for entry in known:
            held = place_of(connection, entry)
            if held is not None:
                places[entry.number], case = held
                continue
            if case is None:
                (case,) = connection.execute(statements.ADD_CASE).fetchone()
                new = True
            places[entry.number] = _copy(connection, other, entry, case, places)
            added += 1
        return added, new

    added, new = book.store.transact(take)
    counts[0] += new
    if not added:
        counts[1] += 1
    elif not new and len(counts) > 2:
        counts[2] += added


def _copy(connection, other, entry, case, places):
    """Write one entry into this history; its number here. What is people's in an entry of before is put apart."""
    record = entry.record and _record(connection, other, entry.record)
    kept_files.bring(connection, other, entry.knowledge)
    body, gone = in_numbers_here(entry, entry.body, places)
    if gone:
        words.erase(connection, case, gone)
    body["taken_over"] = taken_over(connection, other.name, entry, body.get("of"))
    copied = entries.append(
        connection,
        case,
        entry.kind,
        body,
        by=entry.by,
        at=entry.at,
        record=record,
        knowledge=entry.knowledge,
        private={part: text for part, text in entry.kept.items() if part not in ("by", "case")},
        gone=entry.gone,
    )
    stands_for(connection, entry, copied.number)
    return copied.number


def in_numbers_here(
    entry: entries.Entry, body: Mapping[str, Any], places: Mapping[int, int]
) -> tuple[dict[str, Any], list[tuple[int, str | None]]]:
    """(a ``body`` of an entry of another casebook with the numbers here of the entries it names, what it erases).

    ``places``: number there -> number here.
    """
    here = dict(body)
    for name in ("of", "corrects"):
        if name in here:
            here[name] = places[here[name]]
    if entry.kind != "forgotten":
        return here, []
    gone = [(places[number], part) for number, part in erased(entry.body)]
    here["entries"] = [places[number] for number in here["entries"]]
    if "parts" in here:
        here["parts"] = [{"entry": number, "part": part} for number, part in gone]
    return here, gone


def _record(connection, other, name):
    body = entries.fetch(other, name)
    record = DecisionRecord.of(json.loads(body))
    if record.case.id != entries.NAMELESS:
        body = stored_form.to_bytes(record)
    return entries.keep(connection, body)
