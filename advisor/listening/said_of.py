"""Of what a statement is made where it is none about this car: a likeness, things in general, a part beside it.

`governing` asks on whose word a fact hangs; here it is asked what the words around it are said of. "Lighter than a
lorry clutch" tells of no lorry, "turbo engines make it low down" of no turbo on this engine, "the fan belt slips" of no
clutch, "I swapped a dual mass for a solid one" of no dual mass that is still there.
"""

from collections.abc import Sequence

from . import said_of_words as of_what
from .frame_kinds import AHEAD, DOUBT, GOODS, OTHER, PAST

LIKENED, GENERAL, OTHER_PART = "a comparison", "things in general", "another part"


def said_of(
    before: Sequence[str], inside: Sequence[str], behind: Sequence[str], *, number: bool, trait: bool, habit: bool
) -> set[str]:
    """The frames a fact stands in by what it is said of.

    The words are those ``before`` it in its part of the sentence, its own, those ``behind``. ``number``: it is a
    number; ``trait``: what a car is or has by its build; ``habit``: what a clutch does.
    """
    kinds: set[str] = set()
    vehicle = bool(of_what.VEHICLES & {*inside, *behind[:2]})
    if (not number or vehicle or before[-1:] in (["a"], ["an"], ["the"], ["my"])) and _likened(before):
        kinds.add(LIKENED)
    if trait and (_in_general(before, inside, behind) or _about_them(before)):
        kinds.add(GENERAL)
    if habit and (_about_them(before) or _caused_in_general(before)):
        kinds.add(GENERAL)
    if (trait or habit) and _told_of_a_kind(before, habit):
        kinds.add(GENERAL)
    if habit and before[:1] == ["the"] and before[2:3] == ["you"] and _comparative(before[1]):
        kinds.add(GENERAL)  # "the harder you launch the more it slips"
    if habit and (_by_another_part([*before, *(set(inside[:1]) & of_what.DISCS)]) or _of_a_machine([*before, *inside])):
        kinds.add(OTHER_PART)
    if habit and _by_something_else(before):
        kinds.add(OTHER_PART)
    if _of_whoever(before):
        kinds.add(GENERAL)
    if not habit and before[-1:] == ["being"]:
        kinds.add(AHEAD)  # "it's off being mapped"
    done_to = not number and bool(set(inside[-1:]) & of_what.DOES_TO) and behind[:1] in (["the"], ["my"])
    if done_to and not set(behind[1:3]) & of_what.OF_THE_CAR:
        kinds.add(OTHER_PART)  # "we modified the order"
    if habit and _cured(before, behind):
        kinds.add(PAST)
    if trait and before[-1:] and before[-1] in of_what.OF_OTHER_PARTS:
        kinds.add(OTHER_PART)  # "the throttle cable"
    if not habit and _brakes_drag([*before, *inside]):
        kinds.add(OTHER_PART)
    if not habit and _of_anybody(before):
        kinds.add(GENERAL)
    if not habit and _once_it_is(before, behind):
        kinds.add(AHEAD)
    if not number and list(inside[:2]) in of_what.NOT_THE:
        kinds.add(LIKENED if inside[1] == "unlike" else OTHER)
    if number and (set(before[-3:]) & of_what.PROMISED or _your_man(before)):
        kinds.add(DOUBT)
    if number and "mine" in before and set(before[list(before).index("mine") + 1 :][:1]) & of_what.SAID:
        kinds.add(OTHER)  # "mine reckons 500 is pushing it": a man of mine
    if number and _by_a_tool(before):
        kinds.add(OTHER_PART)
    if not habit:
        kinds |= _given_up(before, behind)
        off = {("off", "a"), ("off", "an")} & {tuple(before[-2:]), tuple(before[-3:-1])}
        if off and of_what.OFF_IT & set(before):
            kinds.add(OTHER)  # "a twin plate off a turbo petrol"
        if _another_life(before, inside, behind, number):
            kinds.add(OTHER)
    if not number and _hearsay([*before, *inside, *behind]):
        kinds.add(DOUBT)
    if _sold_by([*before, *inside, *behind]):
        kinds.add(GOODS)
    return kinds


def _likened(before):
    """Is it what something is held against: "than a", "like a", "as heavy as a", "instead of a"?"""
    for at in range(len(before) - 1, max(-1, len(before) - 7), -1):
        between = before[at + 1 :]
        if set(between) & of_what.ENDS_LIKENESS:
            return False
        word, last = before[at], before[at - 1] if at else ""
        if word == "than":
            return last != "other" and not (last in ("more", "better") and set(before[:at]) & of_what.NO_MORE)
        if word in ("like", "unlike") and (word == "unlike" or set(between[:1]) & of_what.LIKENED_TO):
            if last == "more":
                return before[at - 2 : at - 1] != [] and before[at - 2] in of_what.BEHAVES
            return last not in of_what.NOT_LIKENING
        if word == "as" and last == "same" and between:
            return True
        if word == "as" and between[:1] and between[0] in of_what.LIKENED_TO and "as" in before[max(0, at - 4) : at]:
            return True
        if [last, word] in of_what.IN_PLACE or word in ("versus", "vs"):
            return True
    return False


