"""Which words of a part point to which of its numbers: the nearest, unless they stand directly at another."""

from ..knowledge import spoken
from .hearing import Heard
from .loose_words import Region, loosely
from .loosely_said import LooselySaid
from .number_said import NumberSaid
from .phrases import NAME, Match, denied
from .taken_apart import MILS
from .word_lists import word_list

#: What may stand between a word and the number it stands directly before: "final drive is 3.73".
_TIES = frozenset(word_list("is are has at of a an the about with : = - got to"))
#: A unit in one letter, as the words that point to a number have it in full.
_IN_FULL = {"m": "metres", "ft": "feet"}
#: What stands for what was said just before.
_BACK = frozenset(("that", "which", "it", "this"))
#: What a pointer costs that stands directly at another number: more than any sentence has words.
_ANOTHERS = 100

#: Beside these a weight is the car's, whatever it tows.
_OF_THE_CAR = frozenset(word_list("car van truck ute lorry kerb curb itself driver me us aboard it she he i"))


class Pointing(LooselySaid):
    """A sentence whose numbers are pointed to."""

    def _pointing_together(self):
        """Words that point to a number where all stand in a part, or in it and the one before, count like a phrase."""
        full = {
            said.end - 1: spoken.stem(_IN_FULL[said.unit.name])
            for said in self.numbers
            if said.unit is not None and said.unit.name in _IN_FULL
        }
        stems = {
            at: full.get(at) or loosely(token, self.listener.phrases.mended(token))
            for at, token in enumerate(self.tokens)
        }
        before = earlier = 0
        marks = {at for first, last in self.fixes for at in range(first, last)}
        for number, (start, end, _) in enumerate(self.parts):
            if number and marks and marks.issuperset(range(start, end)):
                continue  # "eight launches a day, sorry, call it twenty days a year"
            corrects = before < start and not marks.isdisjoint(range(before, start))
            for first in dict.fromkeys((start, before, earlier) if corrects else (start, before)):
                region = Region(self.tokens, range(first, end), stems)
                for words in self.listener.phrases.points.perhaps_in(region):
                    runs = words.places(region) or ()
                    here = sorted(at for run in runs for at in run if at >= start)
                    if first < start and self._has_its_number(words.fact, len(runs), first, start):
                        continue  # "twelve race days in the year and on each about 8 hard starts"
                    if first < start and self._elsewhere(self.facts[words.fact], number - 1):
                        continue  # "the dyno is down the road, about 900 metres"
                    if here and (first == start or len(here) < sum(map(len, runs))):
                        for at in here:
                            self.pointers.append(Match(at, at + 1, len(runs), NAME, words.fact))
            earlier, before = before, start

    def _has_its_number(self, name, solid, start, end):
        """Is the fact pointed to in that part, by as many words, and does a number stand there?"""
        numbered = any(start <= said.start < end for said in self.numbers)
        return numbered and any(
            pointer.fact == name
            and start <= pointer.start < end
            and pointer.solid >= solid - 1
            and pointer.end == pointer.start + 1  # by words that stand together in any order
            for pointer in self.pointers
        )

    def _distance(self, fact, number, start, end):
        """Tokens between the number and the nearest word that points to the fact in that part, or None."""
        best = None
        for pointer in self.pointers:
            if pointer.fact == fact.name and start <= pointer.start < end:
                gap = (
                    pointer.start - number.end
                    if pointer.start >= number.end
                    else number.start - pointer.end
                    if pointer.end <= number.start
                    else 0
                )
                weight = max(gap, 0) + (0.5 if pointer.solid == 1 else 0) - 0.01 * pointer.solid
                if self._at_another(pointer, number):
                    weight += _ANOTHERS
                best = weight if best is None else min(best, weight)
        return best

    def _at_another(self, pointer: Match, number: NumberSaid) -> bool:
        """Does the pointer stand directly at another number: "first gear is 3.64 and final drive 4.11"?"""
        at = [said for said in self.numbers if not said.kind and self._tied(pointer, said)]
        if len(at) == 2:  # "master 19.05 mm slave 22.2 mm": as the first of the part stands to its number
            start, end, _ = self.parts[self.part_of(pointer.start)]
            first = min(other.start for other in self.pointers if start <= other.start < end)
            at = at[1:] if all(first < said.start for said in self.numbers if start <= said.start) else at[:1]
        return bool(at) and not any(said is number for said in at)

    def _named_behind_it(self, heard_number: NumberSaid, number: int) -> list[Heard]:
        """As in "600 Nm, that's what the gearbox is rated at": the part behind tells what the last number was."""
        _, end, stop = self.parts[number]
        if number + 1 == len(self.parts) or any(heard_number.end <= said.start < end for said in self.numbers):
            return []
        first, last, _ = self.parts[number + 1]
        words = [token.word for token in self.tokens[first:last]]
        while words[:1] in (["and"], ["so"]):
            words = words[1:]
        back = words[:1] != [] and words[0] in _BACK and words[1:2] in (["is"], ["was"])
        if stop != "," or not back or any(first <= said.start < last for said in self.numbers):
            return []
        here = [
            pointer
            for pointer in self.pointers
            if first <= pointer.start < last and not denied(self.tokens, pointer.start, first, ())
        ]
        facts = {pointer.fact for pointer in here} & {fact.name for fact in self.listener.numbers}
        readings = {
            name: self._readings(self.facts[name], heard_number, number)
            for name in facts
            if not self._elsewhere(self.facts[name], number + 1)
        }
        fitting = {name: several for name, several in readings.items() if several}
        if len(fitting) > 1:
            solid = {name: max(pointer.solid for pointer in here if pointer.fact == name) for name in fitting}
            most = max(solid.values())
            fitting = {name: several for name, several in fitting.items() if solid[name] == most}
        return next(iter(fitting.values())) if len(fitting) == 1 else []

    def _tied(self, pointer: Match, said: NumberSaid) -> bool:
        """Does the pointer stand directly before the number, or directly behind it: "a 3.9 diff"?"""
        if said.end <= pointer.start:
            return not {self.tokens[at].word for at in range(said.end, pointer.start)} - {*MILS, "-"}
        return pointer.end <= said.start and all(self.tokens[at].word in _TIES for at in range(pointer.end, said.start))

    def _elsewhere(self, fact, number):
        """Do words stand in that part beside which a number is about something else?"""
        if fact.shown_as == "money" and any(
            self.facts[pointer.fact].unit == "rpm" and self.part_of(pointer.start) == number - 1
            for pointer in self.pointers
        ):
            return True  # "I change up early, two and a half thousand tops"
        if fact.speech is None or not fact.speech.not_with:
            return False
        start, end, _ = self.parts[number]
        here = start
        if number and fact.unit == "m" and self._said_of_the_one_before(number):
            start = self.parts[number - 1][0]  # "450 on the hub dyno, and that's up at 1,700 metres"
        own = {
            at
            for pointer in self.pointers
            if pointer.fact == fact.name
            for at in range(pointer.start, pointer.end)
            if pointer.solid > 1
        }
        own |= {at for number in self.numbers for at in range(number.start, number.end)}
        own |= {
            at for value in self.values if value.solid > 1 for at in range(max(here, value.start), value.end)
        }  # "all wheel drive and weighs"
        stems = [
            self.listener.phrases.mended(self.tokens[at])
            for at in range(start, end)
            if at not in own and self.tokens[at].word not in spoken.SLIGHT
        ]
        words = [spoken.phrase(text) for text in fact.speech.not_with]
        return any(tuple(stems[at : at + len(wanted)]) == wanted for wanted in words for at in range(len(stems)))

    def _of_the_whole(self, near, heard_number, number):
        """As in "we pull a horse box, two tonne all up with the ponies in": all of what was named just before."""
        start, end, _ = self.parts[number]
        if not number or heard_number.start > start + 1 or self._words_of(number) & _OF_THE_CAR:
            return near
        own = range(heard_number.start, heard_number.end)
        for name in [name for name in near if set(self._speech(name).whole)]:
            whole = set(self._speech(name).whole) | {"up", "weight"}
            here = [pointer for pointer in self.pointers if pointer.fact == name and start <= pointer.start < end]
            words = {self.tokens[at].word for pointer in here for at in range(pointer.start, pointer.end)}
            words -= {self.tokens[at].word for at in own}
            others = [
                fact.name
                for fact in self.listener.numbers
                if fact.name != name
                and self._dimension(fact.name) == self._dimension(name)
                and self._speech(fact.name).whole
                and any(
                    pointer.fact == fact.name and self.part_of(pointer.start) == number - 1 for pointer in self.pointers
                )
            ]
            if words <= whole and len(others) == 1:
                return {**{key: gap for key, gap in near.items() if key != name}, others[0]: near[name]}
        return near

    def _said_of_the_one_before(self, number):
        """Does a part say where it is that was named last: "and that's up at 1,700 metres above the sea"?"""
        words = [token.word for token in self.tokens[slice(*self.parts[number][:2])]]
        while words[:1] in (["and"], ["but"], ["so"]):
            words = words[1:]
        return words[:1] in (["that"], ["which"], ["those"]) and words[1:2] in (["is"], ["was"], ["are"])
