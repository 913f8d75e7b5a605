"""Something fitted that does nothing: "it's got launch control but I've never once used it"."""

from collections.abc import Sequence

from ..knowledge.spoken import Token
from .word_lists import phrase_list, word_list

#: What is so is as good as not there.
_OUT_OF_USE = phrase_list(
    "never use, never used, never once used, not use, not used, does not work, not work, not working, never worked, "
    "never works, no longer works, is off, was off, switched off, turned off, disabled, disconnected, unplugged, "
    "unhooked, taken off, taken out, "
    "been removed, is removed, took it off, took it out, took that off, took that out, deleted, broken, is bust, "
    "packed up, "
    "not connected, not hooked up, not wired up, not wired in, not set up, not switched on, not turned on, "
    "not activated, never activated, never switched on, never turned on, never set up, is gone, has gone, seized"
)
#: Who or what does that is not the thing itself.
_OTHERS = frozenset(word_list("when if clutch engine gearbox box"))
#: How many parts of a sentence behind it may tell so.
_REACH = 2


def out_of_use(tokens: Sequence[Token], parts: Sequence[tuple[int, int, str]], part: int, end: int) -> bool:
    """Is it told behind place ``end``, in this ``part`` of the sentence or the next, that it is off or never used?"""
    for number in range(part, min(part + _REACH, len(parts))):
        first, last, _ = parts[number]
        if number > part and parts[number - 1][2] in (".", ";", "?", "!"):
            return False
        words = [token.word for token in tokens[max(first, end - (number == part)) : last]]
        if number > part and set(words[:3]) & _OTHERS:
            return False
        if _OUT_OF_USE.stand_in(words):
            return True
    return False
