"""Looks for callers with z3, runs what it finds through the engines, and learns from what they say.

Where a calculation is not written out the solver may give it any result; the engines then refute the caller. Then the
ends of what the numbers of his answers may be are tried, and what his run showed is told to the solver (at these inputs
the result is this and, where the function goes one way only, on either side of them no less, no more).
"""

import itertools
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..engine.calculating import round_digits
from ..errors import AdvisorError
from ..knowledge.case_model import Case
from ..knowledge.model import Calculation, Fact, Knowledge, Record
from ..knowledge.rules import reads
from .admissible import facts_of
from .arithmetic_known import directions_of
from .callers import Caller, CallerRuns, Shows, caller_of, within
from .exact import WORK, Exact
from .exact_admission import ExactAdmission
from .findings import OPEN, PROVED, SHOWN
from .part_of_base import knowledge_of_stage
from .regions import inputs_of

if TYPE_CHECKING:
    from ..engine.derivation import Derivation

#: Callers that the engines may refute before a question is left open.
ROUNDS = 14
#: Mixes of the ends of numbers that are tried of one caller.
MOST_ENDS = 30


@dataclass(frozen=True, slots=True)
class Answered:
    """What a question came to: a ``caller`` both engines confirm (SHOWN), or none: PROVED or OPEN."""

    caller: Caller | None
    sure: str


def fires(rule: str) -> Shows:
    """Shows that a rule fires."""
    return lambda caller, came: not isinstance(came, AdvisorError) and rule in came.fired()


def stays_silent(rule: str) -> Shows:
    """Shows that a rule does not fire."""
    return lambda caller, came: not isinstance(came, AdvisorError) and rule not in came.fired()


class CallerSearch:
    """One stage (case or consistency) in z3, with engines beside it."""

    def __init__(self, knowledge: Knowledge, stage: str = "case", only: Iterable[str] = (), work: int = WORK) -> None:
        """``only``: what these rules hang on, and nothing else; a large rule base is asked about so."""
        self.knowledge, self.stage = knowledge, stage
        rules, calculations = knowledge_of_stage(knowledge, stage, only)
        facts = facts_of(knowledge, stage)
        if only:
            spoken_of = {name for rule in rules for name in (*reads(rule), *(each.fact for each in rule.conclude))}
            spoken_of |= {name for each in calculations for name in (*inputs_of(each), each.gives)}
            facts = {name: fact for name, fact in facts.items() if name in spoken_of or _decides(fact)}
        self.exact = Exact(facts, rules, calculations)
        self.z3 = self.exact.z3
        self.admission = ExactAdmission(self.exact, knowledge, stage)
        self.runs = CallerRuns(knowledge, stage)
        self.solver = self.z3.Solver()
        self.solver.set("rlimit", work)
        self.solver.add(self.exact.axioms)
        self.asked = [name for name, fact in self.exact.facts.items() if fact.source == "asked"]
        self.by_id = {rule.id: rule for rule in rules}

    @contextmanager
    def under(self, *conditions: Any) -> Iterator[None]:
        """Ask with these conditions too."""
        self.solver.push()
        self.solver.add(*conditions)
        try:
            yield
        finally:
            self.solver.pop()

    def cars(self, platforms: Iterable[Record], kits: Mapping[str, Record]) -> Any:
        """The car is one of these, as on record, or none is on file."""
        records = [Caller({}), *(caller_of(Case("nobody", "", {}), platform, kits) for platform in platforms)]
        return self.z3.Or([self.z3.And(self.admission.pinned(record)) for record in records])

    def find(
        self,
        conditions: Iterable[Any],
        shows: Shows,
        lessons: list[Any] | None = None,
        like: Caller | None = None,
        rounds: int = ROUNDS,
    ) -> Answered:
        """A caller who meets the conditions and, in both engines, ``shows`` what is looked for.

        ``lessons``: what was learned so far; what is learned here is added. ``like``: a caller whose answers stay as
        they are where the one found has them too.
        """
        conditions = list(conditions)
        lessons = [] if lessons is None else lessons
        sure = OPEN
        for _ in range(rounds):
            self.solver.push()
            self.solver.add(*conditions, *lessons)
            result = self.solver.check()
            model = self.solver.model() if result == self.z3.sat else None
            self.solver.pop()
            if model is None:
                sure = PROVED if result == self.z3.unsat else OPEN
                break
            caller = self._beside(self.admission.caller(model), like)
            came = self.runs.run(caller)
            showing = caller if shows(caller, came) else self._stretched(caller, shows, like)
            if showing is not None:
                showing = self._on_steps(showing, shows)
                if shows(showing, self.runs.run(showing, both=True)):
                    return Answered(showing, SHOWN)
                break
            if isinstance(came, AdvisorError):
                break
            lessons += self.learned(came)
        return Answered(None, sure)

    def _beside(self, caller: Caller, like: Caller | None) -> Caller:
        """The caller in the car of another, who says the same of all that is not asked about here."""
        if like is None:
            return caller
        others = {name: value for name, value in like.answers.items() if name not in self.exact.facts}
        return Caller({**others, **caller.answers}, like.record, like.clutch)

    def _stretched(self, caller: Caller, shows: Shows, like: Caller | None) -> Caller | None:
        """The caller with the numbers of his answers at one end or the other of what they may be, where he shows it."""
        kept = like.answers if like is not None else {}
        ends = {}
        for name, value in caller.answers.items():
            fact = self.knowledge.facts[name]
            if fact.kind == "number" and not fact.choices and kept.get(name) != value:
                ends[name] = [end for end in (value, fact.low, fact.high) if end is not None]
        for values in itertools.islice(itertools.product(*ends.values()), MOST_ENDS):
            stretched = caller
            for name, value in zip(ends, values):
                stretched = stretched.with_answer(name, value)
            if shows(stretched, self.runs.run(stretched)):
                return stretched
        return None

    def _on_steps(self, caller: Caller, shows: Shows) -> Caller:
        """A caller who shows it, with every number on a step that people answer in, where he shows the same so."""
        for name, value in caller.answers.items():
            fact = self.knowledge.facts[name]
            if fact.kind != "number" or fact.choices or not fact.resolution:
                continue
            for step in (fact.resolution * 10, fact.resolution):
                for rounded in dict.fromkeys((round(value / step) * step, _up(value, step), _down(value, step))):
                    neat = caller.with_answer(name, round_digits(rounded))
                    if within(fact, rounded) and shows(neat, self.runs.run(neat)):
                        caller = neat
                        break
                else:
                    continue
                break
        return caller

    def learned(self, came: "Derivation") -> list[Any]:
        """As `lessons_of`, of this reading."""
        return lessons_of(self.exact, came)

    # --- how many answers, and which are changed ------------------------------------------------

    def few_answers(self, most: int) -> Any:
        """At most so many facts are answered."""
        return self.z3.AtMost(*[self.exact.answered[name] for name in self.asked], most)

    def never(self, condition: Any) -> bool:
        """Is it proved that the condition never holds?"""
        with self.under(condition, self.exact.computed):
            return self.solver.check() == self.z3.unsat

    def as_on_file(self) -> Any:
        """Nothing is answered that stands on record for the car."""
        exact, z3 = self.exact, self.z3
        recorded = self.admission.recorded
        return z3.And([z3.Not(z3.And(exact.answered[name], recorded[name])) for name in self.asked])

    def as_said(self, name: str, caller: Caller) -> Any:
        """The caller says of this fact what he said before, or nothing where he said nothing."""
        answered = self.exact.answered[name]
        if name not in caller.answers:
            return self.z3.Not(answered)
        return self.z3.And(answered, self.exact.same(name, caller.answers[name]))

    def few_changes(self, caller: Caller, most: int) -> list[Any]:
        """The same car, and at most so many answers changed, given or left out."""
        changed = [self.z3.Not(self.as_said(name, caller)) for name in self.asked]
        return [*self.admission.pinned(caller), self.z3.AtMost(*changed, most)]


