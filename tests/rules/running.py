"""Run one rule test on a derived stage: what it expects and what came out, as a list of sentences."""

from advisor.knowledge.model import FactRef
from advisor.knowledge.rules import PLACEHOLDER


def complaints(test, knowledge, derive):
    """Everything in which what follows from a `RuleTest` differs from what it expects.

    ``derive(facts, answered)`` gives the Derivation of the test's stage.
    """
    derived = derive(test.given, test.answered)
    fired = set(derived.fired())
    rules = [rule for rule in knowledge.rules if rule.id in fired and rule.topic == test.topic]
    wrong = [f"{name} should fire" for name in test.fired if name not in fired]
    wrong += [f"{name} should not fire" for name in test.not_fired if name in fired]
    for name, value in test.expect.items():
        if derived.facts.get(name) != value:
            wrong.append(f"{name}: expected {value}, found {derived.facts.get(name)}")
    for what, expected, found in (
        ("requirements", test.requirements, [one.id for rule in rules for one in rule.require]),
        ("items", test.items, [one.id for rule in rules for one in rule.items]),
        ("cautions", test.cautions, [one.id for rule in rules for one in rule.cautions]),
    ):
        if expected is not None and sorted(expected) != sorted(found):
            wrong.append(f"{what}: expected {sorted(expected)}, found {sorted(found)}")
    posted = {one.id: one for rule in knowledge.rules if rule.id in fired for one in rule.require}
    for name, value in test.passes:
        if name not in posted or not meets(posted[name], value, derived.facts):
            wrong.append(f"{name}: {value} should pass")
    for name, value in test.fails:
        if name not in posted or meets(posted[name], value, derived.facts):
            wrong.append(f"{name}: {value} should fail")
    for change in test.also_when:
        gone = set(test.fired) - _fired_with(test, change, derive)
        wrong += [f"{name} should fire with {dict(change)}" for name in sorted(gone)]
    for change in test.silent_when:
        there = set(test.fired) & _fired_with(test, change, derive)
        wrong += [f"{name} should be silent with {dict(change)}" for name in sorted(there)]
    return wrong + unrendered(rules, derived.facts)


def _fired_with(test, change, derive):
    given = {name: value for name, value in {**test.given, **change}.items() if value is not None}
    answered = (test.answered | set(change)) & set(given)
    return set(derive(given, frozenset(answered)).fired())


def unrendered(rules, facts):
    """Placeholders of because-texts, cautions and items of ``rules`` that ``facts`` cannot fill."""
    return [
        f"{rule.id}: {{{name}}} has no value"
        for rule in rules
        for text in texts(rule)
        for name in PLACEHOLDER.findall(text)
        if name not in facts
    ]


def texts(rule):
    """Every text of a rule that people read: because, cautions, items."""
    return [rule.because, *(one.text for one in rule.cautions), *(one.text for one in rule.items)]


def meets(requirement, value, facts):
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
