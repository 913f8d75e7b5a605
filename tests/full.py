"""The long counts, all of them or those named: ``python -m tests.full [NAME ...]``.

Each part gives rows (what, how many, result); a part that fails says so in its row and the run ends with 1.
"""

import contextlib
import importlib
import os
import pathlib
import sys
import tempfile
import time
from unittest.mock import patch


def parts():
    """Names of the parts: the modules tests/full_<name>.py."""
    return sorted(path.stem.removeprefix("full_") for path in pathlib.Path(__file__).parent.glob("full_*.py"))


@contextlib.contextmanager
def own_folder(prefix):
    """A folder that is gone afterwards, which also holds what this machine caches and notes of casebooks till then."""
    with tempfile.TemporaryDirectory(prefix=f"{prefix}-full-") as name:
        homes = {home: str(pathlib.Path(name, home.lower())) for home in ("XDG_CACHE_HOME", "XDG_DATA_HOME")}
        with patch.dict(os.environ, homes):
            yield pathlib.Path(name)


def rows_of(counts, stopped=""):
    """The rows of some counts, one after the other; one that fails says so in its row and the others still run.

    ``stopped``: what that row is called, where not by the count.
    """
    for count in counts:
        try:
            yield from count()
        except Exception as error:
            what = stopped or count.__name__.replace("_", " ")
            yield what, 0, f"FAILED: {type(error).__name__}: {str(error)[:300]}"


def main(names):
    """Run the named parts (all where none is named); the exit code."""
    unknown = [name for name in names if name not in parts()]
    if unknown:
        print(f"No part {', '.join(unknown)}; there are {', '.join(parts())}.", file=sys.stderr)
        return 2
    failed = False
    for name in names or parts():
        start = time.process_time()
        # A part that cannot even be read stops itself alone.
        part = [lambda: importlib.import_module(f"tests.full_{name}").rows()]  # noqa: B023  called before the next
        for what, count, result in rows_of(part, f"{name} stopped"):
            failed |= "FAILED" in str(result)
            print(f"{name:11} | {what:60} | {count!s:>9} | {result}", flush=True)
        print(f"{name:11} | CPU of this process, s{'':38} | {time.process_time() - start:9.0f} |", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
