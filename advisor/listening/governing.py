"""What governs a statement: the words before it in its part of a sentence, by which it is only thought or wished.

`frames` looks at a part as a whole; here it is looked at from one fact backwards: on whom and on what does it hang?
"It makes 420 Nm" stands by itself, "the seller swore it makes 420 Nm" hangs on a seller's word, "I doubt it makes 420
Nm" on a doubt. What hangs on a verb of saying, thinking or wishing is plain only where the speaker himself or
somebody who knows stands before the verb.
"""

from collections.abc import Collection, Sequence

from ..knowledge.spoken import Token
from . import governing_words as said_by
from .frame_kinds import AHEAD, DOUBT, OTHER, PAST, SEEMS, WISH
from .requests import turned_down


def governed_by(
    tokens: Sequence[Token],
    text: str,
    part: tuple[int, int],
    at: int,
    end: int,
    *,
    none: bool = False,
    numbers: Collection[int] = (),
    symptom: bool = False,
) -> set[str]:
    """The frames of `frames` that the fact at tokens ``at`` to ``end`` stands in by what governs it in its ``part``.

    ``text`` is the sentence as typed, where "I'd" can still be seen; ``none``: the fact is that there is none of it;
    ``numbers``: places of numbers of several words ("at one point nine bar" is no time long ago); ``symptom``: the fact
    is how a clutch behaves, which whoever drives the car may tell.
    """
    while at < end - 1 and (tokens[at].word in said_by.THINGS or tokens[at].word in ("it", "she", "the", "my")):
        at += 1  # the phrase itself begins with its subject: "it slips", "the clutch judders"
    lead = range(part[0], at)
    words = [tokens[place].word for place in lead]
    kinds: set[str] = set()
    kinds |= _hung_on(words, symptom=symptom)
    kinds |= _modal(tokens, text, lead, words)
    kinds |= _wished(words, gone=bool({"off", "out", "away"} & {token.word for token in tokens[slice(*part)]}))
    had_done = words[-2:-1] and words[-2] in said_by.TO_BE_DONE and words[-1] in ("it", "her", "that", "this")
    if had_done and tokens[at].word.endswith("ed"):
        kinds.add(AHEAD)  # "I'm getting it remapped"
    wished = words[-2:-1] and words[-2] in said_by.WISHED_FOR and words[-1] in ("a", "an", "another")
    if wished and not {token.word for token in tokens[end : end + 3]} & said_by.WANTED:
        kinds.add(WISH)  # "the wife wants a diesel next", but no "wants a diesel clutch"
    if turned_down([token.word for token in tokens[part[0] : max(end, min(end + 3, part[1]))]], end - part[0]):
        kinds.add(WISH)  # "don't give me another race clutch" tells nothing of the car
    if any(word == "for" and set(words[number - 1 : number]) & said_by.LOOKED_FOR for number, word in enumerate(words)):
        kinds.add(DOUBT)  # "checked for oil at the bellhousing"
    if not none and _denied(words):
        kinds.add(DOUBT)
    whole = ["\0" if place in numbers else tokens[place].word for place in range(*part)]
    own = {tokens[place].word for place in range(at, end)}
    if own & {"not", "no", "never"} and {"more", "anymore"} & own:
        pass  # "not standard any more" tells what it is now
    elif _gone(whole, words, [tokens[place].word for place in range(end, part[1])]):
        kinds.add(PAST)
    if _another(whole) or words[-1:] in (["called"], ["named"]):
        kinds.add(OTHER)  # "the later ones", "the team's called Slipping Clutch"
    return kinds


def asks_for(words: Sequence[str]) -> bool:
    """Is it the clutch that is wished for, and the fact tells what for: "want something for my rear drive six"?"""
    for number, word in enumerate(words):
        if (
            word in said_by.WANTED
            and "give" not in words
            and {"for", "on", "in", "suit", "suits", "handle", "with"} & set(words[number:])
        ):
            return True
    return False


