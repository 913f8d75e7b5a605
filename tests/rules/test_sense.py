"""Sense over the whole program, for callers drawn by hypothesis; the large numbers are a long count."""

import pytest
from hypothesis import given, settings, strategies as st

from .sense import ALL, World
from .shop import knowledge, shop


@pytest.fixture(scope="module")
def world():
    return World(knowledge(), shop())


@pytest.mark.parametrize("what", list(ALL))
def test_sense_holds_for_any_caller(what, world):
    @settings(max_examples=6, derandomize=True, deadline=None, database=None)
    @given(seed=st.integers(0, 10**6))
    def run(seed):
        assert ALL[what](world, seed) == []

    run()


def test_the_checks_can_fail(world):
    """A rule turned round makes three of the five notice."""
    import dataclasses

    rules = []
    for rule in knowledge().rules:
        if rule.id == "holds-worn-and-warm":
            (one,) = rule.require
            rule = dataclasses.replace(rule, require=(dataclasses.replace(one, compare="at_most"),))
        if rule.id == "noise-some":
            (must, wish) = rule.require
            rule = dataclasses.replace(rule, require=(dataclasses.replace(must, limit=-1.0), wish))
        rules.append(rule)
    turned = World(dataclasses.replace(knowledge(), rules=tuple(rules)), shop())
    assert any(ALL["more torque, no kit that failed holding passes"](turned, seed) for seed in range(20))
    assert any(ALL["more tolerance, nothing that passed fails"](turned, seed) for seed in range(60))
