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
#: What is turned down across the counter, by any of its names.
_TURNED_DOWN = frozenset(word_list("clutch clutches kit kits stuff rubbish gear setup"))
_HANDED = frozenset(
    word_list(
        "give giving sell selling flog flogging send sending put putting palm palming fob fobbing land landing offer "
        "offering quote quoting recommend recommending bring sling hand show push order fit saddle lumber stick"
    )
)
#: What is done with goods of a kind, for nobody in particular.
_DEALT_IN = frozenset(word_list("sell stock make do buy keep carry supply offer rate like trust fit recommend use"))
_TO_ME = frozenset(word_list("me us him her them my a an another any one more that those the in on off"))
_NO_MORE = phrase_list(
    "no more, not another, not one more, never another, never again another, not any more, spare me, spare us, save "
    "me, keep your, can keep the, can keep your, stick your, can stick your, none of your, none of that, none of those"
)
_KINDLY = frozenset(word_list("please thanks thank cheers ta"))
#: By these what is asked for is described, and no car.
_DESCRIBED = frozenset(word_list("that which holds hold takes take rated good with like same as"))
#: An engine, as what a car is called by.
_ENGINES = frozenset(word_list("diesel petrol turbodiesel v6 v8"))
#: What the caller has, as the last that is named of a question; and before it: it is none of his yet.
_THINGS = frozenset(
    word_list(
        "caravan van boat trailer horsebox box float camper dinghy digger horses ponies load car truck ute pickup bike "
        "engine motor lump gearbox hill hills drive driveway lane"
    )
)
_LATER = frozenset(word_list("next new future planned other second"))
_OWN = frozenset(word_list("my our me"))


def requested(words: list[str]) -> bool:
    """Is a clutch asked for, of which nobody asks whether it is so: "can you do me a clutch for under 600"?"""
    if _PARTS & set(words):
        return False
    said = [word for word in words if word not in ("please", "so", "and", "hi", "hello", "mate")]
    if bool(_GOODS & set(said)) and not _DESCRIBED & set(said):
        if _OWN & set(said) and _BEGUN.begin(said):
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


def turned_down(words: list[str], end: int) -> bool:
    """Is it goods that are turned down, by what they are for: "don't sell me a race clutch", "no track kits, thanks"?

    ``words`` are those of the part as far as two words behind the place ``end`` at which what was heard ends.
    """
    goods = next((at for at in range(max(0, end - 2), len(words)) if words[at] in _TURNED_DOWN), len(words))
    if goods == len(words):
        return False
    before = words[:goods]
    if _NO_MORE.stand_in(before):
        return True
    for at, word in enumerate(before):
        handed = word in _HANDED and set(before[at + 1 : at + 2]) & _TO_ME
        dealt = word in _DEALT_IN and goods - at <= 4
        if (handed or dealt) and {"not", "never", "dare", "no"} & set(before[max(0, at - 4) : at]):
            return True
    return [word for word in before if word not in _POLITELY][:1] == ["no"] and bool(_KINDLY & set(words))


def of_a_part(words: list[str]) -> bool:
    """Is a part of a clutch named: "with a steel flywheel"?"""
    return bool(_PARTS & set(words))


def of_a_car(words: list[str]) -> bool:
    """Is a car named by what it is: "remapped turbo diesel hatchback"?"""
    return bool((frame_words.CARS - {"one", "motor"} | _ENGINES) & set(words)) and not _GOODS & set(words)


def told_of_own(asked: list[str], words: list[str]) -> bool:
    """As in "will it cope with our caravan, that's fourteen hundred kilos?": what the thing named last is like."""
    last = next((at for at in range(len(asked) - 1, -1, -1) if asked[at] in _OWN), None)
    named = last is not None and 1 < len(asked) - last < 5 and asked[-1] in _THINGS and not _LATER & set(asked)
    like_this = words[:1] in (["that"], ["which"]) and words[1:2] in (["is"], ["weighs"])
    return named and like_this
