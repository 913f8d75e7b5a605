"""Outside engines doing the same rules with the same record, each by the fastest way we found to drive it.

Both give a Derivation equal to ours; the benchmark checks that before it times anything. Calculations are left
out everywhere, so rule bases here have none.
"""

import json

from advisor.engine.derivation import Firing, derivation
from advisor.engine.rulebase import constant, copied_by, members, read_by, read_by_all, rule_base
from advisor.knowledge.model import FactRef

from ..engine.clips_reference import ClipsReference


class Recorder:
    """From fired rules and facts to the record; what any user of an outside engine would have to write."""

    def __init__(self, base):
        self.base = base
        self.order = sorted(range(len(base.rules)), key=lambda place: base.rank["rule", base.rules[place].id])
        self.constants = [constant(base, rule) for rule in base.rules]
        self.reads = [
            (
                tuple(sorted({*read_by_all(rule.all), *copied_by(rule)})),
                tuple(read_by_all(branch) for branch in rule.any),
            )
            for rule in base.rules
        ]
        self.lists = {name for name, fact in base.facts.items() if fact.kind == "list"}

    def derivation(self, given, held):
        """``held``: place of a rule -> set of branches (-1 where it has none). Copied lists are not carried on."""
        facts, firings = dict(given), []
        for place in self.order:
            if place not in held:
                continue
            rule, fixed = self.base.rules[place], self.constants[place]
            concluded = (
                fixed
                if fixed is not None
                else tuple(
                    sorted(
                        (part.fact, facts[part.value.name] if isinstance(part.value, FactRef) else part.value)
                        for part in rule.conclude
                    )
                )
            )
            for name, value in concluded:
                facts[name] = tuple(sorted({*facts.get(name, ()), *members(value)})) if name in self.lists else value
            always, by_branch = self.reads[place]
            branches = tuple(sorted(held[place])) if by_branch else ()
            if branches:
                always = sorted({*always, *(name for branch in branches for name in by_branch[branch])})
            firings.append((rule.id, branches, always, concluded))
        return derivation(
            facts,
            [
                Firing("rule", name, branches, tuple([(one, facts[one]) for one in reads]), concluded)
                for name, branches, reads, concluded in firings
            ],
        )


class Clips:
    """CLIPS through clipspy, patched; facts asserted by template, only those some rule reads."""

    name = "clips"

    def __init__(self, knowledge, stage):
        self.reference = ClipsReference(knowledge, stage)
        self.recorder = Recorder(rule_base(knowledge, stage))
        rules = self.reference.rules
        read = {name for rule in rules for one in rule.conditions for name in read_by(one)}
        read.update(name for rule in rules for name in copied_by(rule))
        answering = ("answered", "not_answered")
        self.asked = {one.fact for rule in rules for one in rule.conditions if one.test in answering}
        self.read = {name: self.reference.numbers[name] for name in read}

    def derive(self, facts, answered=frozenset()):
        reference = self.reference
        self.recorder.base.refuse_bad_facts(facts)
        reference.environment.reset()
        reference.fired = []
        for name, number in self.read.items():
            if name in facts:
                value = facts[name]
                reference._templates[number].assert_fact(v=True if value.__class__ is tuple else value)
                for member in value if value.__class__ is tuple else ():
                    reference._members[number].assert_fact(v=member)
        for name in self.asked:
            if name in answered and name in facts:
                reference._said[reference.numbers[name]].assert_fact(v=True)
        reference.environment.run()
        held = {}
        for place, branch in reference.fired:
            held.setdefault(place, set()).add(branch)
        return self.recorder.derivation(facts, held)


