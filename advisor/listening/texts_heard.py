"""Facts that are a text of numbers, written one way however they were said: a shaft's spline, a cover's bolts."""

import re
from fractions import Fraction

from ..knowledge import quantities, units
from .amounts import Amounts
from .hearing import Heard
from .taken_apart import MILS, Piece, number_text
from .word_lists import word_list

_TEETH = frozenset(word_list("spline splines splined tooth teeth"))
_SHAFT = frozenset(word_list("shaft input across diameter spline splines"))
_CIRCLE = frozenset(word_list("circle pcd pattern centres centers"))
_BOLTS = frozenset(word_list("bolt bolts stud studs hole holes screws"))
#: Bolts of something else.
_ROUND = frozenset(word_list("wheel wheels rims alloys hub hubs spacers brake"))
_BY = r"\s*(?:[x\u00d7*]|\bby\b)\s*"
_THICK_BY_TEETH = rf"(?P<thick>\d+(?:[- ]\d+/\d+|/\d+|\.\d+)?(?:\s*(?:mm|in|\"))?){_BY}(?P<teeth>[1-4]\d)\b"
_TEETH_BY_THICK = r"(?P<teeth>\d{2})\s*[xX\u00d7*]\s*(?P<thick>\d+[- ]\d+/\d+(?:\s*(?:in|\"))?)"
#: As a fitter types it: "spline 1-1/8 x 26", "1-1/8 x 26 spline".
_TYPED_SPLINES = tuple(
    re.compile(written, re.IGNORECASE)
    for written in (
        rf"\bsplines?[\s:=]+(?:is\s+)?{_THICK_BY_TEETH}(?:\s*(?:t|teeth|splines?)\b)?",
        rf"\bsplines?(?:'s)?[\s:=]+(?:is\s+)?{_TEETH_BY_THICK}",
        rf"\b{_THICK_BY_TEETH}\s*(?:splines?|splined|teeth|tooth)\b",
    )
)


def _as_thick_as_a_shaft(number):
    """Can it be the thickness of a shaft, and not the circle of the bolts that is spoken of beside it?"""
    in_mm = number.values[0] * (number.unit.factor * 1000 if number.unit else Fraction(254, 10)) if number.values else 0
    return 10 <= in_mm <= 80


