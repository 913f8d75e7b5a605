"""What the next part of a sentence takes back of the one before: it was undone, or it is not as somebody said."""

from collections.abc import Sequence

from .frame_kinds import OTHER, PAST, WITHDRAWN
from .word_lists import phrase_list, word_list

#: What was changed is as it was before, which the part itself tells of.
_UNDONE = phrase_list(
    "back to stock, back to standard, back to factory, back to original, back on the standard, back on the stock, "
    "back on the factory, returned to stock, returned to standard, put it back, put her back, put back as it was, "
    "taken it all off, took it all off, all taken off again, taken off again, took it off again, all undone"
)
#: What somebody said is not so.
_NOT_SO = tuple(
    text.split()
    for text in phrase_list(
        "it is not, it was not, it does not, it did not, it has not, but it is not, but it does not, well it is not, "
        "it is not though"
    )
)


_OTHER_VEHICLES = frozenset(
    word_list("lorry lorries truck trucks bike motorbike motorbikes motorcycle tractor hgv bus")
)
#: Which vehicle the clutch is for after all.
_IS_FOR = phrase_list(
    "clutch is for, this is for, this one is for, it is for, kit is for, ringing about, calling about"
)
_OWN_CARS = frozenset(word_list("car hatchback saloon estate van runabout coupe"))


def undone_since(by_part: list[set[str]], several: Sequence[list[str]]) -> None:
    """Adds to the frames of each part what the part behind it takes back; ``several``: the words of the parts."""
    for number, words in enumerate(several[1:]):
        if _UNDONE.stand_in(words):
            by_part[number].add(PAST)  # "it was remapped, but I put it back to stock"
        mentioned = set(several[number]) & _OTHER_VEHICLES
        if mentioned and _IS_FOR.stand_in(words) and set(words) & _OWN_CARS:
            by_part[number].add(OTHER)  # "it's a lorry I drive, but the clutch is for the wife's car"
        if words in _NOT_SO:
            by_part[number].add(WITHDRAWN)  # "he said it'd be light as a feather, it isn't"
