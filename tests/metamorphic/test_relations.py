"""Some callers on each relation, the planted faults that must be noticed, single decisions against batch rows."""

import dataclasses

import pytest

from advisor.deciding.outcomes import outcome_of
from advisor.deciding.recording import record
from advisor.deciding.upstream import limit_facts
from advisor.deciding.verdicts import FAIL
from advisor.knowledge.case_model import Answer, Case
from advisor.knowledge.model import Condition, Unknown

from .partial import car_fields_left_out
from .relations import ALL, MUST_MEET
from .world import World

#: Cars of the callers: those of one car are decided together, and no relation is about the car.
CARS = ("bramble-20t", "sedge-18")
#: Callers of a relation, of one whose class must be met, and those among whom a planted fault must show;
#: `tests.full metamorphic` takes 5,000 on every car, and 60 other stocks.
SOME, MET, CALLERS, STOCKS = 20, 40, 40, 3
#: Relations whose class is met by about one caller in a hundred take more.
MORE = {
    "looser wish: pedal": 160, "looser wish: noise": 80, "looser wish: take_up": 80,
    "a field of kits left out": 40, "two fields of kits left out": 40,
}  # fmt: skip
#: Of whom each is decided by himself, fewer do.
FEWER = {"a better-known answer": 16, "a field of the car left out": 24, "two fields of the car left out": 24}
#: What is met by few stocks takes more of them.
MORE_STOCKS = {
    "a field of kits left out": 9, "two fields of kits left out": 5, "a kit more that is worse in every respect": 4,
}  # fmt: skip
#: The car on which faults in what a car leaves out show: one by its factory clutch close to what its crankshaft stands.
CLOSE = "sedge-18"


@pytest.fixture(scope="module")
def world(content):
    return World(content).with_records(platforms=[one for one in content.platforms if one.id in CARS])


def of_one_car(world, car):
    """A World of callers with that car."""
    return world.with_records(platforms=[one for one in world.platforms if one.id == car])


@pytest.fixture(scope="module")
def worlds(world):
    """A World of each car's callers: relations of which few callers show enough take one of them, in turn."""
    return [of_one_car(world, car) for car in CARS]


@pytest.mark.parametrize("name", list(ALL))
def test_relation(name, world, worlds):
    if name.startswith(("more ", "looser wish: ", "other ")) and name not in MORE:
        world = worlds[list(ALL).index(name) % len(worlds)]
    count = {**MORE, **FEWER}.get(name, MET if name in MUST_MEET else SOME)
    tally = ALL[name](world, range(count), MORE_STOCKS.get(name, STOCKS))
    assert not tally.unexplained, "\n".join(tally.unexplained[:5])
    assert tally.pairs >= count * 0.9
    if name in MUST_MEET:
        assert tally.classes[MUST_MEET[name]] > 0, tally.told()


def changed(world, *, rules=None, facts=None, first_of_any=(), only=None):
    """A World with a fault planted.

    ``rules``: requirement id -> what of it to replace; ``facts``: name -> likewise; ``first_of_any``: rules that keep
    only the first of their alternatives; ``only``: rule id -> a Condition it holds under besides its own.
    """
    known = world.content.knowledge
    mended = []
    for rule in known.rules:
        require = tuple(dataclasses.replace(one, **(rules or {}).get(one.id, {})) for one in rule.require)
        kept = rule.any[:1] if rule.id in first_of_any else rule.any
        every = (*rule.all, only[rule.id]) if only and rule.id in only else rule.all
        mended.append(dataclasses.replace(rule, require=require, all=every, any=kept))
    other = {name: dataclasses.replace(fact, **(facts or {}).get(name, {})) for name, fact in known.facts.items()}
    return World(
        dataclasses.replace(world.content, knowledge=dataclasses.replace(known, rules=tuple(mended), facts=other))
    )


#: Relation -> a fault that it must notice.
FAULTS = {
    # Whoever needs much is no longer asked for a clutch that holds it.
    "more torque": {"only": {"holds-worn-and-warm": Condition("required_torque", "below", 500.0)}},
    "looser wish: noise": {"rules": {"noise-some-must": {"limit": -1.0}}},
    "looser wish: pedal": {"rules": {"pedal-force-limit": {"compare": "at_least"}}},
}


def planted(name, world):
    """The World with the fault of a relation; requirement ids are looked up, so that a renamed one is an error."""
    fault = FAULTS[name]
    ids = {one.id for rule in world.knowledge.rules for one in rule.require}
    assert set(fault.get("rules", ())) <= ids and set(fault.get("facts", ())) <= set(world.knowledge.facts)
    assert set(fault.get("only", ())) <= {rule.id for rule in world.knowledge.rules}
    return changed(world, **fault)


@pytest.mark.parametrize("name", list(FAULTS))
def test_a_planted_fault_is_noticed(name, world):
    assert ALL[name](planted(name, of_one_car(world, CARS[0])), range(CALLERS), STOCKS).unexplained


