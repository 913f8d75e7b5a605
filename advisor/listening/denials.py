"""Denials that stand behind what they deny: "free play the pedal has not", "nitrous we do not have"."""

from collections.abc import Sequence

from ..knowledge.spoken import Token
from .word_lists import word_list

_HAVING = frozenset(word_list("has have had is are was does do did can will got"))
_WHO = frozenset(word_list("i we he she it they you there"))
#: Before these, in a part that tells of several things, the denial is of something else.
_TURNS = frozenset(word_list("and but or if when because so then unless though while than"))
_NOT = ("not", "never")
_NONE = ("none", "no", "zero", "nothing")
#: What is not so of a thing that is not there.
_THERE = frozenset(
    word_list(
        "there fitted mounted present available possible installed connected in on have has got use see need want"
    )
)
#: What may still stand behind a denial.
_AFTERWARDS = ("yet", "either", "anymore", "unfortunately", "sadly", "really")


def denied_behind(tokens: Sequence[Token], begin: int, start: int, end: int, last: int) -> bool:
    """Is what stands at tokens ``start`` to ``end`` denied by the rest of its part, which goes from begin to last?"""
    rest = [token.word for token in tokens[end:last]]
    while rest and rest[-1] in _AFTERWARDS:
        rest.pop()
    if rest[-2:] == ["at", "all"]:
        rest = rest[:-2]
    if not rest or len(rest) > 8 or set(rest) & _TURNS:
        return False
    if rest == ["no"]:
        return not {token.word for token in tokens[begin:start]} - {"a", "the"}  # "pedal stop no, free play yes"
    if rest[-1] in _NOT:
        owner = [word for word in rest[-2:-1] if word not in ("also", "too", "still", "just", "again")]
        whole = [token.word for token in tokens[begin:end]] + rest
        inverted = owner != [] and owner[0] in _WHO and whole[-3] in _HAVING and not set(whole[:-3]) & (_WHO | _HAVING)
        return owner == [] or owner[0] in _HAVING or inverted  # "has it not" behind a thing, and no tag behind a verb
    if rest == ["nothing"] and tokens[start - 1].word in ("i", "we", "it"):
        return True  # "I tow nothing"
    if rest[-1] in _NONE:
        return bool({"has", "have", "is", "are"} & set(rest[:-1])) and len(rest) < 5
    at = max((place for place, word in enumerate(rest) if word in _NOT), default=-1)
    return (
        at > 0
        and rest[at - 1] in _HAVING
        and len(rest) - at < 4
        and all(word in _THERE or word in ("been", "it", "any") for word in rest[at + 1 :])
    )
