"""A house rule in the place of a shipped one, asked by the tests beside that; and what it asks less."""

import dataclasses

import pytest

from advisor.errors import InputError
from advisor.knowledge.model import Condition
from advisor.knowledge.rule_tests import read_file
from advisor.proving.in_place import silent_where_it_spoke
from advisor.versions.compared import EntryChanged
from advisor.versions.departing import asks_less, departures, shipped_tests
from advisor.versions.tried import failures, signed_for
from tests.casebook import shelf
from tests.conftest import ROOT

OF, BY = "holds-worn-and-warm", "holds-here"
TESTS = ROOT / "rules/case/holding.tests.yaml"


def shipped():
    return shelf.content().knowledge


def house(change):
    """Rules of a house in which one stands in the place of the shipped one, its requirement named after it."""
    rules = []
    for rule in shipped().rules:
        if rule.id == OF:
            (posted,) = rule.require
            require = (dataclasses.replace(posted, id=BY, rule=BY),)
            rule = change(dataclasses.replace(rule, id=BY, topic="own", require=require))
        rules.append(rule)
    return dataclasses.replace(shipped(), rules=tuple(rules), replaced={BY: OF})


def departing(change):
    changed = house(change)
    ran = shipped_tests(read_file(TESTS, shipped()), shipped(), changed)
    return ran, departures(shipped(), changed, ran, lambda before, after: "")


def test_a_rule_that_says_the_same_under_another_name_departs_in_nothing():
    ran, found = departing(lambda rule: rule)
    assert found == [] and ran.others == () and ran.moved == 2 <= ran.run


def test_a_rule_turned_round_fails_the_tests_of_the_one_whose_place_it_takes():
    def turned(rule):
        return dataclasses.replace(rule, require=(dataclasses.replace(rule.require[0], compare="at_most"),))

    _, (departure,) = departing(turned)
    assert (departure.by, departure.of) == (BY, OF)
    assert [name for name, _ in departure.tests] == ["It must hold worn and warm"]
    assert f"{BY}: 299 should fail" in departure.sentence and "299 should fail" in departure.tests[0][1]
    (less,) = departure.less
    assert "torque held at working temperature" in less and less.endswith("at least torque the clutch must hold")


def test_a_must_that_becomes_a_wish_or_asks_a_number_less_is_named():
    rule = next(rule for rule in shipped().rules if rule.id == OF)

    def less(**changes):
        posted = dataclasses.replace(rule.require[0], limit=500.0)
        return asks_less(
            dataclasses.replace(rule, require=(posted,)),
            dataclasses.replace(rule, require=(dataclasses.replace(posted, **changes),)),
            shipped(),
        )

    assert less() == [] and less(limit=501.0) == []
    assert [text.split(": ")[1] for text in less(limit=450.0)] == ["at least 500 N m becomes at least 450 N m"]
    (wish,) = less(level="should")
    assert wish.endswith("was a must and is a wish")
    assert asks_less(rule, dataclasses.replace(rule, require=()), shipped())


def test_no_rule_asks_less_than_itself_under_other_names_and_in_another_order():
    twice = 0
    for rule in shipped().rules:
        require = tuple(dataclasses.replace(posted, id=f"{posted.id}-here") for posted in reversed(rule.require))
        items = tuple(dataclasses.replace(item, id=f"{item.id}-here") for item in reversed(rule.items))
        assert asks_less(rule, rule, shipped()) == [], rule.id
        assert asks_less(rule, dataclasses.replace(rule, require=require, items=items), shipped()) == [], rule.id
        twice += len({posted.measure for posted in rule.require}) < len(rule.require)
    assert twice, "no rule posts a must and a wish of one measure"


def test_of_a_must_and_a_wish_of_one_measure_the_one_that_is_gone_is_named():
    rule = next(rule for rule in shipped().rules if rule.id == "noise-quiet")
    must, wish = rule.require
    (less,) = asks_less(rule, dataclasses.replace(rule, require=(must,)), shipped())
    assert less == "noise class is no longer asked to be at most class 0"
    (less,) = asks_less(rule, dataclasses.replace(rule, require=(wish,)), shipped())
    assert less == "noise class is no longer asked to be at most class 1"


def test_what_departs_is_signed_for_whatever_it_bears_on_and_what_fails_is_not():
    (departs,) = failures(["one rule departs"], departs=True)
    (fails,) = failures(["a test fails"])
    safety = EntryChanged("rule", BY, "", "edited", (), True)
    for changes in ((), (safety,)):
        assert signed_for([departs], [departs.name], changes) == ("one rule departs",)
        with pytest.raises(InputError, match="departs from a shipped rule: one rule departs") as refused:
            signed_for([departs], [], changes)
        assert f"--accept {departs.name}" in refused.value.remedy
    with pytest.raises(InputError, match="nothing is signed for there"):
        signed_for([departs, fails], [departs.name, fails.name], [safety])
    with pytest.raises(InputError, match="a check fails: a test fails") as refused:
        signed_for([departs, fails], [departs.name], [])
    for failure in (departs, fails):
        assert f"--accept {failure.name}" in refused.value.remedy, "what is to be added is told whole"


def test_conditions_that_leave_callers_out_are_shown_by_one():
    more = Condition("main_use", "is", "daily")
    changed = house(lambda rule: dataclasses.replace(rule, all=(*rule.all, more)))
    before = next(rule for rule in shipped().rules if rule.id == OF)
    after = next(rule for rule in changed.rules if rule.id == BY)
    assert silent_where_it_spoke(changed, before, before) == ""
    said = silent_where_it_spoke(changed, before, after)
    assert said.startswith("it says nothing where that spoke, for a caller like this: main use of the car")
    assert "daily" not in said
