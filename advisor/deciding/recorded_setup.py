"""What goes in with the pick, as the decision record holds it."""

from collections.abc import Iterator

from ..frozen import frozen

#: Parts of what goes in with the pick, in the order they are told.
SET_UP_PARTS = ("parts", "measurements", "steps", "bedding_in", "fitted_by")


@frozen(eq=False)
class SetUpItem:
    """What goes in with the pick, is measured or done. ``kind`` to ``likely`` of parts alone, ``who`` of who fits it;
    ``likely``: needed as a rule, though it depends on what is found; ``in_short``: the same in a few words, of what
    stands on every card.
    """

    id: str
    level: str
    text: str
    rule: str
    kind: str = ""
    part: str | None = None
    title: str | None = None
    price: float | None = None
    currency: str | None = None
    stock: float | None = None
    likely: bool = False
    who: str | None = None
    in_short: str = ""


@frozen(eq=False)
class SetUp:
    """All that goes with the pick."""

    parts: tuple[SetUpItem, ...] = ()
    measurements: tuple[SetUpItem, ...] = ()
    steps: tuple[SetUpItem, ...] = ()
    bedding_in: tuple[SetUpItem, ...] = ()
    fitted_by: tuple[SetUpItem, ...] = ()

    def of(self, part: str) -> tuple[SetUpItem, ...]:
        """The items of one of `SET_UP_PARTS`."""
        return getattr(self, part)

    def items(self) -> Iterator[tuple[str, SetUpItem]]:
        """Pairs (part, item) of all, in order."""
        return ((part, item) for part in SET_UP_PARTS for item in self.of(part))
