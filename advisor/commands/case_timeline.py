"""The timeline of a saved case as text: every entry of its history in a line or two."""

from typing import TYPE_CHECKING

from ..casebook.book import Casebook
from ..casebook.history_told import event
from ..casebook.kept_back import shown
from ..knowledge.sentences import wrap

if TYPE_CHECKING:
    from ..knowledge.wording import Wording


def timeline(book: Casebook, number: int, wording: "Wording", width: int, *, people: bool = False) -> list[str]:
    """Every entry of the history in one line or two."""
    words = shown(book, number, people=people)
    lines = ["Timeline (UTC)"]
    for entry in book.history(number):
        who = f", {words.name(entry.by)}" if entry.by else ""
        text = f"{entry.at[:16].replace('T', ' ')}{who}: {event(entry, words, wording)}"
        lines.append(wrap(text, width, "  ", "    "))
    return lines
