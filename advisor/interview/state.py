"""The answers of one interview so far: plain data, changed only by making a new one."""

import dataclasses
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Self

from ..engine.rulebase import copied_by, read_by
from ..knowledge.case_model import Answer, Case, ChangedAnswer
from ..knowledge.model import FactRef, Knowledge
from .names import CAR


@dataclass(frozen=True, slots=True)
class Said:
    """One thing the caller said: the ``raw`` text, its canonical ``value`` (None: don't know) and who said it.

    ``low`` and ``high``: the ends of a vague answer, as in `Answer`; ``ends``: their texts, where they stand beside the
    value in the case file and not in ``raw``.
    """

    fact: str
    raw: str
    value: Any
    origin: str = "stated"
    low: float | None = None
    high: float | None = None
    ends: tuple[str, ...] = ()

    @classmethod
    def of(cls, fact: str, raw: str, answer: Answer, origin: str | None = None, ends: Sequence[str] = ()) -> Self:
        """What an `Answer` says; ``origin`` where somebody else said it."""
        return cls(fact, raw, answer.value, origin or answer.origin, answer.low, answer.high, tuple(ends))

    @property
    def answer(self) -> Answer:
        """The `Answer` it makes."""
        return Answer(self.value, self.origin, self.low, self.high)

    @property
    def meant(self) -> tuple[Any, float | None, float | None]:
        """What it says, without the words and who said it."""
        return self.value, self.low, self.high

    @property
    def unknown(self) -> bool:
        """Did the caller not know?"""
        return self.value is None


@dataclass(frozen=True, slots=True)
class Aside:
    """What of a sentence was not taken down, in words."""

    text: str


@dataclass(frozen=True, slots=True)
class State:
    """``car``: None not asked yet, "" not on file, else the platform id. ``said``: fact -> Said, in order of telling.

    ``former``: answers dropped because what they hung on changed; offered again. ``later``: questions put off.
    ``onward``: the caller wants to go on after the interview stopped by itself. ``again``: a question to be answered
    once more. ``about``: title, note and the like of the case file, kept as they were. ``changed``: guarded answers
    that were others when a result was told. ``insist``: contradictions in which the harder reading shall decide.
    """

    case: str
    car: str | None = None
    said: Mapping[str, Said] = field(default_factory=dict)
    former: Mapping[str, Said] = field(default_factory=dict)
    later: tuple = ()
    onward: bool = False
    again: str = ""
    about: Mapping[str, Any] = field(default_factory=dict)
    changed: tuple[ChangedAnswer, ...] = ()
    insist: tuple = ()

    def as_case(self) -> Case:
        """The Case these answers make."""
        answers = {name: answer.answer for name, answer in self.said.items() if not answer.unknown}
        unknown = tuple(sorted(name for name, answer in self.said.items() if answer.unknown))
        return Case(
            self.case,
            self.car or "",
            answers,
            unknown,
            self.insist,
            note=str(self.about.get("note", "")),
            changed=self.changed,
        )

    def with_answers(self, saids: "Iterable[Said]", follows: Mapping[str, Collection[str]]) -> "State":
        """A State with the ``saids`` Saids taken in; what followed from a changed answer is dropped to ``former``.

        ``follows``: fact -> facts whose answers hang on it (see `followers`).
        """
        said, former = dict(self.said), dict(self.former)
        car = self.car
        fresh = {answer.fact for answer in saids}
        for answer in saids:
            if answer.fact == CAR:
                changed = self.car is not None and self.car != answer.value
                car = answer.value
            else:
                held = said.get(answer.fact)
                changed = held is not None and held.meant != answer.meant
                said[answer.fact] = answer
                former.pop(answer.fact, None)
            for name in _all_followers(answer.fact, follows) if changed else ():
                if name in said and name not in fresh:
                    dropped = said.pop(name)
                    if not dropped.unknown:
                        former[name] = dropped
        later = tuple(name for name in self.later if name not in fresh)
        again = "" if self.again in fresh else self.again
        return dataclasses.replace(self, car=car, said=said, former=former, later=later, again=again)


