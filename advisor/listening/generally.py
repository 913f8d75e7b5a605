"""What is said of clutches in general and of none that is there: "noise is a terrible thing in a clutch"."""

from collections.abc import Sequence

from .word_lists import phrase_list, word_list

#: By these it is somebody's own.
_OWN = frozenset(word_list("i my mine me our we this here it got she new one now"))
_LEADS = frozenset(word_list("well so but and look mind oh ah now you know they say i always"))
#: Verbs of what holds of every thing of the kind.
_VERBS = frozenset(word_list("is are can means mean will would costs cost needs need ruins kills kill drives makes"))
#: Of no one in particular.
_ANYBODY = phrase_list(
    "in a clutch, in any clutch, on a clutch, of a clutch, for a clutch, for anybody, for anyone, for people, terrible "
    "thing, horrible thing, dangerous thing, bad thing, awful thing, nasty thing, sign of, part of life, people mad, "
    "things to, killer of, expensive thing, worst thing, never a good, "
    "never good, always a bad, always bad, bad news, good sign, bad sign, old story, in any car, in a car"
)
_GROUPS = frozenset(word_list("they these those people folk folks most some everybody everyone all"))
_USUALLY = frozenset(word_list("usually normally generally typically tend often commonly mostly"))


def in_general(before: Sequence[str], inside: Sequence[str], behind: Sequence[str]) -> bool:
    """Is a fault named as a kind of thing and told of by nobody: "a slipping clutch is a danger on a hill"?

    The arguments are the words of a part of a sentence before what was heard, of it and behind it.
    """
    words = [*before, *inside, *behind]
    lead = [word for word in before if word not in _LEADS]
    own_words = [word for word in words if word in _OWN and not (word == "i" and before[:2] == ["i", "always"])]
    if own_words:
        return False
    led_by_article = lead in (["a"], ["an"], ["any"]) or (not lead and inside[:1] in (["a"], ["an"], ["any"]))
    if not _VERBS & {*inside[1:3], *behind[:3]}:
        return False
    if led_by_article:
        return True
    return not lead and _ANYBODY.stand_in(words)


def of_them_all(words: Sequence[str]) -> bool:
    """Is it told of a kind of car: "they usually make 300 horse with a remap"?"""
    return bool(words) and any(
        word in _GROUPS and (set(words[at + 1 : at + 3]) & _USUALLY or words[max(0, at - 1) : at] == ["usually"])
        for at, word in enumerate(words[:4])
    )
