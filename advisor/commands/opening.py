"""What several commands share: options, opening the shop, the two engines, printing."""

import os
import shutil
import sys
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING, Any, BinaryIO

from ..deciding.outcomes import MORE_ANSWERS, NO_KIT, RECOMMENDED
from ..errors import AdvisorError, ErrorList, InputError, Position, StoreError
from ..knowledge import disk, signs

if TYPE_CHECKING:
    from argparse import _ArgumentGroup
    from pathlib import Path

    from ..casebook.away import BookInUse
    from ..casebook.book import Casebook
    from ..deciding.decide import Decider
    from ..knowledge.case_model import Case
    from ..knowledge.model import Knowledge
    from ..knowledge.shop import About
    from ..knowledge.sources import Content, Sources

#: Outcome of a decision -> exit code.
EXIT = {RECOMMENDED: 0, MORE_ANSWERS: 3, NO_KIT: 4}


def add_shop(parser: "ArgumentParser | _ArgumentGroup") -> None:
    """The option naming the shop, whose casebook it is among other things."""
    parser.add_argument("--shop", metavar="FOLDER", help="the shop: a folder with shop.toml")


def add_sources(parser: ArgumentParser) -> None:
    """Options naming another shop, or other rules, kits, platforms or parts."""
    group = parser.add_argument_group("where things are read from")
    if not any("--shop" in action.option_strings for action in parser._actions):
        add_shop(group)
    for name in ("rules", "kits", "platforms", "parts"):
        group.add_argument(f"--{name}", metavar="PLACE", help=f"other {name}: a file or folder")


def add_replace(parser: ArgumentParser) -> None:
    """The option to replace a file that stands where the output goes."""
    parser.add_argument("--replace", action="store_true", help="replace a file that stands there already")


def add_output(parser: ArgumentParser, *, json: bool = True) -> None:
    """Options of every command that shows something."""
    group = parser.add_argument_group("how it is shown")
    parser.set_defaults(as_the_shop_does=True)
    group.add_argument(
        "--units", choices=("trade", "si"), help="trade: lb-ft, lbf, hp; si: N m, N, kW (default: as the shop works)"
    )
    if json:
        group.add_argument("--json", action="store_true", help="as JSON data")


def as_the_shop_does(arguments: Namespace) -> None:
    """What the options leave open of how it is shown, as ``shop.toml`` says: units, paper."""
    if not getattr(arguments, "as_the_shop_does", False):
        return
    open_ones = [name for name in ("units", "paper") if getattr(arguments, name, "") is None]
    if not open_ones:
        return
    about = shop_of(arguments)
    for name in open_ones:
        setattr(arguments, name, getattr(about, name).lower())


def shop_of(arguments: Namespace) -> "About":
    """What ``shop.toml`` of the shop named or found says; the usual where there is none."""
    from ..knowledge import shop as shops

    folder = shops.find(getattr(arguments, "shop", None))
    return shops.read(folder) if folder else shops.About("")


def read_from(arguments: Namespace) -> "list[Path]":
    """The places everything is read from, as the options name them."""
    from ..knowledge.sources import NAMES

    sources = sources_of(arguments)
    return [getattr(sources, name) for name in NAMES]


def sources_of(arguments: Namespace) -> "Sources":
    """The `Sources` that the options name."""
    from ..knowledge.sources import NAMES, Sources

    _settle(getattr(arguments, "shop", None))
    return Sources.chosen(getattr(arguments, "shop", None), **{name: getattr(arguments, name, None) for name in NAMES})


def _settle(named):
    """Finish an adoption of rules that somebody was stopped in the middle of, before anything is read."""
    from ..knowledge import rules_in_force, shop as shops

    folder = shops.find(named)
    if folder is not None and (folder / "rules" / rules_in_force.NEXT).exists():
        from ..versions import history

        history.settle(folder)


def casebook_of(arguments: Namespace) -> str | None:
    """The casebook an option names, else the one the shop names, else None: the user's own."""
    if getattr(arguments, "casebook", None):
        return arguments.casebook
    chosen = _chosen(arguments)
    return chosen.place if chosen else shops_casebook(arguments)


def shops_casebook(arguments: Namespace) -> str | None:
    """The casebook that an option or the shop names, whether it can be reached or not."""
    if getattr(arguments, "casebook", None):
        return arguments.casebook
    return _place_in_shop(arguments, "casebook")


def own_casebook(arguments: Namespace) -> str | None:
    """The casebook that this counter writes to while the shop's is away, as the shop names it."""
    return _place_in_shop(arguments, "own_casebook")


