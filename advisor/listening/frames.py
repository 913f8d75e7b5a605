"""When, and how sure: what a part of a sentence is about, from the small words around its facts.

Whose car it is about is told by `whose_car`, and holds until another is spoken of.
"""

import re
from collections.abc import Collection, Sequence

from ..knowledge.spoken import Token
from . import frame_words, not_so_now, told_around
from .frame_kinds import (
    AHEAD,
    AS_NEW,
    CARRIED,
    CONDITION,
    DOUBT,
    GOODS,
    OTHER,
    PAST,
    QUESTION,
    WISH,
    WITHDRAWN,
)
from .governing_words import LONG_AGO
from .number_words import NUMBER_WORDS
from .rates import rate_on_both_sides, up_to
from .requests import of_a_car, of_a_part, ordered, requested, told_of_own
from .said_back import fragment, said_back
from .whose_car import hands_over, of_origin, of_others
from .whose_car_words import OF_THE_CAR
from .word_lists import holds, word_list

#: The size of a tyre as it stands on its side: width in mm and height in percent of it.
_TYRE = re.compile("[1-3][0-9]5/[2-9][05]")

_REVS = frozenset(word_list("rpm revs rev revolutions turns"))
#: Before these "before" tells where something is.
_PLACES = word_list("house door gate garage lights village town home traffic driveway yard")
_DID = frozenset(word_list("had did got mapped tuned fitted changed replaced rebuilt touched was were took put"))


def _of_a_ratio(tokens, at):
    """Is it the sign within "6:1"?"""
    around = tokens[at - 1 : at] + tokens[at + 1 : at + 2]
    return tokens[at].word == ":" and len(around) == 2 and all(token.is_number for token in around)


def clauses(tokens: Sequence[Token]) -> list[tuple[int, int, str]]:
    """(start, end) of every part of the sentence, and for each whether a new sentence begins with it."""
    parts, start = [], 0
    for at, token in enumerate(tokens):
        word = token.word
        following = tokens[at + 1].word if at + 1 < len(tokens) else ""
        if word in frame_words.STOPS and not _of_a_ratio(tokens, at):
            parts.append((start, at, word))
            start = at + 1
        elif (
            word in ("but", "although", "though", "whereas", "before", "because", "while", "so", "now")
            or (word == "and" and following in frame_words.AND_BEFORE)
            or (word == "and" and told_around.gone_over(tokens[at + 1 : at + 3]))
            or (word == "when" and at > start and tokens[at - 1].word != "back")
            or (word in ("and", "with") and rate_on_both_sides(tokens, start, at))
            or (
                word == "after"
                and following in ("the", "i", "it", "a")
                and tokens[at - 1].word not in ("am", "are", "be", "i", "we", "is")
            )
            or (
                word == "for"
                and following in ("my", "a", "an", "the", "this", "our")
                and tokens[at - 1].word in ("clutch", "kit")
            )
            or (word == "for" and told_around.given_up_for(tokens[start:at], following))
        ) and at > start:
            if word == "before" and (following == "" or following in frame_words.STOPS or _place_before(tokens, at)):
                continue
            if word == "before" and _before_revs(tokens, at):
                continue  # "doesn't come in before 3500 rpm"
            if (
                word == "before"
                and tokens[at - 1].word == "one"
                and following not in frame_words.TELLERS | {"the", "my"}
            ):
                continue
            if (word == "now" and (following in ("", "and") or tokens[at - 1].word == "for")) or (
                word == "now" and following in ("is", "has") and tokens[at - 1].word in ("there", "in", "it", "on")
            ):
                continue  # "the one in there now is sound"
            if word == "but" and tokens[at - 1].word in ("nothing", "anything", "none", "all"):
                continue  # "nothing but steep hills"
            if word == "so" and (tokens[at - 1].word in ("or", "not") or following == "far"):
                continue
            parts.append((start, at, ""))
            start = at + 1 if word in ("but", "and", "with") else at
    parts.append((start, len(tokens), ""))
    telling = [
        part for part in parts if any(tokens[at].word not in frame_words.HESITATIONS for at in range(part[0], part[1]))
    ]
    return telling or [(0, len(tokens), "")]


