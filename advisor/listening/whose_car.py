"""Whose car a part of a sentence is about: by the people, the cars and the places in it."""

from collections.abc import Collection

from . import frame_words
from .word_lists import holds


def of_another(words: list[str], owners: Collection[int] = ()) -> bool:
    """Do the words of a part begin to tell of somebody else's car, or of another of the caller's?

    ``owners``: places of words that end with an 's.
    """
    origin = of_origin(words)
    if any(holds(words, text) for text in frame_words.OTHER_PHRASES if not (origin and text == "donor")):
        return True
    out_of_one = (
        not origin and holds(words, "out of a") and not {"engine", "motor", "lump", "gearbox", "box"} & set(words[:4])
    )
    if out_of_one or holds(words, "came out of"):
        return True
    if any(word == "his" and not set(words[at + 1 : at + 2]) & frame_words.HIS_OWN for at, word in enumerate(words)):
        return True
    for at, word in enumerate(words):
        behind = words[at + 1 : at + 8]
        if word == "customer" and (
            not {"a", "another", "other", "last", "previous"} & set(words[max(0, at - 1) : at])
            or words[max(0, at - 2) : at] in (["for", "a"], ["got", "a"])
        ):
            continue  # his is the car that is spoken of
        if word in frame_words.PEOPLE and {"by", "from"} & set(words[max(0, at - 3) : at]):
            continue  # "rated by the fella who built it"
        if word in frame_words.PEOPLE | {"cousin"} and (
            (set(behind[:1]) & frame_words.DYNOS and not set(behind[1:2]) & frame_words.CARS)
            or (words[max(0, at - 3) : at] in frame_words.THIS_IS and set(behind[:1]) & frame_words.CARS)
        ):
            continue  # "at the wheels on my cousin's dyno", "it's my lad's car"
        if word in frame_words.PEOPLE and (_works_on_it(behind) or behind[:3] in frame_words.AT_WORK):
            continue  # "my lad's got the gearbox out", "the bloke at the garage says"
        if word in ("somebody", "someone") and set(behind[:3]) & frame_words.CHANGED_BY and _in_it(behind):
            continue  # "somebody's put a solid one in it"
        if word in frame_words.PEOPLE and behind[:1] in (["who"], ["that"]) and set(behind[1:2]) & frame_words.WORKED:
            continue  # "the chap who made them says"
        if (
            word in frame_words.ADDRESSED
            and at > 1
            and words[at - 1] == "me"
            and words[at - 2] in frame_words.BEFORE_ME
        ):
            continue
        if (
            word in frame_words.PEOPLE
            and word != "they"
            and (word not in frame_words.ADDRESSED or (at and words[at - 1] in frame_words.BEFORE_PEOPLE))
        ):
            return True
        if word == "they" and behind[:1] and behind[0] in ("make", "makes", "get", "run", "put", "all"):
            return True
        if word in frame_words.FAMILY and words[max(0, at - 2) : at] in (
            ["is", "the"],
            ["is", "my"],
            ["for", "the"],
            ["for", "my"],
        ):
            continue  # hers is the car that is spoken of
        if word in frame_words.FAMILY and set(behind[1:4]) & frame_words.NO_CARS:
            continue  # "my daughter's got her test"
        if word in frame_words.FAMILY | frame_words.PEOPLE and _theirs(behind, at in owners):
            return True
        if word in frame_words.FAMILY and behind[:1] in (["has"], ["runs"], ["uses"]) and behind[1:2] == ["it"]:
            continue  # "my daughter has it to get to college"
        if word in frame_words.FAMILY and (
            set(behind[:1]) & (frame_words.CARS | {"has", "got", "runs", "makes"}) or behind[:2] in (["is", "got"],)
        ):
            return True
        if word in ("he", "she") and behind[:1] and behind[0] in ("races", "has", "runs", "makes") and word == "he":
            return True
    return False


def of_origin(words: list[str]) -> bool:
    """Is told where a part of this clutch came from: "the cover came off a scrapper", "a used plate from a donor"?"""
    return bool(frame_words.PARTS_OF_CLUTCH & set(words)) and bool(frame_words.ORIGINS & set(words))


def _theirs(behind, owner):
    """As in "my son's is rear wheel drive", where 's and a verb tell that his is the car, and "drives a 4x4"."""
    if owner and behind[:1] and behind[0] in frame_words.OF_THEIRS:
        return True
    return behind[:1] != [] and behind[0] in frame_words.THEY_HAVE and behind[1:2] in (["a"], ["an"], ["the"], ["one"])


def _in_it(behind):
    into = ("it", "this", "her", "there", "before")
    return any(
        behind[at] in ("in", "on") and behind[at + 1 : at + 2][:1] in ([], *([word] for word in into))
        for at in range(len(behind))
    )


def _works_on_it(behind):
    """Is he somebody who has this car's gearbox out, or does its clutch?"""
    if behind[:1] in (["is"], ["has"]):
        behind = behind[1:]
    on_it = any(
        behind[at] == "the" and behind[at + 1] in ("gearbox", "box", "clutch", "job")
        for at in range(1, len(behind) - 1)
    )
    return behind[:1] != [] and behind[0] in frame_words.WORKS and on_it
