"""Which assumptions matter: those that, replaced alone, change the outcome of the case."""

import dataclasses
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from ..engine.fact_columns import Cases, Trial
from .outcomes import Outcome, outcome_of

if TYPE_CHECKING:
    from ..knowledge.model import Fact, Knowledge, Value
    from .answers import Assumption, Known
    from .decide import Decision


def replaced(known: "Known", fact: str, value: "Value") -> "Known":
    """`Known` with one assumed fact at another value, still assumed."""
    return dataclasses.replace(known, facts={**known.facts, fact: value})


def tried(known: "Known") -> "list[tuple[Assumption, Known]]":
    """Every assumption at every other value, those for safety too, in the order of the vocabulary."""
    return [
        (assumption, replaced(known, assumption.fact, value))
        for assumption in known.assumptions
        for value in assumption.alternatives
    ]


def judged(decision: "Decision", outcomes: "Sequence[Outcome]") -> "list[tuple[Assumption, bool]]":
    """Pairs (Assumption, whether it alone changes the outcome) of a `Decision`; ``outcomes`` of what is `tried`."""
    now = outcome_of(decision)
    changed = {assumption.fact for (assumption, _), outcome in zip(tried(decision.known), outcomes) if outcome != now}
    return [(assumption, assumption.fact in changed) for assumption in decision.known.assumptions]


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


def worst_taken_otherwise(
    assumptions: "Iterable[Assumption]", facts: "Mapping[str, Fact]", among: np.ndarray, cases: Cases
) -> list[Trial]:
    """As `taken_otherwise`, of many cases of one car as columns: Trials in order of facts.

    ``assumptions``: of the car where nobody has answered anything; ``among``: boolean (C,), the cases looked at.
    """
    none = np.zeros(cases.rows, dtype=bool)
    trials = []
    for assumption in assumptions:
        if assumption.worst and facts[assumption.fact].source == "asked":
            rows = np.flatnonzero(among & ~cases.answered.get(assumption.fact, none))
            trials += [Trial(assumption.fact, value, rows) for value in assumption.alternatives if len(rows)]
    return trials
