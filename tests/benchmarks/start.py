"""Start-up: CPU of whole commands against the bare imports they need, in turns."""

import os
import resource
import statistics
import subprocess
import sys
import tempfile

from ..conftest import ROOT

BARE = [sys.executable, "-c", "import yaml, jsonschema, numpy, durable_rules_engine"]
BARE_PROMPT = [sys.executable, "-c", "import yaml, jsonschema, numpy, durable_rules_engine, prompt_toolkit"]
CASE = str(ROOT / "scenarios" / "cases" / "mild-street-tune.yaml")


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
    return {"start-up": rows}
