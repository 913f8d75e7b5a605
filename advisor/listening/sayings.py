"""Sayings that hold words of the trade and mean none of them: "pull the trigger", "at sixes and sevens"."""

from collections.abc import Sequence

from ..knowledge.spoken import Token
from .number_words import NUMBER_WORDS
from .word_lists import phrase_list

_SAYINGS = tuple(
    text.split()
    for text in phrase_list(
        "full noise, pull the trigger, pulling the trigger, pulled the trigger, pulling your leg, pulling my leg, "
        "pull the other one, pull your finger out, sixes and sevens, six of one, half a dozen of the other, "
        "same boat, missed the boat, push the boat out, pushing the boat out, pushing my luck, push my luck, "
        "push comes to shove, two minds, back to square one, one in a million, ten to one, nine times out of ten, "
        "hundred per cent sure, hundred percent sure, 100 percent sure, one of these days, one way or another, "
        "second to none, two ticks, two shakes, cost an arm and a leg, arm and a leg, on cloud nine, kick the bucket, "
        "off the back of a lorry, drives me mad, drives me up the wall, driving me mad, "
        "light at the end of the tunnel, see the light, heavy going, heavy on the wallet, light on cash, "
        "slipped my mind, slips my mind, let it slip, slip of the tongue, drag my feet, dragging my feet, "
        "what a drag, makes a change, make a change, makes sense, make sense, makes no odds, "
        "on stage one, on stage 1, stage one of the rally, first stage, special stage, twin cam, twin cams, quad "
        "cam, single cam, overhead cam, four cam, one bit, one iota, "
        "how you going, how ya going, how ya goin, how are you, how are ya, how is it going, how is things, how do, "
        "track day on saturday, track day on sunday, track day this weekend, track day coming up, track day next, "
        "goes soft, went soft, gone soft, going soft, goes spongy, went spongy, "
        "have not touched it, have not touched, not touched it yet, test and tune, test and tunes, test n tune, "
        "go easy on me, easy on me, be gentle with me, gentle with me, been towed, got towed, was towed, get towed, "
        "towed home, "
        "towed in, towed away, tow truck, half dozen of the other, half a dozen of another, do not push me, "
        "hold the line, "
        "on the back burner, in the driving seat, steep price, bit steep, steep learning curve, over the hill, "
        "flat broke, "
        "flat battery, battery flat as a pancake, battery is flat as a pancake, tyre flat as a pancake, "
        "in the long run, at the end of the day, full tank of fuel, light on my feet, heavy heart, "
        "in my own garage, in own garage, in our own garage, in the garage at home, like a wet dog"
    )
)


def sayings(tokens: Sequence[Token]) -> list[tuple[int, int]]:
    """[(start, end)] of the sayings in ``tokens``."""
    words = [token.word for token in tokens]
    later = [
        (max(0, at - 3), at + 1)
        for at in range(2, len(words))
        if words[at] == "later"
        and words[at - 1].endswith("s")
        and any(tokens[place].is_number or words[place] in NUMBER_WORDS for place in range(max(0, at - 3), at - 1))
    ]  # "three pedal stops later"
    return later + [
        (at, at + len(saying))
        for saying in _SAYINGS
        for at in range(len(words) - len(saying) + 1)
        if words[at : at + len(saying)] == saying
    ]
