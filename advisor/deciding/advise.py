"""The whole answer to one case: the decision, which assumptions matter, how far it may lie, and the record."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ..errors import ConflictError
from .around import FirstLooks, around, varied
from .assumptions import judge
from .outcomes import NO_KIT
from .recording import record
from .settling_estimates import settled_by_estimates
from .smallest_changes import changes_for_a_kit

if TYPE_CHECKING:
    from ..knowledge.case_model import Case
    from .decide import Decider
    from .decision_record import DecisionRecord


def advise(decider: "Decider", case: "Case", *, with_changes: bool = True) -> "DecisionRecord":
    """The `DecisionRecord` of a Case; ``with_changes``: with the smallest changes of answers where no kit fits."""
    decision = decider.decide(case)
    changes: Sequence[Mapping[str, Any]] = ()
    if decision.outcome == NO_KIT and with_changes and not decision.known.declined:
        changes = changes_for_a_kit(decider, decision)
    beside = None if decision.pick is None else FirstLooks(decider, decision)
    picked_kits: Sequence[str | None] | None
    try:
        # All that is tried one answer at a time in one batch, which costs little more than its largest part.
        also = [varied(decision, variant) for variant in beside.variants] if beside else []
        assumptions, picked_kits = judge(decider, decision, also)
    except ConflictError:  # of what is looked at beside, a variant on which the rules cannot agree is left out alone
        assumptions, _ = judge(decider, decision)
        picked_kits = None
    matters = frozenset(assumption.fact for assumption, changes_it in assumptions if changes_it)
    beside_it = around(decider, decision, matters, beside, picked_kits)
    return record(decision, assumptions, changes, beside_it, settled_by_estimates(decider, decision))
