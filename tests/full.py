"""The long counts, all of them or those named: ``python -m tests.full [NAME ...]``.

Each part gives rows (what, how many, result); a part that fails says so in its row and the run ends with 1.
"""

import importlib
import pathlib
import sys
import time


def parts():
    """Names of the parts: the modules tests/full_<name>.py."""
    return sorted(path.stem.removeprefix("full_") for path in pathlib.Path(__file__).parent.glob("full_*.py"))


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
        for what, count, result in rows_of([importlib.import_module(f"tests.full_{name}").rows], f"{name} stopped"):
            failed |= "FAILED" in str(result)
            print(f"{name:11} | {what:60} | {count!s:>9} | {result}", flush=True)
        print(f"{name:11} | CPU of this process, s{'':38} | {time.process_time() - start:9.0f} |", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
