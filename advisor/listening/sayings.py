"""Sayings that hold words of the trade and mean none of them: "pull the trigger", "at sixes and sevens"."""

from collections.abc import Iterable, Sequence

from ..knowledge.spoken import Token
from .number_words import NUMBER_WORDS


class Sayings:
    """The sayings of a vocabulary, its set of words of that name, by their first word."""

    def __init__(self, texts: Iterable[str]) -> None:
        self._by_first: dict[str, list[list[str]]] = {}
        for saying in (text.split() for text in texts):
            self._by_first.setdefault(saying[0], []).append(saying)

    def places(self, tokens: Sequence[Token]) -> list[tuple[int, int]]:
        """[(start, end)] of the sayings in ``tokens``."""
        words = [token.word for token in tokens]
        later = [
            (max(0, at - 3), at + 1)
            for at in range(2, len(words))
            if words[at] == "later"
            and words[at - 1].endswith("s")
            and any(tokens[place].is_number or words[place] in NUMBER_WORDS for place in range(max(0, at - 3), at - 1))
        ]  # "three pedal stops later"
        return later + [
            (at, at + len(saying))
            for at, word in enumerate(words)
            for saying in self._by_first.get(word, ())
            if words[at : at + len(saying)] == saying
        ]
