"""Rules of the model as conjunctions that durable-rules reads right: one for each branch of an ``any``.

A conjunction is ``tests`` (key -> sorted tests, see `patterns.Layout.add`) and ``joins`` between keys. All
conditions on one fact end in one pattern, because two patterns on one fact never match.
"""

from collections.abc import Callable, Iterator
from typing import Any

from ..knowledge.model import FactRef, Value
from .patterns import JOINS_PER_RULE, LARGEST, MEMBERS_PER_TEST, PATTERNS_PER_RULE, Join, Key, Tests, number_text
from .rulebase import RuleBase, copied_by

#: Fact -> the whole number each of its values goes in as.
Codes = dict[str, dict[Value, int]]

ALWAYS = ("always",)
_OPS = {"above": "$gt", "at_least": "$gte", "below": "$lt", "at_most": "$lte"}
_HOLDS = {
    "$gt": lambda value, limit: value > limit,
    "$gte": lambda value, limit: value >= limit,
    "$lt": lambda value, limit: value < limit,
    "$lte": lambda value, limit: value <= limit,
}
_PRESENT = (("is", "1"),)
_ANY_NUMBER = (("$gte", number_text(-LARGEST)),)
_ANY_CODE = (("$gte", "0"),)


def codes(base: RuleBase) -> Codes:
    """fact -> {value: whole number} for choices, texts and flags; a text no rule names gets the next number."""
    named: dict[str, dict[Any, Any]] = {}
    for rule in base.rules:
        for condition in rule.conditions:
            if base.facts[condition.fact].kind in ("choice", "text") and condition.limit is not None:
                limits = condition.limit if isinstance(condition.limit, tuple) else (condition.limit,)
                named.setdefault(condition.fact, {}).update(dict.fromkeys(limits))
    coded: Codes = {}
    for name, fact in base.facts.items():
        if fact.kind == "flag":
            coded[name] = {False: 0, True: 1}
        elif fact.kind in ("choice", "text"):
            coded[name] = {value: code for code, value in enumerate(fact.choices or named.get(name, ()))}
    return coded


def conjunctions(base: RuleBase, coded: Codes, rule: Any) -> Iterator[tuple[int | None, Tests, list[Join]]]:
    """(branch, tests, joins) of every way ``rule`` may hold; branch is None where it has no ``any``."""
    for branch, extra in enumerate(rule.any) if rule.any else ((None, ()),):
        for tests, joins in _conjunction(base, coded, (*rule.all, *extra), copied_by(rule)):
            yield branch, tests, joins


def _conjunction(base, coded, conditions, needed):
    """The conjunction of ``conditions``; none where they exclude each other, several where a list is long."""
    bounds: dict[str, set[tuple[str, Any]]] = {}
    allowed: dict[str, set[Any]] = {}
    tests: dict[Key, tuple[tuple[str, Any], ...]] = {}
    joins: set[Join] = set()
    for name in needed:
        bounds.setdefault(name, set())
    for condition in conditions:
        name, test, limit = condition.fact, condition.test, condition.limit
        if test in ("absent", "answered", "not_answered"):
            tests[test, name] = _PRESENT
        elif test == "has":
            tests["member", name, limit] = _PRESENT
        elif test == "known":
            bounds.setdefault(name, set())
        elif test in ("is", "in", "is_not", "not_in"):
            values = set(limit if test in ("in", "not_in") else (limit,))
            if test in ("is_not", "not_in"):
                values = set(coded[name]) - values
            allowed[name] = allowed[name] & values if name in allowed else values
        else:
            pairs = zip(("at_least", "at_most"), limit) if test == "between" else ((test, limit),)
            for op, pair in ((_OPS[test], pair) for test, pair in pairs):
                bounds.setdefault(name, set())
                if isinstance(pair, FactRef):
                    bounds.setdefault(pair.name, set())
                    joins.add((("value", name), op, ("value", pair.name)))
                else:
                    bounds[name].add((op, pair))
    many = []
    for name in {**bounds, **allowed}:
        if base.facts[name].kind == "list":
            tests["list", name] = _PRESENT
        elif name in allowed:
            left = [value for value in allowed[name] if _inside(value, bounds.get(name, ()))]
            if not left:
                return
            texts = sorted(str(coded[name][value]) if name in coded else number_text(value) for value in left)
            chunks = [texts[at : at + MEMBERS_PER_TEST] for at in range(0, len(texts), MEMBERS_PER_TEST)]
            many.append((("value", name), chunks))
        elif name in coded:
            tests["value", name] = _ANY_CODE
        else:
            tests["value", name] = tuple(sorted((op, number_text(end)) for op, end in bounds[name])) or _ANY_NUMBER
    if not tests and not many:
        tests[ALWAYS] = _PRESENT
    yield from _spread(tests, many, joins)


def _spread(tests, many, joins):
    """One conjunction for each choice of chunks; all but very long lists have one chunk."""
    if not many:
        yield dict(tests), sorted(joins)
        return
    (key, chunks), *rest = many
    for chunk in chunks:
        test = ("is", chunk[0]) if len(chunk) == 1 else ("in", tuple(chunk))
        yield from _spread({**tests, key: (test,)}, rest, joins)


def _inside(value, bounds):
    return all(_HOLDS[op](value, limit) for op, limit in bounds)


def parts(tests: Tests, joins: list[Join], new_key: Callable[[], Key]) -> list[tuple[Key | None, Tests, list[Join]]]:
    """Cut a conjunction too wide for one engine rule into several.

    Gives (key, tests, joins) with the conjunction itself last under key None; the others stand for a key made
    by ``new_key()`` which the last one tests.
    """
    pieces = []
    while len(tests) > PATTERNS_PER_RULE or len(joins) > JOINS_PER_RULE:
        taken = joins[: JOINS_PER_RULE // 2]
        keys = list(dict.fromkeys(key for here, _, other in taken for key in (here, other)))
        free = [key for key in tests if key not in keys and not any(key in (join, other) for join, _, other in joins)]
        keys += free[: PATTERNS_PER_RULE - len(keys)]
        joins = joins[len(taken) :]
        key = new_key()
        pieces.append((key, {key: tests[key] for key in keys}, taken))
        compared = {side for pair in joins for side in (pair[0], pair[2])}
        tests = {read: test for read, test in tests.items() if read not in keys or read in compared}
        tests[key] = _PRESENT
    return [*pieces, (None, tests, joins)]
