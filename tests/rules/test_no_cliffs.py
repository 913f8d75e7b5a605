"""No small change of an answer makes a large change of a number.

A rule that sets a number by above, below, at least or at most of something continuous is a cliff unless both sides
meet at the limit. Every such rule is listed here with the reason, and both sides are worked out next to the limit.
"""

from dataclasses import replace

import numpy as np
import pytest

from advisor.deciding.answers import counted, gather
from advisor.deciding.consistency import Clashes
from advisor.deciding.variants import changed
from advisor.engine.plain import compile_plain
from advisor.knowledge.model import ORDERED_TESTS, FactRef
from tests.callers import caller

from .shop import knowledge

#: How far a fact is moved, and how far a number may move with it; both as parts of themselves. A number that is the
#: small rest of two large ones moves further, and smoothly: it is held against what it is told in, where that is more.
NUDGE, MOVES = 1e-6, 2e-4


def continuous(fact):
    return fact.kind == "number" and not fact.choices


def behind_a_limit(rule):
    """Names of the continuous facts a rule holds against a limit."""
    facts = knowledge().facts
    return {one.fact for one in rule.conditions if one.test in ORDERED_TESTS and continuous(facts[one.fact])}


def setting_numbers():
    """Ids of the rules that set a number behind such a limit."""
    facts = knowledge().facts
    return {
        rule.id
        for rule in knowledge().rules
        if behind_a_limit(rule) and any(continuous(facts[one.fact]) for one in rule.conclude)
    }


#: The lower of two numbers is written as two rules; they meet where the numbers are equal.
#: rule -> (its other side, what both set, the fact that is moved, what it is held against, what else is given)
LOWER_OF_TWO = {
    "launch-grip-limited": (
        "launch-grip-enough",
        "launch_torque",
        "launch_torque_wanted",
        "grip_torque",
        {"weight_on_driven": 0.6},
    ),
    "fuse-part-weaker": ("fuse-gearbox-weaker", "fuse_rating", "next_weakest_rating", "gearbox_torque_rating", {}),
}

#: Rules that post a requirement behind such a limit, and why that is no cliff.
POSTING = {
    "thrust-load-known": "posts the limit that thrust-load-handbook posts as well; only the words differ",
    "thrust-load-handbook": "posts the limit that thrust-load-known posts as well; only the words differ",
    "thrust-load-wish": "posts the limit that thrust-load-wish-handbook posts as well; only the words differ",
    "thrust-load-wish-handbook": "posts the limit that thrust-load-wish posts as well; only the words differ",
    "grey-iron-speed": "is the speed limit of the flywheel that is on the car, and a limit has an edge",
    "skin-cooler": "speaks where the car is launched at all; launches are counted, not measured",
    "launch-facing-wish": "speaks where the car is launched at all; launches are counted, not measured",
    "light-disc-wanted": "posts a wish from the speed on at which synchronisers balk; it sets no number",
}


def test_no_rule_sets_a_number_by_a_step():
    both = set(LOWER_OF_TWO) | {other for other, *_ in LOWER_OF_TWO.values()}
    assert setting_numbers() == both, "make a ramp of it (ramps.amount_along), or show here that both sides meet"


def test_requirements_behind_a_limit_are_known():
    posting = {rule.id for rule in knowledge().rules if behind_a_limit(rule) and rule.require}
    assert posting == set(POSTING), "a requirement that comes and goes with a continuous fact needs its reason here"


@pytest.mark.parametrize(
    "one, other", [("thrust-load-known", "thrust-load-handbook"), ("thrust-load-wish", "thrust-load-wish-handbook")]
)
def test_both_post_the_same_limit(one, other):
    rules = {rule.id: rule for rule in knowledge().rules}
    kept = [
        [
            (part.source, part.measure, part.compare, part.limit, part.level, part.safety, part.of_kits)
            for part in rules[name].require
        ]
        for name in (one, other)
    ]
    assert kept[0] == kept[1] and isinstance(kept[0][0][3], FactRef)


