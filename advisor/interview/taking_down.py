"""At a prompt: a sentence taken down, or refused with the two nearest readings."""

import re
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from ..errors import AdvisorError, InputError
from ..knowledge import given_answers, spoken
from ..knowledge.wording import Wording
from ..listening.refusals import NOT_UNDERSTOOD, NOTHING_OF_THE_CAR
from ..listening.saying import Saying
from ..listening.understanding import Listener
from .names import CAR, shortened
from .state import Aside, Said

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge, Record


class Sentences:
    """Hands what is no plain answer to the room that listens."""

    def __init__(self, knowledge: "Knowledge", platforms: "Sequence[Record]") -> None:
        self.knowledge = knowledge
        self.listener = Listener(knowledge, platforms)
        self.saying = Saying(Wording(knowledge))

    def read(
        self, text: str, current: str | None, refusal: AdvisorError | None, beside: Callable[[], list[Any]]
    ) -> list[Any]:
        """Saids, and an Aside for what was not taken; InputError where nothing was.

        ``refusal`` is the error of reading it as a plain answer to ``current``; ``beside`` gives what it says of
        another question of the same topic.
        """
        car = self._car(text) if current == CAR else []
        if car and not (text := self._beside_the_car(text, car[0].value)):
            return car
        understood = self.listener.understand(text, current if current in self.listener.facts else "")
        if understood.unknown and current and current != CAR:
            return [Said(current, "unknown", None)]
        saids = [self._said(fact_name) for fact_name in understood.facts]
        taken = [*car, *(answer for answer in saids if answer is not None)]
        kept_back = [
            f"{self.saying.fact(heard)} was said: one number is needed."
            for heard, answer in zip(understood.facts, saids)
            if answer is None
        ]
        if taken:
            aside = " ".join([*kept_back, *self.saying.asides(understood)])
            return [*taken, Aside(aside)] if aside else taken
        said_beside = beside()
        if said_beside:
            return said_beside
        raise self._refused(text, understood, refusal, kept_back)

    def _car(self, text):
        """The one car on file that is named in a sentence, by the first word of its title."""
        words = {token.word for token in spoken.tokens(text)}
        named = [
            platform.id
            for platform in self.listener.platforms
            if spoken.tokens(str(platform.fields.get("title", platform.id)))[0].word in words
        ]
        return [Said(CAR, named[0], named[0])] if len(named) == 1 else []

    def _beside_the_car(self, text, car):
        """What is said beside the car where its name is a part of its own: "a bramble 20t, chipped" gives "chipped"."""
        record = next(platform for platform in self.listener.platforms if platform.id == car)
        title = str(record.fields.get("title", record.id))
        first, *others = map(re.escape, [*title.split(), *record.id.split("-")])
        name = rf"(?:(?:it's|it is|a|an|the|my|our)\s+)*{first}(?:[\s-]+(?:{'|'.join(others)}))*"
        return re.sub(rf"(?:^|(?<=[,;.]))\s*{name}\s*(?:[,;.]|$)", "", text, count=1, flags=re.IGNORECASE).strip()

    def _said(self, heard):
        """An answer as the case file keeps it, or None for a range that no answer can hold."""
        fact = self.knowledge.facts[heard.fact]
        if heard.rough:
            text = self._rough_text(fact, heard)
            answer = None if text is None else given_answers.read_answer(fact, text)
            if text is not None and answer is not None:
                return Said.of(heard.fact, text, answer, heard.origin)
            if heard.is_range or heard.low is None or heard.high is None:
                return None
        return Said(heard.fact, heard.text, heard.value, heard.origin)

    @staticmethod
    def _rough_text(fact, heard):
        """How a case file writes it with its doubt, where it can."""
        if heard.is_range:
            number, _, _ = heard.low_text.partition(" ")
            wanted = [f"{number} to {heard.high_text}", f"{heard.low_text} to {heard.high_text}"]
        elif heard.low is None or heard.high is None:
            wanted = [f"at least {heard.text}" if heard.high is None else f"at most {heard.text}"]
        else:
            number = heard.text.split()[0]
            over, under = (end.split()[0] == number for end in (heard.low_text, heard.high_text))
            wanted = [f"{'just over' if over else 'just under' if under else 'about'} {heard.text}"]
        for text in wanted:
            try:
                if given_answers.read_answer(fact, text) is not None:
                    return text
            except InputError:
                continue
        return None

    def _refused(self, text, understood, refusal, kept_back):
        readings = list(
            dict.fromkeys(self.saying.fact(reading) for asked in understood.asks for reading in asked.readings)
        )[:2]
        near = f"Nearest: {' or '.join(readings)}." if readings else ""
        if kept_back:
            return InputError(" ".join(kept_back), value=text, remedy="Type the likely one.")
        if refusal is not None and len(text.split()) < 4:
            return InputError(refusal.what, value=text, remedy=f"{refusal.remedy} {near}".strip())
        if refusal is None and all(asked.why in NOT_UNDERSTOOD for asked in understood.asks):
            return InputError(
                f"{shortened(text)} holds nothing to take down about the car."
                if any(asked.why == NOTHING_OF_THE_CAR for asked in understood.asks)
                else f"{shortened(text)} does not say what it answers.",
                value=text,
                remedy=f"{near} Write it as name = value, or help for what can be typed.".strip(),
            )
        whole = " ".join(text.split()).strip()
        why = "; ".join(
            dict.fromkeys(
                asked.why if asked.said == whole else f"{asked.said!r}: {asked.why}" for asked in understood.asks
            )
        )
        return InputError(
            f"nothing of {shortened(text)} was taken down{f' ({why})' if why else ''}.",
            value=text,
            remedy=f"{near} Type the answer alone, ? if it is not known, or help.".strip(),
        )
