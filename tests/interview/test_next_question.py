"""Which question next: pure, relevant, in the declared order, safety always, and it stops."""

import dataclasses
import functools

import numpy as np
import pytest

from advisor.deciding import plausible_draws
from advisor.deciding.outcomes import outcome_of
from advisor.errors import ConflictError
from advisor.interview import next_question, sampling
from advisor.interview.next_question import Chooser
from advisor.interview.sampling import Sampler
from advisor.interview.state import Said, State
from advisor.knowledge.model import Conclusion, Condition
from tests import shipped
from tests.callers import plain_decider_of

from . import callers, replay, shop

FEW = 4


@functools.cache
def interviews():
    """A few finished interviews with random callers, and those of the shipped cases with a car."""
    chooser = shop.chooser()
    return [callers.interview(chooser, callers.random_caller(shop.decider(), number)) for number in range(FEW)]


def test_the_next_question_depends_on_the_answers_alone():
    fresh = Chooser(Sampler(shop.decider()))
    for done in interviews()[:2]:
        name, _, state = done.asked[-1]
        turned = State("another-name", car=state.car, said=dict(reversed(state.said.items())))
        assert fresh.view(turned).question == name


def test_every_question_asked_could_change_the_outcome():
    checked = 0
    for done in interviews():
        assert replay.irrelevant(shop.chooser(), done) == []
        checked += len(done.asked)
    assert checked >= 12


def test_the_batch_a_question_is_chosen_with_decides_as_one_by_one():
    _, view, state = interviews()[0].asked[-1]
    for row in (0, 1, 50, 119):
        if row:
            alone = replay.decided(shop.chooser(), state, view, row)
        else:
            alone = tuple(outcome_of(shop.decider().decide(state.as_case())))
        assert tuple(view.callers.outcomes[row]) == alone


def test_nothing_is_asked_twice_and_safety_always():
    for done in interviews():
        names = [name for name, _, _ in done.asked]
        assert len(names) == len(set(names))
        if done.view.standing.outcome != "need_more_answers":
            safety = [
                name
                for name, fact in shop.knowledge().facts.items()
                if fact.safety and name in shop.knowledge().questions and not shop.knowledge().questions[name].fitter
            ]
            assert safety
            for name in safety:
                assert name in done.state.said or done.view.known.origins.get(name) == "platform", name


def test_it_stops_by_itself_and_the_pick_stays():
    shares = [callers.kept(shop.chooser(), done, 100) for done in interviews()]
    assert np.mean(shares) >= 0.97
    assert max(len(done.asked) for done in interviews()) <= next_question.MOST_QUESTIONS


def test_within_a_topic_the_declared_order_holds():
    questions, compared = shop.knowledge().questions, 0
    order = list(questions)
    for done in interviews():
        for name, view, _ in done.asked:
            if view.reason != next_question.SETTLES:
                continue
            topic = [
                one
                for one in view.candidates
                if questions[one.fact].topic == questions[name].topic and next_question.worth_asking(one)
            ]
            best = max((one.worth for one in topic), default=0.0)
            earlier = [
                one.fact
                for one in topic
                if order.index(one.fact) < order.index(name) and one.worth >= next_question.NEAR_BEST * best
            ]
            asked = next(one for one in view.candidates if one.fact == name)
            if next_question.worth_asking(asked):
                assert earlier == []
                compared += 1
    assert compared > 5


def test_in_order_asks_everything_in_the_order_of_the_questions():
    done = callers.interview(shop.chooser(in_order=True), callers.random_caller(shop.decider(), 1))
    names = [name for name, _, _ in done.asked]
    order = [name for name in shop.knowledge().questions if name in names]
    assert names == order and len(names) > next_question.MOST_QUESTIONS


def test_one_who_wants_to_go_on_is_asked_everything_that_is_left():
    done = interviews()[0]
    view = shop.chooser().view(State("x", car=done.state.car, said=done.state.said, onward=True))
    assert view.question is not None and view.reason == next_question.GOING_ON
    assert view.question not in done.state.said


def test_what_was_put_off_is_not_asked():
    view = shop.chooser().view(State("x", car="bramble-20t"))
    other = shop.chooser().view(State("x", car="bramble-20t", later=(view.question,)))
    assert other.question != view.question


