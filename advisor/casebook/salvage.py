"""The sound cases of any casebook, also of one that is damaged or was tampered with.

A case is taken whole or not at all: each of its entries must be as it was written, of a shape this program knows, with
everything it refers to; the entries of other cases do not matter. Rows are read one by one, so that a damaged page
costs only what stands on it.
"""

import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from ..errors import AdvisorError, InputError
from . import casebook_file, entries, kept_files, shape, statements, stored_form
from .check import erased
from .importing import Source, take_case

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


def salvage(book: "Casebook", path: str | Path) -> Salvaged:
    """Take the sound cases of the casebook at ``path`` into an open `Casebook`; a `Salvaged`."""
    source = Wreck(path)
    try:
        if source.name == book.store.row(statements.HEAD)[0]:
            raise InputError("a casebook cannot take over its own cases.", remedy="Name a new one with --casebook.")
        histories, unread = source.histories()
        left, counts = {}, [0, 0, 0]
        for number, history in sorted(histories.items()):
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

    def __init__(self, path: str | Path) -> None:
        self.path = path = Path(path)
        casebook_file.looks_like_one(path)
        name = f"file:{quote(str(path.resolve()))}?mode=ro" + ("" if casebook_file.has_log(path) else "&immutable=1")
        try:
            self.connection = sqlite3.connect(name, uri=True, isolation_level=None)
            self.connection.text_factory = casebook_file.text_of
            self.connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, casebook_file.LARGEST_VALUE)
            self.connection.execute(statements.COUNT).fetchone()
        except (sqlite3.Error, UnicodeError):  # a message that quotes what is damaged may be no text
            raise casebook_file.cut_off(path) from None
        version = (self._row("PRAGMA user_version") or (0,))[0]
        if version < statements.APART_SINCE:
            of_before = statements.APART_OF_BEFORE if version >= statements.PRIVATE_SINCE else statements.APART_OF_NONE
            self._row(of_before)
        head = self._row(statements.HEAD)
        self.name = head[0] if head and isinstance(head[0], str) else "unknown"
        self._stated = head[1] if head and type(head[1]) is int else 0

    def close(self) -> None:
        """Close the file."""
        self.connection.close()

    def _row(self, sql, values=()):
        try:
            return self.connection.execute(sql, values).fetchone()
        except (sqlite3.Error, UnicodeError):
            return None

    def row(self, sql: str, values: Sequence[Any] = ()) -> Any:
        """The first row of one query; None where there is none or it cannot be read."""
        return self._row(sql, values)

    def rows(self, sql: str, values: Sequence[Any] = ()) -> Iterable[Any]:
        """The rows of one query; none where they cannot be read."""
        try:
            return self.connection.execute(sql, values).fetchall()
        except (sqlite3.Error, UnicodeError):
            return []

    def fault(self, what: str, remedy: str = "") -> AdvisorError:
        """The error about content that is missing or was changed."""
        return InputError(what, remedy=remedy)

    def histories(self) -> tuple[dict[int, list[entries.Entry]], int]:
        """(case -> its entries in order, how many entries cannot be read)."""
        last = self._row(statements.LAST_ENTRY)
        # No entry takes less than 100 bytes: what a head row states beyond that is not true.
        most = self.path.stat().st_size // 100
        upto = min(max(last[0] or 0 if last else 0, self._stated if self._stated <= most else 0) or BEYOND, most)
        entries_by_case: dict[int, list[entries.Entry]] = {}
        unread = 0
        for number in range(1, upto + 1):
            row = self._row(statements.ENTRY_OF_NUMBER, (number,))
            if row is None:
                unread += 1
                continue
            entry = entries.of_row(row)
            entries_by_case.setdefault(entry.case, []).append(entry)
        return entries_by_case, unread if last or self._stated else 0

    def wrong_with(self, history: list[entries.Entry]) -> str:
        """Why a case is left, in words; "" where it is sound."""
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
            if entry.record and stored_form.fault(entries.fetch(self, entry.record)):
                return stored_form.fault(entries.fetch(self, entry.record))
            if entry.knowledge:
                kept_files.fetch(self, entry.knowledge)
        except AdvisorError as error:
            return f"refers to something that is not whole ({error.what.rstrip('.')})"
        wrong = entries.apart_fault(entry.sealed, list(self.rows(statements.APART_OF_ENTRY, (entry.number,))))
        if wrong or all((entry.number, part) in erased or (entry.number, None) in erased for part in entry.gone):
            return wrong
        return "has lost its name or note"
