"""How far the rule tests reach into the rules: rules, conditions, branches, rule to rule, limits.

A condition is covered where some row makes it alone false while the rule's others hold and asserts that the rule
stays silent, and some row asserts that the rule fires (B. Beizer's and the MC/DC idea, for conjunctions).
"""

import itertools

from advisor.engine.disagreement import holds

from .rows import rows


def branch_places(rule):
    """Of each branch of any the places of its conditions among all conditions of a rule."""
    ends = list(itertools.accumulate(map(len, rule.any), initial=len(rule.all)))
    return [range(*pair) for pair in itertools.pairwise(ends)]


class Coverage:
    """Derives every row once; ``engines`` is stage -> evaluator."""

    def __init__(self, knowledge, tests, engines):
        self.knowledge = knowledge
        self.rules = {rule.id: rule for rule in knowledge.rules}
        self.fires, self.silent, self.alone_false, self.branches, self.edges = set(), set(), set(), set(), set()
        for test in tests:
            for row in rows(test):
                self._row(row, engines[test.stage].derive(row.given, row.answered))

    def _row(self, row, derived):
        fired = {firing.id: firing for firing in derived.firings if firing.kind == "rule"}
        for name in row.fires:
            self.fires.add(name)
            if name in fired:
                self.branches |= {(name, branch) for branch in fired[name].branches}
        self.silent |= set(row.silent)
        for name in row.silent:
            rule = self.rules[name]
            false = [
                place
                for place, condition in enumerate(rule.conditions)
                if not holds(condition, derived.facts, row.given, row.answered)
            ]
            in_all = [place for place in false if place < len(rule.all)]
            in_branches = [[place for place in false if place in places] for places in branch_places(rule)]
            some = not rule.any or not all(in_branches)
            if len(in_all) == 1 and some:
                self.alone_false.add((name, in_all[0]))
            if not in_all and not some:
                self.alone_false |= {(name, places[0]) for places in in_branches if len(places) == 1}
        self._edges(fired)

    def _edges(self, fired):
        concluded = {}
        for name, firing in fired.items():
            for fact, _ in firing.concluded:
                concluded.setdefault(fact, set()).add(name)
        for name, firing in fired.items():
            for fact, _ in firing.facts:
                self.edges |= {(giver, name) for giver in concluded.get(fact, ()) if giver != name}

    def conditions(self):
        """All (rule id, place) of conditions, those of the branches of any after those of all."""
        return {(rule.id, place) for rule in self.knowledge.rules for place in range(len(rule.conditions))}

    def all_branches(self):
        """All (rule id, branch) of rules that have an any."""
        return {(rule.id, branch) for rule in self.knowledge.rules for branch in range(len(rule.any))}

    def table(self):
        """Rows (what, covered, all, names of what is not covered)."""
        ids = set(self.rules)
        return [
            ("rules that fire", len(ids & self.fires), len(ids), sorted(ids - self.fires)),
            ("rules that stay silent", len(ids & self.silent), len(ids), sorted(ids - self.silent)),
            (
                "conditions alone decisive",
                len(self.conditions() & self.alone_false),
                len(self.conditions()),
                sorted(self.conditions() - self.alone_false),
            ),
            (
                "branches of any",
                len(self.all_branches() & self.branches),
                len(self.all_branches()),
                sorted(self.all_branches() - self.branches),
            ),
        ]
