"""Lists of words as they are read: words with blanks between them, phrases with commas; and one sought."""

from collections.abc import Collection


def word_list(text: str) -> tuple[str, ...]:
    """The words of a text, in order."""
    return tuple(text.split())


def phrase_list(text: str) -> tuple[str, ...]:
    """The phrases between the commas of a text, in order."""
    return tuple(" ".join(phrase.split()) for phrase in text.split(","))


def holds(words: list[str], text: str, answers: Collection[int] = ()) -> bool:
    """Do the words of a text stand together, at places that are not all of ``answers``?"""
    split = text.split()
    return any(
        words[at : at + len(split)] == split and not all(place in answers for place in range(at, at + len(split)))
        for at in range(len(words) - len(split) + 1)
    )
