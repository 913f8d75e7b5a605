"""What anything in a decision record came from: the one place that walks back from a value to what was answered.

The support of a requirement is enough to derive it again, and no part of it can be left out: of an `any` one
branch is taken, of several firings that agree one. What is behind the pick is complete instead: every firing that
reaches it, with every fact those firings read.
"""

from collections.abc import Iterable, Mapping
from dataclasses import field
from functools import cached_property
from typing import Any, NamedTuple

from ..engine.rulebase import copied_by, read_by, read_by_all
from ..frozen import frozen
from ..knowledge.case_model import ORIGINS
from ..knowledge.model import WITHOUT_VALUE, Calculation, FactRef, Input, Knowledge, Record, Requirement, Rule
from .decision_record import DecisionRecord
from .kit_columns import look_up
from .ladder import CAPACITY, PEDAL
from .recorded_rules import RecordedFact, RecordedFiring
from .upstream import Upstream, limit_facts, read_by_rule, reads_of

#: Origins of a fact that somebody gave or a record holds.
GIVEN = (*ORIGINS, "platform", "factory_kit")
#: Properties of a facing that are columns of its curve.
CURVES = ("curve_temperatures", "curve_factors")


@frozen
class Support:
    """``facts``: names of given facts (answered, on file or assumed), sorted; ``firings``: numbers in the record,
    sorted; ``absent``: names found to have no value, or that nobody answered; ``branches``: firing number -> places
    of the `any` used.
    """

    facts: tuple[str, ...]
    firings: tuple[int, ...]
    absent: tuple[str, ...] = ()
    branches: Mapping[int, tuple[int, ...]] = field(default_factory=dict)


@frozen
class Behind:
    """Everything behind the pick. ``rules`` and ``calculations``: ids that fired in stage case; ``set_up``: ids of
    the set-up rules that decide what must go with a passing kit; ``figures``: names; ``facts``: given facts.
    """

    rules: tuple[str, ...]
    calculations: tuple[str, ...]
    set_up: tuple[str, ...]
    figures: tuple[str, ...]
    facts: tuple[str, ...]


@frozen
class Root:
    """A fact with the firing that gave it (None: given, or shown before) and the roots of what that firing read."""

    fact: RecordedFact
    firing: RecordedFiring | None = None
    read: tuple["Root", ...] = ()


class GivenAndFired(NamedTuple):
    """``given``: names of facts nothing concluded; ``firings``: numbers."""

    given: set[str]
    firings: set[int]