def book_of(arguments: Namespace, *, write: bool = True) -> "Casebook":
    """The casebook of `casebook_of`, opened."""
    from ..casebook.book import Casebook

    place = casebook_of(arguments)
    return Casebook(place, write=write, counter=counter_of(arguments, place))


def counter_of(arguments: Namespace, place: str | None) -> str:
    """The name of the counter whose own casebook stands at this place; "" where it is nobody's own."""
    own = own_casebook(arguments)
    is_own = own is not None and place is not None and os.path.realpath(place) == os.path.realpath(own)
    return shop_of(arguments).counter if is_own else ""


def _place_in_shop(arguments, name):
    from ..casebook import places
    from ..knowledge import shop as shops

    folder = shops.find(getattr(arguments, "shop", None))
    named = getattr(shops.read(folder), name) if folder else ""
    return places.from_folder(folder, named) if folder and named else None


#: What was chosen, and said, in this run of the program.
books_in_use: "dict[tuple[str, str], BookInUse]" = {}


def _chosen(arguments):
    """Which casebook this counter writes to now, said once where that is worth a line; None where it has no own."""
    own = own_casebook(arguments)
    if own is None:
        return None
    from ..casebook.away import choose

    shops = shops_casebook(arguments)
    if shops is None:
        raise InputError(
            "shop.toml names this counter's own casebook and not the shop's.",
            where=Position(str(shop_of(arguments).folder)),
            remedy="Name the shop's too: casebook.",
        )
    if not shop_of(arguments).counter:
        raise InputError(
            "shop.toml names this counter's own casebook, and the counter has no name to number its cases by.",
            where=Position(str(shop_of(arguments).folder)),
            remedy='Give it one that no other counter of the shop has: counter = "WEST".',
        )
    if (shops, own) not in books_in_use:
        books_in_use[shops, own] = choice = choose(shops, own)
        for line in choice.lines:
            complain(line)
    return books_in_use[shops, own]


def open_content(arguments: Namespace) -> "Content":
    """Checked knowledge and records, from the places the options name."""
    from ..knowledge.sources import read

    return read(sources_of(arguments))


def open_decider(arguments: Namespace, *, isolated: bool = False) -> "Decider":
    """A `Decider` over the content, with both engines where both can be had.

    ``isolated``: for programs that live on after a decision; the C engine then runs in a process of its own.
    """
    from ..deciding.decide import decider_of

    return decider_of(open_content(arguments), isolated=isolated)


def read_case(path: str, knowledge: "Knowledge") -> "Case":
    """The Case in a file, or on standard input for "-"."""
    from ..knowledge import cases

    if path == "-":
        return cases.case_text(_standard_input(), knowledge)
    if not os.path.isfile(path):
        raise InputError(
            f"there is no case file {path!r}.",
            value=path,
            remedy="Give the path of a case file, or - to read standard input.",
        )
    return cases.case(path, knowledge)


def _bytes_of(stream: Any) -> BinaryIO:
    return getattr(stream, "buffer", stream)


def _standard_input():
    """The bytes of standard input, up to the limit of a case."""
    try:
        return disk.within(_bytes_of(sys.stdin), disk.RULES, "standard input")
    except (OSError, ValueError) as error:
        raise StoreError(
            f"it cannot be read: {getattr(error, 'strerror', None) or error}.",
            where=Position("standard input"),
            remedy="Give a case there, or name a file.",
        ) from None


def width() -> int:
    """Columns to write in: the terminal's, at least 40 and at most 80; 80 where there is none."""
    return max(40, min(80, shutil.get_terminal_size((80, 24)).columns))


def say(text: str) -> None:
    """Print text to standard output, its final newline added where it lacks one; nothing in it steers a terminal."""
    sys.stdout.write(signs.shown(text if text.endswith("\n") else text + "\n"))


def say_json(text: str) -> None:
    """Print JSON to standard output; signs that would steer a terminal are escaped."""
    sys.stdout.write(signs.escaped(text if text.endswith("\n") else text + "\n"))


def complain(text: str) -> None:
    """Print one line to standard error."""
    sys.stderr.write(f"advisor: {signs.line(text)}\n")


#: A text from outside as part of one line.
told_in_one_line = signs.line


def report(error: AdvisorError) -> int:
    """Print an error and its remedy to standard error; the exit code it stands for."""
    for fault in error.errors if isinstance(error, ErrorList) else (error,):
        complain(str(fault))
    return error.exit_code
