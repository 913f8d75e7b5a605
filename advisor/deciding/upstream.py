"""Which facts can bear on a requirement at all: everything it could depend on, whatever the answers.

A must that a kit fails stays failed until one of these facts has another value; that is what searches for changes
are cut short by.
"""

from typing import Any

from ..engine.rulebase import copied_by, read_by
from ..knowledge.model import Calculation, FactRef, Knowledge, Requirement, Rule


class Upstream:
    """The dependencies of one Knowledge, worked out as they are asked for."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self.rules = {rule.id: rule for rule in knowledge.rules}
        self._steps = {calculation.gives: calculation for calculation in knowledge.figure_calculations}
        self._behind: dict[str, Any] = {}
        self._figures: dict[str, Any] = {}
        self._facts: dict[str, Any] = {}
        for rule in knowledge.rules:
            reads = read_by_rule(rule) if rule.conclude else ()
            for conclusion in rule.conclude:
                self._behind.setdefault(conclusion.fact, set()).update(reads)
        for step in knowledge.calculations:
            self._behind.setdefault(step.gives, set()).update(reads_of(step, "fact"))

    def of_fact(self, name: str) -> frozenset[str]:
        """The fact itself and every fact it could be concluded or calculated from, as a frozenset."""
        if name not in self._facts:
            seen, waiting = {name}, [name]
            while waiting:
                new = self._behind.get(waiting.pop(), set()) - seen
                seen |= new
                waiting += new
            self._facts[name] = frozenset(seen)
        return self._facts[name]

    def facts_of_figure(self, name: str) -> frozenset[str]:
        """Facts the figure and the figures it is computed from read, as a frozenset."""
        if name not in self._figures:
            step, facts_behind = self._steps.get(name), set()
            if step is not None:
                facts_behind = set(reads_of(step, "fact"))
                for other in reads_of(step, "figure"):
                    facts_behind |= self.facts_of_figure(other)
            self._figures[name] = frozenset(facts_behind)
        return self._figures[name]

    def of_requirement(self, requirement: Requirement) -> frozenset[str]:
        """Every fact that can bear on whether a requirement is posted, on its limit or on the figure it limits."""
        direct = set(read_by_rule(self.rules[requirement.rule])) | set(limit_facts(requirement))
        if requirement.source == "figure":
            direct |= self.facts_of_figure(requirement.measure)
        return frozenset().union(*(self.of_fact(name) for name in direct))


def reads_of(step: Calculation, source: str) -> list[str]:
    """Names of the facts or figures (``source``) a calculation reads, alternatives included, in order."""
    return [
        alternative.name
        for _, given in step.inputs
        for alternative in given.first_of or (given,)
        if alternative.source == source
    ]


def read_by_rule(rule: Rule) -> tuple[str, ...]:
    """Names of all facts a rule reads: in any condition, as a limit or to copy."""
    names = [name for condition in rule.conditions for name in read_by(condition)]
    return tuple(dict.fromkeys([*names, *copied_by(rule)]))


def limit_facts(requirement: Requirement) -> tuple[str, ...]:
    """Names of the facts a requirement takes its limit from."""
    limits = requirement.limit if requirement.compare == "between" else (requirement.limit,)
    return tuple(limit.name for limit in limits if isinstance(limit, FactRef))
