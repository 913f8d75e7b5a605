"""What the parts around a part tell of it: gone by, since replaced, still to come, declined."""

from collections.abc import Sequence

from ..knowledge.spoken import Token
from .frame_words import OLD
from .word_lists import phrase_list, word_list

#: As a whole part, it tells when the next one was so: "before, I had one with 200 PS".
_ONCE = frozenset(
    phrase_list(
        "before, earlier, formerly, previously, once, in the past, in former times, back then, years ago, in the old "
        "days, once upon a time, some years ago, long ago"
    )
)
#: At the beginning of a part: it tells of a car that is gone.
_HAD_ONE = phrase_list(
    "earlier i had, earlier we had, before i had, before we had, before i drove, earlier i drove, previously i had, "
    "previously we had, formerly i had, once i had, once had, i had one, we had one, before this i had, before this we "
    "had, before that i had, i used to drive, before this one i had"
)
_SOLD = phrase_list(
    "is sold, are sold, sold since, been sold, was sold, it went away, went away, is gone, is gone since, i sold it, "
    "we sold it, have sold it, gave it away, crashed it, wrote it off, is scrapped, is no longer there"
)
#: What was offered and not taken, and what is said of it where it could also be of something else.
_DECLINED = phrase_list(
    "i said no, said no to it, said no to that, said no to them, i declined, i refused, do not do that, will not do "
    "that, not doing that, not going for that, did not do that, not had it done, not had that done, not done that, not "
    "got it done, decided against it, decided against that, passed on that"
)
_LEFT = phrase_list(
    "did not do it, did not bother, not done it, i passed on it, left mine alone, leave mine alone, mine stays, mine "
    "is staying, i leave it, we leave it, i left it, it stays as it is, no thanks, turned it down, turned him down, "
    "turned them down, turned that down"
)
_WOULD_BE = phrase_list("it be, that be, she be, which be, then be")
_REPLACED = frozenset(word_list("replaced changed fixed swapped renewed sorted repaired"))
_WHO = frozenset(word_list("i we he she they you garage mechanic somebody dealer"))
_IN_PLACE = frozenset(word_list("in fitted installed mounted already been since"))
_WANTED = frozenset(word_list("need needs want wants order ordered buy get looking after fancy quote when until if"))

_THROWN_OUT = frozenset(word_list("ditched binned junked dumped chucked slung scrapped"))
_IDEAS = frozenset(word_list("idea thought plan plans notion clutch"))


def given_up_for(before: Sequence[Token], following: str) -> bool:
    """Does a "for" tell what stands for something thrown out: "ditched the dual mass for a solid flywheel"?"""
    words = [token.word for token in before]
    thrown = max((at for at, word in enumerate(words) if word in _THROWN_OUT), default=len(words))
    return following in ("a", "an", "one") and thrown < len(words) - 1 and not _IDEAS & set(words)


def gone_over(tokens: Sequence[Token]) -> bool:
    """Do the words behind an "and" tell what stands for the old: "binned the dual mass and gone to a solid"?"""
    first, second = ([token.word for token in tokens] + ["", ""])[:2]
    return first in ("gone", "went", "moved", "switched", "changed") and second in (
        "to",
        "over",
        "for",
        "solid",
        "single",
    )


def gone_by(several: Sequence[list[str]], was: Sequence[bool]) -> set[int]:
    """The parts that tell of what was; ``was`` says of each whether a verb of the past stands in it."""
    gone: set[int] = set()
    new_one_in = any(_new_one_in(words) for words in several)
    for number, words in enumerate(several):
        if " ".join(words) in _ONCE and number + 1 < len(several):
            gone.add(number + 1)
        if _HAD_ONE.stand_in(words[:6]):
            gone.add(number)
        if new_one_in and not _new_one_in(words) and (was[number] or set(words) & OLD) and "new" not in words:
            gone.add(number)  # "the old clutch has slipped, but now a new one is in"
        if number and _SOLD.stand_in(words) and {"had", "was"} & set(several[number - 1]):
            gone |= {number - 1, number}
        mended = len(words) > 2 and words[0] in _WHO and words[1] in _REPLACED and words[2] in ("it", "that")
        if number and was[number - 1] and (mended or (words[-1:] == ["ago"] and len(words) < 7)):
            gone.add(number - 1)  # "the clutch slipped and he changed it", "..., eighty thousand miles ago"
    return gone


def _new_one_in(words):
    """Is a new clutch in the car: "now a new one is in", "since the new clutch is in"?"""
    for at, word in enumerate(words[:-1]):
        if word == "new" and words[at + 1] in ("one", "clutch"):
            return bool(set(words[at + 2 : at + 6]) & _IN_PLACE or "since" in words[:at]) and not _WANTED & set(words)
    return False


def was_replaced(words: list[str], at: int) -> bool:
    """Was it had mended: "had a slipping clutch replaced", "slipped and was changed"?  ``at``: its place."""
    before, behind = words[:at], words[at:]
    done = next((place for place, word in enumerate(behind) if word in _REPLACED), None)
    had = any(word == "had" and words[place + 1 : place + 2] != ["to"] for place, word in enumerate(before))
    if done is not None and (had or behind[done - 1] in ("was", "were", "got", "been")) and behind[done - 2] != "to":
        return True
    verb = before[-2:-1] if before[-1:] and before[-1] in ("a", "the", "my", "its") else before[-1:]
    return bool(verb) and verb[0] in _REPLACED and bool(set(before) & _WHO) and not {"to", "want", "need"} & set(before)


def to_come(several: Sequence[list[str]], ahead: Sequence[bool]) -> set[int]:
    """The parts that tell of what would be: "..., it'd be around 350 kilowatts then"; ``ahead``: those known to."""
    later: set[int] = set()
    for number, words in enumerate(several):
        would = _WOULD_BE.stand_in(words)
        before = number and (ahead[number - 1] or number - 1 in later)
        if (would or words[:1] == ["then"]) and (before or "then" in words[-1:] or words[:1] == ["with"]):
            later.add(number)
        if (
            words[-1:] == ["later"]
            and words[-2:-1]
            and words[-2] not in ("weeks", "months", "years", "days", "miles", "week", "month", "year", "day")
        ):
            later.add(number)  # "maybe a remap later"
    return later


def declined(several: Sequence[list[str]], ahead: Sequence[bool]) -> set[int]:
    """The parts before one that says it was not done: "promises 400 Nm with their chip, but I said no"."""
    return {
        number - 1
        for number, words in enumerate(several)
        if number and len(words) < 11 and (_DECLINED.stand_in(words) or (ahead[number - 1] and _LEFT.stand_in(words)))
    }
