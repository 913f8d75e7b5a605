"""Why a rule stays silent: which conditions failed, who would have had to conclude what, what would make it fire."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ..engine.calculating import round_digits
from ..engine.disagreement import holds
from ..engine.rulebase import copied_by, read_by
from ..errors import AdvisorError
from ..knowledge.model import Condition, FactRef, Knowledge, Rule, Value
from ..knowledge.rules import limits
from .callers import Caller, within
from .findings import OPEN, PROVED
from .regions import inputs_of
from .searching import CallerSearch, fires

#: Answers changed at most before the search ends.
MOST_CHANGES = 4
#: How far back along rules that would have had to conclude something.
DEPTH = 4


@dataclass(frozen=True, slots=True)
class Failed:
    """A condition that does not hold, what the fact is instead (None: no value), and who could have concluded it.

    ``among``: it is one of several branches, of which one would do. ``missing``: facts it names that have no value.
    """

    condition: Condition
    value: Value | None
    missing: tuple[str, ...]
    among: bool
    producers: "tuple[Stopped, ...]" = ()


@dataclass(frozen=True, slots=True)
class Stopped:
    """A rule that did not fire, and what failed; a calculation has no conditions, only facts that are ``missing``."""

    id: str
    failed: tuple[Failed, ...] = ()
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LeastChange:
    """The fewest answers to change so that a rule fires: fact -> value (None: left out).

    Without ``changes``: PROVED that no change of up to ``tried`` answers does it, or OPEN. ``least``: proved that
    fewer do not.
    """

    changes: Mapping[str, Any] | None
    sure: str
    least: bool
    tried: int
    caller: Caller | None = None


class WhySilent:
    """Looks back from rules of one stage that did not fire."""

    def __init__(
        self,
        knowledge: Knowledge,
        stage: str,
        facts: Mapping[str, Any],
        given: Mapping[str, Any],
        answered: Collection[str],
    ) -> None:
        """``facts``: what was derived; ``given``: what there was before the stage."""
        self.facts, self.given, self.answered = facts, given, answered
        self.rules = [rule for rule in knowledge.rules if rule.stage == stage]
        self.calculations = [each for each in knowledge.calculations if each.stage == stage]

    def stopped(self, rule: Rule, depth: int = DEPTH) -> Stopped:
        """What stopped a rule, and what stopped those that would have had to conclude what it lacks."""
        failed = [self._failed(condition, False, depth) for condition in rule.all if not self.met(condition)]
        if rule.any and not any(all(map(self.met, branch)) for branch in rule.any):
            lacking = [condition for branch in rule.any for condition in branch if not self.met(condition)]
            failed += [self._failed(condition, len(rule.any) > 1, depth) for condition in lacking]
        missing = tuple(name for name in copied_by(rule) if name not in self.facts)
        return Stopped(rule.id, tuple(failed), missing)

    def met(self, condition: Condition) -> bool:
        """Does a condition hold of what was derived?"""
        return holds(condition, self.facts, self.given, self.answered)

    def _failed(self, condition: Condition, among: bool, depth: int) -> Failed:
        missing = tuple(name for name in dict.fromkeys(read_by(condition)) if name not in self.facts)
        producers = tuple(self._producers(condition, depth)) if depth else ()
        return Failed(condition, self.facts.get(condition.fact), missing, among, producers)

    def _producers(self, condition: Condition, depth: int) -> Iterator[Stopped]:
        """Rules and calculations that could have concluded what the condition asks of a derived fact."""
        name = condition.fact
        if name in self.facts and not _is_discrete(condition):
            return  # it was concluded, and its value was not enough
        for rule in self.rules:
            for conclusion in rule.conclude:
                if conclusion.fact == name and _could_do(condition, conclusion.value):
                    stopped = self.stopped(rule, depth - 1)
                    if stopped.failed or stopped.missing:  # one that fired concluded something else
                        yield stopped
        for calculation in self.calculations:
            if calculation.gives == name and name not in self.facts:
                missing = tuple(each for each in inputs_of(calculation) if each not in self.facts)
                yield Stopped(calculation.id, (), missing)


def _is_discrete(condition: Condition) -> bool:
    """Is a condition about a choice, flag or list, and not about how large a number is?"""
    return condition.test in ("is", "in", "is_not", "not_in", "has")


def _could_do(condition: Condition, value: Any) -> bool:
    """Could a conclusion of this value make the condition hold? A copied one, or a limit that is a fact, could."""
    if isinstance(value, FactRef) or any(isinstance(limit, FactRef) for limit in limits(condition.limit)):
        return True
    members = value if isinstance(value, tuple) else (value,)
    if condition.test == "has":
        return condition.limit in members
    return holds(condition, {condition.fact: value}, {condition.fact: value}, ())


def least_change(search: CallerSearch, caller: Caller, rule: str, most: int = MOST_CHANGES) -> LeastChange:
    """The fewest answers of a caller to change so that a rule fires, numbers as near as they are answered in."""
    least, lessons = True, []
    came = search.runs.run(caller)
    if not isinstance(came, AdvisorError):
        # What stays as it is gives what it gave.
        lessons += search.learned(came)
    for count in range(1, most + 1):
        conditions = [*search.few_changes(caller, count), search.exact.fires[rule], search.exact.computed]
        answered = search.find(conditions, fires(rule), lessons, like=caller)
        if answered.caller is not None:
            nearest = _nearest(search, caller, answered.caller, rule)
            return LeastChange(changed(caller, nearest), "shown", least, count, nearest)
        least = least and answered.sure == PROVED
    return LeastChange(None, PROVED if least else OPEN, least, most)


def changed(before: Caller, after: Caller) -> dict[str, Any]:
    """Answers in which two callers differ: fact -> the later value, None where it is left out."""
    names = dict.fromkeys((*before.answers, *after.answers))
    return {name: after.answers.get(name) for name in names if before.answers.get(name) != after.answers.get(name)}


def _nearest(search: CallerSearch, before: Caller, after: Caller, rule: str) -> Caller:
    """The later caller with every changed number brought as near as the rule still fires, by halves."""
    known = search.runs.known(before).facts
    shows = fires(rule)
    for name, value in changed(before, after).items():
        fact = search.knowledge.facts[name]
        step, here = fact.resolution, known.get(name, fact.low)
        if fact.kind != "number" or fact.choices or value is None or here is None or not step:
            continue
        near, far = -1 if name not in known else 0, round((value - here) / step)
        while abs(far - near) > 1:
            middle = (far + near) // 2
            trial = after.with_answer(name, round_digits(here + middle * step))
            near, far = (near, middle) if shows(trial, search.runs.run(trial)) else (middle, far)
        trial = after.with_answer(name, round_digits(here + far * step))
        if within(fact, trial.answers[name]) and shows(trial, search.runs.run(trial, both=True)):
            after = trial
    return after
