"""Whose car each part of a sentence is about: by the people, the cars and the places in it.

Three things tell: who is named as having what is told of ("my mate's got"), what is said of "mine" beside another that
must then be somebody else's ("next door's got the diesel, mine's the petrol"), and for whom the caller rings ("it's my
dad's van", of which all that follows is told). What was begun of another holds until this car is spoken of again.
"""

from collections.abc import Collection, Sequence

from ..knowledge.spoken import Token
from . import frame_words, whose_car_words as whose
from .word_lists import holds, phrase_list, word_list

#: A part of a clutch, and where it may have come from: it is on this car for all that.
_PARTS_OF_CLUTCH = frozenset(word_list("cover plate disc disk flywheel clutch"))
_FROM_ANOTHER = phrase_list("off another, from another, out of another, been on another, been off another")
_ORIGINS = frozenset(
    word_list("scrapper scrap scrapyard breaker breakers wrecker wreckers donor wreck salvage junkyard")
)


def of_others(tokens: Sequence[Token], parts: Sequence[tuple[int, int, str]]) -> list[bool]:
    """For each part: is it about another car than the one the caller rings about?"""
    whole = [token.word for token in tokens]
    owners = _owners(whole)
    several: list[bool] = []
    other = False
    for number, (start, end, _) in enumerate(parts):
        words = whole[start:end]
        marked = {at - start for at in range(start, end) if _ends_with_s(tokens[at])}
        if of_another(words, owners, marked):
            lasts = not _corrected(whole, parts, number) and not _holds_no_longer(words)
            several.append(True)
            other = lasts
        else:
            if other and _of_this(words):
                other = False
            several.append(other)
        if frame_words.JOKES.stand_in(words):
            other = False  # the other car was a joke
    own = [_of_mine(whole[start:end]) for start, end, _ in parts]
    if any(own):
        _beside_mine(tokens, parts, own, several)
    return several


def _ends_with_s(token):
    """Does it end with an 's that its word has lost?"""
    return token.is_word and token.end - token.start == len(token.word) + 2


def _corrected(whole, parts, number):
    """As in "six fifty, no sorry, that's the old one, five eighty": what follows is of this car again."""
    start, end, _ = parts[number]
    said_last = whole[parts[max(0, number - 2)][0] : start] if number else []
    return bool({"sorry", "no", "wait", "lie"} & set(said_last)) and any(
        holds(whole[start:end], text) for text in ("that is the old one", "that was the old one")
    )


def _holds_no_longer(words):
    """Does somebody only say, think or sell something: what follows is of this car again?"""
    of_his = any(
        word in ("about", "off", "for", "of", "from") and words[at + 1 : at + 2] in (["his"], ["her"], ["their"])
        for at, word in enumerate(words)
    )  # "my dad left me a note about his tractor"
    if {"me", "us"} & set(words) and (whose.DEALS | whose.HANDS_OVER) & set(words) and not of_his:
        return True
    return bool(whose.OPINIONS & set(words))


def _of_this(words):
    """Do the words lead back to this car?"""
    if frame_words.OWN.stand_in(words) or "i" in words:
        return True
    start = [word for word in words if word not in whose.LEADING][:3]
    if start[:1] == ["this"] and start[1:2] != [] and start[1] in whose.OF_THIS:
        return start[2:3] == [] or start[2] not in whose.NOT_THIS
    if any(
        words[at : at + 2] == ["it", "is"] and words[at + 2] in ("the", "my") and words[at + 3] in frame_words.CARS
        for at in range(len(words) - 3)
    ):
        return True  # "forget the van, it's the bike now"
    return any(
        words[at] in ("for", "about")
        and words[at + 1] in ("my", "me", "our", "the")
        and words[at + 2] in frame_words.CARS
        for at in range(len(words) - 2)
    )


