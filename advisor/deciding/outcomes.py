"""What a case comes to: the names of the outcomes, and what a change of answers or of rules is measured by."""

from typing import NamedTuple

from .cautions import told_cautions
from .parts import required_ids

RECOMMENDED, MORE_ANSWERS, NO_KIT = "recommended", "need_more_answers", "no_kit_fits"


class Outcome(NamedTuple):
    """What a change is measured by: outcome, pick, ids of required set-up items, ids of safety cautions."""

    outcome: str
    pick: str | None
    required: frozenset
    cautions: frozenset


def outcome_of(decision):
    """The `Outcome` of a Decision."""
    pick, required = None, frozenset()
    if decision.pick is not None:
        pick = decision.kits.ids[decision.pick]
        required = required_ids(decision.setups[decision.pick])
    cautions = frozenset(told.caution.id for told in told_cautions(decision) if told.caution.safety)
    return Outcome(decision.outcome, pick, required, cautions)
