"""The whole answer to one case: the decision, which assumptions matter, what would help, and the record of it all."""

from .assumptions import judge
from .decide import NO_KIT
from .record import record


def advise(decider, case):
    """The decision record of a Case."""
    decision = decider.decide(case)
    changes = ()
    if decision.outcome == NO_KIT and not decision.known.declined:
        from .changes import changes_for_a_kit

        changes = changes_for_a_kit(decider, decision)
    return record(decision, judge(decider, decision), changes)