def _of_mine(words):
    """Is this car told from another: do the words begin with "mine", "ours", "this one"?"""
    start = [word for word in words if word not in whose.LEADING]
    if start[:2] in (["this", "one"], ["my", "own"], ["our", "own"]):
        return len(start) > 2
    if start[:1] == ["this"] and len(start) > 2 and {"thing", "one"} & set(start[1:3]):
        return True  # "this little thing only ever sees a small trailer"
    if start[:2] == ["this", "is"] and "own" in start[2:5]:
        return True  # "this is my own one"
    if whose.RINGS_ABOUT.stand_in(words):
        return True  # "it's the tow truck I'm calling about"
    return len(start) > 1 and start[0] in ("mine", "ours")


def _beside_mine(tokens, parts, own, several):
    """Marks the parts that beside "mine" tell of another: "over the road they've got a six, ours is a four"."""
    other = False
    for number, (start, end, _) in enumerate(parts):
        words = [token.word for token in tokens[start:end]]
        if own[number] or (other and _of_this(words)):
            other = False
        elif _of_somebody(tokens[start:end]):
            other = True
        if other:
            several[number] = True


def _of_somebody(tokens):
    """Has the part a subject of its own that is neither the speaker nor this car nor a part of it?"""
    words = [token.word for token in tokens]
    first = 0
    while first < len(words) and words[first] in whose.LEADING:
        first += 1
    for at in range(first, len(words)):
        if _ends_with_s(tokens[at]) and at + 1 < len(words):  # "next door's got"
            subject = words[first : at + 1]
        elif words[at] in whose.HAVING:
            subject = words[first:at]
        else:
            continue
        if subject[-1:] != [] and subject[-1] in frame_words.CARS and whose.WHICH_CAR & set(subject):
            return True  # "the race car's on slicks", "company car's a diesel"
        of_this = (whose.OF_THE_CAR | whose.TRADE) & set(subject)
        return bool(subject) and len(subject) < 8 and not of_this
    return False


def _owners(whole):
    """Those for whom the caller rings, or whose car it is that is spoken of."""
    owners = {
        word
        for at, word in enumerate(whole)
        if word in ("his", "hers", "theirs", "her") and whole[max(0, at - 2) : at] == ["it", "is"]
    }
    people = frame_words.PEOPLE | frame_words.FAMILY
    for at, word in enumerate(whole):
        if word not in people:
            continue
        first = at
        while first and whole[first - 1] in whose.BEFORE_OWNERS:
            first -= 1
        before, behind = whole[:first], whole[at + 1 : at + 6]
        car = bool(set(behind[:3]) & frame_words.CARS)
        theirs = car or behind[:1] in ([], [","], ["."], ["own"])
        rung_for = before[-1:] != [] and before[-1] in whose.FOR and _rings(before[-4:])
        asked = whose.HAD_ME_RING.stand_in(behind) and not _hands_over(behind)
        alone = (
            word in whose.OF_THE_HOUSE and not set(before) - whose.LEADING - whose.GREETINGS and _only_theirs(whole, at)
        )
        named = (before[-2:] in whose.IT_IS and theirs) or _car_first(word, before, whole[at + 1 :])
        if named or rung_for or asked or alone:
            owners.add(word)  # "it's me dad's van", "ringing for my mum", "my brother asked me to ring"
    return owners


def _car_first(word, before, behind):
    """As in "my boy's truck, the clutch is worn out", "customer's car, 1.9 diesel": the car comes first."""
    named = behind[:1] != [] and behind[0] in frame_words.CARS | whose.AGED
    return not before and named and (word == "customer" or "," in behind[1:3])


def _only_theirs(whole, at):
    """As in "my son's put a bigger turbo on his hatch and now the clutch slips": a trouble, and no car but his?"""
    does = set(whole[at + 1 : at + 2])
    if not does & (whose.THEY_HAVE | whose.OF_THEIRS | frame_words.CHANGED | frame_words.ALTERED | {"got"}):
        return False
    behind = set(whole[at + 2 :])
    return bool(whose.TROUBLES & behind) and "clutch" in behind and not whose.NOT_THEIRS & behind


def _rings(before):
    """As in "this is for", "ringing about", "belongs to", "on behalf of", "a clutch for"."""
    return bool(set(before) & whose.RINGS) or before[-2:] in whose.IS_FOR