#: Of a car not on file: what everybody knows of the engine and the car, and whether it can be measured.
TOLD_FIRST = {
    "main_use": "daily",
    "engine_state": "standard",
    "engine_torque": None,
    "engine_power": None,
    "displacement": 1998.0,
    "cylinders": 4.0,
    "aspiration": "turbo",
    "fuel": "petrol",
    "driven_axle": "front",
    "release_actuation": "cable",
}
MEASURED = {"spline", "bolt_pattern", "friction_diameter_max", "housing_depth"}


def not_on_file(apart, most=40):
    """(facts asked, last View, State) of a car not on file whose gearbox is out or not, answers drawn."""
    state, asked = State("x", car="", said={"kind_of_vehicle": Said("kind_of_vehicle", "car", "car")}), []
    for _ in range(most):
        view = shop.chooser().view(state)
        name = view.question
        if name is None:
            return asked, view, state
        asked.append(name)
        value = apart if name == "gearbox_out" else TOLD_FIRST[name] if name in TOLD_FIRST else _any_value(view)
        state = state.with_answers([Said(name, "", value)], {})
    raise AssertionError(f"no end after {most} questions")


def test_of_a_car_not_on_file_use_and_engine_are_asked_first_then_whether_it_can_be_measured():
    asked, view, _ = not_on_file(apart=False)
    assert asked[:2] == ["main_use", "engine_state"] and not MEASURED & set(asked)
    assert set(asked) == {*TOLD_FIRST, "gearbox_out"}
    assert set(view.known.missing) == MEASURED


def test_what_has_to_be_measured_is_asked_where_somebody_has_the_car_apart():
    asked, _, _ = not_on_file(apart=True)
    assert set(asked) > MEASURED
    assert max(asked.index(name) for name in TOLD_FIRST) < min(asked.index(name) for name in MEASURED)


#: What nobody asks of the driver of a standard car that goes to work and back.
SILLY = {
    "engine_torque",
    "engine_power",
    "boost_pressure",
    "overboost_percent",
    "nitrous_power",
    "nitrous_speed_rpm",
    "towed_mass",
    "oil_in_housing",
    "noise_when",
    "slip_when",
    "crank_end_float",
    "cover_clamp_measured",
    "kept_half",
    "launch_speed_rpm",
    "hard_launches_per_day",
    "clutchless_shifts",
}


@pytest.mark.parametrize("car", ["bramble-20t", "sedge-18", "teasel-10t"])
def test_a_standard_daily_car_is_asked_nothing_silly(car):
    said = {"main_use": Said("main_use", "", "daily"), "engine_state": Said("engine_state", "", "standard")}
    state = State("x", car=car, said=said)
    for _ in range(20):
        view = shop.chooser().view(state)
        assert view.question not in SILLY
        assert not SILLY & set(view.coming or ())
        if view.question is None:
            break
        state = state.with_answers([Said(view.question, "unknown", None)], {})
    assert view.question is None and view.standing.outcome == "recommended"


def test_what_the_fitter_measures_is_never_asked_of_a_caller():
    fitters = {name for name, one in shop.knowledge().questions.items() if one.fitter}
    assert {"crank_end_float", "cover_clamp_measured"} <= fitters
    for chooser in (shop.chooser(), shop.chooser(in_order=True)):
        for onward in (False, True):
            state = State("x", car="bramble-20t", onward=onward)
            _, known = shop.decider().gather(state.as_case())
            assert fitters <= set(known.open)
            for everything in (False, True):
                assert not fitters & set(chooser.sampler.open_facts(state, known, all_of_them=everything))


def _any_value(view):
    return view.callers.value(view.question, 1, shop.knowledge())


