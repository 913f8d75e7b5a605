"""A sample of small changes to the rules, nearly all of which somebody must notice; the full run is a long count."""

import pytest

from advisor.knowledge import rule_tests

from .mutants import Judge, Mutant, mutants
from .shop import RULES, cases, knowledge, shop

EVERY = 230


@pytest.fixture(scope="module")
def judge():
    return Judge(knowledge(), shop(), rule_tests.read_folder(RULES, knowledge()))


def test_a_sample_of_changed_rules_is_noticed(judge):
    made = [mutant for rule in knowledge().rules for mutant in mutants(rule, knowledge())]
    sample = made[EVERY // 2 :: EVERY]
    unseen = [(mutant.rule.id, mutant.what) for mutant in sample if not judge.noticed(mutant)]
    assert len(sample) >= 15 and len(unseen) <= 0.05 * len(sample), unseen


def test_an_unchanged_rule_is_not_called_changed():
    few = Judge(knowledge(), shop(), rule_tests.read_folder(RULES, knowledge()), tuple(cases().values())[:4])
    assert [rule.id for rule in knowledge().rules[::100] if few.noticed(Mutant(rule, "nothing", rule))] == []