def _begun(before):
    """The words before, without those that only begin a sentence."""
    first = 0
    while first < len(before) and before[first] in of_what.BEGINNINGS:
        first += 1
    return list(before[first:])


def _in_general(before, inside, behind):
    """Is it a kind of things of which something is told: "diesels have", "the concentric ones sit", "a diesel is"?"""
    lead = _begun(before)
    if set(behind) & of_what.OF_THIS:
        return False
    ahead = [*inside, *behind[:3]]
    for at, word in enumerate(ahead):
        if at < len(inside) - 1 or at > len(inside):
            continue
        verb = ahead[at + 1] if at + 1 < len(ahead) else ""
        they_do = verb in of_what.THEY_DO or (word not in of_what.OWN_PARTS and verb not in of_what.NO_VERBS)
        if word in of_what.KINDS and they_do and not set(lead) - of_what.WHICH:
            return True
        if lead[:1] in (["a"], ["an"]) and len(lead) < 4 and _one_does(verb) and not set(lead) & of_what.TELL:
            return True
        in_one = lead[:1] in (["in"], ["on"]) and lead[1:2] in (["a"], ["an"]) and len(lead) < 5
        if in_one and verb in ("the", "you", "they"):
            return True
    return False


def _comparative(word):
    return word in ("more", "less") or word.endswith("er")


def _one_does(verb):
    return verb in of_what.ONE_DOES or (len(verb) > 3 and verb.endswith("s") and not verb.endswith("ss"))


def _told_of_a_kind(before, habit):
    """As in "cars with one of those fill the housing": the subject is a kind of things, and the fact comes later."""
    lead = _begun(before)
    noun_at = next((at for at, word in enumerate(lead[:4]) if word in of_what.ONE_OF_A_KIND), 0)
    does = any(_one_does(word) for word in lead[noun_at + 1 :]) or len(lead) == noun_at + 1
    aside = set(lead[noun_at:]) & (of_what.OWN_SUBJECTS | {"that", "in", "on"})
    if habit and lead[:1] in (["a"], ["an"]) and noun_at and does and not aside:
        return True
    first = next((at for at, word in enumerate(lead[:3]) if word in of_what.KINDS and word != "drives"), len(lead))
    if first == len(lead) or set(lead[:first]) & of_what.OF_ONE or set(lead[first:]) & of_what.OWN_SUBJECTS:
        return False
    if lead[first] in of_what.OWN_PARTS and not first:
        return False  # "plates are worn right out"
    return "the" not in lead[:first] or lead[first] in of_what.KINDS_WITH_THE


def _of_anybody(before):
    """As in "once you start tuning", where "you" is anybody."""
    for at in range(len(before) - 1, 0, -1):
        if before[at] in of_what.OWN_SUBJECTS:
            return False
        if before[at] == "you":
            return before[at - 1] in of_what.WHENEVER
    return False


def _once_it_is(before, behind):
    """As in "once it's all wheel drive I'll worry"."""
    said = list(before)
    begun = [
        at
        for at, word in enumerate(said)
        if word in ("once", "when", "till", "until") or said[at:][:2] == ["the", "day"]
    ]
    return (
        bool(begun) and set(said[begun[-1] + 1 :]) & {"it", "she"} != set() and {"will", "shall"} & set(behind) != set()
    )


def _cured(before, behind):
    """As in "the shaking in reverse stopped dead", "cured the judder"."""
    if not set(behind) & of_what.WHEN_CURED and of_what.CURED_BEHIND.stand_in(behind[:6]):
        return True
    return bool(set(before[-3:]) & of_what.CURES) and not set(before) & of_what.NOT_CURED


def _of_a_machine(words):
    """Is it the clutch of a machine that is no car: "the winch clutch drags", "my mower's clutch"?"""
    return any(word == "clutch" and at and words[at - 1] in of_what.MACHINES for at, word in enumerate(words))


def _brakes_drag(words):
    """As in "the trailer brakes drag": no strip is spoken of."""
    return any(
        word in ("drag", "drags", "dragging") and at and words[at - 1] in of_what.OTHER_PARTS
        for at, word in enumerate(words)
    )


def _about_them(before):
    """Is it told of "them", who are no car: "they judder from new", "these all have dual mass flywheels"?"""
    for at in range(len(before) - 1, max(-1, len(before) - 6), -1):
        if before[at] in of_what.OWN_SUBJECTS:
            return False
        if before[at] in ("they", "these", "those") and before[at + 1 : at + 2] not in (["fitted"], ["put"]):
            return at == 0 or before[at - 1] not in of_what.BEFORE_OBJECTS
    return False


def _caused_in_general(before):
    """As in "a worn bush gives you a low pedal", "oil on the plate makes them slip"."""
    lead = _begun(before)
    for at, word in enumerate(lead):
        if word in of_what.CAUSES and 0 < at < 7:
            of_a_kind = lead[0] in ("a", "an") or (word == "makes" and lead[0] not in of_what.OWN_SUBJECTS)
            of_a_kind = of_a_kind or lead[0].endswith("s")
            return of_a_kind and (lead[at + 1 : at + 2] or [""])[0] not in of_what.OWN_OBJECTS
    return False


