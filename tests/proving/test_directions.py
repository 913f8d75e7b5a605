"""What proofs with arithmetic believe of the calculations, held against the functions themselves by sampling."""

import random

import pytest

from advisor.engine.calculating import compile_calculation
from advisor.knowledge.model import FactRef
from advisor.mechanics.argument_checks import MechanicsError
from advisor.proving.arithmetic_known import DIRECTIONS, FORMULAS, OF_EITHER_SIGN, directions_of, formula_of

from ..engine.build import calculation
from ..rules.shop import knowledge

CALCULATIONS = [each for each in knowledge().calculations if each.function in DIRECTIONS]


def some_value(pick, name):
    fact = knowledge().facts[name]
    if fact.choices:
        return pick.choice(fact.choices)
    low = fact.low if fact.low is not None else 0.0
    return pick.uniform(low, fact.high) if fact.high is not None else 10 ** pick.uniform(-1.5, pick.choice((0.0, 3.5)))


@pytest.mark.parametrize("each", CALCULATIONS, ids=lambda each: each.id)
def test_a_declared_direction_is_never_gone_against(each):
    assert pairs_tried(each, 200) > 8


def pairs_tried(each, samples):
    """How many pairs could be held against each other; AssertionError where one goes against what is declared."""
    pick, run, tried = random.Random(each.id), compile_calculation(each), 0
    for _ in range(samples):
        facts = {name: some_value(pick, name) for name in run.reads}
        before, _ = run(facts)
        for name, way in directions_of(each).items():
            after, _ = run({**facts, name: facts[name] * pick.uniform(1.01, 2)})
            if before is not None and after is not None:
                tried += 1
                assert (after - before) * way >= -2e-8 * abs(before), (facts, name)
    return tried


def test_the_sampling_would_notice_a_wrong_direction(monkeypatch):
    each = next(each for each in CALCULATIONS if each.function == "engine.torque_from_bmep")
    monkeypatch.setitem(DIRECTIONS, each.function, {"displacement": -1})
    with pytest.raises(AssertionError):
        test_a_declared_direction_is_never_gone_against(each)


def test_what_may_be_negative_is_known():
    """A calculation that is not written out is taken to give nothing below zero, unless it is listed."""
    pick = random.Random(5)
    for each in knowledge().calculations:
        if each.function in OF_EITHER_SIGN:
            continue
        run = compile_calculation(each)
        results = [run({name: some_value(pick, name) for name in run.reads})[0] for _ in range(40)]
        assert all(result is None or result >= 0 for result in results), each.id


@pytest.mark.parametrize("name", sorted(FORMULAS))
def test_a_written_out_formula_is_the_function(name):
    from advisor.knowledge.functions import function

    pick, keywords = random.Random(name), {"arithmetic.total": ("first", "second", "third")}
    for _ in range(40):
        wanted = (
            keywords.get(name)
            or {
                "arithmetic.difference": ("first", "second"),
                "arithmetic.larger": ("first", "second"),
                "arithmetic.scaled": ("value", "factor"),
                "arithmetic.scaled_with_floor": ("value", "factor", "floor"),
                "arithmetic.grown_by_percent": ("value", "percent"),
            }[name]
        )
        given = {keyword: round(pick.uniform(0.01, 900), 4) for keyword in wanted}
        try:
            expected = float(function(name)(**given))
        except MechanicsError:
            continue
        assert FORMULAS[name](given, max) == pytest.approx(expected, rel=1e-12)


def test_a_unit_converted_on_the_way_leaves_a_formula_out():
    plain = calculation("a", "b", "arithmetic.scaled", {"value": FactRef("x"), "factor": 2.0})
    assert formula_of(plain) is not None
    converted = calculation(
        "a", "b", "arithmetic.scaled", {"value": FactRef("x"), "factor": 2.0}, unit="mm", result_unit="m"
    )
    assert formula_of(converted) is None