def _reckoned(words):
    """Does somebody only raise his voice at what he thinks: "about two hundred horsepower I think?"?"""
    if {"you", "if", "would", "could", "should", "wonder"} & set(words):
        return False
    return len(words) > 3 and words[-2] in ("i", "we") and words[-1] in ("think", "reckon", "believe", "guess")


def _until_now(words):
    """Does "until" tell of what still happens, and of no time gone by: "rattles until you dip the clutch"?"""
    if words.count("until") != 1 or "was" in words or "used" in words:
        return False
    behind = words[words.index("until") + 1 :]
    if behind[:1] == ["then"]:
        return True  # "it has to do as a daily until then"
    if behind[:2] in (["i", "have"], ["you", "have"]):
        return True  # "won't select second until I've pumped it twice"
    return behind[:1] != [] and behind[0] in frame_words.TELLERS | {"you"} and not _was(behind[1:], behind[0])


def _you_had(words):
    """As in "you had the cover in your hands Tuesday and said it's good": what the shop found holds."""
    found_good = {"said", "says", "passed", "checked"} & set(words) and {"good", "fine", "ok", "again"} & set(words)
    return holds(words, "you had the") and bool(found_good) and bool({"cover", "plate", "disc"} & set(words))


def _lies_here(words):
    """Is it the shape of a part that is to come off: "flat face on the old bearing", "26 teeth on the old disc"?"""
    worn_part = frame_words.ON_A_WORN_PART.stand_in(words)
    return worn_part and not _DID & set(words) and not {"was", "were", "had", "used", "i", "it"} & set(words)


#: Marks of the past that are none where this is so.
_NO_PAST = (("on the old", _lies_here), ("until", _until_now), ("came off", of_origin), ("had the", _you_had))


def _before_revs(tokens, at):
    """Does "before" tell at how many revolutions something is done: "never comes on before 4000 revs"?"""
    for token in tokens[at + 1 : at + 9]:
        if token.word in _REVS:
            return True
        if token.word in frame_words.STOPS or (token.is_word and token.word not in NUMBER_WORDS | {"about", "-"}):
            return False
    return False


