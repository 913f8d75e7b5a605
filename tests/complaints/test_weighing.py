"""Arguments are weighed once, whatever their order; what is tried on paper is what then comes out."""

import itertools
import math
import random

import pytest

from advisor.complaints.as_sold import NOT_SOLD_HERE, Sold, margin, prepared
from advisor.complaints.next_check import answer_chances
from advisor.complaints.weighing import Weight, bits, chances, strongest
from advisor.mechanics.uncertainty import holding_probability

from .shop import cases, diagnosed, diagnoser, told_and_sold


def weight(points, rule="a", group="g"):
    return Weight(points, group, rule, "seen")


def test_two_wordings_of_one_observation_are_one_witness():
    assert strongest([weight(2), weight(6, "b"), weight(6, "c")]) == (weight(6, "b"),)
    assert strongest([weight(-12), weight(6)]) == (weight(-12),)
    assert strongest([weight(6), weight(-6, "b")]) == ()


def test_order_of_what_is_told_changes_nothing():
    told, sold = told_and_sold(cases()["concentric-bearing-held"])
    wanted = diagnosed("concentric-bearing-held")
    for seed in range(4):
        pairs = list(told.items())
        random.Random(seed).shuffle(pairs)
        found = diagnoser().diagnose(dict(pairs), sold)
        assert [(one.cause.id, one.total, one.weights) for one in found.standings] == [
            (one.cause.id, one.total, one.weights) for one in wanted.standings
        ]
        assert [(one.symptom.name, one.bits) for one in found.checks] == [
            (one.symptom.name, one.bits) for one in wanted.checks
        ]


def test_totals_are_the_start_and_the_weights_that_count():
    for name in cases():
        for standing in diagnosed(name).standings:
            assert standing.total == pytest.approx(
                standing.start + sum(one.points for one in standing.weights), abs=0.06
            )
            groups = [one.group for one in standing.weights]
            assert len(groups) == len(set(groups)), "two arguments of one group count"


def test_points_are_ten_times_the_logarithm_of_odds():
    """Held against the definition of odds: shares of two causes 10 points apart stand 10 to 1."""
    standings = diagnosed("rivets-seen").standings
    shares = chances(standings)
    assert sum(shares.values()) == pytest.approx(1)
    for one, other in itertools.pairwise(standings[:4]):
        odds = shares[one.cause.id] / shares[other.cause.id]
        assert 10 * math.log10(odds) == pytest.approx(one.total - other.total, abs=1e-9)
    assert bits([0.5, 0.5]) == pytest.approx(1)
    assert bits([0.25] * 4) == pytest.approx(2)


def test_chances_of_the_answers_to_one_question_come_to_one():
    shares = {"a": 0.5, "b": 0.5}
    made = answer_chances([{"a": 0.6, "b": 0.1}, {"a": 0.2, "b": 0.1}, {}, {}], shares)
    for cause in shares:
        assert sum(chance[cause] for chance in made) == pytest.approx(1)
    assert made[0]["a"] == pytest.approx(0.6)
    assert made[2]["b"] == made[3]["b"] == pytest.approx(0.4)


def test_gain_is_what_comes_out_when_the_answer_is_given():
    """Letting the pressure out, tried on paper, leaves as much open as both answers do when they are given."""
    told = {"complaint": "slips", "slip_shows": "any_load", "began": "first_drive"}
    before = diagnoser().diagnose(told)
    check = next(one for one in before.checks if one.symptom.name == "pressure_let_out")
    shares = chances(before.standings)
    after = [diagnoser().diagnose({**told, "pressure_let_out": value}) for value in ("slip_stops", "slip_stays")]
    seen = min(0.97, 0.15 * 10**0.8)
    stops = sum(
        share * {"held_bearing": seen, "bearing_height": 0.15 * 10**0.2}.get(cause, _chance(cause))
        for cause, share in shares.items()
    )
    left = [bits(chances(one.standings).values()) for one in after]
    gained = bits(shares.values()) - (stops * left[0] + (1 - stops) * left[1])
    # Weighed cause by cause, not with the mean chance: the sum over causes is the same.
    assert check.bits == pytest.approx(gained, abs=2e-3)


def _chance(cause):
    rule = next(rule for rule in diagnoser().knowledge.rules if rule.id == "pressure-out-slip-gone")
    points = {one.cause: one.weight for one in rule.argue}.get(cause, -1.0)
    return min(0.97, 0.15 * 10 ** (points / 10))


def test_a_measurement_on_the_bench_costs_the_gearbox_out_once():
    told = {"complaint": "drags", "travel_measured": "enough"}
    before = {one.symptom.name: one.minutes for one in diagnoser().diagnose(told).checks}
    after = {one.symptom.name: one.minutes for one in diagnoser().diagnose({**told, "disc_side": "right"}).checks}
    assert before["disc_run_out"] == 250
    assert after["disc_run_out"] == 10


