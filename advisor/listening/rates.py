"""What is counted by the day or the year, and amounts behind "until"."""

import itertools
from collections.abc import Sequence

from ..knowledge import units
from ..knowledge.spoken import Token
from .frame_words import COUNTED_BY, STOPS
from .number_words import NUMBER_WORDS
from .word_lists import word_list

_OF_TIME = frozenset(
    word_list(
        "year years month months week weeks day days ago miles kilometres km am pm clock o january february march "
        "april may june july august september october november december"
    )
)


def rate_on_both_sides(tokens: Sequence[Token], start: int, at: int) -> bool:
    """As in "ten launches a day and six days a year": two counts, each with what it is counted in."""
    last = next((place for place in range(at, len(tokens)) if tokens[place].word in STOPS), len(tokens))
    before = [token.word for token in tokens[start:at]]
    behind = [token.word for token in tokens[at + 1 : last]]
    counts = any(
        token.is_number or token.word in (*NUMBER_WORDS, "dozen", "couple") for token in tokens[at + 1 : at + 6]
    )
    return counts and _rate(before) and (_rate(behind) or "each" in behind)


def _rate(words):
    """Is something counted by the day, the meeting or the year?"""
    return any(
        word in COUNTED_BY and before in ("a", "an", "per", "each", "every", "the", "one", "race")
        for before, word in itertools.pairwise(words)
    )


def up_to(tokens: Sequence[Token], at: int) -> bool:
    """Does "until" stand before an amount, "until 600 Nm", and before no time?"""
    if at >= len(tokens) or not (tokens[at].is_number or tokens[at].word in NUMBER_WORDS):
        return False
    behind = [token.word for token in tokens[at + 1 : at + 5]]
    year = tokens[at].word.isdecimal() and 1950 <= int(tokens[at].word) <= 2035
    return not set(behind) & _OF_TIME and not (year and (not behind or units.find(behind[0]) is None))
