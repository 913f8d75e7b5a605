"""Start-up: CPU of whole commands against the bare imports they need, in turns; and of `recommend` what its parts take.

The limit for `recommend` is 2.0 times the bare imports. With the span of an advice, what wishes cost and close calls it
was not met for a time (2.1 to 2.2); since all that is tried around a decision is decided in one batch, what the engines
work out of rules beforehand is kept with them, and a brief command ends without taking its objects apart, it is: 1.8 to
1.9, and 1.7 without the span (November 2026, two shared cores under load). Beside bare imports of 0.17 s it takes 0.33.
Its parts: imports 0.13, reading from the cache 0.03, two engines and the columns of all kits 0.04, deciding 0.04, what
is tried around it 0.05, drawing completions and telling the span 0.02, the record 0.01. (The parts are measured without
what the program as a whole gains by.) No step stands out any more: what is left are some hundred figures three times
over, each a handful of calls on small arrays, and the memory of the C engine, 27 MB that it clears for its 1,700
patterns, some 15 ms.
"""

import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile

from ..conftest import ROOT

BARE = [sys.executable, "-c", "import yaml, jsonschema, numpy, durable_rules_engine"]
BARE_PROMPT = [sys.executable, "-c", "import yaml, jsonschema, numpy, durable_rules_engine, prompt_toolkit"]
#: `recommend` as it would be without the span of its advice.
WITHOUT_SPAN = """
import os
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
from advisor.deciding.span import Spanner
Spanner.outset = lambda *_: None
from advisor.__main__ import run
run()
"""
CASE = str(ROOT / "scenarios" / "cases" / "mild-street-tune.yaml")


#: Prints the CPU seconds of each part of `recommend`, measured from within: {part: seconds}.
PARTS = """
import json, sys, time
spent, started = {}, time.process_time()
spent["Python"] = started
from advisor.commands import opening, recommend
from advisor.deciding import advise, around, decide, span
from advisor.explaining import card
import argparse, os
spent["imports"] = time.process_time() - started
parser = argparse.ArgumentParser()
recommend.add(parser)
arguments = parser.parse_args([sys.argv[1]])
inner = {}
def timed(owner, name, part):
    whole = getattr(owner, name)
    def run(*given, **named):
        start = time.process_time()
        try:
            return whole(*given, **named)
        finally:
            inner[part] = inner.get(part, 0.0) + time.process_time() - start
    setattr(owner, name, run)
timed(span.Spanner, "outset", "completions drawn")
timed(around, "decided_together", "all tried around it, in one batch")
timed(span.Spanner, "of_batch", "span, its ends derived again")
timed(decide.Decider, "decide", "deciding")
timed(advise, "record", "record")
def part(name, work):
    start = time.process_time()
    result = work()
    spent[name] = time.process_time() - start
    return result
content = part("reading", lambda: opening.open_content(arguments))
decider = part("engines and columns", lambda: decide.decider_of(content))
case = opening.read_case(arguments.case, decider.knowledge)
record = part("advising", lambda: advise.advise(decider, case))
part("card", lambda: card.card(record, decider.shop.wording(decider.knowledge, "si"), 80, ""))
spent["the rest"] = spent.pop("advising") - sum(inner.values())
print(json.dumps({**spent, **inner}))
"""


def parts(environment, rounds):
    """Rows (part, CPU s): the median of what each part of `recommend` takes."""
    seen = []
    for _ in range(rounds):
        command = [sys.executable, "-c", PARTS, CASE]
        ran = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, env=environment, check=True)
        seen.append(json.loads(ran.stdout))
    return [{"part": name, "CPU s": round(statistics.median(one[name] for one in seen), 3)} for name in seen[0]]


def cpu(command, environment, stdin=None):
    """CPU seconds of one run."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        command,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        stdin=stdin or subprocess.DEVNULL,
        cwd=ROOT,
        env=environment,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def tables(smoke=False):
    """title -> rows."""
    rounds = 2 if smoke else 15
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "XDG_CACHE_HOME": folder, "XDG_DATA_HOME": folder}
        environment.pop("LEAST_CLUTCH_NO_CACHE", None)
        environment.pop(
            "PYTHONDONTWRITEBYTECODE", None
        )  # an installed program finds its own byte code, as its libraries do
        pairs = [
            ("recommend", [sys.executable, "-m", "advisor", "recommend", CASE], BARE),
            (
                "interview, first prompt, line by line",
                [sys.executable, "-m", "advisor", "interview", "--plain", "--case", os.path.join(folder, "case.yaml")],
                BARE_PROMPT,
            ),
            ("recommend, the span left out", [sys.executable, "-c", WITHOUT_SPAN, "recommend", CASE], BARE),
            ("why", [sys.executable, "-m", "advisor", "why", CASE], BARE),
            ("recommend --json", [sys.executable, "-m", "advisor", "recommend", CASE, "--json"], BARE),
            ("rules list", [sys.executable, "-m", "advisor", "rules", "list"], BARE),
        ]
        rows = []
        for name, command, bare in pairs:
            cpu(command, environment)
            ours, theirs = [], []
            for _ in range(rounds):
                ours.append(cpu(command, environment))
                theirs.append(cpu(bare, environment))
            rows.append(
                {
                    "command": name,
                    "CPU s": round(statistics.median(ours), 3),
                    "bare imports": round(statistics.median(theirs), 3),
                    "ratio": round(statistics.median(a / b for a, b in zip(ours, theirs)), 2),
                    "lowest": round(min(a / b for a, b in zip(ours, theirs)), 2),
                }
            )
        of_recommend = parts(environment, rounds)
    return {"start-up": rows, "recommend by parts": of_recommend}