@pytest.mark.parametrize("rule", LOWER_OF_TWO)
@pytest.mark.parametrize("limit", [180.0, 431.7, 2400.0])
def test_both_sides_meet_at_the_limit(rule, limit):
    other, sets, moved, held_against, given = LOWER_OF_TWO[rule]
    engine = compile_plain(knowledge(), "case")
    found, fired = [], set()
    for value in (limit * (1 - NUDGE), limit, limit * (1 + NUDGE)):
        derived = engine.derive({**given, moved: value, held_against: limit}, frozenset())
        fired |= derived.fired() & {rule, other}
        found.append(derived.facts[sets])
        assert derived.facts[sets] == min(value, limit)
    assert fired == {rule, other}
    assert np.ptp(found) <= 2 * NUDGE * limit


def nudged(case, facts):
    """The case once for every continuous answer, that answer a millionth higher (lower at the end of its range).

    A count is not continuous: a part of a launch is no launch.
    """
    for name, answer in case.answers.items():
        fact = facts[name]
        if continuous(fact) and not counted(fact) and answer.value:
            up = answer.value * (1 + NUDGE)
            yield name, changed(case, {name: up if up <= fact.high else answer.value * (1 - NUDGE)})


def jumps(decider, case):
    """(answer, what jumped, kit or none) for every number that moves further than a nudge explains."""
    platform, _ = decider.gather(case)
    kits = {kit.id: kit for kit in decider.shop.kits}
    pairs = list(nudged(case, decider.knowledge.facts))
    if not pairs:
        return []  # not one number was told
    names, variants = zip(*pairs)
    # Answers that contradict each other make no cliff: the numbers are looked at all the same.
    knowns = [
        replace(gather(one, platform, kits, decider.knowledge), clashes=Clashes(), missing=())
        for one in (case, *variants)
    ]
    batched = decider.batch.run(knowns, platform)
    found = []
    for figure in sorted(decider.knowledge.figures):
        if figure == "total_price" or figure not in decider.figures.steps:
            continue
        column = batched.figures.column(figure)
        values = np.broadcast_to(np.where(column.known, column.values, np.nan), batched.passes.shape)
        with np.errstate(invalid="ignore"):
            least = decider.knowledge.figures[figure].resolution or 1e-3
            moved = np.abs(values[1:] - values[0]) > MOVES * np.maximum(np.abs(values[0]), least)
        found += [(names[row], figure, batched.kits.ids[kit]) for row, kit in np.argwhere(moved)]
    facts = [derived.facts for derived in (batched.derived.derivation(row) for row in range(len(knowns)))]
    for row, name in enumerate(names, 1):
        for fact, value in facts[0].items():
            declared = decider.knowledge.facts[fact]
            if declared.source != "derived" or not continuous(declared):
                continue
            if abs(facts[row].get(fact, np.inf) - value) > MOVES * max(abs(value), 1e-3):
                found.append((name, fact, ""))
    return found


@pytest.mark.parametrize("seed", range(24))  # `tests.full rules` takes more
def test_no_figure_jumps_where_an_answer_is_nudged(seed, plain_decider, content):
    case = caller(seed, content)
    assert jumps(plain_decider, case) == []


def test_a_jump_is_noticed(content):
    """The check above can fail: with a spread that leaps up and down along the fade, jumps are found."""
    from tests.callers import plain_decider_of

    decider = plain_decider_of(content)
    calculation, _ = decider.figures.steps["fade_spread"]
    decider.figures.steps["fade_spread"] = (calculation, lambda value, **_: 0.08 * (np.floor(value * 1e8) % 2))
    seen = [{figure for _, figure, _ in jumps(decider, caller(seed, content))} for seed in range(12)]
    assert sum("capacity_spread" in figures for figures in seen) >= 4
