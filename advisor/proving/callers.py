"""A caller: what he answered, what is on file. Read off a proof, run through the engines, cut down to what matters."""

import dataclasses
import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from ..deciding.answers import Known, gather
from ..deciding.consistency import STAGE, said
from ..engine.calculating import round_digits
from ..engine.compare import TwoEngines
from ..engine.plain import compile_plain
from ..errors import AdvisorError, ConflictError
from ..knowledge.case_model import Answer, Case
from ..knowledge.model import Fact, Knowledge, Record
from ..knowledge.wording import Wording
from .admissible import Admission, range_of
from .regions import Regions

if TYPE_CHECKING:
    from ..engine.derivation import Derivation

#: Ids of the car and of the clutch that stand for what is on file in a caller made up by a proof.
CAR, CLUTCH = "the-car", "the-factory-clutch"


@dataclass(frozen=True, slots=True)
class Caller:
    """``answers``: asked fact -> value; ``record``: place in the car's record -> value, None where none is on file;
    ``clutch``: field -> value of the factory clutch on file, None likewise.
    """

    answers: Mapping[str, Any] = field(default_factory=dict)
    record: Mapping[str, Any] | None = None
    clutch: Mapping[str, Any] | None = None

    def parts(self) -> list[tuple[str, str]]:
        """Everything that could be left out of this caller, as (part, name)."""
        return [(part, name) for part in ("answers", "clutch", "record") for name in sorted(getattr(self, part) or ())]

    def without(self, part: str, name: str) -> "Caller":
        """This caller with one answer, or one thing on file, left out."""
        kept = {key: value for key, value in getattr(self, part).items() if key != name}
        return dataclasses.replace(self, **{part: kept})

    def with_answer(self, name: str, value: Any) -> "Caller":
        """This caller with one answer given, changed, or (None) left out."""
        answers = {key: given for key, given in self.answers.items() if key != name}
        return dataclasses.replace(self, answers=answers if value is None else {**answers, name: value})


class CallerRuns:
    """Runs callers through a stage (case or consistency) as every caller is: gathered, then derived."""

    def __init__(self, knowledge: Knowledge, stage: str = "case") -> None:
        self.knowledge, self.stage = knowledge, stage
        self._plain = compile_plain(knowledge, stage)

    @cached_property
    def _both(self):
        return TwoEngines(self.knowledge, self.stage)

    def known(self, caller: Caller) -> Known:
        """The `Known` facts of a caller."""
        record, kits = None, {}
        if caller.record is not None:
            fields = dict(caller.record)
            if caller.clutch is not None:
                fields["stock.clutch"] = CLUTCH
                kits[CLUTCH] = Record("kit", CLUTCH, dict(caller.clutch))
            record = Record("platform", CAR, fields)
        answers = {name: Answer(value) for name, value in caller.answers.items()}
        return gather(Case("witness", CAR if record else "", answers), record, kits, self.knowledge)

    def run(self, caller: Caller, *, both: bool = False) -> "Derivation | AdvisorError":
        """The Derivation of the stage, or the error it ends in; ``both``: by both engines, compared."""
        known = self.known(caller)
        facts = said(known) if self.stage == STAGE else known.facts
        try:
            if both:
                return self._both.derive(facts, known.answered).derivation
            return self._plain.derive(facts, known.answered)
        except AdvisorError as error:
            return error

    def undecided(self, caller: Caller, derived: "Derivation") -> bool:
        """Is too little known of the caller for a decision?"""
        needed = (name for name, fact in self.knowledge.facts.items() if fact.needs_one_of)
        return bool(self.known(caller).missing) or any(name not in derived.facts for name in needed)


def caller_of(case: Case, platform: Record | None, kits: Mapping[str, Record]) -> Caller:
    """The `Caller` of a case about a car (None: not on file), with its factory clutch out of ``kits``."""
    answers = {name: answer.value for name, answer in case.answers.items()}
    if platform is None:
        return Caller(answers)
    record = {place: value for place, value in platform.fields.items() if place != "stock.clutch"}
    factory = kits.get(platform.fields.get("stock.clutch", ""))
    return Caller(answers, record, None if factory is None else dict(factory.fields))


#: What a caller is to show: holds of what came of him.
Shows = Callable[[Caller, "Derivation | AdvisorError"], bool]


def conflict_on(*facts: str) -> Shows:
    """Shows a conflict between two rules about one of these facts."""
    concludes = re.compile(rf"\bconclude (?:{'|'.join(map(re.escape, facts))})\b")
    return lambda caller, came: isinstance(came, ConflictError) and concludes.search(came.what) is not None


def shown_by(runs: CallerRuns, caller: Caller, shows: Shows) -> Caller | None:
    """The caller cut down to what it takes, where both engines agree that he shows it; else None."""
    if not shows(caller, runs.run(caller, both=True)):
        return None
    smaller = cut_down(caller, lambda fewer: shows(fewer, runs.run(fewer)))
    return smaller if shows(smaller, runs.run(smaller, both=True)) else caller


