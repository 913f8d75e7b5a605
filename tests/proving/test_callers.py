"""Callers that a solver finds: smallest, nearest, least changed; every one of them run through both engines."""

import dataclasses
import itertools

import pytest

from advisor.knowledge.model import FactRef, Unknown
from advisor.proving.callers import Caller, CallerRuns, caller_of
from advisor.proving.findings import OPEN, PROVED
from advisor.proving.searching import CallerSearch
from advisor.proving.silence import WhySilent, changed, least_change
from advisor.proving.smallest import witnesses

from ..engine.build import calculation, fact, knowledge, rule, when
from ..rules.shop import cases, knowledge as shipped, shop
from .test_questions import asked, derived, use

pytest.importorskip("z3", reason="needs the extra proofs: pip install 'least-clutch[proofs]'")

FACTS = [use(), asked("torque"), asked("mass"), asked("power"), derived("sum"), derived("kind")]
SUM = calculation("sum-of", "sum", "arithmetic.total", {"first": FactRef("torque"), "second": FactRef("mass")})
RULES = [
    rule("on-track", [when("use", "is", "track")]),
    rule("both", [when("torque", "above", 10.0), when("mass", "above", 20.0)]),
    rule("large-sum", [when("sum", "above", 150.0), when("use", "is", "towing")], conclude=[("kind", 2.0)]),
    rule("of-kind", [when("kind", "above", 1.0)]),
    rule("too-large", [when("sum", "above", 201.0)]),
    rule("always", []),
]
SMALL = knowledge(FACTS, RULES, [SUM])


@pytest.fixture(scope="module")
def search():
    return CallerSearch(SMALL)


@pytest.fixture(scope="module")
def found(search):
    return {witness.rule: witness for witness in witnesses(search, RULES, (), {})}


@pytest.mark.parametrize(
    "name, answers", [("on-track", 1), ("both", 2), ("large-sum", 3), ("of-kind", 3), ("always", 0)]
)
def test_the_smallest_caller_has_as_few_answers_as_a_look_at_every_caller_finds(found, name, answers):
    values = {"use": (None, "daily", "track", "towing"), **dict.fromkeys(("torque", "mass"), (None, 0.0, 50.0, 100.0))}
    runs = CallerRuns(SMALL)
    fewest = min(
        sum(value is not None for value in given)
        for given in itertools.product(*values.values())
        if name in runs.run(Caller({n: v for n, v in zip(values, given) if v is not None})).fired()
    )
    witness = found[name]
    assert (witness.answers, witness.least) == (fewest, True) and fewest == answers
    assert name in runs.run(witness.fires, both=True).fired()


def test_the_nearest_caller_is_one_answer_away_and_silent(found):
    for name in ("on-track", "both", "large-sum", "of-kind"):
        witness = found[name]
        assert len(changed(witness.fires, witness.silent)) == 1
        assert name not in CallerRuns(SMALL).run(witness.silent, both=True).fired()


def test_that_nobody_fires_a_rule_or_escapes_it_is_proved(found):
    assert found["too-large"].fires is None and found["too-large"].least
    assert found["always"].silent is None and found["always"].none_near


def test_the_least_change_is_proved_least_and_brought_near(search):
    caller = Caller({"torque": 5.0, "mass": 30.0})
    change = least_change(search, caller, "both")
    assert (set(change.changes), change.least) == ({"torque"}, True)
    change = least_change(search, caller, "of-kind")
    assert change.least and set(change.changes) == {"use", "torque", "mass"}


def test_what_a_rule_does_not_hang_on_stays_as_it_was_said():
    caller = Caller({"torque": 5.0, "mass": 30.0, "power": 7.0, "use": "daily"})
    change = least_change(CallerSearch(SMALL, only=["both"]), caller, "both")
    assert set(change.changes) == {"torque"} and change.caller.answers["power"] == 7.0


def test_that_no_change_does_it_is_proved(search):
    change = least_change(search, Caller({"torque": 5.0}), "too-large")
    assert change.changes is None and change.sure == PROVED


def test_numbers_come_as_near_as_they_are_answered_in():
    fine = [dataclasses.replace(each, resolution=0.5) if each.name == "torque" else each for each in FACTS]
    change = least_change(CallerSearch(knowledge(fine, RULES, [SUM])), Caller({"torque": 5.0, "mass": 30.0}), "both")
    assert change.changes == {"torque": 10.5}


def test_what_is_not_settled_is_said_so():
    """A calculation the solver knows nothing of, that never gives what the rule asks; nothing is claimed."""
    name = "uncertainty.combined_spread"
    odd = calculation("odd", "sum", name, {"first": FactRef("torque"), "second": FactRef("mass")})
    search = CallerSearch(knowledge(FACTS, [rule("never", [when("sum", "above", 1e9)])], [odd]))
    change = least_change(search, Caller({"torque": 5.0, "mass": 30.0}), "never")
    assert change.changes is None and change.sure == OPEN and not change.least


