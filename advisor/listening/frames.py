"""Whose car, when, and how sure: what a part of a sentence is about, from the small words around its facts."""

from collections.abc import Collection, Sequence

from ..knowledge.spoken import Token
from .word_lists import phrase_list, word_list

OTHER, PAST, AHEAD, WISH = "another car", "past", "ahead", "a wish"
CONDITION, CARRIED, AS_NEW = "a condition", "still ahead", "as it was new"
QUESTION, DOUBT, WITHDRAWN = "question", "doubt", "taken back"

#: What stands in the way of a fact only where the car as it is is spoken of.
NOT_YET = frozenset((AHEAD, WISH, CARRIED, CONDITION, QUESTION, DOUBT))

#: Signs that part a sentence; "and" and "but" do before some words.
_STOPS = frozenset(".;!?,:()=")
_AND_BEFORE = frozenset(
    word_list(
        "i it he she we they the my mine this that you going want wants planning hoping thinking might would "
        "maybe is has there next later"
    )
)
_OWN = (
    "mine",
    "in this",
    "in mine",
    "on mine",
    "on this",
    "this thing",
    "my car",
    "my one",
    "ours",
    "this one",
    "this car",
    "my own",
)
_PEOPLE = frozenset(
    word_list(
        "mate friend brother sister neighbour neighbor bloke guy fella lad chap cousin uncle "
        "colleague buddy someone somebody customer fellow people everyone others they"
    )
)
_CARS = frozenset(word_list("car one ute van truck wagon motor bus pickup estate"))
#: Words by which the salesperson himself is addressed: somebody else only behind one of the others.
_ADDRESSED = frozenset(word_list("mate buddy lad fella chap guy people"))
_BEFORE_PEOPLE = frozenset(word_list("a my me his her our the another some other this that old good"))
_FAMILY = frozenset(
    word_list("man boss wife husband missus dad father mum mother son daughter girlfriend boyfriend partner")
)
_HAS = frozenset(
    word_list("has have had got get runs run makes make made puts put did is was 's owns drives gets says said")
)
_OTHER_PHRASES = phrase_list(
    "other car, another car, other one, old car, previous car, last car, his, hers, theirs, on the forum, "
    "the forum, online, on the internet, video, same engine in, same engine, similar car, similar one, "
    "identical car, the last one, last customer, the old one, one before, his car, her car, their car, "
    "the one before, spare car, race team, playstation, simulator, game, magazine, donor, the shop car, "
    "second car, came out of, out of a"
)
_PAST = phrase_list(
    "by mistake, in error, ordered the wrong, sent me, used to, originally, when new, was new, before the, before "
    "it, before that, back when, back then, "
    "previously, formerly, until, on the old, with the old, it had, she had, when i bought, "
    "when i got, years ago, last year, last season, in the past, no longer, last clutch, "
    "previous clutch, had the, at the time, before, came off, years back, "
    "lasted, swapped out, got rid of, previous owner ran, previous owner had, "
    "previous owner was, last owner ran, "
    "last owner had, last owner was running, owner before ran, owner before had"
)
#: A time gone by at which something was changed that is still so: "converted it to turbo last year".
_WHEN = phrase_list(
    "last year, last season, last winter, last summer, years ago, months ago, weeks ago, years back, when i bought, "
    "when i got"
)
_CHANGED = frozenset(
    word_list("converted fitted swapped put bolted added changed installed rebuilt built mapped remapped upgraded")
)
#: What it was when it was new: its numbers are no longer sure, what it is remains.
_AS_NEW = phrase_list(
    "from new, when it left, factory figure, from the factory, standard figure, stock figure, came with, out of the "
    "factory"
)
_AHEAD = phrase_list(
    "next year, next month, next winter, next week, next season, next spring, next summer, next time, next weekend, "
    "this winter, one day, some day, someday, eventually, over the winter, over winter, "
    "planning, plan to, plan on, thinking of, thinking about, going for, going to, aiming, aim for, aim, "
    "later on, in the future, in future, down the line, looking to, soon, dream, "
    "dreaming, after the build, once it is mapped, once it is tuned, once it is built, once it is done, once it is "
    "finished, once it is run in, once it is running, once it is sorted, once it is back, when it is finished, when "
    "it is done, when finished, when mapped, "
    "when it is mapped, once mapped, when it is built, after it is mapped, after the map, after the remap, after that, "
    "will be, will make, will have, should make, should be making, target, goal, would be nice, ready for, saving up, "
    "expecting, expect, in the end, tomorrow, year after, few years, future, want to get, would love to, love to get, "
    "like to get, tempted, on the cards, in the pipeline, on order, in the post"
)
#: A wish: what is asked for says nothing of the car, what the car is nobody wishes for.
_WISH = phrase_list(
    "want, wants, wanted, would like, hoping, hope, looking for, looking at, wish, need one that, need something, "
    "need, needs, to be"
)
#: What is said of the part before: it was of old, it is not so yet, it is taken back, it is not certain.
_BACKWARDS = (
    (
        PAST,
        phrase_list(
            "that is long gone, that is gone, that one is gone, that is history, that is in the bin, "
            "that is in the skip, that has been sold, that was sold, that was years ago, that was before, "
            "that was the old one, sold it, i sold it, we sold it, sold that, scrapped it, traded it in, "
            "wrote it off, got shot of it, got rid of it, since sold"
        ),
    ),
    (
        AHEAD,
        phrase_list(
            "booked in for it, booked in for that, booked for it, that is booked, that is not happened yet, "
            "that is to come, that is next"
        ),
    ),
    (
        AHEAD,
        phrase_list(
            "not hooked up, not connected, not plumbed in, not wired up, not wired in, not fitted yet, "
            "not installed yet, not on it yet, not on yet, not in it yet, not in yet, not working yet, "
            "yet to go on, yet to be fitted, still in the box, still in its box"
        ),
    ),
    (OTHER, phrase_list("for another day, another story, different story, for another time")),
    (
        WITHDRAWN,
        phrase_list(
            "forget that, forget i said, forget about that, ignore that, scrap that, never mind that, "
            "disregard that, leave that out, do not count that, do not write that down, take that back, "
            "only joking, just joking, only kidding, just kidding, pulling your leg, pulling your chain, "
            "only messing, just messing, lot more than that, lot less than that, is more than that, is less than that"
        ),
    ),
    (
        DOUBT,
        phrase_list(
            "other way round, other way about, or something else, how would i check, how do i check, "
            "how can i check, how can i tell, how do i tell, how would i tell, how do i know, how would i know, "
            "how can i be sure, how do i make sure, how do i find out, where do i look, is that right, is that true"
        ),
    ),
)
#: What is to come, with words in it that may themselves be an answer.
_NOT_YET = phrase_list(
    "love to see, like to see, one day, "
    "when it is mapped, once it is mapped, once mapped, after it is mapped, when it is tuned, once it is tuned, "
    "when it is built, once it is built, when it is remapped, once it is remapped"
)
_JOKES = phrase_list("joking, kidding, pulling your leg, pulling your chain, only messing, just messing")
_CONFIRMED = phrase_list("that is right, that was right, that is correct, that is it, had it right")
_OLD = frozenset(word_list("old previous last"))
#: What may be the last one and yet tells of the car as it is, and names for the car itself.
_STILL = frozenset(
    word_list(
        "owner dyno rolling run pull map remap tune figure figures reading weigh weighing print girl bus thing lady "
        "beast"
    )
)
_WHENEVER = phrase_list("if, unless")
_IF = phrase_list(
    "what if, suppose we, suppose you, supposing, say it, might, may be, may have, may make, may need, may get, "
    "could, would, in case, maybe later, possibly, "
    "whether, imagine, heard the, heard that, i heard, have heard, i read that, somebody told me, told me that"
)
_UNSURE = phrase_list(
    "not sure, no idea, can not remember, do not remember, i forget, forgot, do not know, not certain, who knows, "
    "no clue, could not say, can not say, hard to say, not a clue, dunno, unsure, either, never know, wonder, "
    "wondering, joking, kidding"
)
_WAS = frozenset(word_list("was were had made did ran used"))
_ASKING = frozenset(word_list("will would can could should is are does do did was were am shall"))
_ASKED = frozenset(word_list("it i you they we the this that there my a an he she your them one"))
_TELLERS = frozenset(word_list("i he she it we they mine there"))
_TELL = frozenset(
    word_list("is am are has have got makes make runs run wants want needs need does do weighs drives tows")
)
_VERBS = _TELL | frozenset(
    word_list(
        "was were had did will can slips judders drags bites sits goes gets puts uses launch launches change "
        "changes rev "
        "revs fits fitting fitted pull pulls towing driven used measured it i we she he"
    )
)
_WORDS_OF_QUESTION = frozenset(word_list("how what why which who where whats hows"))


