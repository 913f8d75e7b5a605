"""The histories of many cases at once, each looked over as `Casebook.history` looks over one.

What is shown was verified: every entry against digest, seal, the entry after it and what stands apart for it.
One by one that takes several queries a case; here it is a few for hundreds, so that a page of a list, an export and
a run over a million cases take the same time for each case, and no more memory than one batch.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING, Any

from . import entries, seals, shape, signatures, statements
from .entries import Entry

if TYPE_CHECKING:
    from .store import Store

#: Cases read at once: few at first, which are most of what a page shows, then twice as many each time.
FEW, TOGETHER = 32, 256


@dataclass(frozen=True, slots=True)
class CaseHistory:
    """The ``entries`` of a ``case`` in order. ``wrong``: what is wrong with the entry of number ``at``, or ""."""

    case: int
    entries: tuple[Entry, ...]
    at: int = 0
    wrong: str = ""

    @property
    def fault(self) -> str:
        """What is wrong, in words that begin with the entry, or ""."""
        return f"entry {self.at} {self.wrong}" if self.wrong else ""


def newest_first(store: "Store", before: int | None = None, since: str | None = None) -> Iterator[int]:
    """The numbers of all cases, or of those below ``before``, the newest first; read a batch at a time.

    ``since``: only cases that may have begun on that day or later.
    """
    top = statements.MOST if before is None else before
    return _numbers(store, statements.CASES_BEFORE, statements.CASES_SINCE_BEFORE, since, top)


def oldest_first(store: "Store", after: int = 0, since: str | None = None) -> Iterator[int]:
    """As `newest_first`, those above ``after``, the oldest first."""
    return _numbers(store, statements.CASES_AFTER, statements.CASES_SINCE_AFTER, since, after)


def _numbers(store, of_all, of_those_since, since, last):
    """Numbers by either statement, from the one that follows on ``last``."""
    while True:
        if since is None:
            rows = store.rows(of_all, (last, TOGETHER))
        else:
            rows = store.rows(of_those_since, (since, last, TOGETHER))
        numbers = [row[0] for row in rows]
        yield from numbers
        if len(numbers) < TOGETHER:
            return
        last = numbers[-1]


def of_cases(store: "Store", numbers: Iterable[int]) -> Iterator[CaseHistory]:
    """The `CaseHistory` of each case that there is, in the order of ``numbers``."""
    waiting, together = iter(numbers), FEW
    while batch := list(islice(waiting, together)):
        yield from read(store, batch)
        together = min(2 * together, TOGETHER)


def read(store: "Store", numbers: Sequence[int]) -> list[CaseHistory]:
    """As `of_cases`, of one batch, read at once."""
    sealed = seals.Looking(store)
    apart: dict[int, list[Any]] = {}
    for row in store.rows(statements.apart_of_cases(numbers)):
        apart.setdefault(row[0], []).append(row[1:])
    by_case: dict[int, list[Entry]] = {}
    faults: dict[int, tuple[int, str]] = {}
    for row in store.rows(statements.entries_of_cases(numbers)):
        of_entry, (key, mac, after) = row[: entries.COLUMNS], row[entries.COLUMNS :]
        parts = apart.get(row[0], ())
        entry = entries.of_columns(of_entry, {part: text for part, _, _, text in parts})
        by_case.setdefault(entry.case, []).append(entry)
        if entry.case not in faults:
            wrong = (
                shape.fault(entry)
                or ("" if entries.as_sealed(of_entry, entry) else "was changed after it was written")
                or sealed.fault(entry.number, entry.digest, key, mac)
                or entries.apart_fault(entry.sealed, parts)
                or _in_its_place(store, entry, after)
            )
            if wrong:
                faults[entry.case] = entry.number, wrong
    return [
        CaseHistory(number, tuple(by_case[number]), *(faults.get(number) or _together(by_case[number])))
        for number in numbers
        if number in by_case
    ]


def _in_its_place(store, entry, after):
    """What is wrong unless the entry after names this one as the one before, or the head as the last."""
    if after is None:
        # It was the last when it was read; another may have been written since.
        row = store.row(statements.PREVIOUS_OF_ENTRY, (entry.number + 1,))
        if row is None:
            _, last, digest = store.row(statements.HEAD)
            return (
                "" if (entry.number, entry.digest) == (last, digest) else "is not the last, and nothing follows on it"
            )
        after = row[0]
    return "" if after == entry.digest else "is not the one that the next entry follows on"


def _together(history):
    """What is wrong with sound entries among each other, (entry, words), or (0, "")."""
    for entry, wrong in shape.history_faults(history):
        return entry.number, wrong
    by_number = {entry.number: entry for entry in history}
    for entry in history:
        wrong = signatures.fault(entry, by_number)
        if wrong:
            return entry.number, wrong
    return 0, ""
