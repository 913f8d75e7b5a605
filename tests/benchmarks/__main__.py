"""All benchmarks in one run: ``python -m tests.benchmarks [--smoke] [--json FILE] [NAME ...]``.

Each module here with a function ``tables(smoke)`` gives title -> rows. What counts are ratios within a run; times
depend on the machine and on what else it does.
"""

import argparse
import importlib
import json
import os
import pathlib
import platform
import sys


def modules():
    """Names of the benchmark modules, in order."""
    folder = pathlib.Path(__file__).parent
    return sorted(
        path.stem
        for path in folder.glob("*.py")
        if not path.stem.startswith("_") and "def tables(" in path.read_text(encoding="utf-8")
    )


def show(title, rows):
    """A table as text."""
    names = list(dict.fromkeys(name for row in rows for name in row))
    widths = [max(len(name), *(len(str(row.get(name, ""))) for row in rows)) for name in names]
    print(f"\n{title}")
    for row in (dict(zip(names, names)), *rows):
        print("  " + "  ".join(str(row.get(name, "")).rjust(width) for name, width in zip(names, widths)), flush=True)


def main(argv):
    """Run the named modules, all where none is named; the exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks")
    parser.add_argument("names", nargs="*", choices=[*modules(), []], metavar="NAME")
    parser.add_argument("--smoke", action="store_true", help="only show that everything still runs")
    parser.add_argument("--json", metavar="FILE")
    arguments = parser.parse_args(argv)
    print(
        f"{platform.python_implementation()} {platform.python_version()}, {platform.machine()}, "
        f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}"
    )
    found = {}
    for name in arguments.names or modules():
        for title, rows in importlib.import_module(f"tests.benchmarks.{name}").tables(arguments.smoke).items():
            found[f"{name}: {title}"] = rows
            show(f"{name}: {title}", rows)
    if arguments.json:
        pathlib.Path(arguments.json).write_text(json.dumps(found, indent=2) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