def clauses(tokens: Sequence[Token]) -> list[tuple[int, int, str]]:
    """(start, end) of every part of the sentence, and for each whether a new sentence begins with it."""
    parts, start = [], 0
    for at, token in enumerate(tokens):
        word = token.word
        following = tokens[at + 1].word if at + 1 < len(tokens) else ""
        if word in _STOPS:
            parts.append((start, at, word))
            start = at + 1
        elif (
            word in ("but", "although", "though", "whereas", "before", "because", "while", "so", "now")
            or (word == "and" and following in _AND_BEFORE)
            or (word == "when" and at > start)
            or (word == "after" and following in ("the", "i", "it", "a"))
            or (
                word == "for"
                and following in ("my", "a", "an", "the", "this", "our")
                and tokens[at - 1].word in ("clutch", "kit")
            )
        ) and at > start:
            if word == "before" and (following == "" or following in _STOPS or _place_before(tokens, at)):
                continue
            if word == "before" and tokens[at - 1].word == "one" and following not in _TELLERS | {"the", "my"}:
                continue
            if (word == "now" and following in ("", "and")) or (
                word == "now" and following in ("is", "has") and tokens[at - 1].word in ("there", "in", "it", "on")
            ):
                continue  # "the one in there now is sound"
            if word == "so" and tokens[at - 1].word in ("or", "not"):
                continue
            parts.append((start, at, ""))
            start = at + 1 if word in ("but", "and") else at
    parts.append((start, len(tokens), ""))
    return [part for part in parts if part[0] < part[1]] or [(0, len(tokens), "")]


