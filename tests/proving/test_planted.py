"""A few faults planted in the shipped rules, and edits that are correct; 400 and 100 are a long count."""

import dataclasses
import random

import pytest

from ..rules.shop import knowledge
from . import planted


@pytest.mark.parametrize(
    "make, kind",
    [
        (planted.dead_rows, "dead rule"),
        (planted.quarrels, "musts that quarrel"),
        (planted.deleted_rows, "fact nobody concludes"),
    ],
)
def test_a_planted_fault_is_told(make, kind):
    findings = planted.found_by_proofs(planted.edited(next(make(random.Random(4)))))
    assert kind in {finding.kind for finding in findings}, [finding.what for finding in findings]


@pytest.mark.parametrize("make", [planted.split_rows, planted.moved_everywhere])
def test_nothing_is_told_of_a_correct_edit(make):
    assert planted.found_by_proofs(planted.edited(next(make(random.Random(4))))) == ()


def test_every_kind_of_fault_can_be_planted():
    made = list(planted.faults(2))
    assert len(made) == 20 and len({fault.kind for fault in made}) == 10
    assert all(fault.rules != planted.knowledge().rules for fault in made)


def test_an_edit_that_changes_nothing_for_any_caller_is_proved_to_be_no_fault():
    """A copied value has to be there, and one figure is told where its torque is: what says so again may go."""

    def without(rule_id, fact):
        rule = next(rule for rule in knowledge().rules if rule.id == rule_id)
        kept = tuple(condition for condition in rule.all if condition.fact != fact)
        assert len(kept) == len(rule.all) - 1
        edited = dataclasses.replace(rule, all=kept)
        rules = tuple(edited if other is rule else other for other in knowledge().rules)
        return planted.Planted("overlap", f"{fact} not asked", rules, rule_id)

    assert planted.changes_nothing(without("figures-torque", "torque_told"))
    assert planted.changes_nothing(without("launch-speed-by-foot", "usual_launch_speed_rpm"))
    assert not planted.changes_nothing(without("figures-torque", "pace_told"))
    assert not planted.changes_nothing(without("launch-speed-by-foot", "launch_speed_rpm"))
