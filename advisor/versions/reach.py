"""What of the rules reaches a safety measure: by which no change is let through that fails a check."""

from collections.abc import Iterable
from functools import cached_property

from ..casebook.rule_changes import KIND_OF_STAGE
from ..knowledge.model import Calculation, FactRef, KitRef, Knowledge, Rule

#: Kinds of entries of which no use need be looked for: whatever reads them may be about safety.
ALWAYS = ("kit field", "fact", "limit", "estimate")


class SafetyReach:
    """Which rules, calculations, figures, facings and tables of one `Knowledge` bear on a safety measure.

    A safety measure is a must marked as safety, or a caution marked so; what bears on it is every rule and calculation
    that gives a fact or a figure which such a rule asks, compares with or measures, and so on to the answers.
    """

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge

    @cached_property
    def names(self) -> frozenset[tuple[str, str]]:
        """Pairs (kind, id), the kinds being those of a change of the rules."""
        gives: dict[str, list[Rule | Calculation]] = {}
        for rule in self.knowledge.rules:
            for conclusion in rule.conclude:
                gives.setdefault(conclusion.fact, []).append(rule)
        for calculation in (*self.knowledge.calculations, *self.knowledge.figure_calculations):
            gives.setdefault(calculation.gives, []).append(calculation)
        waiting: list[Rule | Calculation] = [rule for rule in self.knowledge.rules if _is_safety(rule)]
        seen: set[tuple[str, str]] = set()
        while waiting:
            entry = waiting.pop()
            name = _name(entry)
            if name in seen:
                continue
            seen.add(name)
            for kind, read in _reads(entry):
                if kind == "fact":
                    waiting += gives.get(read, ())
                else:
                    seen.add((kind, read))
        return frozenset(seen)

    def touches(self, kind: str, name: str) -> bool:
        """Whether an entry of the rules bears on a safety measure. What cannot be told does."""
        if kind in ALWAYS:
            return True
        if kind == "facing":
            return any(reached == "facing" for reached, _ in self.names)
        if kind in ("question", "concerns", "step"):
            return False
        return (kind, name) in self.names


def _is_safety(rule):
    # What contradicts itself could come out too small: every rule on contradictions is about safety.
    return (
        rule.stage == "consistency"
        or any(required.safety for required in rule.require)
        or any(caution.safety for caution in rule.cautions)
    )


def _name(entry):
    if isinstance(entry, Rule):
        return KIND_OF_STAGE[entry.stage], entry.id
    return ("figure", entry.gives) if entry.stage == "kit" else ("calculation", entry.id)


def _reads(entry: Rule | Calculation) -> Iterable[tuple[str, str]]:
    """Pairs (kind, name) of what a rule or calculation reads: fact (or figure), kit field, facing, table."""
    if isinstance(entry, Rule):
        for condition in (*entry.all, *(condition for branch in entry.any for condition in branch)):
            yield "fact", condition.fact
            yield from _referred(condition.limit)
        for conclusion in entry.conclude:
            yield from _referred(conclusion.value)
        for required in entry.require:
            yield "fact" if required.source == "figure" else "kit field", required.measure
            yield from _referred(required.limit)
        return
    waiting = [given for _, given in entry.inputs]
    while waiting:
        given = waiting.pop()
        waiting += given.first_of
        if given.source in ("fact", "figure"):
            yield "fact", given.name
        elif given.source in ("facing", "table"):
            yield given.source, given.name


def _referred(value):
    if isinstance(value, FactRef):
        yield "fact", value.name
    elif isinstance(value, KitRef):
        yield "kit field", value.name
    elif isinstance(value, tuple):
        for part in value:
            yield from _referred(part)
