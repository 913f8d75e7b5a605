"""What lies around a decision: its span, what wishes cost, kits just short of one, close calls."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ..engine.fact_columns import kind_of
from .close_calls import ROUNDS, CloseCalls
from .kit_columns import constant_columns
from .wishes import Wishes

if TYPE_CHECKING:
    from ..knowledge.model import Value
    from .decide import Decider, Decision
    from .span import Span


@dataclass(frozen=True)
class Around:
    """A `Span` (or None), `Wish`es, `NearMiss`es and `CloseCall`s."""

    span: "Span | None" = None
    wishes: tuple = ()
    near_misses: tuple = ()
    close_calls: tuple = ()


def around(decider: "Decider", decision: "Decision", matters: frozenset[str]) -> "Around":
    """The `Around` of a `Decision`; ``matters``: assumed facts that alone change the outcome."""
    pick = None if decision.pick is None else decision.kits.ids[decision.pick]
    span = decider.spanner.span(decision.platform, decision.known, pick, matters)
    if pick is None:
        return Around(span)
    wishes, calls = Wishes(decider, decision), CloseCalls(decision)
    without, looks = wishes.variants(), calls.wanted()
    # Deciding a few cases more in one batch costs next to nothing, another batch does.
    picked_kits = picks(decider, decision, [*without, *looks])
    moved = wishes.moved(picked_kits[: len(without)])
    calls.take(picked_kits[len(without) :])
    for _ in range(ROUNDS - 1):
        looks = calls.wanted()
        if not looks:
            break
        calls.take(picks(decider, decision, looks))
    return Around(span, moved, wishes.near_misses(), calls.found())


def picks(decider: "Decider", decision: "Decision", variants: "Sequence[Mapping[str, Value]]") -> list[str | None]:
    """The pick (a kit's id, or None) of each variant of a case: fact -> another value, None for no answer."""
    if not variants:
        return []
    known, facts, rows = decision.known, decision.knowledge.facts, len(variants)
    given = constant_columns(facts, known.facts, rows)
    answered = {name: np.ones(rows, dtype=bool) for name in known.answered}
    for row, variant in enumerate(variants):
        for name, value in variant.items():
            values, there = given[name]
            if value is None:
                there[row] = False
                answered.get(name, there)[row] = False
            else:
                values[row] = facts[name].choices.index(value) if kind_of(facts[name]) == "choice" else value
    missing = np.zeros(rows, dtype=bool)
    batched = decider.batch.run_columns(given, answered, missing, decision.platform, lean=True, discard=True)
    return [None if pick < 0 else batched.kits.ids[pick] for pick in batched.picks]
