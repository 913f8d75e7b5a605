"""Which casebook a counter works in: the shop's where it can be reached, else its own, which is handed over later."""

from dataclasses import dataclass

from ..errors import StoreError
from . import handing_over, places
from .book import Casebook


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
    try:
        with Casebook(shop, write=False) as shops:
            return BookInUse(shop, _waiting(shops, own))
    except StoreError as error:
        why = error.what.rstrip(".")
    line = f"the shop's casebook cannot be used now ({shop}: {why}); this goes by your own, {own}, handed over later."
    return BookInUse(own, (line,))


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
