"""The unit a number is in where it stands elsewhere: behind a correction, in the next part, in a word of the trade."""

from ..knowledge import units
from .number_context import NumberContext
from .number_said import NumberSaid
from .taken_apart import Piece

_ENGINES = ("engine", "motor", "lump")

#: What stands before the cylinders of an engine, and what behind them.
_OF_ENGINES = ("engine.aspiration", "engine.fuel")
_ENDS = frozenset((",", ".", ";", "!", "and", "with", "but", "so", "in", "on", "from", "out"))


class UnitsSaid(NumberContext):
    """A sentence whose numbers get the units that are said of them."""

    def _trade_units(self, values):
        """Words that are a unit in the trade alone: "240 brake"; litres by what engine it is: "2.8 straight six"."""
        begun = {value.start for value in values}  # "two turbos" and "2.5 straight away" are no litres
        counted = {value.start for value in values if self.facts[value.fact].kind == "number"}
        motorcycle = any(value.value == "motorcycle" for value in values)
        for number in self.numbers:
            following = self.tokens[number.end].word if number.end < len(self.tokens) else "."
            if number.kind or not number.bare or units.find(following) is not None:
                continue
            behind_cylinders = number.start in {value.end for value in values if self._is_cylinders(value)}
            if (
                number.decimal
                and (number.values[0] * 10).denominator == 1
                and 0.6 <= number.values[0] <= 9
                and (behind_cylinders or number.end in {value.start for value in values if self._is_cylinders(value)})
            ):
                number.unit, number.spelling = units.find("l"), "l"  # "1.0 three cylinder", "petrol V6 3.5"
                continue
            if number.end in counted and not number.decimal and 250 <= number.values[0] <= 9000:
                if number.values[0] >= 900 or motorcycle:  # "a twelve hundred four cylinder"
                    number.unit, number.spelling = units.find("cc"), "cc"
                continue
            if self._called_by_its_size(number, begun):
                number.unit, number.spelling = units.find("cc"), "cc"  # "a sixteen hundred petrol"
                continue
            if following in _ENGINES and 500 <= number.values[0] <= 9000 and not self._is_speed_behind(number.end):
                number.unit, number.spelling = units.find("cc"), "cc"  # "a 1600 engine"
                continue
            meant = {
                fact.speech.units[following]
                for fact in self.listener.numbers
                if fact.speech and fact.speech.by_unit and following in fact.speech.units
            }
            unit = units.find(meant.pop()) if len(meant) == 1 else None
            if unit is not None and unit.name == "cm3" and motorcycle and number.values[0] >= 50:
                number.unit, number.spelling = unit, following
                continue
            if unit is not None and (
                unit.dimension != "volume" or (number.decimal and (number.end in begun or following in _ENGINES))
            ):
                number.unit, number.spelling, number.end = unit, following, number.end + 1

    def _called_by_its_size(self, number, begun):
        """As in "it's a 1600 petrol": directly before what engine it is, no year, and in hundreds."""
        value, before = number.values[0], self.tokens[number.start - 1].word if number.start else "a"
        return (
            number.end in begun
            and before in ("a", "an", "my", "the", "our", "old", "little")
            and 900 <= value <= 6500
            and value % 100 == 0
            and not 1950 <= value <= 2035
            and any(match.start == number.end and self._is_of_engine(match) for match in self.values)
        )

    def _is_of_engine(self, match):
        return (self.facts[match.fact].platform or "") in _OF_ENGINES

    def _is_cylinders(self, value):
        return self.facts[value.fact].platform == "engine.cylinders"

    def _is_speed_behind(self, at):
        """Is it the speed of the engine, "1600 engine speed"?"""
        return self.tokens[at + 1].word in ("speed", "revs", "rpm") if at + 1 < len(self.tokens) else False

    def _named_numbers(self):
        """Places of words that belong to a name, as the two of "two-step"."""
        return {
            at
            for pointer in self.pointers
            if pointer.solid > 1
            for at in range(pointer.start, pointer.end)
            if self.tokens[at].word in ("two", "2", "1st", "first")
        }

    def _corrected_numbers(self, values):
        """As in "380 no 360", "two no three cylinders": the "no" between two numbers takes the first back."""
        counted = [value for value in values if self.facts[value.fact].kind == "number"]
        for first in self.numbers:
            for second in (*self.numbers, *counted):
                between = [at for at in range(first.end, second.start) if self.tokens[at].word not in (",", "-")]
                if first.kind or [self.tokens[at].word for at in between] != ["no"]:
                    continue
                if isinstance(second, NumberSaid):
                    of_a_kind = not second.kind and (first.bare or second.bare or first.unit is second.unit)
                else:
                    of_a_kind = first.bare
                if of_a_kind:
                    self._mark_correction(between[0])

    def _cylinders_behind(self, values):
        """As in "a plain two litre four", "naturally aspirated four": a number behind what else the engine is."""
        fact = next((fact for fact in self.listener.numbers if fact.platform == "engine.cylinders"), None)
        ends = {number.end for number in self.numbers if number.dimension == "volume"}
        ends |= {value.end for value in values if (self.facts[value.fact].platform or "") in _OF_ENGINES}
        if fact is None:
            return
        ends |= self._the_six(values, fact)
        for number in self.numbers:
            behind = self.tokens[number.end].word if number.end < len(self.tokens) else "."
            if (
                number.bare
                and not number.kind
                and number.values[:1] != ()
                and number.start in ends
                and float(number.values[0]) in fact.choices
                and behind in _ENDS
            ):
                number.kind = "cylinders"
                heard = self._choice(fact.name, float(number.values[0]), number.start, number.end)
                part = self.part_of(number.start)
                self.taken.update(range(number.start, number.end))
                self.pieces.append(Piece(heard, number.start, number.end, part, self._hurdle(fact, part), number.start))

    def _the_six(self, values, fact):
        """Places behind the "the" of "quoted for a six cylinder, I've the four": cylinders are spoken of already."""
        spoken_of = [value.start for value in values if value.fact == fact.name]
        return {
            at
            for at in range(2, len(self.tokens))
            if spoken_of
            and min(spoken_of) < at
            and self.tokens[at - 1].word in ("the", "a")
            and self.tokens[at - 2].word in ("is", "has", "have", "got", "mine", "ours", "one")
        }

    def _units_corrected(self):
        """A number without a unit directly behind a correction has that of the one it corrects: "350 Nm, no, 380".

        So is a unit alone corrected: "300 hp, no sorry, kW".
        """
        self.fixes = [(start, end) for start, end in self.fixes if not self._only_the_unit(start, end)]
        for start, end in self.fixes:
            old = next((number for number in reversed(self.numbers) if number.end <= start), None)
            new = next((number for number in self.numbers if number.start >= end), None)
            if (
                old is None
                or new is None
                or new.start - end > 2
                or old.bare
                or not new.bare
                or old.kind
                or new.kind
                or old.dimension == "force"
            ):
                continue
            if old.values and new.values and old.values[0] / 2 < new.values[0] < 2 * old.values[0]:
                new.unit, new.spelling = old.unit, old.spelling

    def _only_the_unit(self, start, end):
        """Is what stands behind a correction only another unit for the number before it? Then the number gets it."""
        while end < len(self.tokens) and self.tokens[end].word in (",", "in", "-"):
            end += 1
        old = next((number for number in reversed(self.numbers) if number.end <= start), None)
        if old is None or old.kind or not old.unit or start - old.end > 2:
            return False
        for last in range(min(end + 3, len(self.tokens)), end, -1):
            spelling = " ".join(token.word for token in self.tokens[end:last])
            unit = units.find(spelling) if len(spelling) > 1 else None
            closed = last == len(self.tokens) or not (self.tokens[last].is_word or self.tokens[last].is_number)
            if unit is None or not closed:
                continue
            if unit.dimension == old.dimension or {unit.dimension, old.dimension} <= {"torque", "power"}:
                old.unit, old.spelling = unit, spelling
                self.taken.update(range(end, last))
                return True
        return False

    def _units_a_little_behind(self):
        """As in "five-oh-five at the hubs in kilowatts"."""
        for number in self.numbers:
            for at in range(number.end + 1, min(number.end + 6, len(self.tokens) - 1)):
                unit = units.find(self.tokens[at + 1].word) if self.tokens[at].word == "in" else None
                alone = not any(number.end <= other.start <= at for other in self.numbers)
                if (
                    unit is not None
                    and unit.dimension in ("torque", "power")
                    and number.bare
                    and not number.kind
                    and alone
                ):
                    number.unit, number.spelling = unit, self.tokens[at + 1].word
                    self.taken.update((at, at + 1))

    def _units_behind(self):
        """A unit in a part without a number belongs to the number before: "four forty, that's newton metres"."""
        for place, (start, end, _) in enumerate(self.parts):
            words = [token.word for token in self.tokens[start:end]]
            if place == 0 or any(start <= number.start < end for number in self.numbers):
                continue
            skip = 2 if words[:1] and words[0] in ("that", "it", "those") and words[1:2] in (["is"], ["are"]) else 0
            skip += words[skip : skip + 1] == ["in"]  # "that's in kilos"
            for last in range(min(end, start + skip + 3), start + skip, -1):
                spelling = " ".join(words[skip : last - start])
                unit = units.find(spelling) if len(spelling) > 1 else None
                meant = words[last - start :] in (["i", "mean"], ["i", "meant"], ["that", "is"])
                if unit is not None and unit.name != "1" and (skip or meant or last == end):
                    before = [number for number in self.numbers if number.end <= start and not number.kind]
                    if (
                        before
                        and before[-1].bare
                        and self.part_of(before[-1].start) == place - 1
                        and not before[-1].pair
                    ):
                        before[-1].unit, before[-1].spelling = unit, spelling
                        self.taken.update(range(start + skip, last))
                    break
