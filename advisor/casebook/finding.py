"""How cases are found again: all of them one by one, and those in which words occur."""

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from . import entries, histories, likeness, words as kept_words
from .sales import KINDS as KINDS_OF_SALE
from .words import PERSONAL as PERSONAL

if TYPE_CHECKING:
    from .book import Casebook
    from .entries import Entry
    from .histories import CaseHistory

SIGNED_WORDS = {"sign_off": "signed off", "objection": "objected"}


def overview(book: "Casebook", numbers: Iterable[int] | None, since: str | None) -> Iterator[dict[str, Any]]:
    """One dict for each case as `Casebook.overview` gives it; why one is at fault is put into ``passed_over``."""
    wanted = histories.oldest_first(book.store, since=since) if numbers is None else numbers
    for history in histories.of_cases(book.store, wanted):
        if history.wrong:
            book.passed_over[history.case] = history.fault
            continue
        row = _row(book, history)
        if row is not None and (since is None or row["begun"] >= since):
            yield row


def _row(book, history):
    row: dict[str, Any] | None = None
    counted = tuple(entry for entry in history.entries if book.as_of is None or entry.number <= book.as_of)
    for entry in counted:
        if entry.kind in ("answers", "reading"):
            if row is None:
                row = {"number": entry.case, "begun": entry.at, "by": entry.by, "told": None, "sales": []}
            row |= {"answers": entry, "decision": None, "signed": ""}
        elif row is None:
            return None  # versions of a shop's rules are no case
        elif entry.kind == "decision":
            row |= {"decision": entry, "signed": ""}
            if row["answers"].kind == "answers":
                row["told"] = entry
        elif entry.kind in KINDS_OF_SALE:
            row["sales"].append(entry)
        elif entry.kind in SIGNED_WORDS:
            row["signed"] = f"{SIGNED_WORDS[entry.kind]} by {entry.by}"
    return row and row | {"history": counted}


def private_in(history: "Iterable[Entry]") -> dict[int, dict[str, str]]:
    """As `Casebook.private_of`, from the entries of the case."""
    apart = {}
    for entry in history:
        own = {part: text for part, text in entry.kept.items() if part in PERSONAL}
        if own and entry.kind not in entries.SIGNATURES:
            apart[entry.number] = own
    return apart


def search(book: "Casebook", words: Sequence[str], *, people: bool = False, before: int | None = None) -> Iterator[int]:
    """Numbers of the cases in which every word occurs, the newest first; see `Casebook.search`."""
    wanted = [beginnings for word in words for beginnings in kept_words.beginnings_of(word)]
    if wanted:
        numbers = kept_words.candidates(book.store, wanted, people=people, before=before)
    else:
        numbers = histories.newest_first(book.store, before)
    folded = [word.casefold() for word in words]
    yield from (history.case for history in histories.of_cases(book.store, numbers) if _holds(history, folded, people))


def _holds(history: "CaseHistory", words, people):
    """Whether every word occurs in a case as its entries stand now."""
    open_texts, of_people = kept_words.texts(history.entries)
    whole = "\n".join([*open_texts, *(of_people if people else ())]).casefold()
    return all(word in whole or _dialled(word, whole) for word in words)


def _dialled(word, whole):
    digits = likeness.digits(word)
    return len(digits) >= kept_words.END and not likeness.letters(word) and digits[-kept_words.END :] in whole