def lessons_of(exact: Exact, came: "Derivation") -> list[Any]:
    """What one run says of every calculation that is not written out: at its inputs it gives this, or nothing.

    Where it goes one way only with a fact, it gives no less, or no more, on either side. Rounded results of a function
    that never falls never fall either, so this holds of what the engines round too.
    """
    given = {firing.id: dict(firing.concluded) for firing in came.firings if firing.kind == "calculation"}
    lessons = []
    for calculation in exact.free:
        names = inputs_of(calculation)
        if all(name in came.facts for name in names):
            result = given.get(calculation.id, {}).get(calculation.gives)
            lessons += _lessons(exact, calculation, names, came.facts, result)
    return lessons


def _lessons(
    exact: Exact, calculation: Calculation, names: list[str], facts: Mapping[str, Any], result: Any
) -> list[Any]:
    z3 = exact.z3
    if result is None:
        at_these = [_about(exact, name, facts[name], 0) for name in names] + [exact.has[name] for name in names]
        return [z3.Implies(z3.And(at_these), z3.Not(exact.gives[calculation.id]))]
    ways, term, at = directions_of(calculation), exact.results[calculation.id], exact.number(result)
    no_more = [_about(exact, name, facts[name], -ways.get(name, 0)) for name in names]
    no_less = [_about(exact, name, facts[name], ways.get(name, 0)) for name in names]
    return [z3.Implies(z3.And(no_more), term <= at), z3.Implies(z3.And(no_less), term >= at)]


def _about(exact: Exact, name: str, value: Any, way: int) -> Any:
    """The fact is what it was (way 0), no less (+1) or no more (-1)."""
    if not way or exact.facts[name].kind != "number":
        return exact.same(name, value)
    term, here = exact.values[name], exact.number(value)
    return term >= here if way > 0 else term <= here


def _decides(fact: Fact) -> bool:
    """Does it hang on this fact whether there is a decision at all?"""
    return bool(fact.needs_one_of) or (fact.if_unknown is not None and fact.if_unknown.do == "stop")


def _up(value: float, step: float) -> float:
    return -(-value // step) * step


def _down(value: float, step: float) -> float:
    return value // step * step
