"""Casebooks of 10,000 to 1,000,000 cases: pages, listing, exporting and checking all of them, impact; CPU a case and
peak memory, in files and, up to a size, on a server.

The largest takes some five gigabytes and an hour of a core; it is left out where there is no room for it. Where the
environment variable LEAST_CLUTCH_LARGE_BOOKS names a folder, the casebooks are kept there and not made again.
"""

import contextlib
import os
import shutil
from pathlib import Path
from unittest.mock import patch

from advisor.casebook import places, words
from advisor.casebook.book import Casebook
from tests import database
from tests.benchmarks import casebook as impacts, pages
from tests.casebook import large
from tests.full import own_folder, rows_of

SIZES, ON_SERVER = (10_000, 100_000, 1_000_000), (10_000, 100_000)
KEPT = "LEAST_CLUTCH_LARGE_BOOKS"
#: Bytes of a stored case, with room for the log beside it.
BYTES = 7_000
#: CPU seconds that a first page may take more than of the smallest casebook, and how far the CPU of each case and the
#: peak memory may grow.
MORE, DEARER, LARGER = 0.5, 1.5, 1.5


class Books:
    """Large casebooks in a folder, made when first asked for."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.pool = list(large.distinct(pages.DISTINCT))

    def file(self, size: int) -> Path | None:
        """The file of a casebook of so many cases, None where there is no room for it."""
        path = self.folder / f"{size}.sqlite"
        if not path.exists():
            if shutil.disk_usage(self.folder).free < 2 * size * BYTES:
                return None
            draft = self.folder / "making.sqlite"
            large.fill(draft, size, self.pool)
            draft.rename(path)
        return path

    def name(self, size: int) -> str:
        """The name of a case in the middle of it."""
        number = size // 2
        return f"{self.pool[number % len(self.pool)][0].id}-{number}"


@contextlib.contextmanager
def _books():
    with own_folder("large") as folder:
        kept = Path(os.environ.get(KEPT) or folder)
        with patch.dict(os.environ, {"XDG_DATA_HOME": str(kept / "data")}):  # the key that they are sealed with
            yield Books(kept), folder


def _held(where, size, read, first):
    """Rows of what `pages.measure` found, held against what it found of the smallest casebook."""
    for what, (seconds, count) in read["taken"].items():
        before, of_before = first["taken"][what]
        if "each" in what:
            assert count >= size
            assert seconds / count < DEARER * before / of_before, (what, size, seconds, count)
            yield f"{where}: {what}", size, f"{1e6 * seconds / count:.0f} us of CPU"
        else:
            assert seconds < before + MORE, (what, size, seconds)
            yield f"{where}: {what}", size, f"{1000 * seconds:.1f} ms of CPU"
    growth = read["peak_kb"] / first["peak_kb"]
    assert growth < LARGER, growth
    yield f"{where}: peak memory", size, f"{read['peak_kb'] / 1024:.0f} MiB, {growth:.2f} of the first"


def _left_out(size):
    return "casebook left out: no room for it", size, "not run"


def in_files(sizes=SIZES):
    """Casebooks in files, and an impact over each."""
    first = None
    with _books() as (books, folder):
        rules = impacts.edited(folder / "rules")
        for size in sizes:
            path = books.file(size)
            if path is None:
                yield _left_out(size)
                continue
            read = pages.measure(path, books.name(size))
            first = first or read
            yield from _held("file", size, read, first)
            run = impacts.impact(path, rules, 1, folder / "cache")
            each = f"{1000 * run['cpu'] / size:.2f} ms of CPU each, peak {run['peak_kb'] / 1024:.0f} MiB"
            yield "impact, one process", size, each


def on_server(sizes=ON_SERVER):
    """Copies of them on a server."""
    if not database.is_there():
        yield "large casebooks on a server", 0, "not run: no server is installed"
        return
    first, server = None, database.Server()
    try:
        server.database("chain")
        with _books() as (books, _):
            for size in sizes:
                path = books.file(size)
                if path is None:
                    yield _left_out(size)
                    continue
                address = server.address(f"of_{size}")
                with places.opened(path, write=False) as source:
                    places.copy(source, address)
                with Casebook(address) as book:
                    words.fill(book.store)
                read = pages.measure(address, books.name(size))
                first = first or read
                yield from _held("server", size, read, first)
    finally:
        server.end()


ALL = (in_files, on_server)


def rows():
    """(what, how many, result) of everything; a part that fails says so and the others still run."""
    return rows_of(ALL)
