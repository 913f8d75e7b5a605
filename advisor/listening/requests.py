"""What is put as a question and asks nothing: a clutch that is wanted, and what a thing of the caller's is like."""

from . import frame_words
from .word_lists import phrase_list, word_list

_POLITELY = frozenset(
    word_list("please just possibly maybe perhaps kindly hi hello hey ok okay right so and mate morning")
)
_SUPPLY = frozenset(
    word_list("do get sort find price quote give sell recommend supply send make build knock fix fit offer source")
)
_GOODS = frozenset(word_list("clutch kit"))
#: Parts of one that are wanted themselves: what stands beside them tells what they are to be.
_PARTS = frozenset(word_list("flywheel cover disc disk plate bearing slave master cable fork"))
#: How else it is begun.
_BEGUN = phrase_list(
    "do you do, do you sell, do you stock, do you have, do you make, have you got, have you a, any chance of"
)
#: By these what is asked for is described, and no car.
_DESCRIBED = frozenset(word_list("that which holds hold takes take rated good with"))
#: An engine, as what a car is called by.
_ENGINES = frozenset(word_list("diesel petrol turbodiesel v6 v8"))
_OWN = frozenset(word_list("my our me"))


def requested(words: list[str]) -> bool:
    """Is a clutch asked for, of which nobody asks whether it is so: "can you do me a clutch for under 600"?"""
    if _PARTS & set(words):
        return False
    said = [word for word in words if word not in ("please", "so", "and", "hi", "hello", "mate")]
    if bool(_GOODS & set(said)) and not _DESCRIBED & set(said):
        if any(said[: len(text.split())] == text.split() for text in _BEGUN):
            return True
        if said[:5] == ["would", "you", "be", "able", "to"]:
            return True
    words = [word for word in words if word not in _POLITELY]
    if words[:1] == [] or words[0] not in ("can", "could", "will", "would") or words[1:2] not in (["you"], ["i"]):
        return False
    wanted = words[2:3] != [] and words[2] in (_SUPPLY if words[1] == "you" else ("get", "have", "buy", "order"))
    return wanted and bool(_GOODS & set(words)) and not _DESCRIBED & set(words)


def ordered(words: list[str]) -> bool:
    """Is something ordered, and nothing said of what it is to be: "can you sort me out, it's a diesel"?"""
    return bool(frame_words.ORDERS.stand_in(words)) and not _PARTS & set(words)


def of_a_car(words: list[str]) -> bool:
    """Is a car named by what it is: "remapped turbo diesel hatchback"?"""
    return bool((frame_words.CARS - {"one", "motor"} | _ENGINES) & set(words)) and not _GOODS & set(words)


def told_of_own(asked: list[str], words: list[str]) -> bool:
    """As in "will it cope with our caravan, that's fourteen hundred kilos?": what the thing named last is like."""
    last = next((at for at in range(len(asked) - 1, -1, -1) if asked[at] in _OWN), None)
    named = last is not None and 1 < len(asked) - last < 5
    like_this = words[:1] in (["that"], ["which"]) and words[1:2] in (["is"], ["weighs"])
    return named and like_this
