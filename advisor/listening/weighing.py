"""Everything heard in a sentence weighed: corrections followed, quarrels turned into questions, refusals explained."""

from dataclasses import replace

from ..knowledge import spoken, units
from . import frame_kinds as frame
from .choices_heard import TO_REPLACE
from .hearing import Asked, Heard
from .phrases import DENIALS
from .taken_apart import Piece
from .tempered import Tempered
from .word_lists import holds, phrase_list, word_list

_MOSTLY = phrase_list("mostly, mainly, usually, primarily, most of the time, first and foremost, above all, really")
_SELDOM = phrase_list(
    "odd, few, couple, bit of, some, maybe, occasional, occasionally, sometimes, now and then, now and again, "
    "once as, just once, only once, just the once, once or twice, once in a while, a year, rarely, few times, might"
)
#: What is so now and then, and no answer to what is mostly so: "it'll see the odd track day".
_ODD = phrase_list("odd, occasional, occasionally, now and then, now and again, once in a while, rarely, the odd")
_TAKES_BACK = frozenset(("scratch", "strike", "correction", "lie", "oops", "wrong"))
#: What is written of a car, beside what it is.
_CLAIMS = frozenset(
    word_list("brochure book logbook handbook manual papers advert ad seller badge sticker website paper document")
)
#: Beside the speed at which the engine is cut, which is not the one at which gears are changed.
_LIMITS = frozenset(word_list("limiter redline cut"))
#: By these a part tells of the car as it is, beside one that does not.
_NOW = phrase_list(
    "now, currently, at the moment, at present, presently, as it stands, as it sits, as we speak, right now, these "
    "days, nowadays, for the time being, for now, until then, till then, as of today, still, mine, ours, sadly, "
    "actually, in reality, in truth, in fact"
)


