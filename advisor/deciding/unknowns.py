"""Where no kit passes and some cannot be judged: what to ask the caller, and what to ask the maker."""

from .checks import UNKNOWN
from ..knowledge.model import FactRef, KitRef


def what_would_settle(decision):
    """(facts to ask the caller, kit fields to ask the maker), each sorted.

    A kit can be settled by the caller when every unknown must of it comes down to facts somebody could answer.
    Kit fields are (kit id, field) pairs.
    """
    asks, maker = set(), set()
    producers = _Producers(decision)
    for index in range(len(decision.kits)):
        if not decision.unjudged[0, index]:
            continue
        facts, fields = set(), set()
        for checked in decision.checks:
            if checked.requirement.level == "must" and checked.status[0, index] == UNKNOWN:
                producers.leaves_of_check(checked, index, facts, fields)
        maker |= {(decision.kits.ids[index], name) for name in fields}
        if facts and not fields:
            asks |= facts
    return tuple(sorted(asks)), tuple(sorted(maker))


class _Producers:
    """Goes from an unknown figure or fact down to the unanswered facts and missing kit fields behind it."""

    def __init__(self, decision):
        self.decision = decision
        knowledge = decision.knowledge
        self.figure_steps = {one.gives: one for one in knowledge.figure_calculations}
        self.steps = {one.gives: one for one in knowledge.calculations}
        self.concluding = {}
        for rule in knowledge.rules:
            if rule.stage == "case":
                for conclusion in rule.conclude:
                    self.concluding.setdefault(conclusion.fact, []).append(rule)

    def leaves_of_check(self, checked, index, facts, fields):
        """Add the leaves behind one unknown check of one kit."""
        requirement = checked.requirement
        if requirement.source == "figure":
            self.of_figure(requirement.measure, index, facts, fields)
        elif not self.decision.kits.field(requirement.measure).known[0, index]:
            fields.add(requirement.measure)
        limits = requirement.limit if requirement.compare == "between" else (requirement.limit,)
        for limit in limits:
            if isinstance(limit, FactRef):
                self.of_fact(limit.name, facts, set())
            elif isinstance(limit, KitRef) and not self.decision.kits.field(limit.name).known[0, index]:
                fields.add(limit.name)

    def of_figure(self, name, index, facts, fields):
        """Leaves of an unknown figure."""
        if self.decision.figures.column(name).number(0, index) is not None or name not in self.figure_steps:
            return
        for _, given in self.figure_steps[name].inputs:
            for one in given.first_of or (given,):
                if one.source == "figure":
                    self.of_figure(one.name, index, facts, fields)
                elif one.source == "fact":
                    self.of_fact(one.name, facts, set())
                elif one.source == "kit" and not self.decision.kits.field(one.name).known[0, index]:
                    fields.add(one.name)

    def of_fact(self, name, facts, seen):
        """Leaves of a fact without a value: asked facts that nobody answered."""
        if name in self.decision.derivation.facts or name in seen:
            return
        seen.add(name)
        fact = self.decision.knowledge.facts.get(name)
        if fact is not None and fact.source == "asked":
            facts.add(name)
        elif name in self.steps:
            for _, given in self.steps[name].inputs:
                if given.source == "fact":
                    self.of_fact(given.name, facts, seen)
        for rule in self.concluding.get(name, ()):
            for condition in (*rule.all, *rule.any):
                self.of_fact(condition.fact, facts, seen)
            for conclusion in rule.conclude:
                if isinstance(conclusion.value, FactRef):
                    self.of_fact(conclusion.value.name, facts, seen)
