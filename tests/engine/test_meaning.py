"""What each condition and conclusion means, on every evaluator, from cases small enough to settle by hand."""

import math
import random

import pytest

from advisor.engine.bulk import BulkEvaluator
from advisor.engine.durable import compile_durable
from advisor.engine.fact_columns import columns
from advisor.engine.isolated import IsolatedEvaluator
from advisor.engine.plain import compile_plain
from advisor.errors import ConflictError
from advisor.knowledge.model import FactRef

from .build import calculation, fact, knowledge, rule, when


def bulk(made, stage):
    evaluator = BulkEvaluator(made, stage)

    def derive(facts, answered=frozenset()):
        ready, said = columns(evaluator.base.facts, [({}, ()), (facts, answered), ({}, ())])
        return evaluator.derive(ready, said, 3).derivation(1)

    return derive


EVALUATORS = {
    "plain": lambda made, stage: compile_plain(made, stage).derive,
    "durable-rules": lambda made, stage: compile_durable(made, stage).derive,
    "isolated": lambda made, stage: IsolatedEvaluator(compile_durable(made, stage)).derive,
    "bulk": bulk,
}


BY_DURABLE_RULES = ("durable-rules", "isolated")


@pytest.fixture(
    params=[
        pytest.param(name, marks=[pytest.mark.needs("durable-rules")] if name in BY_DURABLE_RULES else [])
        for name in EVALUATORS
    ]
)
def derive(request):
    """derive(knowledge, facts, answered=(), stage='case') -> Derivation; one evaluator takes case after case."""
    ready = {}

    def call(made, facts, answered=(), stage="case"):
        kept, evaluator = ready.get((id(made), stage), (None, None))
        if kept is not made:
            evaluator = EVALUATORS[request.param](made, stage)
            ready[id(made), stage] = made, evaluator
        return evaluator(facts, frozenset(answered))

    return call


A, B = fact("a"), fact("b")
COLOUR = fact("colour", "choice", choices=("amber", "blue", "green"))
RACING = fact("racing", "flag")
TOLD = fact("told", "list", choices=("dust", "heat", "noise"), source="asked")
NOTE = fact("note", "text")
FACTS = [A, B, COLOUR, RACING, TOLD, NOTE]

TABLE = [
    # condition, facts that satisfy it, facts that do not
    (when("a", "is", 5.0), {"a": 5.0}, {"a": 5.000000000000001}),
    (when("a", "is", 0.0), {"a": -0.0}, {"a": 5e-324}),
    (when("a", "in", (1.0, 1e-05, 1e16)), {"a": 1e-05}, {"a": 1e-06}),
    (when("a", "in", tuple(float(n) for n in range(900))), {"a": 777.0}, {"a": 777.5}),
    (when("a", "above", 5.0), {"a": math.nextafter(5.0, 6.0)}, {"a": 5.0}),
    (when("a", "at_least", 5.0), {"a": 5.0}, {"a": math.nextafter(5.0, 0.0)}),
    (when("a", "below", 5.0), {"a": math.nextafter(5.0, 0.0)}, {"a": 5.0}),
    (when("a", "at_most", 5.0), {"a": 5.0}, {"a": math.nextafter(5.0, 6.0)}),
    (when("a", "between", (5.0, 6.0)), {"a": 5.0}, {"a": 6.000000000000001}),
    (when("a", "between", (5.0, 6.0)), {"a": 6.0}, {"a": 4.999999999999999}),
    (when("a", "above", FactRef("b")), {"a": 2.0, "b": 1.0}, {"a": 1.0, "b": 1.0}),
    (when("a", "at_least", FactRef("b")), {"a": 1.0, "b": 1.0}, {"a": 1.0, "b": 2.0}),
    (when("a", "below", FactRef("b")), {"a": -1.0, "b": 1.0}, {"a": 1.0, "b": -1.0}),
    (when("a", "at_most", FactRef("b")), {"a": 1.0, "b": 1.0}, {"a": 1.0}),
    (when("a", "between", (FactRef("b"), 9.0)), {"a": 3.0, "b": 3.0}, {"a": 3.0, "b": 4.0}),
    (when("a", "between", (0.0, FactRef("b"))), {"a": 3.0, "b": 3.0}, {"a": 3.0, "b": 2.0}),
    (when("a", "between", (FactRef("b"), FactRef("b"))), {"a": 3.0, "b": 3.0}, {"a": 3.0, "b": 3.5}),
    (when("a", "known"), {"a": 0.0}, {"b": 0.0}),
    (when("a", "absent"), {"b": 1.0}, {"a": 1.0}),
    (when("colour", "is", "blue"), {"colour": "blue"}, {"colour": "green"}),
    (when("colour", "is_not", "blue"), {"colour": "green"}, {"colour": "blue"}),
    (when("colour", "is_not", "blue"), {"colour": "amber"}, {}),
    (when("colour", "in", ("blue", "green")), {"colour": "green"}, {"colour": "amber"}),
    (when("colour", "not_in", ("blue", "green")), {"colour": "amber"}, {"colour": "blue"}),
    (when("colour", "not_in", ("blue", "green")), {"colour": "amber"}, {}),
    (when("colour", "known"), {"colour": "amber"}, {}),
    (when("racing", "is", False), {"racing": False}, {"racing": True}),
    (when("racing", "is", False), {"racing": False}, {}),
    (when("racing", "is_not", True), {"racing": False}, {"racing": True}),
    (when("told", "has", "heat"), {"told": ("dust", "heat")}, {"told": ("dust",)}),
    (when("told", "known"), {"told": ("dust",)}, {"told": ()}),
    (when("told", "absent"), {"told": ()}, {"told": ("dust",)}),
    (when("told", "absent"), {}, {"told": ("dust",)}),
    (when("note", "is", "5"), {"note": "5"}, {"note": "5.0"}),
    (when("note", "in", ("", "NULL")), {"note": ""}, {"note": " "}),
    (when("note", "known"), {"note": "anything at all \U0001f697"}, {}),
]


