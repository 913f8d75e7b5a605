"""Whether conditions can hold together: exact over finite choices and over differences of numbers.

A number is bounded by literals and by comparison with other numbers, so a set of conditions is a system of
differences x - y <= c; it has no solution exactly where its graph has a negative cycle (R. E. Bellman, 1958;
T. H. Cormen et al., Introduction to Algorithms, section on difference constraints, from memory).
"""

import itertools
import math
from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction
from typing import Any

from .model import WITHOUT_VALUE, Condition, Fact, FactRef, Rule
from .sentences import joined

#: (from, to, c, strict): value(from) - value(to) <= c, or < c.
Edge = tuple[str, str, Fraction, bool]
_ORIGIN = ""  # the node that stands for zero


def domain(fact: Fact, concluded: Mapping[str, Collection[Any]]) -> set[Any] | tuple[float, float] | None:
    """All values a fact can have: a set, an interval (low, high), or None where nothing is known.

    ``concluded``: fact name -> set of literals rules conclude, for derived facts nothing else gives.
    """
    if fact.name in concluded:
        return set(concluded[fact.name])
    if fact.kind == "flag":
        return {True, False}
    if fact.choices:
        return set(fact.choices)
    if fact.kind == "number":
        return (-math.inf if fact.low is None else fact.low, math.inf if fact.high is None else fact.high)
    return None


def contradiction(
    conditions: Sequence[Condition], facts: Mapping[str, Fact], concluded: Mapping[str, Collection[Any]]
) -> str:
    """Why the conditions cannot all hold, or ``""``."""
    by_fact: dict[str, list[Condition]] = {}
    for condition in conditions:
        by_fact.setdefault(condition.fact, []).append(condition)
    edges: list[Edge] = []
    for name, own in by_fact.items():
        tests = {condition.test for condition in own}
        if "absent" in tests and tests - {*WITHOUT_VALUE}:
            return f"{name} cannot be not known and have a value"
        if "answered" in tests and "not_answered" in tests:
            return f"{name} cannot be both answered and not answered"
        if tests <= {*WITHOUT_VALUE}:
            continue
        why = _narrow(facts[name], own, domain(facts[name], concluded), edges)
        if why:
            return why
    for condition in conditions:
        for other in (limit.name for limit in _limits(condition) if isinstance(limit, FactRef)):
            if any(condition.test == "absent" for condition in by_fact.get(other, ())):
                return f"{other} cannot be not known and be compared with"
            if other not in by_fact:
                why = _narrow(facts[other], (), domain(facts[other], concluded), edges)
                if why:
                    return why
    return _differences(edges)


def _limits(condition):
    return condition.limit if isinstance(condition.limit, tuple) else (condition.limit,)


def _narrow(fact, own, values, edges):
    """Take the literals of a fact's own conditions into its domain; numbers also become edges."""
    if isinstance(values, set):
        values = {value for value in values if all(_holds(condition, value) for condition in own)}
        if not values:
            return f"no value of {fact.name} is left" if own else f"{fact.name} never gets a value"
    elif fact.kind == "text":
        wanted = [set(_limits(condition)) for condition in own if condition.test in ("is", "in")]
        if wanted and not set.intersection(*wanted):
            return f"no value of {fact.name} is left"
    if fact.kind != "number":
        return ""
    low, high = (min(values), max(values)) if isinstance(values, set) else values
    _edge(edges, fact.name, ">=", low)
    _edge(edges, fact.name, "<=", high)
    for condition in own:
        limit = condition.limit
        if condition.test == "between":
            _edge(edges, fact.name, ">=", limit[0])
            _edge(edges, fact.name, "<=", limit[1])
        elif condition.test in ("is", "in"):
            _edge(edges, fact.name, ">=", min(_limits(condition)))
            _edge(edges, fact.name, "<=", max(_limits(condition)))
        elif condition.test in _SIGNS:
            _edge(edges, fact.name, _SIGNS[condition.test], limit)
    return ""


_SIGNS = {"above": ">", "at_least": ">=", "below": "<", "at_most": "<="}


def _edge(edges, name, sign, limit):
    """name - limit <= c, as (from, to, c, strict) with value(from) - value(to) <= c."""
    other, number = (limit.name, Fraction(0)) if isinstance(limit, FactRef) else (_ORIGIN, limit)
    if other == _ORIGIN and not math.isfinite(number):
        return
    number = Fraction(number)
    if sign[0] == "<":
        edges.append((name, other, number, sign == "<"))
    else:
        edges.append((other, name, -number, sign == ">"))


def _holds(condition, value):
    """Does a literal condition hold for a value? True for what literals do not settle."""
    test, limit = condition.test, condition.limit
    if test == "has":
        return True
    if test in ("is", "in"):
        return value in _limits(condition)
    if test in ("is_not", "not_in"):
        return value not in _limits(condition)
    if test == "between":
        return (isinstance(limit[0], FactRef) or limit[0] <= value) and (
            isinstance(limit[1], FactRef) or value <= limit[1]
        )
    if test not in _SIGNS or isinstance(limit, FactRef):
        return True
    return {"above": value > limit, "at_least": value >= limit, "below": value < limit, "at_most": value <= limit}[test]


def _differences(edges):
    """Shortest paths between all numbers (Floyd and Warshall); a negative or strict zero cycle is a contradiction."""
    names = sorted({name for edge in edges for name in edge[:2]})
    best: dict[tuple[str, str], tuple[Any, bool]] = {}
    for start, end, weight, strict in edges:
        # (weight, may be equal): the smaller tuple is the tighter bound, because False comes before True.
        best[start, end] = min(best.get((start, end), (weight, True)), (weight, not strict))
    for middle, start, end in itertools.product(names, names, names):
        if (start, middle) in best and (middle, end) in best:
            shorter, two = best[start, middle], best[middle, end]
            path = (shorter[0] + two[0], shorter[1] and two[1])
            if (start, end) not in best or path < best[start, end]:
                best[start, end] = path
    for name in names:
        if best.get((name, name), (0, True)) < (0, True):
            involved = [
                variable
                for variable in names
                if variable != _ORIGIN and (name, variable) in best and (variable, name) in best
            ] or [name]
            return f"no number suits the conditions on {joined(involved)}"
    return ""


def together(condition: Rule, other: Rule, facts: Mapping[str, Fact], concluded: Mapping[str, Collection[Any]]) -> bool:
    """Can two rules hold for one case? Each branch of any against each of the other."""
    for first in condition.any or ((),):
        for second in other.any or ((),):
            if not contradiction(condition.all + other.all + first + second, facts, concluded):
                return True
    return False
