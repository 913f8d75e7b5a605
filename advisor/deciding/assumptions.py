"""Which assumptions matter: those that, replaced alone, change the outcome of the case."""

import dataclasses
from typing import TYPE_CHECKING

from .outcomes import outcome_of

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge, Value
    from .answers import Assumption, Known
    from .decide import Decider, Decision


def replaced(known: "Known", fact: str, value: "Value") -> "Known":
    """`Known` with one assumed fact at another value, still assumed."""
    return dataclasses.replace(known, facts={**known.facts, fact: value})


def judge(decider: "Decider", decision: "Decision") -> "list[tuple[Assumption, bool]]":
    """Pairs (Assumption, matters) in the order of the vocabulary: every one is tried, those for safety too."""
    known = decision.known
    tried = [(one, replaced(known, one.fact, value)) for one in known.assumptions for value in one.alternatives]
    outcomes = decider.outcomes(decision.case, decision.platform, [other for _, other in tried])
    now = outcome_of(decision)
    changed = {one.fact for (one, _), outcome in zip(tried, outcomes) if outcome != now}
    return [(one, one.fact in changed) for one in known.assumptions]


def taken_otherwise(known: "Known", knowledge: "Knowledge") -> "list[tuple[str, Known]]":
    """Pairs (fact, `Known` with one asked fact that is taken at its worst at another value), in order of facts."""
    return [
        (one.fact, replaced(known, one.fact, value))
        for one in known.assumptions
        if one.worst and knowledge.facts[one.fact].source == "asked" and known.facts[one.fact] == one.value
        for value in one.alternatives
    ]
