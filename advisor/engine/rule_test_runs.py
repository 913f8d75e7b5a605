"""Runs one test that stands beside the rules: what it expects against what follows, as a list of sentences."""

from collections.abc import Callable, Collection, Mapping
from typing import TYPE_CHECKING, Any

from ..errors import AdvisorError
from ..knowledge.model import FactRef, Knowledge, Requirement, Rule, Value
from ..knowledge.rule_tests import RuleTest
from ..knowledge.rules import PLACEHOLDER

if TYPE_CHECKING:
    from .derivation import Derivation

Derive = Callable[[Mapping[str, Value], Collection[str]], "Derivation"]


def differences(test: RuleTest, knowledge: Knowledge, derive: Derive) -> list[str]:
    """Everything in which what follows from a `RuleTest` differs from what it expects; [] where it holds.

    ``derive(facts, answered)`` gives the Derivation of the test's stage.
    """
    try:
        return _differences(test, knowledge, derive)
    except AdvisorError as error:
        # Rules that contradict each other, or an engine that stops: the test does not hold, and this is why.
        return [error.what.rstrip(".")]


def _differences(test, knowledge, derive):
    derived = derive(test.given, test.answered)
    fired = set(derived.fired())
    rules = [rule for rule in knowledge.rules if rule.id in fired and rule.topic == test.topic]
    wrong = [f"{name} should fire" for name in test.fired if name not in fired]
    wrong += [f"{name} should not fire" for name in test.not_fired if name in fired]
    for name, value in test.expect.items():
        if derived.facts.get(name) != value:
            wrong.append(f"{name}: expected {_shown(value)}, found {_shown(derived.facts.get(name))}")
    for what, expected, there in (
        ("requirements", test.requirements, [posted.id for rule in rules for posted in rule.require]),
        ("items", test.items, [item.id for rule in rules for item in rule.items]),
        ("cautions", test.cautions, [caution.id for rule in rules for caution in rule.cautions]),
    ):
        if expected is not None and sorted(expected) != sorted(there):
            wrong.append(f"{what}: expected {_listed(expected)}, found {_listed(there)}")
    posted = {
        requirement.id: requirement for rule in knowledge.rules if rule.id in fired for requirement in rule.require
    }
    for name, value in test.passes:
        if name not in posted or not meets(posted[name], value, derived.facts):
            wrong.append(f"{name}: {_shown(value)} should pass")
    for name, value in test.fails:
        if name not in posted or meets(posted[name], value, derived.facts):
            wrong.append(f"{name}: {_shown(value)} should fail")
    for change in test.also_when:
        gone = set(test.fired) - _fired_with(test, change, derive)
        wrong += [f"{name} should fire with {_changed(change)}" for name in sorted(gone)]
    for change in test.silent_when:
        there = set(test.fired) & _fired_with(test, change, derive)
        wrong += [f"{name} should be silent with {_changed(change)}" for name in sorted(there)]
    return wrong + unrendered(rules, derived.facts)


def _shown(value: Any) -> str:
    if value is None:
        return "no value"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return _listed(value) if isinstance(value, tuple) else f"{value:.9g}" if isinstance(value, float) else str(value)


def _listed(names):
    return ", ".join(sorted(names)) or "none"


def _changed(change):
    return ", ".join(f"{name} {_shown(value)}" for name, value in change.items())


def _fired_with(test, change, derive):
    given = {name: value for name, value in {**test.given, **change}.items() if value is not None}
    answered = (test.answered | set(change)) & set(given)
    return set(derive(given, frozenset(answered)).fired())


def unrendered(rules: Collection[Rule], facts: Collection[str]) -> list[str]:
    """Placeholders of because-texts, cautions and items of ``rules`` that ``facts`` cannot fill."""
    return [
        f"{rule.id}: {{{name}}} has no value"
        for rule in rules
        for text in texts(rule)
        for name in PLACEHOLDER.findall(text)
        if name not in facts
    ]


def texts(rule: Rule) -> list[str]:
    """Every text of a rule that people read: because, cautions, items."""
    return [rule.because, *(caution.text for caution in rule.cautions), *(item.text for item in rule.items)]


def meets(requirement: Requirement, value: Any, facts: Mapping[str, Any]) -> bool:
    """Does a kit that has ``value`` meet the requirement, its limits taken from ``facts``?"""
    limits = [
        facts[limit.name] if isinstance(limit, FactRef) else limit
        for limit in (requirement.limit if requirement.compare == "between" else (requirement.limit,))
    ]
    return {
        "at_least": lambda: value >= limits[0],
        "at_most": lambda: value <= limits[0],
        "above": lambda: value > limits[0],
        "below": lambda: value < limits[0],
        "between": lambda: limits[0] <= value <= limits[-1],
        "is": lambda: value == limits[0],
        "in": lambda: value in limits[0],
        "not_in": lambda: value not in limits[0],
    }[requirement.compare]()
