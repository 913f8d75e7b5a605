"""What hangs together by nothing but the doors is asked apart, with the same answers as of the whole."""

import dataclasses
import itertools

import pytest

from advisor.proving.callers import Caller
from advisor.proving.clauses import Clauses
from advisor.proving.problem import Problem
from advisor.proving.questions import dead, subsumed

from ..benchmarks.proofs import multiplied
from ..rules.shop import knowledge


def asked_of(problem):
    """What the questions on rules, overlaps and facts ask, one tuple of literals each."""
    regions = problem.regions
    usual = (problem.doors.decided, problem.doors.as_declared)
    yield from ((*usual, fires) for fires in regions.fires.values())
    yield from ((overlap.both,) for overlap in regions.overlaps)
    yield from ((*problem.usual, -regions.has(name)) for name in regions.producers)
    yield from ((*problem.usual, -fires) for fires in regions.fires.values())
    fired = list(regions.fires.values())
    yield from ((first, -second) for first, second in zip(fired, fired[len(fired) // 2 :]))


def answers(known, in_parts, every):
    problem = Problem(known)
    problem.solver.in_parts = in_parts
    return [problem.may(*literals) for literals in itertools.islice(asked_of(problem), 0, None, every)]


def test_todays_rules_are_asked_as_a_whole_and_give_the_same_in_parts():
    assert not Problem(knowledge()).solver.in_parts
    whole = answers(knowledge(), False, 3)
    assert True in whole and False in whole
    assert whole == answers(knowledge(), True, 3)


def test_rules_twice_over_give_the_same_in_parts_as_in_whole():
    twice = multiplied(2)
    assert Problem(twice).solver.in_parts
    whole = answers(twice, False, 17)
    assert True in whole and False in whole
    assert whole == answers(twice, True, 17)


def test_a_fault_in_one_copy_is_found_there_alone():
    twice = multiplied(2)
    impossible = next(rule for rule in twice.rules if rule.id == "pulsation-petrol_x1")
    (cylinders,) = [each for each in impossible.all if each.fact.startswith("cylinders")]
    never = dataclasses.replace(cylinders, test="at_least", limit=99.0)
    broken = dataclasses.replace(impossible, all=(*impossible.all, never))
    rules = tuple(broken if rule is impossible else rule for rule in twice.rules)
    problem = Problem(dataclasses.replace(twice, rules=rules))
    assert [finding.names for finding in dead(problem)] == [("pulsation-petrol_x1",)]
    # A row that never fires says nothing that another does not.
    assert {finding.names[0] for finding in subsumed(problem)} == {"pulsation-petrol_x1"}


def two_parts():
    """Two statements that hang together by a door alone: the first needs it open, the second needs it shut."""
    clauses = Clauses()
    door, first, second, third = map(clauses.variable, ("door", "first", "second", "third"))
    clauses.add(-first, door)
    clauses.add(-second, -door)
    clauses.add(-third, first)
    clauses.add(third, -first)
    return clauses, door, first, second


@pytest.mark.parametrize("signs", list(itertools.product((1, -1), repeat=3)))
def test_parts_that_need_a_door_otherwise_cannot_hold_together(signs):
    clauses, *statements = two_parts()
    solver = clauses.solver([statements[0]])
    assert solver.in_parts
    asked = [sign * statement for sign, statement in zip(signs, statements)]
    solver.may(statements[1])
    door, first, second = (sign > 0 for sign in signs)
    assert solver.may(*asked) == ((door or not first) and not (second and door))
    assert solver.may(*asked[1:]) == (not (first and second))
    if solver.may(*asked[1:]):
        assert set(asked[1:]) <= solver.model()


def test_a_way_put_together_of_parts_gives_a_caller_the_engines_take():
    problem = Problem(multiplied(2))
    caller, sure = problem.shown([problem.regions.fires["above-red-line_x1"]], lambda caller, came: True)
    assert isinstance(caller, Caller) and sure == "shown" and caller.answers == {}
