"""Rules in words, in the words they are written in, for whoever reads them without opening the files."""

import dataclasses
from collections.abc import Iterable
from typing import Any

from ...knowledge.model import Condition, FactRef, KitRef, Knowledge, Rule
from ...knowledge.sentences import wrap
from ...knowledge.wording import PLACEHOLDER, Wording

#: Tests as rules write them, around the value. `is` and `in` are the values alone.
TESTS = {
    "is": "{}",
    "in": "{}",
    "is_not": "not {}",
    "not_in": "not {}",
    "has": "has {}",
    "above": "above {}",
    "at_least": "at least {}",
    "below": "below {}",
    "at_most": "at most {}",
    "between": "between {}",
    "known": "known",
    "absent": "not known",
    "answered": "answered",
    "not_answered": "not answered",
}
STAGES = {"consistency": "answers that cannot all be true", "case": "case", "setup": "set-up"}


def rule_as_data(rule: Rule) -> dict[str, Any]:
    """A rule as JSON data."""

    def plain(value):
        if isinstance(value, FactRef):
            return {"fact": value.name}
        if isinstance(value, KitRef):
            return {"kit": value.name}
        if dataclasses.is_dataclass(value):
            return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
        if isinstance(value, tuple):
            return [plain(member) for member in value]
        return value

    data = plain(rule)
    data["position"] = str(rule.position) if rule.position else None
    return data


class RuleWords:
    """Words for the parts of rules of one Knowledge, in a system of units."""

    def __init__(self, knowledge: Knowledge, system: str = "si") -> None:
        self.wording = Wording(knowledge, system)
        self.label = self.wording.label

    def value(self, name: str, value: Any) -> str:
        """A literal, another fact or a kit's field, as what the fact, figure or field ``name`` is held against."""
        if isinstance(value, FactRef):
            return self.label(value.name)
        if isinstance(value, KitRef):
            return f"the kit's {self.label(value.name)}"
        if isinstance(value, tuple):
            return ", ".join(self.value(name, each) for each in value)
        return self.wording.value(name, value)

    def test(self, name: str, test: str, limit: Any) -> str:
        """What the fact or figure ``name`` must be: "above 7,000 rpm", "daily, weekend road", "not known"."""
        if test == "between":
            return f"between {self.value(name, limit[0])} and {self.value(name, limit[1])}"
        return TESTS[test].format("" if limit is None else self.value(name, limit))

    def condition(self, condition: Condition) -> str:
        """One condition: "shift speed: above 7,000 rpm"."""
        return f"{self.label(condition.fact)}: {self.test(condition.fact, condition.test, condition.limit)}"

    def branch(self, conditions: Iterable[Condition]) -> str:
        """One branch of an any: its conditions, all of which must hold."""
        return ", and ".join(map(self.condition, conditions))

    def effects(self, rule: Rule) -> list[str]:
        """What a rule does, one text each."""
        texts = [f"{self.label(each.fact)} is {self.value(each.fact, each.value)}" for each in rule.conclude]
        for required in rule.require:
            level = ("must, for safety" if required.safety else required.level) + (
                f", {required.concern}" if required.concern else ""
            )
            kits = "; ".join(f"{self.label(name)} {self.value(name, values)}" for name, values in required.of_kits)
            limit = self.test(required.measure, required.compare, required.limit)
            texts.append(
                f"{self.label(required.measure)}: {limit} ({level})" + (f", for kits with {kits}" if kits else "")
            )
        texts += [f"say: {self.text(each.text)}" + (" (safety)" if each.safety else "") for each in rule.cautions]
        texts += [
            f"{(each.part or each.kind).replace('_', ' ')} ({each.level}): {self.text(each.text)}"
            for each in rule.items
        ]
        if rule.contradiction:
            texts += self._contradiction(rule.contradiction)
        return texts

    def _contradiction(self, clash):
        texts = [f"either: {self.text(reading)}" for reading in clash.readings]
        texts += [
            f"who insists: {self.label(each.fact)} is {self.value(each.fact, each.value)}" for each in clash.harder
        ]
        stops = "; no decision before, for it could come out too small" if clash.undersizes else ""
        return [*texts, f"ask again: {self.label(clash.settle)}{stops}"]

    def text(self, template: str) -> str:
        """A text of a rule, each value that a case fills in as what it is called, in brackets."""
        return PLACEHOLDER.sub(lambda match: f"[{self.label(match[1])}]", template)

    @staticmethod
    def basis(rule: Rule) -> str:
        """What a rule rests on, in one line."""
        basis = rule.basis.kind.replace("_", " ") + (f": {rule.basis.source}" if rule.basis.source else "")
        return basis + (f" ({rule.basis.caution})" if rule.basis.caution else "")

    @staticmethod
    def kept_by(rule: Rule) -> str:
        """Who owns and when it was reviewed, or empty."""
        return (
            f"Owner {rule.owner or 'none'}, reviewed {rule.reviewed or 'never'}" if rule.owner or rule.reviewed else ""
        )


def rule_as_text(rule: Rule, knowledge: Knowledge, system: str = "si", width: int = 80) -> str:
    """A rule in words, ``width`` columns wide."""
    words = RuleWords(knowledge, system)
    lines = [f"{rule.id}: {rule.title}", f"{rule.topic.replace('_', ' ')}, {STAGES[rule.stage]}", "", "When"]
    lines += [wrap(words.condition(each), width, "  ", "    ") for each in rule.all]
    if rule.any:
        lines += ["  any"] + [wrap(words.branch(each), width, "    ", "      ") for each in rule.any]
    lines += ["Then"] + [wrap(text, width, "  ", "    ") for text in words.effects(rule)]
    lines += [
        "Because",
        wrap(words.text(rule.because), width, "  ", "  "),
        "Basis",
        wrap(words.basis(rule), width, "  ", "  "),
    ]
    if words.kept_by(rule):
        lines.append(wrap(words.kept_by(rule), width))
    return "\n".join(lines) + "\n"
