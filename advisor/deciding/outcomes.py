"""What a case comes to: the names of the outcomes, and what a change of answers or of rules is measured by."""

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from .decide import Decision

RECOMMENDED, MORE_ANSWERS, NO_KIT = "recommended", "need_more_answers", "no_kit_fits"
#: Outcome -> as people say it.
IN_WORDS = {RECOMMENDED: "recommended", MORE_ANSWERS: "needs more answers", NO_KIT: "no kit fits"}


class Outcome(NamedTuple):
    """What a change is measured by: outcome, pick, ids of required set-up items, ids of safety cautions."""

    outcome: str
    pick: str | None
    required: frozenset
    cautions: frozenset


def outcome_of(decision: "Decision") -> "Outcome":
    """The `Outcome` of a Decision."""
    # Whoever reads records needs the names above alone.
    from .cautions import told_cautions
    from .parts import required_ids

    required: frozenset[str] = frozenset()
    if decision.pick is not None:
        required = required_ids(decision.setups[decision.pick])
    cautions = frozenset(
        caution_told.caution.id for caution_told in told_cautions(decision) if caution_told.caution.safety
    )
    return Outcome(decision.outcome, decision.picked_id, required, cautions)