def _by_another_part(before):
    """Is the last thing named before it a part that is none of the clutch's: "the fan belt slips"?"""
    for at in range(len(before) - 1, -1, -1):
        word = before[at]
        if word in of_what.DISCS and at and before[at - 1] in ("rear", "front", "brake"):
            return True
        if word in of_what.CLUTCH_PARTS:
            return False
        if word in of_what.OTHER_PARTS:
            return not (at and before[at - 1] in of_what.NO_SUBJECT)
    return False


def _your_man(before):
    """As in "your man reckoned 600 newton metres": said by somebody of the shop, of what nobody knows."""
    return any(
        word == "your" and set(before[at + 1 : at + 2]) & of_what.SHOPS_PEOPLE and set(before[at + 2 :]) & of_what.SAID
        for at, word in enumerate(before)
    )


def _by_something_else(before):
    """Is the subject a thing that is none of the clutch nor the car: "my heel slips", "the mat slips"?"""
    lead = list(before)
    while lead and lead[-1] in of_what.ADVERBS:
        lead.pop()
    if len(lead) < 2 or lead[-1] in of_what.CLUTCH_PARTS | of_what.OWN_THINGS:
        return False
    return lead[-2] in of_what.DETERMINERS


def _of_whoever(before):
    """As in "anybody who launches at six thousand"."""
    return any(
        word in of_what.ANYBODY and set(before[at + 1 : at + 2]) & {"who", "that", "like", "with"}
        for at, word in enumerate(before)
    )


def _by_a_tool(before):
    """Is the last thing named before a number a tool, "the rattle gun does 600 Nm", or what is no car and weighs it?"""
    if set(before[-4:]) & {"weighs", "weigh", "weighing", "weighed"}:
        return not of_what.WEIGHED_WHOLE & set(before) and bool(of_what.WEIGHED & set(before))
    for at in range(len(before) - 1, -1, -1):
        if before[at] in of_what.TOOLS:
            return True
        if before[at] in of_what.OWN_SUBJECTS | {"engine", "motor", "car"}:
            return False
    return False


def _given_up(before, behind):
    """As in "swapped the dual mass for a solid one", "went from a diesel to", "a remap booked", "nearly bought a"."""
    last = list(before[-4:])
    swapped = [at for at, word in enumerate(last) if word in of_what.GIVES_UP]
    if swapped and set(last[swapped[-1] + 1 :]) <= of_what.ARTICLES and set(behind[:4]) & {"for", "with", "to"}:
        return {PAST}
    if "from" in last and set(last[last.index("from") + 1 :]) <= of_what.ARTICLES and "to" in behind[:4]:
        return {PAST}
    almost = [at for at, word in enumerate(before) if word in ("nearly", "almost") and len(before) - at < 6]
    if almost and before[almost[-1] + 1 : almost[-1] + 2] and before[almost[-1] + 1] in of_what.DECIDED:
        return {AHEAD}
    if behind[:1] and behind[0] in of_what.ARRANGED:
        return {AHEAD}
    return set()


def _another_life(before, inside, behind, number):
    """As in "I learned to drive in a diesel", "had a 400 horse thing in my twenties", "we run an estate at work"."""
    whole = [*before, *inside, *behind]
    if of_what.OTHER_LIFE.stand_in(whole):
        return True
    for at, word in enumerate(before):
        noun = before[at + 1 :]
        if set(noun) & of_what.OWN_SUBJECTS:
            continue
        if noun[:1] in (["a"], ["an"], ["the"]) and len(noun) < 3 and word in of_what.OTHERS_CARS and not at:
            return True
        if (
            word in of_what.OTHERS_CARS
            and noun[:1] in (["a"], ["an"])
            and len(noun) < 3
            and before[at - 1] in ("i", "we")
        ):
            return True
        several = noun[0] in of_what.SOME if noun else inside[-1:] != [] and inside[-1].endswith("s")
        vehicle = bool(of_what.VEHICLES & {*noun[:4], *inside, *behind[:2]})
        if several and word in of_what.DROVE and not number and (not at or before[at - 1] in of_what.DRIVERS):
            return True
        if several and vehicle and word in of_what.ONCE_HAD and not set(before[:at]) & of_what.OF_IT:
            return not set(behind) & of_what.CHANGED_ON
        itself = word == "is" and before[at - 1 : at] in (["it"], ["she"], ["mine"])  # "it's a street car ... as well"
        if several and vehicle and word in of_what.HAS and not itself and of_what.AS_WELL.stand_in(whole):
            return True
    return False


def _hearsay(words):
    return of_what.HEARSAY.stand_in(words)


def _sold_by(words):
    """Is it told of something that is for sale: "this kit comes with", "it says on the tin"?"""
    kit = [at for at, word in enumerate(words[:5]) if word in ("kit", "kits")]
    behind = words[kit[0] + 1 :] if kit and kit[0] else []
    if behind and words[0] in of_what.THEIR and behind[0] not in of_what.OWN_KIT:
        return True
    return of_what.FOR_SALE.stand_in(words)
