"""The versions of a shop's rules: who adopted them, when and why; looked over, and put back as they were adopted."""

import dataclasses
import json
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING, Any

from . import opening
from .shop_rules import shop_folder

if TYPE_CHECKING:
    from ..versions.history import Version

#: Changes of a version shown before the rest is only counted, and files that are not read.
SHOWN = 5


def add_history(parser: ArgumentParser) -> None:
    """The options of ``history``."""
    parser.add_argument("number", nargs="?", type=int, metavar="VERSION", help="one version, with all that it changed")
    parser.add_argument("--check", action="store_true", help="look the history over, seals and signatures too")
    parser.add_argument("--mend", action="store_true", help="put the last version back as it was adopted")


def run_history(arguments: Namespace) -> int:
    """The versions; or one of them; or a look over them all."""
    from ..versions.history import History

    if arguments.mend:
        return _mend(arguments)
    shop = shop_folder(arguments)
    with History(shop) as history:
        if arguments.check:
            faults = history.faults()
            for fault in faults:
                opening.complain(f"{history.path}: {fault}.")
            if faults:
                return 2
            opening.say(f"{len(history.versions())} versions, all sound; the last one is in force.")
            return 0
        versions = history.versions() if arguments.number is None else [history.version(arguments.number)]
    if arguments.json:
        opening.say_json(json.dumps([version_data(version) for version in versions], sort_keys=True, indent=2))
        return 0
    if not versions:
        opening.say("No version of the house rules was adopted yet. Begin with: advisor rules draft")
    for version in reversed(versions):
        _say_version(version, whole=arguments.number is not None)
    loose = _loose(shop) if versions else []
    for path in loose[:SHOWN]:
        opening.say(f"Not read, for versions are in force: {path}. Move it into a draft.")
    return 0


def _loose(shop):
    from ..knowledge import rules_in_force

    return [shop / "rules" / name for name in rules_in_force.bodies(shop / "rules")]


def version_data(version: "Version") -> dict[str, Any]:
    """A version as JSON data."""
    data = dataclasses.asdict(version)
    data.pop("entry")
    return data


def _say_version(version, whole):
    from ..knowledge.sentences import wrap

    width = opening.width()
    opening.say(wrap(f"Version {version.number}, {version.adopted}", width, "", "  "))
    shown = version.changes if whole else version.changes[:SHOWN]
    for change in shown:
        opening.say(wrap(change, width, "    ", "      "))
    if not shown and version.before is not None:
        opening.say("    no rule says anything else")
    if len(version.changes) > len(shown):
        opening.say(f"    and {len(version.changes) - len(shown)} more: advisor rules history {version.number}")
    for accepted in version.accepted:
        opening.say(wrap(f"signed for: {accepted}", width, "    ", "      "))


def _mend(arguments):
    from ..knowledge import shop as shops
    from ..versions.history import History

    folder = shops.find(arguments.shop)
    if folder is None:
        return run_history(Namespace(**{**vars(arguments), "mend": False}))
    with History(folder, write=True) as history:
        last = history.mend()
    opening.say(f"Version {last.number} is in force as it was adopted." if last else "No version was adopted yet.")
    return 0
