"""Trying variants of one case in batches, and looking along a number for the step at which something changes."""

import dataclasses
import itertools
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from ..knowledge.case_model import Answer, Case
from ..knowledge.model import Fact, Value

if TYPE_CHECKING:
    from .decide import Decider
    from .outcomes import Outcome

#: Variants tried in one search at most; a search cut short only finds fewer sets, never a wrong one.
MOST_VARIANTS = 2000


def changed(case: Case, answers: Mapping[str, Value]) -> Case:
    """The Case with other answers: ``answers`` maps a fact to its new value or `Answer`, None for "don't know"."""
    held = {name: answer for name, answer in case.answers.items() if name not in answers}
    unknown = {name for name in case.unknown if name not in answers}
    for name, value in answers.items():
        if value is None:
            unknown.add(name)
        else:
            held[name] = value if isinstance(value, Answer) else Answer(value)
    return dataclasses.replace(case, answers=held, unknown=tuple(sorted(unknown)))


class Tries:
    """Variants of one case, decided in batches and remembered."""

    def __init__(self, decider: "Decider", case: Case) -> None:
        self.decider, self.case = decider, case
        self.platform, self.known = decider.gather(case)
        self.count = 0
        self._found: dict[frozenset[tuple[str, Any]], Any] = {}

    def run(self, variants: Iterable[frozenset[tuple[str, Any]]]) -> None:
        """Decide those of ``variants`` (each a frozenset of pairs (fact, value)) that are new."""
        new = [variant for variant in dict.fromkeys(variants) if variant not in self._found]
        self.count += len(new)
        knowns = [self.decider.variant_of(changed(self.case, dict(variant)), self.platform) for variant in new]
        self._found.update(
            zip(new, self.decider.outcomes(self.case, self.platform, knowns, ask_first=False)) if new else ()
        )

    def outcome(self, variant: frozenset[tuple[str, Any]]) -> "Outcome":
        """The Outcome of a variant that was run."""
        return self._found[variant]


@dataclass
class Axis:
    """One number moved from its present value towards ``end``, on multiples of its resolution.

    ``fixed``: answers changed as well. ``last``: the farthest step to look at. ``seen``: step -> (reached, pick).
    """

    fact: Fact
    start: float
    up: bool
    fixed: frozenset = frozenset()
    last: int = 0
    seen: dict = field(default_factory=dict)

    def value(self, step: int) -> Any:
        """The value ``step`` steps away; step 1 is the first multiple of the resolution beyond the present value."""
        resolution = self.fact.resolution or 1.0
        whole = self.start / resolution
        # A value that stands on a multiple but for rounding stands on it.
        base = round(whole) if abs(whole - round(whole)) < 1e-6 else (int(whole // 1) if self.up else -int(-whole // 1))
        return float(f"{(base + step if self.up else base - step) * resolution:.12g}")

    def steps(self) -> int:
        """How many steps lie between the present value and the end of the sane range."""
        end = self.fact.high if self.up else self.fact.low
        if end is None or self.fact.resolution is None:
            return 0
        count = int(abs(end - self.start) / self.fact.resolution) + 1
        while count and not (self.fact.low <= self.value(count) <= self.fact.high):
            count -= 1
        return count

    def variant(self, step: int) -> frozenset[tuple[str, Any]]:
        """The variant that stands ``step`` steps away."""
        return self.fixed | {(self.fact.name, self.value(step))}

    def hit(self) -> int | None:
        """The nearest step seen that reaches the goal, or None."""
        return min((step for step, (reached, _) in self.seen.items() if reached), default=None)

    def to_halve(self) -> list[int]:
        """Steps in the middle of every gap before the nearest hit across which something changes."""
        places = sorted(self.seen)
        nearest = self.hit()
        return [
            (lower + other) // 2
            for lower, other in itertools.pairwise(places)
            if other - lower > 1 and self.seen[lower] != self.seen[other] and (nearest is None or other <= nearest)
        ]


def _spread(last, count):
    """Up to ``count`` steps from 1 to ``last``, closer together near the start."""
    if last <= count:
        return range(1, last + 1)
    return sorted(
        {
            1,
            last,
            *(max(1, round(last ** (place / (count - 1)))) for place in range(count)),
            *(max(1, last * place // (count // 2)) for place in range(1, count // 2)),
        }
    )


def explore(
    tries: "Tries", reached: "Callable[[Outcome], bool]", axes: "Sequence[Axis]", count: "Callable[[Axis], int]"
) -> None:
    """Look along each axis: ``count(axis)`` samples, then halving, all axes together in each batch."""
    _look(tries, reached, [(axis, list(_spread(axis.last, count(axis)))) for axis in axes if axis.last])
    while tries.count < MOST_VARIANTS:
        wanted = [(axis, steps) for axis in axes if (steps := axis.to_halve())]
        if not wanted:
            return
        _look(tries, reached, wanted)


def _look(tries, reached, wanted):
    tries.run([axis.variant(step) for axis, steps in wanted for step in steps])
    for axis, steps in wanted:
        for step in steps:
            outcome = tries.outcome(axis.variant(step))
            axis.seen[step] = (reached(outcome), (outcome.outcome, outcome.pick))


def nearer(fact: Fact, present: Any, value: Any) -> Any:
    """``value`` one step of the fact's resolution nearer to ``present``; None for a choice or where it gets there."""
    if fact.kind != "number" or fact.choices:
        return None
    axis = Axis(fact, present, value > present)
    step = round(abs(value - axis.value(0)) / fact.resolution)
    return axis.value(step - 1) if step > 1 else None


def axis_of(
    fact: Fact, present: float, up: bool, fixed: frozenset[tuple[str, str]] = frozenset(), last: int | None = None
) -> "Axis":
    """An `Axis` that ends at ``last``, or where the fact's sane range does."""
    axis = Axis(fact, present, up, fixed)
    axis.last = axis.steps() if last is None else last
    return axis
