"""A branch of `any` asks several things: it decides, tells and records what the same conditions do by themselves.

Every rule of the shipped knowledge is written anew, all it asks in one branch beside another that never holds; the
record must be the same but for which branch held.
"""

import dataclasses
import json

import pytest

from advisor.deciding.advise import advise
from advisor.deciding.decide import decider_of
from advisor.explaining import why
from advisor.explaining.worded import WordedRecord
from advisor.knowledge import load
from advisor.knowledge.model import Condition
from advisor.reporting.screens.rulebook import rule_as_text
from advisor.reporting.sheets.markdown import markdown
from advisor.reporting.sheets.rule_book import rule_book
from tests.conftest import ROOT

CASES = ("mild-street-tune", "half-thrust-strong-single", "nothing-fits", "answers-missing")


@pytest.fixture(scope="module")
def branched(content):
    """The shipped content, every rule that asks anything and has no any asking it in one branch of two."""
    known = content.knowledge
    never = (
        Condition("main_use", "not_in", known.facts["main_use"].choices),
        Condition("engine_torque", "known"),
    )
    rules = tuple(
        rule if rule.any or not rule.all else dataclasses.replace(rule, all=(), any=(never, rule.all))
        for rule in known.rules
    )
    assert sum(len(rule.any) == 2 and len(rule.any[1]) > 1 for rule in rules) > 100
    return dataclasses.replace(content, knowledge=dataclasses.replace(known, rules=rules))


@pytest.fixture(scope="module")
def deciders(decider, branched):
    """(as shipped, branched), both with both engines."""
    return decider, decider_of(branched)


def without_branches(record):
    data = json.loads(json.dumps(record.data))
    for firing in data["firings"]:
        firing["branches"] = []
    return data


@pytest.mark.parametrize("name", CASES)
def test_the_record_is_the_same_but_for_the_branch(name, content, deciders):
    case = load.case(ROOT / "scenarios" / "cases" / f"{name}.yaml", content.knowledge)
    plain, other = (advise(decider, case) for decider in deciders)
    assert without_branches(plain) == without_branches(other)
    held = [firing["branches"] for firing in other.data["firings"] if firing["branches"]]
    assert held.count([1]) > 50 or plain.outcome == "need_more_answers"
    # What is told of it is the same too, and each walk back takes the conditions of the branch that held.
    told = [
        json.dumps(why.why(WordedRecord(record.data, decider.shop.wording(decider.knowledge, "si")), 3))
        for record, decider in zip((plain, other), deciders)
    ]
    assert told[0] == told[1]


def test_a_branch_is_put_into_words_as_one(content):
    known = content.knowledge
    branch = (Condition("main_use", "is", "daily"), Condition("shift_speed_rpm", "above", 7000.0))
    rule = dataclasses.replace(known.rules[0], all=(), any=(branch, (Condition("engine_torque", "absent"),)))
    lines = rule_as_text(rule, known, width=120).splitlines()
    either = "main use of the car: daily, and engine speed at which gears are changed: above 7000 rpm"
    assert lines[lines.index("When") + 1 : lines.index("Then")] == [
        "  any",
        f"    {either}",
        "    engine torque: not known",
    ]
    book = markdown(rule_book(dataclasses.replace(known, rules=(rule,))))
    assert f"any: {either}; or engine torque: not known" in book
