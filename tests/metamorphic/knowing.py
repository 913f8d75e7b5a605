"""The same answers otherwise told: a better-known answer inside its band, other units, another order of answers and
files.
"""

import dataclasses
import random
from decimal import Decimal

from advisor.deciding.assumptions import replaced
from advisor.knowledge.given_answers import read_answer
from tests.rules.sense import UNITS

from .tally import Tally
from .world import World, answered

#: Values tried through the band of an assumed number.
STEPS = 9


def better_known(world, seeds):
    """`Tally`: an assumption is answered with a value of its own band; the pick is one that stood somewhere in the
    band.
    """
    tally, answers = Tally(), []
    for seed in seeds:
        case = world.caller(seed)
        platform, known = world.decider.gather(case)
        doubtful = [
            one for one in known.assumptions if one.alternatives and world.knowledge.facts[one.fact].source == "asked"
        ]
        if not doubtful:
            tally.count("nothing assumed")
            continue
        pick = random.Random(f"known {seed}")
        assumption = pick.choice(doubtful)
        if assumption.low is not None:
            low, high = assumption.low, assumption.high
            value = _counted(world.knowledge.facts[assumption.fact], float(f"{pick.uniform(low, high):.4g}"), high)
            tried = sorted(
                {assumption.value, value, *(low + (high - low) * step / (STEPS - 1) for step in range(STEPS))}
            )
        else:
            tried = [assumption.value, *assumption.alternatives]
            value = pick.choice(tried)
        outcomes = world.decider.batch.outcomes([_settled(known, assumption, one) for one in tried], platform)
        after = answered(case, **{assumption.fact: value})
        answers.append((after, f"{case.id}: {assumption.fact} {value}", outcomes, outcomes[tried.index(value)]))
    for after, (_, where, outcomes, alike) in zip(world.judged([case for case, *_ in answers]), answers, strict=True):
        tally.pairs += 1
        if after.contradicted:
            tally.count("the answer contradicts another")
        elif (after.outcome, after.pick) not in {(one.outcome, one.pick) for one in outcomes}:
            tally.wrong(f"{where}: {after.outcome} {after.pick} stood nowhere in the band")
        elif (after.outcome, after.pick) != tuple(alike[:2]):
            tally.wrong(f"{where}: answered and assumed alike, but {after.pick} instead of {alike.pick}")
        else:
            tally.count(
                "one pick in the whole band"
                if len({one.pick for one in outcomes}) == 1
                else "one of several picks in the band"
            )
    return tally


def _counted(fact, value, high):
    """A number somebody may say: of what is counted a whole one, and no more than the most of the band."""
    if fact.unit in ("", "1") and fact.resolution == 1.0:
        return min(float(round(value)), high)
    return value


def _settled(known, assumption, value):
    """`Known` with an assumed fact at a value and no longer open: what is taken at its worst is asked first, once."""
    rest = tuple(one for one in known.assumptions if one is not assumption)
    return dataclasses.replace(replaced(known, assumption.fact, value), assumptions=rest)


def other_units(world, seeds):
    """`Tally`: the same quantities in another unit, exactly converted."""
    tally, one, other = Tally(), [], []
    for seed in seeds:
        pick = random.Random(f"units {seed}")
        case = world.caller(seed)
        left, right = _both_units(world, pick, case)
        one.append(dataclasses.replace(case, answers=left))
        other.append(dataclasses.replace(case, answers=right))
        tally.count("answers in another unit", sum(right[name] is not left[name] for name in left))
    _all_the_same(tally, *world.judged_in_groups([one, other]))
    return tally


def _both_units(world, pick, case):
    left, right = {}, {}
    for name, answer in case.answers.items():
        fact = world.knowledge.facts[name]
        left[name] = right[name] = answer
        choices = UNITS.get(fact.unit, ()) if fact.kind == "number" and not fact.choices else ()
        if choices:
            unit, factor = pick.choice(choices)
            amount = Decimal(repr(round(answer.value / float(factor), 3)))
            exact = f"{amount * Decimal(factor):f}"
            if fact.low <= float(exact) <= fact.high:
                left[name], right[name] = (
                    read_answer(fact, f"{exact} {fact.unit}"),
                    read_answer(fact, f"{amount:f} {unit}"),
                )
    return left, right


def other_order(world, seeds):
    """`Tally`: answers, kits, cars, parts and rules in another order."""
    tally, pick = Tally(), random.Random("order")
    cases = [world.caller(seed) for seed in seeds]
    shuffled = [
        dataclasses.replace(
            case, answers=dict(_shuffled(pick, case.answers.items())), unknown=tuple(_shuffled(pick, case.unknown))
        )
        for case in cases
    ]
    content = world.content
    mixed = dataclasses.replace(
        content,
        knowledge=dataclasses.replace(content.knowledge, rules=tuple(_shuffled(pick, content.knowledge.rules))),
        kits=tuple(_shuffled(pick, content.kits)),
        platforms=tuple(_shuffled(pick, content.platforms)),
        parts=tuple(_shuffled(pick, content.parts)),
    )
    _all_the_same(tally, world.judged(cases), World(mixed).judged(shuffled))
    return tally


def _shuffled(pick, things):
    things = list(things)
    pick.shuffle(things)
    return things


def _all_the_same(tally, first, second):
    for left, right in zip(first, second, strict=True):
        tally.pairs += 1
        same = left.whole == right.whole and all(
            left.among(mark) == right.among(mark) for mark in ("passes", "failed", "unjudged")
        )
        same = (
            same
            and left.ladder == right.ladder
            and left.batched.derived.facts(left.row) == right.batched.derived.facts(right.row)
        )
        if same:
            tally.count("all the same")
        else:
            tally.wrong(f"{left.case.id}: {left.whole[:2]} and {right.whole[:2]}, or a fact or verdict differs")
