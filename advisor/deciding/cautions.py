"""The cautions of a decision that people read."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from ..frozen import frozen
from ..knowledge.model import Caution, Value
from .judging import DECLINED_TOPIC

if TYPE_CHECKING:
    from .decide import Decision


@frozen
class ToldCaution:
    """A caution with the id of its rule, the stage the rule fired in, and the facts of then that fill its text."""

    caution: Caution
    rule: str
    stage: str
    facts: Mapping[str, Value]


def told_cautions(decision: "Decision") -> "list[ToldCaution]":
    """Every `ToldCaution` of a Decision once, those for safety first, then by id.

    Of a vehicle that is declined only what declines it, for nothing is fitted to it.
    """
    stages = [("case", decision.derivation)]
    if decision.pick is not None:
        stages.append(("setup", decision.setup_derivations[decision.pick]))
    first: dict[str, Any] = {}
    for stage, derived in stages:
        for name in sorted(derived.fired()):
            for caution in decision.rules[name].cautions:
                first.setdefault(caution.id, ToldCaution(caution, name, stage, derived.facts))
    return [
        caution_told
        for caution_told in sorted(
            first.values(), key=lambda caution_told: (not caution_told.caution.safety, caution_told.caution.id)
        )
        if not decision.known.declined or decision.rules[caution_told.rule].topic == DECLINED_TOPIC
    ]
