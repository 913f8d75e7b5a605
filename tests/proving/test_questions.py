"""Each kind of fault planted once in a small rule base, and that nothing is said of the same base without it."""

import dataclasses

import pytest

from advisor.knowledge.model import FactRef, Figure, KitField, Requirement, Unknown
from advisor.proving.findings import OPEN, PROVED, SHOWN
from advisor.proving.whole_base import prove

from ..engine.build import fact, knowledge, rule, when

LEAVE = Unknown("leave")
USES = ("daily", "track", "towing")


def use(**more):
    declared = fact("use", "choice", choices=USES)
    return dataclasses.replace(declared, if_unknown=Unknown("assume", "daily", others=("track",)), **more)


def asked(name, **more):
    return dataclasses.replace(fact(name), if_unknown=LEAVE, low=0.0, high=100.0, **more)


def derived(name, **more):
    return dataclasses.replace(fact(name, source="derived"), **more)


TABLE = [
    rule("factor-daily", [when("use", "is", "daily")], conclude=[("factor", 1.0)]),
    rule("factor-track", [when("use", "is", "track")], conclude=[("factor", 1.5)]),
    rule("factor-towing", [when("use", "is", "towing")], conclude=[("factor", 1.3)]),
]
FACTS = [use(), asked("torque"), asked("mass"), derived("factor", always=True)]


def found(rules, facts=FACTS, **more):
    return prove(knowledge(facts, rules, **more), on_request=True).findings


def the_one(rules, facts=FACTS, **more):
    findings = found(rules, facts, **more)
    assert len(findings) == 1, [finding.what for finding in findings]
    return findings[0]


def test_a_sound_base_is_told_nothing_of():
    assert found(TABLE) == ()


def test_a_dead_row_is_proved_with_the_conditions_that_cannot_meet():
    heavy = rule("heavy", [when("mass", "above", 50.0)], conclude=[("kind", "heavy")])
    light = rule("light", [when("mass", "at_most", 50.0)], conclude=[("kind", "light")])
    kind = fact("kind", "choice", source="derived", choices=("heavy", "light"))
    never = rule("never", [when("torque", "known"), when("mass", "below", 20.0), when("kind", "is", "heavy")])
    finding = the_one([*TABLE, heavy, light, never], [*FACTS, kind])
    assert (finding.kind, finding.sure, finding.names) == ("dead rule", PROVED, ("never",))
    assert "mass: below 20" in finding.what and "kind: heavy" in finding.what and "torque" not in finding.what


def test_a_dead_branch_is_told_apart_from_a_dead_rule():
    either = rule("either", [when("mass", "above", 50.0)], [when("torque", "above", 5.0), when("mass", "below", 10.0)])
    finding = the_one([*TABLE, either])
    assert finding.kind == "dead branch" and "mass: below 10" in finding.what


def test_an_overlap_is_shown_by_a_caller_cut_down_to_what_it_takes():
    twice = rule("factor-heavy", [when("mass", "above", 50.0)], conclude=[("factor", 2.0)])
    finding = found([*TABLE, twice])[0]
    assert (finding.kind, finding.sure) == ("overlap", SHOWN)
    assert set(finding.caller.answers) in ({"mass"}, {"mass", "use"}) and finding.caller.answers["mass"] > 50


def test_rules_that_a_chain_keeps_apart_do_not_overlap():
    kind = fact("kind", "choice", source="derived", choices=("heavy", "light"))
    rules = [
        rule("heavy", [when("mass", "above", 50.0)], conclude=[("kind", "heavy")]),
        rule("light", [when("mass", "at_most", 50.0)], conclude=[("kind", "light")]),
        rule("more", [when("kind", "is", "heavy")], conclude=[("extra", 2.0)]),
        rule("less", [when("kind", "is", "light")], conclude=[("extra", 1.0)]),
    ]
    assert found([*TABLE, *rules], [*FACTS, kind, derived("extra")]) == ()


def test_a_gap_of_a_fact_declared_always_is_shown():
    finding = found(TABLE[:2])[0]
    assert (finding.kind, finding.sure) == ("fact nobody concludes", SHOWN)
    assert finding.caller.answers == {"use": "towing"}


def must(name, measure, compare, limit, source="figure", **more):
    return Requirement(name, source, measure, compare, limit, "1", "must", safety=True, rule=name, **more)


def test_a_measure_declared_always_that_a_caller_escapes_is_shown():
    load = Figure("load", "1", "load", 1.0, always=True)
    posts = rule("load-limit", [when("torque", "known")], require=(must("load-limit", "load", "at_most", 5.0),))
    finding = the_one([*TABLE, posts], figures=[load])
    assert (finding.kind, finding.sure) == ("measure without a must", SHOWN)
    assert finding.caller.answers == {} and "no must limits load" in finding.what


def test_a_subsumed_rule_is_proved():
    all_heavy = rule("all-heavy", [when("mass", "above", 10.0)], conclude=[("advice", "ask")])
    very_heavy = rule("very-heavy", [when("mass", "above", 20.0)], conclude=[("advice", "ask")])
    advice = dataclasses.replace(fact("advice", "list", source="derived", choices=("ask", "wait")))
    finding = the_one([*TABLE, all_heavy, very_heavy], [*FACTS, advice])
    assert (finding.kind, finding.sure, finding.names) == ("subsumed", PROVED, ("very-heavy", "all-heavy"))


