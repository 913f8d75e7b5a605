"""Rules changed a little, one change at a time, and whether a rule test or a shipped case notices.

Changes: a limit one step up or down, a comparison turned round or made strict, a condition or a branch dropped, a
conclusion changed or dropped, a requirement's limit, comparison, kits or the requirement itself, a caution or an
item dropped, the rule deleted. A step is the resolution of the fact or figure, or a hundredth of the limit.
"""

import dataclasses
from typing import NamedTuple

from advisor.deciding.expectations import differences
from advisor.engine import rule_test_runs
from advisor.engine.plain import compile_plain
from advisor.errors import AdvisorError
from advisor.knowledge.model import Conclusion, FactRef

from .shop import cases, decider

TURNED = {
    "above": ("at_least", "below"),
    "at_least": ("above", "at_most"),
    "below": ("at_most", "above"),
    "at_most": ("below", "at_least"),
    "is": ("is_not",),
    "is_not": ("is",),
    "in": ("not_in",),
    "not_in": ("in",),
}


class Mutant(NamedTuple):
    """A rule and what stands in its place (None: deleted)."""

    rule: object
    what: str
    changed: object


def mutants(rule, knowledge):
    """Every Mutant of one rule, in a fixed order."""
    yield Mutant(rule, "deleted", None)
    copied = {one.value.name for one in rule.conclude if isinstance(one.value, FactRef)}
    for what, changed in _of_conditions(rule.all, knowledge, copied):
        yield Mutant(rule, f"all {what}", dataclasses.replace(rule, all=changed))
    for place, branch in enumerate(rule.any):
        for what, changed in _of_conditions(branch, knowledge, copied):
            if changed:  # a branch that asks nothing would be no branch: that is the whole of it dropped
                yield _with(rule, "any", rule.any, place, changed, what)
        yield _with(rule, "any", rule.any, place, None, f"{' and '.join(one.fact for one in branch)}: dropped")
    for place, conclusion in enumerate(rule.conclude):
        for what, changed in _of_conclusion(conclusion, knowledge):
            yield _with(rule, "conclude", rule.conclude, place, changed, f"{conclusion.fact}: {what}")
    for place, requirement in enumerate(rule.require):
        for what, changed in _of_requirement(requirement, knowledge):
            yield _with(rule, "require", rule.require, place, changed, f"{requirement.id}: {what}")
    for name in ("cautions", "items"):
        for place, part in enumerate(getattr(rule, name)):
            yield _with(rule, name, getattr(rule, name), place, None, f"{part.id}: dropped")


def _with(rule, name, parts, place, changed, what):
    kept = parts[:place] + (() if changed is None else (changed,)) + parts[place + 1 :]
    return Mutant(rule, f"{name} {what}", dataclasses.replace(rule, **{name: kept}))


def _of_conditions(conditions, knowledge, copied):
    """(what, conditions of which one is changed or dropped)"""
    for place, condition in enumerate(conditions):
        before, after, name = conditions[:place], conditions[place + 1 :], f"{condition.fact} {condition.test}"
        for what, changed in _of_condition(condition, knowledge):
            yield f"{name}: {what}", (*before, changed, *after)
        if condition.test != "known" or condition.fact not in copied:  # what is copied must be known anyway
            yield f"{name}: dropped", (*before, *after)


def step(word, limit):
    """The smallest change anybody would make to a limit of this fact, figure or kit field."""
    return getattr(word, "resolution", None) or abs(limit) / 100 or 1.0


def _moved(part, word):
    """(what, part with its numeric limit moved)"""
    limits = part.limit if isinstance(part.limit, tuple) else (part.limit,)
    if not all(isinstance(limit, float) for limit in limits) or part.test_or_compare in ("is", "in", "not_in"):
        return
    for place, limit in enumerate(limits):
        for sign in (1, -1):
            moved = (*limits[:place], _next(word, limit, sign), *limits[place + 1 :])
            yield f"limit {'up' if sign > 0 else 'down'}", moved if isinstance(part.limit, tuple) else moved[0]


