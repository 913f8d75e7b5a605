"""Everything heard in a sentence weighed: corrections followed, quarrels turned into questions, refusals explained."""

from dataclasses import replace

from . import frames as frame
from .amounts import Amounts
from .hearing import Asked
from .taken_apart import Piece
from .word_lists import phrase_list

_MOSTLY = phrase_list("mostly, mainly, usually, primarily, most of the time, first and foremost, above all, really")
_SELDOM = phrase_list(
    "odd, few, couple, bit of, some, maybe, occasional, occasionally, sometimes, now and then, now and again, "
    "once in a while, a year, rarely, few times, might"
)


class Weighing(Amounts):
    """What may be taken of what was heard, and what has to be asked."""

    def _qualifiers_alone(self):
        """A number kept back because nothing can say where it was measured is asked about."""
        for one in self.numbers:
            if one.kind == "elsewhere":
                number = self.part_of(one.start)
                fact = next(
                    (
                        fact
                        for fact in self.listener.numbers
                        if fact.speech and fact.speech.by_unit and self._dimension(fact.name) == one.dimension
                    ),
                    None,
                )
                if fact is not None:
                    self.taken.update(range(one.start, one.end))
                    readings = tuple(self._readings(fact, one, number))[:2]
                    self.asks.append(
                        (
                            number,
                            Asked(
                                (fact.name,),
                                self.said(one.start, one.end),
                                "there is no place to note where it was measured",
                                readings,
                            ),
                        )
                    )

    def _unsettled(self):
        for match in self.unsettled:
            fact = self.facts[match.fact]
            number = self.part_of(match.start)
            self.taken.update(range(match.start, match.end))
            if self.frames[number] - {frame.AHEAD}:
                continue
            choices = list(fact.choices) or [True, False]
            readings = tuple(
                self._choice(fact.name, choice, match.start, match.end)
                for choice in self._near_choices(fact, match, choices)[:2]
            )
            told = fact.speech.qualifies if fact.speech else ""
            if told and not any(piece.heard.fact == told for piece in self.pieces):
                continue
            self.asks.append(
                (number, Asked((fact.name,), self.said(match.start, match.end), "it leaves open which", readings))
            )

    def _near_choices(self, fact, match, choices):
        from rapidfuzz import fuzz

        said = self.said(match.start, match.end).casefold()
        phrases = fact.speech.phrases if fact.speech else {}
        score = {
            choice: max((fuzz.token_set_ratio(said, text) for text in phrases.get(choice, ())), default=0)
            for choice in choices
        }
        return sorted(choices, key=lambda choice: (-score[choice], choices.index(choice)))

    def _settle(self):
        """(facts, asks): corrections followed, doubts and quarrels turned into questions."""
        self._follow_corrections()
        asks = []
        held: dict[str, list[Piece]] = {}
        for piece in self.pieces:
            if not piece.hurdle:
                held.setdefault(piece.heard.fact, []).append(piece)
        facts = []
        for name, pieces in held.items():
            values = list({piece.heard.value: piece for piece in pieces}.values())
            if len(values) > 1:
                values = self._preferred(values)
            if len(values) > 1:
                said = "; ".join(dict.fromkeys(piece.heard.said for piece in values))
                asks.append(Asked((name,), said, "two answers were heard", tuple(piece.heard for piece in values[:2])))
            else:
                facts.append(
                    max(
                        (one for one in pieces if one.heard.value == values[0].heard.value),
                        key=lambda one: one.heard.rough,
                    ).heard
                )
        told = {one.fact for one in facts} | {self.about}
        facts = [
            one
            for one in facts
            if not self._hangs(one.fact)
            or {one.fact, self._speech(one.fact).qualifies} & (told - {one.fact} | {self.about})
        ]
        settled = {one.fact for one in facts}
        for number, one in self.asks:
            if (
                not set(one.facts) & settled
                and not any(set(other.facts) & set(one.facts) for other in asks)
                and not self._spoilt(one, number)
            ):
                asks.append(one)
        order = list(self.facts)
        return sorted(facts, key=lambda one: order.index(one.fact)), asks

    def _hangs(self, name):
        """Is it a choice that only tells more about a number, and so nothing without that number?"""
        fact = self.facts[name]
        return fact.kind == "choice" and fact.speech is not None and bool(fact.speech.qualifies)

    def _spoilt(self, one, number):
        kinds = self.frames[number] if number < len(self.frames) else set()
        wished = all(self._speech(name).ahead for name in one.facts)
        return bool(kinds - ({frame.AHEAD} if wished else set()))

    def _preferred(self, pieces):
        """Where two choices of a fact were heard: what it mostly is goes before what it is now and then."""
        mostly = [one for one in pieces if self._beside(one, _MOSTLY)]
        if len(mostly) == 1 and isinstance(mostly[0].heard.value, str):
            return mostly
        usual = [one for one in pieces if not self._beside(one, _SELDOM)]
        return usual if len(usual) == 1 and isinstance(usual[0].heard.value, str) else pieces

    def _beside(self, piece, several):
        start, end, _ = self.parts[piece.part]
        before = [token.word for token in self.tokens[max(start, piece.start - 3) : piece.start]]
        behind = [token.word for token in self.tokens[piece.end : min(end, piece.end + 4)]]
        behind = (
            behind
            if behind[:1]
            and behind[0]
            in ("a", "now", "once", "mostly", "mainly", "usually", "most", "sometimes", "occasionally", "really")
            else []
        )
        return any(
            words[at : at + len(text.split())] == text.split()
            for words in (before, behind)
            for text in several
            for at in range(len(words))
        )

    def _follow_corrections(self):
        """What was taken back goes; a bare number after a correction has the unit of the one it corrects."""
        for start, end in self.fixes:
            before = [one for one in self.numbers if one.end <= start]
            after = [one for one in self.numbers if one.start >= end]
            if before and after and after[0].start - end <= 6:
                self._number_corrected(before[-1], after[0])
            later = {piece.heard.fact for piece in self.pieces if piece.start >= end}
            self.pieces = [piece for piece in self.pieces if piece.start >= end or piece.heard.fact not in later]
            self.asks = [
                (number, one)
                for number, one in self.asks
                if not (set(one.facts) & later and self.parts[number][0] < start)
            ]

    def _number_corrected(self, old, new):
        same = old.bare or new.bare or old.dimension == new.dimension or old.values == new.values
        if not same:
            return
        pieces = [piece for piece in self.pieces if piece.start == old.start and piece.end == old.end]
        asked = [one for _, one in self.asks if one.said == self.said(old.start, old.end)]
        if new.bare and pieces:
            fact = self.facts[pieces[0].heard.fact]
            new.unit, new.spelling = old.unit, old.spelling
            number = self.part_of(new.start)
            readings = self._readings(fact, new, number)
            if len(readings) == 1:
                self.pieces = [piece for piece in self.pieces if piece.start != new.start]
                self.asks = [(part, one) for part, one in self.asks if one.said != self.said(new.start, new.end)]
                self.pieces.append(Piece(readings[0], new.start, new.end, number, pieces[0].hurdle, new.start))
                self.taken.update(range(new.start, new.end))
            else:
                return
        self.pieces = [piece for piece in self.pieces if piece not in pieces]
        self.asks = [(part, one) for part, one in self.asks if one not in asked]
        self.taken.update(range(old.start, old.end))

    def _refusal(self, unknown):
        """Nothing was taken: the two nearest readings, what was kept back first."""
        if unknown:
            return []
        kept_back = [piece.heard for piece in self.pieces if piece.hurdle]
        why = next((piece.hurdle for piece in self.pieces if piece.hurdle), "nothing in it is understood")
        near = list(
            {
                (one.fact, one.value, one.text): one for one in (*kept_back, *self._of_the_asked(), *self._nearest())
            }.values()
        )[:2]
        return [Asked(tuple(dict.fromkeys(one.fact for one in near)), self.text.strip()[:80], why, tuple(near))]

    def _of_the_asked(self):
        """A number there is, as the number that was asked for."""
        fact = self.facts.get(self.about)
        if fact is None or fact.kind != "number":
            return []
        for one in self.numbers:
            if not one.kind and one.values:
                return self._readings(fact, one, self.part_of(one.start)) or (
                    list(self._possible(one, [fact.name])) if one.bare else []
                )
        return []

    def _nearest(self):
        from rapidfuzz import fuzz, process

        names = (
            [self.about]
            if self.about in self.facts and self.facts[self.about].kind in ("choice", "flag")
            else list(self.facts)
        )
        options = [
            (name, value, text)
            for name in names
            for value, texts in self._speech(name).phrases.items()
            for text in texts
        ]
        if not options:
            return []
        found, seen = [], set()
        for _, _, at in process.extract(
            self.text.casefold(), [text for _, _, text in options], scorer=fuzz.token_set_ratio, limit=40
        ):
            name, value, _ = options[at]
            if (name, value) not in seen:
                seen.add((name, value))
                found.append(replace(self._choice(name, value, 0, 1), said=""))
        return found[:2]
