"""Whole outcomes: batches over a hundred kits, one decision split by stage, growth with the number of kits."""

import itertools
import resource
import statistics
import subprocess
import sys
import time

from advisor.deciding.advise import advise
from advisor.deciding.decide import Decider, Shop, decider_of
from advisor.deciding.recording import record, to_json
from advisor.knowledge.sources import Sources, read

from ..callers import assumptions_judged, caller, plain_decider_of
from .figures import shop_of


def gathered(decider, content, count, platform="bramble-20t"):
    """``count`` gathered callers of one car."""
    found = []
    for seed in range(count):
        car, known = decider.gather(caller(seed, content, platform))
        found.append(known)
    return car, found


def batches(count):
    """Outcomes of ``count`` cases over the shop's kits, and the peak memory, in this process."""
    content = read(Sources.chosen(), cache=False)
    decider = plain_decider_of(content)
    car, knowns = gathered(decider, content, min(count, 2000))
    decider.batch.outcomes(knowns[:256], car)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.process_time()
    done = 0
    while done < count:
        part = knowns[: min(len(knowns), count - done)]
        done += len(decider.batch.outcomes(part, car))
    taken = time.process_time() - start
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return {
        "cases": count,
        "kits": len(content.kits),
        "cases a second": round(count / taken),
        "peak MB": round(after / 1024),
        "grown MB": round((after - before) / 1024),
    }


def batches_apart(count):
    """`batches` in a process of its own, so that peaks do not add up."""
    code = f"import json; from tests.benchmarks.deciding import batches; print(json.dumps(batches({count})))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    import json

    return json.loads(done.stdout)


def by_stage(rounds):
    """One decision split by stage, both engines; medians over callers."""
    content = read(Sources.chosen(), cache=False)
    decider = decider_of(content)
    parts = {
        name: []
        for name in (
            "facts gathered",
            "stage case, two engines",
            "figures, checks, set-up, ladder",
            "assumptions",
            "record",
            "as JSON",
        )
    }
    for seed in range(rounds):
        case = caller(seed, content, "bramble-20t")
        clock = [time.process_time()]

        def lap(clock=clock):
            clock.append(time.process_time())

        car, known = decider.gather(case)
        lap()
        decider.derive("case", known.facts, known.answered)
        lap()
        decision = decider.decide_known(case, car, known)
        lap()
        assumptions = assumptions_judged(decider, decision)
        lap()
        made = record(decision, assumptions)
        lap()
        to_json(made)
        lap()
        spent = [after - before for before, after in itertools.pairwise(clock)]
        spent[2] -= spent[1]  # deciding derives stage case once more
        for name, one in zip(parts, spent):
            parts[name].append(one)
    return [
        {
            "stage": name,
            "CPU ms, median": round(1000 * statistics.median(spent), 2),
            "spread": round(1000 * (max(spent) - min(spent)), 2),
        }
        for name, spent in parts.items()
    ]


def by_kits(counts, rounds):
    """A whole decision against the number of kits in the shop."""
    content = read(Sources.chosen(), cache=False)
    rows = []
    for count in counts:
        kits = tuple(shop_of(content, count)) + tuple(kit for kit in content.kits if kit.fields.get("factory"))
        base = plain_decider_of(content)
        decider = Decider(content.knowledge, Shop(kits, content.platforms, content.parts, {}), base.derive)
        cases = [caller(seed, content, "bramble-20t") for seed in range(rounds)]
        advise(decider, cases[0])
        spent = []
        for case in cases:
            start = time.process_time()
            decider.decide(case)
            spent.append(time.process_time() - start)
        rows.append(
            {
                "kits": len(kits),
                "CPU ms": round(1000 * statistics.median(spent), 1),
                "us a kit": round(1e6 * statistics.median(spent) / len(kits), 1),
            }
        )
    return rows


def tables(smoke=False):
    """title -> rows."""
    return {
        "outcomes of batches": [batches_apart(count) for count in ((300,) if smoke else (1_000, 10_000))],
        "one decision by stage": by_stage(3 if smoke else 40),
        "decision time by kits": by_kits((130,) if smoke else (100, 1_000, 10_000), 2 if smoke else 7),
    }
