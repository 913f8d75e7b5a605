"""What may be put in, for z3: `admissible` said over numbers. And a caller, to and from what a solver found."""

from typing import Any

from ..knowledge.model import Knowledge
from ..knowledge.platform_fields import INSIDE
from .admissible import CONSISTENCY, declining, range_of
from .callers import Caller
from .exact import Exact


class ExactAdmission:
    """What may be put in, as `admissible.Admission` says it for statements; adds to the axioms of ``exact``."""

    def __init__(self, exact: Exact, knowledge: Knowledge, stage: str = "case") -> None:
        self.exact, self.knowledge, self.z3, self.stage = exact, knowledge, exact.z3, stage
        z3 = self.z3
        self.on_file, self.factory = z3.Bool(f"on file{exact.mark}"), z3.Bool(f"clutch on file{exact.mark}")
        self.recorded: dict[str, Any] = {}
        self._estimated = {estimate.field for estimate in knowledge.estimates}
        declined = [exact.fires[rule.id] for rule in declining(exact.rules)]
        self.declined = z3.Or(declined) if declined else z3.BoolVal(False)
        needs: list[Any] = []
        axioms = exact.axioms
        axioms.append(z3.Implies(self.factory, self.on_file))
        for name, fact in exact.facts.items():
            if fact.source == "derived":
                axioms.append(z3.Not(exact.answered[name]))
                needs += [exact.has[name]] if fact.needs_one_of and stage != CONSISTENCY else []
                continue
            axioms += self._domain(name, fact)
            if fact.source in ("asked", "platform", "factory_kit"):
                axioms += self._given(name, fact, needs)
        #: Enough is known for a decision.
        self.decided = z3.Or(self.declined, z3.And(needs))
        self._tie()

    def _domain(self, name, fact):
        z3, exact, term = self.z3, self.exact, self.exact.values[name]
        if fact.kind == "number":
            if fact.choices:
                return [z3.Or([term == exact.number(choice) for choice in fact.choices])]
            low, high = range_of(fact)
            bounds = [term >= exact.number(low)] if low is not None else []
            bounds += [term <= exact.number(high)] if high is not None else []
            if low is None and fact.source in ("platform", "factory_kit"):
                bounds.append(term > 0)
            return bounds
        if fact.kind in ("flag", "list"):
            return []
        return [z3.Or([term == exact.code(choice) for choice in fact.choices])] if fact.choices else [term >= 0]

    def _given(self, name, fact, needs):
        z3, exact = self.z3, self.exact
        has, answered, unknown = exact.has[name], exact.answered[name], fact.if_unknown
        asked = fact.source == "asked"
        recorded = self.recorded[name] = self._recorded(fact)
        sources = [answered, recorded] if asked else [recorded]
        axioms = [z3.Implies(source, has) for source in sources]
        axioms.append(z3.Implies(recorded, self.factory if fact.source == "factory_kit" else self.on_file))
        if not asked:
            axioms += [z3.Not(answered), z3.Implies(has, self.on_file)]
            field = self.knowledge.kit_fields.get(fact.field)
            if fact.source == "factory_kit" and field is not None and field.required:
                axioms.append(z3.Implies(self.factory, recorded))
            if fact.source == "factory_kit" and fact.field in self._estimated:
                estimated = z3.Bool(f"estimated {name}{exact.mark}")
                axioms.append(z3.Implies(estimated, self.factory))
                sources.append(estimated)
        if unknown is None or unknown.do in ("leave", "stop") or self.stage == CONSISTENCY:
            # Stage consistency is told nothing that was only assumed.
            axioms.append(z3.Implies(has, z3.Or(sources)))
            if unknown is not None and unknown.do == "stop":
                needs.append(has if asked else z3.Implies(self.on_file, has))
            return axioms
        axioms.append(has if asked else z3.Implies(self.on_file, has))
        axioms.append(z3.Or([*([] if asked else [z3.Not(has)]), *sources, exact.same(name, unknown.value)]))
        return axioms

    def _recorded(self, fact):
        if fact.source == "factory_kit":
            return self.z3.Bool(f"recorded of the clutch {fact.field}")
        return self.z3.Bool(f"recorded {fact.platform}") if fact.platform else self.z3.BoolVal(False)

    def _tie(self):
        z3, exact = self.z3, self.exact
        held = {fact.platform: name for name, fact in exact.facts.items() if fact.source == "platform"}
        for name, fact in exact.facts.items():
            other = held.get(fact.platform) if fact.source == "asked" else None
            if other is not None and exact.facts[other].kind == fact.kind:
                tied = exact.values[name] == exact.values[other]
                exact.axioms.append(z3.Implies(z3.And(self.recorded[name], z3.Not(exact.answered[name])), tied))
        for inner, outer in INSIDE:
            if inner in held and outer in held:
                both = z3.And(self.recorded[held[inner]], self.recorded[held[outer]])
                exact.axioms.append(z3.Implies(both, exact.values[held[inner]] < exact.values[held[outer]]))

    def pinned(self, caller: Caller) -> list:
        """A caller's record as conditions: nothing else stands on file. His answers are left open."""
        z3, exact = self.z3, self.exact
        conditions = [self.on_file if caller.record is not None else z3.Not(self.on_file)]
        conditions.append(self.factory if caller.clutch is not None else z3.Not(self.factory))
        for name, fact in exact.facts.items():
            if fact.source not in ("asked", "platform", "factory_kit"):
                continue
            of_clutch = fact.source == "factory_kit"
            held = (caller.clutch if of_clutch else caller.record) or {}
            value = held.get(fact.field if of_clutch else fact.platform)
            if value is None:
                conditions.append(z3.Not(self.recorded[name]))
                continue
            conditions.append(self.recorded[name])
            same = exact.same(name, value)
            conditions.append(same if fact.source != "asked" else z3.Or(exact.answered[name], same))
        return conditions

    def caller(self, model: Any) -> Caller:
        """The `Caller` of a model."""
        exact = self.exact
        answers: dict[str, Any] = {}
        record: dict[str, Any] | None = {} if exact.true_in(model, self.on_file) else None
        clutch: dict[str, Any] | None = {} if exact.true_in(model, self.factory) else None
        for name, fact in exact.facts.items():
            value = exact.read(model, name) if fact.source in ("asked", "platform", "factory_kit") else None
            if value is None:
                continue
            if fact.source == "asked" and exact.true_in(model, exact.answered[name]):
                answers[name] = value
            if not exact.true_in(model, self.recorded[name]):
                continue
            if fact.source == "factory_kit":
                if clutch is not None:
                    clutch[fact.field] = value
            elif record is not None and (fact.source == "platform" or name not in answers):
                record[fact.platform] = value
            elif record is not None:
                record.setdefault(fact.platform, value)
        return Caller(answers, record, clutch if record is not None else None)
