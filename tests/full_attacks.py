"""The long counts of attacks; `rows` is called by tests/full.py and gives (what, how many, result)."""

import json
import os
import random
import signal
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

from advisor.casebook.book import Casebook
from tests.attacks import fuzz, test_poison
from tests.casebook import shelf
from tests.conftest import ROOT

INPUTS, SIGNALS, DAMAGED = 5_000, 300, 500
#: So many inputs are tried in one process.
AT_ONCE = 1_000
SHEET = (
    "id,title,fits,clamp load [N],price,facing,discs\n"
    "x-1,One,bramble-20t,7000,300,organic,1\n"
    "y-2,Two,,8000,abc,organic,1\n"
)
CASE = ROOT / "scenarios" / "cases" / "mild-street-tune.yaml"


def in_processes(count=INPUTS, seed=18, at_once=AT_ONCE):
    """`inputs` in one process after the other: memory stays small, and a count cut off keeps what it had counted."""
    tried, wrong, bad = Counter(), Counter(), []
    for number in range(-(-count // at_once)):
        share = min(at_once, count - number * at_once)
        code = (
            f"import json; from tests.full_attacks import counted; print(json.dumps(counted({share}, {seed + number})))"
        )
        done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
        if done.returncode:
            yield f"inputs, seed {seed + number}", share, f"FAILED: {done.stderr.strip()[-300:]}"
            continue
        counts, found = json.loads(done.stdout.splitlines()[-1])
        for name, (many, amiss) in counts.items():
            tried[name] += many
            wrong[name] += amiss
        bad += found
        told = f"{sum(amiss for _, amiss in counts.values())} bad"
        yield f"inputs, seed {seed + number}", share, told + (f" FAILED: {found[:5]}" if found else "")
    yield from _table({name: (tried[name], wrong[name]) for name in tried}, bad)


def inputs(count=INPUTS, seed=18):
    """Mutated files, ids and texts over every command that takes one, in this process."""
    return list(_table(*counted(count, seed)))


def _table(counts, bad):
    for name, (tried, wrong) in sorted(counts.items()):
        yield f"attack on {name.replace('_', ' ')}", tried, f"{wrong} bad" + (" FAILED" if wrong else "")
    for name, wrong, arguments in bad[:20]:
        yield f"  {name}: {' '.join(arguments)[:60]!r}", "", f"FAILED: {wrong}"


def counted(count, seed):
    """(attack -> [tried, bad], what was bad) of so many attacks."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        before = os.environ.get("XDG_DATA_HOME")
        os.environ["XDG_DATA_HOME"] = name
        test_poison.shelved(folder / "book.sqlite")
        record = json.dumps(shelf.record("mild-street-tune").data).encode()
        try:
            counts, bad = fuzz.run(folder, folder / "book.sqlite", record, SHEET.encode(), count, seed)
        finally:
            os.environ.pop("XDG_DATA_HOME")
            os.environ.update({} if before is None else {"XDG_DATA_HOME": before})
        with Casebook(folder / "book.sqlite", write=False) as book:
            assert [case["number"] for case in book.overview()][:2] == [1, 2] and book.passed_over == {}
    return counts, bad


def signals(count=SIGNALS, seed=18):
    """Interrupts and requests to end at random moments over every command."""
    pick, bad, early = random.Random(seed), [], 0
    with tempfile.TemporaryDirectory() as name:
        places = {one: str(Path(name, one)) for one in ("XDG_CACHE_HOME", "XDG_DATA_HOME", "TMPDIR")}
        for place in places.values():
            os.mkdir(place)
        book = Path(name, "book.sqlite")
        test_poison.shelved(book)
        environment = {**os.environ, **places}
        environment.pop("LEAST_CLUTCH_NO_CACHE", None)
        out = Path(name, "out.html")
        commands = [
            ["recommend", CASE], ["why", CASE], ["why-not", CASE, "orrin-230-steel"], ["what-would-change", CASE],
            ["rules", "check"],
            ["sheet", CASE, "--format", "html", "--out", out, "--replace"], ["case", "replay", "1", "--casebook", book],
            ["case", "save", CASE, "--casebook", book], ["case", "check", "--casebook", book], ["case", "audit", "1",
            "--casebook", book],
            ["case", "anchor", "--casebook", book], ["case", "forget", "2", "--casebook", book],
            ["shop", "kits"], ["calculate", "torque_capacity"], ["worksheet", "end-float", "before=0.1 mm"],
        ]  # fmt: skip
        for number in range(count):
            sent = pick.choice((signal.SIGINT, signal.SIGTERM, signal.SIGHUP))
            code, complaints, left = fuzz.signalled(
                commands[number % len(commands)], environment, sent, pick.uniform(0.0, 1.5)
            )
            # Before the program stands the signal is the interpreter's own: it ends without a word or with its own.
            before = code == -sent or (code == 1 and "advisor" not in complaints)
            early += before
            if not before and (
                code not in (0, 2, 3, 4, 128 + sent) or "Traceback" in complaints or "ignored" in complaints
            ):
                bad.append((code, complaints[-200:]))
            if left or [path for path in Path(name).iterdir() if ".draft" in path.name or path.suffix == ".new"]:
                bad.append(("left behind", left))
    told = f"{len(bad)} bad, {early} before the program stood"
    return [("signals at random moments", count, told + (f" FAILED: {bad[:5]}" if bad else ""))]


def damaged(count=DAMAGED, seed=18):
    """Damaged casebooks, salvaged: only sound cases come out."""
    pick, taken = random.Random(seed), 0
    with tempfile.TemporaryDirectory() as name:
        sound = test_poison.shelved(Path(name, "sound.sqlite"))
        work = Path(name, "work")
        work.mkdir()
        for _ in range(count):
            taken += test_poison.attack_by_damage(sound, work, pick)
    return [("damaged casebooks salvaged", count, f"{taken} of {2 * count} cases taken out, every one as it was")]


def rows():
    """(what, how many, result) of everything, each as soon as it is known."""
    yield from in_processes()
    yield from signals()
    yield from damaged()