def _place_before(tokens, at):
    """Does "before" tell where, or when in the year: "before the clutch", "before the season", "and not before"?"""
    if (
        at
        and tokens[at - 1].word in ("not", "bit", "just", "little")
        and (at + 1 == len(tokens) or tokens[at + 1].word in frame_words.STOPS)
    ):
        return True
    behind = [token.word for token in tokens[at + 1 : at + 3]]
    if tokens[at + 3].word in _DID if at + 3 < len(tokens) else False:
        return False  # "before the garage had it"
    return bool(
        {"clutch", "gearbox", "box", "flywheel", "season", "winter", "summer", "you", "me", *_PLACES} & set(behind)
    )


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
    others = of_others(tokens, parts)
    last_said: list[str] = []
    for start, end, stop in parts:
        plain = [tokens[at].word for at in range(start, end)]
        answers = {at - start for at in taken if start <= at < end}
        words = [
            "\0"
            if (word == "soon" and "as" in (*plain[at - 1 : at], *plain[at + 1 : at + 2]))
            or (word == "before" and (_place_before(tokens, start + at) or _before_revs(tokens, start + at)))
            or (word == "would" and {"where", "which"} & set(plain[max(0, at - 4) : at]))
            or (word in ("until", "till") and up_to(tokens, start + at + 1))
            or (word == "will" and plain[at + 1 : at + 3] == ["have", "to"])  # "it'll have to pull a caravan"
            or (word == "say" and plain[at - 1 : at] in (["i"], ["we"]))  # "I'd say it slips" supposes nothing
            or (word == "could" and frame_words.BORNE.stand_in([*plain[at + 1 : at + 4]]))
            or (word == "would" and frame_words.WOULD_BE_BORNE.stand_in([*plain[at + 1 : at + 4]]))
            or (at and word in ("wants", "needs") and plain[at - 1] in frame_words.DEMANDING)
            else word
            for at, word in enumerate(plain)
        ]
        kinds = not_so_now.frames_of(tokens[start:end])
        if others[len(by_part)]:
            kinds.add(OTHER)
        had_done = _had_done(plain)
        no_past = {mark for mark, holds_not in _NO_PAST if holds_not(plain)}
        if hands_over(plain):
            no_past.add("sent me")
        if any(
            not (had_done and mark == "had the") and mark not in no_past
            for mark in frame_words.PAST.found(words, answers)
        ) and not (
            set(plain) & ((frame_words.CHANGED | frame_words.ALTERED) - ({"put"} if holds(plain, "put out") else set()))
            and frame_words.WHEN.stand_in(plain)
            and "used" not in plain
        ):
            kinds.add(PAST)
        gone_on = _done(plain) and any(holds(plain, mark) for mark in ("over the winter", "over winter"))
        to_come = [
            mark for mark in frame_words.AHEAD.found(words, answers) if not (gone_on and mark.startswith("over"))
        ]
        if to_come or frame_words.STILL_TO_COME.stand_in(plain) or frame_words.OFFERED.stand_in(plain):
            kinds.add(AHEAD)
        than_new = holds(plain, "than it came with") or holds(plain, "than it left")
        if frame_words.AS_NEW.stand_in(words, answers) and not than_new:
            kinds.add(AS_NEW)
        if "came" in plain and {"without", "no"} & set(plain) and "clutch" not in plain:
            kinds.add(PAST)  # "came without a turbo, we hung one off it"
        if by_part and plain[:2] in (["that", "was"], ["which", "was"]) and OTHER in set().union(*by_part[-2:]):
            kinds.add(OTHER)  # "somebody quoted me, and I laughed, that was with a rebuilt cover"
        if frame_words.WISH.stand_in(words, answers):
            kinds.add(WISH)
        if plain[-1:] == ["then"] and {"was", "were"} & set(plain):
            kinds.add(PAST)  # "I changed it two years ago and it was slipping then"
        if plain[-1:] == ["coming"] and len(plain) > 1 and plain[-2] not in frame_words.KEEPS:
            kinds.add(AHEAD)  # "cams and head work coming"
        if words[-1:] == ["either"] and {"no", "not", "never", "nor"} & set(plain):
            words = words[:-1]
        supposed = frame_words.IF.stand_in(words, answers) and not requested(plain)
        if frame_words.UNSURE.stand_in(words, answers) or supposed:
            kinds.add(DOUBT)
        if frame_words.WHENEVER.stand_in(words, answers) and not _sure_if(plain):
            kinds.add(CONDITION)
        if [word for word in plain if word not in ("so", "but", "and")][:1] == ["suppose"]:
            kinds.add(CONDITION)  # "suppose I rev it to seven thousand"
        asks = _question([tokens[at].word for at in range(start, end) if at not in aside], start == 0)
        of_own = bool(by_part) and QUESTION in by_part[-1] and told_of_own(last_said, plain)
        of_own = of_own or (requested(last_said) and fragment(plain))  # "have you a clutch for a diesel, rear drive?"
        if requested(plain):
            kinds.add(WISH)
        elif (stop == "?" and not of_own and not (not asks and _reckoned(plain))) or (asks and not ordered(plain)):
            kinds.add(QUESTION)
        if _gone_by(plain):
            kinds.add(PAST)
        if (frame_words.PAPERS.stand_in(plain) and not hands_over(plain)) or (
            "quoted" in plain and not {"at", "as"} & set(plain[plain.index("quoted") + 1 :][:1])
        ):
            kinds.add(GOODS)
        if frame_words.SHOPPING & set(plain) and any(_TYRE.fullmatch(word) for word in plain):
            kinds.add(GOODS)  # "need two 205/55 R16 for the wife's runabout"
        if by_part and GOODS in by_part[-1] and end - start < 5:
            kinds.add(GOODS)  # "my address is 240 High Road, flat 4"
        last_said = plain
        by_part.append(kinds)
    for number, (start, end, _) in enumerate(parts):
        if number and tokens[start].word == "before" and end - start > 1:
            first = number - 1  # "was 320 brake before the engine swap"
            if first and tokens[parts[first][0]].word == "when" and parts[first - 1][1] == parts[first][0]:
                first -= 1  # "it juddered when pulling away before I changed it"
            said_before = [token.word for token in tokens[parts[first][0] : start]]
            undone = any(token.word in ("standard", "stock", "off", "undone", "removed") for token in tokens[end:])
            bought = not undone and [token.word for token in tokens[start + 1 : end]] in frame_words.BOUGHT
            itself = tokens[start + 1].word == "that" and end - start > 3 and parts[number - 1][2] == ","
            if (
                _was(said_before)
                and not itself
                and not (bought and (frame_words.CHANGED | frame_words.ALTERED) & set(said_before))
            ):
                for before in range(first, number):
                    by_part[before].add(PAST)
        if number and tokens[start].word == "when" and parts[number - 1][1] == start:
            if parts[number][2] == "?":
                by_part[number - 1].add(QUESTION)
            here = [token.word for token in tokens[start:end]]
            if LONG_AGO.stand_in(here) or (here[3:4] == ["had"] and here[1] in frame_words.BEFORE_PEOPLE):
                by_part[number - 1].add(PAST)  # "it juddered when pulling away in those days", "when my dad had it"
            by_part[number] |= by_part[number - 1] - {CONDITION}  # "the last clutch used to slip when it got hot"
        if number and tokens[start - 1].word == "but" and parts[number - 1][1] == start - 1:
            earlier = {token.word for token in tokens[parts[number - 1][0] : start]}
            here = [token.word for token in tokens[start : start + 4]]
            if earlier & {"was", "were"} and here[:1] in (["i"], ["we"]) and frame_words.CHANGED & set(here):
                by_part[number - 1].add(PAST)  # "the diff was 3.5 but I've put a 4.3 in"
    several = [[token.word for token in tokens[start:end]] for start, end, _ in parts]
    said_back(by_part, several)
    ahead = [bool(several_kinds & {AHEAD, CARRIED, OTHER}) for several_kinds in by_part]
    for kind, numbers in (
        (PAST, told_around.gone_by(several, [_was(words) for words in several])),
        (AHEAD, told_around.to_come(several, ahead)),
        (WITHDRAWN, told_around.declined(several, ahead)),
    ):
        for place in numbers:
            by_part[place].add(kind)
    for number, (start, end, _) in enumerate(parts):
        said = " ".join(token.word for token in tokens[start:end])
        if (
            number
            and DOUBT in by_part[number]
            and any(said in (mark, f"i am {mark}", f"i {mark}", f"to be honest {mark}") for mark in frame_words.UNSURE)
        ):
            by_part[number - 1].add(DOUBT)
        if number and said.startswith(("when i bought", "when i got")):
            by_part[number - 1].add(PAST)
    for number in range(len(parts) - 1, 0, -1):
        if tokens[parts[number][0]].word == "when" and parts[number - 1][1] == parts[number][0]:
            by_part[number - 1] |= by_part[number] & {PAST}  # "it slipped when it got hot, but not now"
    not_so_now.said_of_before(tokens, parts, by_part)
    for number, (_, _, stop) in enumerate(parts):
        if CONDITION in by_part[number] and stop in (",", ""):
            _supposed(by_part, parts, number)
    for number in range(1, len(parts)):
        start, end, _ = parts[number]
        words = [token.word for token in tokens[start:end]]
        if by_part[number - 1] & {AHEAD, CARRIED} and parts[number - 1][2] in (",", "") and fragment(words):
            by_part[number].add(CARRIED)  # "..., say a 75 shot"
        beside = len(words) < 4 or words[0] in frame_words.APPOSED
        beside = beside and tokens[parts[number - 1][0]].word not in ("before", "when")
        if PAST in by_part[number - 1] and parts[number - 1][2] == "," and beside and fragment(words):
            by_part[number].add(PAST)  # "I used to run nitrous on it, a 75 shot"
    wanted: set[int] = set()
    for number, (_, _, stop) in enumerate(parts):
        if number + 1 == len(parts) or stop in (".", "?", "!", ";"):
            continue
        start, end, _ = parts[number + 1]
        words = several[number + 1]
        of_this = {"i", "it", "she", "we", "mine"} & set(words)
        asked_for = not of_this and (requested(several[number]) or number in wanted)
        if asked_for and (of_a_part(words) or not of_a_car(words)):
            wanted.add(number + 1)  # "can you do me a clutch, organic, 240 mm, with a steel flywheel"
            by_part[number + 1].add(GOODS if of_a_part(words) else WISH)
        if QUESTION in by_part[number]:
            begun = number and parts[number - 1][2] == "," and tokens[parts[number - 1][1] - 1].word in ("is", "makes")
            telling = _tells(words) or told_of_own(several[number], words)
            if not begun and (not telling or " ".join(words) in frame_words.ASIDES):
                by_part[number + 1].add(QUESTION)
    return by_part


