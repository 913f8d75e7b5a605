"""Columns in, columns out: what the bulk evaluator offers besides agreeing with the engines."""

import numpy as np
import pytest

from advisor.engine.bulk import BulkEvaluator
from advisor.engine.fact_columns import Cases, Trial, columns, each_tried, some_of
from advisor.errors import ConflictError, EngineError

from .build import fact, knowledge, rule, when
from .generate import Generator

KINDS = ("dust", "heat")
MADE = knowledge(
    [
        fact("a"),
        fact("colour", "choice", choices=("amber", "blue")),
        fact("racing", "flag"),
        fact("note", "text"),
        fact("told", "list", choices=KINDS, source="asked"),
        fact("c", source="derived", agreement="same_value"),
        fact("shade", "choice", source="derived", choices=("blue", "amber", "grey")),
    ],
    [
        rule("above", [when("a", "above", 1.0)], conclude=[("c", 2.0)]),
        rule("racing", [when("racing", "is", True)], conclude=[("c", 3.0)]),
        rule("shade", [when("a", "answered"), when("told", "has", "heat")], conclude=[("shade", "grey")]),
    ],
)


def test_columns_in_columns_out():
    bulk = BulkEvaluator(MADE, "case")
    found = bulk.derive(
        {
            "a": (np.array([2.0, 0.0, 7.0, 2.0]), np.array([True, True, False, True])),
            "racing": (np.array([False, True, True, True]), None),
            "told": ({"heat": np.array([True, True, True, False])}, None),
        },
        {"a": np.array([True, False, True, True])},
    )
    assert found.fired("above").tolist() == [True, False, False, True]
    assert found.fired("shade").tolist() == [True, False, False, False]
    values, known = found.fact("c")
    assert known.all() and values[:3].tolist() == [2.0, 3.0, 3.0]
    assert found.conflicted.tolist() == [False, False, False, True]
    codes, known = found.fact("shade")
    assert codes.tolist() == [2, -1, -1, -1] and known.tolist() == [True, False, False, False]
    values, known = found.fact("colour")
    assert not known.any() and (values == -1).all()
    assert found.facts(0) == {"a": 2.0, "racing": False, "told": ("heat",), "c": 2.0, "shade": "grey"}
    with pytest.raises(ConflictError, match="rule above and rule racing conclude c: different values"):
        found.derivation(3)


def test_cases_but_for_one_fact_are_those_cases_with_it_replaced():
    given = [
        {"a": 2.0, "colour": "blue", "racing": True, "told": ("heat",)},
        {"a": 0.5, "colour": "amber", "racing": False, "told": ("dust", "heat")},
        {"a": 1.5, "colour": "blue", "racing": False, "told": ("dust",)},
    ]
    said = [("a",), (), ("a", "told")]
    cases = Cases(*columns(MADE.facts, list(zip(given, said))), len(given))
    before = {name: str(column) for name, column in cases.columns.items()}
    trials = [
        Trial("a", 9.0, np.array([0, 2])),
        Trial("a", 0.0, np.array([1])),
        Trial("colour", "amber", np.array([2])),
        Trial("told", ("heat",), np.array([1, 2])),
        Trial("racing", True, np.array([1])),
    ]
    tried = each_tried(MADE.facts, cases, trials)
    replaced = [(given[row] | {trial.fact: trial.value}, said[row]) for trial in trials for row in map(int, trial.rows)]
    wanted = columns(MADE.facts, replaced)
    bulk = BulkEvaluator(MADE, "case")
    by_columns, one_by_one = bulk.derive(tried.columns, tried.answered), bulk.derive(*wanted)
    for row in range(len(replaced)):
        assert by_columns.facts(row) == one_by_one.facts(row)
        assert by_columns.inputs(row) == one_by_one.inputs(row)
    assert {name: str(column) for name, column in cases.columns.items()} == before
    last = some_of(tried, np.array([tried.rows - 1]))
    assert bulk.derive(last.columns, last.answered).facts(0)["racing"] is True


def test_what_is_handed_in_is_not_changed():
    bulk = BulkEvaluator(MADE, "case")
    given = np.array([np.nan, 5.0])
    handed = {"a": (np.array([2.0, 0.0]), None), "c": (given, np.array([False, True]))}
    found = bulk.derive(handed)
    assert found.fact("c")[0].tolist() == [2.0, 5.0] and np.isnan(given[0])
    assert handed["c"][1].tolist() == [False, True]


def test_no_case_and_no_fact():
    bulk = BulkEvaluator(MADE, "case")
    assert bulk.derive({}).rows == 0
    assert bulk.derive({}, rows=3).fired("above").tolist() == [False] * 3
    assert bulk.derive({"a": (np.empty(0), None)}).fact("c")[0].shape == (0,)


def test_batches_are_the_whole_cut_up():
    generator = Generator(31, stage="case")
    cases = [generator.case() for _ in range(250)]
    bulk = BulkEvaluator(generator.knowledge, "case")
    ready, said = columns(bulk.base.facts, cases)
    whole, seen = bulk.derive(ready, said, 250), 0
    for start, batch in bulk.in_batches(ready, said, size=64):
        assert batch.rows <= 64 and start == seen
        for rule_ in generator.knowledge.rules:
            assert batch.fired(rule_.id).tolist() == whole.fired(rule_.id)[start : start + batch.rows].tolist()
        assert batch.conflicted.tolist() == whole.conflicted[start : start + batch.rows].tolist()
        seen += batch.rows
    assert seen == 250


@pytest.mark.parametrize(
    "name, column, words",
    [
        ("a", (np.array([1.0, np.inf]), None), "outside its kind, first in case 1"),
        ("a", (np.array([np.nan, 1.0]), None), "outside its kind, first in case 0"),
        ("a", (np.array([1.0]), np.array([True, True])), "for each of 2 cases"),
        ("a", (np.array([1.0, 2.0]), np.array([1, 0])), "one truth value"),
        ("colour", (np.array([0, 2]), None), "outside its kind"),
        ("colour", (np.array([0, -1]), None), "outside its kind"),
        ("colour", (np.array([0.0, 1.0]), None), "whole numbers"),
        ("note", (np.array(["x", 5], object), None), "outside its kind, first in case 1"),
        ("told", ({"rain": np.array([True, False])}, None), "nothing but its choices"),
        ("nobody", (np.array([1.0, 2.0]), None), "nobody does not exist"),
    ],
)
def test_columns_outside_their_kind_are_refused(name, column, words):
    bulk = BulkEvaluator(MADE, "case")
    with pytest.raises(EngineError, match=words):
        bulk.derive({"racing": (np.array([True, False]), None), name: column})
    with pytest.raises(EngineError, match="somebody does not exist"):
        bulk.derive({"racing": (np.array([True, False]), None)}, {"somebody": np.array([True, False])})