#: Fields of a car -> a fact that is no longer taken hard enough, or no longer named.
LEFT_OUT_FAULTS = {
    "stock.clutch": {"facts": {"factory_release_load": {"if_unknown": Unknown("worst", value=5000.0)}}},
    # A face whose inner diameter is not known counts as known: then no limit is posted at all.
    "thrust_face.inner_diameter": {"first_of_any": ("thrust-floor-none",)},
}


@pytest.mark.parametrize("path", list(LEFT_OUT_FAULTS))
def test_a_planted_fault_in_what_a_car_leaves_out_is_noticed(path, world):
    alone = of_one_car(world, CLOSE)
    assert not car_fields_left_out(alone, range(CALLERS), paths=[path]).unexplained
    other = changed(alone, **LEFT_OUT_FAULTS[path])
    assert car_fields_left_out(other, range(CALLERS), paths=[path]).unexplained


def test_rows_of_the_batch_are_single_decisions(world):
    cases = [world.caller(seed) for seed in range(12)]
    for case, judged in zip(cases, world.judged(cases), strict=True):
        decision = world.decider.decide(case)
        assert tuple(judged.whole) == tuple(outcome_of(decision))
        if decision.figures is not None:
            assert judged.passes == {decision.kits.ids[place] for place in decision.order}
            assert list(judged.ladder) == [decision.kits.ids[place] for place in decision.order]
            if not decision.order:
                lacking = world.decider.batch.lacking(judged.batched, judged.row)
                careful = world.decider.batch.taken_careful(judged.batched, judged.row)
                asks = world.decider.batch.asks(judged.batched, judged.row)
                assert world.decider.batch.ask_maker(judged.batched, judged.row) == decision.ask_maker
                assert (asks, tuple(sorted({*lacking.not_on_file, *careful}))) == (
                    decision.asks,
                    decision.not_on_file,
                )


def test_the_wheelbase_is_not_asked_for_as_the_mass_of_a_floater(world):
    """What the record of the car lacks is the car's; with only a share of the weight on file a kit is still found."""
    platforms = [
        dataclasses.replace(
            one, fields={name: value for name, value in one.fields.items() if name not in ("wheelbase", "cg_height")}
        )
        for one in world.platforms
    ]
    poorer = world.with_records(platforms=platforms)
    cases = [world.caller(seed) for seed in range(60)]
    for case, before, after in zip(cases, world.judged(cases), poorer.judged(cases), strict=True):
        assert (before.pick is None) == (after.pick is None), case.id
        if case.platform:
            assert {"wheelbase", "cg_height"} <= after.assumed()


def test_what_is_not_on_file_is_named_in_the_record(world):
    """Half a thrust face: the limit is posted from the factory clutch alone, and the record says what the car lacks."""

    def without(platform):
        return dataclasses.replace(
            platform,
            fields={name: value for name, value in platform.fields.items() if name != "thrust_face.inner_diameter"},
        )

    poorer = of_one_car(world.with_records(platforms=[without(one) for one in world.platforms]), CLOSE)
    named = 0
    for seed in range(10):
        case = poorer.caller(seed)
        if not case.platform:
            continue
        decision = poorer.decider.decide(case)
        if decision.figures is None:
            continue
        limits = [
            one for one in decision.checks if one.requirement.measure == "bearing_load_n" and one.requirement.safety
        ]
        assert limits
        made = record(decision, []).data
        if decision.outcome != "recommended" and any((one.status[0] == FAIL).any() for one in limits):
            assert "thrust_face_inner_diameter" in made["not_on_file"]
            named += 1
    assert named > 0


def test_a_torque_not_on_file_is_named_where_it_stands_behind_a_figure(content):
    """Without the factory's torque a petrol engine counts as let in at 2000 rpm, not 1500: no kit starts it."""

    def without(platform):
        kept = {name: value for name, value in platform.fields.items() if name != "stock.torque"}
        return dataclasses.replace(platform, fields=kept)

    whole_shop = World(content)
    poorer = whole_shop.with_records(platforms=[without(one) for one in whole_shop.platforms])
    answers = {
        "engine_torque": 450.0, "torque_measured_at": "flywheel", "main_use": "towing", "towed_mass": 2500.0,
        "fuel": "petrol", "hill_starts": "often", "sanctioned_racing": False,
    }  # fmt: skip
    case = Case("trailer", "blackthorn-58", {name: Answer(value) for name, value in answers.items()})
    whole, poor = whole_shop.decider.decide(case), poorer.decider.decide(case)
    assert whole.outcome == "recommended" and (poor.outcome, poor.not_on_file) == ("no_kit_fits", ("stock_torque",))
    # It stands in no limit of what fails: only who looks behind the heat figures finds it.
    failing = [checked.requirement for checked in poor.checks if (checked.status == FAIL).any()]
    assert failing and not any("stock_torque" in limit_facts(requirement) for requirement in failing)
