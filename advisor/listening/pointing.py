"""Which words of a part point to which of its numbers: the nearest, unless they stand directly at another."""

from ..knowledge import spoken
from .loose_words import Region, loosely
from .loosely_said import LooselySaid
from .number_said import NumberSaid
from .phrases import NAME, Match
from .taken_apart import MILS
from .word_lists import word_list

#: What may stand between a word and the number it stands directly before: "final drive is 3.73".
_TIES = frozenset(word_list("is are has at of a an the about with : = - got to"))
#: A unit in one letter, as the words that point to a number have it in full.
_IN_FULL = {"m": "metres", "ft": "feet"}
#: What a pointer costs that stands directly at another number: more than any sentence has words.
_ANOTHERS = 100


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
        before = 0
        for number, (start, end, _) in enumerate(self.parts):
            for first in (start, before) if number else (start,):
                region = Region(self.tokens, range(first, end), stems)
                for words in self.listener.phrases.points.perhaps_in(region):
                    runs = words.places(region) or ()
                    here = sorted(at for run in runs for at in run if at >= start)
                    if here and (first == start or len(here) < sum(map(len, runs))):
                        for at in here:
                            self.pointers.append(Match(at, at + 1, len(runs), NAME, words.fact))
            before = start

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
        return bool(at) and not any(said is number for said in at)

    def _tied(self, pointer: Match, said: NumberSaid) -> bool:
        """Does the pointer stand directly before the number, or directly behind it: "a 3.9 diff"?"""
        if said.end <= pointer.start:
            return not {self.tokens[at].word for at in range(said.end, pointer.start)} - {*MILS, "-"}
        return pointer.end <= said.start and all(self.tokens[at].word in _TIES for at in range(pointer.end, said.start))
