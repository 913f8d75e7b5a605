"""Calculations inside the engines: units, rounding, refusals; one at a time and in arrays."""

import decimal
import random

import numpy as np
import pytest

from advisor.engine.bulk import BulkEvaluator
from advisor.engine.calculating import compile_calculation, round_digits, round_digits_array
from advisor.engine.fact_columns import columns
from advisor.engine.plain import compile_plain
from advisor.errors import EngineError, KnowledgeError
from advisor.knowledge.model import FactRef
from advisor.mechanics import friction
from advisor.mechanics.argument_checks import MechanicsError

from .build import calculation, fact, knowledge

INPUTS = {
    "friction_coefficient": FactRef("mu"),
    "clamp_load": FactRef("load"),
    "mean_radius": FactRef("radius"),
    "friction_surfaces": FactRef("surfaces"),
}
UNITS = (("friction_coefficient", "-"), ("clamp_load", "N"), ("mean_radius", "m"), ("friction_surfaces", "-"))


def capacity(**changed):
    made = calculation(
        "capacity", "torque", "friction.torque_capacity", INPUTS, units=UNITS, unit="lb-ft", result_unit="N m"
    )
    from dataclasses import replace

    sources = {"load": "kN", "radius": "mm", "mu": "%"}
    inputs = tuple((key, replace(one, unit=sources.get(one.name, "1"))) for key, one in made.inputs)
    return replace(made, inputs=inputs, **changed)


def test_inputs_and_result_are_converted():
    # V. B. Bhandari, Design of Machine Elements, ex. 11.6: 535.5 N m; 1 lb-ft = 1.3558179483314004 N m (NIST SP 811).
    facts = {"load": 7.2, "radius": 106.25, "mu": 35.0, "surfaces": 2.0}
    assert compile_calculation(capacity())(facts) == (round_digits(535.5 / 1.3558179483314004), "")


def test_rounding_is_that_of_decimal_arithmetic():
    pick = random.Random(4)
    values = [pick.uniform(-1, 1) * 10.0 ** pick.randint(-20, 20) for _ in range(4000)]
    values += [round(pick.uniform(0, 1e5), 6) + 5e-5 for _ in range(2000)] + [
        123456789.5,
        1234567885e-1,
        0.0,
        -0.0,
        1e300,
        5e-324,
    ]
    context = decimal.Context(prec=9, rounding=decimal.ROUND_HALF_EVEN)
    expected = [float(context.create_decimal(decimal.Decimal(value))) + 0.0 for value in values]
    assert [round_digits(value) for value in values] == expected
    assert round_digits_array(np.array(values)).tolist() == expected
    assert round_digits_array(np.array(values[:6000]).reshape(60, 100)).ravel().tolist() == expected[:6000]


def test_rounding_leaves_what_is_not_finite():
    found = round_digits_array(np.array([np.nan, np.inf, -np.inf, 1.0]))
    assert np.isnan(found[0]) and found[1:].tolist() == [np.inf, -np.inf, 1.0]


def test_arrays_give_what_single_cases_give_and_the_reasons_on_demand():
    facts = [fact("load"), fact("radius"), fact("mu"), fact("surfaces"), fact("torque", source="derived")]
    made = knowledge(facts, [], [capacity()])
    pick = random.Random(8)
    cases = [
        (
            {
                name: pick.choice((*[value] * 12, -value, 0.0))
                for name, value in (
                    ("load", pick.uniform(1, 9)),
                    ("radius", pick.uniform(50, 150)),
                    ("mu", 35.0),
                    ("surfaces", pick.choice((2.0, 4.0, 2.5))),
                )
                if pick.random() < 0.95
            },
            frozenset(),
        )
        for _ in range(300)
    ]
    bulk, plain = BulkEvaluator(made, "case"), compile_plain(made, "case")
    found = bulk.derive(*columns(bulk.base.facts, cases))
    expected = [plain.derive(given) for given, _ in cases]
    assert [found.derivation(row) for row in range(300)] == expected
    _values, known = found.fact("torque")
    assert known.sum() > 30 and known.tolist() == ["torque" in one.facts for one in expected]
    assert found.calculated("capacity").sum() > known.sum()
    reasons = {firing.reason.split(" (")[0] for one in expected for firing in one.firings}
    assert {"", "clamp_load must be above zero", "friction_surfaces must be a whole number"} <= reasons


def stand_in(monkeypatch, name, function):
    """A function of the mechanics that exists for one test: as one of `friction`."""
    function.__module__ = friction.__name__
    monkeypatch.setattr(friction, name, function, raising=False)


def test_a_text_among_the_inputs_splits_the_cases(monkeypatch):
    calls = []

    def picked(*, x, theory):
        calls.append(np.size(x))
        if theory not in ("wear", "pressure"):
            raise MechanicsError("theory", "must be wear or pressure", theory)
        return np.asarray(x) * (2.0 if theory == "wear" else 3.0)

    stand_in(monkeypatch, "picked", picked)
    facts = [fact("a"), fact("theory", "choice", choices=("pressure", "wear", "other")), fact("out", source="derived")]
    made = knowledge(
        facts, [], [calculation("c", "out", "friction.picked", {"x": FactRef("a"), "theory": FactRef("theory")})]
    )
    bulk, plain = BulkEvaluator(made, "case"), compile_plain(made, "case")
    cases = [({"a": float(n), "theory": ("pressure", "wear", "other")[n % 3]}, frozenset()) for n in range(30)]
    found = bulk.derive(*columns(bulk.base.facts, cases))
    assert sorted(calls, reverse=True)[:3] == [10, 10, 10]
    assert [found.derivation(row) for row in range(30)] == [plain.derive(given) for given, _ in cases]


def test_a_function_that_takes_no_arrays_is_called_case_by_case(monkeypatch):
    stand_in(monkeypatch, "single", lambda *, x: 1.0 / x if x > 0 else float("inf"))
    made = knowledge(
        [fact("a"), fact("out", source="derived")],
        [],
        [calculation("c", "out", "friction.single", {"x": FactRef("a")})],
    )
    bulk = BulkEvaluator(made, "case")
    found = bulk.derive({"a": (np.array([2.0, -1.0, 4.0]), None)})
    assert found.fact("out")[0][[0, 2]].tolist() == [0.5, 0.25] and found.fact("out")[1].tolist() == [True, False, True]
    assert found.derivation(1).firings[0].reason == "the result is not a finite number"


@pytest.mark.parametrize(
    "evaluate",
    [
        lambda made: compile_plain(made, "case").derive({"a": 0.0}),
        lambda made: BulkEvaluator(made, "case").derive({"a": (np.zeros(3), None)}),
    ],
)
def test_a_function_that_breaks_is_one_clear_error(monkeypatch, evaluate):
    stand_in(monkeypatch, "broken", lambda *, x: 1 // int(np.ravel(x)[0]))
    made = knowledge(
        [fact("a"), fact("out", source="derived")],
        [],
        [calculation("c", "out", "friction.broken", {"x": FactRef("a")})],
    )
    with pytest.raises(
        EngineError, match=r"calculation c \(friction.broken\) stopped with ZeroDivisionError"
    ) as caught:
        evaluate(made)
    assert caught.value.value == {"a": 0.0}


@pytest.mark.parametrize(
    "name", ["friction.nothing", "nowhere.torque", "friction", "os.system", "friction._number", "checks.np.load"]
)
def test_only_public_functions_of_the_mechanics_are_called(name):
    with pytest.raises(KnowledgeError, match="is not there"):
        compile_calculation(calculation("c", "out", name, {}))
