"""Entries of a decision record on its kits: checks, verdicts, what was taken for them, and the kits beside the pick."""

from collections.abc import Collection, Mapping
from dataclasses import field
from typing import Any

from ..frozen import frozen
from .recorded_around import FigureStep


@frozen(eq=False)
class RecordedBasis:
    """What a rule or calculation rests on."""

    kind: str
    source: str = ""
    caution: str = ""


NO_BASIS = RecordedBasis("")


@frozen(eq=False)
class LackingField:
    """What would have to be known: a field of the kit, a fact of the car's record, or an answer, by ``of``."""

    of: str
    field: str


@frozen(eq=False)
class KitCheck:
    """One requirement held against one kit. ``known``: False where it failed because a value is not known.

    ``lacks``: what an unknown one waits for.
    """

    requirement: str
    needed: Any
    actual: Any
    concern: str | None = None
    level: str = ""
    known: bool = True
    sentence: str = ""
    lacks: tuple[LackingField, ...] = ()

    def as_data(self) -> dict[str, Any]:
        """{requirement, needed, actual}."""
        return {"requirement": self.requirement, "needed": self.needed, "actual": self.actual}


@frozen(eq=False)
class AddedPart:
    """A part a passing kit must have with it, in its total price; ``part`` and ``price`` None where none is on file."""

    item: str
    rule: str
    part: str | None = None
    price: float | None = None


@frozen(eq=False)
class SettledByEstimate:
    """What an estimate of the pick settles: musts that fail at one of its ends alone, and kits picked there instead."""

    musts: tuple[str, ...] = ()
    kits: tuple[str, ...] = ()


@frozen(eq=False)
class RecordedStandIn:
    """What was used where a record leaves a field out.

    ``field``: a field of the kit, or a fact of the car, by ``of`` (kit or car). ``kind`` and ``used``: figure, table,
    fact or rule and its name, or a value that stands in the calculation. ``requirements``: ids of those resting on it.
    Of an estimate also its ends, how it is measured, and the ``figures`` that rest on it; of the pick's what it
    ``settles``, None in records of before that was asked.
    """

    field: str
    of: str
    kind: str
    used: str = ""
    value: Any = None
    unit: str = ""
    basis: RecordedBasis = NO_BASIS
    requirements: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    measure: str = ""
    figures: tuple[str, ...] = ()
    settles: SettledByEstimate | None = None

    @property
    def estimated(self) -> bool:
        """Is it an estimate?"""
        return self.kind == "estimate"

    def measured_first(self, musts: Collection[str]) -> bool:
        """Must it be measured before the kit is ordered? ``musts``: ids of the requirements that are musts.

        An estimate that settles nothing need not be; where the record does not say, one that any must reads is.
        """
        if not self.estimated:
            return False
        if self.settles is not None:
            return bool(self.settles.musts or self.settles.kits)
        return any(name in musts for name in self.requirements)


@frozen(eq=False)
class JudgedKit:
    """A kit and its verdict; ``place`` on the ladder (the pick 1) or None; ``unknown_figures``: name -> why not.

    ``stand_ins``: what was used where its maker's figures are not on file.
    """

    id: str
    verdict: str
    fits: bool = True
    failed: tuple[KitCheck, ...] = ()
    unknown: tuple[KitCheck, ...] = ()
    given_up: tuple[KitCheck, ...] = ()
    concerns: tuple[str, ...] = ()
    place: int | None = None
    gentleness: int = 0
    figures: Mapping[str, float] = field(default_factory=dict)
    unknown_figures: Mapping[str, str] = field(default_factory=dict)
    adds: tuple[AddedPart, ...] = ()
    stand_ins: tuple[RecordedStandIn, ...] = ()

    @property
    def estimated_fields(self) -> frozenset[str]:
        """Fields whose value is an estimate."""
        return frozenset(stands.field for stands in self.stand_ins if stands.estimated)

    @property
    def estimated_figures(self) -> frozenset[str]:
        """Figures that rest on something estimated."""
        return frozenset(name for stands in self.stand_ins for name in stands.figures)

    @property
    def refused_by(self) -> tuple[KitCheck, ...]:
        """The musts that fail or cannot be judged."""
        return self.failed + self.unknown


@frozen(eq=False)
class RecordedPick:
    """The pick: the requirements that decided, and the wishes it gives up."""

    kit: str
    because: tuple[KitCheck, ...] = ()
    given_up: tuple[KitCheck, ...] = ()


@frozen(eq=False)
class KitBefore:
    """The nearest kit before the pick; ``before_by``: the member of the ladder's key that puts it there."""

    kit: str
    fails: tuple[KitCheck, ...] = ()
    before_by: str = ""


@frozen(eq=False)
class KitAfter:
    """The next passing kit with clearly more capacity, and what it brings."""

    kit: str
    adds: tuple[FigureStep, ...] = ()


@frozen(eq=False)
class NearEqual:
    """A kit hardly apart from the pick; ``behind_by``: what puts it behind; ``stock``: pick and kit on the shelf."""

    kit: str
    behind_by: str = ""
    gives_up: tuple[str, ...] = ()
    differences: tuple[FigureStep, ...] = ()
    stock: Mapping[str, bool] = field(default_factory=dict)
