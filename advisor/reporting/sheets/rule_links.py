"""Which rules and calculations give a fact or figure, and which read it: both ways, over all of a `Knowledge`."""

from collections.abc import Iterable
from functools import cached_property

from ...knowledge.model import Calculation, Condition, FactRef, Knowledge, Rule

#: A rule or calculation, by kind and id.
Giver = tuple[str, str]


class RuleLinks:
    """Who gives and who reads what. Names are those of facts and figures; kit fields are given by the kits on file."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self.given_by: dict[str, list[Giver]] = {}
        self.read_by: dict[str, list[Giver]] = {}
        for rule in sorted(knowledge.rules, key=lambda rule: rule.id):
            for name in dict.fromkeys(conclusion.fact for conclusion in rule.conclude):
                self.given_by.setdefault(name, []).append(("rule", rule.id))
            for name in read_of_rule(rule):
                self.read_by.setdefault(name, []).append(("rule", rule.id))
        for calculation in (*knowledge.calculations, *knowledge.figure_calculations):
            self.given_by.setdefault(calculation.gives, []).append(("calculation", calculation.id))
            for name in read_of_calculation(calculation):
                self.read_by.setdefault(name, []).append(("calculation", calculation.id))

    @cached_property
    def topics(self) -> dict[tuple[str, str], dict[tuple[str, str], list[str]]]:
        """(stage, topic) -> {(stage, topic) that feeds it: the facts by which}, through whatever calculations."""
        of_rule = {rule.id: (rule.stage, rule.topic) for rule in self.knowledge.rules}
        inputs = {
            calculation.id: read_of_calculation(calculation)
            for calculation in (*self.knowledge.calculations, *self.knowledge.figure_calculations)
        }
        feeds: dict[tuple[str, str], dict[tuple[str, str], list[str]]] = {topic: {} for topic in of_rule.values()}
        for rule in self.knowledge.rules:
            topic, waiting, seen = of_rule[rule.id], list(read_of_rule(rule)), set()
            while waiting:
                name = waiting.pop()
                if name in seen:
                    continue
                seen.add(name)
                for kind, giver in self.given_by.get(name, ()):
                    if kind == "calculation":
                        waiting += inputs[giver]
                    elif of_rule[giver] != topic:
                        by = feeds[topic].setdefault(of_rule[giver], [])
                        if name not in by:
                            by.append(name)
        return feeds


def read_of_rule(rule: Rule) -> list[str]:
    """The facts and figures that a rule asks, compares with, copies or measures."""
    conditions: list[Condition] = [*rule.all, *(condition for branch in rule.any for condition in branch)]
    names = [name for condition in conditions for name in (condition.fact, *_referred(condition.limit))]
    names += [name for conclusion in rule.conclude for name in _referred(conclusion.value)]
    for required in rule.require:
        names += [required.measure] if required.source == "figure" else []
        names += _referred(required.limit)
    return list(dict.fromkeys(names))


def read_of_calculation(calculation: Calculation) -> list[str]:
    """The facts and figures among the inputs of a calculation."""
    names, waiting = [], [given for _, given in calculation.inputs]
    while waiting:
        given = waiting.pop(0)
        waiting += given.first_of
        if given.source in ("fact", "figure"):
            names.append(given.name)
    return list(dict.fromkeys(names))


def _referred(value: object) -> Iterable[str]:
    if isinstance(value, FactRef):
        yield value.name
    elif isinstance(value, tuple):
        for part in value:
            yield from _referred(part)