def of_another(words: list[str], owners: Collection[str] = (), marked: Collection[int] = ()) -> bool:
    """Do the words of a part begin to tell of somebody else's car, or of another of the caller's?

    ``owners``: people whose car is the one that is spoken of; ``marked``: places of words that end with an 's.
    """
    origin = of_origin(words)
    for text in frame_words.OTHER_PHRASES.found(words):
        if not (owners and text in whose.THEIRS) and not (origin and text in ("donor", "another car")):
            return True
    if not owners and any(
        words[at] in whose.NOT_THIS_CAR and words[at + 1] in frame_words.CARS - {"one", "motor"} and at
        for at in range(len(words) - 1)
    ):
        return True  # "my first van had a cable"
    out_of_one = (
        not origin and holds(words, "out of a") and not {"engine", "motor", "lump", "gearbox", "box"} & set(words[:4])
    )
    if out_of_one or holds(words, "came out of"):
        return True
    if not owners and any(
        word == "his" and not set(words[at + 1 : at + 2]) & frame_words.HIS_OWN for at, word in enumerate(words)
    ):
        return True
    if holds(words, "i drive") and whose.FOR_A_LIVING.stand_in(words):
        return True  # "at work I drive a lorry"
    if _neighbours(words):
        return True
    return any(
        _has_another(words, at, words[at + 1 : at + 8], at in marked)
        for at, word in enumerate(words)
        if word not in owners and (word in frame_words.PEOPLE or word in frame_words.FAMILY or word in ("he", "she"))
    )


def _neighbours(words):
    """As in "next door's got a six", "her at number nine has": somebody known by a place has it?"""
    for text in whose.NEARBY.found(words):
        split = text.split()
        at = next(at for at in range(len(words)) if words[at : at + len(split)] == split)
        before, behind = set(words[:at]), set(words[at + len(split) : at + len(split) + 2])
        if behind & whose.HAVING and not before & (whose.TRADE | whose.OF_THE_CAR):
            return True
    return False


def _has_another(words, at, behind, marked):
    """Does the somebody at a place of a part have another car than the one that is spoken of?"""
    word = words[at]
    if word == "customer" and (
        not {"a", "another", "other", "last", "previous"} & set(words[max(0, at - 1) : at])
        or words[max(0, at - 2) : at] in (["for", "a"], ["got", "a"])
    ):
        return False  # his is the car that is spoken of
    if word in frame_words.PEOPLE and {"by", "from"} & set(words[max(0, at - 3) : at]):
        return False  # "rated by the fella who built it"
    if word in frame_words.PEOPLE | {"cousin"} and (
        (set(behind[:1]) & frame_words.DYNOS and not set(behind[1:2]) & frame_words.CARS)
        or (words[max(0, at - 3) : at] in frame_words.THIS_IS and set(behind[:1]) & frame_words.CARS)
    ):
        return False  # "at the wheels on my cousin's dyno", "it's my lad's car"
    of_trade = at and words[at - 1] in frame_words.TRADES and set(behind[:1]) & frame_words.SAYS
    if word in frame_words.PEOPLE and of_trade:
        return False  # "the gearbox bloke says it will take"
    if word in frame_words.PEOPLE and (_works_on_it(behind) or behind[:3] in frame_words.AT_WORK):
        return False  # "my lad's got the gearbox out", "the bloke at the garage says"
    if word in frame_words.PEOPLE | frame_words.FAMILY and _hands_over(behind):
        return False  # "my lad's given me a bit of paper", "the wife's written it down"
    if (
        word in frame_words.PEOPLE
        and words[max(0, at - 1) : at] == ["your"]
        and behind[:1] != []
        and behind[0] in whose.FINDS
    ):
        return False  # "your bloke passed the cover"
    unnamed = word in ("somebody", "someone") or "some" in words[max(0, at - 2) : at]
    owned_it = unnamed or bool({"last", "previous"} & set(words[max(0, at - 1) : at]))
    if word in frame_words.PEOPLE and owned_it and _changed_it(behind):
        return False  # "the last fella modified the engine", "somebody flashed the computer"
    if word in frame_words.PEOPLE and set(behind[:3]) & frame_words.CHANGED_BY and _in_it(behind):
        return False  # "somebody's put a solid one in it"
    did = any(later.endswith("ed") or later in frame_words.CHANGED_BY for later in behind[:2])
    if (
        did
        and (unnamed or word == "whoever")
        and any(
            behind[step] in ("the", "my", "this") and behind[step + 1] in whose.OF_THE_CAR
            for step in range(min(3, len(behind) - 1))
        )
    ):
        return False  # "somebody's drilled the flywheel"
    verbs = [later for later in behind[:3] if later not in ("only", "just", "also", "is")]
    if verbs[:1] != [] and verbs[0] in whose.DO_WITH_IT and verbs[1:2] == ["it"]:
        return False  # "the lad only wants it for the school run"
    if word in frame_words.PEOPLE and behind[:1] in (["who"], ["that"]) and set(behind[1:2]) & frame_words.WORKED:
        return False  # "the chap who made them says"
    if word in frame_words.ADDRESSED and at > 1 and words[at - 1] == "me" and words[at - 2] in frame_words.BEFORE_ME:
        return False
    if word == "they" and words[max(0, at - 1) : at] in (["like"], ["as"]):
        return False  # "turbo like they all are"
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
        return False  # hers is the car that is spoken of
    if word in frame_words.FAMILY and set(behind[1:4]) & frame_words.NO_CARS:
        return False  # "my daughter's got her test"
    if word in frame_words.FAMILY | frame_words.PEOPLE and _theirs(behind, marked):
        return True
    if word in frame_words.FAMILY and behind[:1] in (["has"], ["runs"], ["uses"]) and behind[1:2] == ["it"]:
        return False  # "my daughter has it to get to college"
    if word in frame_words.FAMILY and (
        set(behind[:1]) & (frame_words.CARS | {"has", "have", "got", "runs", "run", "makes", "which"})
        or behind[:2] in (["is", "got"],)
    ):
        return True
    return word == "he" and behind[:1] != [] and behind[0] in ("races", "has", "runs", "makes")


