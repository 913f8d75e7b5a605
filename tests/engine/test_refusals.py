"""What the engines refuse: values outside their kind, and rules they would not read alike."""

import math

import pytest

from advisor.engine.bulk import BulkEvaluator
from advisor.engine.durable import compile_durable
from advisor.engine.plain import compile_plain
from advisor.errors import EngineError, KnowledgeError
from advisor.knowledge.model import FactRef

from .build import fact, knowledge, rule, when

FACTS = [
    fact("a"),
    fact("b"),
    fact("colour", "choice", choices=("amber", "blue", "green")),
    fact("racing", "flag"),
    fact("told", "list", choices=("dust", "heat", "noise"), source="asked"),
    fact("note", "text"),
]


BY_DURABLE_RULES = pytest.param(compile_durable, id="compile_durable", marks=pytest.mark.needs("durable-rules"))


@pytest.mark.parametrize(
    "name, value",
    [
        ("a", math.nan),
        ("a", math.inf),
        ("a", -math.inf),
        ("a", 5),
        ("a", True),
        ("a", "5"),
        ("a", None),
        ("a", 2**60),
        ("a", (1.0,)),
        ("racing", 1.0),
        ("racing", "yes"),
        ("racing", None),
        ("colour", "red"),
        ("colour", 1.0),
        ("colour", True),
        ("colour", ""),
        ("told", "dust"),
        ("told", ("dust", "dust")),
        ("told", ("heat", "dust")),
        ("told", ("rain",)),
        ("told", [1.0]),
        ("note", "nul\0"),
        ("note", "\ud800"),
        ("note", "x" * 30_000),
        ("note", "ü" * 15_000),
        ("note", 5.0),
        ("nobody", 1.0),
    ],
)
@pytest.mark.parametrize("make", [compile_plain, BY_DURABLE_RULES])
def test_values_outside_their_kind_are_refused(make, name, value):
    evaluator = make(
        knowledge(FACTS, [rule("only", [when("note", "known")]), rule("other", [when("a", "above", 1.0)])]), "case"
    )
    with pytest.raises(EngineError, match=name):
        evaluator.derive({name: value})
    assert evaluator.derive({"a": 2.0}).fired() == {"other"}


DERIVED = fact("d", source="derived")


@pytest.mark.parametrize(
    "rules, words",
    [
        ([rule("r", [when("nobody", "known")])], "nobody"),
        ([rule("r", [when("colour", "above", 1.0)])], "colour .choice. with above"),
        ([rule("r", [when("d", "absent")])], "before it is complete"),
        ([rule("r", [when("d", "answered")])], "before it is complete"),
        ([rule("r", [when("a", "above", FactRef("colour"))])], "compares a with colour"),
        ([rule("r", [when("a", "above", FactRef("a"))])], "compares a with a"),
        ([rule("r", [when("a", "in", ())])], "empty list"),
        ([rule("r", [when("colour", "is", "red")])], "one of its choices"),
        ([rule("r", [when("note", "is_not", "x")])], "note .text. with is_not"),
        ([rule("r", conclude=[("a", 1.0)])], "only an answer or a record"),
        ([rule("r", conclude=[("d", math.inf)])], "finite"),
        ([rule("r", conclude=[("d", FactRef("colour"))])], "copies colour into d"),
        ([rule("r", conclude=[("d", 1.0), ("d", 1.0)])], "one fact twice"),
        ([rule("r"), rule("r")], "another rule has too"),
        ([rule("r", [when("d", "known")], conclude=[("d", 1.0)])], "r -> r"),
    ],
)
@pytest.mark.parametrize("make", [compile_plain, BY_DURABLE_RULES, BulkEvaluator])
def test_rules_the_engines_would_not_read_alike_are_refused(make, rules, words):
    with pytest.raises(KnowledgeError, match=words):
        make(knowledge([*FACTS, DERIVED], rules), "case")


def test_facts_in_different_units_are_not_compared():
    made = knowledge([fact("a", unit="mm"), fact("b", unit="m")], [rule("r", [when("a", "above", FactRef("b"))])])
    with pytest.raises(KnowledgeError, match=r"a \[mm\] with b \[m\]"):
        compile_plain(made, "case")


def test_a_circle_over_several_rules_is_named():
    facts = [fact(name, source="derived") for name in "xyz"]
    made = knowledge(
        facts,
        [
            rule("one", [when("x", "known")], conclude=[("y", 1.0)]),
            rule("two", [when("y", "known")], conclude=[("z", 1.0)]),
            rule("three", [when("z", "known")], conclude=[("x", 1.0)]),
        ],
    )
    with pytest.raises(KnowledgeError, match="round in a circle"):
        compile_plain(made, "case")
