"""Lists of words as they are read: words with blanks between them, phrases with commas."""


def word_list(text: str) -> tuple[str, ...]:
    """The words of a text, in order."""
    return tuple(text.split())


def phrase_list(text: str) -> tuple[str, ...]:
    """The phrases between the commas of a text, in order."""
    return tuple(" ".join(phrase.split()) for phrase in text.split(","))
