"""What a quote offers: the pick, and beside it the gentler kit, the next one up, and the best that is there today.

Only kits that pass every must. What changes is told in pedal, noise, take-up, holding, money and days.
"""

from ..deciding.decision_record import FigureStep, JudgedKit, KitCheck
from ..frozen import frozen
from ..knowledge.shop import Tax
from .priced_lines import PricedLines, lines_of
from .worded import WordedRecord

PASSING = ("picked", "passes")
#: Figures in which a kit beside the pick is told.
TOLD = ("pedal_force_n", "noise_class", "take_up_class", "capacity_working_nm")
BUDGET = "budget"


@frozen
class QuotedKit:
    """One kit of a quote. ``role``: pick, gentler, stronger or at_hand; ``steps``: from the pick's figures to its own;
    ``gives_up``: wishes that it gives up and the pick does not.
    """

    role: str
    kit: str
    lines: PricedLines
    steps: tuple[FigureStep, ...] = ()
    gives_up: tuple[KitCheck, ...] = ()


@frozen
class TaxedSum:
    """A sum with its tax: ``net`` and ``gross`` and the ``tax`` between them, all rounded to cents."""

    net: float
    tax: float
    gross: float


def taxed(total: float, tax: Tax) -> TaxedSum:
    """A sum of prices on file with the shop's tax, which is in them or comes on top.

    >>> taxed(119.0, Tax("VAT", 19.0, in_prices=True))
    TaxedSum(net=100.0, tax=19.0, gross=119.0)
    >>> taxed(100.0, Tax("VAT", 19.0, in_prices=False))
    TaxedSum(net=100.0, tax=19.0, gross=119.0)
    """
    if tax.in_prices:
        part = round(total * tax.percent / (100 + tax.percent), 2)
        return TaxedSum(round(total - part, 2), part, total)
    part = round(total * tax.percent / 100, 2)
    return TaxedSum(total, part, round(total + part, 2))


def quoted_kits(worded: WordedRecord) -> list[QuotedKit]:
    """The pick and up to three kits beside it, each kit once."""
    offered = [QuotedKit("pick", worded.picked, lines_of(worded, worded.picked))]
    for role, kit in (("gentler", _gentler(worded)), ("stronger", _stronger(worded)), ("at_hand", _at_hand(worded))):
        if kit is not None and all(kit != held.kit for held in offered):
            offered.append(_beside(worded, role, kit))
    return offered


def _passing(worded: WordedRecord) -> list[JudgedKit]:
    return [kit for kit in worded.record.fitting if kit.verdict in PASSING]


def _gentler(worded: WordedRecord):
    """The nearest kit before the pick by gentleness: it passes every must and gives up a wish."""
    own = worded.kits[worded.picked].gentleness
    before = [kit for kit in _passing(worded) if kit.gentleness < own and kit.given_up]
    return before[-1].id if before else None


def _stronger(worded: WordedRecord):
    up = worded.record.next_up
    return up.kit if up is not None and worded.kits[up.kit].verdict in PASSING else None


def _at_hand(worded: WordedRecord):
    """The first on the ladder that is on the shelf with all that must go with it; None where that is the pick."""
    ladder = sorted((kit for kit in _passing(worded) if kit.place), key=lambda kit: kit.place or 0)
    return next((kit.id for kit in ladder if lines_of(worded, kit.id).days == 0), None)


def _beside(worded: WordedRecord, role: str, kit: str):
    mine, other = worded.kits[worded.picked], worded.kits[kit]
    steps = [
        FigureStep(name, mine.figures[name], other.figures[name], other.figures[name] - mine.figures[name])
        for name in TOLD
        if name in mine.figures and name in other.figures
    ]
    own = {check.requirement for check in mine.given_up}
    lost = tuple(check for check in other.given_up if check.requirement not in own)
    return QuotedKit(role, kit, lines_of(worded, kit), tuple(steps), lost)


@frozen
class BudgetHeld:
    """Whether a budget is enough for what a kit comes to for ``certain``, ``likely`` and at the ``most``."""

    budget: float
    certain: bool
    likely: bool
    most: bool


def within_budget(worded: WordedRecord, lines: PricedLines) -> BudgetHeld | None:
    """How the budget stands to what the pick comes to; None without a budget or a price."""
    budget = worded.record.value(BUDGET)
    if not isinstance(budget, (int, float)) or lines.total is None or lines.expected is None or lines.most is None:
        return None
    return BudgetHeld(float(budget), *(float(total) <= budget for total in (lines.total, lines.expected, lines.most)))
