"""Vehicles that nothing is advised on: how a record of one is headed and told."""

from ..deciding.decision_record import DecisionRecord
from ..deciding.judging import DECLINED_TOPIC
from ..deciding.outcomes import NO_KIT

NOTHING_FITS = "No kit on file fits this case. Ask the shop lead."


def declines(record: DecisionRecord) -> list[str]:
    """The reasons why nothing is advised, one sentence or two each; empty where it is not declined."""
    if record.outcome != NO_KIT:
        return []
    return [posted.because for posted in record.requirements.values() if posted.topic == DECLINED_TOPIC]


def no_kit_lines(record: DecisionRecord) -> list[str]:
    """What is said first where no kit fits: that it is declined and why, or that the shelf holds none."""
    reasons = declines(record)
    return ["No clutch is advised on for this vehicle.", *reasons] if reasons else [NOTHING_FITS]


def not_on_file(record: DecisionRecord) -> str:
    """What a vehicle without a record is called at the head of a page."""
    answer = record.case.answers.get("kind_of_vehicle")
    kind = str(answer.value) if answer and answer.value else "car"
    return f"a {kind.replace('_', ' ')} that is not on file"
