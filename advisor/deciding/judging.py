"""From figures to the ladder, for all cases and kits at once: the half of deciding that one case and a batch share.

Who derives the facts, and what goes in with each passing kit, differs: two engines for the recorded decision, the bulk
evaluator for a batch. What is made of it does not.
"""

import functools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from . import ladder
from .estimating import HARDEST
from .kit_columns import KitColumns
from .verdicts import FAIL, NOT_ASKED, PASS, Checked, check, verdict_masks

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge, Requirement
    from .batch import BulkFacts
    from .figures import FigureProgram, Figures
    from .kit_columns import FactColumns
    from .setting_up import PriceColumns

FIT_TOPIC = "fit"
#: Topic of the questions whose answers are wishes.
WISHES_TOPIC = "comfort"
#: The topic of what is not advised on: where a must of it refuses every kit, no further answer could help.
DECLINED_TOPIC = "declined"
#: Musts on what fits the vehicle at all.
FIT_TOPICS = (FIT_TOPIC, DECLINED_TOPIC)


def fit_musts(knowledge: "Knowledge") -> "tuple[Requirement, ...]":
    """The Requirements that say what fits the vehicle at all, in the order of their ids."""
    musts = (
        requirement
        for rule in knowledge.rules
        if rule.topic in FIT_TOPICS
        for requirement in rule.require
        if requirement.level == "must"
    )
    return tuple(sorted(musts, key=lambda must: must.id))


def not_yet() -> np.ndarray:
    """The array of what has not been worked out."""
    return np.empty((0, 0))


@dataclass(kw_only=True, eq=False, repr=False)
class Judged:
    """C cases against K ``kits``. Arrays are (C, K), and empty until it has come that far.

    ``fit_musts``: ids of the musts on what fits the vehicle. ``checks``: `Checked` musts, then shoulds. ``unjudged``:
    no must failed, one not known. ``concerns``: (C, K, number of concerns), given up. ``gentle_keys``: the ladder's key
    without the concerns. ``places``: place on the ladder, of kits that do not pass as well.
    """

    kits: KitColumns
    fit_musts: frozenset[str]
    figures: "Figures" = None  # type: ignore[assignment]  # None only where nothing is judged and nobody reads them
    checks: tuple[Checked, ...] = ()
    passes: np.ndarray = field(default_factory=not_yet)
    failed: np.ndarray = field(default_factory=not_yet)
    unjudged: np.ndarray = field(default_factory=not_yet)
    concerns: np.ndarray = field(default_factory=not_yet)
    gentle_keys: tuple[np.ndarray, ...] = ()
    places: np.ndarray = field(default_factory=not_yet)

    @functools.cached_property
    def gentle_ranks(self) -> np.ndarray:
        """Place of each kit from the gentlest to the harshest, concerns aside."""
        return ladder.ranks(self.gentle_keys)

    @functools.cached_property
    def fits(self) -> np.ndarray:
        """Whether a kit fails no dimension and is made for such a vehicle."""
        return ~refused([check for check in self.checks if check.requirement.id in self.fit_musts], self.passes.shape)


def does_job(checks: Sequence[Checked], forgiven: frozenset[str], among: np.ndarray) -> np.ndarray:
    """Boolean (C, K): passes every must but those forgiven, and of these none that no case would put up with.

    ``among``: boolean (C, K), where it is asked.
    """
    job, _, _ = verdict_masks([checked for checked in checks if checked.requirement.id not in forgiven], among.shape)
    job &= among
    for checked in checks:
        if checked.requirement.id in forgiven:
            stands = (checked.status == PASS) | (checked.status == NOT_ASKED)
            job &= (stands & job).any(axis=0)
    return job


def refused(checks: Sequence[Checked], shape: tuple[int, int]) -> np.ndarray:
    """Boolean (C, K): some check is failed."""
    failed = np.zeros(shape, dtype=bool)
    for checked in checks:
        failed |= checked.status == FAIL
    return failed


class Judge:
    """Judges with one Knowledge and its `FigureProgram`."""

    def __init__(self, knowledge: "Knowledge", program: "FigureProgram") -> None:
        self.knowledge, self.program = knowledge, program

    def judge(
        self,
        judged: "Judged",
        facts: "FactColumns | BulkFacts",
        posted: "Sequence[tuple[Requirement, np.ndarray]]",
        prices: "Callable[[Any], PriceColumns]",
        *,
        among: np.ndarray | None = None,
        lean: bool = False,
        forgiven: frozenset[str] = frozenset(),
    ) -> None:
        """Fill a `Judged` from ``facts`` (FactColumns).

        ``posted``: pairs (Requirement, boolean (C, 1) of the cases in which its rule fired), in the order of their ids.
        ``prices``: called with ``judged`` when it is known what passes; gives what each kit comes to.
        ``among``: boolean (C, 1), the cases that are decided at all. ``lean``: of a kit that has failed one
        must nothing more is worked out, so its other checks, its concerns and its place mean nothing. ``forgiven``: ids
        of musts that such a kit may fail all the same (see `does_job`): they are checked last, of all that are left.
        """
        shape = (facts.count, len(judged.kits))
        among = np.ones((1, 1), dtype=bool) if among is None else among
        figures = judged.figures = self.program.figures(judged.kits, facts)

        # A must on safety reads what was estimated at the end that is hardest for it.
        hard_kits = judged.kits.at(HARDEST)
        hard_figures = figures if hard_kits is judged.kits else self.program.figures(hard_kits, facts)

        def check_one(pair: tuple["Requirement", np.ndarray]) -> Checked:
            if pair[0].safety and pair[0].level == "must":
                return check(pair[0], pair[1], hard_kits, facts, hard_figures)
            return check(pair[0], pair[1], judged.kits, facts, figures)

        musts = [pair for pair in posted if pair[0].level == "must"]
        if lean:
            # What takes the fewest figures first, and each only of kits that no earlier one has refused.
            checks, figures.live = [], np.broadcast_to(among, shape).copy()
            hard_figures.live = figures.live
            for pair in sorted(musts, key=lambda pair: (pair[0].id in forgiven, self._cost(pair))):
                checks.append(check_one(pair))
                if pair[0].id not in forgiven:
                    figures.live &= checks[-1].status != FAIL
        else:
            checks = [check_one(pair) for pair in musts]
        passes, judged.failed, judged.unjudged = verdict_masks(checks, shape)
        judged.passes = passes & among
        if lean:
            figures.live = judged.passes
        priced = prices(judged)
        for name, column in ((ladder.PRICE, priced.certain), (ladder.LIKELY_PRICE, priced.likely)):
            figures.put(name, column, np.isfinite(column))
        judged.checks = (*checks, *(check_one(pair) for pair in posted if pair[0].level == "should"))
        judged.concerns = ladder.failed_concerns(judged.checks, self.knowledge.order.concerns, shape)
        judged.gentle_keys = tuple(ladder.gentleness_keys(judged.kits, figures, shape))
        judged.places = ladder.ranks([ladder.concern_number(judged.concerns).astype(float), *judged.gentle_keys])

    def _cost(self, pair):
        """How many figures must be worked out for a must."""
        requirement = pair[0]
        return self.program.count_behind(requirement.measure) if requirement.source == "figure" else 0
