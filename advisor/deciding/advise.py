"""The whole answer to one case: the decision, which assumptions matter, how far it may lie, and the record."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from .around import around
from .outcomes import NO_KIT
from .recording import record
from .settling_estimates import settled_by_estimates

if TYPE_CHECKING:
    from ..knowledge.case_model import Case
    from .decide import Decider
    from .decision_record import DecisionRecord


def advise(decider: "Decider", case: "Case", *, with_changes: bool = True) -> "DecisionRecord":
    """The `DecisionRecord` of a Case; ``with_changes``: with the smallest changes of answers where no kit fits."""
    decision = decider.decide(case)
    changes: Sequence[Mapping[str, Any]] = ()
    if decision.outcome == NO_KIT and with_changes and not decision.known.declined:
        from .smallest_changes import changes_for_a_kit  # only where no kit fits

        changes = changes_for_a_kit(decider, decision)
    assumptions, beside = around(decider, decision)
    return record(decision, assumptions, changes, beside, settled_by_estimates(decider, decision))
