"""From a sentence to facts: phrases, numbers and frames are found, and each number goes to the one fact it can be."""

from collections.abc import Sequence

from ..errors import InputError
from ..knowledge.model import Knowledge
from ..knowledge.records import Record
from . import frame_kinds as kinds_of, frames as frame
from .hearing import Understood
from .numbers import numbers
from .phrases import Phrases
from .remainder import left_over
from .sayings import Sayings
from .weighing import Weighing

LONGEST = 600


class Listener:
    """Reads sentences by one vocabulary; ``platforms`` (Records) are the cars whose names it knows."""

    def __init__(self, knowledge: Knowledge, platforms: Sequence[Record] = ()) -> None:
        self.facts = {name: fact for name, fact in knowledge.facts.items() if fact.source == "asked"}
        questions = getattr(knowledge, "questions", {})
        plain = [
            text for question in questions.values() for text in (question.plain, question.short, question.help or "")
        ]
        self.phrases = Phrases(self.facts.values(), (*plain, *(fact.label for fact in self.facts.values())))
        self.platforms = platforms
        words = getattr(knowledge, "words", {})
        self.sayings = Sayings(words.get("sayings", ()))
        self.counted = frozenset(words.get("counted", ()))
        self.numbers = [fact for fact in self.facts.values() if fact.kind == "number"]

    def understand(self, text: str, about: str = "", car: str = "", *, supposed: bool = False) -> Understood:
        """The Understood of ``text``; ``about`` is the fact being asked, ``car`` the platform's id.

        ``supposed``: it is said of what might be, so plans, wishes and questions count like statements.

        InputError for text that is empty, far too long or cannot be shown, and for names that are not known.
        """
        _check(text)
        if about and about not in self.facts:
            raise InputError(f"{about!r} is nothing that is asked.", value=about, remedy=self._nearest_name(about))
        if car and car not in {platform.id for platform in self.platforms}:
            raise InputError(f"no car on file is called {car!r}.", value=car, remedy="Give the id of a car on file.")
        sentence = _Sentence(self, text, about, car)
        sentence.supposed = supposed
        if not sentence.tokens:
            return Understood(left_over=(text.strip(),))
        return sentence.understood()

    def _nearest_name(self, name):
        from rapidfuzz import process

        near = [near_name for near_name, _, _ in process.extract(name[:60], list(self.facts), limit=2)]
        return f"Did you mean {' or '.join(near)}?"


def _check(text):
    if not text.strip():
        raise InputError("there is nothing to read.", value=text, remedy="Type what was said.")
    if len(text) > LONGEST:
        raise InputError(
            f"the text is {len(text)} characters long.", value=text[:60], remedy=f"Keep it under {LONGEST}."
        )
    odd = next((char for char in text if not char.isprintable() and char not in "\t\n\r"), None)
    if odd is not None:
        raise InputError(
            f"the text holds a character that cannot be shown (U+{ord(odd):04X}).",
            value=text[:60],
            remedy="Type it again.",
        )


class _Sentence(Weighing):
    """The steps of reading one sentence, in their order; ``supposed`` as in `Listener.understand`."""

    def understood(self) -> Understood:
        values = self.values = self._values()
        blocked = set(self.taken).union(*(range(value.start, value.end) for value in values))
        blocked |= {at for start, end in self.sayings for at in range(start, end)}
        blocked |= self._named_numbers()
        self.numbers = numbers(self.tokens, blocked, self.text)
        self._pauses()
        self._trade_units(values)
        self._units_corrected()
        self._units_a_little_behind()
        self._corrected_numbers(values)
        self.parts = frame.clauses(self.tokens)
        pointing = (pointer for pointer in self.pointers if pointer.end - pointer.start > 1)
        spans = [(number.start, number.end) for number in self.numbers] + [
            (pointer.start, pointer.end) for pointer in pointing
        ]
        named = {at for start, end in spans for at in range(start, end)}
        aside = {at for start, end in self.sayings for at in range(start, end)}
        self.frames = frame.frames(self.tokens, self.parts, blocked | named, aside)
        if self.supposed:
            self.frames = [kinds - kinds_of.NOT_YET for kinds in self.frames]
        for at in self.other_cars:
            self.frames[self.part_of(at)].add(kinds_of.OTHER)
        self.taken |= blocked - self._named_numbers()
        self._cylinders_behind(values)
        self._pointing_together()
        self._units_behind()
        self._yes_or_no()
        self._numbered()
        self._choices(values)
        self._loose()
        self._texts()
        self._numbers()
        self._measured_there(values)
        self._measured_behind()
        self._said_instead()
        self._second_thoughts()
        self._rounded_up()
        self._zeros()
        self._qualifiers_alone()
        self._unsettled()
        facts, asks = self._settle()
        unknown = not facts and not asks and frame.only_unsure(self.tokens) and not self.pieces and not self.numbers
        if not facts and not asks:
            asks = self._refusal(unknown)
        return Understood(tuple(facts), tuple(asks), left_over(self, facts), unknown)
