"""What is left of many clauses once some statements are given, in pieces that hang together by nothing.

A caller's answers settle most of what joins one rule to another, so a question about one of them needs its own piece
alone, and pieces are asked one after the other: the time taken grows with the rules, not with their square.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from ..knowledge.interrupts import uninterrupted
from .clauses import Joined, a_solver

#: Conflicts a solver may run into over one question before it is left undecided; a count, so the same everywhere.
MOST_CONFLICTS = 20_000


class Given:
    """Clauses made ready to be cut by what is given; ``definitions``: what stands for others together -> its clauses.

    A statement that only stands for others, and that nothing else speaks of, says nothing: its clauses are left out.
    """

    def __init__(self, clauses: Sequence[Sequence[int]], definitions: Mapping[int, Sequence[int]]) -> None:
        self.clauses, self.definitions = clauses, definitions
        self._with: dict[int, list[int]] = defaultdict(list)
        for place, clause in enumerate(clauses):
            for literal in clause:
                self._with[literal].append(place)
        self._alone = [clause[0] for clause in clauses if len(clause) == 1]

    def follows(self, literals: Iterable[int]) -> set[int] | None:
        """All that follows at once, clause by clause, the literals among them; None where they cannot all hold."""
        held: set[int] = set()
        waiting = [*self._alone, *literals]
        while waiting:
            literal = waiting.pop()
            if literal in held:
                continue
            if -literal in held:
                return None
            held.add(literal)
            for place in self._with.get(-literal, ()):
                left = None
                for each in self.clauses[place]:
                    if each in held:
                        break
                    if -each not in held:
                        if left is not None:
                            break
                        left = each
                else:
                    if left is None:
                        return None
                    waiting.append(left)
        return held

    def left(self, held: set[int], wanted: Iterable[int]) -> list[list[int]]:
        """The clauses that still say something, without what is given; ``wanted``: what will be asked about."""
        clauses = {
            place: [each for each in clause if -each not in held]
            for place, clause in enumerate(self.clauses)
            if held.isdisjoint(clause)
        }
        used = dict.fromkeys((abs(each) for each in wanted), 1)
        for clause in clauses.values():
            for each in clause:
                used[abs(each)] = used.get(abs(each), 0) + 1
        # Those defined last may stand on those before, never the other way about.
        for statement, places in sorted(self.definitions.items(), reverse=True):
            own = [place for place in places if place in clauses]
            if own and used.get(statement, 0) == len(own):
                for place in own:
                    for each in clauses.pop(place):
                        used[abs(each)] -= 1
        return list(clauses.values())


@dataclass(slots=True)
class Found:
    """Of the literals that were asked about: ``sure`` hold in every way, ``undecided`` were left by the limit."""

    sure: set[int] = field(default_factory=set)
    undecided: set[int] = field(default_factory=set)


class PieceOfClauses:
    """Clauses that hang together, under a solver of their own."""

    def __init__(self, clauses: Iterable[Sequence[int]], most_conflicts: int) -> None:
        clauses = list(clauses)
        self.statements = tuple({abs(each): None for clause in clauses for each in clause})
        self.numbers = {statement: number for number, statement in enumerate(self.statements, 1)}
        renamed = [[self._number(each) for each in clause] for clause in clauses]
        self._last = len(self.numbers)
        self.solver, self._most = a_solver(renamed), most_conflicts
        self.asked = 0

    def _number(self, literal):
        return self.numbers[literal] if literal > 0 else -self.numbers[-literal]

    def hold(self, literal: int) -> None:
        """It holds from now on."""
        self.solver.add_clause([self._number(literal)])

    def way(self, *literals: int) -> set[int] | None:
        """A way in which all of them hold, as the literals that do; empty where there is none, None: undecided."""
        return self.way_through([self._number(literal) for literal in literals])

    def way_through(self, numbers: Sequence[int]) -> set[int] | None:
        """The same of literals by the numbers that the solver has for them."""
        self.asked += 1
        self.solver.conf_budget(self._most)
        with uninterrupted():
            can = self.solver.solve_limited(assumptions=numbers)
        if not can:
            return None if can is None else set()
        model = self.solver.get_model()
        return {name if each > 0 else -name for name, each in zip(self.statements, model)}

    def settle(self, literals: Iterable[int]) -> Found:
        """Which of these, all of them met in one way, are met in every way there is."""
        proved, waiting = Found(), set(literals)
        while waiting:
            # One question for all of them: is there a way that lacks any?
            self._last += 1
            asked = self._last
            order = sorted(waiting, key=abs)
            self.solver.add_clause([-asked, *[-self._number(each) for each in order]])
            self.solver.set_phases([-self._number(each) for each in order])
            other = self.way_through([asked])
            self.solver.add_clause([-asked])
            if other is None:
                return self._one_by_one(order, proved)
            if not other:
                for each in order:
                    self.hold(each)
                proved.sure |= waiting
                return proved
            waiting &= other
        return proved

    def _one_by_one(self, literals, proved):
        for each in literals:
            other = self.way(-each)
            if other is None:
                proved.undecided.add(each)
            elif not other:
                self.hold(each)
                proved.sure.add(each)
        return proved


def pieces_of(clauses: Sequence[Sequence[int]], most_conflicts: int = MOST_CONFLICTS) -> list[PieceOfClauses]:
    """The clauses in pieces that share no statement."""
    joined = Joined()
    for clause in clauses:
        for each in clause[1:]:
            joined.join(abs(each), abs(clause[0]))
    apart: dict[int, list[Sequence[int]]] = defaultdict(list)
    for clause in clauses:
        apart[joined.top(abs(clause[0]))].append(clause)
    return [PieceOfClauses(together, most_conflicts) for together in apart.values()]