class TextsHeard(Amounts):
    """A sentence in which texts of numbers are heard; their numbers belong to nothing else."""

    def _texts(self):
        for name, read in (("spline", self._spline), ("bolt_pattern", self._bolts)):
            fact = self.facts.get(name)
            if fact is None or fact.kind != "text":
                continue
            text, numbers = read()
            if not text:
                continue
            for number in numbers:
                number.kind = "part of a text"
                self.taken.update(range(number.start, number.end))
            first, last = min(number.start for number in numbers), max(number.end for number in numbers)
            part = self.part_of(numbers[0].start)
            heard = Heard(name, text, said=self.said(first, last), text=text)
            self.pieces.append(Piece(heard, first, last, part, self._hurdle(fact, part), first))
            for at in (at for start, end, _ in self.parts if start <= first < end for at in range(start, end)):
                if self.tokens[at].word in _TEETH | _CIRCLE | _BOLTS:
                    self.taken.add(at)

    def _word_behind(self, number, skip=0):
        at = number.end
        while at < len(self.tokens) and self.tokens[at].word == "-":
            at += 1
        at += skip
        return self.tokens[at].word if at < len(self.tokens) else ""

    def _spline(self):
        """(text, numbers): how many teeth, and how thick where that was said beside it."""
        teeth = next(
            (
                number
                for number in self.numbers
                if number.values and number.kind in ("", "count of something else", "code") and number.bare
                and self._word_behind(number) in _TEETH and number.values[0].denominator == 1
                and 5 < number.values[0] < 60
            ),
            None,
        )  # fmt: skip
        typed = self._typed_spline()
        if teeth is None or typed[0]:
            return typed
        part = self.part_of(teeth.start)
        if any(
            other is not teeth and other.bare and other.values and 5 < other.values[0] < 60
            and self._word_behind(other) not in _BOLTS | {"m"} and other.kind != "denied"
            and abs(self.part_of(other.start) - part) < 2
            for other in self.numbers
        ):  # fmt: skip
            return "", []  # two of them: which is the car's?
        for number in self.numbers:
            place = self.part_of(number.start)
            alone = number.end - number.start >= self.parts[place][1] - self.parts[place][0]
            near = place == part or (abs(place - part) == 1 and (alone or self._words_of(place) & _SHAFT))
            part_of_inch = number.fraction or (bool(number.values) and number.values[0].denominator in (8, 16, 32))
            long = (number.dimension == "length" or (part_of_inch and number.bare)) and _as_thick_as_a_shaft(number)
            if near and number is not teeth and number.values and long:
                unit = number.unit.name if number.unit else "in"
                thick = f"{quantities.show(float(number.values[0]), '1', digits=6)} {unit}"
                return f"{thick}, {int(teeth.values[0])} splines", [number, teeth]
        return f"{int(teeth.values[0])} splines", [teeth]

    def _typed_spline(self):
        match = next((match for typed in _TYPED_SPLINES if (match := typed.search(self.text))), None)
        if match is None:
            return "", []
        numbers = [
            number
            for number in self.numbers
            if match.start() <= self.tokens[number.start].start and self.tokens[number.end - 1].end <= match.end()
        ]
        return (f"{match['thick']} x {match['teeth']}", numbers) if numbers else ("", [])

    def _bolts(self):
        """(text, numbers): how many bolts, how thick, on what circle; none where no circle was said."""
        circle = None
        for number in self.numbers:
            here = self.part_of(number.start)
            words = self._words_of(here)
            if words & _CIRCLE:  # "nine bolts, 8 mil, PCD 260"
                words = words.union(*(self._words_of(part) for part in range(max(0, here - 2), here)))
            if words & _ROUND:
                continue
            if number.bare and number.values and words & _CIRCLE and words & _BOLTS and not number.kind:
                before = self.tokens[number.start - 1].word if number.start else ""
                if (before in _CIRCLE or self._word_behind(number) in MILS) and 100 <= number.values[0] <= 500:
                    circle, number.unit = number, units.find("mm")
                    break
            if number.dimension == "length" and number.values and words & _CIRCLE and words & (_BOLTS | {"m", "pcd"}):
                circle = number
                break
            on_pcd = self._word_behind(number) == "pcd" and number.bare and words & _BOLTS
            if on_pcd and number.values and 100 <= number.values[0] <= 500 and not number.kind:
                circle, number.unit = number, units.find("mm")
                break
        if circle is None or circle.unit is None:
            return "", []
        part = self.part_of(circle.start)
        several = [
            number
            for number in self.numbers
            if part - 2 <= self.part_of(number.start) <= part
            and number is not circle
            and (self.part_of(number.start) == part or self._word_behind(number) in _BOLTS)
        ]
        size = next((number for number in several if number.start and self.tokens[number.start - 1].word == "m"), None)
        count = next(
            (
                number
                for number in several
                if number is not size and number.values and number.bare and number.values[0].denominator == 1
                and 3 <= number.values[0] <= 12
            ),
            None,
        )  # fmt: skip
        thick = (
            next(
                (
                    other
                    for other in self.numbers
                    if part - 2 <= self.part_of(other.start) <= part
                    and other.bare
                    and other.values
                    and self._word_behind(other) in MILS
                    and 4 <= other.values[0] <= 16
                ),
                None,
            )
            if size is None and count
            else None
        )
        said = [number_text(count.values[0], "1")] if count else []
        said += ["x", f"M{self.tokens[size.start].word}"] if size and count else []
        if thick is not None:
            said += ["x", number_text(thick.values[0], "mm")]
        on = f"on {number_text(circle.values[0], circle.unit.name)}"
        return " ".join([*said, "bolts", on]), [number for number in (count, size, thick, circle) if number is not None]
