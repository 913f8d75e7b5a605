"""Plausible values, the completions drawn from them, and the ends of the span they come to."""

import dataclasses
import functools

import numpy as np
import pytest

from advisor.deciding import completions, consistency, plausible_draws
from advisor.deciding.advise import advise
from advisor.deciding.completions import Completer, places
from advisor.deciding.decision_record import DecisionRecord
from advisor.deciding.recording import to_json
from advisor.deciding.span import HOLDS, PICKED, Spanner, _reaches
from advisor.deciding.verdicts import FAIL, UNKNOWN
from advisor.errors import DisagreementError
from advisor.explaining.span_told import span_sentences
from advisor.knowledge.case_model import Answer, Case

DAILY = {"main_use": "daily"}
CLAIM = {"main_use": "daily", "engine_torque": 380.0, "torque_measured_at": "estimated"}


def case(answers, platform="bramble-20t", **vague):
    held = {name: Answer(value) for name, value in answers.items()}
    held |= {name: Answer(value, "stated", low, high) for name, (low, value, high) in vague.items()}
    return Case("span", platform, held)


@functools.cache
def made(decider, *items, platform="bramble-20t"):
    return advise(decider, case(dict(items), platform)).data


# --- what is declared


def test_every_fact_that_may_be_unknown_says_what_it_may_be(content):
    for fact in content.knowledge.facts.values():
        assert bool(fact.plausible) == (fact.if_unknown is not None), fact.name
        for entry in fact.plausible:
            assert len(entry.basis) > 5 and (not entry.shares or sum(share for _, share in entry.shares) == 100)


def test_a_band_has_half_its_draws_on_either_side_of_likely(content):
    band = plausible_draws.band(content.knowledge.facts["gearbox_torque_rating"], {"stock_torque": 300.0}, ())
    drawn, known = band.draw((np.arange(1000) + 0.5) / 1000)
    assert known.mean() == pytest.approx(0.3, abs=0.002)  # none: 70 per cent do not know
    assert (drawn[known] < 1.3 * 300.0).mean() == pytest.approx(0.5, abs=0.05)
    assert drawn[known].min() >= 1.05 * 300 - 5 and drawn[known].max() <= 1.8 * 300 + 5
    assert (np.diff(drawn[known]) >= 0).all()


def test_who_tows_is_drawn_by_use_and_by_the_mass_of_the_car(content, decider):
    fact = content.knowledge.facts["towed_mass"]
    where = (np.arange(1000) + 0.5) / 1000

    def drawn(**known):
        return plausible_draws.band(fact, {"vehicle_mass": 1400.0, **known}, ()).draw(where)[0]

    daily, rally, towing = (drawn(main_use=use) for use in ("daily", "rally", "towing"))
    assert (daily > 0.0).mean() == pytest.approx(0.10, abs=0.01) and not rally.any() and towing.all()
    # A small trailer now and then, never more than the car itself; whose car is kept for towing pulls more.
    assert daily.max() <= 1400.0 < towing.max() and np.median(daily[daily > 0.0]) < 750.0 < np.median(towing)
    assert (drawn(main_use="daily", fuel="diesel") > 0.0).mean() > (daily > 0.0).mean()


@pytest.mark.parametrize("days", [0.0, 33.0])
def test_who_counts_the_days_is_not_drawn_to_contradict_himself(decider, days):
    """Days of launches told, launches on such a day not: no completion may deny the days."""
    platform, known = decider.gather(case({"main_use": "road_course", "launch_days_per_year": days}, "teasel-10t"))
    completions = decider.spanner.completer.draw(known)
    launches, there = completions.drawn["hard_launches_per_day"]
    assert there.all() and ((launches > 0.0) == (days > 0.0)).all()
    assert decider.batch.consistency.contradictory(completions, known.clashes).sum() < 10
    assert decider.spanner.span(platform, known).gentle.kit is not None


def test_the_doubt_of_a_range_and_of_its_source_count_once_each(decider):
    """Drawn: half the width of the range evenly, and the source's spread without that of a test bed, which stays."""
    for place, spread in (("flywheel", 0.03), ("wheels", 0.06), ("estimated", 0.12)):
        answers = {"main_use": "daily", "torque_measured_at": place, "driven_axle": "front"}
        platform, known = decider.gather(case(answers, engine_torque=(380.0, 400.0, 420.0)))
        drawn = decider.spanner.completer.draw(known)
        told = np.log(drawn.drawn["engine_torque"][0])
        wanted = np.sqrt(0.05**2 / 3 + spread**2 - 0.03**2)
        assert told.std() == pytest.approx(wanted, rel=0.12), place
        batched = decider.batch.run_columns(
            drawn.given, drawn.answered, drawn.missing, platform, lean=True, discard=True
        )
        values, there = batched.derived.fact("demand_spread")
        assert there.all() and set(values) == {0.03}
        # What is recorded takes the likely value, and the spread of its source.
        recorded = decider.derive("case", known.facts, known.answered).facts
        assert recorded["demand_spread"] == spread


