"""What a question's page shows: the question, its answers, what is taken where nobody knows, why it is asked.

All words are those of the terminal's interview in a customer's wording; nothing is said here a second time.
"""

import dataclasses
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..deciding import ladder
from ..deciding.batch import Batched
from ..deciding.outcomes import NO_KIT
from ..errors import ErrorList, InputError
from ..explaining.spoken_reasons import ABOUT
from ..explaining.trade_words import PlainWords
from ..interview import asking_why
from ..interview.names import CAR
from ..interview.state import Said, State
from ..knowledge.model import Fact
from ..knowledge.sentences import joined
from ..knowledge.units import UNITS
from .answering import PagedInterview
from .workplace import Workplace, state_key

#: Units offered beside a number, by the unit its fact is kept in and whether it is a small length.
OFFERED = {
    "N m": ("N m", "lb-ft", "kgf m"),
    "kW": ("kW", "hp", "PS"),
    "kg": ("kg", "lb"),
    "mm": ("mm", "in"),
    "bar": ("bar", "psi"),
    "km/h": ("km/h", "mph"),
    "cm3": ("cm3", "l"),
    "N": ("N", "lbf"),
    "m": ("m", "ft"),
}
SMALL = {"m": ("mm", "in", "m")}
#: How a unit is shown beside a field.
SHOWN = {"cm3": "cm³", "mm2": "mm²", "l": "litres", "in": "inches", "rpm": "rpm", "deg": "degrees"}
#: The value of the answer "I don't know" among choices.
UNKNOWN = "unknown"
#: Words around a number that are no unit.
_AROUND = frozenset(
    (
        *("about", "around", "roughly", "approximately", "approx", "circa", "ca", "just", "nearly", "almost", "maybe"),
        *("at", "least", "most", "over", "under", "up", "to", "between", "and", "more", "less", "than"),
    )
)
_NUMBER = re.compile(r"\s*([-+]?[\d.,/]+)\s*(\S.*)?")


@dataclass(frozen=True, slots=True)
class AnswerOffered:
    """One answer to choose: its ``value``, its words, and what would come of it, where that is shown."""

    value: str
    text: str
    beside: str = ""


@dataclass(frozen=True, slots=True)
class QuestionPage:
    """A question's page. ``typed``: what stands in the field or is chosen; ``units``: (value, text), ``unit`` chosen.

    ``assumed``: what is taken where nobody knows; ``why``, ``words``: sentences; ``former``: what was said before.
    """

    fact: str
    heading: str
    help: str
    choices: tuple[AnswerOffered, ...]
    units: tuple[tuple[str, str], ...]
    typed: str
    unit: str
    assumed: str
    why: tuple[str, ...]
    words: tuple[str, ...]
    former: str
    answered: bool
    unknown: bool
    numeric: bool


def question_page(interview: PagedInterview, place: Workplace, name: str) -> QuestionPage:
    """The page of a question, as the case stands."""
    fact, asked = place.knowledge.facts[name], place.knowledge.questions[name]
    teller, state = place.plain, interview.state
    held = state.said.get(name)
    before = state.former.get(name) if held is None else None
    shown = held or before
    units = units_of(fact)
    typed, unit = ("", units[0][0]) if units else ("", "")
    if shown is not None and not shown.unknown:
        typed = _chosen(fact, shown)
        if units:
            typed, unit = _parted(typed, units)
    why = asking_why.in_plain_words(teller, name, interview.view)
    spoken = [asked.plain, asked.help, *(text for _, text in asked.options)]
    return QuestionPage(
        name,
        asked.plain,
        asked.help,
        _answers(interview, place, fact),
        units,
        typed,
        unit,
        _assumed(interview, place, name),
        tuple(why),
        tuple(PlainWords().after([*spoken, *why])),
        f"You said {teller.said(before)} before." if before is not None else "",
        held is not None and not held.unknown,
        held is not None and held.unknown,
        fact.kind == "number",
    )


def units_of(fact: Fact) -> tuple[tuple[str, str], ...]:
    """(unit, text) offered beside a number; none where it has none."""
    if fact.kind != "number" or fact.choices or fact.unit in ("", "1"):
        return ()
    names = SMALL.get(fact.unit) if (fact.high or 0) <= 10 else None
    offered = names or OFFERED.get(fact.unit, (fact.unit,))
    return tuple((name, SHOWN.get(name, name)) for name in offered)


def _chosen(fact: Fact, said: Said) -> str:
    """The answer as it stands in the form."""
    if fact.kind == "flag":
        return "yes" if said.value else "no"
    if fact.kind == "number" and fact.choices:
        return f"{said.value:g}"
    return str(said.raw)


def _parted(text: str, units: Sequence[tuple[str, str]]) -> tuple[str, str]:
    """(number, unit) of a text where both are plain; else (text, the first unit), which the reader takes as well."""
    match = _NUMBER.fullmatch(text)
    wanted = (match[2] or "").strip() if match else ""
    for name, _ in units:
        if match and wanted and (wanted == name or wanted in UNITS[name].spellings):
            return match[1], name
    return text, units[0][0]