def _place_before(tokens, at):
    """Does "before" tell where, or when in the year: "before the clutch", "before the season", "and not before"?"""
    if at and tokens[at - 1].word == "not" and (at + 1 == len(tokens) or tokens[at + 1].word in _STOPS):
        return True
    behind = [token.word for token in tokens[at + 1 : at + 3]]
    return bool({"clutch", "gearbox", "box", "flywheel", "season", "winter", "summer", "you", "me"} & set(behind))


def frames(
    tokens: Sequence[Token],
    parts: Sequence[tuple[int, int, str]],
    taken: Collection[int],
    aside: Collection[int] = (),
) -> list[set[str]]:
    """For each part the set of frames that keep its facts from being plain statements about this car now.

    ``taken``: places whose words are an answer, ``aside``: of sayings, which ask nothing ("how are you").
    """
    by_part: list[set[str]] = []
    other = False
    for start, end, stop in parts:
        words = [tokens[at].word if at not in taken else "\0" for at in range(start, end)]
        words = [
            "\0" if word == "soon" and "as" in (*words[at - 1 : at], *words[at + 1 : at + 2]) else word
            for at, word in enumerate(words)
        ]
        words = [
            "\0" if word == "before" and _place_before(tokens, start + at) else word for at, word in enumerate(words)
        ]
        plain = [tokens[at].word for at in range(start, end)]
        kinds = set()
        others = _others(plain)
        if others:
            other = True
        elif other and (any(_holds(plain, words_) for words_ in _OWN) or "i" in plain):
            other = False
        if other:
            kinds.add(OTHER)
        if any(_holds(words, mark) for mark in _PAST) and not (
            set(plain) & _CHANGED and any(_holds(plain, mark) for mark in _WHEN) and "used" not in plain
        ):
            kinds.add(PAST)
        gone_on = "went" in plain and any(_holds(plain, mark) for mark in ("over the winter", "over winter"))
        ahead = [mark for mark in _AHEAD if _holds(words, mark) and not (gone_on and mark.startswith("over"))]
        if ahead or any(_holds(plain, mark) for mark in _NOT_YET):
            kinds.add(AHEAD)
        if any(_holds(words, mark) for mark in _AS_NEW):
            kinds.add(AS_NEW)
        if any(_holds(words, mark) for mark in _WISH):
            kinds.add(WISH)
        if words[-1:] == ["either"] and {"no", "not", "never", "nor"} & set(plain):
            words = words[:-1]
        if any(_holds(words, mark) for mark in _UNSURE) or any(_holds(words, mark) for mark in _IF):
            kinds.add(DOUBT)
        if any(_holds(words, mark) for mark in _WHENEVER):
            kinds.add(CONDITION)
        if _question([tokens[at].word for at in range(start, end) if at not in aside]) or stop == "?":
            kinds.add(QUESTION)
        if any(_holds(plain, mark) for mark in _JOKES):
            other = False  # the other car was a joke
        if _gone_by(plain):
            kinds.add(PAST)
        by_part.append(kinds)
    for number, (start, end, _) in enumerate(parts):
        earlier = {token.word for token in tokens[parts[number - 1][0] : parts[number - 1][1]]} if number else set()
        if tokens[start].word == "before" and end - start > 1 and earlier & _WAS:
            by_part[number - 1].add(PAST)  # "was 320 brake before the engine swap"
    _said_of_before(by_part, [[token.word for token in tokens[start:end]] for start, end, _ in parts])
    for number, (start, end, _) in enumerate(parts):
        said = " ".join(token.word for token in tokens[start:end])
        if (
            number
            and DOUBT in by_part[number]
            and any(said in (mark, f"i am {mark}", f"i {mark}", f"to be honest {mark}") for mark in _UNSURE)
        ):
            by_part[number - 1].add(DOUBT)
        if number and said.startswith(("when i bought", "when i got")):
            by_part[number - 1].add(PAST)
    for number in range(1, len(parts)):
        start, end, _ = parts[number]
        words = [token.word for token in tokens[start:end]]
        if by_part[number - 1] & {AHEAD, CARRIED} and parts[number - 1][2] in (",", "") and _fragment(words):
            by_part[number].add(CARRIED)  # "..., say a 75 shot"
    for number, (_, _, stop) in enumerate(parts):
        if QUESTION in by_part[number] and number + 1 < len(parts) and stop not in (".", "?", "!", ";"):
            start, end, _ = parts[number + 1]
            if not _tells([token.word for token in tokens[start:end]]):
                by_part[number + 1].add(QUESTION)
    return by_part


