"""Lists of words as they are read: words with blanks between them, phrases with commas; and one sought."""

from collections.abc import Collection, Iterator, Sequence


class PhraseList(tuple[str, ...]):
    """Phrases in order, each kept under its first word as well, so that all are sought in one pass over the words."""

    by_first: dict[str, list[tuple[str, list[str]]]]

    def found(self, words: Sequence[str], answers: Collection[int] = ()) -> Iterator[str]:
        """Those of the phrases that stand among the words, at places that are not all of ``answers``."""
        for at, word in enumerate(words):
            for text, split in self.by_first.get(word, ()):
                end = at + len(split)
                if words[at:end] == split and not (answers and all(place in answers for place in range(at, end))):
                    yield text

    def stand_in(self, words: Sequence[str], answers: Collection[int] = ()) -> bool:
        """Does any of the phrases stand among the words?"""
        return next(self.found(words, answers), "") != ""

    def begin(self, words: Sequence[str]) -> bool:
        """Do the words begin with any of the phrases?"""
        return any(words[: len(split)] == split for first in words[:1] for _, split in self.by_first.get(first, ()))


def word_list(text: str) -> tuple[str, ...]:
    """The words of a text, in order."""
    return tuple(text.split())


def phrase_list(text: str) -> PhraseList:
    """The phrases between the commas of a text, in order."""
    phrases = PhraseList(" ".join(phrase.split()) for phrase in text.split(","))
    phrases.by_first = {}
    for phrase in phrases:
        split = phrase.split()
        phrases.by_first.setdefault(split[0], []).append((phrase, split))
    return phrases


def holds(words: list[str], text: str, answers: Collection[int] = ()) -> bool:
    """Do the words of a text stand together, at places that are not all of ``answers``?"""
    split = text.split()
    return any(
        words[at : at + len(split)] == split and not all(place in answers for place in range(at, at + len(split)))
        for at in range(len(words) - len(split) + 1)
    )
