"""One rule base made ready for questions: its statements, what may be put in, a solver, and engines to runs on."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from functools import cached_property

from ..knowledge.model import Calculation, Knowledge, Requirement, Rule
from .admissible import CONSISTENCY, Admission, alike, facts_of
from .callers import Caller, CallerRuns, Shows, read_off, shown_by
from .clauses import Solver
from .findings import OPEN, PROVED, SHOWN
from .regions import Regions

#: Ways a solver finds that the engines may refute before a question is left open.
TRIES = 40


class Problem:
    """Stages case and set-up together, or stage consistency alone.

    ``before_solving``: adds statements of its own to the regions, which are closed afterwards.
    """

    def __init__(
        self,
        knowledge: Knowledge,
        stage: str = "case",
        *,
        more_limits: Mapping[str, Iterable[float]] | None = None,
        before_solving: "Callable[[Problem], None] | None" = None,
    ) -> None:
        self.knowledge, self.stage = knowledge, stage
        stages = (CONSISTENCY,) if stage == CONSISTENCY else ("case", "setup")
        self.rules: list[Rule] = [rule for rule in knowledge.rules if rule.stage in stages]
        self.calculations: list[Calculation] = [each for each in knowledge.calculations if each.stage in stages]
        facts = facts_of(knowledge, CONSISTENCY if stage == CONSISTENCY else "setup")
        self.regions = Regions(facts, self.rules, self.calculations, more_limits=more_limits, alike=alike(knowledge))
        self.admission = Admission(self.regions, knowledge, stage)
        self.doors = self.admission.doors
        if before_solving is not None:
            before_solving(self)
        self.concluded = {conclusion.fact for rule in self.rules for conclusion in rule.conclude}

    @cached_property
    def solver(self) -> Solver:
        """The solver; nothing may be added to the regions once it is there."""
        doors = [*self.doors, abs(self.admission.declined)]
        return self.regions.solver(doors)

    @cached_property
    def runs(self) -> CallerRuns:
        """Engines to run callers through."""
        return CallerRuns(self.knowledge)

    @cached_property
    def by_id(self) -> dict[str, Rule]:
        """Rule id -> Rule."""
        return {rule.id: rule for rule in self.rules}

    def musts(self) -> dict[str, list[tuple[Rule, Requirement]]]:
        """Measure -> the musts on it with their rules."""
        posted: dict[str, list[tuple[Rule, Requirement]]] = defaultdict(list)
        for rule in self.rules:
            for requirement in rule.require:
                if requirement.level == "must":
                    posted[requirement.measure].append((rule, requirement))
        return posted

    def may(self, *literals: int) -> bool:
        """Can all of them hold for some caller?"""
        return self.solver.may(*literals)

    @property
    def usual(self) -> tuple[int, ...]:
        """Callers who get a decision, by rules that are not there to decline them."""
        doors = self.doors
        return (doors.decided, doors.as_declared, doors.computed, -self.admission.declined)

    def shown(self, literals: Iterable[int], shows: Shows, tries: int = TRIES) -> "tuple[Caller | None, str]":
        """(a caller both engines confirm, SHOWN); (None, PROVED) where there is none; (None, OPEN) where neither."""
        literals = list(literals)
        if not self.may(*literals):
            return None, PROVED
        under, refuted = self.solver.fresh(), 0
        literals.append(under)
        while self.may(*literals):
            model = self.solver.model()
            caller = read_off(self.regions, self.admission, model)
            if (shown := shown_by(self.runs, caller, shows)) is not None:
                return shown, SHOWN
            refuted += 1
            if refuted >= tries:
                break
            # What is free of calculations was not so: try a caller who differs in what was put in.
            self.solver.also(-under, *[-mark if mark in model else mark for mark in self._answers])
        return (None, OPEN) if refuted else (None, PROVED)

    @cached_property
    def _answers(self):
        """Statements on what is put in: two callers alike in all of them are one caller to a proof."""
        sources = ("asked", "platform", "factory_kit")
        given = {name for name, fact in self.regions.facts.items() if fact.source in sources}
        return [
            statement
            for key, statement in self.regions.numbers.items()
            if key[0] in ("has", "answered", "is", "yes", "member", "at least", "above") and key[1] in given
        ]
