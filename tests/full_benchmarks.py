"""All benchmarks at their smallest size; `rows` is called by tests/full.py and gives (what, how many, result)."""

import importlib

from .benchmarks.__main__ import modules


def faults(tables):
    """What is wrong with a benchmark's tables: none at all, one without rows, a row without a value."""
    if not tables:
        return ["no table"]
    found = []
    for title, rows in tables.items():
        if not title or not rows:
            found.append(f"{title or 'a table without a title'}: no rows")
        found += [f"{title}: {row}" for row in rows if not row or None in row.values()]
    return found


def rows():
    """Every benchmark still runs; nothing is timed here."""
    found = []
    for name in modules():
        wrong = faults(importlib.import_module(f"tests.benchmarks.{name}").tables(True))
        found.append((f"benchmark {name} at its smallest", 1, f"FAILED: {wrong[0]}" if wrong else "runs"))
    return found
