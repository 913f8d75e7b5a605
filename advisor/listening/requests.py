"""What is put as a question and asks nothing: a clutch that is wanted, and what a thing of the caller's is like."""

from . import frame_words
from .word_lists import word_list

_POLITELY = frozenset(
    word_list("please just possibly maybe perhaps kindly hi hello hey ok okay right so and mate morning")
)
_SUPPLY = frozenset(
    word_list("do get sort find price quote give sell recommend supply send make build knock fix fit offer source")
)
_GOODS = frozenset(word_list("clutch kit"))
#: By these what is asked for is described, and no car.
_DESCRIBED = frozenset(word_list("that which holds hold takes take rated good with"))
#: An engine, as what a car is called by.
_ENGINES = frozenset(word_list("diesel petrol turbodiesel v6 v8"))
_OWN = frozenset(word_list("my our me"))


def requested(words: list[str]) -> bool:
    """Is a clutch asked for, of which nobody asks whether it is so: "can you do me a clutch for under 600"?"""
    words = [word for word in words if word not in _POLITELY]
    if words[:1] == [] or words[0] not in ("can", "could", "will", "would") or words[1:2] not in (["you"], ["i"]):
        return False
    wanted = words[2:3] != [] and words[2] in (_SUPPLY if words[1] == "you" else ("get", "have", "buy", "order"))
    return wanted and bool(_GOODS & set(words)) and not _DESCRIBED & set(words)


def of_a_car(words: list[str]) -> bool:
    """Is a car named by what it is: "remapped turbo diesel hatchback"?"""
    return bool((frame_words.CARS - {"one", "motor"} | _ENGINES) & set(words)) and not _GOODS & set(words)


def told_of_own(asked: list[str], words: list[str]) -> bool:
    """As in "will it cope with our caravan, that's fourteen hundred kilos?": what the thing named last is like."""
    last = next((at for at in range(len(asked) - 1, -1, -1) if asked[at] in _OWN), None)
    named = last is not None and 1 < len(asked) - last < 5
    like_this = words[:1] in (["that"], ["which"]) and words[1:2] in (["is"], ["weighs"])
    return named and like_this