class Zen:
    """zen-engine: one expression node, rules in an order of dependency fixed beforehand."""

    name = "zen-engine"

    def __init__(self, knowledge, stage):
        import zen

        base = rule_base(knowledge, stage)
        self.recorder = Recorder(base)
        self.numbers = {name: number for number, name in enumerate(base.facts)}
        self.complete = base.complete
        expressions, values = [], {}
        read = {name for rule in base.rules for one in rule.conditions for name in read_by(one)}
        read.update(name for rule in base.rules for name in copied_by(rule))
        self.read = sorted(read)
        producers = {}
        for place in self.recorder.order:
            for part in base.rules[place].conclude:
                producers.setdefault(part.fact, []).append((place, part))
        done = set()

        def reference(name):
            """The fact's text in an expression; a derived fact is put together when it is first read."""
            own = f"i{self.numbers[name]}"
            if name not in producers:
                return own
            if name not in done:
                done.add(name)
                if base.facts[name].kind == "list":
                    pieces = [f"($.r{place} ? {_list(part.value, reference)} : [])" for place, part in producers[name]]
                    text = f"flatten([{', '.join([f'({own} ?? [])', *pieces])}])"
                    known = " or ".join([f"{own} != null", *(f"$.r{place}" for place, _ in producers[name])])
                    text = f"({known}) ? {text} : null"
                else:
                    text = own
                    for place, part in producers[name]:
                        one = reference(part.value.name) if isinstance(part.value, FactRef) else _literal(part.value)
                        text = f"($.r{place} ? {one} : {text})"
                expressions.append((f"d{self.numbers[name]}", text))
            return f"$.d{self.numbers[name]}"

        for place in self.recorder.order:
            rule = base.rules[place]
            parts = [self._text(one, reference) for one in rule.all]
            parts += [f"{reference(name)} != null" for name in copied_by(rule)]
            for branch, conditions in enumerate(rule.any):
                text = " and ".join(self._text(one, reference) for one in conditions)
                expressions.append((f"b{place}_{branch}", text))
            if rule.any:
                parts.append("(" + " or ".join(f"$.b{place}_{branch}" for branch in range(len(rule.any))) + ")")
            expressions.append((f"r{place}", " and ".join(parts) or "true"))
        self.branches = {place: len(rule.any) for place, rule in enumerate(base.rules)}
        values = [{"id": key, "key": key, "value": value} for key, value in expressions]
        nodes = [
            {"id": "in", "type": "inputNode", "name": "in", "position": {"x": 0, "y": 0}},
            {
                "id": "rules",
                "type": "expressionNode",
                "name": "rules",
                "position": {"x": 1, "y": 0},
                "content": {"expressions": values},
            },
            {"id": "out", "type": "outputNode", "name": "out", "position": {"x": 2, "y": 0}},
        ]
        edges = [
            {"id": "1", "sourceId": "in", "targetId": "rules", "type": "edge"},
            {"id": "2", "sourceId": "rules", "targetId": "out", "type": "edge"},
        ]
        self.decision = zen.ZenEngine().create_decision(json.dumps({"nodes": nodes, "edges": edges}))

    def _text(self, condition, reference):
        name, test, limit = condition.fact, condition.test, condition.limit
        if test == "answered":
            return f"w{self.numbers[name]} == true"
        if test == "not_answered":
            return f"(w{self.numbers[name]} == null)"
        fact = reference(name)
        if test == "absent":
            return f"{fact} == null"
        if test == "known":
            return f"{fact} != null"
        if test == "has":
            return f"({fact} != null and {_literal(limit)} in {fact})"
        if test in ("is", "in"):
            values = limit if test == "in" else (limit,)
            return "(" + " or ".join(f"{fact} == {_literal(one)}" for one in values) + ")"
        if test in ("is_not", "not_in"):
            values = limit if test == "not_in" else (limit,)
            return f"({fact} != null and " + " and ".join(f"{fact} != {_literal(one)}" for one in values) + ")"
        signs = {"above": ">", "at_least": ">=", "below": "<", "at_most": "<="}
        pairs = zip((">=", "<="), limit) if test == "between" else ((signs[test], limit),)
        found = [f"{fact} != null"]
        for sign, one in pairs:
            other = reference(one.name) if isinstance(one, FactRef) else _literal(one)
            found += [f"{other} != null"] * isinstance(one, FactRef) + [f"{fact} {sign} {other}"]
        return f"({' and '.join(found)})"

    def derive(self, facts, answered=frozenset()):
        self.recorder.base.refuse_bad_facts(facts)
        context = {f"i{self.numbers[name]}": facts.get(name) for name in self.read}
        context = {key: list(value) if value.__class__ is tuple else value for key, value in context.items()}
        for name in answered:
            if name in facts:
                context[f"w{self.numbers[name]}"] = True
        result = self.decision.evaluate(context)["result"]
        held = {}
        for place, count in self.branches.items():
            if result[f"r{place}"]:
                held[place] = {branch for branch in range(count) if result[f"b{place}_{branch}"]} if count else {-1}
        return self.recorder.derivation(facts, held)


def _literal(value):
    if value is True or value is False:
        return "true" if value else "false"
    return json.dumps(value) if isinstance(value, str) else repr(value)


def _list(value, reference):
    return reference(value.name) if isinstance(value, FactRef) else "[" + ", ".join(map(_literal, members(value))) + "]"
