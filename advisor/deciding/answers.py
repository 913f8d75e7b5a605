"""From a case and its platform to the facts of stage case, each with where it came from."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import field
from typing import TYPE_CHECKING, Any

import numpy as np

from ..engine.fact_columns import given_of, kind_of, put, put_elements, shared_columns
from ..errors import InputError
from ..frozen import frozen
from ..knowledge.case_model import ORIGINS, Answer, Case
from ..knowledge.model import Fact, Knowledge, Record, Value
from ..knowledge.near import did_you_mean
from ..knowledge.records import asked_of_case

if TYPE_CHECKING:
    from ..engine.fact_columns import Flags, Given
    from .consistency import Clashes
    from .estimating import Estimates


@frozen
class Assumption:
    """A value used because nobody answered; ``alternatives`` are the other values worth trying."""

    fact: str
    value: Value
    low: float | None
    high: float | None
    alternatives: tuple
    basis: str
    worst: bool = False


@frozen
class Denial:
    """An answer that differs from what the platform record holds; the answer wins."""

    fact: str
    answer: Value
    platform: Value


@frozen
class AnswerEnds:
    """The ends, ``low`` to ``high``, of an answer given as a range or as "about"."""

    low: float
    high: float


@frozen
class Known:
    """Facts complete before stage case.

    ``origins``: measured, stated, looked_up, platform, factory_kit or assumed. ``missing``: facts without
    which there is no decision. ``open``: asked facts without an answer (assumed, worst or left). ``vague``: fact -> the
    ends of its answer, where that is a range. ``declined``: no kit is for such a vehicle, whatever else is answered.
    ``clashes``: the `consistency.Clashes` among the answers, None where nobody has looked yet. The Decider sets both.
    """

    facts: Mapping[str, Value]
    origins: Mapping[str, str]
    answered: frozenset
    assumptions: tuple[Assumption, ...]
    denials: tuple[Denial, ...]
    missing: tuple[str, ...]
    open: tuple[str, ...]
    factory_kit: str = field(default="")
    declined: bool = False
    vague: Mapping[str, AnswerEnds] = field(default_factory=dict)
    clashes: "Clashes | None" = None


def gather(
    case: Case,
    platform: Record | None,
    kits: Mapping[str, Record],
    knowledge: Knowledge,
    estimates: "Estimates | None" = None,
) -> "Known":
    """`Known` from a Case, its platform Record (None where not on file) and kits by id.

    ``estimates``: what is estimated of kits, the factory clutch among them; it counts as assumed.

    What the record of a car leaves out is filled as the vocabulary says; a car that is not on file at all has no
    record to fill, and the rules for such cars speak instead.
    """
    factory = kits.get(platform.fields.get("stock.clutch", "")) if platform else None
    # One that is named but not on file is not known, like one that is not named: looking a shop through tells of it.
    factory_id = factory.id if factory else ""
    estimated = (estimates or {}).get(factory_id, {})
    assumptions: list[Any] = []
    missing: list[Any] = []
    facts, origins, denials, left, vague = {}, {}, [], [], {}
    for name, fact in knowledge.facts.items():
        if fact.source == "platform":
            value = platform.fields.get(fact.platform) if platform else None
            if value is not None:
                facts[name], origins[name] = value, "platform"
            elif platform:
                _fill(fact, facts, origins, assumptions, missing)
        elif fact.source == "factory_kit":
            value = factory.fields.get(fact.field) if factory else None
            if value is not None:
                facts[name], origins[name] = value, "factory_kit"
            elif fact.field in estimated:
                put_in = estimated[fact.field]
                facts[name], origins[name] = put_in.hardest, "assumed"
                basis = f"{put_in.estimate.because} {put_in.estimate.basis.source}".strip()
                assumptions.append(Assumption(name, put_in.hardest, put_in.low, put_in.high, (), basis))
            elif platform:
                _fill(fact, facts, origins, assumptions, missing)
        elif fact.source == "asked":
            on_file = platform.fields.get(fact.platform) if platform and fact.platform else None
            answer = case.answers.get(name)
            if answer is not None:
                facts[name], origins[name] = _whole(fact, answer.value), answer.origin
                if answer.low is not None and answer.high is not None and answer.low < answer.high:
                    vague[name] = AnswerEnds(answer.low, answer.high)
                if on_file is not None and on_file != answer.value:
                    denials.append(Denial(name, answer.value, on_file))
            elif on_file is not None:
                facts[name], origins[name] = on_file, "platform"
            else:
                left.append(name)
                _fill(fact, facts, origins, assumptions, missing)
    answered = frozenset(name for name, origin in origins.items() if origin in ORIGINS)
    return Known(
        facts,
        origins,
        answered,
        tuple(assumptions),
        tuple(denials),
        tuple(missing),
        tuple(left),
        factory_id,
        vague=vague,
    )


def overlaid(
    bare: "Known", cases: "Sequence[Case]", facts: "Mapping[str, Fact]"
) -> "tuple[dict[str, Given], dict[str, Flags], Flags]":
    """(columns, answered, odd) of cases of one car, as `gather` and ``engine.fact_columns.columns`` give them.

    ``bare``: what is known of the car where nobody has answered anything; ``facts``: of a RuleBase, by name. ``odd``:
    boolean (C,), cases with an answer outside its fact's range or choices, whose columns mean nothing.
    """
    given = shared_columns(facts, bare.facts, len(cases))
    answered: dict[str, Any] = {}
    odd = np.zeros(len(cases), dtype=bool)
    # Answer by answer is gathered only; what is put into columns is put fact by fact.
    by_fact: dict[str, tuple[list[int], list[Answer]]] = {}
    for row, case in enumerate(cases):
        for name, answer in case.answers.items():
            if name not in by_fact:
                by_fact[name] = [], []
            rows, answers = by_fact[name]
            rows.append(row)
            answers.append(answer)
    for name, (rows, answers) in by_fact.items():
        fact = facts[name]
        if fact.source != "asked":
            continue  # what stands on record of the car counts
        if fact.kind == "number":
            values = np.array([answer.value for answer in answers], dtype=float)
            values = np.ceil(values) if counted(fact) else values
            low, high = (np.nan if end is None else end for end in (fact.low, fact.high))
            odd[rows] |= (values < low) | (values > high) | np.isnan(values)
            put_elements(fact, given, rows, values, len(cases))
        elif kind_of(fact) == "choice":
            places = {choice: place for place, choice in enumerate(fact.choices)}
            chosen = np.array([places.get(answer.value, -1) for answer in answers], dtype=int)
            odd[rows] |= chosen < 0
            put_elements(fact, given, np.array(rows)[chosen >= 0], chosen[chosen >= 0], len(cases))
        elif fact.kind == "flag":
            put_elements(fact, given, rows, [answer.value for answer in answers], len(cases))
        else:
            for row, answer in zip(rows, answers):
                odd[row] |= not put(fact, given, row, answer.value, len(cases))
        said = [row for row, answer in zip(rows, answers) if answer.origin in ORIGINS]
        if said:
            answered[name] = np.zeros(len(cases), dtype=bool)
            answered[name][said] = True
    return given_of(given), answered, odd


def _whole(fact, value):
    """A count, which may be the middle of a range, as a whole number: the next above, which is the harder."""
    return float(math.ceil(value)) if counted(fact) else value


def counted(fact: Fact) -> bool:
    """Whether a fact is a count: a number without a unit of which there are no parts."""
    return fact.kind == "number" and fact.unit in ("", "1") and fact.resolution == 1.0


def _fill(fact, facts, origins, assumptions, missing):
    unknown = fact.if_unknown
    if unknown is None or unknown.do == "leave":
        return
    if unknown.do == "stop":
        missing.append(fact.name)
        return
    facts[fact.name], origins[fact.name] = unknown.value, "assumed"
    low, high, others = unknown.low, unknown.high, unknown.others
    if unknown.do == "worst":
        # Nothing is declared to try in its place but what it may turn out to be.
        low, high = _plain_band(fact)
        others = (False, True) if fact.kind == "flag" else fact.choices
    ends = [end for end in (low, high) if end is not None and end != unknown.value]
    others = [other for other in others if other != unknown.value]
    assumptions.append(
        Assumption(
            fact.name,
            unknown.value,
            low,
            high,
            tuple(ends or others),
            unknown.basis,
            unknown.do == "worst",
        )
    )


def _plain_band(fact):
    """The lowest and highest that a number may turn out to be whatever else is known, or None twice."""
    bands = [entry.band for entry in fact.plausible if entry.band and not entry.times and not entry.given]
    return (bands[-1][0], bands[-1][2]) if bands else (None, None)


#: Topics of the questions whose answers are marked where they change after a result, besides those of safety.
GUARDED_TOPICS = ("use", "crankshaft")


def guarded(knowledge: Knowledge) -> tuple[str, ...]:
    """Names of asked facts on use, racing, speed or crankshaft: a change of them after a result goes to the lead."""
    return tuple(
        name
        for name, question in knowledge.questions.items()
        if not knowledge.facts[name].offered and (knowledge.facts[name].safety or question.topic in GUARDED_TOPICS)
    )


def check_names(case: Case, knowledge: Knowledge) -> None:
    """Refuse an answer to something no case may answer; nearest name suggested."""
    for name in (*case.answers, *case.unknown):
        fact = knowledge.facts.get(name)
        if fact is None or not asked_of_case(fact):
            asked = [known for known, fact in knowledge.facts.items() if asked_of_case(fact)]
            raise InputError(
                f"{name!r} is not something the advisor asks.",
                value=name,
                remedy=did_you_mean(name, asked, "See `advisor interview` for what is asked."),
            )
