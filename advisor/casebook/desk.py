"""The lead's desk: cases that somebody other than the counter has to look at, and why.

A case lies there until a lead signs off the decision that stands; an objection leaves it there. A complaint, or an
outcome that is none to be glad of, puts it back there.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..deciding.outcomes import NO_KIT
from ..errors import StoreError
from . import statements
from .afterwards import in_words
from .sales import standing_sale

if TYPE_CHECKING:
    from ..deciding.decision_record import DecisionRecord
    from .book import Casebook
    from .entries import Entry

#: How the texts of rules hand a case over.
HANDED_OVER = "shop lead"
#: Outcomes that a lead looks at, and how ids of cautions begin that stop the car.
BAD, STOP = ("slipped", "returned"), "stop-"


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
    heard = dict(book.store.rows(statements.HEARD_SINCE_SIGNED))
    for case in book.overview(since=since):
        signed = case["signed"].startswith("signed off")
        if case["decision"] is None or (signed and case["number"] not in heard):
            continue
        try:
            afterwards = list(_heard(book, case["number"])) if case["number"] in heard else []
            before = [] if signed else list(_reasons(book.record(case["decision"]), case))
            reasons = sorted([*afterwards, *before], key=lambda reason: not reason.safety)
        except StoreError as fault:
            book.passed_over[case["number"]] = fault.what.rstrip(".")
            continue
        if reasons:
            waiting.append(OnDesk(case, tuple(reasons)))
    return sorted(waiting, key=lambda on_desk: (not on_desk.safety, on_desk.case["number"]))


def _heard(book: "Casebook", number: int) -> Iterator[ForTheLead]:
    """The last complaint and the last outcome since a lead last signed, in words."""
    history = book.history(number)
    signed = max((entry.number for entry in history if entry.kind == "sign_off"), default=0)
    since = {entry.kind: entry for entry in history if entry.number > signed}
    complaint, outcome = since.get("complaint"), since.get("outcome")
    if complaint is not None:
        yield ForTheLead(in_words(complaint), bool(complaint.body["cautions"]) and _stops(complaint))
    if outcome is not None and outcome.body["result"] in BAD:
        yield ForTheLead(in_words(outcome), False)


def _stops(complaint: "Entry") -> bool:
    return any(caution.startswith(STOP) for caution in complaint.body["cautions"])


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
