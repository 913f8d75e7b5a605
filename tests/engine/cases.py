"""Random cases for a rule base that was not generated: values in their sane ranges, often at a rule's limit."""

import math
import random

from advisor.knowledge.model import FactRef


class Cases:
    """Random (facts, answered) for a RuleBase; the same seed gives the same. Derived facts are not given."""

    def __init__(self, base, seed):
        self.base, self.random = base, random.Random(seed)
        self.names = sorted(base.complete)
        self.limits = {}
        for rule in base.rules:
            for condition in rule.conditions:
                limits = condition.limit if isinstance(condition.limit, tuple) else (condition.limit,)
                for limit in limits:
                    if limit is not None and not isinstance(limit, FactRef):
                        self.limits.setdefault(condition.fact, []).append(limit)

    def value(self, fact):
        """Some value of a fact."""
        pick, limits = self.random, self.limits.get(fact.name)
        if fact.kind == "flag":
            return pick.random() < 0.5
        if fact.kind == "list":
            return tuple(sorted(pick.sample(fact.choices, pick.randint(0, len(fact.choices)))))
        if fact.kind != "number":
            return pick.choice(fact.choices or (*(limits or ()), "another text"))
        if fact.choices:
            return pick.choice(fact.choices)
        if limits and pick.random() < 0.5:
            limit = pick.choice(limits)
            return pick.choice((limit, math.nextafter(limit, math.inf), math.nextafter(limit, -math.inf)))
        low = 0.0 if fact.low is None else fact.low
        high = low + pick.choice((2.0, 100.0, 5000.0)) if fact.high is None else fact.high
        return pick.uniform(low, high) if pick.random() < 0.7 else round(pick.uniform(low, high), 1)

    def case(self):
        """A random case."""
        pick = self.random
        share = pick.choice((0.3, 0.8, 0.97, 1.0))
        given = {name: self.value(self.base.facts[name]) for name in self.names if pick.random() < share}
        return given, frozenset(name for name in given if pick.random() < 0.6)
