"""Quotes kept with a case: a number that finds the case again, what was offered, and how long it holds."""

import datetime
import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from ..errors import InputError
from ..explaining.priced_lines import PricedLines
from . import entries, statements, words
from .entries import Entry, line

if TYPE_CHECKING:
    from .book import Casebook
    from .store import Connection

KIND = "quote"
#: How the number of a quote ends.
_NUMBER = re.compile(r"-\d+$")
#: Stands in the number of a quote that a counter wrote while the shop's casebook was away.
AWAY = "AWAY"
#: Quotes read at once for the number of the next, and twice as many each time.
FEW = 16


def keep_quote(
    book: "Casebook", number: int, kits: Sequence[str], lines: PricedLines, *, counter: str, days: int, by: str = ""
) -> Entry:
    """Keep a quote on the standing decision of a case; the Entry, whose body holds its number.

    ``kits``: the pick and those offered beside it; ``lines``: what the pick is bought with; ``counter``: which counter
    of the shop wrote it, the casebook's own name where it has none; ``days`` it holds.
    """
    _, decision = book.standing(number)
    if decision is None:
        raise InputError(
            f"case {book.called(number)} has no decision to quote.",
            remedy=f"Decide it first: advisor case decide {book.called(number)}.",
        )
    by = line(by, "name of who quotes") if by else ""

    def write(connection: "Connection") -> Entry:
        own, _, _ = connection.execute(statements.HEAD).fetchone()
        prefix = counter_in_numbers(counter) or own[:6].upper()
        if book.counter:
            # In the counter's own casebook its numbers must not be those that it gets in the shop's meanwhile.
            prefix = f"{prefix}-{AWAY}"
        # Counted inside the transaction, so that no two quotes of a casebook get one number.
        body = {
            "of": decision.number,
            "decision": decision.digest,
            "quote": f"{prefix}-{_last_run(connection, prefix) + 1}",
            "kits": list(kits),
            "total": lines.total,
            "most": lines.most,
            "currency": lines.currency,
            "until": (datetime.date.today() + datetime.timedelta(days=days)).isoformat(),
        }
        return entries.append(connection, number, KIND, body, by=by)

    return book.store.transact(write)


def _last_run(connection, prefix):
    """The highest number that a quote with this prefix has here, 0 where there is none.

    Read from the latest back to the last that was written here, which was numbered beyond all before it; those taken
    over from elsewhere have the numbers of there.
    """
    highest, before, together = 0, statements.MOST, FEW
    while True:
        rows = connection.execute(statements.LATEST_OF_KIND, (KIND, before, together)).fetchall()
        for entry in map(entries.of_row, rows):
            of_counter, _, run = str(entry.body.get("quote", "")).rpartition("-")
            if of_counter == prefix and run.isdecimal():
                highest = max(highest, int(run))
                if "taken_over" not in entry.body:
                    return highest
        if len(rows) < together:
            return highest
        before, together = rows[-1][0], 2 * together


def counter_in_numbers(counter: str) -> str:
    """A counter's name as it begins its quotes' numbers: letters and digits, "front desk" as FRONT-DESK."""
    return "-".join(re.findall("[0-9A-Za-z]+", counter)).upper()[:20]


def quoted(book: "Casebook", text: str) -> Entry | None:
    """The Entry of the quote of this number, or None; InputError where two casebooks used one number."""
    wanted = text.strip().upper()
    if not _NUMBER.search(wanted):
        return None
    if words.unread(book.store):
        quotes = book.entries_of(statements.QUOTES)
    else:
        numbers = words.candidates(book.store, words.beginnings_of(wanted, whole=True), people=False)
        quotes = (entry for number in numbers for entry in book.entries_of(statements.ENTRIES_OF_KIND, (number, KIND)))
    matching = [entry for entry in quotes if str(entry.body.get("quote", "")).upper() == wanted]
    if len(matching) > 1:
        cases = ", ".join(str(entry.case) for entry in matching[:8])
        raise InputError(
            f"{len(matching)} quotes have the number {wanted}.",
            value=text,
            remedy=f"Give the case: {cases}. Give each counter a name of its own in shop.toml.",
        )
    return matching[0] if matching else None


def decision_of(book: "Casebook", quote: Entry) -> Entry:
    """The Entry of the decision that a quote offered."""
    return next(entry for entry in book.history(quote.case) if entry.number == quote.body["of"])
