"""Steps a driver can feel: where a value at an edge stands, and that within a step pedal, price and shelf decide."""

import dataclasses
from decimal import Context, Decimal

import pytest

from advisor.deciding import ladder
from advisor.deciding.decide import Decider, Shop
from advisor.deciding.recording import record
from advisor.engine.plain import compile_plain
from advisor.knowledge.case_model import Answer, Case
from advisor.knowledge.model import STAGES, Basis, Record, Step
from tests.callers import caller, plain_decider_of

TENTH = Step("clamp_load", 0.1, 1000.0, "N", "", Basis("judgement"))
NINE = Context(prec=9)
BASE = "pellworth-240-s1"


@pytest.mark.parametrize("power", range(-40, 41))
def test_an_edge_to_nine_digits_belongs_to_the_step_it_begins(power):
    """Against exact decimals: the edge itself, and what lies next to it by more than nine digits can hide."""
    edge = NINE.plus(1000 * Decimal("1.1") ** power)
    digit = Decimal(10) ** (edge.adjusted() - 8)
    assert ladder.step_number(float(edge), TENTH) == power
    assert ladder.step_number(float(edge + 100 * digit), TENTH) == power
    assert ladder.step_number(float(edge - 100 * digit), TENTH) == power - 1


@pytest.mark.parametrize(
    "one, other, near", [(7700, 8469, True), (7700, 8470, False), (1331, 1330, True), (1100, 1209, True)]
)
def test_less_than_a_step_apart_on_either_side_of_an_edge(one, other, near):
    assert ladder.less_than_a_step(one, other, TENTH) is near
    assert ladder.less_than_a_step(other, one, TENTH) is near


def decided(content, *others):
    """The record for a mild road car whose shop has the base kit and others like it, changed as told."""
    base = next(kit for kit in content.kits if kit.id == BASE)
    kits = tuple(kit for kit in content.kits if kit.fields["factory"] or kit.id == BASE)
    kits += tuple(Record("kit", name, {**base.fields, **fields}) for name, fields in others)
    engines = {stage: compile_plain(content.knowledge, stage) for stage in STAGES}
    shop = Shop(kits, content.platforms, content.parts)
    decider = Decider(content.knowledge, shop, lambda stage, facts, answered: engines[stage].derive(facts, answered))
    answers = {"main_use": "daily", "engine_torque": 370.0, "torque_measured_at": "flywheel"}
    case = Case("road", "bramble-20t", {name: Answer(value) for name, value in answers.items()})
    return record(decider.decide(case), []).data


def loads(content):
    fields = next(kit for kit in content.kits if kit.id == BASE).fields
    return fields["clamp_load"], fields["release_load"], fields["price"]


def test_the_sensible_kit_stands_before_one_with_a_little_less_clamp_load(content):
    """One per cent less clamp load, a heavier pedal, three times the price and none on the shelf is not the least."""
    clamp, release, price = loads(content)
    folly = {"clamp_load": 0.99 * clamp, "release_load": 1.15 * release, "price": 3 * price, "stock": 0.0}
    assert ladder.step_number(0.99 * clamp, TENTH) == ladder.step_number(clamp, TENTH)
    made = decided(content, ("a-folly", folly))
    assert made["pick"]["kit"] == BASE
    assert made["near_equals"] == []


def test_across_an_edge_the_sensible_kit_is_a_near_equal(content):
    clamp, release, price = loads(content)
    edge = 1000 * 1.1 ** float(ladder.step_number(clamp, TENTH))
    below = {"clamp_load": 0.999 * edge, "release_load": 1.02 * release, "price": 3 * price, "stock": 0.0}
    made = decided(
        content,
        ("a-folly", below),
        ("just-above", {"clamp_load": 1.001 * edge, "release_load": 0.98 * release, "stock": 2.0}),
    )
    assert made["pick"]["kit"] == "a-folly"
    near = {one["kit"]: one for one in made["near_equals"]}
    assert near["just-above"]["behind_by"] == "clamp_load"
    assert near["just-above"]["stock"] == {"pick": False, "kit": True}
    told = {one["figure"]: one["difference"] for one in near["just-above"]["differences"]}
    assert told["pedal_force_n"] < 0 and told["total_price"] < 0


@pytest.mark.parametrize(
    "fields, first",
    [
        ({"price": 300.0}, True),
        ({"price": 400.0}, False),
        ({"stock": 0.0}, False),
        ({"release_load": 1800.0, "price": 400.0}, True),
        ({"release_load": 2225.0, "price": 400.0}, False),
    ],
)
def test_within_a_step_pedal_then_price_then_shelf_decide(fields, first, content):
    made = decided(content, ("another", fields))
    assert made["pick"]["kit"] == ("another" if first else BASE)


def test_the_order_hangs_on_nothing_else_on_sale(content, plain_decider):
    """Any two kits stand to one another as they do in the whole shop."""
    for seed in (1, 5, 8, 13):
        case = caller(seed, content)
        whole = plain_decider.decide(case)
        if whole.pick is None:
            continue
        order = [whole.kits.ids[index] for index in whole.order]
        kept = {order[0], *order[1::2]}
        needed = {car.fields["stock.clutch"] for car in content.platforms}
        kits = tuple(kit for kit in content.kits if kit.id in kept | needed)
        fewer = plain_decider_of(dataclasses.replace(content, kits=kits)).decide(case)
        found = [fewer.kits.ids[index] for index in fewer.order]
        assert [kit for kit in found if kit in kept] == [kit for kit in order if kit in kept]
