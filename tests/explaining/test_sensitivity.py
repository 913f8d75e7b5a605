"""How near the edge: the torque until which the pick stays and holds, held against deciding again on both sides."""

import dataclasses

import pytest

from advisor.explaining import sensitivity
from advisor.explaining.sensitivity import DEMAND, GROWTH, MARGIN
from advisor.explaining.sureness import STATES, sureness
from advisor.mechanics.uncertainty import holding_probability

NAMES = ["mild-street-tune", "half-thrust-strong-single", "stock-tired-clutch", "drag-never-bedded"]


def decided_at(decider, case, growth):
    """The decision with another growth, one case at a time."""
    platform, known = decider.gather(case)
    return decider.decide_known(case, platform, dataclasses.replace(known, facts={**known.facts, GROWTH: growth}))


def edge_faults(decider, case, view, told):
    """(decisions made, faults) of one sensitivity."""
    growth, faults, decided = told["growth"], [], 0
    for name in ("good_until", "holds_until"):
        stand = growth[name]
        if stand is None:
            continue
        for step, inside in ((0, True), (1, False)):
            percent = float(f"{stand['growth_percent'] + step * growth['step_percent']:.9g}")
            decision = decided_at(decider, case, percent)
            decided += 1
            index = decision.kits.index[view.pick]
            now = decision.pick == index if name == "good_until" else bool(decision.passes[0, index])
            if now != inside:
                faults.append(f"{name} at {percent} %")
            torque = decision.derivation.facts[DEMAND]
            if abs(torque - (stand["torque"] if inside else stand["beyond"])) > 1e-6 * torque:
                faults.append(f"{name}: torque at {percent} %")
            if name == "good_until" and not inside:
                pick = None if decision.pick is None else decision.kits.ids[decision.pick]
                if pick != growth["then"]:
                    faults.append(f"beyond it {pick}, not {growth['then']}")
    return decided, faults


@pytest.mark.parametrize("name", NAMES)
def test_the_edge_on_both_sides(name, views, plain_decider, shipped_cases):
    told = sensitivity.sensitivity(views[name], plain_decider, shipped_cases[name])
    decided, faults = edge_faults(plain_decider, shipped_cases[name], views[name], told)
    assert faults == [] and decided >= 2
    good, holds = told["growth"]["good_until"], told["growth"]["holds_until"]
    assert holds is None or good["torque"] <= holds["torque"]


def test_nothing_changes_on_the_way_there(views, plain_decider, shipped_cases):
    view, case = views["mild-street-tune"], shipped_cases["mild-street-tune"]
    good = sensitivity.sensitivity(view, plain_decider, case)["growth"]["good_until"]
    start = view.record.value(GROWTH)
    for part in range(1, 20):
        decision = decided_at(plain_decider, case, start + (good["growth_percent"] - start) * part / 20)
        assert decision.kits.ids[decision.pick] == view.pick


def test_margins_are_those_of_the_mechanics(views, plain_decider, shipped_cases):
    view, case = views["half-thrust-strong-single"], shipped_cases["half-thrust-strong-single"]
    moves = sensitivity.sensitivity(view, plain_decider, case)["margin"]["moves"]
    assert [one["high"] - one["low"] for one in moves] == sorted(
        (one["high"] - one["low"] for one in moves), reverse=True
    )
    assumed = next(one for one in moves if one["origin"] == "assumed" and one["fact"] == GROWTH)
    for trial in assumed["tried"]:
        decision = decided_at(plain_decider, case, trial["value"])
        assert decision.figures.value(MARGIN, 0, decision.kits.index[view.pick]) == trial["margin"]


def test_no_pick_no_edge(views, plain_decider, shipped_cases):
    assert sensitivity.sensitivity(views["nothing-fits"], plain_decider, shipped_cases["nothing-fits"]) is None
    assert sensitivity.sensitivity_lines(views["nothing-fits"], None) == []


def test_how_sure_is_what_the_lognormal_bands_say(mild):
    """P(capacity > demand) for two lognormal quantities, from the record's medians and spreads."""
    told = {one["figure"]: one["value"] for one in sureness(mild)["probabilities"]}
    assert set(told) == {name for name, _ in STATES}
    worked = holding_probability(
        capacity_median=mild.record.figure(mild.pick, "capacity_bedded_nm"),
        capacity_spread=mild.record.figure(mild.pick, "capacity_spread"),
        demand_median=mild.record.value(DEMAND),
        demand_spread=mild.record.value("demand_spread"),
    )
    assert told["holding_probability_bedded"] == pytest.approx(worked, abs=0.02)
    assert told["holding_probability_new"] < told["holding_probability_bedded"]


def test_what_the_rating_would_have_said(views):
    other = 0
    for view in views.values():
        if view.pick is None:
            continue
        rating = sureness(view)["rating"]
        assert rating["demand"] == view.record.value(DEMAND)
        if rating["kit"] and rating["kit"] != view.pick:
            other += 1
            assert view.fields(rating["kit"])["seller_rating"] >= rating["demand"]
            assert rating["verdict"] == view.kits[rating["kit"]].verdict
            gentler = [kit.id for kit in view.record.fitting if kit.gentleness < view.kits[rating["kit"]].gentleness]
            assert all(
                (view.fields(kit).get("seller_rating") or 0) < rating["demand"]
                for kit in gentler
                if all(view.requirements[check.requirement].topic != "fit" for check in view.kits[kit].failed)
            )
    assert other >= 1
