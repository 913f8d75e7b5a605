"""What stands around a number in a sentence: what points to its fact, what stood before it, what it alone can be."""

from ..errors import QuantityError
from ..knowledge import spoken, units
from .frame_words import CARS, SAYS
from .pointing import Pointing
from .taken_apart import flat
from .word_lists import phrase_list, word_list

#: Words between a power and the speed it belongs to; the last of them is one of the first.
_AT = ("at", "from", "@", "by", "around", "about")
_BETWEEN = frozenset(
    (
        *_AT,
        *word_list(
            ", that is it comes in on of kicks peaks peaking which up and top opens starts hits the not under "
            "below from i mean rear front back wheel wheels tyres treads crank flywheel hubs rollers dyno "
            "engine chassis wet dry kit window switch brings bring progressive factory stock standard original ab "
            "werk so now currently today moment minute present these days"
        ),
    )
)


#: Between a power and its speed: "250 PS, standard, at 5800".
_AS_MADE = frozenset(("stock", "standard", "factory", "original"))
#: Between "a" and the litres of an engine, and behind them: "an honest little 1.6", "a 2.0 with a bigger turbo".
_ADJECTIVES = frozenset(
    word_list("little honest plain humble old small big simple standard ordinary lovely later early")
)
_ENDS_AN_ENGINE = frozenset(word_list(". , ; ! with and but so from petrol not rather"))
#: Directly before the litres of an engine: "supercharged 1.8".
_BREATHING = frozenset(word_list("supercharged turbocharged turbo petrol diesel aspirated"))
#: Directly behind litres with which a part begins: "1.8 na petrol".
_BREATHES = frozenset(word_list("na supercharged turbocharged turbo petrol diesel turbodiesel aspirated"))
#: Verbs after which a number without a unit is what the number before became: "it's been mapped to about 340".
_CHANGED = frozenset(
    word_list(
        "takes took brings puts mapped remapped tuned chipped turned wound cranked upped raised lifted taken brought "
        "up down dropped gone went"
    )
)

_THIS = frozenset(word_list("the my me our this"))
#: Gears, and what stands behind them.
_GEARS = frozenset(word_list("second third 2nd 3rd fourth final diff axle reverse"))


#: Beside these a number tells how it is today.
_AS_IT_IS = phrase_list(
    "now, at the moment, at the minute, at present, currently, today, right now, as it stands, as it sits, "
    "as she sits, presently, these days, mine, since the"
)


