"""Contradictions: found among people who err honestly (none should be), and found where planted, by size and by kind.

The limits of rules/consistency.yaml were set, and mended, having seen these very callers; `FRESH` are callers that
nobody looked at before the limits stood.
"""

from collections import Counter

import numpy as np

from advisor.deciding import ladder

from .rules.shop import knowledge, plain, shop
from .simulated.callers import caller
from .simulated.contradictions import planted

PEOPLE = range(5000)
FRESH = range(20000, 25000)
PLANTED = 600


def clashes(case):
    """The contradictions that are found in a Case."""
    return plain().gather(case)[1].clashes.clashes


def steps_too_small(plant):
    """Steps of clutch that a `planted` contradiction costs where nothing notices it.

    A step is the advice's own: the next passing kit up the ladder with at least a tenth more bedded capacity. Counted
    are those from what is picked by the false answer to a kit that does the job by the true one; 0 where the pick does
    it already, and where nothing is picked there is nothing sold. ``inf`` where no such step is left, or nothing can be
    said of the truth.
    """
    false, true = (plain().decide(case) for case in (plant.case(knowledge()), plant.true_case(knowledge())))
    if false.pick is None:
        return 0
    if true.pick is None:
        return np.inf
    passing = {kit for kit, passes in zip(true.kits.ids, true.passes[0]) if passes}
    capacity = false.figures.column(ladder.CAPACITY)
    climbed, at = 0, false.pick
    ranked = list(false.order)
    while false.kits.ids[at] not in passing:
        wanted = 1.1 * capacity.number(0, at)
        above = [place for place in ranked[ranked.index(at) + 1 :] if (capacity.number(0, place) or 0.0) >= wanted]
        if not above:
            return np.inf
        climbed, at = climbed + 1, above[0]
    return climbed


def rows():
    """Rows for tests/full.py."""
    platforms, words = shop().platforms, knowledge()
    found = []
    for name, seeds in (("people the limits were set by", PEOPLE), ("people not looked at before", FRESH)):
        wrong = Counter()
        for seed in seeds:
            wrong.update(clash.rule.id for clash in clashes(caller(seed, platforms).case(words)))
        told = ", ".join(f"{rule} {count}" for rule, count in wrong.most_common()) or "none"
        failed = "FAILED: " if wrong and seeds is PEOPLE else ""
        found.append((f"false contradictions, {name}", len(seeds), failed + told))
    sizes, hits, missed = Counter(), Counter(), Counter()
    mended, costs = 0, []
    for seed in range(PLANTED):
        plant = planted(seed, platforms)
        sizes[plant.size] += 1
        if set(plant.facts) & {fact for clash in clashes(plant.case(words)) for fact in clash.facts}:
            hits[plant.size] += 1
        else:
            missed[f"{plant.kind} {plant.size}"] += 1
            costs.append(steps_too_small(plant))
        mended += bool(clashes(plant.true_case(words)))
    found += [(f"planted and found, {size}", count, f"{hits[size]}") for size, count in sizes.items()]
    found.append(
        ("planted and missed", PLANTED, ", ".join(f"{what} {count}" for what, count in missed.items()) or "none")
    )
    worst = max(costs, default=0)
    told = f"{sum(cost > 0 for cost in costs)}, most {worst} steps"
    found.append(
        (
            "missed, and the clutch is too small for it (at most 1 step)",
            len(costs),
            f"FAILED: {told}" if worst > 1 else told,
        )
    )
    found.append(("still contradictory once mended", PLANTED, f"FAILED: {mended}" if mended else "0"))
    return found
