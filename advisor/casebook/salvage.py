"""The sound cases of any casebook, also of one that is damaged or was tampered with.

A case is taken whole or not at all: each of its entries must be as it was written, of a shape this program knows, with
everything it refers to; the entries of other cases do not matter. Rows are read one by one, so that a damaged page
costs only what stands on it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..errors import AdvisorError, InputError
from . import entries, kept_files, shape, statements, stored_form
from .check import erased
from .importing import Source, take_case
from .places import remains_of
from .store import Place

if TYPE_CHECKING:
    from .book import Casebook

#: Numbers looked for beyond the last that could be read, where the file no longer says how many there are.
BEYOND = 10_000


@dataclass(frozen=True, slots=True)
class Salvaged:
    """Cases ``taken`` over, ``known`` already, ``left``: number -> why; ``unread``: entries that cannot be read."""

    taken: int
    known: int
    left: dict[int, str]
    unread: int


def salvage(book: "Casebook", place: Place) -> Salvaged:
    """Take the sound cases of the casebook at a place into an open `Casebook`; a `Salvaged`."""
    source = Wreck(place)
    try:
        if source.name == book.store.row(statements.HEAD)[0]:
            raise InputError("a casebook cannot take over its own cases.", remedy="Name a new one with --casebook.")
        histories, unread = source.histories()
        left, counts = {}, [0, 0, 0]
        for number, history in sorted(histories.items()):
            if history[0].kind == "hand_over":  # of that casebook alone, see `take_over`
                continue
            why = source.wrong_with(history)
            if not why:
                try:
                    take_case(book, source, history, counts)
                except AdvisorError as error:
                    why = error.what
            if why:
                left[number] = why
        return Salvaged(counts[0], counts[1], left, unread)
    finally:
        source.close()


class Wreck(Source):
    """A casebook read row by row, whatever state it is in."""

    def __init__(self, place: Place) -> None:
        self._remains = remains_of(place)
        self._records = stored_form.Records(lambda name: entries.fetch(self, name))
        #: Knowledge that was found whole: most cases have theirs in common.
        self._whole: set[str] = set()
        head = self.row(statements.HEAD)
        self.name = head[0] if head and isinstance(head[0], str) else "unknown"
        self._stated = head[1] if head and type(head[1]) is int else 0

    def close(self) -> None:
        """Let go of the casebook."""
        self._remains.close()

    def row(self, sql: str, values: Sequence[Any] = ()) -> Any:
        """The first row of one query; None where there is none or it cannot be read."""
        return self._remains.row(sql, values)

    def rows(self, sql: str, values: Sequence[Any] = ()) -> Iterable[Any]:
        """The rows of one query; none where they cannot be read."""
        return self._remains.rows(sql, values)

    def fault(self, what: str, remedy: str = "") -> AdvisorError:
        """The error about content that is missing or was changed."""
        return InputError(what, remedy=remedy)

    def histories(self) -> tuple[dict[int, list[entries.Entry]], int]:
        """(case -> its entries in order, how many entries cannot be read)."""
        last = self.row(statements.LAST_ENTRY)
        # What a head row states beyond what there is room for is not true.
        most = self._remains.most_entries()
        upto = min(max(last[0] or 0 if last else 0, self._stated if self._stated <= most else 0) or BEYOND, most)
        entries_by_case: dict[int, list[entries.Entry]] = {}
        unread = 0
        for number in range(1, upto + 1):
            row = self.row(statements.ENTRY_OF_NUMBER, (number,))
            if row is None:
                unread += 1
                continue
            entry = entries.of_row(row)
            entries_by_case.setdefault(entry.case, []).append(entry)
        return entries_by_case, unread if (last and last[0]) or self._stated else 0

    def wrong_with(self, history: list[entries.Entry]) -> str:
        """Why a case is left, in words; "" where it is sound."""
        if history[0].kind in shape.ALONE:
            return f"entry {history[0].number} belongs to {shape.ALONE[history[0].kind]}, not to a case"
        gone = {named for entry in history if entry.kind == "forgotten" for named in erased(entry.body)}
        for entry in history:
            why = shape.fault(entry) or ("" if entry.sound() else "was changed after it was written")
            why = why or self._lacks(entry, gone)
            if why:
                return f"entry {entry.number} {why}"
        for entry, why in shape.history_faults(history):
            return f"entry {entry.number} {why}"
        return ""

    def _lacks(self, entry, erased):
        try:
            wrong = self._records.fault(entry)
            if wrong:
                return wrong
            if entry.knowledge and entry.knowledge not in self._whole:
                kept_files.fetch(self, entry.knowledge)
                self._whole.add(entry.knowledge)
        except AdvisorError as error:
            return f"refers to something that is not whole ({error.what.rstrip('.')})"
        wrong = entries.apart_fault(entry.sealed, list(self.rows(statements.APART_OF_ENTRY, (entry.number,))))
        if wrong or all((entry.number, part) in erased or (entry.number, None) in erased for part in entry.gone):
            return wrong
        return "has lost its name or note"
