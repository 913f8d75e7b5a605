"""Statements that are true or false, tied together by clauses, and a solver that looks for a way to meet them all.

A statement is a whole number, its negation the number's negative. The solver (python-sat) is loaded when it is first
needed, never before.
"""

import itertools
from collections import defaultdict, deque
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from ..errors import EngineError
from ..knowledge.interrupts import uninterrupted

#: Ways that a solver found and that are kept.
KEPT = 48
#: A clause over doors and more others than this joins no parts, but is held against what they come to.
MOST_JOINED = 8


class Clauses:
    """Statements by key, and what ties them; `solver` closes the list."""

    def __init__(self) -> None:
        self.numbers: dict[Any, int] = {}
        self.clauses: list[list[int]] = []
        self._gates: dict[tuple[int, ...], int] = {}
        #: What stands for others together -> the places of its clauses.
        self.definitions: dict[int, range] = {}
        self._closed = False
        self.true = self.variable("true")
        self.add(self.true)

    def variable(self, *key: Any) -> int:
        """The statement of that key; a new one where there was none."""
        number = self.numbers.get(key)
        if number is None:
            if self._closed:
                # It would be tied to nothing, so everything asked of it would seem possible.
                raise EngineError(f"the statement {key} was first named after the solver was made.")
            number = self.numbers[key] = len(self.numbers) + 1
        return number

    def add(self, *literals: int) -> None:
        """At least one of them holds."""
        if self._closed:
            raise EngineError("a clause after the solver was made would not be in it.")
        self.clauses.append(list(literals))

    def all_of(self, literals: Iterable[int]) -> int:
        """A statement that holds where all of them do."""
        parts = tuple(sorted(set(literals) - {self.true}))
        if not parts:
            return self.true
        if len(parts) == 1:
            return parts[0]
        gate = self._gates.get(parts)
        if gate is None:
            gate = self._gates[parts] = self.variable("all of", parts)
            first = len(self.clauses)
            for part in parts:
                self.add(-gate, part)
            self.add(gate, *[-part for part in parts])
            self.definitions[gate] = range(first, len(self.clauses))
        return gate

    def one_of(self, literals: Iterable[int]) -> int:
        """A statement that holds where at least one of them does."""
        return -self.all_of([-literal for literal in literals])

    def same(self, first: int, second: int) -> None:
        """Both hold, or neither."""
        self.add(-first, second)
        self.add(first, -second)

    def exactly_one(self, literals: Sequence[int]) -> None:
        """One of them holds and no other."""
        self.add(*literals)
        for first, second in itertools.combinations(literals, 2):
            self.add(-first, -second)

    def close(self) -> None:
        """From here on no statement is new and no clause is added."""
        self._closed = True

    def solver(self, doors: Sequence[int] = ()) -> "Solver":
        """A `Solver` over all of this; nothing may be added afterwards.

        ``doors``: statements about everything at once. What hangs together by nothing else is asked apart.
        """
        self.close()
        return Solver(self.clauses, len(self.numbers), [self.true, *doors] if doors else ())


def a_solver(clauses: Iterable[Sequence[int]]) -> Any:
    """A solver of python-sat over some clauses.

    Raises
    ------
    EngineError
        python-sat is not installed.
    """
    try:
        from pysat.solvers import Cadical153
    except ImportError:
        raise EngineError(
            "the library that proves things about rules is not installed.", remedy="Run: pip install python-sat"
        ) from None
    return Cadical153(bootstrap_with=clauses)


class Ways:
    """A solver over some clauses, and the ways it found: what holds in one of them needs no solving."""

    def __init__(self, clauses: Iterable[Sequence[int]]) -> None:
        self.solver = a_solver(clauses)
        #: A sign a statement: 1 where it holds.
        self.ways: deque[bytes] = deque(maxlen=KEPT)

    def way(self, literals: Sequence[int]) -> bytes | None:
        """A way in which all of them hold, or None: then there is none."""
        for way in self.ways:
            if all(abs(each) < len(way) and (way[abs(each)] == 1) == (each > 0) for each in literals):
                return way
        with uninterrupted():  # the solver would jump out of the middle of its own work
            can = self.solver.solve(assumptions=list(literals))
        if not can:
            return None
        way = bytes([0, *(each > 0 for each in self.solver.get_model())])
        self.ways.appendleft(way)
        return way


class Joined:
    """Statements that hang together, directly or through others; of each such lot one stands for all."""

    def __init__(self) -> None:
        self._above: dict[int, int] = {}

    def top(self, statement: int) -> int:
        """The one that stands for all that hang together with a statement."""
        above = self._above
        above.setdefault(statement, statement)
        while above[statement] != statement:
            above[statement] = above[above[statement]]
            statement = above[statement]
        return statement

    def join(self, first: int, second: int) -> None:
        """They hang together from now on."""
        self._above[self.top(first)] = self.top(second)