def _fragment(words):
    """Does a part tell nothing by itself, for want of a verb or of a time: "say a 75 shot"?"""
    return not (set(words) & _VERBS) and not {"now", "currently", "today", "already", "mine"} & set(words)


def _tells(words):
    """Does a part behind a question tell something of its own: "..., she's got a bad knee"?"""
    words = [word for word in words if word not in ("so", "and", "because", "but")]
    if words[:1] in (["i"], ["we"]) and words[1:2] != [] and words[1] in ("can", "must", "hate", "do"):
        return True  # "..., because I can't be doing with anything snatchy"
    return words[:1] != [] and words[0] in _TELLERS and words[1:2] != [] and words[1] in _TELL


def _gone_by(words):
    """As in "the old clutch slipped": an old one of something, and a verb of the past behind it."""
    for at, word in enumerate(words[:-2]):
        if word in _OLD and at and words[at - 1] in ("the", "my", "me", "its", "that", "his", "her"):
            behind = words[at + 1 : at + 5]
            if behind[0] in _STILL:
                continue
            if any(
                (
                    token.endswith("ed")
                    or token in ("was", "had", "went", "did", "were", "broke", "wore", "gave", "held", "made")
                )
                for token in behind[1:]
            ) and not {"is", "has"} & set(behind):
                return True
    return False