def test_counts_said_roughly_are_drawn_as_whole_numbers(decider):
    # "About 10 launches": between two whole numbers no heat could be worked out, and no kit would do in any completion.
    answers = {"main_use": "drag_only", "engine_torque": 430.0, "torque_measured_at": "flywheel"}
    platform, known = decider.gather(case(answers, hard_launches_per_day=(9.0, 10.0, 11.0)))
    launches, there = decider.spanner.completer.draw(known).drawn["hard_launches_per_day"]
    assert there.all() and set(launches) == {9.0, 10.0, 11.0}
    span = decider.spanner.span(platform, known)
    assert span.gentle.kit is not None and span.careful.holds_in > 90


def test_a_common_value_stands_where_it_belongs(content):
    band = plausible_draws.band(content.knowledge.facts["hill_grade"], {}, ())
    drawn, _ = band.draw((np.arange(1000) + 0.5) / 1000)
    assert (drawn == 12.0).mean() == pytest.approx(0.6, abs=0.06)
    assert (np.diff(drawn) >= 0).all() and (drawn < 12.0).any() and (drawn > 12.0).any()


def test_what_hangs_together_is_drawn_together(decider):
    drawn = Completer(decider).draw(decider.gather(case({"engine_torque": 300.0}))[1])
    facts = decider.knowledge.facts
    use, there = drawn.given["main_use"]
    daily = there & np.isin(use, [facts["main_use"].choices.index(one) for one in ("daily", "towing")])
    racing = drawn.given["sanctioned_racing"][0]
    assert (
        racing[daily].mean()
        < 0.08
        < 0.3
        < racing[there & ~daily & (use != facts["main_use"].choices.index("weekend_road"))].mean()
    )


# --- completions


def test_the_sequence_is_fixed_and_spread_evenly():
    here = places("engine_torque", 200)
    assert (here == places("engine_torque", 200)).all()
    assert sorted(here) == pytest.approx((np.arange(200) + 0.5) / 200)
    others = [places(name, 200) for name in ("main_use", "tyre_grip", "budget", "stop_and_go")]
    # Orders of two facts have nothing to do with each other: 1 / sqrt(200) is 0.07.
    assert all(abs(np.corrcoef(here, other)[0, 1]) < 0.25 for other in others)


def test_one_more_answer_moves_no_other_fact(decider):
    completer = Completer(decider)
    _, known = decider.gather(case(CLAIM))
    _, more = decider.gather(case({**CLAIM, "tyre_grip": "summer"}))
    before, after = completer.draw(known), completer.draw(more)
    assert "tyre_grip" in before.drawn and "tyre_grip" not in after.drawn
    for name, (values, there) in after.drawn.items():
        assert (there == before.drawn[name][1]).all()
        assert (values[there] == before.drawn[name][0][there]).all(), name


def test_a_claimed_torque_is_drawn_about_the_claim_and_counts_as_measured(decider):
    drawn = Completer(decider).draw(decider.gather(case(CLAIM))[1])
    torque, there = drawn.given["engine_torque"]
    assert there.all()
    # A claim is worth 0.12, lognormal (rules/case/demand.yaml), of which a test bed keeps 0.03.
    assert np.median(torque) == pytest.approx(380.0, rel=0.01)
    assert np.log(torque).std() == pytest.approx(np.sqrt(0.12**2 - 0.03**2), rel=0.05)
    batched = decider.batch.run_columns(
        drawn.given, drawn.answered, drawn.missing, decider.gather(case(CLAIM))[0], lean=True, discard=True
    )
    spread, known = batched.derived.fact("demand_spread")
    assert known.all() and (spread == completions.BED_SPREAD).all()


def test_a_torque_of_the_test_bed_is_not_drawn(decider):
    _, known = decider.gather(case({**CLAIM, "torque_measured_at": "flywheel"}))
    drawn = Completer(decider).draw(known)
    assert "engine_torque" not in drawn.drawn and (drawn.given["engine_torque"][0] == 380.0).all()


