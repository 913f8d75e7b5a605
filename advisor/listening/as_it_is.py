"""What is told of how the clutch is today, where what is asked is how it must be: "it's as quiet as a mouse"."""

from collections.abc import Sequence

from ..knowledge.spoken import Token
from .word_lists import phrase_list, word_list

#: What may be so today, and the verbs that tell of it.
_THINGS = frozenset(word_list("it she pedal engine motor clutch car box gearbox everything take-up noise"))
_IS = frozenset(word_list("is was feels sounds runs takes pulls moves comes bites goes grips engages seems"))
#: Beside one of these it is wished or accepted for all that.
_WISHED = frozenset(
    word_list(
        "must want wants wanted need needs should please stay stays stayed keep keeps kept can may could might would "
        "will like love prefer hope ask ought got if whether fine ok okay alright mind care bother bothers bothered "
        "matter matters problem accept live worry fuss fussed issue important kills hurts tolerate stand hate leg knee "
        "wish possible suits happy be drama dramas worries trouble hassle stress drawback odds"
    )
)
_MUST = phrase_list("has to, have to, got to, as long as, so long as, provided, so that, up to, used to")
_ELSE = phrase_list(
    "otherwise, apart from that, other than that, rest of the time, out of it, from it, at the moment, right now, "
    "any other time, all other times"
)
#: In the part behind, it asks that it be so still: "..., and I'd like it to stay that way".
_STAYS = frozenset(word_list("stay stays keep remain like want must should way"))


def told_of_today(tokens: Sequence[Token], parts: Sequence[tuple[int, int, str]], part: int, end: int) -> bool:
    """Is what ends at token ``end`` of a part said of how it is, and neither wished nor accepted?"""
    first, last, _ = parts[part]
    words = [token.word for token in tokens[first:last]]
    if set(words) & _WISHED or _MUST.stand_in(words):
        return False
    if part + 1 < len(parts):
        behind = {token.word for token in tokens[slice(*parts[part + 1][:2])]}
        if len(behind & _STAYS) > 1:
            return False
    if _ELSE.stand_in(words):
        return True
    return any(
        tokens[at].word in _THINGS
        and (tokens[at + 1].word in _IS or tokens[at].end - tokens[at].start == len(tokens[at].word) + 2)
        for at in range(first, min(end, last - 1))
    )
