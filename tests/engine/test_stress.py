"""durable-rules under stress; each kind runs in a process of its own, so that a crash is a failed test."""

import subprocess
import sys
from pathlib import Path

import pytest

from .stress import KINDS

ROOT = Path(__file__).parents[2]


#: How often, where less than the usual count shows it; ``python -m tests.full engine`` takes many more.
COUNTS = {"memory": 1500, "evaluators": 90, "threads": 3, "fork": 2}


@pytest.mark.needs("durable-rules")
@pytest.mark.parametrize("kind", KINDS)
def test_stress(kind):
    ran = subprocess.run(
        [sys.executable, "-m", "tests.engine.stress", kind, *([str(COUNTS[kind])] if kind in COUNTS else [])],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert ran.returncode == 0, ran.stderr[-2000:]
    assert ran.stdout.startswith("ok ")