def _next(word, limit, sign):
    """The limit one step further; among choices the next choice."""
    choices = [one for one in getattr(word, "choices", ()) if (one - limit) * sign > 0]
    if choices:
        return min(choices, key=lambda one: abs(one - limit))
    return round(limit + sign * step(word, limit), 9)


class _Part(NamedTuple):
    limit: object
    test_or_compare: str


def _of_condition(condition, knowledge):
    word = knowledge.figures.get(condition.fact) or knowledge.facts[condition.fact]
    for what, limit in _moved(_Part(condition.limit, condition.test), word):
        yield what, dataclasses.replace(condition, limit=limit)
    for turned in TURNED.get(condition.test, ()):
        if turned in ("is_not", "not_in", "is", "in") and knowledge.facts[condition.fact].kind not in (
            "choice",
            "flag",
        ):
            continue
        yield f"turned to {turned}", dataclasses.replace(condition, test=turned)


def _of_conclusion(conclusion, knowledge):
    fact, value = knowledge.facts[conclusion.fact], conclusion.value
    yield "dropped", None
    if isinstance(value, FactRef):
        return
    if fact.kind == "number":
        for sign in (1, -1):
            yield f"{'more' if sign > 0 else 'less'}", Conclusion(conclusion.fact, value + sign * step(fact, value))
    elif fact.kind == "flag":
        yield "other", Conclusion(conclusion.fact, not value)
    else:
        held = value if isinstance(value, tuple) else (value,)
        other = next(choice for choice in fact.choices if choice not in held)
        yield "other", Conclusion(conclusion.fact, other)


def _of_requirement(requirement, knowledge):
    words = knowledge.figures if requirement.source == "figure" else knowledge.kit_fields
    word = words[requirement.measure]
    yield "dropped", None
    for what, limit in _moved(_Part(requirement.limit, requirement.compare), word):
        yield what, dataclasses.replace(requirement, limit=limit)
    for turned in TURNED.get(requirement.compare, ()):
        if turned != "is_not":
            yield f"turned to {turned}", dataclasses.replace(requirement, compare=turned)
    if requirement.of_kits:
        yield "of all kits", dataclasses.replace(requirement, of_kits=())
    if requirement.level == "must":
        yield "a wish", dataclasses.replace(requirement, level="should", concern="life")


class Judge:
    """Says who notices a mutant; ``tests`` are the rule tests, ``among`` the Cases looked at after them."""

    def __init__(self, knowledge, shop, tests, among=None):
        self.knowledge, self.shop = knowledge, shop
        self.among = tuple(cases().values()) if among is None else among
        self.by_topic = {}
        for test in tests:
            self.by_topic.setdefault((test.stage, test.topic), []).append(test)

    def mutated(self, mutant):
        """The knowledge with the mutant in the rule's place."""
        rules = (mutant.changed if rule.id == mutant.rule.id else rule for rule in self.knowledge.rules)
        return dataclasses.replace(self.knowledge, rules=tuple(rule for rule in rules if rule is not None))

    def noticed(self, mutant):
        """rule test, case, engine (it does not load) or "" where nobody notices."""
        rule, known = mutant.rule, self.mutated(mutant)
        try:
            derive = compile_plain(known, rule.stage).derive
        except AdvisorError:
            return "engine"
        tests = self.by_topic[rule.stage, rule.topic]
        for test in sorted(tests, key=lambda test: rule.id not in test.fired):
            try:
                if rule_test_runs.differences(test, known, derive):
                    return "rule test"
            except AdvisorError:
                return "rule test"
        return "case" if self._case(rule, known) else ""

    def _case(self, rule, known):
        changed = decider(known, self.shop)
        for case in self.among:
            try:
                if differences(changed.decide(case), case.expect):
                    return case.id
            except AdvisorError:
                return case.id
        return ""
