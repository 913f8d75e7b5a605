"""What a later part of a sentence says of those before it: sold since, no more than a joke, of the other car."""

from collections.abc import Sequence

from . import frame_words
from .frame_kinds import AHEAD, DOUBT, GOODS, OTHER, PAST, WITHDRAWN
from .undone_since import undone_since
from .word_lists import holds, word_list

#: What is said of the part before.
_BACKWARDS = (
    (GOODS, frame_words.SAYS_ON_IT),
    (PAST, frame_words.SINCE_GONE),
    (AHEAD, frame_words.NOT_DONE_YET),
    (OTHER, frame_words.OF_SOMETHING_ELSE),
    (WITHDRAWN, frame_words.TAKEN_BACK),
    (DOUBT, frame_words.UNCERTAIN),
)

#: Of which it was so, and is not this one's.
_ANOTHERS = frozenset(word_list("other another different else elsewhere old previous"))


def said_back(by_part: list[set[str]], several: Sequence[list[str]]) -> None:
    """Adds to the frames of every part, ``by_part``, what the words of later parts, ``several``, say of it."""
    _one_of_two_cars(by_part, several)
    _not_meant(by_part, [" ".join(words) for words in several])
    _said_of_before(by_part, several)


def fragment(words: list[str]) -> bool:
    """Does a part tell nothing by itself, for want of a verb or of a time: "say a 75 shot", "I think"?"""
    if " ".join(words) in frame_words.ASIDES:
        return True
    return not (set(words) & frame_words.VERBS) and not (
        {"now", "currently", "today", "already", "mine"} & set(words) or holds(words, "so far")
    )


def _said_of_before(frames_so_far, several):
    """Frames for a part from what is said of it in the next: "100 shot, but that's not hooked up yet"."""
    undone_since(frames_so_far, several)
    for number, words in enumerate(several):
        if number and _since_gone(words):
            for before in range(number - 1 - (number > 1 and fragment(several[number - 1])), number):
                frames_so_far[before].add(PAST)
        if number and words[:1] == ["then"] and "had" in several[number - 1] and {"went", "died", "broke"} & set(words):
            by_part_before = frames_so_far[number - 1]
            by_part_before.add(PAST)  # "I had 800 put by, then the boiler went"
        if number and _of_another(words):
            frames_so_far[number - 1].add(OTHER)
        for gone in _sold_since(words):
            for before in range(number):
                rest = [word for word in several[before] if word not in ("of", "it")]
                if gone in several[before] or (before and gone in several[before - 1] and fragment(rest)):
                    frames_so_far[before].add(PAST)
        for kind, phrases in _BACKWARDS:
            at_play = "messing" in words and {"about", "around"} & set(words)
            if not phrases.stand_in([word for word in words if word != "messing"] if at_play else words):
                continue
            if kind == DOUBT and any(frame_words.CONFIRMED.stand_in(later) for later in several[number + 1 :]):
                continue
            alone = len(words) <= 10
            first = number - 2 if kind in (WITHDRAWN, DOUBT, GOODS) else number - 1
            for before in range(max(0, first if alone else number), number + 1):
                frames_so_far[before].add(kind)


def _one_of_two_cars(frames_so_far, several):
    """Of two cars of the caller's "the blue one" is the other where he says which one it is about."""
    for_that = {vehicle for words in several for vehicle in _for_which(words)}
    for number, words in enumerate(several):
        of_this = words[:1] in (["the"], ["my"], ["our"]) and words[1:2] and words[1] in frame_words.VEHICLES
        if for_that and of_this and words[1] not in for_that and for_that <= frame_words.VEHICLES - {words[1]}:
            frames_so_far[number].add(OTHER)
    whole = [word for words in several for word in words]
    if not frame_words.TWO_CARS.stand_in(whole):
        return
    for number, words in enumerate(several):
        for at in range(2, len(words)):
            pointed = words[at] == "one" and words[at - 2] == "the" and words[at - 1] in frame_words.COLOURS
            counted = words[at + 1 : at + 2] == ["point"] or "mine" in words[:at]  # "mine's the little one point six"
            if pointed and not counted and words[at - 3 : at - 2] not in (["for"], ["about"], ["is"]):
                frames_so_far[number].add(OTHER)


def _for_which(words):
    """The vehicle that it is said to be for: "this clutch is for the hatchback", "it's the car I want it for"."""
    for at in range(1, len(words) - 1):
        if (
            words[at] == "for"
            and words[at - 1] in ("is", "clutch", "one", "it", "but")
            and words[at + 1] in frame_words.MY
        ):
            return [word for word in words[at + 2 : at + 5] if word in frame_words.VEHICLES][:1]
    its_the = words[:1] in (["it"], ["this"]) and words[1:3] in (["is", "the"], ["is", "my"])
    if its_the and words[3:4] and words[3] in frame_words.VEHICLES and words[4:5] in (["i"], ["we"], ["that"], []):
        return words[3:4]
    return []


def _since_gone(words):
    """Is it said of the part before that it was long ago, or was taken off: "that was ten years and two tunes ago"?"""
    if words[:2] in (["that", "was"], ["this", "was"], ["it", "was"]) and "ago" in words:
        return True
    of_it = words[:1] != [] and words[0] in ("that", "which", "those", "they", "all")
    return of_it and len(words) < 10 and frame_words.TAKEN_OFF_SINCE.stand_in(words)


def _of_another(words):
    """Is it said of the part before that it was something else: "but that was some other engine altogether"?"""
    words = [word for word in words if word not in ("but", "although", "though", "mind", "and", "well", "or")]
    of_before = words[:1] != [] and words[0] in ("that", "those", "it", "this") and words[1:2] in (["was"], ["were"])
    return of_before and len(words) < 10 and bool(_ANOTHERS & set(words[2:6]))


def _sold_since(words):
    """The things that are said to be sold or gone: "the caravan got sold last year"."""
    for at in range(1, len(words) - 1):
        behind = [
            word for word in words[at + 1 : at + 4] if word not in ("got", "was", "is", "has", "been", "since", "get")
        ]
        if words[at - 1] in ("the", "that", "my", "our") and behind[:1] and behind[0] in frame_words.IS_GONE:
            return [words[at]]
    return []


def _not_meant(frames_so_far, several):
    """Takes back what a part says no more of than that it was a joke: "a thousand horse, obviously, no, it's a ..."."""
    for number, said in enumerate(several):
        joked = said in frame_words.NOT_MEANT and number
        if joked and (said != "obviously" or (several[number + 1 :] or [""])[0] in ("no", "nah", "not")):
            frames_so_far[number - 1].add(WITHDRAWN)
