"""Numbers that people do not know exactly: "400 to 450 Nm", "about 400 hp", "at least 400 Nm".

The text is only taken apart here; its numbers are read like any other, and nothing is calculated from what was typed.
"""

import math
import re

from ..frozen import frozen

#: The share by which a number said to be rough may be off either way; judgement.
ROUGH = 0.05
#: How far beyond the number said it may lie where only one end was said ("at least"); judgement.
OPEN = 0.25
#: Words before a number, and behind it, by what they say of it.
BEFORE = {
    "about": "about, around, roughly, approximately, approx, circa, ca, maybe, say, something like, in the region of, "
    "near enough, call it, nearly exactly, ~, probably, must be about, give or take, somewhere around, ish",
    "over": "just over, a bit over, a touch over, a shade over, a little over, slightly over, a bit more than, "
    "slightly more than, just above, a bit above, a tad over, just past",
    "under": "just under, a bit under, a touch under, a shade under, a little under, slightly under, a bit less than, "
    "slightly less than, just below, a bit below, a tad under, nearly, almost, not quite, just shy of, "
    "knocking on, getting on for",
    "least": "at least, over, more than, north of, no less than, not less than, no lower than, not lower than, "
    "upwards of, above, better than",
    "most": "at most, up to, no more than, not more than, less than, under, below, maximum, max",
}
BEHIND = {
    "about": "or so, ish, or thereabouts, roughly, approx, give or take, thereabouts, or something, "
    "or something like that, near enough, ish i think",
    "least": "or more, at least",
    "most": "or less, at most, at the most, tops, max, maximum",
}
_RANGE = re.compile(r"(\S.*?)\s*(?:\b(to|till|through|and)\b|([-\u2010-\u2015]))\s*(\S.*)")
_BARE = re.compile(r"[+-]?[0-9./]+(?: [0-9]+/[0-9]+)?")
_UNIT = re.compile(r"[0-9./ ]*")


@frozen
class VagueNumber:
    """``way``: range, about, over, under, least or most; ``texts``: the number as said, or the two ends of a range."""

    way: str
    texts: tuple[str, ...]


def taken_apart(text: str) -> VagueNumber | None:
    """A text as something vague, or None where it says a number exactly, or none at all.

    >>> taken_apart("400 to 450 Nm").texts, taken_apart("about 400 hp"), taken_apart("430 Nm")
    (('400 Nm', '450 Nm'), VagueNumber(way='about', texts=('400 hp',)), None)
    """
    plain = " ".join(text.split())
    way, rest = _before(plain)
    if not way:
        way, rest = _behind(plain)
    ends = _range(rest, spoken=way == "from") if way in ("", "about", "from") else None
    if ends is not None:
        return VagueNumber("range", ends)
    return VagueNumber(way, (rest,)) if way and way != "from" else None


def _before(plain):
    folded = plain.casefold()
    if folded.startswith("~"):
        return "about", plain[1:].strip()
    best = ("", "")
    for way, phrases in (*BEFORE.items(), ("from", "from, between")):
        for phrase in phrases.split(", "):
            for start in (f"{phrase} ", f"{phrase}. "):
                if folded.startswith(start) and len(start) > len(best[1]):
                    best = way, start
    return best[0], plain[len(best[1]) :].strip()


def _behind(plain):
    folded = plain.casefold()
    best = ("", "")
    for way, phrases in BEHIND.items():
        for phrase in phrases.split(", "):
            for end in (f" {phrase}", f"-{phrase}"):
                if folded.endswith(end) and len(end) > len(best[1]):
                    best = way, end
    return best[0], plain[: len(plain) - len(best[1])].rstrip(" ,")


def _range(rest, spoken):
    """The two ends of a range, each with its unit; ``spoken``: "from" or "between" stood before."""
    match = _RANGE.fullmatch(rest)
    if match is None or not match[4][0].isdigit() or not match[1][-1].isalnum():
        return None
    if match[2] == "and" and not spoken:
        return None
    low, high = match[1], match[4]
    if not _BARE.fullmatch(low):
        return (low, high) if low[0].isdigit() else None
    if match[3] and "/" in high.partition(" ")[0]:
        return None  # five-and-a-half inches, written 5-1/2 in
    unit = high[_UNIT.match(high).end() :]  # type: ignore[union-attr]
    return (f"{low} {unit}".strip(), high)


def ends(way: str, value: float, resolution: float | None, least: float | None) -> tuple[float, float]:
    """(low, high) of a number said in that ``way``, which is no range.

    What is only about goes outwards to the ``resolution``; ``least``: the lowest that the number can be. An upper limit
    of what may be nothing at all leaves everything below open.
    """
    if way in ("least", "most"):
        nothing = least is not None and least <= 0.0
        low = value if way == "least" else min(value, 0.0) if nothing else value / (1.0 + OPEN)
        return low, value * (1.0 + OPEN) if way == "least" else value
    low = value if way == "over" else outwards(value * (1.0 - ROUGH), resolution, up=False)
    return low, value if way == "under" else outwards(value * (1.0 + ROUGH), resolution, up=True)


def outwards(value: float, resolution: float | None, *, up: bool) -> float:
    """``value`` moved away to a multiple of the resolution, where it stands on none."""
    if not resolution or float(value / resolution).is_integer():
        return value
    steps = value / resolution
    return (math.ceil(steps) if up else math.floor(steps)) * resolution
