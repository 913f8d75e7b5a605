"""Where a power or a torque was measured, said in one word behind it: "520hp crank", "480 Nm hubs"."""

from collections.abc import Sequence

from ..knowledge.spoken import Token
from .word_lists import word_list

#: The choices of where it was measured, and the words that say them where they end the part.
_WHERE = {
    "flywheel": frozenset(word_list("crank crankshaft fly flywheel")),
    "wheels": frozenset(word_list("wheels hubs rollers treads rears")),
}
_JOINS = frozenset(("and", "&", "/"))
_ENDS = _JOINS | {",", ".", ";", "but", ")"}
#: Before the number these make of it a part with such a rating: "a 400 Nm flywheel".
_OF_A_PART = frozenset(
    word_list("a an the my this that any for takes holds rated new forged uprated good stronger want wants need needs")
)


def measured_behind(tokens: Sequence[Token], start: int, end: int) -> tuple[str, int]:
    """(choice, the place behind its word) for the number from ``start`` to ``end``; an empty choice without one."""
    at = end + (tokens[end].word == "(" if end < len(tokens) else 0)
    if at >= len(tokens) or (start and tokens[start - 1].word in _OF_A_PART):
        return "", end
    behind = tokens[at + 1].word if at + 1 < len(tokens) else "."
    choice = next((choice for choice, words in _WHERE.items() if tokens[at].word in words), "")
    if behind in _JOINS and not (at + 2 < len(tokens) and tokens[at + 2].is_number):
        return "", end  # "400 hp, wheels and tyres"
    return (choice, at + 1) if choice and behind in _ENDS else ("", end)
