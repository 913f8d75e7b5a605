"""How cases are found again: all of them one by one, and those in which words occur."""

import re
from collections.abc import Collection, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from . import entries, likeness, seals, shape, statements
from .sales import KINDS as KINDS_OF_SALE

if TYPE_CHECKING:
    from .book import Casebook

SIGNED_WORDS = {"sign_off": "signed off", "objection": "objected"}
#: Parts that stand apart and are shown only where people are asked for.
PERSONAL = ("name", "phone", "text", "reason", "who")


def overview(book: "Casebook", numbers: Collection[int] | None) -> Iterator[dict[str, Any]]:
    """One dict for each case as `Casebook.overview` gives it; why one is at fault is put into ``passed_over``."""
    row: dict[str, Any] | None = None
    unsealed = dict(seals.look(book.store).faults)
    apart = _apart(book, numbers)
    for entry in book.entries_of(statements.overview(numbers)):
        if book.as_of is not None and entry.number > book.as_of:
            continue
        wrong = shape.fault(entry) or ("" if entry.sound() else "was changed after it was written")
        wrong = (
            wrong or unsealed.get(entry.number, "") or entries.apart_fault(entry.sealed, apart.get(entry.number, ()))
        )
        if not wrong and (row is None or row["number"] != entry.case) and entry.kind not in ("answers", "reading"):
            wrong = "begins a case without answers"
        if wrong:
            book.passed_over.setdefault(entry.case, f"entry {entry.number} {wrong}")
        if entry.case in book.passed_over:
            continue
        if row is None or row["number"] != entry.case:
            if row is not None:
                yield row
            row = {
                "number": entry.case,
                "begun": entry.at,
                "by": entry.by,
                "answers": None,
                "decision": None,
                "told": None,
                "signed": "",
                "sales": [],
            }
        if entry.kind in ("answers", "reading"):
            row |= {"answers": entry, "decision": None, "signed": ""}
        elif entry.kind == "decision":
            row |= {"decision": entry, "signed": ""}
            if row["answers"].kind == "answers":
                row["told"] = entry
        elif entry.kind in KINDS_OF_SALE:
            row["sales"].append(entry)
        else:
            row["signed"] = f"{SIGNED_WORDS[entry.kind]} by {entry.by}"
    if row is not None:
        yield row


def _apart(book, numbers):
    """Entry -> the rows of what stands apart for it, of some cases or of all."""
    rows_by_entry: dict[int, list] = {}
    if numbers is None:
        rows = book.store.rows(statements.EVERY_APART)
    else:
        rows = (row for number in numbers for row in book.store.rows(statements.APART_OF_CASE, (number,)))
    for entry, *row in rows:
        rows_by_entry.setdefault(entry, []).append(row)
    return rows_by_entry


_DIGEST = re.compile("[0-9a-f]{40,}")


def search(book: "Casebook", words: Sequence[str], *, people: bool = False) -> list[int]:
    """Numbers of the cases in which every word occurs; see `Casebook.search`."""
    wanted = [word.casefold() for word in words]
    texts: list[str] = []
    matching: list[int] = []
    current = 0
    for entry in book.entries_of(statements.TEXTS):
        if entry.case != current:
            matching += [current] if texts and _all_in(wanted, texts) else []
            texts, current = [], entry.case
        texts += [str(entry.by), *_told(entry.body)]
        for part, text in entry.kept.items():
            if part in PERSONAL and (people or (part == "reason" and not likeness.form(text))):
                texts.append(str(text))
    return matching + ([current] if texts and _all_in(wanted, texts) else [])


def _told(body):
    """What of an entry's body a person would search for: texts and numbers, and the names of the answers."""
    if isinstance(body, dict):
        return [
            text
            for key, part in body.items()
            for text in ([key] if isinstance(part, dict) and "from" in part else []) + _told(part)
        ]
    if isinstance(body, list):
        return [text for part in body for text in _told(part)]
    # Nobody looks for a digest, and some digits stand in many of them.
    if body is None or (isinstance(body, str) and _DIGEST.fullmatch(body)):
        return []
    return [f"{body:g}" if isinstance(body, float) else str(body)]


def _all_in(wanted, texts):
    whole = "\n".join(texts).casefold()
    return all(word in whole for word in wanted)