def hands_over(words: list[str]) -> bool:
    """Does somebody in a part of a sentence send or hand the caller what is to be read out?"""
    people = frame_words.PEOPLE | frame_words.FAMILY
    return any(word in people and _hands_over(words[at + 1 : at + 8]) for at, word in enumerate(words))


def _hands_over(behind):
    """Does he give the caller what is to be read out, or write it down for him: what it says is of this car?"""
    done = [word for word in behind if word not in ("has", "is", "just", "only", "kindly")]
    if done[:1] == [] or done[0] not in whose.HANDS_OVER or {"his", "her", "their", "he", "she"} & set(done):
        return False
    return "down" in done[1:4] or ({"me", "us"} & set(done[1:3]) and bool(whose.WRITTEN & set(done[2:])))


def of_origin(words: list[str]) -> bool:
    """Is told where a part of this clutch came from: "the cover came off a scrapper", "a used plate from a donor"?"""
    elsewhere = _FROM_ANOTHER.stand_in(words)
    return bool(_PARTS_OF_CLUTCH & set(words)) and (elsewhere or bool(_ORIGINS & set(words)))


def _theirs(behind, owner):
    """As in "my son's is rear wheel drive", where 's and a verb tell that his is the car, and "drives a 4x4"."""
    if owner and behind[:1] and behind[0] in whose.OF_THEIRS:
        return True
    if owner and behind[:1] and behind[0] in frame_words.OLD | {"new", "other"} and len(behind) > 3:
        return True  # "my dad's old 4x4 had a light clutch"
    return behind[:1] != [] and behind[0] in whose.THEY_HAVE and behind[1:2] in (["a"], ["an"], ["the"], ["one"])


def _changed_it(behind):
    """Is something of this car changed: "modified the engine", "has mapped it", "flashed the computer"?"""
    if behind[:1] in (["has"], ["is"], ["had"]):
        behind = behind[1:]
    done = behind[:1] != [] and behind[0] in frame_words.CHANGED | frame_words.ALTERED
    return done and (behind[1:2] == ["it"] or (len(behind) > 2 and behind[1] == "the"))


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
