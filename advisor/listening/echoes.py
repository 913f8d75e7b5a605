"""What the caller says over before he answers it: "pedal stop? yeah, there's one on it", "budget? twelve hundred"."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..knowledge.spoken import Token
from . import frame_words
from .word_lists import word_list

#: How many words of a question are only said over.
_LONGEST = 4
_YES = frozenset(word_list("yes yeah yep yup aye definitely certainly absolutely indeed"))
_NO = frozenset(word_list("no nope nah none never not nothing neither zero"))


@dataclass(frozen=True, slots=True)
class Echo:
    """Words at ``start`` to ``end`` that were said over, and whether what follows says yes (True), no or neither."""

    start: int
    end: int
    answer: bool | None


def echoes(tokens: Sequence[Token]) -> tuple[list[Token], list[Echo]]:
    """The tokens with a comma for the question mark behind every Echo, and those."""
    read = list(tokens)
    echoes_said: list[Echo] = []
    start = 0
    for at, token in enumerate(tokens):
        if token.word not in frame_words.STOPS:
            continue
        first, behind = tokens[start].word, tokens[at + 1].word if at + 1 < len(tokens) else ""
        asks = first in frame_words.ASKING or first in frame_words.WORDS_OF_QUESTION or first in ("any", "got", "you")
        if token.word == "?" and 0 < at - start <= _LONGEST and behind.isalnum() and not asks:
            answer = True if behind in _YES else False if behind in _NO else None
            echoes_said.append(Echo(start, at, answer))
            read[at] = replace(token, word=",", stem=",")
        start = at + 1
    return read, echoes_said
