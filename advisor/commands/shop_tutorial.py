"""``advisor shop tutorial``: from a spreadsheet to a quote, step by step; a test runs it exactly as printed."""

import argparse
from pathlib import Path
from typing import Any

from ..errors import StoreError
from ..knowledge import disk
from . import opening

#: What the steps work on.
LISTS = ("cars.csv", "weir.csv", "caller.yaml")


def add(actions: Any) -> None:
    """The action and its options."""
    lesson = actions.add_parser("tutorial", help="from a spreadsheet to a quote, step by step")
    lesson.add_argument("--lists", metavar="FOLDER", help="put the lists that it works on into this folder")
    opening.add_replace(lesson)
    lesson.set_defaults(act=run)


def run(arguments: argparse.Namespace) -> int:
    """0 once it is shown, or the lists are written."""
    from ..knowledge.sources import demonstration

    folder = demonstration() / "tutorial"
    if not arguments.lists:
        opening.say(disk.read(folder / "tutorial.md", disk.RULES).decode("utf-8"))
        return 0
    place = Path(arguments.lists)
    if not place.is_dir():
        raise StoreError(f"there is no folder {str(place)!r}.", remedy="Make it, or name another.")
    for name in LISTS:
        disk.deliver(place / name, disk.read(folder / name, disk.RECORDS), replace=arguments.replace, option="--lists")
    opening.say(f"Written: {', '.join(LISTS)}.")
    return 0
