"""The translations of the rule language held against both engines, one case at a time."""

from advisor.engine.compare import TwoEngines
from advisor.errors import ConflictError
from advisor.knowledge.model import FactRef
from advisor.knowledge.rules import limits
from advisor.proving.regions import Regions


def outcome(engines, facts, answered):
    """The Derivation both engines agree on, or None where they report a conflict."""
    try:
        return engines.derive(facts, answered).derivation
    except ConflictError:
        return None


class HeldRegions:
    """One rule base as regions: what the engines derive is possible, and where it can be said nothing else is."""

    def __init__(self, base, calculations):
        self.base = base
        self.regions = Regions(base.facts, base.rules, calculations, given=True)
        self.given = [name for name in base.facts if base.facts[name].source != "derived"]
        self.derived = [name for name in base.facts if base.facts[name].source == "derived"]
        # Numbers are regions and calculations free: only without them is what is derived the one thing possible.
        self.exact = not calculations and not any(
            isinstance(limit, FactRef)
            for rule in base.rules
            for condition in rule.conditions
            for limit in limits(condition.limit)
        )
        self.solver = self.regions.solver()

    def _sure(self, overlap):
        """Is it a conflict wherever both conclude? A copy may have the same value, which regions do not tell."""
        copies = [each.value for each in self.regions.producers[overlap.fact] if isinstance(each.value, FactRef)]
        return self.base.facts[overlap.fact].agreement == "one_rule" or not copies

    def differences(self, facts, answered, derivation):
        """Sentences; [] if nothing. ``derivation`` None: the engines report a conflict."""
        regions, may = self.regions, self.solver.may
        said = regions.pinned(facts, answered, self.given)
        for name in self.derived:
            said.append(regions.variable("given", name) if name in facts else -regions.variable("given", name))
            if name in facts and self.base.facts[name].kind == "list":
                members = [regions.variable("given member", name, choice) for choice in self.base.facts[name].choices]
                said += [
                    member if choice in facts[name] else -member
                    for member, choice in zip(members, self.base.facts[name].choices)
                ]
        if derivation is None:
            possible = any(may(*said, overlap.both) for overlap in regions.overlaps)
            return [] if possible else ["regions: a conflict that cannot be"]
        given = {firing.id: bool(firing.concluded) for firing in derivation.firings if firing.kind == "calculation"}
        said += [event if given.get(name) else -event for name, event in regions.gives.items()]
        fired = derivation.fired()
        claims = [fires if name in fired else -fires for name, fires in regions.fires.items()]
        for name in self.derived:
            claims.append(regions.has(name) if name in derivation.facts else -regions.has(name))
            if name in derivation.facts:
                claims += regions.placed(name, derivation.facts[name])
        if not may(*said, *claims):
            return ["regions: what happened is proved impossible"]
        if self.exact and not any(name in facts for name in self.derived):
            claims += [-overlap.both for overlap in regions.overlaps if self._sure(overlap)]
            return [f"regions: something else is possible ({claim})" for claim in claims if may(*said, -claim)][:3]
        return []


class HeldExact:
    """One rule base in z3, results of calculations pinned: what the engines derive, and nothing else, is possible."""

    def __init__(self, base, calculations):
        from advisor.proving.exact import Exact

        self.base = base
        self.exact = Exact(base.facts, base.rules, calculations, calculated=False, given=True)
        self.z3 = self.exact.z3
        self.solver = self.z3.Solver()
        self.solver.set("timeout", 60_000)
        self.solver.add(self.exact.axioms)

    def differences(self, facts, answered, derivation):
        """Sentences; [] if nothing. ``derivation`` None: the engines report a conflict."""
        exact, z3, solver = self.exact, self.z3, self.solver
        pins = [
            condition
            for name, fact in self.base.facts.items()
            for condition in (self._given if fact.source == "derived" else self._put_in)(name, facts, answered)
        ]
        clash = z3.Or(exact.clashes)
        solver.push()
        solver.add(pins)
        try:
            if derivation is None:
                sure = exact.gives or solver.check(z3.Not(clash)) == z3.unsat
                return [] if solver.check(clash) == z3.sat and sure else ["exact: a conflict that need not be"]
            values = {
                firing.id: dict(firing.concluded)
                for firing in derivation.firings
                if firing.kind == "calculation" and firing.concluded
            }
            for name, gives in exact.gives.items():
                result = next(iter(values.get(name, {}).values()), None)
                solver.add(z3.Not(gives) if result is None else gives)
                if result is not None:
                    solver.add(exact.results[name] == exact.number(result))
            fired, expected = derivation.fired(), [z3.Not(clash)]
            expected += [fires if name in fired else z3.Not(fires) for name, fires in exact.fires.items()]
            for name, fact in self.base.facts.items():
                if fact.source == "derived":
                    there = name in derivation.facts
                    expected.append(exact.has[name] if there else z3.Not(exact.has[name]))
                    expected += [exact.same(name, derivation.facts[name])] if there else []
            if solver.check() != z3.sat:
                return ["exact: what happened is proved impossible"]
            return [] if solver.check(z3.Not(z3.And(expected))) == z3.unsat else ["exact: something else is possible"]
        finally:
            solver.pop()

    def _put_in(self, name, facts, answered):
        exact, z3 = self.exact, self.z3
        if name not in facts:
            return [z3.Not(exact.has[name])]
        said = exact.answered[name] if name in answered else z3.Not(exact.answered[name])
        return [exact.has[name], exact.same(name, facts[name]), said]

    def _given(self, name, facts, answered):
        exact, z3 = self.exact, self.z3
        given, said = z3.Bool(f"given {name}"), exact.answered[name]
        if name not in facts:
            return [z3.Not(given), z3.Not(said)]
        pins = [given, said if name in answered else z3.Not(said)]
        fact = self.base.facts[name]
        if fact.kind == "list":
            bits = [z3.Bool(f"given {name} {place}") for place in range(len(fact.choices))]
            return pins + [bit if choice in facts[name] else z3.Not(bit) for bit, choice in zip(bits, fact.choices)]
        term = exact.given_term(name)
        value = facts[name]
        if fact.kind == "number":
            return [*pins, term == exact.number(value)]
        return [*pins, term == (z3.BoolVal(value) if fact.kind == "flag" else exact.code(value))]


def held(knowledge, stage, readings=(HeldRegions,)):
    """(RuleBase, TwoEngines, one of each reading) of a stage."""
    engines = TwoEngines(knowledge, stage)
    calculations = [each.calculation for each in engines.base.calculations]
    return engines.base, engines, [reading(engines.base, calculations) for reading in readings]


def differences(knowledge, stage, cases, readings=(HeldRegions,)):
    """(differences in words, conflicts among the cases) of all readings."""
    base, engines, held_readings = held(knowledge, stage, readings)
    wrong, conflicts = [], 0
    for number, (facts, answered) in enumerate(cases):
        derivation = outcome(engines, facts, answered)
        conflicts += derivation is None
        facts, answered = base.held(facts, answered)
        for reading in held_readings:
            wrong += [f"case {number}: {text}" for text in reading.differences(facts, answered, derivation)]
    return wrong, conflicts