class NumberContext(Pointing):
    """Of one number: which facts the words around it allow."""

    def _litres(self, heard_number, number):
        """As in "four pot, one point six, turbo": a size of an engine that is a whole part beside what else it is."""
        start, end, _ = self.parts[number]
        fact = next((fact for fact in self.listener.numbers if fact.unit == "cm3"), None)
        beside = any((self.facts[piece.heard.fact].platform or "").startswith("engine.") for piece in self.pieces)
        said = [at for at in range(start, end) if self.tokens[at].word not in spoken.SLIGHT]
        alone = said and said[0] >= heard_number.start and said[-1] < heard_number.end
        if (
            fact is None
            or not (
                heard_number.bare and heard_number.decimal and ((beside and alone) or self._called_so(heard_number))
            )
            or not 0.6 <= heard_number.values[0] <= 9
        ):
            return []
        heard_number.unit, heard_number.spelling = units.find("l"), "l"
        readings = self._readings(fact, heard_number, number)
        if not readings:
            heard_number.unit, heard_number.spelling = None, ""
        return readings

    def _called_so(self, heard_number):
        """As in "now it's a 2.0 with a bigger turbo", "an honest little 1.6": an engine, called by its litres."""
        if (heard_number.values[0] * 10).denominator > 1 or any(
            self._is_a_ratio_of(name.fact) for name in self.pointers
        ):
            return False
        before = [token.word for token in self.tokens[max(0, heard_number.start - 4) : heard_number.start]]
        while before and before[-1] in _ADJECTIVES:
            before.pop()
        behind = self.tokens[heard_number.end].word if heard_number.end < len(self.tokens) else "."
        first = any(heard_number.start == start for start, _, _ in self.parts)
        if first and behind in _BREATHES:
            return True  # "1.8 na petrol, 140 bhp"
        called = before[-1:] in (["a"], ["an"], ["the"]) or bool(set(before[-1:]) & _BREATHING)
        return called and behind in _ENDS_AN_ENGINE

    def _is_a_ratio_of(self, name):
        fact = self.facts[name]
        return self._is_ratio(fact) or self._dimension(name) in ("pressure", "mass")

    def _unit_of_others(self, fact, heard_number, number):
        """Of a bare number: the unit that the others of its kind were said in, or the only one it can be in."""
        kind = self._dimension(fact.name)
        if kind == "volume" and heard_number.decimal and heard_number.bare and 0.6 <= heard_number.values[0] <= 9:
            return [self._heard(fact, heard_number, heard_number.values[0], "l", number)]  # "bored out to 2.1"
        if (
            not heard_number.bare
            or heard_number.kind
            or heard_number.first_alone
            or not heard_number.values
            or kind not in ("length", "mass", "torque")
        ):
            return []
        if kind == "torque" and fact.speech is not None and fact.speech.by_unit:
            return []
        following = self.tokens[heard_number.end].word if heard_number.end < len(self.tokens) else ""
        if self._of_free_play(heard_number):
            return []
        if following in self.listener.counted or (following == "in" and kind == "mass"):
            return []  # "tows it five days a week, three tonne"
        said = {other.unit for other in self.numbers if not other.kind and other.dimension == kind}
        several = [unit.name for unit in said if unit is not None] if len(said) == 1 else []
        if not several and kind == "length" and fact.unit != "m":
            several = ["mm", "in"]
        elif not several and kind == "length" and fact.high < 1:
            several = ["m", "mm", "in"]
        readings = []
        for unit in several:
            try:
                readings.append(self._heard(fact, heard_number, heard_number.values[0], unit, number))
            except QuantityError:
                continue
        return readings if len(readings) == 1 else []

    def _named_before(self, fact, number):
        """As in "first 3.64, second 2.1": the word directly before it, where other gears are told of as well."""
        units_said = self._speech(fact.name).units
        before = self.tokens[number.start - 1].word if number.start else ""
        others = _GEARS & {token.word for token in self.tokens}
        return fact.unit == "1" and bool(before) and units_said.get(before) == "1" and bool(others)

    def _named_behind(self, fact, number):
        """As in "3.2 first": a ratio, and directly behind it the word that is its unit in the vocabulary."""
        following = self.tokens[number.end].word if number.end < len(self.tokens) else ""
        return fact.unit == "1" and bool(following) and self._speech(fact.name).units.get(following) == "1"

    def _thousands(self, fact, number):
        """Engine speeds said in thousands, "change up at seven and a half": what is asked about, never taken."""
        if fact.unit != "rpm" or not number.bare or not number.values or not 1 < number.values[0] < 15:
            return []
        try:
            return [self._heard(fact, number, number.values[0] * 1000, "rpm", self.part_of(number.start))]
        except QuantityError:
            return []

    def _said_in_thousands(self, fact, heard_number):
        """As `_thousands`, of what nobody says of anything but thousands: "rev it to seven and a half"."""
        halves = heard_number.values and heard_number.values[0].denominator > 1 and heard_number.values[0] >= 2
        return self._thousands(fact, heard_number) if halves or self._changed_at(heard_number) else []

    def _changed_at(self, number):
        """As in "comes in from three and a half thousand, and I shift at seven": beside another speed of the engine."""
        before = [token.word for token in self.tokens[max(0, number.start - 4) : number.start] if token.word != "up"]
        behind = self.tokens[number.end].word if number.end < len(self.tokens) else "."
        return (
            before[-3:-2] in (["i"], ["we"])
            and before[-2] in ("shift", "change")
            and before[-1] == "at"
            and (behind in _ENDS_AN_ENGINE)
            and any(other.values and 2000 <= other.values[0] <= 12000 and not other.kind for other in self.numbers)
        )

    def _alone(self, heard_number, number):
        """Does little else stand in that part of the sentence?"""
        start, end, _ = self.parts[number]
        others = [
            at
            for at in range(start, end)
            if self.tokens[at].is_word
            and self.tokens[at].word not in spoken.SLIGHT
            and at not in self.taken
            and not heard_number.start <= at < heard_number.end
        ]
        others = [
            at
            for at in others
            if self.tokens[at].word
            not in (
                "i",
                "we",
                "reckon",
                "think",
                "guess",
                "about",
                "mate",
                "make",
                "makes",
                "got",
                "at",
                "now",
                "well",
                "yes",
                "yeah",
                "more",
                "in",
                "all",
                "day",
                "me",
                "with",
                "so",
            )
        ]
        return len(others) <= 2

    def _tells_more(self, heard_number, number):
        """The speed of a power said just before: "380 hp at 6500", "75 shot, comes in from three and a half"."""
        for fact in self.listener.numbers:
            qualified = fact.speech.qualifies if fact.speech is not None else ""
            before = [
                piece
                for piece in self.pieces
                if piece.end <= heard_number.start
                and number - 2 <= piece.part <= number
                and not (qualified and self.said(piece.start, piece.end).casefold() in _AS_MADE)
            ]
            if not qualified or not before or before[-1].heard.fact != qualified:
                continue
            between = [token.word for token in self.tokens[before[-1].end : heard_number.start]]
            own = {stem for text in self._speech(qualified).names for stem in spoken.phrase(text)}
            joined = (
                between
                and (between[-1] in _AT or heard_number.rough)
                and all(word in _BETWEEN | own for word in between)
            )
            if joined or (not heard_number.bare and before[-1].part == number and len(between) <= 3):
                return self._readings(fact, heard_number, number) or (
                    self._thousands(fact, heard_number) if joined else []
                )
        return []

    def _qualified(self, matches, start):
        if any(self._speech(heard.fact).qualifies for heard in matches):
            number = self.part_of(start)
            for said in self.numbers:
                if said.bare and not said.kind and self.part_of(said.start) == number:
                    self._as_now(said, number)  # "500 foot pounds one day, today it's 320 at the flywheel"
        return super()._qualified(matches, start)

    def _as_now(self, heard_number, number):
        """As in "it had 300 horse, now it's 380": a number without a unit beside "now" is what the other number was."""
        start, end, _ = self.parts[number]
        words = " ".join(token.word for token in self.tokens[start:end])
        before = [token.word for token in self.tokens[max(start, heard_number.start - 3) : heard_number.start]]
        changed_to = before[-1:] == ["to"] and bool(_CHANGED & set(before))
        if not changed_to and not any(
            f" {text} " in f" {words} "
            for text in _AS_IT_IS
            if not (text == "mine" and any(f" mine {verb} " in f" {words} " for verb in SAYS))  # a man of mine
        ):
            return []
        others = [other for other in self.numbers if other is not heard_number and not other.bare and not other.kind]
        told_by_unit = {
            self._dimension(fact.name) for fact in self.listener.numbers if fact.speech and fact.speech.by_unit
        }
        others = [other for other in others if other.dimension in told_by_unit]
        if len({other.unit for other in others}) != 1:
            return []
        fitting = [
            fact
            for fact in self.listener.numbers
            if fact.speech is not None and fact.speech.by_unit and self._dimension(fact.name) == others[0].dimension
        ]
        if not others[0].values or not others[0].values[0] / 4 < heard_number.values[0] < 4 * others[0].values[0]:
            return []  # "now it's a 2.0, 22 psi"
        heard_number.unit, heard_number.spelling = others[0].unit, others[0].spelling
        readings = flat([self._readings(fact, heard_number, number) for fact in fitting])
        if not readings:
            heard_number.unit, heard_number.spelling = None, ""
        return readings

    def _pointed_before(self, heard_number, number):
        """As in "an electric motor on the crank, ..., it adds 80 Nm": not the engine's, so what was named before."""
        by_unit = [fact for fact in self.listener.numbers if fact.speech is not None and fact.speech.by_unit]
        denied = [fact for fact in by_unit if self._dimension(fact.name) == heard_number.dimension]
        if not denied or not all(self._elsewhere(fact, number) for fact in denied):
            return []
        named = {pointer.fact for pointer in self.pointers if pointer.end <= heard_number.start}
        readings = [
            self._readings(fact, heard_number, number)
            for fact in self.listener.numbers
            if fact.name in named and fact not in by_unit and not self._elsewhere(fact, number)
        ]
        return flat(readings) if len([several for several in readings if several]) == 1 else []

    def _left_open(self, heard_number, number):
        """As in "slave's, hang on, torch, seven eighths": what was named and left open before a pause."""
        start, end, _ = self.parts[number]
        if {at for at in range(start, end) if self.tokens[at].is_word} - set(
            range(heard_number.start, heard_number.end)
        ):
            return []
        for before in range(number - 1, max(-1, number - 4), -1):
            first, last, _ = self.parts[before]
            if any(said.start < last and first < said.end for said in self.numbers):
                return []
            if self.parts[before][2] != ",":
                return []
            last -= self.tokens[last - 1].word == "is"
            named = {pointer.fact for pointer in self.pointers if first <= pointer.start and pointer.end == last}
            named &= {fact.name for fact in self.listener.numbers}
            if named:
                held = {piece.heard.fact for piece in self.pieces}
                readings = [self._readings(self.facts[name], heard_number, number) for name in named - held]
                return flat(readings) if len(named) == 1 and before < number - 1 else []
            if last - first > 2:
                return []
        return []

    def _ratio_of(self, heard_number, number):
        """As in "the pedal's about six to one": a ratio said to one, and beside it only what it is the ratio of."""
        start, end, _ = self.parts[number]
        rest = [at for at in range(start, end) if not heard_number.start <= at < heard_number.end]
        words = [self.tokens[at].word for at in rest if self.tokens[at].word not in spoken.SLIGHT | {"and", "is"}]
        before = [token.word for token in self.tokens[max(start, heard_number.start - 2) : heard_number.start]]
        if before[-1:] in (["is"], ["has"]):
            before.pop()
        if len(words) != 1:
            words = before[-1:]  # "slave 22.2 mm, pedal 5.5 to 1"
        if not heard_number.ratio or not words:
            return []
        facts = [fact for fact in self.listener.numbers if f"{words[0]} ratio" in self._speech(fact.name).names]
        return self._readings(facts[0], heard_number, number) if len(facts) == 1 and self._is_ratio(facts[0]) else []

    def _set_at(self, heard_number, number):
        """As in "on launch control at the line, set at five thousand": a speed of what was named just before."""
        start, end, _ = self.parts[number]
        words = [token.word for token in self.tokens[start : heard_number.start]]
        alone = words in (["set", "at"], ["set", "to"], ["it", "is", "set", "at"]) and heard_number.end == end
        if not (alone and number and heard_number.bare and heard_number.values and heard_number.values[0] >= 1000):
            return []
        first, last, _ = self.parts[number - 1]
        named = {pointer.fact for pointer in self.pointers if first <= pointer.start < last}
        named &= {fact.name for fact in self.listener.numbers if fact.unit == "rpm"}
        named -= {piece.heard.fact for piece in self.pieces}
        return self._readings(self.facts[named.pop()], heard_number, number) if len(named) == 1 else []

    def _earlier(self, heard_number, number):
        """What the part before pointed to: "the caravan, it's 1.4 tonnes"."""
        if number == 0:
            return []
        start, end = self.parts[max(0, number - 2)][0], self.parts[number - 1][1]
        first = self.parts[number][0]
        before = [token.word for token in self.tokens[first : heard_number.start] if token.word not in ("and", "but")]
        if heard_number.dimension == "mass" and before[1:2] != [] and before[1] in CARS and before[0] in _THIS:
            return []  # "we tow now and then, the car's a tonne and a half all up"
        held = {piece.heard.fact for piece in self.pieces}
        pointed_to = []
        for fact in self.listener.numbers:
            if (
                fact.name not in held
                and any(pointer.fact == fact.name and start <= pointer.start < end for pointer in self.pointers)
                and not self._elsewhere(fact, number)
                and not (fact.speech is not None and fact.speech.by_unit)
            ):
                pointed_to.append(self._readings(fact, heard_number, number))
        return flat(pointed_to)