def cut_down(caller: Caller, still: Callable[[Caller], bool]) -> Caller:
    """The caller without every answer and every thing on file that ``still`` holds without."""
    for simpler in (Caller(caller.answers), Caller(caller.answers, caller.record)):
        if caller.record is not None and still(simpler):
            caller = simpler
            break
    for part, name in caller.parts():
        fewer = caller.without(part, name)
        if still(fewer):
            caller = fewer
    return caller


def within(fact: Fact, value: float) -> bool:
    """Is a number one that people may answer?"""
    return (fact.low is None or value >= fact.low) and (fact.high is None or value <= fact.high)


def read_off(regions: Regions, admission: Admission, model: set[int]) -> Caller:
    """A caller out of a way that a solver found: numbers lie somewhere between the limits they have passed."""
    answers: dict[str, Any] = {}
    record: dict[str, Any] | None = {} if admission.doors.on_file in model else None
    clutch: dict[str, Any] | None = {} if admission.doors.factory in model else None
    for name, fact in regions.facts.items():
        if fact.source not in ("asked", "platform", "factory_kit") or regions.has(name) not in model:
            continue
        value = _value(regions, name, fact, model)
        if fact.source == "asked" and regions.answered(name) in model:
            answers[name] = value
        if record is None or (fact.source != "factory_kit" and not fact.platform):
            continue
        if admission.recorded(fact) in model:
            if fact.source == "factory_kit":
                if clutch is not None:
                    clutch[fact.field] = value
            elif fact.source == "platform" or regions.answered(name) not in model:
                record[fact.platform] = value
            else:
                # Answered otherwise: what stands on record is free, and the answer itself will do.
                record.setdefault(fact.platform, value)
    return Caller(answers, record, clutch if record is not None else None)


def _value(regions: Regions, name: str, fact: Fact, model: set[int]) -> Any:
    if fact.kind == "flag":
        return regions.value(name, True) in model
    if fact.kind == "list":
        return tuple(sorted(choice for choice in fact.choices if regions.member(name, choice) in model))
    if fact.kind != "number":
        choice = next(choice for choice in regions.choices(name) if regions.variable("is", name, choice) in model)
        return "another" if choice is None else choice
    return _number(regions, name, fact, model)


def _number(regions: Regions, name: str, fact: Fact, model: set[int]) -> float:
    if fact.choices:
        return next(float(choice) for choice in fact.choices if regions.value(name, choice) in model)
    low, high = range_of(fact)
    for limit in regions.limits[name]:
        if regions.above(name, limit) in model:
            low = limit if low is None else max(low, limit)
        elif regions.at_least(name, limit) in model:
            return limit
        else:
            high = limit if high is None else min(high, limit)
    return between(low, high, fact.resolution)


def between(low: float | None, high: float | None, step: float | None) -> float:
    """A number between two ends (None: no end), on the steps people answer in where one lies between."""
    if low is None and high is None:
        return 1.0
    if low is None or high is None:
        return high - (step or 1.0) if low is None else low + (step or 1.0)  # type: ignore[operator] # one is there
    middle = (low + high) / 2
    for digits in (step or 0.0, 10.0 ** math.floor(math.log10(max((high - low) / 2, 1e-12)))):
        rounded = round(middle / digits) * digits if digits else middle
        if low < rounded < high:
            return round_digits(rounded)
    return middle


def in_words(caller: Caller, knowledge: Knowledge) -> str:
    """A caller in the words of the questions: "main use daily; engine torque 300 N m; no car on file"."""
    wording = Wording(knowledge)
    facts = {fact.platform: name for name, fact in knowledge.facts.items() if fact.source == "platform"}
    facts.update({fact.platform: name for name, fact in knowledge.facts.items() if fact.source == "asked"})
    facts.pop("", None)
    fields = {fact.field: name for name, fact in knowledge.facts.items() if fact.source == "factory_kit"}
    texts = [f"{wording.label(name)} {wording.value(name, value)}" for name, value in caller.answers.items()]
    if caller.record is None:
        texts.append("no car on file")
    else:
        texts += _on_file(caller.record, facts, wording, "on file for the car") or ["a car on file"]
        texts += _on_file(caller.clutch or {}, fields, wording, "on file for its clutch")
    return "; ".join(texts) if texts else "any caller"


def _on_file(held: Mapping[str, Any], names: Mapping[str, str], wording: Wording, whose: str) -> list[str]:
    known = [(names[place], value) for place, value in held.items() if place in names]
    return [f"{wording.label(name)} {wording.value(name, value)} ({whose})" for name, value in known]


def labels(names: Iterable[str], knowledge: Knowledge) -> str:
    """What facts are called, in one list."""
    return Wording(knowledge).labels(names)