@pytest.mark.parametrize(
    "name",
    [
        name
        for name, fact in shop.knowledge().facts.items()
        if fact.source == "asked" and name in shop.knowledge().questions
    ],
)
def test_every_band_has_a_basis_and_stays_in_the_sane_range(name):
    fact = shop.knowledge().facts[name]
    for known in (
        {},
        {"stock_torque": 290.0, "stock_power": 150.0, "redline_rpm": 6800.0},
        {"engine_state": "standard", "stock_torque": 290.0, "stock_power": 150.0},
    ):
        band = plausible_draws.band(fact, known, shop.stock().kits)
        if band is None:  # nothing applies as things stand: never asked
            continue
        assert len(band.basis) > 5
        drawn, there = band.draw(np.linspace(0, 1, 101)[:-1])
        if band.values:
            assert set(drawn) <= set(range(len(band.values))) and set(band.values) <= set(fact.choices or band.values)
        else:
            assert fact.low <= drawn.min() and drawn.max() <= fact.high
            assert (np.diff(drawn[there]) >= 0).all()
        assert there.mean() == pytest.approx(1.0 - band.none, abs=0.011)


def test_of_a_pair_one_says_what_stands_and_the_weights_make_up_for_it():
    known = {"bedding_in_possible": True, "pedal_tolerance": "moderate", "hard_launches_per_day": 0.0}
    group, variant = np.divmod(np.arange(900), 3)
    for name in (*known, "oil_in_housing", "budget"):
        fact, standing = shop.knowledge().facts[name], known.get(name)
        settled = {"main_use": "daily", "present_clutch_condition": "slips"}
        band = plausible_draws.band(fact, settled, shop.stock().kits)
        drawn = sampling.draw(fact, band, group, variant == 1, standing)
        head, changed = variant == 0, variant == 1
        assert (drawn.other[head] != drawn.other[changed]).all()
        # Independently of how it was worked out: the share of the first of each group who say something else.
        assert drawn.odds == pytest.approx(drawn.other[head].mean(), abs=0.03)
        # Of those beside them it is the other way round, and weighed they are as many as the band says.
        weights = np.where(drawn.other, drawn.odds / (1 - drawn.odds), (1 - drawn.odds) / drawn.odds)[changed]
        assert weights[drawn.other[changed]].sum() / weights.sum() == pytest.approx(drawn.odds, abs=0.03)


def test_an_answer_taken_back_is_the_case_without_it():
    done = interviews()[0]
    _, view, state = next(asked for asked in done.asked if asked[1].reason == next_question.SETTLES)
    found = view.callers
    answers = [(name, row) for row in (1, 4) for name in found.facts if found.others[name][row]][:8]
    outcomes = shop.chooser().sampler.taken_back(found, answers, view.platform)
    before = list(found.outcomes)
    for (name, row), outcome in zip(answers, outcomes):
        assert tuple(outcome) == replay.decided(shop.chooser(), state, view, row, without=name)
    assert list(found.outcomes) == before and len(answers) == 8


def test_as_many_say_the_common_value_as_is_declared():
    fact = shop.knowledge().facts["torque_growth_percent"]
    band = plausible_draws.band(fact, {}, ())
    drawn, _ = band.draw(np.linspace(0, 1, 1001)[:-1])
    assert (drawn == fact.if_unknown.value).mean() == pytest.approx(fact.plausible[-1].share / 100, abs=0.01)
    assert drawn.max() == fact.plausible[0].band[2]


@functools.cache
def clashing():
    """A chooser whose rules cannot agree on callers with any noise on semi slicks: a factor is given twice."""
    content = shipped.content()
    (usual,) = [rule for rule in content.knowledge.rules if rule.id == "use-factor-road"]
    clash = dataclasses.replace(
        usual,
        id="clash-noise",
        all=(Condition("noise_tolerance", "is", "any"), Condition("tyre_grip", "is", "semi_slick")),
        any=(),
        conclude=(Conclusion("use_factor", 1.3),),
    )
    known = dataclasses.replace(content.knowledge, rules=(*content.knowledge.rules, clash))
    return Chooser(Sampler(plain_decider_of(dataclasses.replace(content, knowledge=known))))


def test_callers_the_rules_cannot_agree_on_do_not_stop_the_interview():
    said = {"main_use": Said("main_use", "daily", "daily"), "engine_torque": Said("engine_torque", "430 Nm", 430.0)}
    view = clashing().view(State("x", car="bramble-20t", said=said))
    assert view.standing.pick and view.question


