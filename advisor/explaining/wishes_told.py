"""What wishes cost, kits that miss one by a little, and close calls, in sentences."""

from ..deciding.recorded_around import BesideThePick, NearMiss, RecordedCloseCall, RecordedWish
from ..deciding.recorded_rules import PostedRequirement
from ..knowledge.sentences import capital, joined, sentence
from ..knowledge.wording import NOT_KNOWN, Wording
from .spoken_reasons import spoken_step

PRICE = "total_price"
#: Figures told of a kit beside the pick, besides its price.
TOLD = ("pedal_force_n", "noise_class", "take_up_class")
#: Close calls told on a screen.
MOST_CALLS = 3


def wish_sentence(wish: RecordedWish, wording: Wording) -> str:
    """One of a record's ``wishes``: "A lighter pedal costs 760.00 EUR more. Without it ..."."""
    name, other = capital(wording.knowledge.questions[wish.fact].wish or wording.label(wish.fact)), wish.without
    price = other.difference(PRICE)
    if price is None:
        cost = f"{name} decides"
    elif price < 0:
        cost = f"{name} costs {wording.money(-price)} more"
    else:
        cost = f"{name} costs nothing more"
    assumed = ", taken for granted because nobody said otherwise" if wish.assumed else ""
    instead = f"{wording.title(other.kit)} ({other.kit})"
    return sentence(f"{cost}{assumed}. Without it {instead} would be the pick: {beside(other, wording)}")


def near_miss_sentence(miss: NearMiss, requirement: PostedRequirement, wording: Wording) -> str:
    """One of a record's ``near_misses``, with the requirement it misses."""
    demand = wording.demand(requirement.compare, requirement.measure, miss.needed, miss.actual, requirement.level)
    has = wording.has(requirement.measure, miss.actual, miss.needed, "it")
    return sentence(
        f"{wording.title(miss.beside.kit)} ({miss.beside.kit}) misses one wish by a little. "
        f"{capital(demand)}; {has}. Beside the pick: {beside(miss.beside, wording)}"
    )


def close_call_sentence(call: RecordedCloseCall, wording: Wording) -> str:
    """One of a record's ``close_calls``: "Engine torque: from 448 N m on, ..."."""
    at, value = wording.pair(call.fact, call.at, call.value)
    where = f"from {at} on" if call.at > call.value else f"at {at} or less"
    kit = f"{wording.title(call.becomes)} ({call.becomes}) is the pick" if call.becomes else "no kit passes"
    return sentence(f"{wording.label(call.fact)}: {where}, {kit}; {value} was taken")


def beside(other: BesideThePick, wording: Wording) -> str:
    """What another kit is against the pick: price, pedal, noise, take-up, delivery."""
    parts, price = [], other.difference(PRICE)
    if price is not None:
        parts.append(f"{wording.money(abs(price))} {'more' if price > 0 else 'less'}")
    for name in TOLD:
        step = next((step for step in other.differences if step.figure == name), None)
        if step is not None and wording.value(name, step.pick) != wording.value(name, step.kit):
            parts.append(spoken_step(wording, name, step.pick, step.kit))
    if other.delivery != other.pick_delivery:
        parts.append(f"{_there(other.delivery)}, the pick {_there(other.pick_delivery)}")
    return joined(parts, last="and") or "nothing else differs that is told"


def _there(days):
    if days is None:
        return f"delivery {NOT_KNOWN}"
    return "on the shelf" if days == 0 else f"there in {days:.0f} days"
