"""What is told of this car and is not so, or not so now: still to be done, only offered, nearly bought, gone since.

`frames` looks for small words of time; here are the verbs: "I'll turn it up to 20", "they can do me a stage 1", "it'd
be 350 kilowatts then", "we nearly went for the aluminium one", "a 75 shot, that's all been taken off".
"""

import itertools
from collections.abc import Sequence

from ..knowledge.spoken import Token
from .frame_kinds import AHEAD, CARRIED, CONDITION, OTHER, PAST, WISH
from .generally import of_them_all
from .number_words import NUMBER_WORDS
from .word_lists import phrase_list, word_list

_WILL_BE_DONE = frozenset(
    word_list(
        "up turn fit put bolt add get go swap convert map remap chip tune upgrade build rebuild buy install stick slap "
        "throw wind crank bump raise lift switch strap bung hang whack probably order"
    )
)
_ADVERBS = frozenset(word_list("probably prolly also then maybe likely be just eventually"))
_PERSONS = frozenset(word_list("i we he they lads garage shop mate tuner dad son brother boy"))
_MODAL = frozenset(word_list("can could will would might may"))
_OFFERS = frozenset(word_list("offer offers offered offering promise promises promised promising"))
#: What somebody would do or have him do: "can do me a stage 1", "will do a tune for 699", "wants to sell me".
_OFFERED = phrase_list(
    "do me a, do us a, do you a, do me the, sell me, sell us, get me, build me, do a tune, do a map, do a remap, do "
    "a chip, do a stage, do the tune, do the remap, tune it to, map it to, remap it to, chip it to, flash it to, "
    "take it to, take it up to, get it to, get it up to, bring it to, bring it up to, bump it to, out of it, chip "
    "it, put it up to"
)
_TALKED_INTO = phrase_list(
    "wants to sell, want to sell, tried to sell, trying to sell, tried selling, wants me to, wanted me to, want me to, "
    "wants us to, wanted us to, says i should, said i should, reckons i should, says i ought, told me to get, "
    "told me to have, recommends, recommended, recommending, suggested, suggests, tried to talk, trying to talk"
)
#: What was nearly so, and is not.
_NEARLY = phrase_list(
    "was an option, were an option, was on offer, nearly went, nearly said, almost said, nearly bought, nearly got, "
    "nearly had, nearly chose, nearly took, nearly fitted, nearly put, almost went, almost bought, almost got, "
    "almost had, almost chose, almost took, almost fitted, almost put, could have had, could have gone, could have "
    "got, could have bought, should have got, should have bought, should have gone, was going to, were going to, was "
    "meant to be getting, was meant to be having, never got round to, never got around to, thought about, i looked "
    "at a, i looked at an, i looked at the, we looked at a, we looked at the, was offered, been offered, got "
    "offered, were offered, decided against, talked out of"
)
#: When something is still to be done.
_TO_COME = phrase_list(
    "fixing to, getting ready to, gearing up to, new year, come spring, come summer, come autumn, come winter, come "
    "fall, come march, come april, come may, come june, come christmas, when i am done, when we are done, when it is "
    "all done, once i am done, once it is all done, once it is all in, when it is all together, when i get the, once "
    "i get the, once we get the, once i have the, once i have got the, when the money, once the money, if the money, "
    "show up, shows up, turns up, turn up the boost, when they arrive, when it arrives, once they arrive, once it "
    "arrives, next on the list, next job, next step, next up is, on the list, wish list, shopping list, to do list, "
    "once he is finished, once he is done, when he is finished, when he is done, once they are done, when they are "
    "done, once they have finished, once they are finished, booked in for a, booked for a, booked it in for a, later "
    "in the year, end of the year, before the year, sooner or later, at some point, in due course, when i get round "
    "to, get around to it, in time for, ready for the season, for next season"
)
_DATES = frozenset(
    word_list(
        "monday tuesday wednesday thursday friday saturday sunday weekend week month year january february march april "
        "may june july august september october november december spring summer autumn winter fall season"
    )
)
_NOT_NEW_YEAR = frozenset(word_list("since last"))
#: Beside "it'd be": something that it does not have yet.
_THEN = frozenset(word_list("then bigger larger after once if"))
_IF_SO = frozenset(word_list("be make makes have give put do see come push pull weigh need hold run"))

#: Behind "say I" it is only supposed; behind "until" it is over.
_DID = frozenset(word_list("ran had put was were went launched towed fitted did took got bolted raced turned wound"))
_LEFT_OFF = frozenset(word_list("left died broke sold came retired blew went moved stopped snapped started found"))