def test_a_case_the_rules_cannot_agree_on_is_an_error_that_names_both():
    said = {
        name: Said(name, value, value)
        for name, value in (("main_use", "daily"), ("noise_tolerance", "any"), ("tyre_grip", "semi_slick"))
    }
    said["engine_torque"] = Said("engine_torque", "430 Nm", 430.0)
    with pytest.raises(ConflictError) as caught:
        clashing().view(State("x", car="bramble-20t", said=said))
    assert "clash-noise" in str(caught.value) and "use-factor-road" in str(caught.value)


#: Questions on figures of the engine and on days of use, which other answers point to as well.
ELSEWHERE = {"power_measured_at", "engine_changes", "quarter_mile_speed", "launch_days_per_year", "torque_measured_at",
             "engine_power_speed_rpm", "cover_clamp_measured", "gearbox_out"}  # fmt: skip


def test_what_is_seldom_is_asked_only_where_something_points_there():
    """Which questions those are, and which answers point there, is written down here once more."""
    pointing = {
        "held_by_launch_control": ({"hard_launches_per_day": 3.0}, {"main_use": "rally"}),
        "anti_lag": ({"main_use": "drag_only"},),
        "cover_history": ({"kept_half": "cover"},),
        "kept_half": ({"present_clutch_condition": "not_fitted"},),
        "towed_mass": ({"main_use": "towing"}, {"hill_starts": "often"}),
        "converted_from_automatic": ({"spline": "28 x 25 mm"}, {"first_gear_ratio": 3.1}),
        "motor_torque_added": ({"hybrid_drive": "after_clutch"},),
    }
    questions = shop.knowledge().questions
    assert {name for name, one in questions.items() if one.pointed} == {
        *pointing,
        "kind_of_vehicle",
        "gearbox_out",
        "hybrid_drive",
        "cover_self_adjusts",
        *ELSEWHERE,
    }
    sampler = shop.chooser().sampler
    for name, several in pointing.items():
        for said in ({}, *several):
            state = State("x", car="bramble-20t", said={one: Said(one, "", value) for one, value in said.items()})
            _, known = shop.decider().gather(state.as_case())
            assert (name in sampler.open_facts(state, known)) == bool(said), (name, said)
    # Who wants to go on is asked them once everything else has been said.
    state = State("x", car="bramble-20t", onward=True)
    _, known = shop.decider().gather(state.as_case())
    said = {one: Said(one, "", None) for one in sampler.open_facts(state, known)}
    rest = sampler.open_facts(dataclasses.replace(state, said=said), known)
    away = {name for name, one in questions.items() if one.unless}
    assert set(rest) - ELSEWHERE - away == {name for name in pointing if name in known.open}
    assert len(set(rest) - ELSEWHERE - away) == len(pointing)


def test_a_car_on_file_is_never_asked_what_kind_of_vehicle_it_is_and_another_is_asked_first():
    assert shop.chooser().view(State("x", car="")).question == "kind_of_vehicle"
    state = State("x", car="bramble-20t")
    _, known = shop.decider().gather(state.as_case())
    assert "kind_of_vehicle" not in shop.chooser(in_order=True).sampler.open_facts(state, known, all_of_them=True)


@pytest.mark.parametrize("kind", ["motorcycle", "heavy_lorry"])
def test_what_is_declined_is_asked_nothing_more(kind):
    said = {"kind_of_vehicle": Said("kind_of_vehicle", kind, kind)}
    view = shop.chooser().view(State("x", car="", said=said))
    assert view.question is None and view.standing.outcome == "no_kit_fits"
    view = shop.chooser().view(State("x", car="", said={"kind_of_vehicle": Said("kind_of_vehicle", "car", "car")}))
    assert view.question is not None and view.standing.outcome == "need_more_answers"


def test_towing_does_not_stop_without_the_trailer():
    """Nothing else is worth asking, and still its mass is asked; who does not know it is let go."""
    state = State("x", car="tansy-20d").with_answers(
        [Said("main_use", "towing", "towing"), Said("engine_state", "standard", "standard")], {}
    )
    asked = []
    for _ in range(40):
        view = shop.quick().view(state)
        if view.question is None:
            break
        asked.append(view.question)
        state = state.with_answers([Said(view.question, "unknown", None)], {})
    assert "towed_mass" in asked and view.question is None