def _subject(words):
    """The place of the last subject that the fact can be said of, "it", "the clutch"; -1 where there is none."""
    for number in range(len(words) - 1, -1, -1):
        if words[number] in ("it", "she", "mine"):
            return number
        if (
            number
            and words[number] in said_by.THINGS
            and words[number - 1] in ("the", "my", "our", "this", "me", "that", "its")
        ):
            return number - 1
    return -1


def _hung_on(words, *, symptom=False):
    """The frame of a subject that hangs on the words before it: "maybe it", "I hope the clutch", "he swore that it"."""
    place = _subject(words)
    before = words[:place] if place >= 0 else []
    while before and before[-1] in ("that", "is", "was", "to", "for", "me", "us", "you", "him", "her", "all"):
        before = before[:-1]
    if not before:
        return set()
    verb = before[-1]
    if verb in ("told", "tell") and words[len(before) : len(before) + 1] in (["him"], ["her"], ["them"]):
        return set()  # "told him it's standard": he says so himself
    if verb == "like" and before[-2:-1] != [] and before[-2] in said_by.LIKENS:
        return set()  # "feels like it's slipping"
    if verb in said_by.HOPED:
        return {WISH}
    if before == ["only"]:
        return set()  # "two litre diesel, only mine's front wheel drive"
    if verb in said_by.SUPPOSED or " ".join(before[-2:]) in said_by.SUPPOSED:
        return {DOUBT}
    if verb in said_by.THOUGHT:
        who = before[:-1]
        if set(who[-4:]) & said_by.DENIED or "if" in who:
            return {DOUBT}
        if said_by.RATED & set(words[place:]):
            return set()  # "they told me it'll stand 800": what a part stands is always somebody's word
        if symptom and verb in said_by.REPORTED and set(who[-3:]) & said_by.DRIVERS:
            return set()  # "me mam says it bites very low down"
        if verb in said_by.SURE and (
            (not who and verb != "suppose")
            or who[-1:] in (["i"], ["we"], ["would"], ["did"], ["always"], ["just"], ["am"])
        ):
            return set()
        if set(who[-5:]) & said_by.KNOWERS or (who and who[-1] == "you"):
            return set()
        return {DOUBT}
    return set()


def _modal(tokens, text, lead, words):
    """The frame of "should make", "might have", "I'd swap the house for"."""
    kinds = set()
    for number, word in enumerate(words):
        behind = words[number + 1 : number + 4]
        if word == "allegedly" or words[number : number + 2] == ["be", "lying"]:
            kinds.add(DOUBT)
        if word in ("may", "might", "ought", "should") and not (
            word == "may" and number and words[number - 1] in ("in", "last", "since", "this", "of", "until", "from")
        ):
            kinds.add(DOUBT)
        shown = text[tokens[lead[number]].start : tokens[lead[number]].end].replace("\u2019", "'")
        if shown.endswith("'d") and word in said_by.PERSONS | {"it"} and not _had(behind):
            if set(behind[:2]) & said_by.KEEPS:
                continue  # "I'd sooner keep the dual mass"
            put_forward = said_by.REASONABLE if word in ("i", "we") else {"be"} if word == "it" else set()
            if {"maybe", "probably", "about", "usually"} & set(words[number:]):
                put_forward = put_forward | {"launch", "do", "run", "leave"}  # "I'd launch it maybe a dozen times"
            if not set(behind[:1]) & put_forward:
                kinds.add(WISH)
    return kinds


def _had(behind):
    """Is the 'd of "I'd had it mapped" a had?"""
    several = [word for word in behind if word not in ("just", "already", "also", "only", "recently", "never")]
    return bool(several) and (several[0].endswith("ed") or several[0] in said_by.PARTICIPLES)


