"""Every numeric limit in every rule, at it, just below and just above.

Conditions run through the plain chainer and the bulk evaluator, requirements through the checks of deciding. What
must come out is the plain meaning of the words, written down here once more.
"""

import functools

import numpy as np

from advisor.deciding.kit_columns import Column, FactColumns
from advisor.deciding.verdicts import FAIL, PASS, check
from advisor.engine.bulk import BulkEvaluator
from advisor.engine.disagreement import holds
from advisor.engine.fact_columns import columns
from advisor.engine.plain import compile_plain
from advisor.engine.rulebase import read_by
from advisor.knowledge import rule_tests
from advisor.knowledge.model import ORDERED_TESTS, FactRef
from tests.each import each

from .mutants import step
from .shop import RULES, knowledge

# Just below, at, just above.
HOLDS = {
    "above": (False, False, True),
    "at_least": (False, True, True),
    "below": (True, False, False),
    "at_most": (True, True, False),
    "low end": (False, True, True),
    "high end": (True, True, False),
}


@functools.cache
def plain(stage):
    return compile_plain(knowledge(), stage)


@functools.cache
def bulk(stage):
    return BulkEvaluator(knowledge(), stage)


def ends(part, test):
    """(limit, word in HOLDS) of a condition or requirement."""
    if test == "between":
        return list(zip(part.limit, ("low end", "high end"), strict=True))
    return [(part.limit, test)]


def conditions():
    """(rule, condition, limit, word) for every ordered condition."""
    for rule in knowledge().rules:
        for condition in rule.conditions:
            if condition.test in ORDERED_TESTS:
                for limit, word in ends(condition, condition.test):
                    yield rule, condition, limit, word


@functools.cache
def firing_tests():
    """Rule id -> the rule tests in which it fires."""
    found = {}
    for test in rule_tests.read_folder(RULES, knowledge()):
        for name in test.fired:
            found.setdefault(name, []).append(test)
    return found


def name_of(one):
    rule, part, _, word = one
    return f"{rule.id}-{getattr(part, 'fact', '') or part.id}-{word.replace(' ', '-')}"


@each(lambda: [(name_of(limit), limit) for limit in conditions()])
def test_a_condition_turns_exactly_at_its_limit(of_condition):
    rule, condition, limit, word = of_condition
    fact = knowledge().facts[condition.fact]
    seen = 0
    beside = next(([one for one in branch if one is not condition] for branch in rule.any if condition in branch), None)
    for test in firing_tests()[rule.id]:
        if beside is not None and (
            condition.fact not in test.given
            or not all(holds(one, test.given, test.given, test.answered) for one in beside)
        ):
            continue
        if isinstance(limit, FactRef) and limit.name not in test.given:
            continue  # the limit is worked out in this test, not given
        at = test.given[limit.name] if isinstance(limit, FactRef) else limit
        size = step(fact, at)
        values = (
            [
                max([c for c in fact.choices if c < at], default=at),
                at,
                min([c for c in fact.choices if c > at], default=at),
            ]
            if fact.choices
            else [at - size, at, at + size]
        )
        found, wanted = [], []
        for place, value in enumerate(values):
            others = [
                one for one in (*rule.all, *(beside or ())) if one.fact == condition.fact and one is not condition
            ]
            if fact.choices and value == at and place != 1:
                continue
            if not all(one.test == "known" or _meets(one, value, test.given) for one in others):
                continue
            given = {**_without_causes(condition.fact, rule, test.given), condition.fact: value}
            found.append(_fires(rule, given, test.answered))
            wanted.append((HOLDS[word][place], HOLDS[word][place]))
        assert found == wanted, (test.name, values)
        seen += len(found)
    assert seen >= 2


def _without_causes(name, rule, given):
    """``given`` without what the fact would be worked out from: here it is set to a value of its own."""
    causes = {
        one.name
        for calculation in knowledge().calculations
        if calculation.gives == name
        for _, one in calculation.inputs
        if one.source == "fact"
    }
    tested = {name for one in rule.conditions for name in read_by(one)}
    return {fact: value for fact, value in given.items() if fact not in causes - tested}


def _meets(condition, value, given):
    for limit, word in ends(condition, condition.test):
        at = given.get(limit.name) if isinstance(limit, FactRef) else limit
        if not HOLDS[word][1 + (value > at) - (value < at)]:
            return False
    return True


def _fires(rule, given, answered):
    derived = plain(rule.stage).derive(given, answered)
    masks = columns(bulk(rule.stage).base.facts, [(given, answered)])
    return rule.id in derived.fired(), bool(bulk(rule.stage).derive(*masks, 1).fired(rule.id)[0])


def requirements():
    """(rule, requirement, limit, word) for every requirement with an ordered comparison."""
    for rule in knowledge().rules:
        for one in rule.require:
            if one.compare in (*HOLDS, "between"):
                for limit, word in ends(one, one.compare):
                    yield rule, one, limit, word


class Three:
    """Three kits (or their figures) that differ in one number alone."""

    def __init__(self, values, of_kits):
        self.values, self.of_kits = values, of_kits

    def __len__(self):
        return len(self.values)

    def field(self, name):
        if name in self.of_kits:
            return _column([self.of_kits[name][0]] * 3)
        return _column(self.values)

    column = field

    def keep(self, _, build):
        return build()


def _column(values):
    array = np.empty((1, len(values)), dtype=float if isinstance(values[0], float) else object)
    array[0] = values
    return Column(array, np.ones(array.shape, dtype=bool))


@each(lambda: [(name_of(limit), limit) for limit in requirements()])
def test_a_requirement_turns_exactly_at_its_limit(of_requirement):
    _, requirement, limit, word = of_requirement
    words = knowledge().figures if requirement.source == "figure" else knowledge().kit_fields
    facts = {}
    at = limit
    if isinstance(limit, FactRef):
        fact = knowledge().facts[limit.name]
        at = facts[limit.name] = fact.low + 1.0 if fact.low is not None else 100.0
    size = step(words[requirement.measure], at)
    kits = Three([at - size, at, at + size], dict(requirement.of_kits))
    checked = check(requirement, np.ones((1, 1), dtype=bool), kits, FactColumns.of_case(facts), kits)
    assert [bool(one == PASS) for one in checked.status[0]] == list(HOLDS[word])
    assert set(checked.status[0]) <= {PASS, FAIL}


def test_there_are_limits_to_test():
    assert len(list(conditions())) >= 60 and len(list(requirements())) >= 40
