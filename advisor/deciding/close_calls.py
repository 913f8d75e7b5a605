"""Close calls: how far a number may move before the pick does, wherever that lies within what it is known to.

A number is known to within the ends of a vague answer, the low and high of an assumption, or for the torque by whatever
route to nine parts in ten of its spread. Looked at in batches; the place of the change is found to the fact's
resolution.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ..frozen import frozen

if TYPE_CHECKING:
    from .decide import Decision

#: The torque in whatever way it is answered, and how well it is known.
TORQUES, SPREAD = ("engine_torque", "engine_power", "boost_pressure"), "demand_spread"
#: How well each of them is known by itself, where that is a fact; a torque of a test bed is known as the demand is.
OWN_SPREADS = {"engine_torque": "told_spread", "engine_power": "power_spread", "boost_pressure": "boost_spread"}
#: Standard deviations within which nine in ten lie.
NINE_IN_TEN = 1.645
#: Places looked at to either side before halving.
SAMPLES = 10
#: Looks at one gap, each in this many parts: a case more in a batch costs next to nothing, another batch does.
ROUNDS, PARTS = 3, 40


@frozen(slots=False)
class CloseCall:
    """At ``at`` (in the fact's unit) and beyond, the pick is ``becomes`` (a kit's id or None) instead.

    ``value`` is what was taken; ``low`` and ``high`` within what it is known to.
    """

    fact: str
    value: float
    at: float
    becomes: str | None
    low: float
    high: float


class _Side:
    """One number moved from its value towards an end, on multiples of its resolution: place -> pick."""

    def __init__(self, fact, value, end, low, high):
        self.fact, self.value, self.end, self.low, self.high = fact, value, end, low, high
        self.steps = max(1, int(np.ceil(abs(end - value) / (fact.resolution or abs(end - value)))))
        self.seen = {}

    def at(self, step):
        """The number ``step`` steps away, on a multiple of the resolution, within the end."""
        if step == 0:
            return self.value
        size = self.fact.resolution or abs(self.end - self.value)
        up = self.end > self.value
        start = np.floor(self.value / size + 1e-9) if up else np.ceil(self.value / size - 1e-9)
        number = float(f"{(start + step if up else start - step) * size:.9g}")
        return min(number, self.end) if up else max(number, self.end)

    def first(self):
        """(last step that keeps the pick, first seen that does not), or None."""
        kept = 0
        for step in sorted(self.seen):
            if self.seen[step] != self.seen[0]:
                return kept, step
            kept = step
        return None

    def wanted(self):
        """Steps to look at next."""
        if not self.seen:
            return sorted({0, *(max(1, round(self.steps * part / SAMPLES)) for part in range(1, SAMPLES + 1))})
        gap = self.first()
        if gap is None or gap[1] - gap[0] < 2:
            return []
        return sorted({gap[0] + (gap[1] - gap[0]) * part // PARTS for part in range(1, PARTS)} - set(self.seen))


class CloseCalls:
    """The close calls of one recommended `Decision`: places are looked at in rounds, all numbers together in each."""

    def __init__(self, decision: "Decision") -> None:
        self._sides = [
            _Side(fact, value, end, low, high)
            for fact, value, low, high in _within(decision)
            for end in (low, high)
            if end != value
        ]
        self._waiting: list[Any] = []

    def wanted(self) -> list[dict[str, float]]:
        """Variants (fact -> value, see `around.picks`) to decide next."""
        self._waiting = [(side, step) for side in self._sides for step in side.wanted()]
        return [{side.fact.name: side.at(step)} for side, step in self._waiting]

    def take(self, picks: Sequence[str | None]) -> None:
        """Take in the picks of the variants wanted last: kits' ids, or None."""
        for (side, step), pick in zip(self._waiting, picks):
            side.seen[step] = pick

    def found(self) -> "tuple[CloseCall, ...]":
        """`CloseCall`s, nearest first by the share of what is not known that lies between."""
        calls = []
        for side in self._sides:
            gap = side.first()
            if gap is not None:
                share = abs(side.at(gap[1]) - side.value) / max(abs(side.end - side.value), 1e-9)
                call = CloseCall(side.fact.name, side.value, side.at(gap[1]), side.seen[gap[1]], side.low, side.high)
                calls.append((share, call))
        return tuple(call for _, call in sorted(calls, key=lambda call: (call[0], call[1].fact, call[1].at)))


def _within(decision):
    """(Fact, value, low, high) of every number that is not known exactly."""
    known, facts = decision.known, decision.knowledge.facts
    bands = [(name, ends.low, ends.high) for name, ends in known.vague.items()]
    bands += [
        (assumption.fact, assumption.low, assumption.high)
        for assumption in known.assumptions
        if assumption.low is not None and assumption.high is not None and not facts[assumption.fact].choices
    ]
    derived = decision.derivation.facts
    if derived.get(SPREAD):
        for name in TORQUES:
            if name in known.answered:
                if name not in known.vague:
                    spread = derived.get(OWN_SPREADS[name], derived[SPREAD])
                    value, factor = known.facts[name], float(np.exp(NINE_IN_TEN * spread))
                    bands.append((name, value / factor, value * factor))
                break  # the first route is the one that counts
    ranges = []
    for name, low, high in bands:
        fact, value = facts[name], known.facts[name]
        least = low if fact.low is None else max(low, fact.low)
        most = high if fact.high is None else min(high, fact.high)
        ranges.append((fact, value, float(f"{min(least, value):.9g}"), float(f"{max(most, value):.9g}")))
    return ranges
