"""Entries of a decision record on what lies around the decision: the span, wishes, near misses, close calls."""

from typing import Any

from ..frozen import frozen


@frozen(eq=False)
class FigureStep:
    """A figure of the pick and of the other kit."""

    figure: str
    pick: float
    kit: float
    difference: float = 0.0


@frozen(eq=False)
class DoubtfulValue:
    """A value of a fact nobody knows, and in how many of 100 completions with that end it stood; None: any other."""

    fact: str
    value: Any = None
    share: float | None = None


@frozen(eq=False)
class SpanEnd:
    """An end of the span: ``kit`` or None, then ``best`` comes nearest; ``picked_in``, ``holds_in``, ``suits_in``: of
    100 completions; ``price``; ``otherwise``: what the unknown facts mostly are where this kit is the pick.
    """

    kit: str | None
    best: str | None = None
    picked_in: float | None = None
    holds_in: float | None = None
    suits_in: float | None = None
    price: float | None = None
    otherwise: tuple[DoubtfulValue, ...] = ()


@frozen(eq=False)
class NarrowingFact:
    """A fact whose answer narrows the span, and by how much."""

    fact: str
    from_: Any = None
    to: Any = None


@frozen(eq=False)
class RecordedSpan:
    """How far the advice may lie as the open answers turn out; ``likely``: the pick among them, or None.

    ``saves``: what the settling answer could save at most, or None. ``fit_open``: what must fit the car is not known
    and left open, so that the ends tell what kind of clutch it comes to, not which one.
    ``readings``: 2 where answers contradict each other and both readings were drawn.
    """

    gentle_end: SpanEnd
    careful_end: SpanEnd
    likely: SpanEnd | None = None
    narrows: tuple[NarrowingFact, ...] = ()
    doubtful: tuple[str, ...] = ()
    completions: int = 0
    discarded: int = 0
    saves: float | None = None
    fit_open: bool = False
    readings: int = 1


@frozen(eq=False)
class BesideThePick:
    """Another kit held against the pick; ``delivery``: days until it is there, 0 from the shelf, or None."""

    kit: str
    differences: tuple[FigureStep, ...] = ()
    delivery: float | None = None
    pick_delivery: float | None = None

    def difference(self, figure: str) -> float | None:
        """How much more of a figure that kit has than the pick, or None."""
        return next((step.difference for step in self.differences if step.figure == figure), None)


@frozen(eq=False)
class RecordedWish:
    """A wish that moved the pick through ``requirements``; ``assumed``: nobody answered ``fact``."""

    fact: str
    without: BesideThePick
    requirements: tuple[str, ...] = ()
    assumed: bool = False


@frozen(eq=False)
class NearMiss:
    """A kit that misses one requirement of a wish by a little and is far cheaper."""

    requirement: str
    beside: BesideThePick
    needed: Any = None
    actual: float | None = None


@frozen(eq=False)
class RecordedCloseCall:
    """From ``at`` on the pick is ``becomes`` (None: none passes); ``value`` was taken, of ``low`` to ``high``."""

    fact: str
    value: float
    at: float
    becomes: str | None = None
    low: float | None = None
    high: float | None = None
