"""Fields of kits that nobody prints, put in from those that are known: likely for all that is worked out, and for a
must on safety at the end that is hardest for it.

What goes in is marked wherever it came in (`KitColumns.estimated`), so that the record can say what rests on it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from ..engine.calculating import round_digits
from ..frozen import frozen
from ..knowledge.model import Estimate, Knowledge, Record
from ..knowledge.records import derive

LIKELY, LOW, HIGH, HARDEST = "likely", "low", "high", "hardest"


@frozen
class Estimated:
    """A field of a kit that was put in: ``likely``, its ends, and the end at which a must on safety is read."""

    field: str
    likely: float
    low: float
    high: float
    hardest: float
    estimate: Estimate

    def at(self, end: str) -> float:
        """The value at an end."""
        return float(getattr(self, end))


#: Id of a kit -> what was put in, by field.
Estimates = Mapping[str, Mapping[str, Estimated]]


def estimates_of(kits: Iterable[Record], knowledge: Knowledge) -> dict[str, dict[str, Estimated]]:
    """What the estimates of the knowledge put into kits; kits that lack nothing are left out."""
    by_kit: dict[str, dict[str, Estimated]] = {}
    fields = {estimate.field for estimate in knowledge.estimates}
    for kit in kits:
        # A half of a clutch is sold without the numbers of the other half.
        if kit.fields.get("sold_as", "kit") != "kit" or not any(name not in kit.fields for name in fields):
            continue
        put_in = _of_kit(kit.fields, knowledge)
        if put_in:
            by_kit[kit.id] = put_in
    return by_kit


def _of_kit(fields, knowledge):
    put_in: dict[str, Estimated] = {}
    known: dict[str, Any] = dict(fields)
    for estimate in knowledge.estimates:
        if estimate.field in known or not _for_it(estimate, known) or not _applies(estimate.field, known, knowledge):
            continue
        if estimate.unless and all(name in known for name in estimate.unless):
            continue
        if any(not isinstance(known.get(name), (int, float)) for name, *_ in estimate.powers):
            continue
        ends = _ends(estimate, known, put_in)
        put_in[estimate.field] = ends
        known[estimate.field] = ends.likely
        known |= derive(known)
    return put_in


def _for_it(estimate, known):
    return all(known.get(name) in values for name, values in estimate.of_kits)


def _applies(name, known, knowledge):
    """Whether a kit may have the field at all: a single disc has no floater."""
    return all(known.get(other) in values for other, values in knowledge.kit_fields[name].of_kits if other in known)


def _ends(estimate, known, put_in):
    """The value and its ends; an input that was put in itself widens them by its own."""
    # A factory clutch is judged by what the car has lived with: as kit and as limit it is one number.
    hardest = estimate.hardest_of_factory if known.get("factory") and estimate.hardest_of_factory else estimate.hardest
    ends = {LIKELY: estimate.likely, LOW: estimate.low, HIGH: estimate.high}
    for name, power, at in estimate.powers:
        own = put_in.get(name)
        for end in ends:
            value = known[name]
            if own is not None and end != LIKELY:
                rises = power > 0
                value = own.high if (end == HIGH) == rises else own.low
            ends[end] *= (value / at) ** power
    ends = {end: round_digits(value) for end, value in ends.items()}
    return Estimated(estimate.field, **ends, hardest=ends[hardest], estimate=estimate)


def filled(kit: Record, put_in: Mapping[str, Estimated], end: str) -> Record:
    """A kit with what was put in at an end; itself where nothing was."""
    if not put_in:
        return kit
    fields = {**kit.fields, **{name: estimated.at(end) for name, estimated in put_in.items()}}
    return replace(kit, fields={**fields, **derive(fields)})