#: What has become of something.
_GONE = phrase_list(
    "came off, sold, gone, removed, scrapped, binned, deleted, disconnected, unplugged, taken off, taken out, took "
    "off, took out, pulled off, pulled out, ripped off, ripped out, stripped out, stripped off, thrown away, chucked "
    "out, chucked away, got rid, off it now, out of it now, written off, blew up, traded in, given back, sent back, "
    "done away with"
)
#: What stands for it there.
_STANDS_FOR = frozenset(word_list("that they them those it all these lot"))
_SOLD = frozenset(word_list("sold gone scrapped binned removed"))
_NOT_ONES = frozenset(
    word_list("clutch gearbox box engine motor transmission lining friction plate disc flywheel it i")
)
_MENDED = phrase_list(
    "had it replaced, had it changed, had it renewed, had it swapped, had that replaced, had that changed, had it "
    "sorted, had it fixed, had it mended, got it replaced, got it changed, got it sorted, got it fixed, put a new "
    "one in, fitted a new one, had a new one put in, had a new one fitted, had a new clutch put in, had a new clutch "
    "fitted, put a new clutch in, fitted a new clutch, been sorted, been fixed, been replaced, been cured, that is "
    "sorted, that was that, been done since, been replaced since, been changed since, been renewed since, been sorted "
    "since, been fixed since, been cured since, was done since, right as rain since, been fine since, been good since, "
    "been perfect since, they swapped it, they changed it, they replaced it, they fixed it, they sorted it, that is "
    "fixed, long been sorted, all sorted, a new one is in, new one in now, now a new one"
)
_ONCE_ALONE = phrase_list(
    "before, back then, in the past, previously, originally, years ago, at first, in the beginning, at the start, "
    "earlier, once, before that, before this, at one time, to begin with, to start with"
)


def frames_of(tokens: Sequence[Token]) -> set[str]:
    """The frames a part of a sentence stands in by its verbs."""
    words = [token.word for token in tokens]
    kinds = set()
    if _will_be_done(words) or _offered(words):
        kinds.add(AHEAD)
    if _NEARLY.stand_in(words):
        kinds.add(AHEAD)
    if _TO_COME.stand_in(words) and not _NOT_NEW_YEAR & set(words):
        kinds.add(AHEAD)
    if any(word == "next" and later in _DATES for word, later in itertools.pairwise(words)):
        kinds.add(AHEAD)  # "a stage 2 next Tuesday"
    if _who_had(tokens):
        kinds.add(PAST)
    if words[:1] == ["had"] and words[1:2] != [] and words[1] in ("it", "she") and words[2:3] == ["been"]:
        kinds.add(AHEAD)  # "had it been a diesel I'd never have bought it"
    if _of_his_time(words):
        kinds.add(PAST)
    if words[:1] == ["say"] and words[1:2] != [] and words[1] in ("i", "we", "it", "you") and set(words[2:3]) & _DID:
        kinds.add(CONDITION)  # "say I ran it at 20 psi"
    if of_them_all(words):
        kinds.add(OTHER)
    if words[:1] == ["had"] and words[1:2] != [] and words[1] in _PERSONS | {"it", "she"} and would_be(tokens) > 0:
        kinds.add(AHEAD)  # "had they fitted the right one it'd be a pull type"
    if would_be(tokens) >= 0 and _THEN & set(words):
        kinds.add(AHEAD)
    return kinds


def _of_his_time(words):
    """As in "when my brother had it there was", "in my racing days", "until the kids left home"."""
    if words[:1] == ["when"] and "had" in words[2:4] and words[words.index("had") + 1 :][:1] in (["it"], ["her"]):
        return True
    if words[:1] == ["in"] and words[1:2] in (["my"], ["our"], ["his"], ["the"]) and "days" in words[2:5]:
        return True
    at = next((place for place, word in enumerate(words) if word in ("till", "until")), len(words))
    return bool(set(words[at + 2 : at + 6]) & _LEFT_OFF)


def _will_be_done(words):
    """As in "I'll probably turn it up to 20"."""
    for at, word in enumerate(words):
        if word in ("will", "shall", "might", "may") and at and words[at - 1] in _PERSONS:
            behind = [later for later in words[at + 1 : at + 4] if later not in _ADVERBS]
            if behind[:1] != [] and behind[0] in _WILL_BE_DONE and behind[1:2] not in (["with"], ["for"]):
                return True
    return False


