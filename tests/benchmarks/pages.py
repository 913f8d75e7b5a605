"""What a page of a casebook takes as it grows: a list, a search, a case by its name; and what listing, exporting and
checking all of it takes.

CPU of a process of its own for each; ratios against the smallest casebook.
"""

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.casebook import large

ROOT = Path(__file__).resolve().parents[2]
DISTINCT = 100
SIZES = (1_000, 10_000)

_MEASURED = """
import itertools, json, os, sys, time
from advisor.casebook import check, exporting, histories
from advisor.casebook.book import Casebook

path, name, whole = sys.argv[1], sys.argv[2], sys.argv[3] == "whole"
taken = {}

def timed(what, action):
    start = time.process_time()
    count = action()
    taken[what] = (time.process_time() - start, count)

def page(numbers):
    return sum(1 for _ in itertools.islice(book.overview(numbers=numbers), 50))

start = time.process_time()
with Casebook(path, write=False) as book:
    taken["opened"] = (time.process_time() - start, 1)
    timed("newest page", lambda: page(histories.newest_first(book.store)))
    timed("page of a common word", lambda: page(book.search_newest(["recommended"])))
    timed("page of two words", lambda: page(book.search_newest(["bramble", "organic"])))
    timed("two words never together", lambda: page(book.search_newest(["dora", "fenja"], people=True)))
    timed("page of a person", lambda: page(book.search_newest(["ambrel"], people=True)))
    timed("case by its name", lambda: len(book.history(book.number_of(name))))
    if whole:
        timed("listed, each case", lambda: sum(1 for _ in book.overview()))
        with open(os.devnull, "w") as nowhere:
            timed("exported, each case", lambda: exporting.write_csv(book, book.overview(), nowhere))
        found = []
        timed("checked, each entry", lambda: found.append(check.check(book.store)) or found[0].entries)
        assert not found[0].faults, found[0].faults[:3]
peak = next(int(line.split()[1]) for line in open("/proc/self/status") if line.startswith("VmHWM"))
print(json.dumps({"taken": taken, "peak_kb": peak}))
"""


def measure(path, name, whole=True):
    """{taken: {what: (CPU s, how many)}, peak_kb} of a casebook in a file or on a server, read by a process of its own.

    ``whole``: also what reading all of it takes.
    """
    command = [sys.executable, "-c", _MEASURED, str(path), name, "whole" if whole else "pages"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, env=dict(os.environ))
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def measured(sizes=SIZES, whole=True):
    """Size -> `measure`, of casebooks made for it."""
    pool = list(large.distinct(DISTINCT))
    by_size = {}
    with tempfile.TemporaryDirectory(prefix="pages-benchmark-") as folder:
        for size in sizes:
            path = Path(folder) / f"{size}.sqlite"
            large.fill(path, size, pool)
            # Case `number` is of the pool's case number % len(pool).
            number = size // 2
            by_size[size] = measure(path, f"{pool[number % len(pool)][0].id}-{number}", whole)
            path.unlink()
    return by_size


def tables(smoke=False):
    """Title -> rows."""
    by_size = measured((50, 100), whole=False) if smoke else measured()
    smallest = by_size[min(by_size)]
    rows = []
    for size, found in by_size.items():
        row = {"cases": size, "peak, times the smallest": round(found["peak_kb"] / smallest["peak_kb"], 2)}
        for what, (seconds, count) in found["taken"].items():
            row[what] = f"{1000 * seconds / (count if 'each' in what else 1):.2f} ms"
        rows.append(row)
    return {"pages of a casebook": rows}
