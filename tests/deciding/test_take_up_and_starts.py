"""Take-up and hill starts through whole decisions on the invented shop's cars."""

import functools
import random

import pytest

from advisor.deciding.expectations import cautions
from advisor.knowledge.case_model import Answer, Case

from ..rules.shop import knowledge, plain, shop

CARS = [each.id for each in shop().platforms]


@functools.cache
def decided(car):
    return decide(car)


def decide(car, **answers):
    return plain().decide(asked(car, answers))


def asked(car, answers):
    base = {"main_use": "daily", "engine_state": "standard", "sanctioned_racing": False, "take_up_tolerance": "smooth"}
    told = {name: Answer(value, "stated") for name, value in {**base, **answers}.items() if value is not None}
    return Case("test", car, told)


def facts_of(car, **answers):
    """The facts of such a case, its kits left unjudged."""
    _, known = plain().gather(asked(car, answers))
    return plain().derive("case", known.facts, known.answered).facts


def window(decision, kit):
    return decision.figures.value("take_up_window_mm", 0, decision.kits.index[kit])


@pytest.mark.parametrize("car", CARS)
def test_a_factory_clutch_has_room_at_the_pedal_and_solid_packs_have_none(car):
    """15 to 30 mm on a hill and about 10 on the flat for factory singles, under 5 for solid discs (computed, no print);
    the saloon of 1600 kg behind the tallest first gear needs the most torque to move off and has a little more."""
    decision = decided(car)
    factory = window(decision, f"factory-{car}")
    assert 15 <= factory <= 33
    assert 6 <= decision.figures.value("flat_window_mm", 0, decision.kits.index[f"factory-{car}"]) <= 17
    fitting = [kit for kit in shop().kits if car in kit.fields["fits"]]
    solid = [window(decision, kit.id) for kit in fitting if kit.fields["hub"] == "solid"]
    assert all(each < 5 and each < factory / 4 for each in solid)
    packs = [window(decision, kit.id) for kit in fitting if kit.fields["discs"] > 1]
    assert packs and max(packs) < 0.6 * factory


def test_the_wish_names_the_torque_and_the_ratio():
    decision = decided("bramble-20t")
    (wish,) = [each.requirement for each in decision.checks if each.requirement.id == "take-up-smooth-wish"]
    rule = next(each for each in knowledge().rules if wish in each.require)
    assert {"hill_bite_torque", "overall_ratio"} <= {
        name for name in ("hill_bite_torque", "overall_ratio") if f"{{{name}}}" in rule.because
    }
    facts = decision.derivation.facts
    assert facts["hill_bite_torque"] == pytest.approx(64, abs=0.5)
    assert facts["overall_ratio"] == pytest.approx(16.68, abs=0.02)


@pytest.mark.parametrize(
    "mass, expected",
    [(None, set()), (2100.0, set()), (2300.0, {"hill-start-doubtful"}), (3000.0, {"hill-start-cannot"})],
)
def test_what_a_small_engine_is_told_about_its_trailer(mass, expected):
    """123 N m at 2000 rpm: 1.25 times the load of 3,260 kg on 12 %, 1.10 times that of 3,700; the car has 1,120."""
    decision = decide("teasel-10t", main_use="towing", towed_mass=mass)
    assert set(cautions(decision)) & {"hill-start-doubtful", "hill-start-cannot"} == expected


MORE = {"towed_mass": (0, 3500), "vehicle_mass": (800, 3000), "hill_grade": (12, 30), "start_altitude": (0, 3000)}


@pytest.mark.parametrize("car", CARS)
def test_more_to_pull_never_cools_a_start_and_more_torque_never_weakens_the_engine(car):
    draw = random.Random(car)
    for _ in range(4):
        answers = {
            "main_use": "towing",
            "hill_starts": "often",
            **{name: round(draw.uniform(*ends)) * 1.0 for name, ends in MORE.items()},
        }
        here = facts_of(car, **answers)
        least = here["train_inertia"] * (here["start_speed_rpm"] * 3.141592654 / 30) ** 2 / 2
        assert least < here["start_energy_hill"] <= 5.001 * least
        name = draw.choice(list(MORE))
        further = draw.uniform(answers[name], MORE[name][1])
        there = facts_of(car, **{**answers, name: further})
        assert there["start_energy_hill"] >= here["start_energy_hill"] * (1 - 1e-7), (name, answers, further)
        stock = here["stock_torque"]
        stronger = [
            facts_of(car, **answers, engine_state="modified", engine_torque=stock * by, torque_measured_at="flywheel")
            for by in (1.0, 1.2, 2.0)
        ]
        for name in ("engine_start_torque", "required_torque", "hill_start_torque"):
            values = [facts[name] for facts in stronger]
            assert values == sorted(values), name