#: Every condition on every evaluator; the one in a process of its own only carries them across, so some do there.
EVERY_CONDITION = pytest.mark.parametrize(
    "derive, condition, true, false",
    [
        pytest.param(name, *row, marks=[pytest.mark.needs("durable-rules")] if name in BY_DURABLE_RULES else [])
        for name in EVALUATORS
        for row in (TABLE[::6] if name == "isolated" else TABLE)
    ],
    indirect=["derive"],
)


@EVERY_CONDITION
def test_condition(derive, condition, true, false):
    made = knowledge(FACTS, [rule("only", [condition])])
    assert derive(made, true).fired() == {"only"}
    assert derive(made, false).fired() == set()
    # The same condition as one branch of two, the other of which never holds.
    made = knowledge(FACTS, [rule("only", any=[when("b", "is", -77.0), condition])])
    assert [firing.branches for firing in derive(made, true).firings] == [(1,)]
    assert derive(made, false).fired() == set()


@EVERY_CONDITION
def test_a_condition_beside_others_in_a_branch(derive, condition, true, false):
    """All of a branch must hold, and another branch is no help to it; whichever stands first."""
    flag = fact("beside", "flag")
    for pair in ((when("beside", "is", True), condition), (condition, when("beside", "is", True))):
        made = knowledge([*FACTS, flag], [rule("only", any=[when("b", "is", -77.0), pair])])
        assert [firing.branches for firing in derive(made, {**true, "beside": True}).firings] == [(1,)]
        assert derive(made, {**true, "beside": False}).fired() == set()
        assert derive(made, true).fired() == set()
        assert derive(made, {**false, "beside": True}).fired() == set()


def test_a_branch_reads_all_it_asks_and_the_others_nothing(derive):
    told, lists = fact("told_late", "list", source="derived", choices=("dust", "noise")), ("dust", "noise")
    made = knowledge(
        [A, B, fact("limit"), told],
        [
            rule("says", [when("a", "known")], conclude=[("told_late", lists)]),
            rule(
                "only",
                any=[
                    (when("told_late", "has", "dust"), when("told_late", "has", "noise"), when("a", "below", 5.0)),
                    (when("b", "at_least", FactRef("limit")), when("b", "below", 9.0)),
                    (when("b", "absent"), when("limit", "not_answered")),
                    (when("a", "above", 1.0), when("a", "at_most", 2.0)),
                ],
            ),
        ],
    )
    cases = [
        ({"a": 2.0}, (0, 2, 3), {"a", "told_late"}),
        ({"a": 7.0}, (2,), set()),
        ({"a": 7.0, "b": 3.0, "limit": 3.0}, (1,), {"b", "limit"}),
        ({"b": 8.0, "limit": 3.0}, (1,), {"b", "limit"}),
        ({"a": 1.0, "b": 9.0, "limit": 3.0}, (0,), {"a", "told_late"}),
    ]
    for facts, branches, read in cases:
        (firing,) = [one for one in derive(made, facts, ["limit"]).firings if one.id == "only"]
        assert (firing.branches, {name for name, _ in firing.facts}) == (branches, read)
    assert "only" not in derive(made, {"a": 7.0, "b": 3.0}, ["limit"]).fired()


