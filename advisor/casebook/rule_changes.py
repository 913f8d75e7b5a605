"""What differs between two sets of rules, and in which cases of a batch the difference came into play."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from ..knowledge import canonical
from ..knowledge.model import STAGES, Knowledge

if TYPE_CHECKING:
    from ..deciding.batch import Batched
    from ..engine.bulk import BulkDerivation

#: Stage of a rule -> the kind of entry it is.
KIND_OF_STAGE = {"consistency": "rule on contradictions", "case": "rule", "setup": "set-up rule"}
#: Parts of a rule that say who looks after it, not what it does.
ASIDE = ("owner", "reviewed", "position", "hash")


@dataclass(frozen=True, slots=True)
class RuleChange:
    """One entry of the rules that was ``how``: added, removed or edited.

    ``kind``: rule, rule on contradictions, set-up rule, calculation, figure, fact, kit field, facing, table, step,
    estimate or concerns.
    """

    kind: str
    id: str
    how: str

    @property
    def name(self) -> str:
        """The kind and id."""
        return f"{self.kind} {self.id}"


def changes(old: Knowledge, new: Knowledge) -> "tuple[RuleChange, ...]":
    """Every `RuleChange` from one Knowledge to another that could bear on a decision, sorted.

    Questions decide nothing and are left out, and so are facts made of kit fields and figures, which change with them.
    """
    rule_changes = []
    for (kind, before), (_, after) in zip(_parts(old), _parts(new)):
        for name in sorted({*before, *after}):
            if name not in before or name not in after:
                rule_changes.append(RuleChange(kind, name, "added" if name not in before else "removed"))
            elif before[name] != after[name]:
                rule_changes.append(RuleChange(kind, name, "edited"))
    return tuple(sorted(rule_changes, key=lambda rule_change: (rule_change.kind, rule_change.id)))


def _parts(knowledge):
    """Pairs (kind, {id: text of its content}) in a fixed order."""
    rules: dict[str, Any] = {stage: {} for stage in STAGES}
    for rule in knowledge.rules:
        rules[rule.stage][rule.id] = _text(rule)
    facts = {name: _text(fact) for name, fact in knowledge.facts.items() if fact.source not in ("kit", "figure")}
    words = {**knowledge.kit_fields, **knowledge.figures}
    return (
        ("rule on contradictions", rules["consistency"]),
        ("rule", rules["case"]),
        ("set-up rule", rules["setup"]),
        ("calculation", {calculation.id: _text(calculation) for calculation in knowledge.calculations}),
        ("figure", {calculation.gives: _text(calculation) for calculation in knowledge.figure_calculations}),
        ("fact", facts),
        ("kit field", {name: _text(word) for name, word in words.items()}),
        ("facing", {name: _text(facing) for name, facing in knowledge.facings.items()}),
        ("table", {name: _text(table) for name, table in knowledge.order.tables.items()}),
        ("step", {name: _text(step) for name, step in knowledge.order.steps.items()}),
        ("estimate", {estimate.id: _text(estimate) for estimate in knowledge.estimates}),
        ("concerns", {"order": canonical.text(list(knowledge.order.concerns))}),
    )


def _text(content):
    fields = {
        field.name: getattr(content, field.name) for field in dataclasses.fields(content) if field.name not in ASIDE
    }
    return canonical.text(fields)


def in_play(change: "RuleChange", sides: "Sequence[Batched]") -> np.ndarray:
    """Boolean mask of the cases in which a change came into play on either side.

    ``sides``: Batched of the old and of the new rules. A rule has fired; a calculation had its inputs; a fact had a
    value; a figure was computed for some kit; a facing, field or table belonged to some kit that was judged. Set-up
    rules are not seen here.
    """
    masks = [_one(change, side) for side in sides]
    return masks[0] | masks[1]


def fired(change: "RuleChange", derived: "BulkDerivation") -> np.ndarray:
    """Boolean mask of the cases of one side in which a changed rule fired or a changed calculation had its inputs."""
    entries = derived.base.rules if change.kind == "rule" else derived.base.calculations
    if not any(entry.id == change.id for entry in entries):
        return np.zeros(derived.rows, dtype=bool)
    return derived.fired(change.id) if change.kind == "rule" else derived.calculated(change.id)


def _one(change, side):
    derived = side.derived
    none = np.zeros(derived.rows, dtype=bool)
    judged = ~side.missing if len(side.kits) else none
    if change.kind in ("rule", "calculation"):
        return fired(change, derived)
    if change.kind == "fact":
        return derived.fact(change.id)[1] if change.id in derived.base.facts else none
    if change.kind == "figure":
        column = side.figures.columns.get(change.id)
        return (
            none
            if column is None
            else judged & np.broadcast_to(column.known, (derived.rows, len(side.kits))).any(axis=1)
        )
    if change.kind == "facing":
        return judged if any(kit.fields.get("facing") == change.id for kit in side.kits.kits) else none
    return none if change.kind == "set-up rule" else judged
