"""Whether a rule speaks wherever the one did whose place it takes."""

import dataclasses

from ..engine.derivation import Derivation
from ..errors import AdvisorError, EngineError
from ..knowledge.model import CONTRADICTION, Knowledge, Rule
from .admissible import CONSISTENCY
from .callers import Caller, in_words
from .findings import PROVED, SHOWN
from .problem import Problem


def silent_where_it_spoke(knowledge: Knowledge, before: Rule, after: Rule) -> str:
    """For whom ``before`` fires and ``after``, a rule of ``knowledge``, does not, in words; "" where for nobody.

    A caller is named where both engines show it; where neither that nor the opposite can be shown, that is said.
    """
    if (before.all, before.any) == (after.all, after.any):
        return ""
    # The rule as it was, with all it does left out: it only tells whether it would fire.
    mark = dataclasses.replace(
        before, stage=after.stage, conclude=(), require=(), cautions=(), items=(), because="", contradiction=None
    )
    both = dataclasses.replace(knowledge, rules=(*knowledge.rules, mark))
    try:
        problem = Problem(both, CONSISTENCY if after.stage == CONTRADICTION else "case")
        literals = [problem.regions.fires[before.id], -problem.regions.fires[after.id]]
        if after.stage != "case":
            caller, sure = None, "" if problem.may(*literals) else PROVED
        else:
            caller, sure = problem.shown([*problem.usual, *literals], _apart(before.id, after.id))
    except EngineError as error:
        return f"whether it speaks wherever that did could not be looked at: {error.what.rstrip('.')}"
    if sure == PROVED:
        return ""
    if sure == SHOWN and caller is not None:
        return f"it says nothing where that spoke, for a caller like this: {in_words(caller, knowledge)}"
    return (
        "it may say nothing where that spoke: its conditions are others, and that they come to the same is not proved"
    )


def _apart(before: str, after: str):
    def shows(caller: Caller, came: Derivation | AdvisorError) -> bool:
        return not isinstance(came, AdvisorError) and before in came.fired() and after not in came.fired()

    return shows
