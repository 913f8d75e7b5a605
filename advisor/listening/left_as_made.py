"""A part of the engine that is named as left as it was made: "cams are still stock", "on the factory cams".

It was not changed, and it tells nothing of the rest of the engine either: "mapped, but the bottom end's still stock".
"""

from collections.abc import Sequence

from .word_lists import word_list

_PARTS = frozenset(
    word_list(
        "cam cams camshaft camshafts head heads internals piston pistons rod rods end block turbo turbos turbocharger "
        "turbochargers exhaust manifold manifolds injectors intake filter airbox headers downpipe valves valvetrain "
        "crank crankshaft pulley intercooler fuelling fueling blower supercharger carb carbs gaskets springs"
    )
)
_WHOLE = frozenset(word_list("engine motor lump everything car map"))
_AS_MADE = frozenset(
    word_list("stock standard original originals untouched factory oem oe std unmodified unopened unaltered series")
)
_BETWEEN = frozenset(
    word_list(
        "is are has have been being still all both just left kept stayed stay stays remain remains completely totally "
        "bone bog dead strictly perfectly the as it they them"
    )
)
_ENDS = frozenset(
    word_list(
        "one ones item items too still so and but now spec yet as at for on with inside though mind either also today "
        "ok okay thing things parts"
    )
)
_TURNED = frozenset(word_list("than not non no never from nor isn't aren't"))


def left_as_made(before: Sequence[str], behind: Sequence[str]) -> bool:
    """Is the part that is named between these words of a sentence's part told to be as it was made?"""
    if before and before[-1] in _AS_MADE and not set(before[-3:-1]) & _TURNED:
        return True
    at = 0
    while at < len(behind) and behind[at] in _BETWEEN:
        at += 1
    if list(behind[at : at + 2]) == ["alone"] or (at and behind[at - 1] == "left" and behind[at : at + 1] == ["alone"]):
        return True
    if at >= len(behind) or behind[at] not in _AS_MADE:
        return False
    return at + 1 == len(behind) or behind[at + 1] in _ENDS or behind[at + 1] in _AS_MADE


def said_of_a_part(before: Sequence[str]) -> bool:
    """Is what stands behind these words of a sentence's part said of a part of the engine, not of the whole?"""
    if _WHOLE & set(before):
        return False
    at = len(before)
    while at and before[at - 1] in _BETWEEN:
        at -= 1
    return bool(at) and before[at - 1] in _PARTS