def test_a_branch_may_ask_of_more_facts_than_one_pattern_holds(derive):
    many = [fact(f"wide_{place}") for place in range(40)]
    branch = tuple(when(one.name, "above", 0.0) for one in many)
    made = knowledge([A, *many], [rule("only", [when("a", "known")], any=[branch, when("a", "above", 5.0)])])
    all_of_them = {"a": 1.0, **{one.name: 1.0 for one in many}}
    assert [one.branches for one in derive(made, all_of_them).firings] == [(0,)]
    assert derive(made, {**all_of_them, "wide_39": 0.0}).fired() == set()
    assert [one.branches for one in derive(made, {**all_of_them, "a": 6.0}).firings] == [(0, 1)]


def test_answered_needs_a_value_and_somebody_who_said_it(derive):
    made = knowledge(FACTS, [rule("only", [when("a", "answered")])])
    assert derive(made, {"a": 1.0}, ["a"]).fired() == {"only"}
    assert derive(made, {"a": 1.0}).fired() == set()
    assert derive(made, {}, ["a"]).fired() == set()


def test_a_list_without_members_is_neither_known_nor_answered(derive):
    made = knowledge(FACTS, [rule("said", [when("told", "answered")]), rule("silent", [when("told", "not_answered")])])
    assert derive(made, {"told": ()}, ["told"]).fired() == {"silent"}
    assert derive(made, {"told": ("dust",)}, ["told"]).fired() == {"said"}
    assert "told" not in derive(made, {"told": ()}, ["told"]).facts


def test_not_answered_holds_of_what_nobody_said_whether_it_has_a_value_or_not(derive):
    alone = rule("only", [when("a", "not_answered")])
    branch = rule("only", any=[when("b", "is", -7.0), when("a", "not_answered")])
    for written in (alone, branch):
        made = knowledge(FACTS, [written])
        assert derive(made, {"a": 1.0}, ["a"]).fired() == set()
        assert derive(made, {"a": 1.0}).fired() == {"only"}
        assert derive(made, {}, ["a"]).fired() == {"only"}
        (firing,) = derive(made, {"a": 1.0}).firings
        assert firing.facts == ()


def test_a_rule_without_conditions_fires_even_on_nothing(derive):
    made = knowledge([A, fact("c", source="derived")], [rule("always", conclude=[("c", 2.0)])])
    found = derive(made, {})
    assert found.facts == {"c": 2.0} and found.firings[0].facts == () and found.depths == (1,)


def test_every_branch_that_held_is_listed_even_one_that_held_later(derive):
    late = fact("late", "flag", source="derived")
    made = knowledge(
        [A, B, late],
        [
            rule(
                "first",
                any=[when("late", "is", True), when("b", "known"), when("a", "above", 1.0), when("b", "absent")],
            ),
            rule("makes-late", [when("a", "known")], conclude=[("late", True)]),
        ],
    )
    (making, first) = derive(made, {"a": 2.0}).firings
    assert (making.id, first.id, first.branches) == ("makes-late", "first", (0, 2, 3))
    assert first.facts == (("a", 2.0), ("late", True))


def test_chains_copies_and_depths(derive):
    chain = [fact(f"step_{n}", source="derived") for n in range(6)]
    rules = [rule("rule-0", [when("a", "known")], conclude=[("step_0", FactRef("a"))])]
    rules += [
        rule(f"rule-{n}", [when(f"step_{n - 1}", "above", 1.0)], conclude=[(f"step_{n}", FactRef(f"step_{n - 1}"))])
        for n in range(1, 6)
    ]
    random.Random(3).shuffle(rules)
    found = derive(knowledge([A, *chain], rules), {"a": 0.1 + 1.1})
    assert found.facts["step_5"] == 0.1 + 1.1
    assert [firing.id for firing in found.firings] == [f"rule-{n}" for n in range(6)] and found.depths == (
        1,
        2,
        3,
        4,
        5,
        6,
    )


