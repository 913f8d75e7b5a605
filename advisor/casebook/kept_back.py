"""What of a case is shown to whoever did not ask for people: nothing that is theirs, or looks like them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from . import likeness, statements
from .forgetting import people_of

if TYPE_CHECKING:
    from .book import Casebook
    from .entries import Entry

#: What stands in the place of what is kept back.
INSTEAD = "(kept apart)"


@dataclass(frozen=True, slots=True)
class Shown:
    """How texts of a case are shown: as they are where ``all`` is asked for; else not where they look like a caller."""

    callers: Sequence[dict[str, str]]
    all: bool

    def name(self, text: str) -> str:
        """Who wrote something, or the name of a case."""
        return text if self.all or not text or not likeness.why(text, self.callers) else INSTEAD

    def words(self, text: str) -> str:
        """Free words of the shop about a decision."""
        return INSTEAD if not self.all and text and likeness.form(text) else self.name(text)

    def body(self, entry: "Entry") -> dict[str, Any]:
        """The body of an Entry."""
        body = entry.body
        if "case" in body:
            body = {**body, "case": {**body["case"], "id": self.name(body["case"]["id"])}}
        return {**body, "text": self.words(body["text"])} if isinstance(body.get("text"), str) else body


def shown(book: "Casebook", number: int, *, people: bool) -> Shown:
    """How texts of a case are shown."""
    if people:
        return Shown([], True)
    return shown_of(list(book.entries_of(statements.ENTRIES_OF_KIND, (number, "person"))))


def shown_of(history: "Sequence[Entry]", *, people: bool = False) -> Shown:
    """As `shown`, from the entries of the case."""
    return Shown([] if people else people_of(history), people)
