"""Tables that must rise or fall with an answer: two callers alike but for it, compared.

What is declared (``rises_with``, ``falls_with`` on derived numbers, ``eases_with`` on figures) is held for every pair
of callers who differ in that one answer. Choices count in the order they are written, from least to most. Products of
two facts are left free here, tied by the direction the product goes; so are calculations that are not written out.
"""

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from ..errors import AdvisorError
from ..knowledge.model import Fact, FactRef, Figure, KitRef, Knowledge
from ..knowledge.wording import Wording
from .admissible import facts_of
from .arithmetic_known import directions_of
from .callers import Caller, CallerRuns, cut_down
from .exact import WORK, Exact
from .exact_admission import ExactAdmission
from .findings import OPEN, SHOWN, Finding
from .part_of_base import knowledge_of_stage
from .questions import NOT_SETTLED
from .regions import inputs_of
from .searching import lessons_of

#: Pairs of callers that the engines may refute before a question is left open.
ROUNDS = 12
LOWER, UPPER = "at_least", "at_most"


def out_of_order(knowledge: Knowledge) -> Iterator[Finding]:
    """Declared tables and limits that go the other way for some pair of callers."""
    runs = CallerRuns(knowledge)
    by_answer: dict[str, list[tuple[Fact | Figure, str]]] = {}
    for fact in knowledge.facts.values():
        for answer in fact.rises_with:
            by_answer.setdefault(answer, []).append((fact, "falls"))
        for answer in fact.falls_with:
            by_answer.setdefault(answer, []).append((fact, "rises"))
    for figure in knowledge.figures.values():
        for answer in figure.eases_with:
            by_answer.setdefault(answer, []).append((figure, "hardens"))
    for answer, declared in by_answer.items():
        pair = _Pair(knowledge, answer)
        for word, way in declared:
            finding = _asked(pair, runs, word, way)
            if finding is not None:
                yield finding


def declared_orders(knowledge: Knowledge) -> int:
    """How many orders are declared."""
    facts = sum(len(fact.rises_with) + len(fact.falls_with) for fact in knowledge.facts.values())
    return facts + sum(len(figure.eases_with) for figure in knowledge.figures.values())


def _asked(pair: "_Pair", runs: CallerRuns, word: Fact | Figure, way: str) -> Finding | None:
    wording = Wording(pair.knowledge)
    answer = wording.label(pair.answer)
    lessons: list[Any] = []
    for _ in range(ROUNDS):
        callers = pair.find(word, way, lessons)
        if callers is None:
            return None
        if callers == ():
            break
        lesser, greater = callers
        runs_of_pair = [runs.run(caller, both=True) for caller in callers]
        came = [each for each in runs_of_pair if not isinstance(each, AdvisorError)]
        if len(came) < len(runs_of_pair):
            break
        values = _shown(pair.knowledge, word, way, came)
        if values is not None:
            before, after = (wording.value(pair.answer, caller.answers[pair.answer]) for caller in callers)
            what = (
                f"{word.name} ({word.label}) {way} as {answer} goes from {before} to {after}: it is {values[0]}, then "
                f"{values[1]}, though it is declared never to."
            )
            remedy = "Mend the rows, or what the vocabulary declares."
            smaller = cut_down(lesser, _goes_wrong(pair, runs, word, way, greater.answers[pair.answer]))
            return Finding("wrong order", SHOWN, (word.name, pair.answer), what, remedy, smaller, word.position)
        lessons += [lesson for derived, side in zip(came, pair.sides) for lesson in lessons_of(side, derived)]
    what = f"does {word.name} ({word.label}) ever go the other way than declared as {answer} rises? {NOT_SETTLED}."
    return Finding("wrong order", OPEN, (word.name, pair.answer), what, position=word.position)


def _goes_wrong(
    pair: "_Pair", runs: CallerRuns, word: Fact | Figure, way: str, greater: Any
) -> Callable[[Caller], bool]:
    """Holds of a lesser caller with whom, his answer made the ``greater`` one, it goes the wrong way."""

    def goes_wrong(smaller: Caller) -> bool:
        if pair.answer not in smaller.answers:
            return False
        came = [runs.run(each) for each in (smaller, smaller.with_answer(pair.answer, greater))]
        return not any(isinstance(each, AdvisorError) for each in came) and (
            _shown(pair.knowledge, word, way, came) is not None
        )

    return goes_wrong


def _shown(knowledge: Knowledge, word: Fact | Figure, way: str, came: Any) -> tuple[str, str] | None:
    """Both values in words, where they go the wrong way; None where they do not."""
    wording = Wording(knowledge)
    if isinstance(word, Fact):
        before, after = (each.facts.get(word.name) for each in came)
        if before is None or after is None or not (after < before if way == "falls" else after > before):
            return None
        return wording.pair(word.name, before, after)
    for compare in (UPPER, LOWER):
        before, after = (_tightest(knowledge, word.name, compare, each) for each in came)
        if after is not None and (before is None or (after < before if compare == UPPER else after > before)):
            first = "no limit" if before is None else wording.needed(compare, word.name, before)
            return first, wording.needed(compare, word.name, after)
    return None