def test_a_range_is_drawn_from_end_to_end(decider):
    answers = case({"main_use": "daily", "torque_measured_at": "flywheel"}, engine_torque=(400.0, 425.0, 450.0))
    _, known = decider.gather(answers)
    assert known.vague["engine_torque"].low == 400.0 and known.facts["engine_torque"] == 425.0
    torque, there = Completer(decider).draw(known).given["engine_torque"]
    assert there.all() and 400.0 <= torque.min() < 405.0 and 445.0 < torque.max() <= 450.0


# --- the ends


@pytest.mark.parametrize("number, below", [(10, True), (11, False), (0, True), (200, False)])
def test_a_share_within_one_completion_of_its_limit_counts_as_below(number, below):
    assert _reaches(number, PICKED, 200) != below


def test_the_ends_are_what_a_count_over_single_decisions_gives(plain_decider):
    """Brute force: every completion decided by itself, without the bulk evaluator."""
    decider, count = plain_decider, 40
    platform, known = decider.gather(case(CLAIM))
    spanner = Spanner(decider, count)
    span = spanner.span(platform, known)
    drawn = spanner.completer.draw(known)
    batched = decider.batch.run_columns(drawn.given, drawn.answered, drawn.missing, platform, lean=True, discard=True)
    wishes = spanner.forgiven(drawn, known)  # musts that rest on a wish nobody told
    told = ~decider.batch.consistency.contradictory(drawn, known.clashes)
    picked, jobs, suits, put_up, count = {}, {}, {}, {}, int(told.sum())
    for row in np.flatnonzero(told):
        facts, answered = batched.derived.inputs(row)
        one = dataclasses.replace(known, facts=facts, answered=answered, assumptions=(), missing=())
        decision = decider.decide_known(case(CLAIM), platform, one)
        if decision.pick is not None:
            picked[decision.kits.ids[decision.pick]] = picked.get(decision.kits.ids[decision.pick], 0) + 1
        musts = [checked for checked in decision.checks if checked.requirement.level == "must"]
        for index, kit in enumerate(decision.kits.ids):
            suits[kit] = suits.get(kit, 0) + bool(decision.passes[0, index])
            bad = {one.requirement.id for one in musts if one.status[0, index] in (FAIL, UNKNOWN)}
            if not bad - wishes:
                jobs[kit] = jobs.get(kit, 0) + 1
                put_up.setdefault(kit, set()).update(wishes - bad)
    # Of a kit that nobody at all would put up with, no wish is forgiven.
    holds = {kit: number for kit, number in jobs.items() if put_up[kit] >= wishes}
    # A standard engine with that torque is one thing that the answers exclude.
    assert span.completions == count and span.discarded == len(told) - count > 0
    gentle, careful = span.gentle.kit, span.careful.kit or span.careful.best
    assert span.gentle.picked_in == 100 * picked[gentle] // count and picked[gentle] >= PICKED * count + 1
    assert wishes and span.careful.holds_in == 100 * holds[careful] // count
    assert span.careful.suits_in == 100 * suits[careful] // count < span.careful.holds_in
    if span.careful.kit is None:
        assert max(holds.values()) == holds[careful] and not any(
            number >= HOLDS * count + 1 for number in holds.values()
        )


def test_need_more_answers_carries_both_ends_once_car_and_use_are_known(decider):
    record = made(decider, ("main_use", "daily"))
    assert record["outcome"] == "need_more_answers" and record["pick"] is None
    span = record["span"]
    assert span["gentle_end"]["kit"] and (span["careful_end"]["kit"] or span["careful_end"]["best"])
    assert span["narrows"][0]["fact"] in ("engine_torque", "engine_state")
    assert all(one["to"] < one["from"] for one in span["narrows"])


def test_without_a_use_there_is_no_span(decider):
    assert made(decider, ("engine_torque", 380.0))["span"] is None


def test_more_answers_narrow_the_span(decider):
    wide = made(decider, *DAILY.items())["span"]
    narrow = made(decider, *{**CLAIM, "torque_measured_at": "flywheel", "torque_growth_percent": 0.0}.items())["span"]
    assert narrow["likely"]["picked_in"] > wide["gentle_end"]["picked_in"]
    assert narrow["narrows"][0]["from"] < wide["narrows"][0]["from"]


def test_the_same_answers_give_the_same_bytes(decider):
    one, other = (advise(decider, case(CLAIM)) for _ in range(2))
    assert to_json(one) == to_json(other)


