"""A shop's own rules as commands find them: the shop's folder, what is in force there."""

from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import InputError

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge
    from ..knowledge.sources import Content, Sources


def shop_folder(arguments: Namespace) -> Path:
    """The shop's folder; InputError where none is named: the demonstration's rules ship with the program."""
    from ..knowledge import shop as shops
    from ..versions import history

    folder = shops.find(arguments.shop)
    if folder is None:
        raise InputError(
            "no shop is named, and the rules of the demonstration ship with the program.",
            remedy="Name yours with --shop, or set one up: advisor shop new FOLDER",
        )
    history.settle(folder)
    return folder


def knowledge_of(sources: "Sources") -> "Knowledge":
    """The checked rules of `Sources`."""
    return content_of(sources).knowledge


def content_of(sources: "Sources") -> "Content":
    """Checked rules and records of `Sources`."""
    import os

    from ..knowledge.sources import read

    return read(sources, cache=not os.environ.get("LEAST_CLUTCH_NO_CACHE"))


def in_force_text(shop: Path) -> str:
    """What is in force in a shop, as it is called."""
    from ..knowledge import rules_in_force

    held = rules_in_force.in_force(shop / "rules")
    return f"version {held.number}, in force" if held else "the house rules in force (no version was adopted yet)"
