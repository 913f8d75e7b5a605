"""CPU from an answer to the next prompt, over whole interviews, and where it goes."""

import cProfile
import gc
import pstats
import time

import numpy as np

from advisor.interview import sampling

from ..interview import callers, shop

CALLERS = 40
#: 95 of 100 prompts come within this many seconds of CPU.
LIMIT = 0.1
#: Each interview is held so often, and the least of each prompt counts: beside other work CPU time is longer.
TRIES = 3


def measure(count=CALLERS):
    """{prompts, median, p95, most} in seconds of CPU; nothing else is measured while it is."""
    chooser = shop.chooser()
    callers.interview(chooser, callers.random_caller(shop.decider(), 0))
    gc.freeze()  # as the command does
    seconds = []
    for number in range(count):
        tries = []
        for _ in range(TRIES):
            sampling._heads.cache_clear()  # nobody has had the same interview before
            tries.append(callers.interview(chooser, callers.random_caller(shop.decider(), 20_000 + number)).seconds)
        seconds += np.min(tries, axis=0).tolist()
    return {
        "prompts": len(seconds),
        "median": float(np.median(seconds)),
        "p95": float(np.quantile(seconds, 0.95)),
        "most": max(seconds),
    }


def shares(count=6):
    """Share of the time spent in engine, figures and the rest, under the profiler."""
    chooser = shop.chooser()
    profile = cProfile.Profile(time.process_time)
    for number in range(count):
        caller = callers.random_caller(shop.decider(), 30_000 + number)
        profile.enable()
        callers.interview(chooser, caller)
        profile.disable()
    found = pstats.Stats(profile).stats
    whole = _inclusive(found, "interview/next_question.py", "view")
    engine = _inclusive(found, "engine/bulk.py", "derive")
    figures = _inclusive(found, "deciding/figures.py", "_one")
    deciding = _inclusive(found, "deciding/batch.py", "run_columns") - engine - figures
    return {
        "engine": engine / whole,
        "figures": figures / whole,
        "checks, set-up and ladder": deciding / whole,
        "drawing and choice": 1.0 - (engine + figures + deciding) / whole,
    }


def _inclusive(found, module, name):
    return sum(
        cumulative
        for (path, _, function), (_, _, _, cumulative, _) in found.items()
        if path.endswith(module) and function == name
    )


def tables(smoke=False):
    """Title -> rows, for the run of all benchmarks."""
    told = measure(2 if smoke else CALLERS)
    parts = shares(1 if smoke else 6)
    return {
        "CPU from an answer to the next prompt": [
            {
                "prompts": told["prompts"],
                "median, s": f"{told['median']:.3f}",
                "95th percentile, s": f"{told['p95']:.3f}",
                "most, s": f"{told['most']:.3f}",
                f"within {LIMIT} s": "yes" if told["p95"] < LIMIT else "NO",
            }
        ],
        "where it goes": [{"part": name, "share": f"{share:.0%}"} for name, share in parts.items()],
    }