def joined_answer(value: str, unit: str, units: Sequence[tuple[str, str]]) -> str:
    """The text that the reader reads: the unit that was chosen behind a number that has none."""
    value = " ".join(value.split())
    words = re.findall(r"[^\W\d_]+", value.casefold())
    if unit in dict(units) and value[-1:].isdigit() and set(words) <= _AROUND:
        return f"{value} {unit}"
    return value


def has_choices(fact: Fact) -> bool:
    """Is an answer chosen from a list, and not typed?"""
    return fact.kind == "flag" or bool(fact.choices)


def _answers(interview: PagedInterview, place: Workplace, fact: Fact) -> tuple[AnswerOffered, ...]:
    teller = place.plain
    if fact.kind == "number" and fact.choices:
        return tuple(AnswerOffered(f"{choice:g}", teller.value(fact.name, choice)) for choice in fact.choices)
    if fact.kind == "flag":
        offered = {"yes": True, "no": False}
        texts = list(offered)
    else:
        offered = {choice: choice for choice in fact.choices}
        texts = [teller.value(fact.name, choice) for choice in fact.choices]
    beside = _come_to(interview, place, fact, offered)
    return tuple(map(AnswerOffered, offered, texts, beside))


def _come_to(interview: PagedInterview, place: Workplace, fact: Fact, values: Mapping[str, Any]) -> Sequence[str]:
    """Of a wish: the clutch and the price that each answer would come to, where that can be told; else empty texts."""
    if not values or not place.knowledge.questions[fact.name].wish or not interview.may_be_told:
        return [""] * len(values)
    state = interview.state
    wishes = [{fact.name: Said(fact.name, text, value)} for text, value in values.items()]

    def decided() -> list[str]:
        tried = [dataclasses.replace(state, said=dict(state.said) | wish).as_case() for wish in wishes]
        gathered = [place.decider.gather(case) for case in tried]
        batched = place.decider.batch.run([known for _, known in gathered], gathered[0][0])
        return [_comes_to(place, batched, row) for row in range(len(tried))]

    return place.once(f"wish {fact.name} {state_key(state)}", decided)


def _comes_to(place: Workplace, batched: Batched, row: int) -> str:
    pick = int(batched.picks[row])
    if pick < 0:
        return "none on our list fits" if batched.outcomes[row].outcome == NO_KIT else ""
    kit, wording = batched.kits.kits[pick], place.plain.wording
    total = batched.figures.value(ladder.PRICE, row, pick)
    price = "price to be asked" if total is None else f"{wording.money(total, kit.fields.get('currency'))} in all"
    missed = zip(place.knowledge.order.concerns, batched.concerns[row, pick], strict=True)
    about = [ABOUT.get(concern, concern) for concern, fails in missed if fails]
    return f"{wording.title(kit.id)}, {price}" + (f"; not as wished: {joined(about)}" if about else "")


def _assumed(interview: PagedInterview, place: Workplace, name: str) -> str:
    """What is taken where nobody knows it; worked out without the answer that may be there."""
    state = interview.state
    if state.car is None:
        return ""
    said = {fact: answer for fact, answer in state.said.items() if fact != name}
    view = place.chooser.view(dataclasses.replace(state, said=said, again="")) if name in state.said else interview.view
    return place.plain.untold(name, view, state)


def leaning(interview: PagedInterview, place: Workplace) -> str:
    """How it stands so far, in a sentence; empty where nothing may be told yet."""
    if not interview.may_be_told:
        return ""
    pick = interview.view.standing.pick
    if pick is None:
        return "So far none on our list fits."
    kit = next(kit for kit in place.decider.shop.kits if kit.id == pick)
    if kit.fields.get("factory"):
        return "So far: the factory clutch is enough."
    return f"So far: {place.plain.wording.title(pick)}."


def left(interview: PagedInterview) -> str:
    """How many questions are likely still to come, in words."""
    if interview.question is None:
        return "Nothing more needs to be asked." if interview.may_be_told else "The shop finds out what is still open."
    count = interview.view.left
    if count is None or count == 0:
        return ""
    return "Probably the last question." if count == 1 else f"About {count} more questions."


def before(state: State, name: str) -> str:
    """The question to go back to: the one answered before this one, the car before all; empty before the car."""
    if name == CAR:
        return ""
    answered = list(state.said)
    place = answered.index(name) if name in answered else len(answered)
    return answered[place - 1] if place else CAR


def faults(error: Exception, place: Workplace, name: str | None) -> list[str]:
    """What is wrong with an answer and how to mend it, in a customer's words."""
    errors = error.errors if isinstance(error, ErrorList) else (error,)
    texts = []
    for fault in errors:
        text = f"{fault.what} {fault.remedy}".strip() if isinstance(fault, InputError) else str(fault)
        text = place.plain.mended(text, name)
        if name and name != CAR:
            label = place.plain.label(name)
            for start in (f"{name}: ", f"{label}: "):
                text = text.removeprefix(start)
        texts.append(text[:1].upper() + text[1:])
    return texts
