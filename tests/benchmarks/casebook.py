"""How fast a rule change is run over many stored cases, and what that takes.

Stored cases are made from some hundred distinct random callers, each kept many times under names of its own; answers,
records and knowledge are real, only repeated.
"""

import functools
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from advisor.casebook import book as books
from advisor.casebook.book import Casebook
from advisor.deciding.decision_record import DecisionRecord
from advisor.deciding.recording import record
from tests.casebook import shelf

DISTINCT = 200
ROOT = Path(__file__).resolve().parents[2]

_MEASURED = """
import json, resource, sys, time
from pathlib import Path
from advisor.casebook import impact
from advisor.casebook.book import Casebook
from advisor.casebook.kept_files import Files
from advisor.knowledge import load
from advisor.knowledge.sources import Sources

path, rules, processes = sys.argv[1], sys.argv[2], int(sys.argv[3])
files, knowledge = Files.of(Sources.chosen(rules=rules)), load.knowledge(rules)
begun = time.monotonic()
with Casebook(path, write=False) as book:
    found = impact.run(book, knowledge, files, processes=processes, fresh=True)
    seconds = time.monotonic() - begun
    summary = found.summary()
used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
cpu = sum(one.ru_utime + one.ru_stime for one in used)
classes = {name: one["cases"] for name, one in summary["classes"].items()}
# The most this process held itself: ru_maxrss would count what held the process that began it, before it began.
own = next(int(line.split()[1]) for line in open("/proc/self/status") if line.startswith("VmHWM"))
peak = max(own, used[1].ru_maxrss)
print(json.dumps({"seconds": seconds, "cpu": cpu, "peak_kb": peak, "classes": classes}))
"""


@functools.cache
def distinct(count=DISTINCT):
    """Random cases with their records; assumptions are not judged, which would only take time here."""
    return [(case, record(shelf.decider().decide(case), [])) for case in shelf.random_cases(count, seed=77)]


def fill(path, stored):
    """Keep ``stored`` cases; bytes for each, knowledge apart."""
    held = distinct(min(stored, DISTINCT))
    with Casebook(path) as book:
        for number in range(stored):
            case, made = held[number % len(held)]
            renamed = json.loads(json.dumps(made.data))
            renamed["case"]["id"] = f"{case.id}-{number}"
            begun = book.begin(replace(case, id=renamed["case"]["id"]), shelf.files())
            book.decided(begun, DecisionRecord(renamed), books.currency_of(shelf.decider(), made))
            if number == 0:
                book.store.wipe()
                first = path.stat().st_size
    return (path.stat().st_size - first) / max(stored - 1, 1)


def edited(folder):
    """The shipped rules with the factor for road use raised."""
    shutil.copytree(shelf.folder() / "rules", folder)
    demand = folder / "case/demand.yaml"
    text = demand.read_text(encoding="utf-8")
    changed = text.replace(" 1.15]", " 1.18]")
    assert changed != text
    demand.write_text(changed, encoding="utf-8")
    return folder


def impact(path, rules, processes, cache):
    """{seconds, cpu, peak_kb, classes} of one run in a process of its own."""
    command = [sys.executable, "-c", _MEASURED, str(path), str(rules), str(processes)]
    done = subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, env={**os.environ, "XDG_CACHE_HOME": str(cache)}
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def measure(stored=10_000):
    """{cases, small, bytes_per_case, fill_rate, rate_1, rate_2, peak_small_kb, peak_kb, growth, cpu_ms, classes}."""
    with tempfile.TemporaryDirectory(prefix="casebook-benchmark-") as name:
        folder = Path(name)
        rules = edited(folder / "rules")
        small = max(stored // 10, 1)
        fill(folder / "small.sqlite", small)
        begun = time.monotonic()
        size = fill(folder / "large.sqlite", stored)
        fill_rate = stored / (time.monotonic() - begun)
        peaks = {path: impact(folder / path, rules, 1, folder / "cache") for path in ("small.sqlite", "large.sqlite")}
        two = impact(folder / "large.sqlite", rules, 2, folder / "cache")
        assert two["classes"] == peaks["large.sqlite"]["classes"]
    one = peaks["large.sqlite"]
    return {
        "cases": stored,
        "small": small,
        "bytes_per_case": size,
        "fill_rate": fill_rate,
        "rate_1": stored / one["seconds"],
        "rate_2": stored / two["seconds"],
        "peak_small_kb": peaks["small.sqlite"]["peak_kb"],
        "peak_kb": one["peak_kb"],
        "growth": one["peak_kb"] / peaks["small.sqlite"]["peak_kb"],
        "cpu_ms": 1000 * one["cpu"] / stored,
        "classes": one["classes"],
    }


def rows(found):
    """Table rows (what, how many, result) of a measurement."""
    classes = ", ".join(f"{count} {name}" for name, count in sorted(found["classes"].items()))
    return [
        (
            "impact on one core",
            found["cases"],
            f"{found['rate_1']:.0f} cases a second, {found['cpu_ms']:.1f} ms of CPU each",
        ),
        ("impact on two cores", found["cases"], f"{found['rate_2']:.0f} cases a second"),
        ("impact, classes found", found["cases"], classes),
        (
            "peak memory of impact",
            found["cases"],
            f"{found['peak_kb'] / 1024:.0f} MiB, {found['growth']:.2f} times that for {found['small']} cases",
        ),
        (
            "stored case",
            found["cases"],
            f"{found['bytes_per_case']:.0f} bytes each, kept at {found['fill_rate']:.0f} a second",
        ),
    ]


def tables(smoke=False):
    """Title -> rows."""
    found = measure(20 if smoke else 10_000)
    return {"impact over stored cases": [dict(zip(("what", "cases", "result"), row)) for row in rows(found)]}
