"""What lies around a decision: its span, what wishes cost, kits just short of one, close calls."""

import dataclasses
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from ..engine.fact_columns import constant_columns, kind_of
from ..frozen import frozen
from .close_calls import ROUNDS, CloseCalls
from .wishes import Wishes

if TYPE_CHECKING:
    from ..knowledge.model import Value
    from .answers import Known
    from .batch import Batched
    from .decide import Decider, Decision
    from .kit_columns import KitColumns
    from .span import Span


@frozen(slots=False)
class Around:
    """A `Span` (or None), `Wish`es, `NearMiss`es and `CloseCall`s."""

    span: "Span | None" = None
    wishes: tuple = ()
    near_misses: tuple = ()
    close_calls: tuple = ()


class FirstLooks:
    """What is looked at beside a recommended `Decision` at first: the case without each wish, and close calls."""

    def __init__(self, decider: "Decider", decision: "Decision") -> None:
        self.wishes, self.calls = Wishes(decider, decision), CloseCalls(decision)
        self.without = self.wishes.variants()
        self.variants = [*self.without, *self.calls.wanted()]


def around(
    decider: "Decider",
    decision: "Decision",
    matters: frozenset[str],
    beside: "FirstLooks | None" = None,
    picked_kits: "Sequence[str | None] | None" = None,
) -> "Around":
    """The `Around` of a `Decision`; ``matters``: assumed facts that alone change the outcome.

    ``beside`` and ``picked_kits``: the first looks, where they are made already, and what they came to.
    """
    pick = None if decision.pick is None else decision.kits.ids[decision.pick]
    span = decider.spanner.span(decision.platform, decision.known, pick, matters)
    if pick is None:
        return Around(span)
    beside = beside or FirstLooks(decider, decision)
    wishes, calls, without = beside.wishes, beside.calls, beside.without
    # Deciding a few cases more in one batch costs next to nothing, another batch does.
    if picked_kits is None:
        picked_kits = picks(decider, decision, beside.variants)
    moved = wishes.moved(picked_kits[: len(without)])
    calls.take(picked_kits[len(without) :])
    for _ in range(ROUNDS - 1):
        looks = calls.wanted()
        if not looks:
            break
        calls.take(picks(decider, decision, looks))
    return Around(span, moved, wishes.near_misses(), calls.found())


def varied(decision: "Decision", variant: "Mapping[str, Value]") -> "Known":
    """The `Known` facts of a variant: fact -> another value, None for no answer."""
    known = decision.known
    facts = {name: value for name, value in {**known.facts, **variant}.items() if value is not None}
    gone = {name for name, value in variant.items() if value is None}
    return dataclasses.replace(known, facts=facts, answered=known.answered - gone)


def picks(decider: "Decider", decision: "Decision", variants: "Sequence[Mapping[str, Value]]") -> list[str | None]:
    """The pick (a kit's id, or None) of each variant of a case: fact -> another value, None for no answer."""
    if not variants:
        return []
    batched = decide_variants(decider, decision, variants, lean=True)
    return [None if pick < 0 else batched.kits.ids[pick] for pick in batched.picks]


def decide_variants(
    decider: "Decider",
    decision: "Decision",
    variants: "Sequence[Mapping[str, Value]]",
    *,
    kits: "KitColumns | None" = None,
    lean: bool = False,
) -> "Batched":
    """One case in each of ``variants``, decided in one batch; ``kits``: against those instead of the shop's."""
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
    return decider.batch.run_columns(given, answered, missing, decision.platform, lean=lean, discard=True, kits=kits)
