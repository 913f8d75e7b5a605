"""Looks a whole casebook over: its store's own checks, every stored byte against its hash, and the sealed history."""

import itertools
from collections.abc import Callable
from typing import Any, NamedTuple

from ..errors import AdvisorError
from ..knowledge import canonical
from . import counters, entries, json_within_limits, seals, shape, signatures, statements, stored_form
from .places import opened
from .store import Place, Store

#: How many times its own size a casebook may unpack to, beside the room every one has: rules and records take a fifth
#: to a tenth of their size when packed.
UNPACKED, ROOM = 60, 200_000_000
#: Entries after which it is told how far it has come.
STEP = 1000


class Soundness(NamedTuple):
    """What a look over a casebook found: faults in words, how many entries, the digest of the last."""

    faults: list[str]
    entries: int
    digest: str


def check(store: Store, progress: Callable[[int, int], None] | None = None) -> Soundness:
    """The `Soundness` of a casebook; no fault means everything is as it was written.

    ``progress``: called now and again with entries looked at and entries in all.
    """
    with store.reading() as connection:
        faults = [f"{store.medium}: {wrong}" for wrong in store.damage()]
        if faults:
            return Soundness(faults, 0, "")
        faults += [f"{name} is not as this program makes it" for name in store.misshapen()]
        if not faults:
            faults += store.dangling()
            large = list(_sizes(store, connection))
            faults += large or _contents(connection)
            faults += _knowledge(connection)
            faults += _history(connection, large, progress)
            faults += _private(connection)
            faults += counters.faults(store, connection)
            faults += [f"entry {entry} {wrong}" if entry else wrong for entry, wrong in seals.look(store).faults]
        _, count, digest = connection.execute(statements.HEAD).fetchone() or ("", 0, "")
    return Soundness(faults, count, digest)


def _sizes(store, connection):
    """Stored content that would unpack to far more than a casebook of this size can honestly hold."""
    room = UNPACKED * store.bytes_held() + ROOM
    (stated,) = connection.execute(statements.SIZE_OF_CONTENT).fetchone()
    if stated > room:
        yield f"the stored content would unpack to {stated / 1e6:.0f} MB, which no casebook of this size holds"


def _contents(connection):
    for name, size, body in connection.execute(statements.EVERY_CONTENT):
        if entries.unpack(name, size, body) is None:
            yield f"the stored content {name[:12]} was changed"
    for (name,) in connection.execute(statements.CONTENT_OF_NOTHING):
        yield f"the stored content {name[:12]} belongs to nothing"


def _knowledge(connection):
    used = {row[0] for row in connection.execute(statements.KNOWLEDGE_IN_USE)}
    for (name,) in connection.execute(statements.EVERY_KNOWLEDGE).fetchall():
        rows = connection.execute(statements.FILES_OF_KNOWLEDGE, (name,))
        if canonical.sha256([list(row) for row in rows]) != name:
            yield f"the list of files of the knowledge {name[:12]} was changed"
        if name not in used:
            yield f"the knowledge {name[:12]} belongs to no entry"


def _history(connection, large, progress):
    """Faults of the history. Nothing is held but what belongs to one case, however many there are."""
    casebook, count, head = connection.execute(statements.HEAD).fetchone()
    previous, number, misshapen = casebook, 0, set()
    records = stored_form.Records(lambda name: _body(connection, name))
    for row in connection.execute(statements.EVERY_ENTRY):
        entry = entries.of_row(row)
        number += 1
        if progress is not None and number % STEP == 0:
            progress(number, count)
        if entry.number != number:
            yield f"before entry {entry.number} of case {entry.case} entries are missing"
            number = entry.number
        sealed = entries.as_sealed(row[: entries.COLUMNS], entry)
        if not sealed or canonical.text(entry.bare()[1]) != row[5]:
            yield f"entry {entry.number} of case {entry.case} was changed after it was written"
        elif entry.previous != previous:
            yield f"entry {entry.number} of case {entry.case} does not follow on the entry before it"
        previous = entry.digest
        wrong = shape.fault(entry)
        if wrong:
            yield f"entry {entry.number} of case {entry.case} {wrong}"
            misshapen.add(entry.case)
        elif not large and (wrong := records.fault(entry)):
            yield f"entry {entry.number} of case {entry.case} {wrong}"
    if (number, previous) != (count, head):
        yield f"the history ends with entry {number}, where entry {count} was written last"
    by_case = map(entries.of_row, connection.execute(statements.EVERY_ENTRY_BY_CASE))
    for case, of_case in itertools.groupby(by_case, lambda entry: entry.case):
        if case not in misshapen:
            yield from _together(list(of_case))
    for (case,) in connection.execute(statements.CASES_WITHOUT_ENTRIES):
        yield f"case {case} has no entries"


def _together(history):
    among = list(shape.history_faults(history))
    if not among:
        by_number = {entry.number: entry for entry in history}
        signed = ((entry, signatures.fault(entry, by_number)) for entry in history)
        among = [(entry, wrong) for entry, wrong in signed if wrong]
    for entry, wrong in among:
        yield f"entry {entry.number} of case {entry.case} {wrong}"


def _body(connection, name):
    """Stored bytes; None where they are missing or were changed, which `_contents` and the store tell of."""
    row = connection.execute(statements.CONTENT, (name,)).fetchone()
    return entries.unpack(name, *row) if row else None


def _private(connection):
    gone = set()
    for (body,) in connection.execute(statements.FORGOTTEN):
        gone.update(erased(json_within_limits.read(body)))
    apart = itertools.groupby(connection.execute(statements.EVERY_APART), lambda row: row[0])
    waiting = next(apart, None)
    for number, case, _, sealed in connection.execute(statements.SEALED):
        while waiting is not None and _before(waiting[0], number):
            yield f"what stands apart for entry {waiting[0]} belongs to nothing"
            waiting = next(apart, None)
        held = []
        if waiting is not None and waiting[0] == number:
            held = [row[1:] for row in waiting[1]]
            waiting = next(apart, None)
        wrong = entries.apart_fault(sealed, held)
        if wrong:
            yield f"entry {number} of case {case} {wrong}"
        for part, _, _, text in held if not wrong else ():
            if text is None and not {(number, part), (number, None)} & gone:
                yield f"the {_called(part)} of entry {number} of case {case} is gone without having been erased"
    while waiting is not None:
        yield f"what stands apart for entry {waiting[0]} belongs to nothing"
        waiting = next(apart, None)


def _before(named, number):
    """Whether what is named as an entry comes before one; what is no number comes behind all."""
    return type(named) is int and named < number


def _called(part):
    return {"": "name or note", "by": "name of who wrote", "case": "name of the case"}.get(part, part)


def erased(body: Any) -> list[tuple[int, str | None]]:
    """(entry, part) of all that an entry of kind forgotten names; part None for all of it, as entries of before say."""
    if not isinstance(body, dict):
        return []
    if isinstance(body.get("parts"), list):
        named = [part for part in body["parts"] if isinstance(part, dict)]
        pairs = [(part.get("entry"), part.get("part")) for part in named]
        return [(number, part) for number, part in pairs if type(number) is int and isinstance(part, str)]
    numbers = body.get("entries")
    return [(number, None) for number in numbers if type(number) is int] if isinstance(numbers, list) else []


def check_file(place: Place) -> Soundness:
    """As `check`, of a casebook that is opened for it; faults that stop it from opening come as the only fault."""
    try:
        with opened(place, write=False) as store:
            return check(store)
    except AdvisorError as error:
        return Soundness([str(error)], 0, "")