def _all_followers(fact, follows):
    followers_found, waiting = [], list(follows.get(fact, ()))
    while waiting:
        name = waiting.pop(0)
        if name not in followers_found:
            followers_found.append(name)
            waiting += follows.get(name, ())
    return followers_found


def readers(knowledge: Knowledge) -> dict[str, set[str]]:
    """Asked fact -> ids of the rules and calculations that read it."""
    by_fact: dict[str, Any] = {}
    for key, names in reads(knowledge).items():
        for name in names:
            by_fact.setdefault(name, set()).add(key)
    return by_fact


def reads(knowledge: Knowledge) -> dict[str, set[str]]:
    """Id of every rule and calculation -> the facts it reads itself."""
    by_step = {}
    for rule in knowledge.rules:
        if rule.stage == "consistency":
            continue  # holding answers against each other makes none of them hang on another
        names = {name for condition in rule.conditions for name in (condition.fact, *read_by(condition))}
        names |= set(copied_by(rule))
        for requirement in rule.require:
            limits = requirement.limit if isinstance(requirement.limit, tuple) else (requirement.limit,)
            names |= {limit.name for limit in limits if isinstance(limit, FactRef)}
        by_step[rule.id] = names
    for calculation in (*knowledge.calculations, *knowledge.figure_calculations):
        if calculation.stage == "consistency":
            continue
        inputs = [alternative for _, given in calculation.inputs for alternative in (given.first_of or (given,))]
        by_step[calculation.id] = {given.name for given in inputs if given.source == "fact"}
    return by_step


def copies(knowledge: Knowledge) -> dict[str, str]:
    """Derived fact -> the asked fact that it tells again: what every one of its rules copies, as answered or converted.

    So the power at the flywheel is the power as answered or that power read back from the wheels, and both tell the
    answer again.
    """
    copied: dict[str, list[str | None]] = {}
    converted: dict[str, str] = {}
    for rule in knowledge.rules:
        for conclusion in rule.conclude:
            copied.setdefault(conclusion.fact, []).append(getattr(conclusion.value, "name", None))
    for calculation in knowledge.calculations:
        read = [given.name for _, given in calculation.inputs if given.source == "fact"]
        asked = [name for name in read if knowledge.facts[name].source == "asked"]
        # A conversion gives what it takes: the same quantity, read at another place.
        if len(asked) == 1 and knowledge.facts[asked[0]].unit == calculation.unit:
            converted[calculation.gives] = asked[0]
    copied_from: dict[str, str] = {}
    for name, sources in copied.items():
        read = [source for source in sources if source is not None]
        answers = {converted.get(source, source) for source in read}
        if len(read) == len(sources) and len(answers) == 1 and knowledge.facts[min(answers)].source == "asked":
            copied_from |= {fact: min(answers) for fact in (name, *read) if fact not in answers}
    return copied_from


def followers(knowledge: Knowledge) -> dict[str, list[str]]:
    """Fact -> facts whose answers hang on it, read off the rules: nothing is declared twice.

    An answer hangs on another when it is asked after it in the same topic and everything that reads it reads the
    other too, itself or told again (see `copies`), but not the other way round (the speed hangs on the
    power it belongs to). What a car's record may hold hangs on the car.
    """
    by = readers(knowledge)
    for copy, answer in copies(knowledge).items():
        by[answer] = by.get(answer, set()) | by.get(copy, set())
    order = list(knowledge.questions)
    hanging = {CAR: [name for name in order if knowledge.facts[name].platform]}
    for place, name in enumerate(order):
        topic = knowledge.questions[name].topic
        for other in order[place + 1 :]:
            subordinate = by.get(other, set()) < by.get(name, set()) and by.get(other)
            if subordinate and knowledge.questions[other].topic == topic:
                hanging.setdefault(name, []).append(other)
    return hanging
