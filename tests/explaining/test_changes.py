"""Smallest changes of answers: each does what it claims, no part of it is enough, no number needs go so far."""

from itertools import combinations, product

import pytest

from advisor.deciding import smallest_changes, variants
from advisor.deciding.upstream import Upstream
from advisor.knowledge.case_model import Answer, Case
from tests.callers import picked

#: Case -> kits to ask for; None for any kit where none fits. Every case by `tests.full explaining`.
ASKED = {
    "mild-street-tune": ["factory-bramble-20t"],
    "stock-tired-clutch": ["dunmere-240-s4"],
    "nothing-fits": [None, "dunmere-240-s5"],
}
PAIRS = [(case, kit) for case, kits in ASKED.items() for kit in kits]


def unsound(decider, case, kit, search):
    """(change sets, decisions made, faults): every set of a search held against deciding again, one by one."""
    facts, known = decider.knowledge.facts, search.tries.known
    decided, faults = 0, []

    def picks(answers):
        nonlocal decided
        decided += 1
        return picked(decider, smallest_changes.changed(case, dict(answers)))

    def wanted(pick):
        return pick is not None if kit is None else pick == kit

    found = search.best()
    for one in found:
        if picks(one.answers) != one.pick or not wanted(one.pick):
            faults.append(f"{one.answers} does not lead to {one.pick}")
        for size in range(1, len(one.answers)):
            for part in combinations(one.answers, size):
                if wanted(picks(part)):
                    faults.append(f"{part} is enough of {one.answers}")
        for name, value in one.answers:
            fact = facts[name]
            if not (
                fact.source == "asked" and fact.offered and not fact.safety and fact.changeable in ("costs", "free")
            ):
                faults.append(f"{name} is never to be offered")
            step = smallest_changes.nearer(fact, known.facts[name], value)
            if step is not None:
                others = [pair for pair in one.answers if pair[0] != name]
                if wanted(picks([*others, (name, step)])):
                    faults.append(f"{name} need not go as far as {value}")
                if abs(abs(value - step) - fact.resolution) > 1e-9:
                    faults.append(f"{name}: {step} is not one step from {value}")
    return len(found), decided, faults


@pytest.mark.parametrize(("name", "kit"), PAIRS)
def test_sound_and_minimal(name, kit, plain_decider, shipped_cases):
    case = shipped_cases[name]
    search = smallest_changes.smallest_changes(
        plain_decider, plain_decider.decide(case), None if kit is None else (kit,)
    )
    count, decided, faults = unsound(plain_decider, case, kit, search)
    assert faults == []
    assert count >= 1 and decided >= 2


def test_no_choice_alone_or_in_pairs_is_missed(plain_decider, shipped_cases):
    """By brute force over every choice that may be offered, one and two at a time."""
    case = shipped_cases["nothing-fits"]
    search = smallest_changes.smallest_changes(plain_decider, plain_decider.decide(case))
    facts, known = plain_decider.knowledge.facts, search.tries.known
    options = {
        name: (
            [not known.facts[name]]
            if fact.kind == "flag"
            else [one for one in fact.choices if one != known.facts[name]]
        )
        for name, fact in facts.items()
        if smallest_changes.can_change(fact) and name in known.facts and (fact.kind == "flag" or fact.choices)
    }
    working = set()
    for size in (1, 2):
        for names in combinations(sorted(options), size):
            for values in product(*(options[name] for name in names)):
                variant = frozenset(zip(names, values))
                if any(one < variant for one in working):
                    continue
                if picked(plain_decider, smallest_changes.changed(case, dict(variant))) is not None:
                    working.add(variant)
    found = {
        frozenset(one.answers)
        for one in search.found
        if all(name in options for name, _ in one.answers) and len(one.answers) <= 2
    }
    assert found == working and working


