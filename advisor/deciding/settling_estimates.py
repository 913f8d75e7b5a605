"""Which estimates of the pick would change something if they were measured: those are measured before it is ordered.

An estimate settles something where, taken at its two ends, a must of the pick fails at one of them and not at the
other, or another kit is picked. The other estimates are held meanwhile as they are when nothing is measured (likely,
and for a must on safety at the end hardest for it), and then all at either end, since two may fail a must together
that neither fails alone. What no end changes need not be measured: the pick stands wherever it turns out to lie.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .estimating import HARDEST, HIGH, LIKELY, LOW
from .kit_columns import constant_columns
from .verdicts import FAIL, UNKNOWN

if TYPE_CHECKING:
    from .decide import Decider, Decision

#: The ends at which the other estimates are held, in turn.
OTHERS = (LIKELY, LOW, HIGH)


@dataclass(frozen=True, slots=True)
class Settles:
    """What an estimate settles: ``musts`` of the pick, by id, and ``kits`` that are picked at one end or the other."""

    musts: tuple[str, ...] = ()
    kits: tuple[str, ...] = ()


def settled_by_estimates(decider: "Decider", decision: "Decision") -> dict[str, Settles]:
    """Field of the pick that was estimated -> what it `Settles`; nothing where there is no pick or no estimate."""
    if decision.pick is None:
        return {}
    pick = decision.kits.ids[decision.pick]
    put_in = decider.kits.estimates.get(pick, {})
    rests = {stands.field for stands in decision.stand_ins.get(decision.pick, ()) if stands.kind == "estimate"}
    fields = sorted(name for name in put_in if name in rests)
    if not fields:
        return {}
    rows = [(field, others, end) for field in fields for others in OTHERS for end in (LOW, HIGH)]

    def values(held: str | None) -> dict[str, np.ndarray]:
        """Every field over the rows; ``held``: where the others are, None as the row says."""
        return {
            name: np.array([put_in[name].at(end if name == field else held or others) for field, others, end in rows])
            for name in fields
        }

    # No other kit's verdict hangs on numbers of the pick: whatever they are, it is this one or the one behind it.
    kits = decider.kits.subset(np.sort(decision.order[:2])).varied(pick, values(None), values(HARDEST))
    picked, failing = _verdicts(decider, decision, kits, pick, len(rows))
    settled = {}
    for field in fields:
        musts, becomes = set(), set()
        for others in OTHERS:
            low, high = (rows.index((field, others, end)) for end in (LOW, HIGH))
            musts |= failing[low] ^ failing[high]
            if picked[low] != picked[high]:
                becomes |= {picked[low], picked[high]} - {pick, None}
        settled[field] = Settles(tuple(sorted(musts)), tuple(sorted(becomes)))
    return settled


def _verdicts(decider, decision, kits, pick, count):
    """(picked kit's id or None, ids of the musts that the pick does not pass) by row."""
    known, facts = decision.known, decision.knowledge.facts
    given = constant_columns(facts, known.facts, count)
    answered = {name: np.ones(count, dtype=bool) for name in known.answered}
    missing = np.zeros(count, dtype=bool)
    batched = decider.batch.run_columns(given, answered, missing, decision.platform, discard=True, kits=kits)
    failing: list[set[str]] = [set() for _ in range(count)]
    place = batched.kits.index.get(pick)
    if place is not None:
        for checked in batched.checks:
            if checked.requirement.level == "must":
                for row in np.flatnonzero(np.isin(checked.status[:, place], (FAIL, UNKNOWN))):
                    failing[row].add(checked.requirement.id)
    picked = [None if index < 0 else batched.kits.ids[index] for index in batched.picks]
    return picked, failing
