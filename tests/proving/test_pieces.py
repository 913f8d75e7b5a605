"""Clauses cut by what is given and asked in pieces say what every way through them says, tried one by one."""

import itertools
import random

from advisor.proving.clauses import Clauses
from advisor.proving.pieces import Given, pieces_of

STATEMENTS = 9


def made_at_random(pick):
    """(`Clauses` over a few statements, their numbers, what is given)."""
    made = Clauses()
    statements = [made.variable("statement", number) for number in range(STATEMENTS)]

    def some(count):
        return [pick.choice((1, -1)) * statement for statement in pick.sample(statements, count)]

    for _ in range(pick.randint(3, 12)):
        made.add(*some(pick.randint(1, 3) if pick.random() < 0.2 else pick.randint(2, 3)))
    for _ in range(3):
        stands_for = made.all_of(some(2))
        if pick.random() < 0.6:
            made.add(stands_for, *some(1))
    return made, statements, some(2)


def ways(clauses, count, given):
    """Every way through the clauses, as a set of literals, tried one by one."""
    for signs in itertools.product((1, -1), repeat=count):
        way = {sign * number for number, sign in enumerate(signs, 1)}
        if way.issuperset(given) and all(way.intersection(clause) for clause in clauses):
            yield way


def sure_in_pieces(made, wanted, literals):
    """Literals of ``wanted`` that hold in every way, None where there is none."""
    given = Given(made.clauses, made.definitions)
    held = given.follows(literals)
    if held is None:
        return None, 0
    pieces = pieces_of(given.left(held, wanted))
    sure = {each for statement in wanted for each in (statement, -statement) if each in held}
    for piece in pieces:
        way = piece.way()
        if not way:
            return None, len(pieces)
        found = piece.settle(way.intersection({*wanted, *(-each for each in wanted)}))
        assert not found.undecided
        sure |= found.sure
    return sure, len(pieces)


def test_what_is_sure_is_what_holds_in_every_way():
    pick, several, nobody, sure_once = random.Random(5), 0, 0, 0
    for _ in range(100):
        made, statements, literals = made_at_random(pick)
        all_ways = list(ways(made.clauses, len(made.numbers), literals))
        expected = None
        if all_ways:
            everywhere = set.intersection(*all_ways)
            expected = {each for each in everywhere if abs(each) in statements}
        sure, pieces = sure_in_pieces(made, statements, literals)
        assert sure == expected
        several, nobody = several + (pieces > 1), nobody + (expected is None)
        sure_once += len(expected or ()) > 2
    assert several > 5 and nobody > 5 and sure_once > 5


def test_what_only_stands_for_others_joins_nothing():
    made = Clauses()
    first, second, third, fourth = (made.variable(name) for name in ("first", "second", "third", "fourth"))
    made.add(first, second)
    made.add(third, fourth)
    both = made.all_of([first, third])
    given = Given(made.clauses, made.definitions)
    assert len(pieces_of(given.left(given.follows([]), [first, third]))) == 2
    assert len(pieces_of(given.left(given.follows([]), [both]))) == 1


def test_a_piece_tells_what_it_was_not_given_the_steps_for():
    """More things than places: no way, and no short proof of it."""
    made, places = Clauses(), 6
    inside = [[made.variable("in", thing, place) for place in range(places)] for thing in range(places + 1)]
    free = made.variable("free")
    for row in inside:
        made.add(free, *row)
    for column in zip(*inside):
        for one, other in itertools.combinations(column, 2):
            made.add(-one, -other)
    given = Given(made.clauses, made.definitions)

    def found(most):
        (piece,) = pieces_of(given.left(given.follows([]), [free]), most)
        return piece.settle([free])

    assert (found(3).sure, found(3).undecided) == (set(), {free})
    assert (found(100_000).sure, found(100_000).undecided) == ({free}, set())
