"""What differs between two sets of rules, in words that a lead reads."""

import dataclasses
import os

import pytest

from advisor.versions.compared import compared, lines, sentences
from advisor.versions.reach import SafetyReach
from tests.casebook import shelf
from tests.casebook.impacts import EDITS, edited

#: Whether lines of every edit are looked at (``python -m tests.full versions``), or of some.
EVERY_EDIT = bool(os.environ.get("VERSIONS_EVERY_EDIT"))
ONE_EDIT = (
    ("words of a rule", "rule", "holds-worn-and-warm", '"The clutch must hold'),
    ("a factor", "rule", "use-factor-road", "1.15 times becomes 1.32 times"),
    ("a fact that must be answered", "fact", "pedal_stop_fitted", "where nobody answers: "),
    ("a range", "fact", "engine_torque", "most: 3000 N m becomes 365 N m"),
    ("a facing", "facing", "organic", "bedded median: 0.33 becomes 0.32"),
    ("a set-up text", "set-up rule", None, "500 to 800 km"),
    ("the order", "concerns", "order", "becomes thrust, gearbox, heat, pedal, take_up, noise"),
    ("an owner", "rule", "holds-worn-and-warm", "kept by: new, Owner the lead, reviewed never"),
)


def differences(what):
    return compared(shelf.content().knowledge, edited(what)[1])


def test_the_same_rules_say_the_same():
    assert differences("nothing") == []


@pytest.mark.parametrize(("what", "kind", "name", "said"), ONE_EDIT)
def test_one_edit_is_one_entry_in_words(what, kind, name, said):
    assert what in EDITS
    (change,) = differences(what)
    assert (change.kind, change.how) == (kind, "edited") and name in (None, change.id)
    assert len(change.parts) == 1 or what in ("a range",)
    assert any(said in part.sentence for part in change.parts), [part.sentence for part in change.parts]
    assert said in " ".join(" ".join(sentences([change])).split())


def test_a_rule_of_another_name_is_one_gone_and_one_new():
    gone, new = differences("a rule less")
    assert {gone.how, new.how} == {"removed", "added"}
    assert {gone.id, new.id} == {"holds-unbedded", "holds-unbedded-and-fresh"}


def test_a_house_rule_in_the_place_of_a_shipped_one_is_the_same_rule_said_otherwise():
    old = shelf.content().knowledge
    house = "pedal-light-house"
    rules = tuple(
        dataclasses.replace(
            rule, id=house, conclude=tuple(dataclasses.replace(each, value=140.0) if each.value == 150.0 else each
                                           for each in rule.conclude))
        if rule.id == "pedal-light" else rule
        for rule in old.rules
    )  # fmt: skip
    new = dataclasses.replace(old, rules=rules, replaced={house: "pedal-light"})
    (change,) = compared(old, new)
    assert (change.id, change.how, change.place_of) == (house, "edited", "pedal-light")
    assert [part.sentence for part in change.parts] == ["pedal force always accepted: 150 N becomes 140 N"]
    # And back again.
    (back,) = compared(new, old)
    assert (back.id, back.how) == ("pedal-light", "edited")
    assert [part.sentence for part in back.parts] == ["pedal force always accepted: 140 N becomes 150 N"]
    assert "lbf" in compared(old, new, "trade")[0].parts[0].sentence


def test_every_line_fits_the_page():
    """Of edits read here already and some more; of all of them in ``python -m tests.full versions``."""
    looked_at = tuple(EDITS) if EVERY_EDIT else (*(one_edit[0] for one_edit in ONE_EDIT), "a rule less", "a step")
    told = [line for what in looked_at for line in "\n".join(lines(differences(what))).splitlines()]
    assert len(told) > len(looked_at)
    for line in told:
        assert len(line) <= 80, line


def test_questions_and_limits_are_told_too():
    old = shelf.content().knowledge
    name, question = next(iter(old.questions.items()))
    limit, bounds = next(iter(old.workshop.items()))
    new = dataclasses.replace(
        old,
        questions={**old.questions, name: dataclasses.replace(question, plain="Asked otherwise?")},
        workshop={**old.workshop, limit: dataclasses.replace(bounds, high=bounds.high * 2)},
    )
    told = {change.kind: [part.what for part in change.parts] for change in compared(old, new)}
    assert told == {"question": ["the question"], "limit": ["most"]}


def test_what_bears_on_safety_is_what_a_safety_must_hangs_on():
    knowledge = shelf.content().knowledge
    reach = SafetyReach(knowledge)
    safety = [rule for rule in knowledge.rules if any(required.safety for required in rule.require)]
    assert len(safety) > 8
    for rule in safety:
        assert reach.touches("rule", rule.id)
    # The limit of the thrust face is concluded by these, and worked out of that.
    assert reach.touches("rule", "thrust-pressure-flat") and reach.touches("figure", "bearing_load_n")
    # A pedal and what the buyer may spend hang on nothing of the kind.
    for name in ("pedal-light", "pedal-wish-limit"):
        assert not reach.touches("rule", name)
    assert not reach.touches("question", "pedal_tolerance") and not reach.touches("concerns", "order")
    assert reach.touches("fact", "anything") and reach.touches("limit", "anything")


def test_leaving_out_a_rule_that_does_not_bear_on_safety_changes_no_safety_must():
    """The reach is held against the engines: without all it does not name, every safety limit comes out the same."""
    from advisor.engine.plain import compile_plain
    from advisor.knowledge import rule_tests

    knowledge = shelf.content().knowledge
    reach = SafetyReach(knowledge)
    kept = tuple(rule for rule in knowledge.rules if rule.stage != "case" or reach.touches("rule", rule.id))
    assert 25 < sum(rule.stage == "case" for rule in kept) < sum(rule.stage == "case" for rule in knowledge.rules)
    less = dataclasses.replace(knowledge, rules=kept, sha256="less")
    engines = [compile_plain(each, "case") for each in (knowledge, less)]
    posted = 0
    for test in rule_tests.read_folder(shelf.folder() / "rules", knowledge):
        if test.stage != "case":
            continue
        both = [engine.derive(test.given, test.answered) for engine in engines]
        limits = [
            {
                (required.id, derived.facts.get(getattr(required.limit, "name", None)))
                for rule in knowledge.rules
                if rule.id in derived.fired()
                for required in rule.require
                if required.safety
            }
            for derived in both
        ]
        assert limits[0] == limits[1], test.name
        posted += len(limits[0])
    assert posted > 20