def _said_of_before(frames_so_far, several):
    """Frames for a part from what is said of it in the next: "100 shot, but that's not hooked up yet"."""
    for number, words in enumerate(several):
        for kind, phrases in _BACKWARDS:
            if not any(_holds(words, mark) for mark in phrases):
                continue
            if kind == DOUBT and any(_holds(later, mark) for later in several[number + 1 :] for mark in _CONFIRMED):
                continue
            alone = len(words) <= 10
            first = number - 2 if kind in (WITHDRAWN, DOUBT) else number - 1
            for before in range(max(0, first if alone else number), number + 1):
                frames_so_far[before].add(kind)


def only_unsure(tokens: Sequence[Token]) -> bool:
    """Does the whole say no more than that nobody knows?"""
    words = [token.word for token in tokens if token.is_word]
    return any(_holds(words, word) and len(words) - len(word.split()) <= 3 for word in _UNSURE if word != "either")


def _others(words):
    if any(_holds(words, other_phrase) for other_phrase in _OTHER_PHRASES):
        return True
    for at, word in enumerate(words):
        behind = words[at + 1 : at + 8]
        if word == "customer" and (
            not {"a", "another", "other", "last", "previous"} & set(words[max(0, at - 1) : at])
            or words[max(0, at - 2) : at] in (["for", "a"], ["got", "a"])
        ):
            continue  # his is the car that is spoken of
        if word in _PEOPLE and {"by", "from"} & set(words[max(0, at - 3) : at]):
            continue  # "rated by the fella who built it"
        if word in _PEOPLE and word != "they" and (word not in _ADDRESSED or (at and words[at - 1] in _BEFORE_PEOPLE)):
            return True
        if word == "they" and behind[:1] and behind[0] in ("make", "makes", "get", "run", "put", "all"):
            return True
        if word in _FAMILY and words[max(0, at - 2) : at] in (
            ["is", "the"],
            ["is", "my"],
            ["for", "the"],
            ["for", "my"],
        ):
            continue  # hers is the car that is spoken of
        if word in _FAMILY and (
            set(behind[:1]) & (_CARS | {"has", "got", "runs", "makes"}) or behind[:2] in (["is", "got"],)
        ):
            return True
        if word in ("he", "she") and behind[:1] and behind[0] in ("races", "has", "runs", "makes") and word == "he":
            return True
    return False


def _question(words):
    words = [
        word
        for word in words
        if word not in ("so", "and", "ok", "right", "well", "then", "mate", "please", "hi", "hello")
    ]
    if not words:
        return False
    if words[0] in _WORDS_OF_QUESTION:
        return True
    if words[:2] == ["does", "one"] and words[2:3] in (["and"], ["point"]):
        return False  # "does one and a half bar"
    if words[:3] == ["is", "the", "first"]:
        return False  # "..., is the first time I do one"
    if words[0] in ("was", "were") and words[1:2] in (["a"], ["an"]):
        return False  # "was an automatic once"
    return words[0] in _ASKING and len(words) > 1 and words[2 if words[1] == "not" and len(words) > 2 else 1] in _ASKED


def _holds(words, text):
    split = text.split()
    return any(words[at : at + len(split)] == split for at in range(len(words) - len(split) + 1))
