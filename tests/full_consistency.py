"""Contradictions: found among people who err honestly (none should be), and found where planted, by size and by kind.

The limits of rules/consistency.yaml were set, and mended, having seen these very callers; `FRESH` are callers that
nobody looked at before the limits stood.
"""

from collections import Counter

from .rules.shop import knowledge, plain, shop
from .simulated.callers import caller
from .simulated.contradictions import planted

PEOPLE = range(5000)
FRESH = range(20000, 25000)
PLANTED = 600


def clashes(case):
    """The contradictions that are found in a Case."""
    return plain().gather(case)[1].clashes.clashes


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
    mended = 0
    for seed in range(PLANTED):
        plant = planted(seed, platforms)
        sizes[plant.size] += 1
        if set(plant.facts) & {fact for clash in clashes(plant.case(words)) for fact in clash.facts}:
            hits[plant.size] += 1
        else:
            missed[f"{plant.kind} {plant.size}"] += 1
        mended += bool(clashes(plant.true_case(words)))
    found += [(f"planted and found, {size}", count, f"{hits[size]}") for size, count in sizes.items()]
    found.append(
        ("planted and missed", PLANTED, ", ".join(f"{what} {count}" for what, count in missed.items()) or "none")
    )
    found.append(("still contradictory once mended", PLANTED, f"FAILED: {mended}" if mended else "0"))
    return found
