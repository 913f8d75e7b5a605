"""The part of a decision record on what was derived: facts with their producers, and what fired."""

from typing import Any

from ..knowledge.model import CONTRADICTION
from .clashing import behind_contradictions
from .consistency import STAGE
from .decide import Decision
from .limits import plain


def facts_and_firings(decision: Decision) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Facts with their producers, and the firings of both stages, numbered in the order of the record."""
    steps = {calculation.id: calculation for calculation in decision.knowledge.calculations}
    firings: list[Any] = []
    producers: dict[str, Any] = {}
    stages = [("case", decision.derivation, decision.derivation.firings)]
    before, clashes = behind_contradictions(decision), decision.known.clashes
    if before and clashes is not None and clashes.derivation is not None:
        stages.insert(0, (STAGE, clashes.derivation, before))
    if decision.pick is not None:
        derived = decision.setup_derivations[decision.pick]
        stages.append(("setup", derived, derived.firings))
    words = decision.knowledge.facts
    values = dict(decision.derivation.facts)
    for stage, derived, of_stage in stages:
        if stage == STAGE:
            values |= {name: value for firing in of_stage for name, value in firing.concluded if name != CONTRADICTION}
            values |= {CONTRADICTION: derived.facts[CONTRADICTION]}
        for firing in of_stage:
            source = decision.rules[firing.id] if firing.kind == "rule" else steps[firing.id]
            number = len(firings) + 1
            for name, _ in firing.concluded:
                producers.setdefault(name, []).append(number)
            entry = {
                "id": number,
                "kind": firing.kind,
                "rule": firing.id,
                "rule_hash": source.hash,
                "stage": stage,
                "branches": list(firing.branches),
                "facts": {name: plain(value) for name, value in firing.facts},
                "concluded": {name: plain(value) for name, value in firing.concluded},
                "because": decision.wording.fill(source.because, derived.facts),
                "basis": {"kind": source.basis.kind, "source": source.basis.source, "caution": source.basis.caution},
            }
            if firing.reason:
                entry["reason"] = firing.reason
            firings.append(entry)
    facts = []
    for name in sorted(values):
        makers = producers.get(name, [])
        kind = firings[makers[0] - 1]["kind"] if makers else ""
        origin = decision.known.origins.get(name) or ("calculated" if kind == "calculation" else "concluded")
        facts.append(
            {
                "name": name,
                "value": plain(values[name]),
                "unit": words[name].unit,
                "origin": origin,
                "producer": makers,
            }
        )
    return facts, firings
