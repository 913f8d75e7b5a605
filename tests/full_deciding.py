"""The long counts of the deciding room; `rows` is called by tests/full.py and gives (what, how many, result)."""

from collections import Counter

from advisor.deciding.recording import record
from advisor.knowledge.sources import Sources, read

from .callers import caller, plain_decider_of
from .deciding.test_batch import compare
from .deciding.test_brute_force import check_record

BATCH_CASES = 5000
BRUTE_CASES = 2000


def batches(count=BATCH_CASES, start=100_000):
    """Whole outcomes of the batch against deciding case by case."""
    content = read(Sources.chosen(), cache=False)
    decider = plain_decider_of(content)
    compared, outcomes = compare(range(start, start + count), content, decider)
    told = ", ".join(f"{name} {number}" for name, number in sorted(outcomes.items()))
    return [("outcomes of batches against deciding one by one", compared, f"no difference ({told})")]


def brute_force(count=BRUTE_CASES, start=200_000):
    """Verdicts, ladder and pick derived again from requirements and figures."""
    content = read(Sources.chosen(), cache=False)
    decider = plain_decider_of(content)
    kits, outcomes = 0, Counter()
    for seed in range(start, start + count):
        made = record(decider.decide(caller(seed, content)), []).data
        kits += check_record(made, content)
        outcomes[made["outcome"]] += 1
    told = ", ".join(f"{name} {number}" for name, number in sorted(outcomes.items()))
    return [("verdicts, ladder and pick by brute force", count, f"no difference, {kits} kits judged ({told})")]


def rows():
    """All of the above."""
    return [*batches(), *brute_force()]
