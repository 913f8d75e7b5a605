"""The lead's desk: cases that somebody other than the counter has to look at, and why.

A case lies there until a lead signs off the decision that stands; an objection leaves it there.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..deciding.outcomes import NO_KIT
from ..errors import StoreError
from .sales import standing_sale

if TYPE_CHECKING:
    from ..deciding.decision_record import DecisionRecord
    from .book import Casebook

#: How the texts of rules hand a case over.
HANDED_OVER = "shop lead"


@dataclass(frozen=True, slots=True)
class ForTheLead:
    """Why a case is on the desk, in words; ``safety``: it comes before all that is not."""

    text: str
    safety: bool


@dataclass(frozen=True, slots=True)
class OnDesk:
    """A case on the desk: a row of `Casebook.overview` and why, what concerns safety first."""

    case: dict[str, Any]
    reasons: tuple[ForTheLead, ...]

    @property
    def safety(self) -> bool:
        """Whether anything of it concerns safety."""
        return any(reason.safety for reason in self.reasons)


def desk(book: "Casebook", *, since: str | None = None) -> list[OnDesk]:
    """The cases to be signed, those that concern safety first, then the oldest."""
    waiting = []
    for case in list(book.overview(since=since)):
        if case["decision"] is None or case["signed"].startswith("signed off"):
            continue
        try:
            reasons = sorted(_reasons(book.record(case["decision"]), case), key=lambda reason: not reason.safety)
        except StoreError as fault:
            book.passed_over[case["number"]] = fault.what.rstrip(".")
            continue
        if reasons:
            waiting.append(OnDesk(case, tuple(reasons)))
    return sorted(waiting, key=lambda on_desk: (not on_desk.safety, on_desk.case["number"]))


def _reasons(record: "DecisionRecord", case) -> Iterator[ForTheLead]:
    if case["signed"]:
        yield ForTheLead(case["signed"], True)
    for caution in record.cautions:
        if HANDED_OVER in caution.text.casefold():
            yield ForTheLead(caution.text, caution.safety)
    for _, item in record.setup.items():
        if HANDED_OVER in item.text.casefold():
            yield ForTheLead(item.text, True)
    advice = record.value("advice")
    if isinstance(advice, (list, tuple)) and "ask_shop_lead" in advice:
        yield ForTheLead("the rules ask for the shop lead", False)
    if record.case.changed:
        facts = ", ".join(change.fact.replace("_", " ") for change in record.case.changed)
        yield ForTheLead(f"changed after a result was told: {facts}", True)
    if record.case.insist:
        yield ForTheLead(f"answers that contradict each other were insisted on: {', '.join(record.case.insist)}", True)
    if record.outcome == NO_KIT:
        yield ForTheLead("no kit on file fits", False)
    sale = standing_sale(case["sales"])
    if sale is not None and not sale.as_advised:
        kit = record.kits.get(sale.kit)
        refused = [check.requirement for check in kit.refused_by] if kit else []
        why = f", which does not meet {', '.join(refused)}" if refused else ""
        yield ForTheLead(f"sold {sale.kit} instead of what was advised{why}", bool(refused))