def test_an_idle_condition_is_told_on_request():
    idle = rule("idle", [when("mass", "above", 10.0), when("mass", "known")])
    assert [finding.kind for finding in found([*TABLE, idle])] == ["idle condition"]
    assert prove(knowledge(FACTS, [*TABLE, idle])).findings == ()


def test_an_uncovered_choice_of_a_table_is_proved_unless_it_is_meant():
    facts = [use(), derived("factor")]
    finding = the_one(TABLE[:2], facts)
    assert (finding.kind, finding.names) == ("uncovered choice", ("factor", "use", "towing"))
    assert found(TABLE[:2], [use(), derived("factor", never_for=(("use", ("towing",)),))]) == ()


HUB = KitField("hub", "choice", "hub", "", ("sprung", "solid"))
FACING = KitField("facing", "choice", "facing", "", ("organic", "ceramic"))


def posting(name, conditions, *requirements):
    return rule(name, conditions, require=requirements)


def test_musts_that_quarrel_are_named_in_a_smallest_set():
    rules = [
        *TABLE,
        posting("solid-on-track", [when("use", "is", "track")], must("a", "hub", "is", "solid", "kit")),
        posting("sprung-when-heavy", [when("mass", "above", 50.0)], must("b", "hub", "is", "sprung", "kit")),
        posting("organic", [when("torque", "known")], must("c", "facing", "is", "organic", "kit")),
    ]
    finding = the_one(rules, kit_fields=[HUB, FACING])
    assert (finding.kind, finding.sure) == ("musts that quarrel", SHOWN)
    assert finding.names == ("solid-on-track", "sprung-when-heavy")
    assert finding.caller.answers["use"] == "track" and finding.caller.answers["mass"] > 50
    apart = (("facing", ("organic",)),)
    rules[3] = posting("solid", [when("use", "is", "track")], must("a", "hub", "is", "solid", "kit", of_kits=apart))
    assert the_one(rules, kit_fields=[HUB, FACING]).names == ("organic", "solid", "sprung-when-heavy")
    rules.pop()
    assert found(rules, kit_fields=[HUB, FACING]) == ()


def test_bounds_that_cross_are_shown():
    speed = Figure("speed", "1", "speed", 1.0)
    rules = [
        *TABLE,
        posting("at-least", [when("use", "is", "track")], must("a", "speed", "at_least", FactRef("torque"))),
        posting("at-most", [when("mass", "above", 50.0)], must("b", "speed", "at_most", 40.0)),
    ]
    finding = the_one(rules, figures=[speed])
    assert (finding.kind, finding.sure) == ("musts that quarrel", SHOWN) and finding.caller.answers["torque"] > 40


def test_a_number_without_a_sane_range_is_told():
    bare = dataclasses.replace(fact("mass"), if_unknown=LEAVE)
    finding = the_one(TABLE, [use(), asked("torque"), bare, derived("factor", always=True)])
    assert (finding.kind, finding.names) == ("no sane range", ("mass",))


def test_what_is_neither_proved_nor_shown_is_said_so():
    """A calculation that never gives what the second rule asks: the solver does not know it, the engines refute it."""
    from ..engine.build import calculation

    rules = [
        *TABLE,
        rule("second", [when("use", "is", "daily"), when("sum", "above", 1e9)], conclude=[("factor", 2.0)]),
    ]
    total = calculation("sum-of", "sum", "arithmetic.total", {"first": FactRef("torque"), "second": FactRef("mass")})
    facts = [*FACTS, derived("sum")]
    (finding,) = prove(knowledge(facts, rules, [total])).findings
    assert (finding.kind, finding.sure, finding.is_wrong) == ("overlap", OPEN, False)
    assert "neither proved" in finding.what


def test_the_words_fit_a_lead():
    finding = found(TABLE[:2])[0]
    text = finding.told(knowledge(FACTS, TABLE[:2]))
    assert "no rule concludes factor" in text and "Such a caller: use towing" in text


@pytest.mark.parametrize("share", ["rules", "records"])
def test_the_shipped_base_is_told_nothing_of(share):
    from ..rules.shop import knowledge as shipped, shop

    assert prove(shipped(), shop() if share == "records" else None).findings == ()


def test_a_rule_on_complaints_that_nobody_can_bring_up_is_proved():
    from advisor.knowledge.complaints import complaint_knowledge
    from advisor.proving.complaint_rules import about_complaints

    from ..rules.shop import RULES, knowledge as shipped

    complaints = complaint_knowledge(RULES, shipped())
    proved = about_complaints(complaints)
    assert proved.findings == () and proved.asked >= len(complaints.rules)
    first, *others = complaints.rules
    never = (when("km_since_fitting", "above", 900.0), when("km_since_fitting", "below", 800.0))
    broken = dataclasses.replace(complaints, rules=(dataclasses.replace(first, all=never, any=()), *others))
    assert [finding.names for finding in about_complaints(broken).findings] == [(first.id,)]
