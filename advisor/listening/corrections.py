"""Where somebody takes back what was just said: "380, no sorry, 360"."""

from collections.abc import Sequence

from ..knowledge import units
from ..knowledge.spoken import Token
from .word_lists import phrase_list

_MARKS = tuple(
    text.split()
    for text in phrase_list(
        "no sorry, no wait, wait no, sorry no, sorry i mean, no i tell a lie, i tell a lie, tell a lie, no i mean, "
        "i mean, make that, correction, scratch that, no make it, make it, actually no, no actually, or rather, "
        "no hang on, hang on no, hang on, sorry, i meant, no hold on, hold on, my mistake, strike that, no lie, "
        "no it is, no no, oops, wait, that is a lie, that is wrong, i lie, that is not right"
    )
)

_BETWEEN = ([",", ","], [",", "it"], [".", ","], ["-", ","], ["-", "-"])


def corrections(tokens: Sequence[Token]) -> tuple[list[tuple[int, int]], set[int]]:
    """[(start, end)] of the marks of correction with something before and behind them, and all their places."""
    words = [token.word for token in tokens]
    marks: list[tuple[int, int]] = []
    at = 0
    while at < len(words):
        length = 0
        for mark in _MARKS:
            joined = _run(words, at, mark)
            length = max(length, joined)
        if (
            not length
            and words[at] in ("no", "well")
            and 0 < at < len(words) - 1
            and words[at - 1] in (",", ".", ";", "-")
            and words[at + 1] in (",", ".", ";", "-")
        ):
            length = 1
        if (
            not length
            and words[at : at + 2] == ["well", "no"]
            and at
            and words[at - 1 : at] + words[at + 2 : at + 3] in _BETWEEN
        ):
            length = 2  # "it grabs, well no, it shudders"
        if words[at : at + 4] == ["no", "it", "is", "not"]:
            length = 0  # "no it's not been tracked" takes nothing back
        if words[at : at + 2] in (["i", "mean"], ["i", "meant"]) and at and units.find(words[at - 1]) is not None:
            length = 0  # "makes 460, horsepower I mean": it says what was meant
        if length and at > 0 and at + length < len(words):
            end = at + length
            if marks and words[marks[-1][1] : at] in ([], [","]):
                marks[-1] = (marks[-1][0], end)
            else:
                marks.append((at, end))
            at = end
        else:
            at += max(length, 1)
    places = {place for start, end in marks for place in range(start, end)}
    return marks, places


def _run(words, at, mark):
    """How many tokens the mark takes from ``at``, commas between its words allowed; 0 where it does not stand there."""
    start = at
    for word in mark:
        while at < len(words) and at > start and words[at] == ",":
            at += 1
        if at >= len(words) or words[at] != word:
            return 0
        at += 1
    return at - start
