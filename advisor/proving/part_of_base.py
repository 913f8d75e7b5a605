"""The part of a rule base that some of its rules hang on: a large one is asked about so."""

from collections import defaultdict
from collections.abc import Iterable

from ..knowledge.model import Calculation, Knowledge, Rule
from ..knowledge.rules import reads
from .admissible import CONSISTENCY, declining
from .regions import inputs_of


def knowledge_of_stage(
    knowledge: Knowledge, stage: str = "case", only: Iterable[str] = ()
) -> tuple[list[Rule], list[Calculation]]:
    """Rules and calculations of one stage; ``only``: those that these rules hang on, directly or through others.

    What decides whether a caller gets a decision at all is kept too.
    """
    assert stage in ("case", CONSISTENCY)
    rules = [rule for rule in knowledge.rules if rule.stage == stage]
    calculations = [calculation for calculation in knowledge.calculations if calculation.stage == stage]
    wanted = set(only)
    if not wanted:
        return rules, calculations
    kept = {rule.id for rule in rules if rule.id in wanted} | {rule.id for rule in declining(rules)}
    names = {name for name, fact in knowledge.facts.items() if fact.needs_one_of}
    names |= {name for rule in rules if rule.id in kept for name in reads(rule)}
    steps: set[str] = set()
    waiting = list(names)
    rules_of, steps_of = defaultdict(list), defaultdict(list)
    for rule in rules:
        for conclusion in rule.conclude:
            rules_of[conclusion.fact].append(rule)
    for calculation in calculations:
        steps_of[calculation.gives].append(calculation)
    while waiting:
        name = waiting.pop()
        found_reads: set[str] = set()
        for rule in rules_of[name]:
            kept.add(rule.id)
            found_reads |= reads(rule)
        for calculation in steps_of[name]:
            steps.add(calculation.id)
            found_reads |= set(inputs_of(calculation))
        waiting += found_reads - names
        names |= found_reads
    return [rule for rule in rules if rule.id in kept], [each for each in calculations if each.id in steps]