def test_the_margin_of_the_sale_says_how_likely_the_clutch_is_too_small():
    """10 log10(100 (1 - P)): 0 points at 99 % and 10 at 90 %, shared by variance. Closed form of two lognormals."""
    sold = Sold("kit", {}, 400.0, 0.10, {"bedded": (480.0, 0.14), "new": (400.0, 0.16)})
    told = {"complaint": "slips", "km_since_fitting": 9000.0, "bedded": "done"}
    found = margin("slips", told, sold)
    chance = holding_probability(capacity_median=480.0, capacity_spread=0.14, demand_median=400.0, demand_spread=0.10)
    assert found.holding == pytest.approx(chance, abs=1e-9)
    together = 10 * math.log10(sum(10 ** (points / 10) for points in found.points.values()))
    assert together == pytest.approx(10 * math.log10(100 * (1 - chance)), abs=0.06)
    new = margin("slips", {**told, "bedded": "not_yet"}, sold)
    assert new.state == "new"
    assert new.holding == pytest.approx(0.5)
    # The clutch and the engine answer for what they would bedded in; the rest of the slips is the bedding's.
    assert {cause: new.points[cause] for cause in found.points} == found.points
    assert new.points["not_bedded"] == pytest.approx(10 * math.log10(100 * (chance - 0.5)), abs=0.06)
    assert margin("drags", told, sold) is None
    assert margin("slips", told, NOT_SOLD_HERE) is None


def test_a_torque_measured_now_is_held_against_the_one_stated_then():
    sold = Sold("kit", {}, 400.0, 0.03, {"bedded": (480.0, 0.14)})
    assert prepared({"torque_now": 448.0}, sold) == {"torque_excess_spreads": pytest.approx(math.log(1.12) / 0.03)}
    told = {"complaint": "slips", "slip_shows": "peak_torque", "bedded": "done", "torque_now": 448.0}
    found = diagnoser().diagnose(told, sold)
    assert found.standings[0].cause.id == "demand_above_stated"
    assert "torque-above-sold" in found.agreed.derivation.fired()
    assert found.at_sale.demand == 448.0
    less = diagnoser().diagnose({**told, "torque_now": 402.0}, sold)
    assert less.standings[0].cause.id == "capacity_short"


def test_a_driver_is_named_only_on_two_signs_one_seen_with_fitting_and_leaks_looked_at():
    told = {"complaint": "smell", "smells": "normal_use", "foot_on_pedal": True, "began": "gradually"}
    told |= {"facing_left": "left", "ride_along": "rides"}
    without = diagnoser().diagnose(told)
    assert without.cause is None
    assert "fitting and leaks" in without.withheld
    looked = diagnoser().diagnose({**told, "free_play_felt": "some", "wet_under": "dry"})
    assert looked.cause.kind == "driver"


def test_two_causes_that_go_together_are_both_named():
    found = diagnosed("facing-in-the-drain")
    assert found.standings[0].cause.id == "loose_facing"
    worn = {"complaint": "slips", "housing_wiped": "wet", "facing_left": "to_rivets", "wet_under": "oil"}
    both = diagnoser().diagnose(worn)
    first_two = {both.standings[0].cause.id, both.beside.id if both.beside else ""}
    assert first_two == {"oil_leak", "worn_out"}


def test_safety_is_said_whatever_else_is_told_and_taken_back_only_by_a_measurement():
    told = {"complaint": "noise", "noise_heard": "knock_gone_pressed"}
    stops = [rule.id for rule in diagnoser().diagnose(told).cautions]
    assert "stop-shakes" in stops
    tried = diagnoser().diagnose({**told, "bolts_tried": "tight"})
    assert "stop-shakes" not in [rule.id for rule in tried.cautions]
    talked = diagnoser().diagnose({**told, "trend": "better", "km_since_fitting": 90000.0})
    assert "stop-shakes" in [rule.id for rule in talked.cautions]


def test_power_raised_since_the_sale_is_the_engine_until_somebody_measures():
    """The sale's torque no longer speaks of the engine: a wide margin then is no reason to blame the clutch now."""
    sold = Sold("kit", {}, 370.0, 0.03, {"bedded": (500.0, 0.14)})
    told = {"complaint": "slips", "slip_shows": "peak_torque", "began": "after_power", "bedded": "done"}
    found = diagnoser().diagnose(told, sold)
    assert found.standings[0].cause.id == "demand_above_stated"
    assert "demand_above_stated" not in found.at_sale.points
    assert "demand_above_stated" in margin("slips", {**told, "began": "suddenly"}, sold).points
    # Measured, it is worked out again.
    measured = margin("slips", {**told, "torque_now": 372.0}, sold)
    assert measured.points["demand_above_stated"] < 4


def test_every_two_causes_of_a_complaint_are_parted_by_some_sign():
    """Typical of one (6) and not even possible for the other: no pair is left that nothing asked could tell apart."""
    knowledge = diagnoser().knowledge
    symptoms = knowledge.symptoms

    def read(rule):
        """The symptoms that a rule reads."""
        branches = [condition if isinstance(condition, tuple) else (condition,) for condition in (*rule.all, *rule.any)]
        names = [condition.fact for branch in branches for condition in branch]
        return [name for name in names if name in symptoms and name != "complaint"]

    argued = [
        (
            read(rule),
            {argument.cause: argument.weight for argument in rule.argue},
            any(a.sign == "for" for a in rule.argue),
        )
        for rule in knowledge.rules
        if rule.argue and read(rule)
    ]
    alike = []
    for complaint in symptoms["complaint"].fact.choices:
        signs = [
            (weights, -1 if speaks else 0)
            for names, weights, speaks in argued
            if all(complaint in symptoms[name].of for name in names)
        ]
        suspects = [cause.id for cause in knowledge.suspects(complaint)]
        for first, second in itertools.combinations(suspects, 2):
            if all(abs(weights.get(first, rest) - weights.get(second, rest)) < 6 for weights, rest in signs):
                alike.append((complaint, first, second))
    assert alike == []