def _tightest(knowledge: Knowledge, measure: str, compare: str, came: Any) -> float | None:
    """The tightest limit posted on a figure, wishes among them; None where there is none."""
    fired, limits = came.fired(), []
    for rule in knowledge.rules:
        for requirement in rule.require if rule.id in fired else ():
            if requirement.measure == measure and requirement.compare == compare and not requirement.of_kits:
                limit = requirement.limit
                value = came.facts.get(limit.name) if isinstance(limit, FactRef) else limit
                limits += [value] if isinstance(value, float) else []
    return (min(limits) if compare == UPPER else max(limits)) if limits else None


class _Pair:
    """Two callers who differ in one answer."""

    def __init__(self, knowledge: Knowledge, answer: str) -> None:
        self.knowledge, self.answer = knowledge, answer
        rules, calculations = knowledge_of_stage(knowledge)
        self.rules = rules
        facts = facts_of(knowledge, "case")
        self.lesser = Exact(facts, rules, calculations, products=False)
        self.greater = Exact(facts, rules, calculations, mark="'", shared=self.lesser, apart={answer}, products=False)
        self.sides = (self.lesser, self.greater)
        self.z3 = self.lesser.z3
        self.admissions = [ExactAdmission(side, knowledge) for side in self.sides]
        self.solver = self.z3.Solver()
        self.solver.set("rlimit", WORK)
        for side in self.sides:
            self.solver.add(side.axioms)
        self.solver.add(self.admissions[0].on_file == self.admissions[1].on_file)
        self.solver.add(self.admissions[0].factory == self.admissions[1].factory)
        self.solver.add(*self._ties(), *[side.answered[answer] for side in self.sides], self._apart())
        self.solver.add(*[side.computed for side in self.sides])

    def _apart(self) -> Any:
        fact, z3 = self.knowledge.facts[self.answer], self.z3
        if fact.kind == "number":
            return self.lesser.values[self.answer] < self.greater.values[self.answer]
        steps = zip(fact.choices, fact.choices[1:])
        return z3.Or([
            z3.And(self.lesser.same(self.answer, before), self.greater.same(self.answer, after))
            for before, after in steps
        ])  # fmt: skip

    def _ties(self) -> list[Any]:
        """Equal inputs give equal results, ordered inputs ordered ones; rounding keeps the order too."""
        ties = []
        for calculation in self.lesser.calculations:
            ways = directions_of(calculation)
            names = inputs_of(calculation)
            here, there = (side.results[calculation.id] for side in self.sides)
            up = [self._ordered(name, ways.get(name, 0)) for name in names]
            down = [self._ordered(name, -ways.get(name, 0)) for name in names]
            ties += [self.z3.Implies(self.z3.And(up), here <= there), self.z3.Implies(self.z3.And(down), here >= there)]
        return ties

    def _ordered(self, name: str, way: int) -> Any:
        here, there = (side.values[name] for side in self.sides)
        if isinstance(here, dict):
            return self.z3.And([here[choice] == there[choice] for choice in here])
        return here == there if not way else here <= there if way > 0 else here >= there

    def find(self, word: Fact | Figure, way: str, lessons: Iterable[Any]) -> Any:
        """The (lesser, greater) callers of a pair that goes the wrong way; None: proved none; (): not settled."""
        self.solver.push()
        self.solver.add(self._wrong(word, way), *lessons)
        result = self.solver.check()
        model = self.solver.model() if result == self.z3.sat else None
        self.solver.pop()
        if model is None:
            return None if result == self.z3.unsat else ()
        first = self.admissions[0].caller(model)
        return first, first.with_answer(self.answer, self.greater.read(model, self.answer))

    def _wrong(self, word: Fact | Figure, way: str) -> Any:
        z3 = self.z3
        if isinstance(word, Figure):
            return z3.Or([self._harder(word.name, compare) for compare in (UPPER, LOWER)])
        before, after = (side.values[word.name] for side in self.sides)
        both = [side.has[word.name] for side in self.sides]
        return z3.And(*both, before > after if way == "falls" else before < after)

    def _harder(self, measure: str, compare: str) -> Any:
        """Is some limit of the greater caller tighter than every limit of the lesser? A wish counts as a limit."""
        z3 = self.z3
        posted = [
            (rule, requirement)
            for rule in self.rules
            for requirement in rule.require
            if requirement.measure == measure
            and requirement.compare == compare
            and not requirement.of_kits
            and not isinstance(requirement.limit, KitRef)
        ]
        cases = []
        for rule, requirement in posted:
            mine, have = self.greater.limit(requirement.limit)
            slacker = []
            for other, theirs in posted:
                its, has = self.lesser.limit(theirs.limit)
                tight = its <= mine if compare == UPPER else its >= mine
                slacker.append(z3.Not(z3.And(self.lesser.fires[other.id], *has, tight)))
            cases.append(z3.And(self.greater.fires[rule.id], *have, *slacker))
        return z3.Or(cases)
