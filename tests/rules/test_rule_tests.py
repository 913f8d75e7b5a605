"""The tests that stand beside the rules, run on the plain chainer."""

import functools

from advisor.engine.plain import compile_plain
from advisor.engine.rule_test_runs import differences
from advisor.knowledge import rule_tests
from tests.each import each

from .shop import RULES, knowledge


@functools.cache
def the_tests():
    """The rule tests as shipped."""
    return rule_tests.read_folder(RULES, knowledge())


@functools.cache
def engine(stage):
    return compile_plain(knowledge(), stage)


@each(lambda: [(f"{test.topic}: {test.name}", test) for test in the_tests()])
def test_a_rule_test_holds(test):
    assert differences(test, knowledge(), engine(test.stage).derive) == []


def test_every_rule_fires_in_one_test_and_stays_silent_in_another():
    fires = {name for test in the_tests() for name in test.fired}
    silent = {name for test in the_tests() for name in test.not_fired}
    silent |= {name for test in the_tests() if test.silent_when for name in test.fired}
    ids = {rule.id for rule in knowledge().rules}
    assert ids - fires == set() and ids - silent == set()


def test_every_topic_has_its_tests():
    assert {rule.topic for rule in knowledge().rules} == {test.topic for test in the_tests()}
