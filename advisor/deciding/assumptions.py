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
    tried = [
        (assumption, replaced(known, assumption.fact, value))
        for assumption in known.assumptions
        for value in assumption.alternatives
    ]
    outcomes = decider.outcomes(decision.case, decision.platform, [other for _, other in tried])
    now = outcome_of(decision)
    changed = {assumption.fact for (assumption, _), outcome in zip(tried, outcomes) if outcome != now}
    return [(assumption, assumption.fact in changed) for assumption in known.assumptions]


def taken_otherwise(known: "Known", knowledge: "Knowledge") -> "list[tuple[str, Known]]":
    """Pairs (fact, `Known` with one asked fact that is taken at its worst at another value), in order of facts."""
    return [
        (assumption.fact, replaced(known, assumption.fact, value))
        for assumption in known.assumptions
        if assumption.worst
        and knowledge.facts[assumption.fact].source == "asked"
        and known.facts[assumption.fact] == assumption.value
        for value in assumption.alternatives
    ]
