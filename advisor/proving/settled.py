"""What stands whatever else is answered: proved, not drawn from a number of callers.

Everything a caller has not said yet may be answered in any permitted way, or never; the car stays as it is on file. A
rule is settled where it fires for all of them or for none, a fact where it has one value (or none) for all of them.
Calculations whose inputs are settled are done as the engines do them, so what is settled goes on from there.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from ..deciding.answers import Known
from ..engine.calculating import CompiledCalculation, compile_calculation
from ..knowledge.model import FactRef, Knowledge, Rule
from ..knowledge.rules import limits
from .admissible import Admission, alike, facts_of
from .pieces import MOST_CONFLICTS, Found, Given, PieceOfClauses, pieces_of
from .regions import Regions


@dataclass(frozen=True, slots=True)
class Settled:
    """``fires`` and ``silent``: ids of rules that do, or do not, for whoever says the rest; ``open``: the others.

    ``values``: settled facts, derived and given -> value, None where settled that they have none; ``answered``: names
    of those of which it is settled whether somebody answers them. ``undecided``: those of ``open`` that may stand too,
    but no proof was found within its limit. ``asked``: questions put to the solver.
    """

    fires: frozenset[str]
    silent: frozenset[str]
    open: frozenset[str]
    values: Mapping[str, Any]
    answered: frozenset[str]
    undecided: frozenset[str]
    asked: int

    def has(self, name: str) -> bool:
        """Is the value of a fact settled?"""
        return name in self.values


class Settler:
    """Proofs on stage case of one Knowledge; made once, asked after every answer.

    ``most_conflicts``: conflicts that one question to a solver may take; what is left so is called undecided.
    """

    def __init__(self, knowledge: Knowledge, most_conflicts: int = MOST_CONFLICTS) -> None:
        self.knowledge, self.most_conflicts = knowledge, most_conflicts
        self.rules = [rule for rule in knowledge.rules if rule.stage == "case"]
        calculations = [each for each in knowledge.calculations if each.stage == "case"]
        self.regions = Regions(facts_of(knowledge, "case"), self.rules, calculations, alike=alike(knowledge))
        self.admission = Admission(self.regions, knowledge)
        self.regions.close()
        self.given = Given(self.regions.clauses, self.regions.definitions)
        self.calculations = {each.gives: compile_calculation(each) for each in calculations}
        self.derived = [name for name, fact in self.regions.facts.items() if fact.source == "derived"]

    def settled(self, known: Known) -> Settled:
        """`Settled` once these facts are known; ``known.open`` may still be answered."""
        return _Run(self, known).settled()


class _Run:
    """One case: what is given and what has been settled, piece by piece."""

    def __init__(self, settler: Settler, known: Known) -> None:
        self.settler, self.regions, self.known = settler, settler.regions, known
        self.values: dict[str, Any] = {}
        self.state: dict[Any, bool] = {}
        self.refused: set[str] = set()
        self.undecided: set[Any] = set()
        self.literals = {("fires", rule): fires for rule, fires in self.regions.fires.items()}
        self.literals |= {("has", name): self.regions.has(name) for name in settler.derived}
        follows = settler.given.follows(self._pinned())
        self.nobody, self.held = follows is None, follows or set()
        left = [] if follows is None else settler.given.left(follows, self.literals.values())
        self.pieces = pieces_of(left, settler.most_conflicts)
        self.piece_of = {statement: piece for piece in self.pieces for statement in piece.statements}
        self.asked_in: dict[PieceOfClauses, list[Any]] = defaultdict(list)
        for key, literal in self.literals.items():
            if literal in self.held or -literal in self.held:
                self.state[key] = literal in self.held
            elif abs(literal) in self.piece_of:
                self.asked_in[self.piece_of[abs(literal)]].append(key)
        #: Pieces of which something new holds since they were last asked.
        self.changed = dict.fromkeys(self.pieces)

    def _hold(self, literals: Iterable[int]) -> None:
        for literal in literals:
            if abs(literal) in self.piece_of:
                piece = self.piece_of[abs(literal)]
                piece.hold(literal)
                self.changed[piece] = None
            elif -literal in self.held:
                self.nobody = True
            else:
                self.held.add(literal)

    def _pinned(self) -> list[int]:
        """What was said and what is on file; nothing is said of what is open."""
        doors, regions, known = self.settler.admission.doors, self.regions, self.known
        on_file = bool(known.factory_kit) or "platform" in known.origins.values()
        literals = [doors.as_declared, doors.on_file if on_file else -doors.on_file]
        literals.append(doors.factory if known.factory_kit else -doors.factory)
        # These only ever leave callers out, so whoever there is, is there without them too.
        literals += [-doors.decided, -doors.computed]
        still_open = set(known.open)
        for name, fact in regions.facts.items():
            if fact.source not in ("asked", "platform", "factory_kit"):
                continue
            if name in still_open:
                literals.append(-self.settler.admission.recorded(fact))
                continue
            there = name in known.facts
            literals.append(regions.has(name) if there else -regions.has(name))
            literals.append(regions.answered(name) if name in known.answered else -regions.answered(name))
            self.values[name] = known.facts.get(name)
            if there:
                literals += regions.placed(name, known.facts[name])
        return literals

    def settled(self) -> Settled:
        while self._ask() and self._go_on():
            pass
        fires = {rule for (what, rule), holds in self.state.items() if what == "fires" and holds}
        silent = {rule for (what, rule), holds in self.state.items() if what == "fires" and not holds}
        answered = frozenset(name for name in self.values if self.regions.facts[name].source != "derived")
        return Settled(
            frozenset(fires),
            frozenset(silent),
            frozenset(self.regions.fires) - fires - silent,
            self.values,
            answered,
            frozenset(rule for what, rule in self.undecided if what == "fires"),
            sum(piece.asked for piece in self.pieces),
        )

    def _ask(self):
        """Settle every statement that can hold, or fail to hold, in one way only; False where no caller is left."""
        ways = {} if self.nobody else {piece: piece.way() for piece in self.changed}
        if self.nobody or any(way == set() for way in ways.values()):
            self.nobody = True
            return False
        for piece, way in ways.items():
            waiting = {}
            for key in self.asked_in[piece]:
                if key not in self.state:
                    literal = self.literals[key]
                    waiting[literal if way is None or literal in way else -literal] = key
            proved = piece.settle(waiting) if way is not None else Found(undecided=set(waiting))
            for literal, key in waiting.items():
                self.undecided.discard(key)
                if literal in proved.sure:
                    self.state[key] = self.literals[key] == literal
                elif literal in proved.undecided:
                    self.undecided.add(key)
        self.changed = {}
        return True

    def _go_on(self) -> bool:
        """Values that follow from what is settled now; whether there were any."""
        more = False
        for name in self.settler.derived:
            if name in self.values:
                continue
            if self.state.get(("has", name)) is False:
                self.values[name], more = None, True
            elif name in self.settler.calculations:
                more |= self._calculated(name, self.settler.calculations[name])
            elif self.state.get(("has", name)):
                more |= self._concluded(name)
        return more

    def _calculated(self, name: str, calculation: CompiledCalculation) -> bool:
        if calculation.id in self.refused or any(self.values.get(read) is None for read in calculation.reads):
            return False
        value, _ = calculation({read: self.values[read] for read in calculation.reads})
        gives = self.regions.gives[calculation.id]
        if value is None:
            self.refused.add(calculation.id)
            self._hold([-gives])
            return True
        self.values[name] = value
        self._hold([gives, *self.regions.placed(name, value)])
        return True

    def _concluded(self, name: str) -> bool:
        """The value of a fact that one rule surely concludes; of a list only where every rule on it is settled."""
        producers = self.regions.producers[name]
        sure = [each for each in producers if self.state.get(("fires", each.id))]
        if self.regions.facts[name].kind == "list":
            return self._listed(name, producers, sure)
        values = [self.values.get(each.value.name) if isinstance(each.value, FactRef) else each.value for each in sure]
        if not values or values[0] is None:
            return False
        self.values[name] = values[0]
        self._hold(self.regions.placed(name, values[0]))
        return True

    def _listed(self, name, producers, sure):
        if any(("fires", each.id) not in self.state for each in producers):
            return False
        members: set = set()
        for each in sure:
            value = self.values.get(each.value.name) if isinstance(each.value, FactRef) else each.value
            if value is None:
                return False
            members |= set(limits(value))
        self.values[name] = tuple(sorted(members))
        return True


def pick_is_settled(settled: Settled, knowledge: Knowledge) -> bool:
    """Is everything settled by which kits are judged, set up and put in order?

    Then the outcome stays what it is, pick and set-up and all. It may stay so without: then nothing is proved.
    """
    return not open_facts(settled, knowledge) and not settled.open & posting(knowledge.rules)


def posting(rules: Iterable[Rule]) -> frozenset[str]:
    """Ids of the rules of stage case that require something of kits or say something with the decision."""
    return frozenset(rule.id for rule in rules if rule.stage == "case" and (rule.require or rule.cautions))


def open_facts(settled: Settled, knowledge: Knowledge) -> list[str]:
    """Facts that kits are judged or set up by and whose value is not settled, sorted."""
    read: set[str] = set()
    for calculation in knowledge.figure_calculations:
        for _, given in calculation.inputs:
            read |= {each.name for each in (given.first_of or (given,)) if each.source == "fact"}
    for rule in knowledge.rules:
        if rule.stage == "case":
            posted = (limit for requirement in rule.require for limit in limits(requirement.limit))
            if rule.id not in settled.silent:
                read |= {limit.name for limit in posted if isinstance(limit, FactRef)}
        elif rule.stage == "setup":
            read |= {condition.fact for condition in rule.conditions}
            read |= {
                limit.name
                for condition in rule.conditions
                for limit in limits(condition.limit)
                if isinstance(limit, FactRef)
            }
            read |= {each.value.name for each in rule.conclude if isinstance(each.value, FactRef)}
    concluded_later = {each.fact for rule in knowledge.rules if rule.stage == "setup" for each in rule.conclude}
    of_case = {name for name in read - concluded_later if knowledge.facts[name].source not in ("kit", "figure")}
    return sorted(name for name in of_case if not settled.has(name))
