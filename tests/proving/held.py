"""The translations of the rule language held against both engines, one case at a time."""

from advisor.engine.compare import TwoEngines
from advisor.errors import ConflictError
from advisor.knowledge.model import FactRef
from advisor.proving.regions import Regions, conditions, limits_of


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
            for condition in conditions(rule)
            for limit in limits_of(condition.limit)
        )
        self.solver = self.regions.solver()

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
            claims += [-overlap.both for overlap in regions.overlaps]
            return [f"regions: something else is possible ({claim})" for claim in claims if may(*said, -claim)][:3]
        return []


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