def test_the_threshold_of_a_number_by_walking(plain_decider, shipped_cases):
    """The factory clutch's torque limit, found by walking one newton metre at a time."""
    case = shipped_cases["mild-street-tune"]
    search = smallest_changes.smallest_changes(plain_decider, plain_decider.decide(case), ("factory-bramble-20t",))
    ((name, value),) = next(one.answers for one in search.best() if one.answers[0][0] == "engine_torque")
    walked = case.answers[name].value
    while True:
        walked -= 1.0
        if picked(plain_decider, smallest_changes.changed(case, {name: walked})) == "factory-bramble-20t":
            break
    assert walked == value


def test_nothing_to_change_where_it_is_so_already(plain_decider, shipped_cases):
    case = shipped_cases["mild-street-tune"]
    decision = plain_decider.decide(case)
    search = smallest_changes.smallest_changes(plain_decider, decision, (decision.kits.ids[decision.pick],))
    assert search.best() == [] and search.reached(search.now)


def test_no_change_is_offered_that_the_record_of_the_car_denies(plain_decider):
    answers = {"main_use": "towing", "engine_state": "standard", "towed_mass": 5000.0}
    case = Case("overloaded", "blackthorn-58", {name: Answer(value) for name, value in answers.items()})
    decision = plain_decider.decide(case)
    assert decision.outcome == "no_kit_fits"
    search = smallest_changes.Search(plain_decider, decision, None)
    search.alone()
    assert "tyre_radius" in {name for one in search.found for name, _ in one.answers}  # tyres a seventh smaller
    search.drop_what_contradicts()
    assert "tyre_radius" not in {name for one in search.found for name, _ in one.answers}


def test_a_kit_in_whose_way_no_answer_stands_is_not_searched_for(plain_decider, shipped_cases):
    case = shipped_cases["mild-street-tune"]
    search = smallest_changes.smallest_changes(plain_decider, plain_decider.decide(case), ("dunmere-260-s4",))
    assert search.best() == [] and search.blocked["dunmere-260-s4"] and search.tries.count == 1


def test_what_cannot_bear_on_a_must_never_changes_it(content, plain_decider, shipped_cases):
    """The short cut itself: facts outside the dependencies of a must leave its status alone."""
    case = shipped_cases["mild-street-tune"]
    before, upstream = plain_decider.decide(case), Upstream(content.knowledge)
    tried = 0
    for change in (
        {"noise_tolerance": "any"},
        {"pedal_tolerance": "heavy"},
        {"engine_torque": 500.0},
        {"bedding_in_possible": False},
    ):
        after = plain_decider.decide(smallest_changes.changed(case, change))
        statuses = {one.requirement.id: one.status.tolist() for one in after.checks}
        for one in before.checks:
            if not upstream.of_requirement(one.requirement) & set(change):
                assert statuses.get(one.requirement.id) == one.status.tolist(), (change, one.requirement.id)
                tried += 1
    assert tried > 50


def test_steps_stand_on_the_resolution_and_inside_the_range(content):
    fact = content.knowledge.facts["engine_torque"]
    axis = variants.Axis(fact, 430.4, up=False)
    assert [axis.value(step) for step in (1, 2)] == [430.0, 429.0]
    assert axis.value(axis.steps()) == fact.low
    up = variants.Axis(fact, 430.4, up=True)
    assert up.value(1) == 431.0 and up.value(up.steps()) == fact.high
    assert variants.Axis(fact, 430.0, up=False).value(1) == 429.0
    assert smallest_changes.nearer(fact, 430.0, 400.0) == 401.0 and smallest_changes.nearer(fact, 430.0, 429.0) is None


def test_the_record_tells_the_changes_where_no_kit_fits(views, plain_decider, shipped_cases):
    told = views["nothing-fits"].record.no_fit.changes
    assert told
    for one in told:
        assert {"sentence", "answers", "outcome", "pick"} <= set(one)
        decision = plain_decider.decide(smallest_changes.changed(shipped_cases["nothing-fits"], one["answers"]))
        assert (decision.outcome, decision.kits.ids[decision.pick]) == (one["outcome"], one["pick"])
