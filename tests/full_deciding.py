"""The long counts of the deciding room; `rows` is called by tests/full.py and gives (what, how many, result)."""

import tempfile
from collections import Counter
from pathlib import Path

from advisor.deciding.decide import decider_of
from advisor.deciding.recording import record
from advisor.knowledge.sources import Sources, read

from .callers import caller, plain_decider_of
from .deciding.test_batch import compare
from .deciding.test_brute_force import check_record
from .deciding.test_record import CASES, hold_shuffled, outcomes_by_schema, records_of_runs, validator_of_records

BATCH_CASES = 5000
BRUTE_CASES = 2000
RUNS = 20
CALLERS, ORDERS = 100, 5


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


def processes(count=RUNS):
    """Records of fresh processes."""
    seen = len(records_of_runs(count))
    return [("records of fresh processes", count, "the same bytes" if seen == 1 else f"FAILED: {seen} records differ")]


def records(callers=CALLERS, orders=ORDERS):
    """Records of random callers against the schema, and of cases written in another order."""
    content = read(Sources.chosen(), cache=False)
    decider = decider_of(content)
    outcomes = outcomes_by_schema(range(callers), content, decider, validator_of_records())
    for seed in range(orders):
        with tempfile.TemporaryDirectory() as folder:
            hold_shuffled(seed, CASES[:8], Path(folder), content, decider)
    return [
        ("records of random callers against the schema", callers, f"all follow it ({', '.join(sorted(outcomes))})"),
        ("rules, kits and answers in another order, 8 cases each", orders, "the same bytes"),
    ]


def rows():
    """All of the above."""
    return [*batches(), *brute_force(), *processes(), *records()]