class Provenance:
    """Walks one `DecisionRecord` with the knowledge it was made with; ``records``: id -> Record of the kits."""

    def __init__(self, record: DecisionRecord, knowledge: Knowledge, records: Mapping[str, Record]) -> None:
        self.record, self.knowledge, self.records = record, knowledge, records
        self._supports: dict[str, Any] = {}
        self._fact_supports: dict[str, Any] = {}
        self._figure_facts: dict[str, Any] = {}
        self._requirements: dict[str, Any] = {}

    @cached_property
    def rules(self) -> dict[str, Rule]:
        """Id -> Rule of either stage."""
        return {rule.id: rule for rule in self.knowledge.rules}

    @cached_property
    def calculations(self) -> dict[str, Calculation]:
        """Id -> Calculation of stage case."""
        return {step.id: step for step in self.knowledge.calculations}

    @cached_property
    def figure_steps(self) -> dict[str, Calculation]:
        """Figure -> the Calculation that gives it."""
        return {step.gives: step for step in self.knowledge.figure_calculations}

    @cached_property
    def upstream(self) -> Upstream:
        """What could bear on what, in this knowledge."""
        return Upstream(self.knowledge)

    def requirement(self, name: str) -> Requirement:
        """The Requirement of the rules behind a posted one."""
        if name not in self._requirements:
            rule = self.rules[self.record.requirements[name].rule]
            self._requirements[name] = next(required for required in rule.require if required.id == name)
        return self._requirements[name]

    def producers(self, fact: str) -> list[RecordedFiring]:
        """The firings that gave a fact; none for a given one."""
        return [self.record.firings[number] for number in self.record.facts[fact].producer]

    # --- inputs of a calculation

    def fields(self, kit: str) -> Mapping[str, Any]:
        """The fields of a kit's record."""
        return self.records[kit].fields

    def input_value(self, given: Input, kit: str) -> object:
        """The value of one input (no alternatives) for a kit, or None where it is not known."""
        if given.source in ("value", "choice"):
            return given.value
        if given.source == "fact":
            return self.record.value(given.name)
        if given.source == "kit":
            return self.fields(kit).get(given.name)
        if given.source == "figure":
            return self.record.figure(kit, given.name)
        if given.source == "table":
            return look_up(self.knowledge.order.tables[given.name], self.fields(kit))
        facing = self.knowledge.facings.get(self.fields(kit).get("facing", ""))
        if facing is None:
            return None
        if given.name in CURVES:
            return tuple(point[given.name == CURVES[1]] for point in facing.curve)
        return facing.numbers.get(given.name)

    def input_used(self, given: Input, kit: str) -> Input:
        """The first alternative of an input that has a value, else the last."""
        alternatives = given.first_of or (given,)
        return next(
            (alternative for alternative in alternatives if self.input_value(alternative, kit) is not None),
            alternatives[-1],
        )

    # --- what was assumed

    def assumed_behind_fact(self, name: str) -> frozenset[str]:
        """Names of what was assumed on the way to a fact: asked facts, or facts a rule set for want of an answer."""
        assumed, facts = set(), self.record.facts
        for reached in self.facts_behind([name]):
            if not facts[reached].producer and facts[reached].origin not in GIVEN:
                assumed.add(reached)
            if any(
                firing.kind == "rule" and self._fills_a_gap(firing.rule, reached) for firing in self.producers(reached)
            ):
                assumed.add(reached)
        return frozenset(assumed)

    def _fills_a_gap(self, rule_id, name):
        """Does a rule set a value of its own because an answer is missing?"""
        rule = self.rules[rule_id]
        waits = any(condition.test in WITHOUT_VALUE for condition in rule.conditions)
        return waits and any(item.fact == name and not isinstance(item.value, FactRef) for item in rule.conclude)

    def assumed_behind_figure(self, name: str, kit: str) -> frozenset[str]:
        """Names of what was assumed, or only estimated for want of the maker's figure, on the way to a kit's figure."""
        return frozenset().union(*(self._assumed_in(given, name, kit) for _, given in self.figure_steps[name].inputs))

    def _assumed_in(self, given, figure, kit):
        if given.first_of:
            used = self.input_used(given, kit)
            if self.input_value(used, kit) is None:
                return frozenset([used.name or figure])
            # What stands in for a missing figure of the maker is an estimate.
            stands_in = frozenset() if used is given.first_of[0] else frozenset([given.first_of[0].name])
            return self._assumed_in(used, figure, kit) | stands_in
        if given.source == "fact":
            return self.assumed_behind_fact(given.name)
        if given.source == "figure":
            return self.assumed_behind_figure(given.name, kit)
        if given.source == "kit":
            stand_ins = self.record.kits[kit].stand_ins
            return frozenset(
                stand_in.field for stand_in in stand_ins if stand_in.estimated and stand_in.field == given.name
            )
        return frozenset([given.name]) if given.source == "table" else frozenset()

    # --- everything behind

    def facts_behind(self, names: Iterable[str]) -> dict[str, list[str]]:
        """Every fact behind the named ones, themselves included -> the facts it was worked out from, sorted."""
        edges, waiting = {}, list(names)
        while waiting:
            name = waiting.pop()
            if name in edges or name not in self.record.facts:
                continue
            read = {other for firing in self.producers(name) for other in firing.facts}
            edges[name] = sorted(read & self.record.facts.keys())
            waiting += edges[name]
        return edges

    def roots(self, name: str, shown: set[str]) -> Root:
        """What a fact was worked out from, nested; facts in ``shown`` (which grows) without their own roots."""
        fact, first = self.record.facts[name], name not in shown
        shown.add(name)
        if not fact.producer or not first:
            return Root(fact)
        firing = self.record.firings[fact.producer[0]]
        read = (other for other in sorted(firing.facts) if other in self.record.facts)
        return Root(fact, firing, tuple(self.roots(other, shown) for other in read))

    def everything_behind(self, facts: Iterable[str], firings: Iterable[int]) -> GivenAndFired:
        """All given facts and firings behind facts and firings, every branch and every producer followed."""
        numbers = set(firings)
        edges = self.facts_behind([*facts, *(name for number in numbers for name in self.record.firings[number].facts)])
        numbers |= {firing.id for name in edges for firing in self.producers(name) if firing.stage == "case"}
        return GivenAndFired({name for name in edges if not self.record.facts[name].producer}, numbers)

    def behind_the_pick(self) -> Behind:
        """What the requirements, figures and prices of a record came from."""
        record = self.record
        set_up, read = self._set_up_rules()
        figures = {CAPACITY, PEDAL} | (read & self.figure_steps.keys())
        figures |= {posted.measure for posted in record.requirements.values() if posted.source == "figure"}
        figures = self._with_those_behind(figures)
        # Nothing is decided at all before these are known, whatever reads them.
        facts = {*read, *(fact.name for fact in self.knowledge.facts.values() if fact.needs_one_of)}
        for figure in figures:
            facts |= set(self.upstream.facts_of_figure(figure))
        for posted in record.requirements.values():
            facts |= set(posted.limit_facts)
        posting = {record.fired[posted.rule].id for posted in record.requirements.values()}
        given, numbers = self.everything_behind(facts, posting)
        fired = [record.firings[number] for number in numbers]
        rules, calculations = (
            tuple(sorted(firing.rule for firing in fired if firing.kind == kind)) for kind in ("rule", "calculation")
        )
        return Behind(rules, calculations, tuple(sorted(set_up)), tuple(sorted(figures)), tuple(sorted(given)))

    def _set_up_rules(self):
        """The set-up rules behind the parts that must go with passing kits, and the names they read."""
        set_up = {part.rule for kit in self.record.kits.values() for part in kit.adds}
        concluding: dict[str, Any] = {}
        for rule in self.knowledge.rules:
            if rule.stage == "setup":
                for conclusion in rule.conclude:
                    concluding.setdefault(conclusion.fact, []).append(rule.id)
        waiting, read = list(set_up), set()
        while waiting:
            for name in read_by_rule(self.rules[waiting.pop()]):
                read.add(name)
                new = set(concluding.get(name, ())) - set_up
                set_up |= new
                waiting += new
        return set_up, read

    def _with_those_behind(self, names):
        reached, waiting = set(), [name for name in names if name in self.figure_steps]
        while waiting:
            name = waiting.pop()
            if name not in reached:
                reached.add(name)
                waiting += [
                    other for other in reads_of(self.figure_steps[name], "figure") if other in self.figure_steps
                ]
        return reached

    # --- nothing superfluous

    def of_requirement(self, name: str) -> Support:
        """The minimal Support of a requirement being posted with its limit."""
        if name not in self._supports:
            requirement, walk = self.requirement(name), _Minimal(self)
            walk.rule(self.record.fired[requirement.rule])
            for fact in limit_facts(requirement):
                walk.fact(fact)
            self._supports[name] = walk.support()
        return self._supports[name]

    def of_fact(self, name: str) -> Support:
        """The minimal Support of one fact."""
        if name not in self._fact_supports:
            walk = _Minimal(self)
            walk.fact(name)
            self._fact_supports[name] = walk.support()
        return self._fact_supports[name]

    def of_figure(self, name: str) -> tuple[str, ...]:
        """The given facts behind a figure, sorted."""
        if name not in self._figure_facts:
            known = self.upstream.facts_of_figure(name) & self.record.facts.keys()
            self._figure_facts[name] = tuple(sorted({given for fact in known for given in self.of_fact(fact).facts}))
        return self._figure_facts[name]


