"""What a later part of a sentence tells was taken off, sold or given up: "but that all came off", "sold it since".

Other rooms look for set phrases; here only the shape of such a part counts: a verb of leaving in the past, by which a
small word goes that stands for what was told last, and nothing else in it that is told of the car.
"""

from collections.abc import Sequence

from .frame_words import ALTERED, CHANGED, HAD_DONE
from .word_lists import phrase_list, word_list

#: Verbs of leaving that tell it by themselves, and those that need a small word behind them.
_LEFT = frozenset(
    word_list(
        "sold scrapped binned ditched removed deleted undone reversed returned reverted junked dumped nicked stolen "
        "flogged retired gone unbolted uninstalled disconnected quit dismantled"
    )
)
_LEFT_BY = frozenset(
    word_list(
        "came come went gone go took taken pulled ripped put sent gave given got threw thrown chucked packed tore fell "
        "stripped whipped unbolted lifted handed swapped wore worn chopped let wound turned dialled dialed "
        "knocked jacked traded backed yanked"
    )
)
_AWAY = phrase_list(
    "off, away, back, west, up on, in the bin, in the skip, in the river, in the shed, in the loft, in the attic, on "
    "the shelf, in a box, on ebay, on the scrap, to scrap, to a mate, to my mate, to the tip, rid of"
)
#: Particles that mean leaving behind some of the verbs only.
_OUT = frozenset(word_list("took taken pulled ripped tore whipped yanked stripped wore worn"))
_UP = {
    "gave": "up",
    "given": "up",
    "packed": "in",
    "jacked": "in",
    "chopped": "in",
    "let": "go",
    "knocked": "on the head",
}
#: What stands for what was told of.
_STANDS_FOR = frozenset(word_list("it that them those all lot thing stuff both they this these"))
_OPENS = frozenset(
    word_list(
        "well and so but then mind though sadly i we he she they have had has is was been are got since wife missus "
        "my the dad later long just now only eventually sold all that it which"
    )
)
#: By these nothing was taken away yet, or it is told of something else.
_NOT_SO = frozenset(
    word_list(
        "not never if when whenever until till unless will would could can may might should must need needs want wants "
        "going every always sometimes keeps before because how why what"
    )
)
_UNDECIDED = frozenset(word_list("if unless until till would could might should"))
#: Behind "been": it is as it was before, or is there no more.
_BEEN = phrase_list(
    "been out of it, been off, been gone, been wound back, been wound down, been turned down, been turned back, been "
    "dialled back, been dialed back, been put back, been put right, been taken off, been undone, been reversed, been "
    "swapped out, been changed back"
)
#: Behind "came off": it tells where it is from.
_FROM = frozenset(
    word_list("a an another my his her of with dyno rollers line phone internet web forum showroom forecourt")
)
_BARE = tuple(
    text.split()
    for text in phrase_list(
        "well it had, well it was, or it had, or it did, or i did, well i did, well we did, or used to"
    )
)


def taken_away(words: Sequence[str]) -> bool:
    """Does a part of a sentence, given by its words, tell that what was told before is gone?"""
    words = [word for word in words if word not in (",", "-")]
    if list(words) in _BARE or _is_off([word for word in words if word not in ("but", "all", "now", "again", "since")]):
        return True
    if not words or len(words) > 14:
        return False
    if words[:1] == ["so"] and words[1:2] in (["off"], ["out"]):
        words = words[1:]
    if (
        words[0] in ("off", "out", "away")
        and set(words[1:3]) & _STANDS_FOR
        and {"came", "went", "comes"} & set(words[2:4])
    ):
        return True  # "so off it came"
    if "been" in words[:6] and _been_undone(words):
        return True
    for at, word in enumerate(words):
        before, behind = words[:at], words[at + 1 :]
        if at > 6 or not (word in _LEFT or word in _LEFT_BY):
            continue
        if set(before) & _NOT_SO or set(behind) & _UNDECIDED:
            return False
        stands = bool(_STANDS_FOR & set(before[-5:])) or bool(_STANDS_FOR & set(behind[:3]))
        opens = set(before) <= _OPENS | _STANDS_FOR or before[:1] in (["i"], ["we"], ["he"], ["she"], ["they"])
        if stands and opens and (word in _LEFT or _leaves(word, behind)):
            return True
    return False


def _been_undone(words):
    """As in "the bottle's been out of it since", "been wound back since"."""
    return _BEEN.stand_in(words) and not set(words) & _NOT_SO - {"because"}


def _is_off(words):
    """As in "but it's all off it again"."""
    return words in (
        ["it", "is", "off", "it"],
        ["it", "is", "off"],
        ["that", "is", "off"],
        ["that", "is", "off", "it"],
        ["they", "are", "off"],
        ["they", "are", "off", "it"],
    )


def _leaves(verb, behind):
    """Does a small word behind the ``verb`` make it one of leaving: "took that lot off", "went back on the shelf"?"""
    near = behind[:6]
    if verb in _UP and all(word in near for word in _UP[verb].split()):
        return True
    if verb in _OUT and "out" in near[:4]:
        return True
    away = next(_AWAY.found(near), "")
    if verb == "got" and away != "rid of":
        return False  # "got it off the internet"
    if not away:
        return False
    place = near.index(away.split()[0]) + len(away.split())
    return not (away == "off" and set(behind[place : place + 2]) & _FROM)


#: Verbs by which somebody tells how it was and what was done with it, measuring and changing it left out.
_WAS_SO = frozenset(word_list("was were had ran did towed pulled raced launched carried used hauled competed"))
#: Of what was done to it, and is so still; of what was measured.
_DONE_TO_IT = CHANGED | ALTERED | HAD_DONE | frozenset(word_list("made measured dyno rollers rolling weighed has got"))
#: Words of another time than the one that is told of.
_OTHER_TIMES = phrase_list(
    "now, nowadays, these days, retired, till, until, any more, anymore, never again, not since, sadly not, no longer, "
    "too old, too dear, grown up, grew up"
)


def was_once(words: Sequence[str], own: range, behind: Sequence[Sequence[str]], *, empty: Sequence[bool]) -> bool:
    """Is what stands at the places ``own`` of a part told of how it was, and another time spoken of after it?

    ``behind`` are the words of the parts after it, ``empty`` says of each whether nothing in it is told of the car.
    """
    verbs = [at for at, word in enumerate(words) if word in _WAS_SO and at not in own and at <= own.start + 4]
    if not verbs or set(words) & _DONE_TO_IT or {"still", "always", "today", "yesterday", "not", "never"} & set(words):
        return False
    for said, nothing in zip(behind, empty, strict=True):
        if nothing and (said[:1] == ["but"] or _OTHER_TIMES.stand_in(list(said))):
            return True
    return False
