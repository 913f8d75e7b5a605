"""Taking over the cases of another casebook: another counter's, or a backup after a loss.

Case by case, each whole or not at all; a case that stands here already is left alone, so that a broken-off import
is simply done again. Entries keep their time, author and content; they get a place in this history and say where
they stood before. Nothing is taken from a casebook with any fault: `salvage` takes the sound cases out of such a one.
"""

import json
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, NamedTuple

from ..deciding.decision_record import DecisionRecord
from ..errors import InputError, StoreError
from . import entries, kept_files, statements, stored_form, words
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
            take_case(book, other, history, counts)
        return TakenOver(counts[0], counts[1], counts[2])


def _origin(entry):
    """The digest an entry had in the casebook where it was first written."""
    return entry.body.get("taken_over", {}).get("digest", entry.digest)


def take_case(book: "Casebook", other: Any, history: Iterable[entries.Entry], counts: list[int]) -> None:
    """Take over one case, whose checked entries are given in order; adds to ``counts``, as `take_over` gives them."""
    known = list(history)

    def take(connection: Connection) -> tuple[int, bool]:
        places: dict[int, int] = {}
        case, added, new = None, 0, False
        for entry in known:
            held = connection.execute(statements.PLACE_OF_DIGEST, (_origin(entry), _origin(entry))).fetchone()
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
    if entry.knowledge:
        kept_files.keep(connection, kept_files.fetch(other, entry.knowledge))
    body = dict(entry.body)
    for name in ("of", "corrects"):
        if name in body:
            body[name] = places[body[name]]
    if entry.kind == "forgotten":
        gone = [(places[number], part) for number, part in erased(entry.body)]
        body["entries"] = [places[old_number] for old_number in body["entries"]]
        if "parts" in body:
            body["parts"] = [{"entry": number, "part": part} for number, part in gone]
        words.erase(connection, case, gone)
    body.setdefault("taken_over", {"casebook": other.name, "entry": entry.number, "digest": entry.digest})
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
    connection.execute(statements.ADD_TAKEN_OVER, (_origin(entry), copied.number))
    return copied.number


def _record(connection, other, name):
    body = entries.fetch(other, name)
    record = DecisionRecord.of(json.loads(body))
    if record.case.id != entries.NAMELESS:
        body = stored_form.to_bytes(record)
    return entries.keep(connection, body)
