"""What lies around a decision: which assumptions matter, its span, what wishes cost, near misses, close calls.

More than half of what a batch of cases takes is the same however many it holds. So completions of the case, its
assumptions otherwise and the first looks at wishes and close calls are decided in one.
"""

import dataclasses
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from ..engine.fact_columns import Cases, columns, stacked
from ..frozen import frozen
from .assumptions import judged, tried
from .close_calls import ROUNDS, CloseCalls
from .wishes import Wishes

if TYPE_CHECKING:
    from ..knowledge.model import Value
    from .answers import Assumption, Known
    from .batch import Batched
    from .decide import Decider, Decision
    from .kit_columns import KitColumns
    from .span import Outset, Span


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


def around(decider: "Decider", decision: "Decision") -> "tuple[list[tuple[Assumption, bool]], Around]":
    """Pairs (Assumption, whether it alone changes the outcome), and the `Around` of a `Decision`.

    ConflictError where the rules cannot agree on the case with an assumption otherwise.
    """
    looks = None if decision.pick is None else FirstLooks(decider, decision)
    others = [other for _, other in tried(decision.known)]
    beside = [varied(decision, variant) for variant in looks.variants] if looks else []
    outset = decider.spanner.outset(decision.platform, decision.known)
    # Where what must fit is left open, more has to be worked out of the completions than of anything else.
    together = None if outset is None or outset.open_fit else outset
    batched, count = decided_together(decider, decision, together, [*others, *beside])
    outcomes = decider.batch.outcomes_of(batched, range(count, count + len(others)))
    decider.batch.look_for_first(outcomes, dict(enumerate(others)), decision.platform)
    assumptions = judged(decision, outcomes)

    span = None
    if outset is not None:
        matters = frozenset(assumption.fact for assumption, changes_it in assumptions if changes_it)
        completed = decider.spanner.decide(outset) if together is None else batched.first(count)
        span = decider.spanner.of_batch(outset, completed, decision.picked_id, matters)
    if looks is None:
        return assumptions, Around(span)
    picked = batched.picked_ids[count + len(others) :]
    moved = looks.wishes.moved(picked[: len(looks.without)])
    looks.calls.take(picked[len(looks.without) :])
    for _ in range(ROUNDS - 1):
        wanted = looks.calls.wanted()
        if not wanted:
            break
        looks.calls.take(picks(decider, decision, wanted))
    return assumptions, Around(span, moved, looks.wishes.near_misses(), looks.calls.found())


def decided_together(
    decider: "Decider", decision: "Decision", outset: "Outset | None", knowns: "Sequence[Known]"
) -> "tuple[Batched, int]":
    """(`Batched`, how many completions it begins with): those of a `Outset`, if there is one, then `Known`s of it."""
    cases = _as_cases(decider, knowns)
    missing = np.array([bool(known.missing) for known in knowns], dtype=bool)
    count = 0
    if outset is not None:
        count = outset.cases.rows
        cases = stacked(decider.batch.case_stage.base.facts, outset.cases, cases)
        missing = np.concatenate([outset.missing, missing])
    batched = decider.batch.run_columns(
        cases.columns,
        cases.answered,
        missing,
        decision.platform,
        lean=True,
        discard=True,
        kits=decider.kits.drawn(count, len(knowns)),
        forgiven=frozenset() if outset is None else outset.forgiven,
    )
    return batched, count


def _as_cases(decider, knowns):
    facts = decider.batch.case_stage.base.facts
    return Cases(*columns(facts, [(known.facts, known.answered) for known in knowns]), len(knowns))


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
    return decide_variants(decider, decision, variants, lean=True).picked_ids


def decide_variants(
    decider: "Decider",
    decision: "Decision",
    variants: "Sequence[Mapping[str, Value]]",
    *,
    kits: "KitColumns | None" = None,
    lean: bool = False,
) -> "Batched":
    """One case in each of ``variants``, decided in one batch; ``kits``: against those instead of the shop's."""
    cases = _as_cases(decider, [varied(decision, variant) for variant in variants])
    missing = np.zeros(cases.rows, dtype=bool)
    return decider.batch.run_columns(
        cases.columns, cases.answered, missing, decision.platform, lean=lean, discard=True, kits=kits
    )