def _wished(words, *, gone):
    """The frame of what is saved for, quoted for, dreamt of: the words stand directly before it, or nearly.

    ``gone``: it is said to be off or out, without which "took" is chose.
    """
    said = f" {' '.join(words)} "
    if not gone:
        said = said.replace(" took ", " ")
    for verb in ("stand", "take", "hold", "handle"):
        said = said.replace(f" built to {verb} ", " ")  # what it was built to stand it stands
    kinds = ((WISH, said_by.WISHED), (AHEAD, said_by.PLANNED), (PAST, said_by.TAKEN_OFF), (SEEMS, said_by.SEEMING))
    if _capable(words):
        return {DOUBT}
    for kind, phrases in kinds:
        if any(f" {phrase} " in said for phrase in phrases):
            return {kind}
    return set()


def _capable(words):
    """As in "it'll tow three and a half tonne", "good for towing": what it could do, before the number and no load."""
    verbs = [at for at, word in enumerate(words) if word in said_by.TOWING]
    if not verbs or said_by.LOADS & set(words):
        return False
    before = words[max(0, verbs[-1] - 3) : verbs[-1]]
    able = {"can", "could", "capable"} & set(before) or before[-1:] == ["will"] or before[-2:] == ["good", "for"]
    return bool(able) and not {"have", "need", "must"} & set(before)


def _denied(words):
    """As in "it doesn't make", "it never ran", "the engine has not got": a denial of the verb that follows."""
    for number, word in enumerate(words):
        if word not in ("not", "never"):
            continue
        before = [other for other in words[max(0, number - 3) : number] if other not in said_by.AUXILIARIES]
        if before[-1:] and (before[-1] in ("it", "she", "mine") or before[-1] in said_by.THINGS):
            behind = words[number + 1 :]
            if not set(behind) & said_by.TURNS and not set(behind[:4]) & said_by.COMPARED:
                return True
    return False


def _gone(whole, before, behind):
    """Does a time long gone stand with it: "at one time it made", "it made ... in those days", "it once had"?"""
    said = f" {' '.join(whole)} "
    if any(f" {phrase} " in said for phrase in said_by.LONG_AGO) and not {"now", "still", "since"} & set(whole):
        return True
    if {"was", "were"} & set(before[-3:]) and "what" in before[-4:-1]:
        return True  # "a turbo conversion on what was an NA engine"
    for number, word in enumerate(before):
        if word == "once" and number and before[number - 1] in ("it", "she", "car", "engine"):
            return True
    if behind[:1] == ["before"] and len(behind) > 2 and behind[1] in ("i", "we", "he", "she", "they", "somebody"):
        return True
    return behind[:1] == ["when"] and len(behind) > 3 and "had" in behind[2:5]


def _another(words):
    """Is the subject another car than this: "the one next door", "the newer model", "dad's tractor", "most of them"?"""
    for number, word in enumerate(words):
        before, behind = words[max(0, number - 4) : number], words[number + 1 : number + 4]
        if word in said_by.VEHICLES:
            if before[-1:] and before[-1] in said_by.OF_OTHERS:
                return True
            owned = set(before[-2:]) & said_by.OWNERS
            if owned and not {"is", "for", "it"} & set(before[:-1]) and word != "car":
                return True
            relative = word in ("car", "one") and before[-1:] in (["the"], ["a"])
            by_somebody = relative and len(behind) > 1 and behind[0] in said_by.PERSONS
            if by_somebody and behind[1] not in said_by.OWN_VERBS:
                return True
            if (
                word == "one"
                and before[-1:] == ["the"]
                and behind[:1]
                and behind[0] in ("next", "across", "over", "down")
            ):
                return True
            if before[-1:] and before[-1] in ("every", "any", "each", "most"):
                return True
        if word in ("them", "these", "those", "cars", "ones") and before[-2:-1] and before[-2] in said_by.SEVERAL:
            return True
        if (
            word in ("cars", "ones", "models")
            and before[-1:]
            and before[-1] in (*said_by.SEVERAL, *said_by.AGES, "the")
        ):
            return True
    return False
