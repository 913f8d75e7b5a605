"""Whether conditions can hold together, against trying every value on a grid."""

import itertools
import random

import pytest

from advisor.knowledge import possible
from advisor.knowledge.circles import cycles
from advisor.knowledge.model import Condition, Fact, FactRef

FACTS = {
    "a": Fact("a", "number", "a", "asked", unit="1", low=0.0, high=3.0),
    "b": Fact("b", "number", "b", "asked", unit="1", low=0.0, high=3.0),
    "c": Fact("c", "number", "c", "asked", unit="1", low=0.0, high=3.0),
    "use": Fact("use", "choice", "use", "asked", choices=("x", "y", "z")),
    "flag": Fact("flag", "flag", "flag", "asked"),
    "free": Fact("free", "number", "free", "derived", unit="1"),
}
#: Bounds are whole numbers, so strict chains of three numbers between two of them fit on quarters.
GRID = [step / 4 for step in range(13)]
ORDERED = {
    "above": lambda x, y: x > y,
    "at_least": lambda x, y: x >= y,
    "below": lambda x, y: x < y,
    "at_most": lambda x, y: x <= y,
}


def holds(condition, values):
    """A condition tried on values, written apart from the module under test."""
    limit, value = condition.limit, values[condition.fact]
    if condition.test in ORDERED:
        return ORDERED[condition.test](value, values[limit.name] if isinstance(limit, FactRef) else limit)
    if condition.test == "between":
        return limit[0] <= value <= limit[1]
    if condition.test in ("is", "in"):
        return value in (limit if condition.test == "in" else (limit,))
    return value not in (limit if condition.test == "not_in" else (limit,))


def random_condition(chance):
    kind = chance.choice(["number", "number", "compare", "compare", "choice", "flag"])
    if kind == "choice":
        test = chance.choice(["is", "in", "is_not", "not_in"])
        return Condition(
            "use",
            test,
            chance.choice("xyz") if test in ("is", "is_not") else tuple(chance.sample("xyz", chance.randint(1, 2))),
        )
    if kind == "flag":
        return Condition("flag", chance.choice(["is", "is_not"]), chance.random() < 0.5)
    name = chance.choice("abc")
    if kind == "compare":
        return Condition(
            name, chance.choice(list(ORDERED)), FactRef(chance.choice([other for other in "abc" if other != name]))
        )
    test = chance.choice([*ORDERED, "between", "is"])
    if test == "between":
        return Condition(name, test, (float(chance.randint(0, 3)), float(chance.randint(0, 3))))
    return Condition(name, test, float(chance.randint(-1, 4)))


def test_against_trying_every_value():
    chance = random.Random(7)
    outcomes = {True: 0, False: 0}
    for _ in range(300):
        conditions = tuple(random_condition(chance) for _ in range(chance.randint(1, 5)))
        used = {condition.fact for condition in conditions} | {
            c.limit.name for c in conditions if isinstance(c.limit, FactRef)
        }
        domains = {"use": "xyz", "flag": (True, False)}
        names = sorted(used)
        found = any(
            all(holds(condition, dict(zip(names, values))) for condition in conditions)
            for values in itertools.product(*(domains.get(name, GRID) for name in names))
        )
        assert (possible.contradiction(conditions, FACTS, {}) == "") == found, conditions
        outcomes[found] += 1
    assert min(outcomes.values()) > 50


@pytest.mark.parametrize(
    "conditions, words",
    [
        ((Condition("a", "absent"), Condition("a", "known")), "not known"),
        ((Condition("a", "absent"), Condition("b", "above", FactRef("a"))), "not known"),
        (
            (Condition("free", "above", 3.0), Condition("free", "at_most", 3.0)),
            "no number suits the conditions on free",
        ),
        ((Condition("free", "above", 5.0), Condition("a", "above", FactRef("free"))), "a and free"),
        ((Condition("use", "is", "x"), Condition("use", "is_not", "x")), "no value of use"),
    ],
)
def test_reasons(conditions, words):
    assert words in possible.contradiction(conditions, FACTS, {})


def test_what_can_hold():
    for conditions in (
        (),
        (Condition("a", "absent"),),
        (Condition("free", "at_least", 3.0), Condition("free", "at_most", 3.0)),
        (Condition("a", "answered"), Condition("a", "above", 2.9)),
    ):
        assert possible.contradiction(conditions, FACTS, {}) == ""


def test_facts_have_only_concluded_values():
    assert possible.contradiction((Condition("use", "is", "x"),), FACTS, {"use": {"y"}})
    assert possible.contradiction((Condition("use", "is", "y"),), FACTS, {"use": {"y"}}) == ""
    assert possible.contradiction((Condition("free", "above", 2.0),), FACTS, {"free": {1.0, 2.0}})


def test_circles_against_powers_of_the_adjacency_matrix():
    """A node lies on a circle exactly where some power of the matrix has it on its diagonal."""
    import numpy

    chance = random.Random(3)
    for _ in range(200):
        size = chance.randint(1, 7)
        matrix = numpy.array([[chance.random() < 0.2 for _ in range(size)] for _ in range(size)], dtype=int)
        links = {row: [column for column in range(size) if matrix[row, column]] for row in range(size)}
        reach, on_circle, shortest = numpy.eye(size, dtype=int), set(), None
        for length in range(1, size + 1):
            reach = numpy.minimum(reach @ matrix, 1)
            here = {node for node in range(size) if reach[node, node]}
            shortest = shortest or (length if here else None)
            on_circle |= here
        found = cycles(links)
        assert bool(found) == bool(on_circle)
        for circle in found:
            assert set(circle) <= on_circle and len(set(circle)) == len(circle) >= shortest
            assert all(end in links[start] for start, end in zip(circle, circle[1:] + circle[:1]))
