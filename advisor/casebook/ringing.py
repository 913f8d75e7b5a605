"""Which buyers are to be rung: the clutch they were sold fails a safety must under other rules."""

from typing import TYPE_CHECKING, Any

import numpy as np

from ..deciding.recording import record
from ..deciding.verdicts import FAIL
from ..errors import AdvisorError
from ..explaining.worded import WordedRecord

if TYPE_CHECKING:
    from ..deciding.batch import Batched
    from ..deciding.decide import Decider
    from ..deciding.decision_record import DecisionRecord
    from ..knowledge.case_model import Case


def may_fail(now: "Batched", row: int, kit: str) -> bool:
    """Whether a kit may fail a safety must in one case of a batch under the new rules.

    A kit that is not among those judged was refused for its dimensions: whether that is for safety the engines tell.
    """
    if now.missing[row]:
        return False
    if kit not in now.kits.ids:
        return True
    place = now.kits.ids.index(kit)
    return any(
        checked.requirement.safety and np.broadcast_to(checked.status, now.passes.shape)[row, place] == FAIL
        for checked in now.checks
    )


def reasons(new: "Decider", case: "Case", kit: str, as_told: "DecisionRecord") -> dict[str, Any]:
    """What a buyer has to be told: {kit, car, reasons}, by both engines; {} where the kit fails no safety must.

    ``reasons``: of every safety must that the kit fails {requirement, demand, has, because, already}, ``demand`` and
    ``has`` in words; ``already``: it failed that must when it was sold, as the record of then tells.
    """
    try:
        decided = record(new.decide(case), [])
    except AdvisorError:  # told of by itself, as a case that cannot be decided
        return {}
    judged = decided.kits.get(kit)
    if judged is None:
        return {}
    wording = new.shop.wording(new.knowledge, "si")
    worded = WordedRecord(decided, wording)
    then = as_told.kits.get(kit)
    before = {check.requirement for check in then.failed} if then is not None else set()
    failing = []
    for check in judged.failed:
        posted = decided.requirements[check.requirement]
        if posted.safety:
            failing.append(
                {
                    "requirement": check.requirement,
                    "demand": worded.demand(check),
                    "has": worded.has(check),
                    "because": worded.sentence(posted.rule),
                    "already": check.requirement in before,
                }
            )
    car = wording.title(case.platform) if case.platform else ""
    return {"kit": wording.title(kit), "car": car, "reasons": failing} if failing else {}