def _done(words):
    """Is something told that was done: "it went on over the winter", "we bolted a supercharger on over the winter"?"""
    return bool(({"went"} | frame_words.CHANGED) & set(words)) and not frame_words.TO_BE_DONE & set(words)


def _had_done(words):
    """As in "we had the box rated at 600", "had the cover rebuilt": what was had done, and is so."""
    at = words.index("had") if "had" in words else len(words)
    return bool(set(words[at + 3 : at + 5]) & frame_words.HAD_DONE) and not {"when", "he", "they", "before"} & set(
        words
    )


def _supposed(by_part, parts, number):
    """Carries a condition on to the question it ends in: "if I put nitrous on it, say a 75 shot, would it hold?"."""
    for last in range(number + 1, len(parts)):
        if by_part[last] & {QUESTION, DOUBT}:
            for between in range(number, last):
                by_part[between].add(CARRIED)
            return
        if parts[last][2] not in (",", ""):
            return


def _sure_if(words):
    """Is the only if one that puts nothing in doubt: "if memory serves", "if the tag on the box is right"?"""
    if words.count("if") != 1 or "unless" in words:
        return False
    behind = words[words.index("if") + 1 :]
    if frame_words.IF_AT_ALL.begin(behind):
        return True
    return behind[-2:-1] == ["is"] and behind[-1] in ("right", "correct", "true", "honest")