def test_a_rule_waits_for_what_it_copies(derive):
    made = knowledge(
        [A, B, fact("c", source="derived")], [rule("copies", [when("a", "known")], conclude=[("c", FactRef("b"))])]
    )
    assert derive(made, {"a": 1.0}).firings == ()
    assert derive(made, {"a": 1.0, "b": 2.0}).facts["c"] == 2.0


def test_lists_are_united_copied_and_read_by_member(derive):
    kinds = {"choices": ("dust", "heat", "noise"), "source": "derived"}
    made = knowledge(
        [A, fact("one", "list", **kinds), fact("two", "list", **kinds)],
        [
            rule("copies", [when("one", "known")], conclude=[("two", FactRef("one"))]),
            rule("dusty", [when("a", "known")], conclude=[("one", "dust")]),
            rule("hot", [when("a", "above", 1.0)], conclude=[("one", ("heat", "dust"))]),
            rule("reads", [when("two", "has", "heat")]),
        ],
    )
    found = derive(made, {"a": 2.0})
    assert found.facts["one"] == found.facts["two"] == ("dust", "heat")
    assert {firing.id: firing.concluded for firing in found.firings} == {
        "dusty": (("one", ("dust",)),),
        "hot": (("one", ("dust", "heat")),),
        "copies": (("two", ("dust", "heat")),),
        "reads": (),
    }
    assert derive(made, {"a": 1.0}).fired() == {"dusty", "copies"}


def test_wide_rules_and_many_comparisons(derive):
    many = [fact(f"n_{number}") for number in range(40)]
    ordered = [when(f"n_{number}", "below", FactRef(f"n_{number + 1}")) for number in range(39)]
    bounded = [when(f"n_{number}", "at_most", float(number)) for number in range(40)]
    made = knowledge(many, [rule("wide", [*ordered, *bounded]), rule("last", [ordered[-1]])])
    good = {f"n_{number}": float(number) for number in range(40)}
    assert derive(made, good).fired() == {"wide", "last"}
    for number in (0, 17, 39):
        worse = dict(good) | {f"n_{number}": number + 1.0}
        assert "wide" not in derive(made, worse).fired()


def test_far_more_tests_on_one_fact_than_the_library_bears(derive):
    rules = [rule(f"above-{number}", [when("a", "above", float(number))]) for number in range(700)]
    rules += [rule(f"same-{number}", [when("a", "above", 1.0)]) for number in range(400)]
    rules += [rule(f"in-{number}", [when("a", "in", (float(number), 650.0))]) for number in range(300)]
    found = derive(knowledge([A], rules), {"a": 650.0})
    assert len(found.fired()) == 650 + 400 + 300


def test_calculations_run_once_all_inputs_are_known_and_say_why_they_give_nothing(derive):
    torque, load = fact("torque", source="derived"), fact("load", source="derived")
    made = knowledge(
        [A, B, torque, load],
        [
            rule("doubles", [when("a", "above", 1.0)], conclude=[("load", FactRef("b"))]),
            rule("strong", [when("torque", "at_least", 214.2)]),
        ],
        [
            calculation(
                "capacity",
                "torque",
                "friction.torque_capacity",
                {
                    "friction_coefficient": 0.35,
                    "clamp_load": FactRef("load"),
                    "mean_radius": 0.10625,
                    "friction_surfaces": 2.0,
                },
            )
        ],
    )
    # V. B. Bhandari, Design of Machine Elements, example 11.6: 535.5 N m (2.142 times 250).
    found = derive(made, {"a": 2.0, "b": 7200.0})
    assert found.facts["torque"] == 535.5 and found.depths == (1, 2, 3)
    assert [(firing.kind, firing.id) for firing in found.firings][1] == ("calculation", "capacity")
    assert derive(made, {"a": 2.0}).firings == ()
    refused = derive(made, {"a": 2.0, "b": -7200.0})
    assert "torque" not in refused.facts and "clamp_load must be above zero" in refused.firings[1].reason
    assert refused.firings[1].concluded == () and refused.firings[1].facts == (("load", -7200.0),)


