"""Which casebook a counter works in: the shop's where it can be reached, else its own, which is handed over later."""

import contextlib
import json
import time
from dataclasses import dataclass

from ..errors import StoreError
from ..knowledge import disk
from . import handing_over, places
from .book import Casebook
from .store import default_path

#: Where finding out that the shop's casebook is away took more seconds than that, as where a network swallows what is
#: sent, nobody waits for it again for so many: the counter has somebody on the telephone.
LONG, REMEMBERED = 2.0, 60.0
NOTE, LARGEST = "away.json", 10_000


@dataclass(frozen=True, slots=True)
class BookInUse:
    """The ``place`` of the casebook to work in; ``lines``: what people should know of it, each in one line."""

    place: str
    lines: tuple[str, ...] = ()


def choose(shop: str, own: str) -> BookInUse:
    """The shop's casebook where it can be opened, else the counter's own; neither is made here.

    Where no casebook stands in the shop's place that is taken for a folder that is away: a casebook is never begun in
    the empty place of one.
    """
    why = _lately_away(shop)
    if not why:
        begun = time.monotonic()
        try:
            with Casebook(shop, write=False) as shops:
                return BookInUse(shop, _waiting(shops, own))
        except StoreError as error:
            why = error.what.rstrip(".")
        if time.monotonic() - begun > LONG:
            _remember(shop, why)
    line = f"the shop's casebook cannot be used now ({shop}: {why}); this goes by your own, {own}, handed over later."
    return BookInUse(own, (line,))


def _note():
    return default_path().with_name(NOTE)


def _remember(shop, why):
    """Keep for the next commands that the shop's casebook was away, where finding out took long."""
    with contextlib.suppress(OSError, StoreError):
        note = {"casebook": shop, "why": why, "at": time.time()}
        _note().parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        disk.write(_note(), json.dumps(note) + "\n", replace=True, private=True)


def _lately_away(shop):
    """Why the shop's casebook was away a moment ago, "" where it was not, or that is not known."""
    try:
        note = json.loads(disk.read(_note(), LARGEST, follow=False))
        if note["casebook"] == shop and 0 <= time.time() - note["at"] < REMEMBERED:
            return f"{note['why']}; found out {time.time() - note['at']:.0f} s ago"
    except (OSError, StoreError, ValueError, TypeError, KeyError):
        pass
    return ""


def _waiting(shop, own):
    """A line where cases wait in the counter's own casebook, or that cannot be read."""
    if not places.may_be_there(own):
        return ()
    try:
        with Casebook(own, write=False) as book:
            count = handing_over.waiting(book, shop)
    except StoreError as error:
        return (f"your own casebook cannot be read: {error}",)
    if not count:
        return ()
    cases = f"{count} cases wait" if count > 1 else "1 case waits"
    return (f"{cases} in your own casebook to be handed over: advisor case hand-over.",)
