"""Where no kit passes: what to ask the caller, what to ask the maker, and what the record of the car leaves out."""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ..engine.disagreement import holds
from ..frozen import frozen
from ..knowledge.model import FactRef, KitRef, Knowledge, Requirement, Value, conditions_of
from .verdicts import FAIL, UNKNOWN

if TYPE_CHECKING:
    from .decide import Decision

#: Sources of facts that nobody is asked: they stand in the record of the car or of its factory clutch.
ON_FILE = ("platform", "factory_kit")


def needed(knowledge: Knowledge, missing: Sequence[str], facts: Mapping[str, Value]) -> tuple[str, ...]:
    """Facts without which nothing is decided, as a tuple: ``missing``, and the ways to a derived fact that has none.

    ``facts``: what has a value, a mapping or a set.
    """
    asks = list(missing)
    for name, fact in knowledge.facts.items():
        if fact.needs_one_of and name not in facts:
            asks.extend(way for way in fact.needs_one_of if way not in facts and way not in asks)
    return tuple(asks)


@frozen
class Lacking:
    """What would settle more kits.

    ``asks``: facts to ask the caller; ``maker``: (kit id, field) to ask a kit's maker; ``not_on_file``: facts that the
    record of the car or of its factory clutch should hold. Each sorted.
    """

    asks: tuple = ()
    maker: tuple = ()
    not_on_file: tuple = ()


def what_would_settle(decision: "Any") -> "Lacking":
    """`Lacking` of a decision in which no kit passes.

    A kit can be settled by the caller when every unknown must of it comes down to facts somebody could answer.
    """
    asks, maker, not_on_file = set(), set(), set()
    producers = Producers(decision)
    for index in range(len(decision.kits)):
        if not decision.unjudged[0, index]:
            continue
        facts: set[str] = set()
        fields: set[str] = set()
        gaps: set[str] = set()
        for checked in decision.checks:
            if checked.requirement.level == "must" and checked.status[0, index] == UNKNOWN:
                producers.leaves_of_check(checked, index, facts, fields, gaps)
        maker |= {(decision.kits.ids[index], name) for name in fields}
        not_on_file |= gaps
        if facts and not fields and not gaps:
            asks |= facts
    return Lacking(tuple(sorted(asks)), tuple(sorted(maker)), tuple(sorted(not_on_file)))


def taken_careful(decision: Any) -> tuple[Any, ...]:
    """Facts not on file whose absence made the limit or figure of a failed must, sorted: rules spoke for them."""
    return tuple(sorted(Producers(decision).taken_careful()))


