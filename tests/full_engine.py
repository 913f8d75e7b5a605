"""The long counts of the engine room; `rows` is called by tests/full.py and gives (what, how many, result)."""

import json
import subprocess
import sys
from pathlib import Path

from advisor.engine.rulebase import rule_base
from advisor.knowledge import load

from .engine.agreement import differences
from .engine.cases import Cases
from .engine.generate import Generator
from .engine.stress import KINDS

ROOT = Path(__file__).parents[1]
BASES, CASES_EACH, TOGETHER, CHUNKS_TOGETHER = 500, 20, 25, 5
REAL_CASES = {"case": 5000, "setup": 1000}
STRESS = {"hurtful": 400, "memory": 100_000, "threads": 8, "fork": 12, "callbacks": 400, "evaluators": 1500}


def random_rule_bases(bases=BASES, each=CASES_EACH):
    """Generated rule bases on the plain chainer, durable-rules, CLIPS and in bulk; seeds 10000 onwards."""
    found = []
    for first in range(10_000, 10_000 + bases, TOGETHER):
        found += _apart("bases", first, min(TOGETHER, 10_000 + bases - first), each)
    return [(f"rule bases, four evaluators, {each} cases each", bases, _result(found))]


def real_rules(counts=REAL_CASES, chunk=250):
    """Random cases on the real rules, four evaluators; each chunk of cases has its own seed."""
    rows = []
    for stage, count in counts.items():
        found = []
        for first in range(500, 500 + count // chunk, CHUNKS_TOGETHER):
            found += _apart(stage, first, min(CHUNKS_TOGETHER, 500 + count // chunk - first), chunk)
        rows.append((f"random cases on the real rules, stage {stage}, four evaluators", count, _result(found)))
    return rows


def _apart(what, first, count, each):
    """Differences found by a process of its own.

    Neither of the two C libraries gives back all it takes, and both in one process for long have ended it; one that
    crashes is told by its seeds.
    """
    command = [sys.executable, "-X", "faulthandler", "-m", "tests.full_engine", what, *map(str, (first, count, each))]
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    if ran.returncode:
        return [f"{what}, seeds {first} to {first + count - 1}: exit {ran.returncode}, {ran.stderr[-300:]}"]
    return json.loads(ran.stdout)


def of_bases(first, count, each):
    """Differences in the generated rule bases of some seeds, as texts."""
    found = []
    for seed in range(first, first + count):
        generator = Generator(seed)
        cases = [generator.case() for _ in range(each)]
        found += [f"seed {seed}: {text}" for text in differences(generator.knowledge, generator.stage, cases)]
    return found


def of_real_rules(stage, first, count, each):
    """Differences in random cases on the real rules, some seeds, as texts."""
    knowledge, found = load.knowledge(ROOT / "rules"), []
    base = rule_base(knowledge, stage)
    for seed in range(first, first + count):
        cases = Cases(base, seed)
        made = [cases.case() for _ in range(each)]
        found += [f"seed {seed}: {text}" for text in differences(knowledge, stage, made)]
    return found


def stress(counts=STRESS):
    """Each kind of stress in a process of its own."""
    rows = []
    for kind, count in counts.items():
        ran = subprocess.run(
            [sys.executable, "-m", "tests.engine.stress", kind, str(count)], cwd=ROOT, capture_output=True, text=True
        )
        ok = ran.returncode == 0 and ran.stdout.startswith("ok ")
        rows.append(
            (f"engine under stress: {kind}", count, ran.stdout.strip() if ok else f"FAILED: {ran.stderr[-500:]}")
        )
    assert set(counts) <= set(KINDS)
    return rows


def rows():
    """All of the above."""
    return [*random_rule_bases(), *real_rules(), *stress()]


def _result(found):
    return "0 differences" if not found else f"FAILED: {len(found)} differences, first {found[0][:300]}"


if __name__ == "__main__":
    what, *numbers = sys.argv[1:]
    numbers = [int(one) for one in numbers]
    print(json.dumps(of_bases(*numbers) if what == "bases" else of_real_rules(what, *numbers)))