def test_why_a_rule_stays_silent_goes_back_to_who_would_have_had_to_conclude_what():
    came = CallerRuns(SMALL).run(Caller({"torque": 5.0, "mass": 30.0}))
    given = {"torque": 5.0, "mass": 30.0, "use": "daily"}
    why = WhySilent(SMALL, "case", came.facts, given, {"torque", "mass"})
    (failed,) = why.stopped(RULES[3]).failed
    assert failed.missing == ("kind",) and [each.id for each in failed.producers] == ["large-sum"]
    assert [each.condition.fact for each in failed.producers[0].failed] == ["sum", "use"]


def test_what_is_refused_by_the_mechanics_is_learned():
    """Outside its validity a calculation gives nothing: the solver has to find callers inside it."""
    share = calculation("part-of", "sum", "arithmetic.share", {"part": FactRef("torque"), "whole": FactRef("mass")})
    search = CallerSearch(knowledge(FACTS, [rule("there", [when("sum", "known")])], [share]))
    (witness,) = witnesses(search, search.by_id.values(), (), {})
    assert witness.answers == 2 and witness.least and witness.fires.answers["mass"] > 0


@pytest.mark.parametrize("name, rule_id, facts", [("mild-street-tune", "above-red-line", {"shift_speed_rpm"})])
def test_a_shipped_case_is_changed_by_as_little_as_it_takes(name, rule_id, facts):
    case = cases()[name]
    kits = {kit.id: kit for kit in shop().kits}
    change = least_change(CallerSearch(shipped()), caller_of(case, shop().platform(case.platform), kits), rule_id)
    assert set(change.changes) == facts and change.least
    assert rule_id in CallerRuns(shipped()).run(change.caller, both=True).fired()


def test_callers_are_gathered_as_every_caller_is():
    """The same facts and origins whether a case is decided, or stands for a caller of a proof."""
    from advisor.deciding.answers import gather

    kits = {kit.id: kit for kit in shop().kits}
    for case in list(cases().values())[::10]:
        platform = shop().platform(case.platform) if case.platform else None
        known = CallerRuns(shipped()).known(caller_of(case, platform, kits))
        expected = gather(case, platform, kits, shipped())
        assert known.facts == expected.facts and known.missing == expected.missing
        assert known.answered == expected.answered


def test_unknown_values_are_what_the_vocabulary_declares():
    assert CallerRuns(SMALL).known(Caller()).facts == {"use": "daily"}
    assert Unknown("assume", "daily").value == "daily"


LIGHT = ("light", "moderate", "heavy")


def pedals(values, declared=("tolerance",), **figures):
    """A table of three rows over an ordered choice, and what follows of it by a calculation."""
    tolerance = fact("tolerance", "choice", choices=LIGHT)
    tolerance = dataclasses.replace(tolerance, if_unknown=Unknown("assume", "light", others=("heavy",)))
    rows = [
        rule(f"row-{choice}", [when("tolerance", "is", choice)], conclude=[("most", value)])
        for choice, value in zip(LIGHT, values)
    ]
    scaled = calculation(
        "scaled", "limit", "arithmetic.scaled", {"value": FactRef("most"), "factor": FactRef("torque")}
    )
    facts = [tolerance, asked("torque"), derived("most", rises_with=declared), derived("limit", rises_with=declared)]
    posts = rule("posts", [when("limit", "known")], require=figures.pop("require", ()))
    return knowledge(facts, [*rows, posts], [scaled], **figures)


def test_a_table_that_rises_as_declared_is_proved_to():
    from advisor.proving.in_order import out_of_order

    assert list(out_of_order(pedals((150.0, 220.0, 300.0)))) == []


def test_swapped_rows_are_shown_by_two_callers():
    from advisor.proving.findings import SHOWN
    from advisor.proving.in_order import out_of_order

    findings = list(out_of_order(pedals((150.0, 300.0, 220.0))))
    assert [(finding.kind, finding.sure, finding.names[0]) for finding in findings] == [
        ("wrong order", SHOWN, "most"),
        ("wrong order", SHOWN, "limit"),
    ]
    assert "falls as tolerance goes from moderate to heavy: it is 300, then 220" in findings[0].what
    assert findings[0].caller.answers == {"tolerance": "moderate"}
    assert set(findings[1].caller.answers) == {"tolerance", "torque"}


def test_a_limit_that_hardens_with_what_should_ease_it_is_shown():
    from advisor.knowledge.model import Figure
    from advisor.proving.in_order import out_of_order

    from .test_questions import must

    load = Figure("load", "1", "load", 1.0, eases_with=("tolerance",))
    posted = (must("load-limit", "load", "at_most", FactRef("most")),)
    sound = pedals((150.0, 220.0, 300.0), figures=[load], require=posted)
    assert list(out_of_order(sound)) == []
    swapped = pedals((220.0, 150.0, 300.0), declared=(), figures=[load], require=posted)
    (finding,) = out_of_order(swapped)
    assert finding.names == ("load", "tolerance") and "at most 220, then at most 150" in finding.what