def _offered(words):
    """As in "a tuner offered me 320 horsepower", "they can do me a stage 1", "they wanted me to have the other"."""
    for at, word in enumerate(words):
        if word in _OFFERS and words[at + 1 : at + 2] != [] and words[at + 1] in ("me", "us", "to", "a"):
            return True
    modal = next((at for at, word in enumerate(words) if word in _MODAL), len(words))
    others = modal and words[modal - 1] not in ("it", "she", "i", "we", "you")
    if others and words[modal + 1 : modal + 2] in (["see"], ["get"]) and {"in", "from"} & set(words[modal + 2 :]):
        return True  # "the tuner can see 350 horse in it"
    if others and _OFFERED.stand_in(words[modal:]):
        return True
    return _TALKED_INTO.stand_in(words)


def _who_had(tokens):
    """As in "a farmer who'd towed a digger with it", "somebody who used to drift it"."""
    for at, token in enumerate(tokens[:-1]):
        behind = tokens[at + 1].word
        short = token.end - token.start == len("who'd")
        if token.word == "who" and (behind in ("had", "used") or (short and behind.endswith("ed"))):
            return True
    return False


def would_be(tokens: Sequence[Token]) -> int:
    """The place of the "it" in "it'd be 350 kilowatts"; -1 where nothing of the kind is said."""
    for at, token in enumerate(tokens[:-1]):
        short = token.end - token.start == len(token.word) + 2  # the 'd is gone, its place is still seen
        if token.word in ("it", "that", "she") and short and tokens[at + 1].word in _IF_SO:
            return at
    return -1


def said_of_before(tokens: Sequence[Token], parts: Sequence[tuple[int, int, str]], by_part: list[set[str]]) -> None:
    """Adds to the frames of parts what other parts say of them: it is gone since, it was once, it hangs on an if."""
    words = [[token.word for token in tokens[start:end]] for start, end, _ in parts]
    for number, said in enumerate(words):
        start, end, stop = parts[number]
        if " ".join(said) in _ONCE_ALONE and stop == "," and number + 1 < len(parts):
            by_part[number + 1].add(PAST)  # "Before, I had one with 200 PS"
        if number and would_be(tokens[start:end]) >= 0 and by_part[number - 1] & {AHEAD, WISH, CONDITION, CARRIED}:
            by_part[number].add(AHEAD)  # "thinking of a bigger turbo, it'd be 350 kilowatts"
        alone = end - start < 5 and number > 1 and words[number - 1][:1] == ["before"] and "now" not in said
        if alone and PAST in by_part[number - 2]:
            by_part[number].add(PAST)  # "we had her on the rollers before the turbo went on, 95 kilowatts"
        number_alone = said[:1] != [] and said[0] in ("a", "an", "about", "roughly", "some") and end - start < 6
        if number_alone and number and PAST in by_part[number - 1] and parts[number - 1][2] == "," and _counts(said):
            by_part[number].add(PAST)  # "I used to run nitrous on it, a 75 shot"
        if number and said[:2] == ["that", "was"] and "ago" in said:
            by_part[number - 1].add(PAST)
        for before in _gone_before(words, number):
            by_part[before].add(PAST)


def _counts(words):
    """Does a part without a verb count something?"""
    return any(word[0].isdigit() or word in NUMBER_WORDS for word in words) and not {"is", "has", "now", "it"} & set(
        words
    )


def _gone_before(words, number):
    """The parts before that tell of what is said to be gone in a part: "a 75 shot, that's all been taken off"."""
    said = words[number]
    gone = next(_GONE.found(said), "")
    if not number or not gone or {"not", "never", "if", "when", "until", "till"} & set(said):
        return []
    place = said.index(gone.split()[0])
    before = said[:place]
    back = [step for step in range(max(0, number - 3), number) if len(words[step]) > 1 or words[step][0].isdigit()]
    named = [word for at, word in enumerate(before) if at and before[at - 1] in ("the", "my") and word not in _NOT_ONES]
    if named and gone.split()[0] in _SOLD:
        first = next((step for step in back if named[-1] in words[step]), number)
        return [step for step in back if step >= first]
    object_ = said[place + 1 : place + 2] if len(gone.split()) == 1 else said[place + 1 : place + 1]
    if _STANDS_FOR & set(before) - {"it"} or (object_ and object_[0] in ("that", "them")):
        return back[-2:] if len(back) > 1 and len(words[back[-1]]) < 5 else back[-1:]
    return []


def mended_since(words: Sequence[str]) -> bool:
    """Is it told that it was put right: "it was slipping, so I had it replaced"?"""
    if {"again", "still", "not", "but"} & set(words):
        return False
    return _MENDED.stand_in(words)
