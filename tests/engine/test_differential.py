"""All evaluators against an outside engine: random rule bases, and random cases on the real rules.

The long counts (500 rule bases, 5,000 cases) are in tests/full_engine.py; seeds are fixed in both.
"""

import pytest

from advisor.engine.rulebase import rule_base
from tests import shipped

from .agreement import differences
from .cases import Cases
from .generate import Generator


@pytest.mark.parametrize("seed", range(0, 40, 2))
def test_random_rule_bases(seed):
    generator = Generator(seed)
    assert differences(generator.knowledge, generator.stage, [generator.case() for _ in range(10)]) == []


@pytest.mark.parametrize("seed", range(1000, 1030))
def test_random_rule_bases_without_the_outside_engine(seed):
    generator = Generator(seed)
    assert differences(generator.knowledge, generator.stage, [generator.case() for _ in range(20)], outside=False) == []


def test_the_generated_bases_reach_what_they_are_to_test():
    """A generator that stopped producing conflicts, chains or branches would make the tests above say nothing."""
    from advisor.engine.plain import compile_plain
    from advisor.errors import ConflictError

    from .agreement import outcome

    conflicts = branched = refused = copied = 0
    deepest, tests = 0, set()
    for seed in range(80):
        generator = Generator(seed)
        evaluator = compile_plain(generator.knowledge, generator.stage)
        for rule in generator.knowledge.rules:
            tests.update((one.test, generator.stage) for one in rule.conditions)
        for _ in range(10):
            found = outcome(evaluator.derive, *generator.case())
            if isinstance(found, ConflictError):
                conflicts += 1
                continue
            deepest = max(deepest, *found.depths, 0)
            branched += any(len(firing.branches) > 1 for firing in found.firings)
            refused += any(firing.reason for firing in found.firings)
            copied += any(firing.kind == "rule" and firing.concluded and firing.facts for firing in found.firings)
    assert conflicts > 20 and branched > 20 and refused > 5 and copied > 100 and deepest >= 4
    names = {
        "is",
        "in",
        "is_not",
        "not_in",
        "has",
        "known",
        "answered",
        "absent",
        "not_answered",
        "above",
        "at_least",
        "below",
        "at_most",
        "between",
    }
    assert tests == {(name, stage) for name in names for stage in ("case", "setup")}


@pytest.mark.parametrize("stage, count", [("case", 30), ("setup", 20)])
def test_random_cases_on_the_real_rules(stage, count):
    knowledge = shipped.content().knowledge
    cases = Cases(rule_base(knowledge, stage), 20)
    assert differences(knowledge, stage, [cases.case() for _ in range(count)]) == []
