"""A sentence taken apart: its tokens, its parts, and the values its words and numbers can stand for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from ..errors import QuantityError
from ..knowledge import given_answers, quantities, spoken, units, vague
from ..knowledge.model import Fact, Record, Speech
from ..knowledge.spoken import Token
from .corrections import corrections
from .echoes import echoes
from .hearing import Asked, Heard
from .number_said import ROUGH, NumberSaid
from .phrases import Match, Phrases
from .sayings import Sayings
from .word_lists import phrase_list

#: A unit that tells where it was measured: spelling -> unit and words that say so.
_TELLING = {
    "whp": ("hp", "at the wheels"),
    "rwhp": ("hp", "at the wheels"),
    "awhp": ("hp", "at the wheels"),
    "wkw": ("kw", "at the wheels"),
    "rwkw": ("kw", "at the wheels"),
    "kwaw": ("kw", "at the wheels"),
    "atw": ("", "at the wheels"),
    "wnm": ("nm", "at the wheels"),
    "wtq": ("", "torque at the wheels"),
    "fwhp": ("hp", "at the flywheel"),
    "crankhp": ("hp", "at the crank"),
}
_READ_FROM = (
    (
        "measured",
        phrase_list("measured, weighed, dyno sheet, print out, printout, on the scales, weighbridge"),
    ),
    (
        "looked_up",
        phrase_list(
            "handbook, manual, logbook, log book, on the plate, according to the book, data sheet, "
            "registration document"
        ),
    ),
)


@dataclass(slots=True)
class Piece:
    """One thing heard, before it is weighed: ``part`` is the part of the sentence; ``hurdle`` why it is not taken."""

    heard: Heard
    start: int
    end: int
    part: int
    hurdle: str = ""
    order: int = 0


#: Units beside which a number without one is none of the metric system.
_IMPERIAL = frozenset(("lb-ft", "lb", "in", "mph", "psi", "ft"))
#: What a millimetre is called in a workshop.
MILS = ("mil", "mill", "mils")
#: How people speak of a fact that the vocabulary says nothing about.
_SILENT = Speech()


def _declared(fact: Fact) -> units.Unit:
    """The unit a fact is declared in."""
    unit = units.find(fact.unit or "1")
    assert unit is not None, "the vocabulary was read with its units"
    return unit


def is_length(fact: Fact) -> bool:
    """Is it a length of a part of the car, no height of a place?"""
    return _declared(fact).dimension == "length" and (fact.high or 0) <= (2000 if fact.unit == "mm" else 2)


def spoken_as_unit(fact: Fact, word: str) -> bool:
    """Is the word one that stands for the fact's unit when it is spoken of?"""
    return fact.speech is not None and word in fact.speech.units


class Vocabulary(Protocol):
    """What sentences are read by: the asked facts, their phrases, the cars on file.

    ``numbers``: those of the facts that are numbers; ``counted``: words for what has no unit of its own.
    """

    facts: dict[str, Fact]
    phrases: Phrases
    platforms: Sequence[Record]
    numbers: list[Fact]
    sayings: Sayings
    counted: frozenset[str]