def test_an_end_the_engines_do_not_agree_on_is_an_error(content):
    from advisor.deciding.decide import decider_of

    decider = decider_of(content)
    platform, known = decider.gather(case(CLAIM))
    honest = decider.derive

    def otherwise(stage, facts, answered):
        derived = honest(stage, facts, answered)
        return dataclasses.replace(derived, facts={**derived.facts, "use_factor": 1.5}) if stage == "case" else derived

    decider.derive = otherwise
    with pytest.raises(DisagreementError):
        decider.spanner.span(platform, known)


def test_every_assumption_is_tried_those_for_safety_too(decider):
    for record in (
        made(decider, *CLAIM.items()),
        made(decider, *DAILY.items()),
        made(decider, ("engine_torque", 380.0)),
    ):
        assert all(isinstance(one["matters"], bool) and one["others"] for one in record["assumptions"])
    racing = next(one for one in made(decider, *CLAIM.items())["assumptions"] if one["fact"] == "sanctioned_racing")
    assert racing["worst"] and racing["others"] == [False]


# --- answers that contradict each other

QUARREL = {
    "main_use": "daily", "engine_torque": 250.0, "torque_measured_at": "flywheel", "engine_power": 220.0,
    "engine_power_speed_rpm": 6000.0, "power_measured_at": "flywheel", "sanctioned_racing": False,
}  # fmt: skip


def test_a_case_that_a_contradiction_stops_carries_both_ends_over_both_readings(decider):
    """250 N m is said, and 220 kW at 6000 rpm, which is 350 N m at that speed: neither is sold, both are counted."""
    stopped = advise(decider, case(QUARREL)).data
    assert stopped["outcome"] == "need_more_answers" and stopped["asks"] == ["engine_torque"]
    span = stopped["span"]
    assert span["readings"] == 2 and span["gentle_end"]["kit"] and "engine_torque" in span["doubtful"]
    # What it is between settles most.
    assert span["narrows"][0]["fact"] == "engine_torque"
    softer = {name: held for name, held in QUARREL.items() if not name.startswith("engine_power")}
    one, other = (advise(decider, case(answers)).data for answers in (QUARREL | {"engine_torque": 350.2}, softer))
    assert one["contradictions"] == other["contradictions"] == [] and one["span"]["readings"] == 1
    assert other["pick"]["kit"] != one["pick"]["kit"]
    # Half the completions are of either reading, so no kit of one of them is the pick much oftener than that.
    assert all(span[end]["picked_in"] <= 55 for end in ("gentle_end", "careful_end"))
    text = " ".join(span_sentences(DecisionRecord.of(stopped).span, decider.shop.wording(decider.knowledge)))
    assert "Both readings of the answers that contradict each other are counted" in text


def test_either_reading_has_every_other_completion(decider):
    _, known = decider.gather(case(QUARREL))
    readings = consistency.readings(known, decider.knowledge)
    drawn = Completer(decider).draw_readings(readings)
    torque, there = drawn.given["engine_torque"]
    assert there.all() and (torque[::2] == 250.0).all() and (torque[1::2] == pytest.approx(350.14, abs=0.1))
    assert not drawn.missing.any() and all(not one.missing for one in readings)


def test_an_insisted_contradiction_has_one_reading(decider):
    insisted = dataclasses.replace(case(QUARREL), insist=("torque-below-power",))
    record = advise(decider, insisted).data
    assert record["outcome"] == "recommended" and record["span"]["readings"] == 1


def test_where_picks_are_scattered_the_gentle_end_is_where_five_of_a_hundred_lie(decider):
    """So much is open that no kit is picked in 5 % of the completions; what is gentle is told all the same."""
    platform, known = decider.gather(case({"main_use": "daily", "hard_launches_per_day": 3.0}, "blackthorn-58"))
    span = decider.spanner.span(platform, known)
    drawn = decider.spanner.completer.draw(known)
    batched = decider.batch.run_columns(drawn.given, drawn.answered, drawn.missing, platform, lean=True, discard=True)
    share = np.bincount(batched.picks[batched.picks >= 0]).max() / len(batched.picks)
    assert span.gentle.kit is not None
    assert share >= PICKED or span.gentle.picked_in < 100 * PICKED


def test_a_count_that_is_the_middle_of_a_range_is_decided_as_the_next_whole_number(decider):
    """Two to three launches a day: half a launch heats nothing, and the sums of the heat know none."""
    _, known = decider.gather(case(DAILY, hard_launches_per_day=(2.0, 2.5, 3.0)))
    assert known.facts["hard_launches_per_day"] == 3.0 and "hard_launches_per_day" in known.vague
