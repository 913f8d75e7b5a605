"""A few faults planted in the shipped rules, and edits that are correct; 400 and 100 are a long count."""

import random

import pytest

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