class Sentence:
    """One sentence: what every step of reading it shares.

    ``listener`` holds the vocabulary, ``about`` is the fact asked.
    """

    numbers: list[NumberSaid]
    parts: list[tuple[int, int, str]]  # (start, end, the sign that ends it) of every part
    frames: list[set[str]]
    values: list[Match]

    def __init__(self, listener: Vocabulary, text: str, about: str, car: str) -> None:
        self.listener, self.text, self.about, self.car = listener, text, about, car
        self.facts = listener.facts
        self.tokens, self.echoes = echoes(_told_units(_denied_once(spoken.tokens(text))))
        self.fixes, self.fix_places = corrections(self.tokens)
        self.sayings = listener.sayings.places(self.tokens)
        self.taken = set(self.fix_places)  # places of tokens that belong to something recognised
        self.pieces: list[Piece] = []
        self.asks: list[tuple[int, Asked]] = []
        self.pointers: list[Match] = []
        self.unsettled: list[Match] = []
        self._car_names()

    def part_of(self, place: int) -> int:
        """The number of the part of the sentence that a token stands in."""
        for number, (start, end, _) in enumerate(self.parts):
            if start <= place < end:
                return number
        return max(0, sum(1 for start, _, _ in self.parts if start <= place) - 1)

    def said(self, start: int, end: int) -> str:
        """The words of tokens as they were typed."""
        return self.text[self.tokens[start].start : self.tokens[end - 1].end]

    def _words_of(self, part):
        """The words of a part of the sentence."""
        start, end, _ = self.parts[part]
        return {token.word for token in self.tokens[start:end]}

    def _speech(self, name: str) -> Speech:
        """How people speak of a fact."""
        return self.facts[name].speech or _SILENT

    def _car_names(self):
        """The words of a car on file carry no fact; the name of another than the one spoken of is noted."""
        self.other_cars: set[int] = set()
        self.car_places: set[int] = set()
        for record in self.listener.platforms:
            words = spoken.tokens(str(record.fields.get("title", record.id)))
            first = words[0].word if words else ""
            for at, token in enumerate(self.tokens):
                if first and token.word == first and token.is_word:
                    length = 0
                    while (
                        length < len(words)
                        and at + length < len(self.tokens)
                        and self.tokens[at + length].word == words[length].word
                    ):
                        length += 1
                    self.car_places.update(range(at, at + length))
                    self.taken.update(range(at, at + length))
                    if self.car and record.id != self.car:
                        self.other_cars.add(at)

    def _dimension(self, name):
        return _declared(self.facts[name]).dimension if name in self.facts else ""

    def _readings(self, fact, heard_number, number):
        """Heard for each value the number can have as this fact: none where the unit or the sane range forbids it."""
        spelled = fact.speech.units if fact.speech is not None else {}
        unit = self._unit_of(fact, heard_number, spelled)
        if unit is None:
            return []
        if heard_number.pair and not self._by_pair(fact, heard_number):
            return []
        if heard_number.ratio and not self._is_ratio(fact):
            return []
        following = self.tokens[heard_number.end].word if heard_number.end < len(self.tokens) else ""
        lone = heard_number.first_alone and heard_number.bare and not heard_number.ratio and following not in MILS
        if lone and not spoken_as_unit(fact, following) and (self._is_ratio(fact) or is_length(fact)):
            return []  # "a hydraulic one with a fork" tells no ratio of the fork
        if self._of_free_play(heard_number):
            return []
        whole = heard_number.bare and bool(heard_number.values) and heard_number.values[0] in range(1, 10)
        if whole and self._is_ratio(fact) and following in self.listener.counted:
            return []  # "two nuts at the fork"; "four-ten gears" is a ratio
        readings = []
        values = heard_number.values
        if heard_number.pair and fact.unit == "rpm":
            values = (values[0] * 1000,)
        elif heard_number.joined and self._is_ratio(fact) and heard_number.bare and values[0] >= 100:
            values = (values[0] / 100,)  # "first is two sixty-six"
        if len(values) > 1 and fact.unit == "1" and fact.resolution == 1:
            values = tuple(value for value in values if value.denominator == 1)  # "4,800" counts no 4.8 launches
        for value in values:
            try:
                readings.append(self._heard(fact, heard_number, value, unit, number))
            except QuantityError:
                continue
        if len(readings) > 1 and fact.resolution and not heard_number.low:  # "1,350 kg" of a trailer is no 1.35 kg
            readings = [heard for heard in readings if heard.value >= fact.resolution] or readings
        if fact.resolution and not heard_number.low:  # nobody tells the height of a hill to a third of a metre
            readings = [heard for heard in readings if not 0 < heard.value < fact.resolution / 3]
        return readings

    def _of_free_play(self, number):
        """As in "ten mil of free travel at the pedal", which is no travel of it."""
        behind = [token.word for token in self.tokens[number.end : number.end + 4] if token.word not in MILS]
        behind = behind[1:] if behind[:1] == ["of"] else behind
        return behind[:1] == ["free"] and behind[1:2] in (["play"], ["travel"], ["movement"])

    @staticmethod
    def _by_pair(fact, number):
        """Is the fact one whose values are said as two digits: a speed in thousands, a ratio, litres or bar?"""
        if number.unit is not None:
            return number.unit.name in ("l", "bar", "t")
        return fact.unit == "rpm" or Sentence._is_ratio(fact)

    @staticmethod
    def _is_ratio(fact):
        return fact.unit == "1" and not fact.choices and fact.shown_as != "money" and (fact.resolution or 0) < 1

    def _unit_of(self, fact, number, spelled):
        """The unit's name that the number has as this fact, or None where it cannot be one."""
        if fact.shown_as == "money" and "boost" in [token.word for token in self.tokens[number.end : number.end + 2]]:
            return None  # "up to 25 pounds of boost"
        if number.spelling:
            if number.spelling in spelled:
                return spelled[number.spelling]
            return number.unit.name if number.unit.dimension == _declared(fact).dimension else None
        following = self.tokens[number.end].word if number.end < len(self.tokens) else ""
        if following == "-" and number.end + 1 < len(self.tokens):
            following = self.tokens[number.end + 1].word  # "a two-ton trailer"
        if following in MILS and not is_length(fact):
            return None  # a travel of 140 mil is no 140 miles an hour
        if following in spelled:
            return spelled[following]
        dimension = _declared(fact).dimension
        if following in MILS and is_length(fact):
            return "mm"  # of a part of a car nobody means thousandths of an inch that the sane range would allow
        if number.fraction and dimension == "length":
            return "in"
        if dimension == "rotational speed" or fact.unit == "1":
            return fact.unit
        plain = self._speech(fact.name).plain
        if plain and number.values and plain[1] <= number.values[0] <= plain[2] and not self._foreign(fact, plain[0]):
            return plain[0]
        return spelled.get("")

    def _foreign(self, fact, unit):
        """Is something of another system of units said, pounds of torque or inches where kilograms would be meant?"""
        others = {said.unit.name for said in self.numbers if said.unit is not None and not said.kind}
        return bool(others & _IMPERIAL) and unit not in _IMPERIAL

    def _heard(self, fact, heard_number, value, unit, number):
        text = number_text(value, unit)
        answer = given_answers.read_answer(fact, text)
        assert answer is not None, "a number is an answer"
        low = high = None
        low_text = high_text = ""
        if heard_number.rough and not (
            heard_number.rough == "most" and fact.shown_as == "money"
        ):  # a budget is a most by itself
            ends = {
                "range": (heard_number.low, heard_number.high),
                "about": (value * (1 - ROUGH), value * (1 + ROUGH)),
                "over": (value, value * (1 + ROUGH)),
                "under": (value * (1 - ROUGH), value),
                "least": (value, None),
                "most": (None, value),
            }[heard_number.rough]
            low_text, high_text = ("" if end is None else number_text(end, unit) for end in ends)
            low = self._end(fact, low_text, heard_number, False) if low_text else None
            high = self._end(fact, high_text, heard_number, True) if high_text else None
        return Heard(
            fact.name,
            answer.value,
            low,
            high,
            fact.unit,
            self._origin(number),
            self.said(heard_number.start, heard_number.end),
            text,
            low_text,
            high_text,
            heard_number.rough == "range",
        )

    def _end(self, fact, text, number, up):
        """An end of the band in the fact's unit: outwards to its resolution where only "about" was said."""
        value = quantities.read(text, _Open(fact.name, fact.unit or "1"))
        if number.rough in ("about", "over", "under"):
            value = vague.outwards(value, fact.resolution, up=up)
        value = max(value, fact.low) if fact.low is not None else value
        value = min(value, fact.high) if fact.high is not None else value
        return float(f"{value:.9g}")

    def _origin(self, number):
        start, end, _ = self.parts[number]
        words = [token.word for token in self.tokens[start:end]]
        for origin, several in _READ_FROM:
            for text in several:
                split = text.split()
                for at in range(len(words)):
                    if words[at : at + len(split)] == split and not {"not", "never", "no"} & set(
                        words[max(0, at - 3) : at]
                    ):
                        return origin
        return "stated"

    def _could_be(self, fact, number):
        """Could the number be this fact, had it a unit?"""
        if fact.unit == "1" and not fact.choices:
            return False
        return any(self._range_allows(fact, value) for value in number.values)

    @staticmethod
    def _range_allows(fact, value):
        unit = _declared(fact)
        for other in units.of_dimension(unit.dimension)[:8]:
            amount = float(value) * float(units.UNITS[other].factor / unit.factor)
            if fact.low is not None and fact.low <= amount <= fact.high and (amount > 0 or fact.low == 0):
                return True
        return False

    def _possible(self, number, names):
        """Two readings of a number without its unit."""
        possible: list[Heard] = []
        share = max(1, 2 // max(1, len(names)))
        for name in names:
            fact = self.facts[name]
            usual = [
                fact.unit,
                *{
                    "N m": ("lb-ft",),
                    "kW": ("hp",),
                    "bar": ("psi",),
                    "kg": ("lb", "t"),
                    "mm": ("in",),
                    "cm3": ("l",),
                }.get(fact.unit, ()),
            ]
            if fact.unit == "kW":
                usual = usual[::-1]
            readings = []
            for unit in usual:
                try:
                    readings.append(self._heard(fact, number, number.values[0], unit, 0))
                except QuantityError:
                    continue
            possible += readings[: max(share, 2 - len(possible) if name == names[-1] else share)]
        return tuple(possible[:2])


@dataclass(frozen=True, slots=True)
class _Open:
    """A name and a unit to read the end of a band for, whatever the sane range."""

    name: str
    unit: str


def flat(several: Iterable[Iterable[Heard]]) -> list[Heard]:
    """All of several lists, one after the other."""
    return [phrase for some in several for phrase in some]


def number_text(value: Fraction, unit: str) -> str:
    """A fraction as a decimal with its unit, exactly where it ends."""
    value = Fraction(value)
    number = f"{float(value):.12g}"
    return number if unit in ("", "1") else f"{number} {unit}"


_MEASURED = ("horsepower", "hp", "horse", "horses", "kw", "kilowatts", "bhp", "torque", "ps", "nm")


def _denied_once(tokens: Sequence[Token]):
    """Without the first of two denials that stand together and mean one: "ain't no hybrid"."""
    behind = [token.word for token in tokens[1:]]
    return [token for token, after in zip(tokens, [*behind, ""]) if (token.word, after) != ("not", "no")]


def _told_units(tokens: Sequence[Token]):
    """whp and its like: the unit, and in words where it was measured."""
    tokens_out = []
    places = {
        "wheel": "at the wheels",
        "wheels": "at the wheels",
        "crank": "at the crank",
        "flywheel": "at the flywheel",
        "fly": "at the fly",
        "hub": "at the hubs",
    }
    for at, token in enumerate(tokens):
        behind = [word.word for word in tokens[at + 1 : at + 3]]
        if token.word in ("rear", "all") and len(behind) == 2 and behind[0] in places and behind[1] in _MEASURED:
            continue  # "320 rear wheel kilowatts"
        if token.word in places and at + 1 < len(tokens) and tokens[at + 1].word in _MEASURED:
            continue  # "600 wheel horsepower" is 600 horsepower at the wheels
        if at and tokens[at - 1].word in places and token.word in _MEASURED:
            tokens_out.append(token)
            words = places[tokens[at - 1].word]
            tokens_out += [spoken.Token(word, spoken.stem(word), token.start, token.end) for word in words.split()]
            continue
        if token.word in _TELLING:
            unit, words = _TELLING[token.word]
            tokens_out += [
                spoken.Token(word, spoken.stem(word), token.start, token.end) for word in f"{unit} {words}".split()
            ]
        else:
            tokens_out.append(token)
    return tokens_out
