"""Casebooks of 10,000 to 1,000,000 cases: pages, reading everything, impact; CPU a case and peak memory.

The largest takes some five gigabytes in the folder for temporary files and an hour of a core; it is left out where
there is no room for it.
"""

import shutil
import tempfile
from pathlib import Path

from tests.benchmarks import casebook as impacts, pages
from tests.casebook import large

SIZES = (10_000, 100_000, 1_000_000)
#: Bytes of a stored case, with room for the log beside it.
BYTES = 7_000
#: CPU seconds that a first page may take more than of the smallest casebook.
MORE = 0.5


def rows(sizes=SIZES):
    """(what, how many, result) of each casebook."""
    pool = list(large.distinct(pages.DISTINCT))
    found, first = [], None
    with tempfile.TemporaryDirectory(prefix="casebook-full-") as name:
        folder = Path(name)
        rules = impacts.edited(folder / "rules")
        for size in sizes:
            if shutil.disk_usage(folder).free < 2 * size * BYTES:
                found.append(("casebook left out: no room for it", size, "not run"))
                continue
            path = folder / "large.sqlite"
            large.fill(path, size, pool)
            number = size // 2
            read = pages.measure(path, f"{pool[number % len(pool)][0].id}-{number}")
            first = first or read
            for what, (seconds, count) in read["taken"].items():
                if what == "every case":
                    found.append((what, size, f"{1e6 * seconds / count:.0f} us of CPU each"))
                    assert count == size
                    continue
                assert seconds < first["taken"][what][0] + MORE, (what, size, seconds)
                found.append((what, size, f"{1000 * seconds:.1f} ms of CPU"))
            growth = read["peak_kb"] / first["peak_kb"]
            found.append(
                ("peak memory of reading", size, f"{read['peak_kb'] / 1024:.0f} MiB, {growth:.2f} of the first")
            )
            assert growth < 1.5, growth
            one = impacts.impact(path, rules, 1, folder / "cache")
            found.append(
                (
                    "impact, one process",
                    size,
                    f"{1000 * one['cpu'] / size:.2f} ms of CPU each, peak {one['peak_kb'] / 1024:.0f} MiB",
                )
            )
            path.unlink()
    return found
