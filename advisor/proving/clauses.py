"""Statements that are true or false, tied together by clauses, and a solver that looks for a way to meet them all.

A statement is a whole number, its negation the number's negative. The solver (python-sat) is loaded when it is first
needed, never before.
"""

import itertools
from collections import deque
from collections.abc import Iterable, Sequence
from typing import Any

from ..errors import EngineError

#: Ways that a solver found and that are kept.
KEPT = 48


class Clauses:
    """Statements by key, and what ties them; `solver` closes the list."""

    def __init__(self) -> None:
        self.numbers: dict[Any, int] = {}
        self.clauses: list[list[int]] = []
        self._gates: dict[tuple[int, ...], int] = {}
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
            for part in parts:
                self.add(-gate, part)
            self.add(gate, *[-part for part in parts])
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

    def solver(self) -> "Solver":
        """A `Solver` over all of this; nothing may be added afterwards."""
        self.close()
        return Solver(self.clauses, len(self.numbers))


class Solver:
    """Asks whether statements can hold together; ``asked`` counts the questions."""

    def __init__(self, clauses: Sequence[Sequence[int]], statements: int) -> None:
        try:
            from pysat.solvers import Cadical153
        except ImportError:
            raise EngineError(
                "the library that proves things about rules is not installed.", remedy="Run: pip install python-sat"
            ) from None
        self._solver = Cadical153(bootstrap_with=clauses)
        self.asked = 0
        self._last = statements
        #: Ways found before, a sign a statement: what holds in one of them needs no solving.
        self._ways: deque[bytes] = deque(maxlen=KEPT)
        self._way = b""

    def may(self, *literals: int) -> bool:
        """Can all of them hold? No is a proof."""
        self.asked += 1
        for way in self._ways:
            if all(abs(each) < len(way) and (way[abs(each)] == 1) == (each > 0) for each in literals):
                self._way = way
                return True
        if not self._solver.solve(assumptions=list(literals)):
            return False
        self._way = bytes([0, *(each > 0 for each in self._solver.get_model())])
        self._ways.appendleft(self._way)
        return True

    def model(self) -> set[int]:
        """What holds in the way just found: a literal of every statement."""
        return {number if held else -number for number, held in enumerate(self._way) if number}

    def core(self) -> list[int]:
        """Those of the literals just asked for that cannot hold together; not always the fewest."""
        return list(self._solver.get_core() or ())

    def fresh(self) -> int:
        """A new statement, for what holds during one question only."""
        self._last += 1
        return self._last

    def also(self, *literals: int) -> None:
        """From now on at least one of them holds too, for good.

        For one question only: begin with the negation of a `fresh` statement, and ask under that.
        """
        self._ways.clear()
        self._solver.add_clause(list(literals))
