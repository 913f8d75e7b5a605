"""Large casebooks, made quickly: few distinct decisions, each kept many times under names, people and notes of its own.

Answers, records, knowledge and seals are real and written the program's own way, only many cases to a transaction and
without forcing each to the disk: ``python -m tests.casebook.large PLACE CASES [DISTINCT]``.
"""

import contextlib
import dataclasses
import sys
from pathlib import Path

from advisor.casebook import book as books, entries, kept_files, statements, stored_form
from advisor.casebook.book import Casebook
from advisor.casebook.program import fingerprint
from advisor.deciding.case_part import case_part
from advisor.deciding.recording import record

from ..callers import plain_decider_of
from . import shelf

#: Cases in one transaction.
TOGETHER = 2_000
#: Parts of invented names; a case's are told by its number, so that each name comes back after thousands.
FIRST = ("Ada", "Bela", "Cleo", "Dora", "Emil", "Fenja", "Gero", "Hilde", "Ivo", "Jara", "Kuno", "Lotte", "Milo")
LAST = ("Ambrel", "Brontek", "Corvash", "Drumlin", "Eskander", "Fjellis", "Grunwal", "Hostrup", "Ilmark", "Jorvand")
NOTED = ("rang twice", "comes on Friday", "wants it quiet", "has the old disc with him", "asks about the pedal")


def distinct(count, seed=77):
    """(Case, DecisionRecord, summary) of random callers; whether assumptions matter is not judged."""
    decider = plain_decider_of(shelf.content())
    for case in shelf.random_cases(count, seed):
        told = record(decider.decide(case), [])
        yield case, told, stored_form.summary(told, books.currency_of(decider, told))


def person_of(number):
    """{name, phone} of the caller of the case with that number."""
    first, rest = FIRST[number % len(FIRST)], number // len(FIRST)
    return {"name": f"{first} {LAST[rest % len(LAST)]}{number % 7919}", "phone": f"+999 {100_000_000 + number}"}


def fill(path, count, pool, start=0):
    """Keep ``count`` cases of a ``pool`` of `distinct` ones, numbered on from ``start``."""
    with Casebook(path) as book, _quickly(book):
        kept = None
        for first in range(start, start + count, TOGETHER):
            with book.store.transaction() as connection:
                if kept is None:
                    kept = kept_files.keep(connection, shelf.files())
                    records = [entries.keep(connection, stored_form.to_bytes(told)) for _, told, _ in pool]
                for number in range(first, min(first + TOGETHER, start + count)):
                    which = number % len(pool)
                    _keep(connection, number, *pool[which], records[which], kept)


@contextlib.contextmanager
def _quickly(book):
    book.store.connection.execute("PRAGMA synchronous=OFF")
    yield
    book.store.connection.execute("PRAGMA synchronous=FULL")


def _keep(connection, number, case, told, summary, kept_record, kept):
    place = int(connection.execute(statements.ADD_CASE).lastrowid or 0)
    by = f"counter {number % 5 + 1}"
    named = dataclasses.replace(case, id=f"{case.id}-{number}")
    begun = entries.append(connection, place, "answers", {"case": case_part(named)}, by=by, knowledge=kept)
    if number % 3:
        entries.append(connection, place, "person", {}, by=by, private=person_of(number))
    if number % 5 == 0:
        text = f"{NOTED[number // 5 % len(NOTED)]}, slip {number}"
        entries.append(connection, place, "note", {}, by=by, private={"text": text})
    body = {"of": begun.number, **summary, "program": fingerprint()}
    decision = entries.append(connection, place, "decision", body, by=by, record=kept_record, knowledge=kept)
    if number % 4 == 0 and told.pick_id:
        sold = {"kit": told.pick_id, "as_advised": True, "on": decision.at[:10]}
        body = {"of": decision.number, "decision": decision.digest, **sold}
        entries.append(connection, place, "sale", body, by=by)


if __name__ == "__main__":
    place, cases, *more = sys.argv[1:]
    fill(Path(place), int(cases), list(distinct(int(more[0]) if more else 400)))
