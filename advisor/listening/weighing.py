"""Everything heard in a sentence weighed: corrections followed, quarrels turned into questions, refusals explained."""

from dataclasses import replace

from . import frames as frame
from .hearing import Asked, Heard
from .taken_apart import Piece
from .texts_heard import TextsHeard
from .word_lists import phrase_list

_MOSTLY = phrase_list("mostly, mainly, usually, primarily, most of the time, first and foremost, above all, really")
_SELDOM = phrase_list(
    "odd, few, couple, bit of, some, maybe, occasional, occasionally, sometimes, now and then, now and again, "
    "once in a while, a year, rarely, few times, might"
)
#: What is so now and then, and no answer to what is mostly so: "it'll see the odd track day".
_ODD = phrase_list("odd, occasional, occasionally, now and then, now and again, once in a while, rarely, the odd")
_ONCE = frozenset(("was", "were", "had", "from"))


class Weighing(TextsHeard):
    """What may be taken of what was heard, and what has to be asked."""

    def _qualifiers_alone(self):
        """A number kept back because nothing can say where it was measured is asked about."""
        for said in self.numbers:
            if said.kind == "elsewhere":
                number = self.part_of(said.start)
                fact = next(
                    (
                        fact
                        for fact in self.listener.numbers
                        if fact.speech and fact.speech.by_unit and self._dimension(fact.name) == said.dimension
                    ),
                    None,
                )
                if fact is not None:
                    self.taken.update(range(said.start, said.end))
                    readings = tuple(self._readings(fact, said, number))[:2]
                    self.asks.append(
                        (
                            number,
                            Asked(
                                (fact.name,),
                                self.said(said.start, said.end),
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
            if self.frames[number] - {frame.AHEAD, frame.WISH, frame.CARRIED}:
                continue
            choices = list(fact.choices) or [True, False]
            readings = tuple(
                self._choice(fact.name, choice, match.start, match.end)
                for choice in self._near_choices(fact, match, choices)[:2]
            )
            qualified = fact.speech.qualifies if fact.speech else ""
            if qualified and not any(piece.heard.fact == qualified for piece in self.pieces):
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
            if not piece.hurdle and not (
                self._speech(piece.heard.fact).mainly and piece.heard.fact != self.about and self._beside(piece, _ODD)
            ):
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
                        (piece for piece in pieces if piece.heard.value == values[0].heard.value),
                        key=lambda piece: piece.heard.rough,
                    ).heard
                )
        facts = self._against_implied(facts, asks)
        facts += self._implied(facts, asks)
        facts_told = {fact_name.fact for fact_name in facts} | {self.about}
        facts = [
            fact_name
            for fact_name in facts
            if not self._hangs(fact_name.fact)
            or {fact_name.fact, self._speech(fact_name.fact).qualifies} & (facts_told - {fact_name.fact} | {self.about})
        ]
        settled = {fact_name.fact for fact_name in facts}
        for number, ask in self.asks:
            if (
                not set(ask.facts) & settled
                and not any(set(other.facts) & set(ask.facts) for other in asks)
                and not self._spoilt(ask, number)
            ):
                asks.append(ask)
        order = list(self.facts)
        return sorted(facts, key=lambda fact_name: order.index(fact_name.fact)), asks

    def _against_implied(self, facts, asks):
        """Facts without those that another denies ("full bolt-ons, no tune"): they are asked."""
        implied = {pair for said in facts for pair in self._speech(said.fact).implies.get(said.value, ())}
        names = {name for name, _ in implied}
        kept = []
        for said in facts:
            if said.fact in names and (said.fact, said.value) not in implied:
                other = self._choice(said.fact, next(value for name, value in implied if name == said.fact), 0, 1)
                why = "what was changed says otherwise"
                asks.append(Asked((said.fact,), said.said, why, (said, replace(other, said=said.said))))
            else:
                kept.append(said)
        return kept

    def _implied(self, facts, asks):
        """What the choices that were taken say of other facts, of which nothing was heard."""
        heard_of = {said.fact for said in facts} | {name for ask in asks for name in ask.facts}
        heard_of |= {piece.heard.fact for piece in self.pieces}
        implied: dict[str, Heard] = {}
        for said in facts:
            for name, value in self._speech(said.fact).implies.get(said.value, ()):
                if name in self.facts and name not in heard_of:
                    text = {True: "yes", False: "no"}.get(value, value)
                    implied.setdefault(name, Heard(name, value, said=said.said, text=text))
        return list(implied.values())

    def _hangs(self, name):
        """Does it only tell more about a number, and is it so nothing without that number?"""
        fact = self.facts[name]
        return fact.speech is not None and bool(fact.speech.qualifies)

    def _spoilt(self, heard, number):
        kinds = self.frames[number] if number < len(self.frames) else set()
        wished = all(self._speech(name).ahead for name in heard.facts)
        return bool(kinds - ({frame.AHEAD, frame.WISH, frame.CARRIED} if wished else set()))

    def _preferred(self, pieces):
        """Where two choices of a fact were heard: what it mostly is goes before what it is now and then."""
        now = [piece for piece in pieces if "now" in self._words_of(piece.part)]
        if len(now) == 1 and all(self._words_of(piece.part) & _ONCE for piece in pieces if piece not in now):
            return now  # "it was 190 brake, the printout says 243 now"
        mostly = [piece for piece in pieces if self._beside(piece, _MOSTLY)]
        if len(mostly) == 1 and isinstance(mostly[0].heard.value, str):
            return mostly
        usual = [piece for piece in pieces if not self._beside(piece, _SELDOM)]
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
            before = [number for number in self.numbers if number.end <= start]
            after = [number for number in self.numbers if number.start >= end]
            if before and after and after[0].start - end <= 14:
                self._number_corrected(before[-1], after[0])
            later = {piece.heard.fact for piece in self.pieces if piece.start >= end}
            self.pieces = [piece for piece in self.pieces if piece.start >= end or piece.heard.fact not in later]
            self.asks = [
                (number, ask)
                for number, ask in self.asks
                if not (set(ask.facts) & later and self.parts[number][0] < start)
            ]

    def _number_corrected(self, old, new):
        same = old.bare or new.bare or old.dimension == new.dimension or old.values == new.values
        if not same:
            return
        pieces = [piece for piece in self.pieces if piece.start == old.start and piece.end == old.end]
        asked = [ask for _, ask in self.asks if ask.said == self.said(old.start, old.end)]
        if new.bare and pieces:
            fact = self.facts[pieces[0].heard.fact]
            new.unit, new.spelling = old.unit, old.spelling
            number = self.part_of(new.start)
            readings = self._readings(fact, new, number)
            if len(readings) == 1:
                self.pieces = [piece for piece in self.pieces if piece.start != new.start]
                self.asks = [(part, ask) for part, ask in self.asks if ask.said != self.said(new.start, new.end)]
                self.pieces.append(Piece(readings[0], new.start, new.end, number, pieces[0].hurdle, new.start))
                self.taken.update(range(new.start, new.end))
            else:
                return
        self.pieces = [piece for piece in self.pieces if piece not in pieces]
        self.asks = [(part, ask) for part, ask in self.asks if ask not in asked]
        self.taken.update(range(old.start, old.end))

    def _refusal(self, unknown):
        """Nothing was taken: the two nearest readings, what was kept back first."""
        if unknown:
            return []
        kept_back = [piece.heard for piece in self.pieces if piece.hurdle]
        why = next((piece.hurdle for piece in self.pieces if piece.hurdle), "nothing in it is understood")
        near = list(
            {
                (text.fact, text.value, text.text): text
                for text in (*kept_back, *self._of_the_asked(), *self._nearest())
            }.values()
        )[:2]
        return [
            Asked(
                tuple(dict.fromkeys(text.fact for text in near)), self.text.strip()[:80], why, tuple(near), refusal=True
            )
        ]

    def _of_the_asked(self):
        """A number there is, as the number that was asked for."""
        fact = self.facts.get(self.about)
        if fact is None or fact.kind != "number":
            return []
        for number in self.numbers:
            if not number.kind and number.values:
                return self._readings(fact, number, self.part_of(number.start)) or (
                    list(self._possible(number, [fact.name])) if number.bare else []
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
        nearest, seen = [], set()
        for _, _, at in process.extract(
            self.text.casefold(), [text for _, _, text in options], scorer=fuzz.token_set_ratio, limit=40
        ):
            name, value, _ = options[at]
            if (name, value) not in seen:
                seen.add((name, value))
                nearest.append(replace(self._choice(name, value, 0, 1), said=""))
        return nearest[:2]