class Apart:
    """What hangs together by the doors alone, each part with a solver of its own: fast however many.

    No in a part is a proof, for it leaves clauses out. Yes is sure where the other parts have a way through the same
    doors, and no clause over several parts is broken then; else the whole has to be asked.
    """

    def __init__(self, clauses: Sequence[Sequence[int]], statements: int, doors: Iterable[int], whole: Ways) -> None:
        self.doors = sorted(set(doors))
        self._whole, self._statements = whole, statements
        self._joined = Joined()
        outside = set(self.doors)
        joining, self._over_several = [], []
        for clause in clauses if outside else ():
            others = [abs(each) for each in clause if abs(each) not in outside]
            if len(others) < len(clause) and len(others) > MOST_JOINED:
                self._over_several.append(clause)
                continue
            joining.append((clause, others))
            for other in others[1:]:
                self._joined.join(others[0], other)
        sizes: dict[int, int] = defaultdict(int)
        for statement in range(1, statements + 1):
            sizes[self._joined.top(statement)] += 1
        self.worth_it = bool(self.doors) and max(sizes.values(), default=0) * 2 <= statements
        self._clauses: dict[int, list[Sequence[int]]] = defaultdict(list)
        for clause, others in joining:
            self._clauses[self._joined.top(others[0]) if others else 0].append(clause)
        self._parts: dict[int, tuple[dict[int, int], Ways]] = {}
        self._rests: dict[tuple[int, ...], bytes | None] = {}
        self._usual: tuple[int, ...] = ()

    def ask(self, literals: Sequence[int]) -> "tuple[bool | None, Callable[[], bytes] | None]":
        """(can all of them hold, what gives the way); (None, None) where only the whole can tell."""
        outside = set(self.doors)
        if any(abs(each) > self._statements for each in literals):
            return None, None
        tops = {self._joined.top(abs(each)): None for each in literals if abs(each) not in outside}
        parts = [self._part(top) for top in tops]
        asked = [[each for each in literals if abs(each) in numbers] for numbers, _ in parts]
        usual = [each for each in self._usual if -each not in literals]
        ways = [_way(part, [*own, *usual]) for part, own in zip(parts, asked)] if usual or len(parts) == 1 else []
        if not all(ways) or not ways:
            ways = [_way(part, own) for part, own in zip(parts, asked)]
            if not all(ways):
                return False, None
            if len(parts) != 1:
                return None, None  # each can, but perhaps not through the same doors
        numbers, first = parts[0][0], ways[0]
        through = tuple(door if _holds(first, numbers[door]) else -door for door in self.doors)
        if through not in self._rests:
            self._rests[through] = self._whole.way(through)
        rest = self._rests[through]
        if rest is None or not all(self._kept(clause, rest, parts, ways) for clause in self._over_several):
            return None, None
        self._usual = through
        return True, lambda: _put_together(rest, parts, ways)

    def _kept(self, clause, rest, parts, ways):
        """Does a clause over several parts hold of the ways put together?"""
        for each in clause:
            held = _holds(rest, abs(each))
            for (numbers, _), way in zip(parts, ways):
                if abs(each) in numbers:
                    held = _holds(way, numbers[abs(each)])
            if held == (each > 0):
                return True
        return False

    def _part(self, top):
        """(statement -> its number in the part, the part's solver)."""
        if top not in self._parts:
            clauses = [*self._clauses[0], *self._clauses[top]]
            numbers = {door: number for number, door in enumerate(self.doors, 1)}
            for clause in clauses:
                for each in clause:
                    numbers.setdefault(abs(each), len(numbers) + 1)
            numbers.setdefault(top, len(numbers) + 1)
            renamed = [[_renamed(each, numbers) for each in clause] for clause in clauses]
            self._parts[top] = numbers, Ways(renamed)
        return self._parts[top]


def _renamed(literal, numbers):
    return numbers[literal] if literal > 0 else -numbers[-literal]


def _holds(way, statement):
    return statement < len(way) and way[statement] == 1


def _way(part, literals):
    numbers, ways = part
    return ways.way([_renamed(each, numbers) for each in literals])


def _put_together(rest, parts, ways):
    whole = bytearray(rest)
    for (numbers, _), way in zip(parts, ways):
        for statement, number in numbers.items():
            if statement < len(whole):
                whole[statement] = _holds(way, number)
    return bytes(whole)


class Solver:
    """Asks whether statements can hold together; ``asked`` counts the questions."""

    def __init__(self, clauses: Sequence[Sequence[int]], statements: int, doors: Iterable[int] = ()) -> None:
        self._whole = Ways(clauses)
        self._apart = Apart(clauses, statements, doors, self._whole)
        self.in_parts = self._apart.worth_it
        self.asked = 0
        self._statements = self._last = statements
        self._way: Callable[[], bytes] = bytes

    def may(self, *literals: int) -> bool:
        """Can all of them hold? No is a proof."""
        self.asked += 1
        can, put_together = self._apart.ask(literals) if self.in_parts else (None, None)
        if can is not None:
            self._way = put_together or self._way
            return can
        way = self._whole.way(literals)
        if way is None:
            return False
        self._way = lambda: way
        return True

    def model(self) -> set[int]:
        """What holds in the way just found: a literal of every statement."""
        return {number if held else -number for number, held in enumerate(self._way()) if number}

    def fresh(self) -> int:
        """A new statement, for what holds during one question only."""
        self._last += 1
        return self._last

    def also(self, *literals: int) -> None:
        """From now on at least one of them holds too, for good.

        For one question only: begin with the negation of a `fresh` statement, and ask under that.
        """
        if all(abs(each) <= self._statements for each in literals):
            self.in_parts = False  # the parts do not know of it
        self._whole.ways.clear()
        self._whole.solver.add_clause(list(literals))
