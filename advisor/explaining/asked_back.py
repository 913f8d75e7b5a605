"""What is asked of the advice once it stands, in plain sentences, and which of the known questions it is.

The ways of asking stand in ``rules/questions.yaml`` under ``asked_back``; `answers_back` answers them from the record.
"""

import re
from collections.abc import Mapping

from ..frozen import frozen
from ..knowledge import spoken
from ..knowledge.model import AskedBack
from . import kit_meant

WHAT_IF, WHY_NOT = "what_if", "why_not"
_SMALL = frozenset(
    spoken.stem(word)
    for word in (*spoken.SLIGHT, "you", "i", "we", "he", "she", "my", "me", "your", "then", "for", ",")
)
_NOTHING = (0, 0, 0)
#: A word this long may be misspelt, by this much (rapidfuzz ratio).
LONG_WORD, ALIKE = 5, 84
_LEAD = re.compile(
    r"^(?:(?:and|so|but|ok|okay|right|well|er|erm|um|hmm|hang on|hold on|listen|mate|please|sorry|now|then|also|"
    r"one more thing|just one thing|quick question|last thing)[, ]+)+",
    re.IGNORECASE,
)
_TAKE = "(?:have|use|take|get|buy|run|fit)"
_WHAT_IF = re.compile(
    r"^(?:what(?:'?s| would| will)? happens? if|what if|what about if|how about if|and if|suppose|supposing|imagine|"
    r"what would change if|what changes if|(?:does|would) (?:it|that) change if|would (?:it|that) be different if|"
    r"is it different if|same (?:answer|thing|clutch|one|kit) if|"
    r"(?:would|will|does) it still (?:do|hold|work|be the one|be right|be enough|be ok|be all right) (?:if|with|when)|"
    r"if|say|let's say|what about|how about|and with|with)\s+(.+)$",
    re.IGNORECASE,
)
_WHY_NOT = re.compile(
    rf"^(?:why not|why can'?t i {_TAKE}|why (?:would|should)n'?t (?:you|i) (?:sell|{_TAKE})|"
    rf"(?:can|could|couldn|can')(?:'?t)? i (?:not )?(?:just )?{_TAKE}|what(?:'?s| is) wrong with|"
    r"why is(?:n'?t| not) it|why is it not|would(?:n'?t)?(?= .*\bdo\b))\s+(.+)$",
    re.IGNORECASE,
)
_ASKING = frozenset(
    re.findall(
        r"\S+",
        "how what why when which where who do does did is are was can could will would should shall may any anything "
        "has have got am isn't won't can't couldn't doesn't don't shouldn't wouldn't aren't haven't hasn't didn't hows "
        "whats tell",
    )
)


@frozen
class Asking:
    """``about``: a known question, or empty; ``rest``: what it is asked of; ``near``: names of the nearest."""

    about: str
    rest: str = ""
    near: tuple[str, ...] = ()


def is_asking(text: str) -> bool:
    """Does a line ask rather than tell: by its first word, or by its mark at the end?"""
    plain = _LEAD.sub("", text.strip())
    first = re.match(r"[a-z']+", plain.casefold().replace("\u2019", "'"))
    several = len(plain.split()) > 1
    return several and (plain.endswith("?") or bool(first and (first[0] in _ASKING or _known_lead(plain))))


def _known_lead(plain):
    return bool(re.match(r"(?:suppose|supposing|imagine|what's|how's|who's|let's say)\b", plain, re.IGNORECASE))


def asking(text: str, known: Mapping[str, AskedBack]) -> Asking:
    """Which known question a text is; with an empty ``about`` where it is none, and then the two nearest."""
    plain = _LEAD.sub("", " ".join(text.replace("\u2019", "'").split())).strip(" ?!.")
    match = _WHAT_IF.match(plain)
    if match and not _only_about(plain):
        return Asking(WHAT_IF, match[1])
    if match and _names_a_kit(match[1]):
        return Asking(WHY_NOT, match[1])
    if match and any(token.is_number for token in spoken.tokens(match[1])):
        return Asking(WHAT_IF, match[1])
    match = _WHY_NOT.match(plain)
    if match and not _weak_why_not(plain, match[1], known):
        return Asking(WHY_NOT, re.sub(r"\s+do$", "", match[1]))
    stems = [token.stem for token in spoken.tokens(plain)]
    scores = {name: _score(stems, entry.said) for name, entry in known.items()}
    best = max(scores.values(), default=_NOTHING)
    if best == _NOTHING:
        return Asking("", near=_nearest(plain, known))
    named = [name for name, score in scores.items() if score == best]
    if len(named) > 1:
        return Asking("", near=tuple(named[:2]))
    return Asking(named[0], plain)


def _only_about(plain):
    """Does it begin with words that suppose something only where a number or a choice follows: "what about ..."?"""
    return bool(re.match(r"(?:what about|how about|and with|with|say)\s(?!if\b)", plain, re.IGNORECASE))


def _names_a_kit(text):
    words = set(re.findall(r"[a-z]+", text.casefold()))
    return bool(words & {*kit_meant.DISCS, *kit_meant.FORMS, *kit_meant.FACINGS, *kit_meant.COMPARED})


def _weak_why_not(plain, rest, known):
    """Is "can I use my flywheel" a question about the flywheel rather than about another kit?"""
    if re.match(r"(?:why|what)", plain, re.IGNORECASE):
        return False
    stems = [token.stem for token in spoken.tokens(plain)]
    return any(_score(stems, entry.said) > _NOTHING for name, entry in known.items() if name not in ("kind",))


def _score(stems, ways):
    """(words that are no small ones, words, letters) of the longest way of asking that a question holds."""
    return max((_held(stems, spoken.phrase(way)) for way in ways), default=_NOTHING)


def _held(stems, wanted):
    """As `_score`, of one way of asking whose words stand in a question in order.

    Small words may stand between, and one other word where two of its own are no small ones.
    """
    may_skip = 1 if sum(word not in _SMALL for word in wanted) > 1 else 0
    for start in range(len(stems)):
        at, skipped = start, 0
        for place, word in enumerate(wanted):
            while at < len(stems) and not _same(stems[at], word) and place and skipped <= may_skip:
                skipped += stems[at] not in _SMALL
                at += 1
            if at >= len(stems) or skipped > may_skip or not _same(stems[at], word):
                break
            at += 1
        else:
            return sum(word not in _SMALL for word in wanted), len(wanted), sum(map(len, wanted))
    return _NOTHING


def _same(said, wanted):
    if said == wanted:
        return True
    if len(wanted) < LONG_WORD or len(said) < LONG_WORD - 1 or said[0] != wanted[0]:
        return False
    from rapidfuzz import fuzz

    return fuzz.ratio(said, wanted) >= ALIKE


def _nearest(plain, known):
    from rapidfuzz import fuzz

    ranked = sorted(known, key=lambda name: (-max(fuzz.token_set_ratio(plain, way) for way in known[name].said), name))
    return tuple(ranked[:2])
