"""Large casebooks, made quickly: few distinct decisions, each kept many times under names, people and notes of its own.

Answers, records, knowledge, digests and seals are real; only the texts of bodies, which are the same but for a number,
are not worked out anew each time. ``check`` finds such a book sound (`tests.casebook.test_large`):
``python -m tests.casebook.large PLACE CASES [DISTINCT]``.
"""

import dataclasses
import json
import secrets
import sys
from pathlib import Path

from advisor.casebook import book as books, entries, kept_files, seals, statements, stored_form, words
from advisor.casebook.book import Casebook
from advisor.casebook.program import fingerprint
from advisor.deciding.case_part import case_part
from advisor.deciding.recording import record
from advisor.knowledge import canonical

from ..callers import plain_decider_of
from . import shelf

#: Cases in one transaction.
TOGETHER = 2_048
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


class Maker:
    """Writes cases of a pool of `distinct` ones at the end of an open casebook."""

    def __init__(self, book, pool):
        self.store, self.pool = book.store, pool
        self.key = seals.key_to_write_with()
        with self.store.transaction() as connection:
            self.kept = kept_files.keep(connection, shelf.files())
            self.records = [entries.keep(connection, stored_form.to_bytes(told)) for _, told, _ in pool]
        self.answers = [canonical.text({"case": _nameless(case)}) for case, _, _ in pool]
        self.decisions = [canonical.text({"of": 0, **said, "program": fingerprint()}) for _, _, said in pool]
        assert all(text.count('"of":0,') == 1 for text in self.decisions)

    def add(self, first, count):
        """Cases numbered from ``first`` on, in one transaction; words are left to `words.fill`."""
        self.casebook, self.entry, self.digest = self.store.row(statements.HEAD)
        self.rows, self.apart, self.seals = [], [], []
        with self.store.transaction() as connection:
            for number in range(first, first + count):
                self._case(number)
            add = self.store.connection.executemany
            add("INSERT INTO cases VALUES (?)", ((number,) for number in range(first, first + count)))
            add(statements.ADD_ENTRY, self.rows)
            add(statements.ADD_APART, self.apart)
            add(statements.ADD_SEAL, self.seals)
            connection.execute(statements.MOVE_HEAD, (self.entry, self.digest))
            # What the transaction would do for entries it finds unsealed is done.
            self.store._seal = lambda connection, before: None
        del self.store._seal

    def _case(self, number):
        which = number % len(self.pool)
        case, told, _ = self.pool[which]
        by = {"by": f"counter {number % 5 + 1}"}
        begun = self._entry(
            number, "answers", self.answers[which], {"case": f"{case.id}-{number}"} | by, None, self.kept
        )
        if number % 3:
            self._entry(number, "person", "{}", person_of(number) | by)
        if number % 5 == 0:
            self._entry(number, "note", "{}", {"text": f"{NOTED[number // 5 % len(NOTED)]}, slip {number}"} | by)
        body = self.decisions[which].replace('"of":0,', f'"of":{begun},')
        decided = self._entry(number, "decision", body, by, self.records[which], self.kept)
        if number % 4 == 0 and told.pick_id:
            sold = {"kit": told.pick_id, "as_advised": True, "on": entries.now()[:10]}
            body = canonical.text({"of": decided, "decision": self.digest, **sold})
            self._entry(number, "sale", body, by)

    def _entry(self, case, kind, body, apart, kept_record=None, knowledge=None):
        self.entry += 1
        salted = {part: (salt, entries.seal_text(salt, text)) for part, text in apart.items() for salt in (_salt(),)}
        sealed = entries.seal_parts({part: digest for part, (_, digest) in salted.items()})
        at = entries.now()
        before = json.dumps([self.digest, self.entry, case, kind, at, ""], separators=(",", ":"))
        after = json.dumps([kept_record, knowledge, sealed], separators=(",", ":"))
        digest = canonical.digest(f"{before[:-1]},{body},{after[1:]}")
        self.rows.append((self.entry, case, kind, at, "", body, kept_record, knowledge, sealed, self.digest, digest))
        self.apart += [(self.entry, part, digest, salt, apart[part]) for part, (salt, digest) in salted.items()]
        self.seals.append((self.entry, self.key.id, self.key.seal(self.casebook, digest)))
        self.digest = digest
        return self.entry


def _nameless(case):
    return case_part(dataclasses.replace(case, id=entries.NAMELESS))


def _salt():
    return secrets.token_hex(16)


def fill(path, count, pool):
    """Keep ``count`` cases of a ``pool`` of `distinct` ones behind those there are, and the words they are found by."""
    with Casebook(path) as book:
        maker = Maker(book, pool)
        first = (book.store.row(statements.LAST_CASE)[0] or 0) + 1
        book.store.connection.execute("PRAGMA synchronous=OFF")
        for start in range(first, first + count, TOGETHER):
            maker.add(start, min(TOGETHER, first + count - start))
        words.fill(book.store)
        book.store._sealed = (1, maker.key)  # this machine notes what it wrote last


if __name__ == "__main__":
    place, cases, *more = sys.argv[1:]
    fill(Path(place), int(cases), list(distinct(int(more[0]) if more else 400)))
