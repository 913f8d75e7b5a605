"""Hesitations that take nothing back, and those between two values of one fact, of which the second counts.

"Slave's, hang on, seven eighths" takes nothing back; "seven-tenths, er, nineteen mil bore" does. So does what was
swapped: "had a 3.9 diff in there but swapped it out for a 4.3".
"""

from . import frame_kinds as frame
from .frame_words import HESITATIONS, STOPS
from .number_said import NumberSaid
from .refusals import Refusals
from .taken_apart import MILS, Piece
from .word_lists import word_list

#: All words of a mark that may be no more than a pause.
_PAUSING = frozenset(word_list("hang hold on wait"))
_SWAPPED = frozenset(word_list("swapped swopped changed traded replaced"))
#: What may stand before a second value that a hesitation stands before.
_SMALL = frozenset(word_list("it is no a an the more like nearer"))


class Hesitations(Refusals):
    """What of a sentence was only a pause, and what was said in another's place without a mark of correction."""

    def _pauses(self):
        """A "hang on" before which something is named, and nothing told of it, takes nothing back."""
        self.fixes = [(start, end) for start, end in self.fixes if not self._is_pause(start, end)]

    def _is_pause(self, start, end):
        if not {token.word for token in self.tokens[start:end] if token.is_word} <= _PAUSING:
            return False
        last = start
        while last and self.tokens[last - 1].word in STOPS:
            last -= 1
        first = last
        while first and self.tokens[first - 1].word not in STOPS:
            first -= 1
        said = any(number.start < last and first < number.end for number in self.numbers)
        said = said or any(value.start < last and first < value.end for value in self.values)
        return not said and any(first <= pointer.start < last and self._counts(pointer) for pointer in self.pointers)

    def _counts(self, pointer):
        return self.facts[pointer.fact].kind == "number"

    def _other_fact(self, old, new, start, end):
        """Is, behind a mere "hang on", a number of another fact said?"""
        if not {token.word for token in self.tokens[start:end] if token.is_word} <= _PAUSING:
            return False
        before = {piece.heard.fact for piece in self.pieces if piece.start == old.start}
        behind = {piece.heard.fact for piece in self.pieces if piece.start == new.start}
        return bool(before and behind) and not before & behind

    def _said_instead(self):
        """The second of two values of one fact with an "er" between, or with "swapped it for" before it, counts."""
        for new in list(self.numbers):
            if new.kind or not new.values or any(piece.start == new.start for piece in self.pieces):
                continue
            old = max(
                (number for number in self.numbers if number.end <= new.start), key=lambda said: said.end, default=None
            )
            if old is None:
                continue
            pieces = [piece for piece in self.pieces if (piece.start, piece.end) == (old.start, old.end)]
            if len(pieces) == 1 and self.facts[pieces[0].heard.fact].kind == "number":
                swapped = self._swapped(old, new)
                if swapped or self._hesitated(old, new, pieces[0].heard.fact):
                    self._instead(pieces[0], old, new, swapped=swapped)

    def _swapped(self, old: NumberSaid, new: NumberSaid) -> bool:
        between = [token.word for token in self.tokens[old.end : new.start]]
        while between[-1:] and between[-1] in ("a", "an", "the"):
            between.pop()
        if between[-1:] != ["for"] or not new.bare:
            return False
        verbs = [at for at, word in enumerate(between) if word in _SWAPPED]
        if not verbs or len(between) - verbs[-1] > 4 or between[verbs[-1] + 1] not in ("it", "that"):
            return False
        return not {"if", "not", "never", "he", "they", "want", "going", "being"} & set(between)

    def _hesitated(self, old: NumberSaid, new: NumberSaid, name: str) -> bool:
        between = [token.word for token in self.tokens[old.end : new.start]]
        ers = [at for at, word in enumerate(between) if word in HESITATIONS]
        if len(ers) != 1 or between[ers[0] - 1 : ers[0]] != [","] or between[ers[0] + 1 : ers[0] + 2] != [","]:
            return False
        if set(between[ers[0] + 2 :]) - _SMALL or any(
            pointer.fact != name and self._counts(pointer) and old.end <= pointer.start < new.start
            for pointer in self.pointers
        ):
            return False
        start, end, _ = self.parts[self.part_of(new.start)]
        others = {pointer.fact for pointer in self.pointers if start <= pointer.start < end and self._counts(pointer)}
        behind = {token.word for token in self.tokens[new.end : end]} - set(MILS)
        own = {word for text in self._speech(name).names for word in text.split()}
        return (not others or name in others) and behind <= own | _SMALL

    def _instead(self, piece, old, new, *, swapped):
        fact, part = self.facts[piece.heard.fact], self.part_of(new.start)
        following = self.tokens[new.end].word if new.end < len(self.tokens) else ""
        if new.bare and old.unit is not None and following not in MILS:
            new.unit, new.spelling = old.unit, old.spelling
        readings = self._readings(fact, new, part)
        if len(readings) != 1 or not 0.5 * piece.heard.value <= readings[0].value <= 2 * piece.heard.value:
            return
        self.pieces.remove(piece)
        self.taken.update(range(new.start, new.end))
        hurdle = piece.hurdle
        if swapped:
            hurdle = ", ".join(sorted((set(hurdle.split(", ")) | self.frames[part]) - {frame.PAST, ""}))
        self.pieces.append(Piece(readings[0], new.start, new.end, part, hurdle, new.start))
