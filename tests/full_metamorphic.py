"""The long counts of the metamorphic relations; `rows` gives (what, how many, result) to tests/full.py."""

from advisor.deciding.outcomes import outcome_of
from advisor.knowledge.sources import Sources, read

from .metamorphic.partial import kit_fields
from .metamorphic.relations import ALL, MUST_MEET
from .metamorphic.world import World

#: There are more stocks than fields of kits, so that each of them is left out at least once.
CALLERS, STOCKS, SINGLE = 5000, 60, 300


def relations(world, callers=CALLERS, start=300_000):
    """Every relation over ``callers`` callers."""
    assert len(kit_fields(world)) <= STOCKS
    found = []
    for name, relation in ALL.items():
        tally = relation(world, range(start, start + callers), STOCKS)
        good = not tally.unexplained and (name not in MUST_MEET or tally.classes[MUST_MEET[name]])
        result = tally.told()
        found.append((name, tally.pairs, result if good else f"FAILED: {result}: {tally.unexplained[:1]}"))
    return found


def single(world, count=SINGLE, start=300_000):
    """A sample decided one by one."""
    cases = [world.caller(seed) for seed in range(start, start + count)]
    other = [
        case.id
        for case, judged in zip(cases, world.judged(cases), strict=True)
        if tuple(judged.whole) != tuple(outcome_of(world.decider.decide(case)))
    ]
    return [("rows of the batch against single decisions", count, f"FAILED: {other[:3]}" if other else "no difference")]


def rows():
    """All of the above."""
    world = World(read(Sources.chosen(), cache=False))
    return [*relations(world), *single(world)]