class Producers:
    """Goes from an unknown figure or fact down to the unanswered facts and missing fields behind it."""

    def __init__(self, decision: Any) -> None:
        self.decision = decision
        knowledge = decision.knowledge
        self.figure_steps = {calculation.gives: calculation for calculation in knowledge.figure_calculations}
        self.steps = {calculation.gives: calculation for calculation in knowledge.calculations}
        # A car that is not on file at all has no record that lacks something.
        self.on_file = any(knowledge.facts[name].source in ON_FILE for name in decision.derivation.facts)
        self.concluding: dict[str, Any] = {}
        for rule in knowledge.rules:
            if rule.stage == "case":
                for conclusion in rule.conclude:
                    self.concluding.setdefault(conclusion.fact, []).append(rule)

    def leaves_of_check(self, checked: Any, index: int, facts: set[str], fields: set[str], gaps: set[str]) -> None:
        """Add the leaves behind one unknown check of one kit."""
        requirement = checked.requirement
        if requirement.source == "figure":
            self.of_figure(requirement.measure, index, facts, fields, gaps)
        else:
            self._of_field(requirement.measure, index, fields)
        for field, _ in requirement.of_kits:
            self._of_field(field, index, fields)
        for limit in limits_of(requirement):
            if isinstance(limit, FactRef):
                self.of_fact(limit.name, facts, gaps, set())
            elif isinstance(limit, KitRef):
                self._of_field(limit.name, index, fields)

    def _of_field(self, name, index, fields):
        """Add a field that a kit's record leaves out; one that does not apply to such a kit is not left out."""
        kits = self.decision.kits
        applies = all(
            kits.field(other).number(0, index) in (None, *values)
            for other, values in self.decision.knowledge.kit_fields[name].of_kits
        )
        if applies and not kits.field(name).known[0, index]:
            fields.add(name)

    def of_figure(self, name: str, index: int, facts: set[str], fields: set[str], gaps: set[str]) -> None:
        """Leaves of an unknown figure."""
        if self.decision.figures.column(name).number(0, index) is not None or name not in self.figure_steps:
            return
        for _, given in self.figure_steps[name].inputs:
            if given.first_of and any(self._has_value(alternative, index) for alternative in given.first_of):
                continue  # one of the ways to it is open, so nobody need be asked for the others
            for alternative in given.first_of or (given,):
                if alternative.source == "figure":
                    self.of_figure(alternative.name, index, facts, fields, gaps)
                elif alternative.source == "fact":
                    self.of_fact(alternative.name, facts, gaps, set())
                elif alternative.source == "kit":
                    self._of_field(alternative.name, index, fields)
                elif alternative.source == "table" and not self._has_value(alternative, index):
                    for field in self.decision.knowledge.order.tables[alternative.name].by:
                        self._of_field(field, index, fields)

    def _has_value(self, given, index):
        if given.source == "figure":
            return self.decision.figures.column(given.name).number(0, index) is not None
        if given.source == "fact":
            return given.name in self.decision.derivation.facts
        if given.source == "kit":
            return bool(self.decision.kits.field(given.name).known[0, index])
        if given.source == "table":
            return bool(self.decision.kits.table(given.name).known[0, index])
        return True

    def of_fact(self, name: str, facts: set[str], gaps: set[str], seen: set[str]) -> None:
        """Leaves of a fact without a value: asked facts that nobody answered, and what is not on file."""
        if name in self.decision.derivation.facts or name in seen:
            return
        seen.add(name)
        fact = self.decision.knowledge.facts.get(name)
        if fact is not None and fact.source == "asked":
            facts.add(name)
        elif self.on_file and fact is not None and fact.source in ON_FILE:
            gaps.add(name)
        elif name in self.steps:
            for _, given in self.steps[name].inputs:
                if given.source == "fact":
                    self.of_fact(given.name, facts, gaps, seen)
        for rule in self.concluding.get(name, ()):
            ways = [branch for branch in rule.any or ((),) if not self._closed((*rule.all, *branch))]
            if not ways:
                continue
            for condition in (*rule.all, *itertools.chain.from_iterable(ways)):
                self.of_fact(condition.fact, facts, gaps, seen)
            for conclusion in rule.conclude:
                if isinstance(conclusion.value, FactRef):
                    self.of_fact(conclusion.value.name, facts, gaps, seen)

    def _closed(self, conditions):
        """Can conditions not all hold, by what has a value? A cable car is not asked for the area of a cylinder."""
        facts = self.decision.derivation.facts
        return any(condition.fact in facts and not holds(condition, facts, facts, facts) for condition in conditions)

    # --- limits that stand lower than they might, because something is not on file

    def taken_careful(self) -> set[str]:
        """As the function of that name."""
        if not self.on_file:
            return set()
        careful_facts: set[str] = set()
        seen: set[str] = set()
        held = self.decision.derivation.held_branches()
        rules = {
            rule.id: conditions_of(rule, held[rule.id]) for rule in self.decision.knowledge.rules if rule.id in held
        }
        for checked in self.decision.checks:
            requirement = checked.requirement
            if requirement.level == "must" and requirement.rule in rules and (checked.status[0] == FAIL).any():
                self._absent_in(rules[requirement.rule], rules, careful_facts, seen)
                for limit in limits_of(requirement):
                    if isinstance(limit, FactRef):
                        self._absent_behind(limit.name, rules, careful_facts, seen)
                if requirement.source == "figure":
                    self._absent_behind_figure(requirement.measure, rules, careful_facts, seen)
        return careful_facts

    def _absent_behind_figure(self, name, rules, absent, seen):
        if ("figure", name) in seen or name not in self.figure_steps:
            return
        seen.add(("figure", name))
        for _, given in self.figure_steps[name].inputs:
            for source in given.first_of or (given,):
                if source.source == "fact":
                    self._absent_behind(source.name, rules, absent, seen)
                elif source.source == "figure":
                    self._absent_behind_figure(source.name, rules, absent, seen)

    def _absent_behind(self, name, rules, absent, seen):
        if name in seen:
            return
        seen.add(name)
        if name in self.steps:
            for _, given in self.steps[name].inputs:
                if given.source == "fact":
                    self._absent_behind(given.name, rules, absent, seen)
        for rule in self.concluding.get(name, ()):
            if rule.id in rules:
                self._absent_in(rules[rule.id], rules, absent, seen)

    def _absent_in(self, conditions, rules, absent, seen):
        """``rules``: id of a rule that fired -> the conditions that held."""
        for condition in conditions:
            fact = self.decision.knowledge.facts[condition.fact]
            if condition.test == "absent" and fact.source in ON_FILE:
                if condition.fact not in self.decision.derivation.facts:
                    absent.add(condition.fact)
            else:
                self._absent_behind(condition.fact, rules, absent, seen)


def limits_of(requirement: Requirement) -> tuple[Any, ...]:
    """The limits of a requirement: two where it is between them."""
    return requirement.limit if requirement.compare == "between" else (requirement.limit,)


def behind_unknown(decision: "Decision") -> Iterator[tuple[int, str, set[str], set[str]]]:
    """(place of a kit, id of a requirement, fields of the kit, facts of the car) for every check of a kit that fits the
    car and cannot be made for want of what is not on file.
    """
    producers = Producers(decision)
    for index in map(int, decision.fits[0].nonzero()[0]):
        for checked in decision.checks:
            if checked.status[0, index] == UNKNOWN:
                facts: set[str] = set()
                fields: set[str] = set()
                gaps: set[str] = set()
                producers.leaves_of_check(checked, index, facts, fields, gaps)
                if fields or gaps:
                    yield index, checked.requirement.id, fields, gaps