class _Minimal:
    """One walk back that takes no more than it needs."""

    def __init__(self, provenance):
        self.provenance, self.record = provenance, provenance.record
        self.facts, self.firings, self.absent, self.branches = set(), set(), set(), {}
        self.waiting = []

    def fact(self, name, member=None):
        held = self.record.facts.get(name)
        if held is None:
            return
        if not held.producer:
            self.facts.add(name)
            return
        producers = self.provenance.producers(name)
        if isinstance(held.value, list):
            # A list is the union of what its producers put in: one that put the wanted member there is enough.
            self.firing(next(firing for firing in producers if member is None or member in firing.concluded[name]))
            if member is None:
                for firing in producers[1:]:
                    self.firing(firing)
        else:
            self.firing(producers[0])

    def firing(self, firing):
        if firing.id in self.firings:
            return
        if firing.kind == "rule":
            self.rule(firing)
        else:
            self.firings.add(firing.id)
            for name in firing.facts:
                self.fact(name)

    def rule(self, firing):
        if firing.id in self.firings:
            return
        self.firings.add(firing.id)
        rule = self.provenance.rules[firing.rule]
        for condition in rule.all:
            self.condition(condition)
        for name in copied_by(rule):
            self.fact(name)
        if rule.any:
            self.waiting.append((firing, rule))

    def condition(self, condition):
        if condition.test in WITHOUT_VALUE:
            self.absent.add(condition.fact)
            return
        self.fact(condition.fact, condition.limit if condition.test == "has" else None)
        for name in read_by(condition)[1:]:
            self.fact(name)

    def support(self):
        # Branches are chosen last: one that asks for nothing new leaves nothing superfluous.
        while self.waiting:
            firing, rule = self.waiting.pop(0)
            place = min(firing.branches, key=lambda place: (self.needs(rule.any[place]), place))
            self.branches[firing.id] = (place,)
            for condition in rule.any[place]:
                self.condition(condition)
        return Support(
            tuple(sorted(self.facts)), tuple(sorted(self.firings)), tuple(sorted(self.absent)), self.branches
        )

    def needs(self, branch):
        """How many given facts a branch asks for that nothing else needed yet."""
        new = set()
        for name in read_by_all(branch):
            if name in self.record.facts:
                new |= {*self.provenance.of_fact(name).facts} - self.facts
        return len(new)
