"""Which assumptions matter: those that, replaced alone, change the outcome of the case."""

import dataclasses
from collections.abc import Sequence
from typing import TYPE_CHECKING

from .outcomes import NO_KIT, outcome_of

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge, Value
    from .answers import Assumption, Known
    from .decide import Decider, Decision


def replaced(known: "Known", fact: str, value: "Value") -> "Known":
    """`Known` with one assumed fact at another value, still assumed."""
    return dataclasses.replace(known, facts={**known.facts, fact: value})


def judge(
    decider: "Decider", decision: "Decision", beside: "Sequence[Known]" = ()
) -> "tuple[list[tuple[Assumption, bool]], list[str | None]]":
    """Pairs (Assumption, matters) in the order of the vocabulary: every one is tried, those for safety too.

    And the pick (a kit's id, or None) of each of the `Known`s ``beside``, decided in the same batch.
    """
    known = decision.known
    tried = [
        (assumption, replaced(known, assumption.fact, value))
        for assumption in known.assumptions
        for value in assumption.alternatives
    ]
    others = [other for _, other in tried]
    outcomes = decider.outcomes(decision.case, decision.platform, [*others, *beside], ask_first=False)
    picks = [outcome.pick for outcome in outcomes[len(others) :]]
    # Where no kit fits, one more question may come before that is told.
    without = [place for place, outcome in enumerate(outcomes[: len(others)]) if outcome.outcome == NO_KIT]
    asked = decider.outcomes(decision.case, decision.platform, [others[place] for place in without])
    for place, outcome in zip(without, asked):
        outcomes[place] = outcome
    now = outcome_of(decision)
    changed = {assumption.fact for (assumption, _), outcome in zip(tried, outcomes) if outcome != now}
    return [(assumption, assumption.fact in changed) for assumption in known.assumptions], picks


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
