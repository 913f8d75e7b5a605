"""Which estimates of the pick would change something if they were measured: those are measured before it is ordered.

An estimate settles something where, taken at its two ends, a must of the pick fails at one of them and not at the
other, or another kit is picked. The other estimates are held meanwhile as they are when nothing is measured (likely,
and for a must on safety at the end hardest for it), and then all at either end, since two may fail a must together
that neither fails alone. What no end changes need not be measured: the pick stands wherever it turns out to lie.
"""

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from ..frozen import frozen
from .around import decide_variants
from .estimating import HARDEST, HIGH, LIKELY, LOW
from .verdicts import FAIL, UNKNOWN

if TYPE_CHECKING:
    from ..knowledge.model import Value
    from .decide import Decider, Decision

#: The ends at which the other estimates are held, in turn.
OTHERS = (LIKELY, LOW, HIGH)


@frozen
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
    kits = decider.kits.subset(np.sort(decision.order[:2])).varied(
        len(rows), {pick: values(None)}, {pick: values(HARDEST)}
    )
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


def turned_by_estimates(decider: "Decider", decision: "Decision") -> set[tuple[str, str, tuple[str, str]]]:
    """(kit, requirement, (whose number, its field)) of every verdict that is another at one end of an estimate than at
    the other: of the kits that fit, by what is estimated of themselves and of the car's factory clutch.

    The other estimates are held as they are when nothing is measured.
    """
    fitting = np.flatnonzero(decision.fits[0])
    kits = decider.kits.subset(fitting)
    put_in = {name: kits.estimates[name] for name in kits.ids if name in kits.estimates}
    fields = sorted({field for of_kit in put_in.values() for field in of_kit})
    factory = decision.known.factory_kit
    limits = [
        (assumption.fact, assumption.low, assumption.high)
        for assumption in decision.known.assumptions
        if decision.knowledge.facts[assumption.fact].source == "factory_kit"
        and factory
        and assumption.low is not None
        and assumption.high is not None
    ]
    turns = [(field, None) for field in fields] + [(None, limit) for limit in limits]
    if not turns:
        return set()
    count = 2 * len(turns)

    def values(held: str) -> dict[str, dict[str, np.ndarray]]:
        """Every estimated field over the rows: at its low and high end in turn, elsewhere as it is ``held``."""
        by_kit: dict[str, dict[str, np.ndarray]] = {}
        for name, of_kit in put_in.items():
            for field, estimated in of_kit.items():
                row = 2 * fields.index(field)
                column = np.full(count, estimated.at(held))
                column[row : row + 2] = estimated.low, estimated.high
                by_kit.setdefault(name, {})[field] = column
        return by_kit

    # The rows of the kits' own numbers, where the case is as it is, then two of each number of the factory clutch.
    variants: list[Mapping[str, Value]] = [{}] * (2 * len(fields))
    variants += [{fact: end} for fact, low, high in limits for end in (low, high)]
    varied = kits.varied(len(variants), values(LIKELY), values(HARDEST))
    batched = decide_variants(decider, decision, variants, kits=varied)
    turned = set()
    for checked in batched.checks:
        other = checked.status[::2] != checked.status[1::2]
        for turn, place in zip(*np.nonzero(other)):
            field, limit = turns[turn]
            kit = batched.kits.ids[place]
            key = (kit, field) if limit is None else (factory, decision.knowledge.facts[limit[0]].field)
            turned.add((kit, checked.requirement.id, key))
    return turned


def _verdicts(decider, decision, kits, pick, count):
    """(picked kit's id or None, ids of the musts that the pick does not pass) by row."""
    batched = decide_variants(decider, decision, [{}] * count, kits=kits)
    failing: list[set[str]] = [set() for _ in range(count)]
    place = batched.kits.index.get(pick)
    if place is not None:
        for checked in batched.checks:
            if checked.requirement.level == "must":
                for row in np.flatnonzero(np.isin(checked.status[:, place], (FAIL, UNKNOWN))):
                    failing[row].add(checked.requirement.id)
    return batched.picked_ids, failing