def test_set_up_reads_the_case_the_kit_and_its_figures(derive):
    from advisor.knowledge.model import Figure, KitField

    made = knowledge(
        [A, fact("demand", source="derived"), fact("care", "choice", source="derived", choices=("high", "low"))],
        [
            rule(
                "only",
                [
                    when("demand", "absent"),
                    when("kit_mass", "above", 3.0),
                    when("pedal", "below", FactRef("a")),
                    when("kit_spline", "is", "24x1"),
                    when("kit_several", "is", True),
                ],
                conclude=[("care", "high")],
                stage="setup",
            )
        ],
        figures=[Figure("pedal", "1", "pedal", 1.0)],
        kit_fields=[KitField("mass", "number", "mass", "kg"), KitField("spline", "text", "spline")],
    )
    facts = {"a": 200.0, "kit_mass": 4.0, "pedal": 150.0, "kit_spline": "24x1", "kit_several": True}
    assert derive(made, facts, stage="setup").facts["care"] == "high"
    assert derive(made, facts | {"demand": 1.0}, stage="setup").fired() == set()


# --- conflicts


def two(value_one, value_two, agreement):
    target = fact("c", "choice", source="derived", choices=("amber", "blue"), agreement=agreement)
    return knowledge(
        [A, target],
        [
            rule("zeta", [when("a", "known")], conclude=[("c", value_one)]),
            rule("alpha", [when("a", "above", 1.0)], conclude=[("c", value_two)]),
        ],
    )


def test_one_rule_means_one_rule_even_with_the_same_value(derive):
    made = two("blue", "blue", "one_rule")
    assert derive(made, {"a": 1.0}).facts["c"] == "blue"
    with pytest.raises(ConflictError, match="rule alpha and rule zeta conclude c: the same value 'blue'"):
        derive(made, {"a": 2.0})


def test_same_value_means_the_same_value(derive):
    assert derive(two("blue", "blue", "same_value"), {"a": 2.0}).fired() == {"alpha", "zeta"}
    with pytest.raises(
        ConflictError, match=r"rule alpha and rule zeta conclude c: different values \('amber', 'blue'\)"
    ):
        derive(two("blue", "amber", "same_value"), {"a": 2.0})


def test_a_given_fact_counts_as_concluded(derive):
    made = two("blue", "blue", "one_rule")
    with pytest.raises(ConflictError, match="rule zeta conclude c, and c was given"):
        derive(made, {"a": 1.0, "c": "blue"})


def test_the_evaluator_is_as_new_after_a_conflict(derive):
    made = two("blue", "amber", "same_value")
    for value in (2.0, 1.0, 2.0, 1.0):
        if value > 1.0:
            with pytest.raises(ConflictError):
                derive(made, {"a": value})
        else:
            assert derive(made, {"a": value}).facts["c"] == "blue"


def test_a_conflict_reads_the_same_whatever_the_order(derive):
    derived = [fact(name, source="derived", agreement="same_value") for name in ("x", "y", "z")]
    rules = [
        rule("r1", [when("a", "known")], conclude=[("y", 1.0)]),
        rule("r2", [when("a", "known")], conclude=[("y", 2.0)]),
        rule("r3", [when("a", "known")], conclude=[("x", 1.0)]),
        rule("r4", [when("y", "above", 0.0)], conclude=[("x", 3.0)]),
        rule("r5", [when("x", "above", 0.0)], conclude=[("z", 1.0)]),
        rule("r6", [when("a", "known")], conclude=[("z", 2.0)]),
        rule("r7", [when("b", "known")], conclude=[("y", 3.0)]),
    ]
    texts = set()
    for seed in range(12):
        pick = random.Random(seed)
        pick.shuffle(rules)
        facts = [("a", 1.0), ("b", 2.0)]
        pick.shuffle(facts)
        with pytest.raises(ConflictError) as caught:
            derive(knowledge([A, B, *derived], rules), dict(facts))
        texts.add(str(caught.value))
    assert len(texts) == 1 and "rule r1, rule r2 and rule r7 conclude y" in texts.pop()


@pytest.mark.needs("durable-rules")
def test_a_chain_longer_than_the_recursion_limit():
    facts = [A, *(fact(f"s_{number}", source="derived") for number in range(3000))]
    rules = [rule("r-0", [when("a", "known")], conclude=[("s_0", 1.0)])]
    rules += [rule(f"r-{n}", [when(f"s_{n - 1}", "known")], conclude=[(f"s_{n}", 1.0)]) for n in range(1, 3000)]
    rules.reverse()
    made = knowledge(facts, rules)
    plain, durable = (make(made, "case").derive({"a": 1.0}) for make in (compile_plain, compile_durable))
    assert plain == durable and plain.depths[-1] == 3000