def _was(words, subject=""):
    """Is there a verb of the past among the words, which stand behind a ``subject``?"""
    return any(
        word in frame_words.WAS
        or (len(word) > 4 and word.endswith("ed") and not word.endswith(("eed", "hundred")))
        or (word in frame_words.WAS_BY_SUBJECT and before in frame_words.SUBJECTS)
        for before, word in zip((subject, *words), words, strict=False)
    )


def _tells(words):
    """Does a part behind a question tell something of its own: "..., she's got a bad knee"?"""
    words = [word for word in words if word not in ("so", "and", "because", "but")]
    if words[:1] in (["i"], ["we"]) and words[1:2] != [] and words[1] in ("can", "must", "hate", "do"):
        return True  # "..., because I can't be doing with anything snatchy"
    return words[:1] != [] and words[0] in frame_words.TELLERS and words[1:2] != [] and words[1] in frame_words.TELL


def _gone_by(words):
    """As in "the old clutch slipped": an old one of something, and a verb of the past behind it."""
    for at, word in enumerate(words[:-2]):
        before_that = words[at : at + 1] in (["the"], ["my"]) and words[at + 2 : at + 4] in (
            ["i", "had"],
            ["we", "had"],
        )
        if before_that and not set(words[at + 4 : at + 7]) & (
            frame_words.CHANGED | frame_words.HAD_DONE | {"done", "made"}
        ):
            return True  # "the box I had was rated for 450"
        if word in frame_words.OLD and at and words[at - 1] in ("the", "my", "me", "its", "that", "his", "her"):
            behind = words[at + 1 : at + 5]
            if behind[0] in frame_words.STILL:
                continue
            if _was(behind[1:], behind[0]) and not {"is", "has"} & set(behind):
                return True
    return False


