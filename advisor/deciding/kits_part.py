"""The part of a decision record on its kits: requirements, verdicts, figures, what stood in for a field."""

from collections.abc import Mapping, Sequence
from typing import Any

from ..knowledge.model import FactRef
from .decide import Decision
from .limits import failure, limit_of, plain
from .neighbours import statuses
from .settling_estimates import Settles
from .stand_ins import StandIn
from .verdicts import Checked


def by_id(checked: Checked) -> str:
    """The order of requirements in the record."""
    return checked.requirement.id


def requirement_entry(decision: Decision, checked: Checked) -> dict[str, Any]:
    """A requirement as its rule posted it."""
    requirement = checked.requirement
    rule = decision.rules[requirement.rule]
    limits = requirement.limit if requirement.compare == "between" else (requirement.limit,)
    return {
        "id": requirement.id,
        "source": requirement.source,
        "measure": requirement.measure,
        "compare": requirement.compare,
        "limit": limit_of(decision, requirement),
        "limit_facts": [limit.name for limit in limits if isinstance(limit, FactRef)],
        "unit": requirement.unit,
        "level": requirement.level,
        "concern": requirement.concern or None,
        "safety": requirement.safety,
        "of_kits": {field: plain(tuple(values)) for field, values in requirement.of_kits},
        "rule": requirement.rule,
        "topic": rule.topic,
        "because": decision.wording.fill(rule.because, decision.derivation.facts),
    }


def kit_entry(
    decision: Decision, index: int, stand_ins: Sequence[StandIn], settled: Mapping[str, Settles] | None = None
) -> dict[str, Any]:
    """A kit as it was judged; ``settled``: what its estimates settle, by field, of the pick."""
    failed, unknown, given_up, not_known = statuses(decision, index)
    if decision.pick == index:
        verdict = "picked"
    elif decision.passes[0, index]:
        verdict = "passes"
    else:
        verdict = "failed" if decision.failed[0, index] else "unjudged"
    figures, reasons_why = {}, {}
    fits = bool(decision.fits[0, index])
    # A kit that does not fit the car is told by its dimensions; figures of a clutch that cannot be fitted say nothing.
    for name in decision.figures.known_names(decision.knowledge.figures) if fits else ():
        value = decision.figures.value(name, 0, index)
        if value is not None:
            figures[name] = value
        elif decision.figures.reason(name, 0, index):
            reasons_why[name] = decision.figures.reason(name, 0, index)
    concerns = decision.knowledge.order.concerns
    return {
        "id": decision.kits.ids[index],
        "verdict": verdict,
        "fits": fits,
        "failed": [failure(decision, checked, index) for checked in sorted(failed, key=_safety_first)],
        "unknown": [failure(decision, checked, index) for checked in sorted(unknown, key=by_id)],
        "given_up": [
            {**failure(decision, checked, index), "concern": checked.requirement.concern, "known": checked in given_up}
            for checked in sorted([*given_up, *not_known], key=by_id)
        ],
        "concerns": [name for name, lost in zip(concerns, decision.concerns[0, index]) if lost],
        "place": decision.place_of.get(index),
        "gentleness": int(decision.gentle_ranks[0, index]),
        "figures": figures,
        "unknown_figures": reasons_why,
        "adds": _adds(decision, index),
        "stand_ins": [stand_in_entry(stand_in, settled) for stand_in in stand_ins] if fits else [],
    }


def stand_in_entry(stands: StandIn, settled: Mapping[str, Settles] | None = None) -> dict[str, Any]:
    """What was used where a record leaves a field out."""
    return {
        "field": stands.field,
        "of": stands.of,
        "kind": stands.kind,
        "used": stands.used,
        "value": plain(stands.value),
        "unit": stands.unit,
        "basis": {"kind": stands.basis.kind, "source": stands.basis.source, "caution": stands.basis.caution},
        "requirements": list(stands.requirements),
        **(
            {"low": stands.low, "high": stands.high, "measure": stands.measure, "figures": list(stands.figures)}
            if stands.kind == "estimate"
            else {}
        ),
        **({"settles": _settles(settled[stands.field])} if stands.kind == "estimate" and settled else {}),
    }


def _settles(settled):
    return {"musts": list(settled.musts), "kits": list(settled.kits)}


def _adds(decision, index):
    """The required parts behind a passing kit's total price: {item, rule, part, price}, by item."""
    return [
        {
            "item": setup.item.id,
            "rule": setup.rule,
            "part": setup.record.id if setup.record else None,
            "price": setup.record.fields.get("price") if setup.record else None,
        }
        for setup in decision.setups.get(index, ())
        if setup.item.kind == "part" and setup.item.level == "required"
    ]


def _safety_first(checked):
    return (not checked.requirement.safety, checked.requirement.id)