class Weighing(Tempered):
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
            if "never" in [token.word for token in self.tokens[self.parts[number][0] : match.start]]:
                continue  # "never been near a drag strip"
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

    def _one_of_two(self):
        """As in "my daily, but I run it at the drag strip on Fridays": one use made of two."""
        for match in self.unsettled:
            number = self.part_of(match.start)
            words = self._words_of(number)
            said = [token.word for token in self.tokens[slice(*self.parts[number][:2])]]
            if self.frames[number] - {frame.WISH, frame.CARRIED} or words & DENIALS:
                continue
            speech = self._speech(match.fact)
            if not words & set(speech.near) or words & {"did", "used", "was"}:
                continue
            regular = holds(said, "once a month") or holds(said, "some weekends")
            if (_SELDOM.stand_in(said) or "once" in said) and not regular:
                continue
            if self._hangs_on(self.facts[match.fact], match.start, match.end, number) - {frame.GOODS}:
                continue  # "ideally I'd do drag racing every week"
            for piece in self.pieces:
                both = speech.beside.get(piece.heard.value)
                if both is not None and piece.heard.fact == match.fact and not piece.hurdle:
                    piece.heard = replace(self._choice(match.fact, both, piece.start, piece.end))
                    self.taken.update(range(match.start, match.end))

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
        self._one_of_two()
        self._governed()
        self._one_of_those()
        self._gone_since()
        self._was_once()
        self._temper()
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
            if len(values) == 2 and self._said_in_two_units(*values):
                values = [min(values, key=lambda piece: piece.start)]
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
        facts += self._said_alone(facts, asks)
        facts = self._against_implied(facts, asks)
        facts += self._implied(facts, asks)
        facts_told = {fact_name.fact for fact_name in facts} | {self.about}
        facts = [
            fact_name
            for fact_name in facts
            if not self._hangs(fact_name.fact)
            or self._tells_by_itself(fact_name.fact)
            or {fact_name.fact, self._speech(fact_name.fact).qualifies} & (facts_told - {fact_name.fact} | {self.about})
        ]
        settled = {fact_name.fact for fact_name in facts}
        values_told = {fact_name.fact: fact_name.value for fact_name in facts}
        for number, ask in self.asks:
            if (
                not set(ask.facts) & settled
                and not self._said_by_others(ask, values_told)
                and not any(set(other.facts) & set(ask.facts) for other in asks)
                and not self._spoilt(ask, number)
            ):
                asks.append(ask)
        order = list(self.facts)
        return sorted(facts, key=lambda fact_name: order.index(fact_name.fact)), asks

    def _said_by_others(self, ask, values):
        """Would all choices asked about say what is said not to be: which cams, of "no cams, bone stock"?"""
        return all(
            heard.fact in self.facts
            and any(values.get(name, value) != value for name, value in self._implied_by(heard.fact, heard.value))
            for heard in ask.readings
        ) and bool(ask.readings)

    def _implied_by(self, name, value):
        return self._speech(name).implies.get(value, ())

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

    def _said_alone(self, facts, asks):
        """What words that were taken for one fact say of another, of which nothing else was heard: "remapped"."""
        heard_of = {name for ask in asks for name in ask.facts} | {name for _, ask in self.asks for name in ask.facts}
        heard_of |= {piece.heard.fact for piece in self.pieces}
        stems = {token.stem for token in self.tokens}
        alone = []
        for name in self.facts:
            speech = self._speech(name)
            if not speech.only or name in heard_of or any(set(spoken.phrase(text)) <= stems for text in speech.unless):
                continue
            for said in facts:
                words = spoken.phrase(said.said)
                alone += [
                    Heard(name, value, said=said.said, text=str(value))
                    for value, texts in speech.only.items()
                    if not isinstance(said.value, bool) and words in {spoken.phrase(text) for text in texts}
                ][:1]
        return alone[:1]

    def _tells_by_itself(self, name):
        """Is what a number tells more about named beside it: "peak power's at 7200", "the nitrous comes in at 3500"?"""
        near = self._speech(name).near if self.facts[name].kind == "number" else ()
        return bool({token.word for token in self.tokens} & set(near))

    def _hangs(self, name):
        """Does it only tell more about a number, and is it so nothing without that number?"""
        fact = self.facts[name]
        return fact.speech is not None and bool(fact.speech.qualifies) and name != "nitrous_speed_rpm"

    def _spoilt(self, heard, number):
        kinds = self.frames[number] if number < len(self.frames) else set()
        wished = all(self._speech(name).ahead for name in heard.facts)
        first = self.text.find(heard.said)
        places = [at for at, token in enumerate(self.tokens) if first <= token.start < first + len(heard.said)]
        if first >= 0 and places and not self.supposed and heard.facts[0] in self.facts:
            kinds = kinds | self._hangs_on(self.facts[heard.facts[0]], places[0], places[-1] + 1, number)
        return bool(kinds - ({frame.AHEAD, frame.WISH, frame.CARRIED} if wished else set()))

    @staticmethod
    def _said_in_two_units(first, second):
        """Is it the same in another unit: "200 kilowatts, that's 270-odd horse"?"""
        values = (first.heard.value, second.heard.value)
        if not all(isinstance(value, float) for value in values) or not max(values):
            return False
        units_said = {piece.heard.text.partition(" ")[2] for piece in (first, second)}
        return len(units_said) == 2 and abs(values[0] - values[1]) <= 0.03 * max(values)

    def _up_from(self, piece):
        """Does "up from" or "down from" stand before it, so that it was so once?"""
        before = [token.word for token in self.tokens[max(0, piece.start - 2) : piece.start + 1]]
        return any(before[at : at + 2] in (["up", "from"], ["down", "from"]) for at in range(len(before)))

    def _preferred(self, pieces):
        """Where two choices of a fact were heard: what it mostly is goes before what it is now and then."""
        in_order = sorted(pieces, key=lambda piece: piece.start)
        if [self.tokens[max(0, piece.start - 1)].word for piece in in_order] == ["from", "to"]:
            return in_order[1:]  # "converted from four wheel drive to rear drive"
        now_so = [piece for piece in pieces if not self._up_from(piece)]
        if len(now_so) == 1:
            return now_so  # "seventeen psi, up from fourteen"
        affirmed = [piece for piece in pieces if self.tokens[piece.start].word not in DENIALS]
        if len(affirmed) == 1 and not isinstance(affirmed[0].heard.value, float):
            return affirmed  # "not turbo, supercharged"
        now = [piece for piece in pieces if self._told_of_now(piece)]
        if len(now) == 1 and not any("now" in self._words_of(piece.part) for piece in pieces if piece not in now):
            return now  # "it was 190 brake, the printout says 243 now"
        own = [piece for piece in pieces if not _CLAIMS & self._words_of(piece.part)]
        if len(own) == 1 and any(token.word == "but" for token in self.tokens):
            return own  # "the logbook says petrol but somebody dropped a diesel in it"
        since = [piece for piece in pieces if frame.AS_NEW not in self.frames[piece.part]]
        if len(since) == 1:
            return since  # "came with a dual mass, I've had a solid one fitted"
        plain = [piece for piece in pieces if not self.frames[piece.part] & {frame.WISH, frame.AHEAD}]
        if len(plain) == 1 and self._speech(plain[0].heard.fact).lasting:
            return plain  # "want to go to a solid flywheel, it's dual mass at the moment"
        behaves = [
            piece for piece in pieces if not {token.word for token in self.tokens[piece.start : piece.end]} & TO_REPLACE
        ]
        if self._speech(pieces[0].heard.fact).habit and len(behaves) == 1:
            return behaves  # "a slipping clutch that needs to be replaced"
        if self.facts[pieces[0].heard.fact].unit == "rpm":
            driven = [piece for piece in pieces if not self._words_of(piece.part) & _LIMITS]
            if len(driven) == 1:
                return driven  # "the rev limiter's at 8,000 but I change at seven-two"
        of_the_whole = [
            piece for piece in pieces if self._words_of(piece.part) & set(self._speech(piece.heard.fact).whole)
        ]
        if len(of_the_whole) == 1:
            return of_the_whole  # "a two tonne digger, all in about two point seven"
        at_it = [piece for piece in pieces if self.tokens[piece.start].word in ("at", "to")]
        if len(at_it) == 1 and self._speech(at_it[0].heard.fact).qualifies:
            return at_it  # "the rolling road said 212 brake, that's at the fly"
        mostly = [piece for piece in pieces if self._beside(piece, _MOSTLY)]
        if len(mostly) == 1 and isinstance(mostly[0].heard.value, str):
            return mostly
        usual = [piece for piece in pieces if not self._beside(piece, _SELDOM)]
        return usual if len(usual) == 1 and isinstance(usual[0].heard.value, str) else pieces

    def _told_of_now(self, piece):
        start, end, _ = self.parts[piece.part]
        said = [token.word for token in self.tokens[start:end]]
        return _NOW.stand_in(said)

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
        return any(several.stand_in(words) for words in (before, behind))

    def _follow_corrections(self):
        """What was taken back goes; a bare number after a correction has the unit of the one it corrects."""
        for start, end in self.fixes:
            before = [number for number in self.numbers if number.end <= start]
            after = [number for number in self.numbers if number.start >= start and number.end > end]
            if before and after and self._other_fact(before[-1], after[0], start, end):
                continue
            if before and after and self._counts_another(before[-1], after[0]):
                continue
            if before and after and after[0].start - end <= 14:
                self._number_corrected(before[-1], after[0])
            self._taken_back_alone(start, end)
            later = {piece.heard.fact for piece in self.pieces if piece.start >= end}
            self.pieces = [piece for piece in self.pieces if piece.start >= end or piece.heard.fact not in later]
            self.asks = [
                (number, ask)
                for number, ask in self.asks
                if not (set(ask.facts) & later and self.parts[number][0] < start)
            ]

    def _taken_back_alone(self, start, end):
        """What was said just before "scratch that" goes even where nothing that is understood follows."""
        words = [token.word for token in self.tokens[start:end]]
        first, _, _ = self.parts[max(0, self.part_of(start) - 1)]
        before = [piece for piece in self.pieces if first <= piece.start < start]
        follows = any(piece.start >= end for piece in self.pieces)
        follows = follows or any(self.parts[number][0] >= end for number, _ in self.asks)
        denied = {"no", "not"} & set(words) and len(words) > 1
        if (denied or set(words) & _TAKES_BACK) and before and not follows:
            last = max(before, key=lambda piece: piece.start)
            self.pieces = [piece for piece in self.pieces if piece.heard.fact != last.heard.fact]
            if not last.hurdle:
                self._ask_again(last.heard.fact, last.start, last.end, last.part)

    def _counts_another(self, old, new):
        """As in "eight launches a day, sorry, call it twenty days a year": what is counted last is another thing."""
        counted = [
            {piece.heard.fact for piece in self.pieces if piece.start == said.start and not piece.hurdle}
            for said in (old, new)
        ]
        return (
            all(counted)
            and not counted[0] & counted[1]
            and {self.facts[name].unit for names in counted for name in names} == {"1"}
        )

    def _number_corrected(self, old, new):
        same = old.bare or new.bare or old.dimension == new.dimension or old.values == new.values
        if not same:
            swapped = {old.dimension, new.dimension} == {"torque", "power"} and new.start - old.end <= 5
            if swapped and any(piece.start == new.start for piece in self.pieces):
                self.pieces = [piece for piece in self.pieces if piece.start != old.start or piece.end != old.end]
                self.taken.update(range(old.start, old.end))  # "400 Nm, no sorry, three hundred horse"
            return
        pieces = [piece for piece in self.pieces if piece.start == old.start and piece.end == old.end]
        asked = [ask for _, ask in self.asks if ask.said == self.said(old.start, old.end)]
        if not new.bare and pieces and not any(piece.start == new.start for piece in self.pieces):
            number = self.part_of(new.start)
            fact = self.facts[pieces[0].heard.fact]
            readings = self._readings(fact, new, number)
            if len(readings) == 1:
                self.pieces.append(Piece(readings[0], new.start, new.end, number, pieces[0].hurdle, new.start))
                self.taken.update(range(new.start, new.end))
            else:
                self._ask_again(fact.name, new.start, new.end, number)
        elif new.bare and pieces:
            fact = self.facts[pieces[0].heard.fact]
            number = self.part_of(new.start)
            unit = pieces[0].heard.text.partition(" ")[2]
            if old.unit or unit:
                new.unit, new.spelling = (old.unit, old.spelling) if old.unit else (units.find(unit), unit)
            readings = self._readings(fact, new, number)
            if len(readings) == 1:
                self.pieces = [piece for piece in self.pieces if piece.start != new.start]
                self.asks = [(part, ask) for part, ask in self.asks if ask.said != self.said(new.start, new.end)]
                self.pieces.append(Piece(readings[0], new.start, new.end, number, pieces[0].hurdle, new.start))
                self.taken.update(range(new.start, new.end))
            else:
                self._ask_again(fact.name, new.start, new.end, number)
        around = [
            piece
            for piece in self.pieces
            if piece.start < old.start and old.end <= piece.end <= new.start and new.bare and old.bare
        ]  # "out maybe fifteen weekends, no, sorry, call it twenty days a year"
        self.pieces = [piece for piece in self.pieces if piece not in pieces and piece not in around]
        self.asks = [(part, ask) for part, ask in self.asks if ask not in asked]
        self.taken.update(range(old.start, old.end))

    def _ask_again(self, name, start, end, number):
        """What was corrected goes, and what it was corrected to is not clear: it is asked."""
        why = "what was said first is taken back, and what it is instead is not clear"
        self.asks.append((number, Asked((name,), self.said(start, end), why)))
