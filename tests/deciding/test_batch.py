"""Outcomes of the batch against those of `decide`, case by case."""

from collections import Counter, defaultdict

import numpy as np
import pytest

from advisor.deciding.batch import pieces
from advisor.deciding.outcomes import outcome_of
from advisor.deciding.recording import record
from advisor.knowledge import load
from tests.callers import caller, plain_decider_of
from tests.conftest import ROOT

HYBRID = ROOT / "scenarios" / "cases" / "hybrid-van.yaml"


def compare(seeds, content, decider):
    """(number compared, outcomes counted); raises where a batch differs from deciding one by one."""
    groups, alone, counted = defaultdict(list), {}, Counter()
    for seed in seeds:
        case = caller(seed, content)
        platform, known = decider.gather(case)
        alone[seed] = outcome_of(decider.decide_known(case, platform, known))
        groups[case.platform].append((seed, platform, known))
        counted[alone[seed][0]] += 1
    for members in groups.values():
        outcomes = decider.batch.outcomes([known for _, _, known in members], members[0][1])
        for (seed, _, _), outcome in zip(members, outcomes):
            assert tuple(outcome) == tuple(alone[seed]), f"caller {seed}"
    return len(alone), counted


def test_20_callers(content, plain_decider):
    count, counted = compare(range(20), content, plain_decider)
    assert count == 20
    # All three outcomes are among them, or the comparison would say little.
    assert len(counted) == 3, counted


def test_shipped_cases_and_what_is_recorded_of_them(content, plain_decider):
    """Cases somebody thought of: the batch's outcome is also what the decision record says."""
    several = 0
    for path in [*sorted((ROOT / "scenarios" / "cases").glob("*.yaml"))[::12], HYBRID]:
        decision = plain_decider.decide(load.case(path, content.knowledge))
        outcome = plain_decider.batch.outcomes([decision.known], decision.platform)[0]
        told = record(decision, [])
        required = {item.id for _, item in told.setup.items() if item.level == "required"}
        assert (outcome.outcome, outcome.pick, outcome.required) == (told.outcome, told.pick_id, required), path.stem
        fired = decision.setup_derivations[decision.pick].fired() if decision.pick is not None else ()
        several += sum(item.kind == "fitted_by" for name in fired for item in decision.rules[name].items) > 1
    assert several >= 1  # with more than one answer to who fits it


def test_order_and_size_of_batches_do_not_matter(content, plain_decider):
    cases = [caller(seed, content, "bramble-20t") for seed in range(60)]
    gathered = [plain_decider.gather(case) for case in cases]
    knowns = [known for _, known in gathered]
    platform = gathered[0][0]
    whole = plain_decider.batch.outcomes(knowns, platform)
    assert plain_decider.batch.outcomes(knowns, platform, size=7) == whole
    backwards = plain_decider.batch.outcomes(knowns[::-1], platform, size=16)
    assert backwards[::-1] == whole


def test_figures_of_the_picks(content, plain_decider):
    cases = [caller(seed, content, "hornbeam-50") for seed in range(24)]
    gathered = [plain_decider.gather(case) for case in cases]
    batched = plain_decider.batch.run([known for _, known in gathered], gathered[0][0])
    margins = batched.pick_figure("holding_margin")
    compared = 0
    for case, margin in zip(cases, margins):
        decision = plain_decider.decide(case)
        if decision.pick is None:
            assert np.isnan(margin)
        else:
            assert margin == decision.figures.value("holding_margin", 0, decision.pick)
            compared += 1
    assert 4 <= compared < len(cases)


def test_lean_and_full_batches_judge_alike(content, plain_decider):
    for car in ("bramble-20t", "hornbeam-50", "sedge-18"):
        gathered = [plain_decider.gather(caller(seed, content, car)) for seed in range(30)]
        knowns = [known for _, known in gathered]
        lean, full = (plain_decider.batch.run(knowns, gathered[0][0], lean=one) for one in (True, False))
        assert lean.outcomes == full.outcomes
        decided = ~full.missing
        for mask in ("passes", "failed"):
            assert (getattr(lean, mask)[decided] == getattr(full, mask)[decided]).all()
        assert full.failed.any() and full.passes.any()
        # Less is worked out, or lean would be for nothing.
        assert len(lean.figures.columns) <= len(full.figures.columns)
        known = sum(int(np.broadcast_to(one.known, full.passes.shape).sum()) for one in lean.figures.columns.values())
        assert known < sum(
            int(np.broadcast_to(one.known, full.passes.shape).sum()) for one in full.figures.columns.values()
        )


def test_the_second_batch_works_out_the_same_figures_as_the_first(content):
    # What hangs on kits alone is kept from the first; comparisons of two batches go by the figures there are.
    fresh = plain_decider_of(content)
    gathered = [fresh.gather(caller(seed, content, "bramble-20t")) for seed in range(40)]
    knowns = [known for _, known in gathered]
    first, second = (fresh.batch.run(knowns, gathered[0][0]) for _ in range(2))
    assert set(first.figures.columns) == set(second.figures.columns)
    for name, column in first.figures.columns.items():
        again = second.figures.columns[name]
        assert (column.known == again.known).all() and (column.values[column.known] == again.values[again.known]).all()
    assert any(second.figures.columns[name] is column for name, column in first.figures.columns.items())


@pytest.mark.parametrize("count, lengths", [(0, []), (1, [1]), (4, [4]), (5, [2, 3]), (13, [3, 3, 3, 4])])
def test_pieces_are_few_and_even(count, lengths):
    cut = list(pieces(count, 4))
    assert [len(range(count)[piece]) for piece in cut] == lengths
    assert [place for piece in cut for place in range(count)[piece]] == list(range(count))


def test_no_cases_at_all(plain_decider):
    assert plain_decider.batch.outcomes([], None) == []


@pytest.mark.parametrize("seed", [3, 17])
def test_a_single_case(seed, content, plain_decider):
    case = caller(seed, content)
    platform, known = plain_decider.gather(case)
    assert tuple(plain_decider.batch.outcomes([known], platform)[0]) == tuple(outcome_of(plain_decider.decide(case)))
