"""The whole answer to one case: the decision, which assumptions matter, and the record of it all."""

from .assumptions import judge
from .record import record


def advise(decider, case):
    """The decision record of a Case."""
    decision = decider.decide(case)
    return record(decision, judge(decider, decision))