def only_unsure(tokens: Sequence[Token]) -> bool:
    """Does the whole say no more than that nobody knows?"""
    words = [token.word for token in tokens if token.is_word]
    return any(
        holds(words, word) and len(words) - len(word.split()) <= 3 for word in frame_words.UNSURE if word != "either"
    )


#: Behind "does": it asks.
_GOODS = frozenset(
    word_list(
        "paddle paddles puck pucks organic kevlar ceramic sintered carbon facing facings kit kits stage twin twins"
    )
)
_OF_WHAT = (OF_THE_CAR | frame_words.ASKED | _GOODS | {"your"}) - frozenset(
    word_list("the a my all road and everything nothing that there hill hills traffic first")
)


def _question(words, first):
    words = [
        word
        for word in words
        if word not in ("so", "and", "ok", "right", "well", "then", "mate", "please", "hi", "hello")
    ]
    if not words:
        return False
    if words[:2] == ["what", "is"] and "is" in words[3:]:
        return False  # "what's behind it is about 1100 kilos"
    if words[0] == "what" and len(words) == 1:
        return False  # "I've got, what, twelve hundred to spend"
    if words[0] == "which" and words[1:2] in (["is"], ["was"], ["has"], ["makes"], ["means"]) and not first:
        return False  # "..., which is one in five"
    if words[0] == "which" and words[1:2] != [] and words[1] in frame_words.AFTER_WHICH and not first:
        return False  # "..., which on these is cast iron"
    if words[0] in ("what", "where", "how") and words[1:2] != [] and words[1] in ("i", "we", "it", "she", "he", "they"):
        return False  # "what I've got is three ninety"
    if words[:2] in frame_words.ASKS_NOTHING:
        return False
    if words[0] in frame_words.WORDS_OF_QUESTION:
        return True
    if words[:2] == ["does", "one"] and words[2:3] in (["and"], ["point"]):
        return False  # "does one and a half bar"
    if words[0] == "does" and frame_words.DOES_FOR_USE & set(words[1:5]) and not _OF_WHAT & set(words[1:6]):
        return False  # "does the school run every morning and that's about it"
    if words[:3] == ["does", "the", "quarter"]:
        return False  # "does the quarter at 112"
    if words[:3] == ["is", "the", "first"]:
        return False  # "..., is the first time I do one"
    if words[0] in ("was", "were") and words[1:2] in (["a"], ["an"]):
        return False  # "was an automatic once"
    if (
        words[0] in ("does", "do", "will", "would", "can", "could", "should")
        and words[1:2]
        and (words[1].endswith("ing") or words[1] in _GOODS)
    ):
        return True  # "does pumping the pedal do any good", "does organic last on track days"
    return (
        words[0] in frame_words.ASKING
        and len(words) > 1
        and words[2 if words[1] == "not" and len(words) > 2 else 1] in frame_words.ASKED
    )
