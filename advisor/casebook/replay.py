"""A stored case decided again: exactly as it was, or with a fitter's readings."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..deciding.decide import Decider, decider_of
from ..deciding.decision_record import DecisionRecord
from ..errors import InputError, OutgrownError
from ..knowledge import given_answers
from ..knowledge.case_model import Answer
from ..knowledge.near import did_you_mean
from ..knowledge.records import asked_of_case
from . import book as books, stored_form
from .difference import difference
from .kept_files import content
from .program import fingerprint

if TYPE_CHECKING:
    from .book import Casebook
    from .entries import Entry


@dataclass(frozen=True, slots=True)
class Replay:
    """A case decided again from its stored knowledge.

    ``same``: the bytes are equal, who made it aside. ``then`` and ``now``: the programs (see `fingerprint`).
    ``unread``: what of the knowledge kept with the case this program no longer reads; ``new`` is None then.
    """

    number: int
    old: DecisionRecord
    new: DecisionRecord | None
    then: dict
    now: dict
    same: bool
    unread: str = ""

    @property
    def program_changed(self) -> bool:
        """Whether another program decides now."""
        return self.then != self.now

    def difference(self) -> dict[str, dict[str, list[Any]]]:
        """What differs, as data; see `difference`. Nothing can be said to differ where nothing was decided again."""
        return difference(self.old, self.new) if self.new else {}


class Deciders:
    """Deciders over stored knowledge, the last few kept."""

    def __init__(self, book: "Casebook", kept: int = 2) -> None:
        self._made: dict[str | None, Decider] = {}
        self.book, self.kept = book, kept

    def of(self, entry: "Entry") -> Decider:
        """The Decider over the knowledge an Entry was decided with, on both engines."""
        if entry.knowledge not in self._made:
            while len(self._made) >= self.kept:
                self._made.pop(next(iter(self._made)))
            self._made[entry.knowledge] = decider_of(content(self.book.files_of(entry)))
        return self._made[entry.knowledge]


def replay(book: "Casebook", number: int, deciders: "Deciders | None" = None) -> "Replay":
    """The `Replay` of the standing decision of a case.

    Knowledge that names what is gone from the program is no damage: the record stands, ``unread`` says what it was.
    """
    base, decision = book.standing(number)
    if decision is None:
        raise InputError(
            f"case {book.called(number)} has no decision to replay.",
            remedy=f"Decide it first: advisor case decide {book.called(number)}.",
        )
    old = book.record(decision)
    then, now = decision.body["program"], fingerprint()
    try:
        decider = (deciders or Deciders(book)).of(base)
    except OutgrownError as error:
        return Replay(number, old, None, then, now, same=False, unread=error.what)
    new = books.decide(decider, stored_form.case_of(base.body["case"]))
    same = stored_form.decided_bytes(old) == stored_form.decided_bytes(new)
    return Replay(number, old, new, then, now, same)


def decide_stored(book: "Casebook", number: int, deciders: "Deciders | None" = None) -> DecisionRecord:
    """Decide a case whose answers stand in the casebook without a decision, from its stored knowledge; the record."""
    base, decision = book.standing(number)
    if decision is not None:
        raise InputError(
            f"case {book.called(number)} is decided already.", remedy=f"See: advisor case show {book.called(number)}."
        )
    decider = (deciders or Deciders(book)).of(base)
    record = books.decide(decider, stored_form.case_of(base.body["case"]))
    book.decided(base, record, books.currency_of(decider, record))
    return record


def take_readings(
    book: "Casebook", number: int, texts: Sequence[str], *, by: str = ""
) -> tuple[DecisionRecord | None, DecisionRecord]:
    """Store a fitter's readings, each ``fact=value``, and decide the case again: (record sold, record now).

    The knowledge is that of the decision sold, so that only the readings make a difference.
    """
    sold = book.sold(number)
    base, _ = book.standing(number)
    decider = Deciders(book).of(base)
    readings = dict(_reading(text, decider.knowledge) for text in texts)
    case = stored_form.case_of(base.body["case"])
    case = dataclasses.replace(
        case, answers={**case.answers, **readings}, unknown=tuple(name for name in case.unknown if name not in readings)
    )
    decider.gather(case)
    entry = book.read_off(number, case, list(readings), base.knowledge, by=by)
    record = books.decide(decider, case)
    book.decided(entry, record, books.currency_of(decider, record))
    return (book.record(sold) if sold else None), record


def _reading(text, knowledge):
    name, sign, raw = (part.strip() for part in text.partition("="))
    if not sign or not name or not raw:
        raise InputError(
            f"{text!r} is not a reading.",
            value=text,
            remedy="Write it as fact=value, for example crank_end_float=0.12mm.",
        )
    allowed = [fact.name for fact in knowledge.facts.values() if asked_of_case(fact)]
    if name not in allowed:
        raise InputError(
            f"{name!r} is not something that can be read off the car.",
            value=name,
            remedy=did_you_mean(name, allowed, "See the facts with: advisor rules list."),
        )
    answer = given_answers.read_answer(knowledge.facts[name], raw)
    if answer is None:
        raise InputError(
            f"the reading of {name} says that it is not known.",
            value=raw,
            remedy="Give what was read, or leave it out.",
        )
    if answer.low is not None:
        raise InputError(
            f"the reading of {name} is no single number.",
            value=raw,
            remedy="Give what was read.",
        )
    return name, Answer(answer.value, "measured")
