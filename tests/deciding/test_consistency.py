"""Contradictions among answers: ranges contradict only as a whole, records only of a standard engine; one case and
many.
"""

import dataclasses

import pytest

from advisor.knowledge.case_model import Answer, Case
from tests.rules.shop import both, knowledge, plain, shop
from tests.simulated.callers import caller
from tests.simulated.contradictions import KINDS, planted

#: 280 kW at 6000 rpm is 445.6 N m by P = T omega (definition of power): 1.14 times the middle of 330 to 450 N m.
POWER = {
    "engine_power": 280.0,
    "engine_power_speed_rpm": 6000.0,
    "power_measured_at": "flywheel",
    "torque_measured_at": "flywheel",
}


def clashes(decider, case):
    return decider.gather(case)[1].clashes.clashes


def ids(decider, answers, platform="gorse-25t"):
    return [one.id for one in clashes(decider, case_of(answers, platform))]


def case_of(answers, platform="gorse-25t"):
    answers = {"main_use": "daily"} | answers
    answers = {name: one if isinstance(one, Answer) else Answer(one, "stated") for name, one in answers.items()}
    return Case("told", platform, answers)


@pytest.mark.parametrize(
    "low, high, contradicts", [(330.0, 450.0, False), (380.0, 400.0, True), (390.0, 390.0, True), (405.0, 500.0, False)]
)
def test_a_range_contradicts_only_where_all_of_it_does(low, high, contradicts):
    answers = {"engine_torque": Answer((low + high) / 2, "stated", low, high), **POWER}
    for decider in (plain(), both()):
        assert ("torque-below-power" in ids(decider, answers)) == contradicts
    # The batch looks for itself where nobody has looked; a range of one row leaves the next row alone.
    known = [plain().gather(case_of(one))[1] for one in (answers, answers, {"engine_torque": 390.0, **POWER})]
    unlooked = [dataclasses.replace(one, clashes=None, missing=()) for one in known]
    outcomes = plain().batch.outcomes(unlooked, plain().gather(case_of(answers))[0])
    assert [one.outcome == "need_more_answers" for one in outcomes] == [contradicts, contradicts, True]


def test_a_record_that_says_natural_is_not_true_of_a_car_since_given_a_turbo():
    platform = next(one.id for one in shop().platforms if one.fields["engine.aspiration"] == "natural")
    boost = {"boost_pressure": 0.6}
    assert ids(both(), boost, platform) == []
    assert ids(both(), boost | {"engine_state": "modified"}, platform) == []
    assert ids(both(), boost | {"engine_state": "standard"}, platform) == ["boost-on-natural"]
    assert ids(both(), boost | {"aspiration": "natural"}, platform) == ["boost-on-natural"]


def test_what_is_planted_beyond_a_tenth_of_honest_errors_is_found():
    # Sizes go round in tests/simulated/contradictions.py: the third and fourth round plant the larger ones.
    for seed in range(2 * len(KINDS), 4 * len(KINDS)):
        plant = planted(seed, shop().platforms)
        assert plant.size in ("middle", "gross", "clash")
        found = {fact for clash in clashes(plain(), plant.case(knowledge())) for fact in clash.facts}
        assert found & set(plant.facts), (seed, plant.kind)


def test_300_callers_who_err_honestly_contradict_nothing():
    for seed in range(300):
        assert not clashes(plain(), caller(seed, shop().platforms).case(knowledge())), seed
