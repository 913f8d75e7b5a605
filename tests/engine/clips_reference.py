"""The rule model on CLIPS (through clipspy): an outside engine whose answers ours must equal.

Written from the rule model alone. It uses other means than our engines where it can: absence is CLIPS's own
``(not (fact))``, lists are several facts of one template, values that disagree stand side by side and are
found afterwards, and copying is a rule that fires on the rule that copies. Calculations are the same
functions: what is compared is logic.
"""

import itertools

import clips
from clips import facts as clips_facts
from clips._clips import lib

from advisor.engine.calculating import compile_calculation
from advisor.engine.derivation import Firing
from advisor.knowledge.model import FactRef


def _release(self):
    # clipspy 1.0.6 passes one argument too many and swallows the error, so that no fact is ever freed.
    try:  # noqa: SIM105  at the end of a program contextlib may be gone before the last fact
        lib.ReleaseFact(self._fact)
    except (AttributeError, TypeError):
        pass


clips_facts.Fact.__del__ = _release

_SIGNS = {"above": ">", "at_least": ">=", "below": "<", "at_most": "<="}


def literal(value):
    """A value as CLIPS text; texts are quoted, flags are the symbols TRUE and FALSE."""
    if value is True or value is False:
        return "TRUE" if value else "FALSE"
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    text = repr(value)
    return text.replace("e", ".0e") if "e" in text and "." not in text else text


class ClipsReference:
    """One stage's rules in a CLIPS environment; `derive` gives (facts, set of firings), or None for a conflict."""

    def __init__(self, knowledge, stage, kit_facts=()):
        self.facts = {**knowledge.facts, **{fact.name: fact for fact in kit_facts}}
        self.rules = [rule for rule in knowledge.rules if rule.stage == stage]
        self.calculations = (
            []
            if stage == "setup"
            else [item for item in map(compile_calculation, knowledge.calculations) if item.calculation.stage == "case"]
        )
        self.numbers = {name: number for number, name in enumerate(self.facts)}
        self.environment = clips.Environment()
        self.results, self.fired = {}, []
        self.environment.define_function(self._calculate, "calculate")
        self.environment.define_function(self._note, "note")
        build = self.environment.build
        for number in self.numbers.values():
            build(f"(deftemplate f{number} (slot v))")
            build(f"(deftemplate has{number} (slot v))")
            build(f"(deftemplate said{number} (slot v))")
        build("(deftemplate copying (slot rule))")
        for place, rule in enumerate(self.rules):
            self._build_rule(place, rule)
        for place, calculation in enumerate(self.calculations):
            wanted = " ".join(f"(f{self.numbers[name]} (v ?v{self.numbers[name]}))" for name in calculation.reads)
            build(f"(defrule calculation{place} {wanted} => (calculate {place}))")
        self._templates = {number: self.environment.find_template(f"f{number}") for number in self.numbers.values()}
        self._members = {number: self.environment.find_template(f"has{number}") for number in self.numbers.values()}
        self._said = {number: self.environment.find_template(f"said{number}") for number in self.numbers.values()}

    def _note(self, place, branch):
        self.fired.append((place, branch))

    def _calculate(self, place):
        calculation = self.calculations[place]
        # One value each; where values disagree the case is a conflict anyway.
        inputs = {
            name: _back(next(iter(self._templates[self.numbers[name]].facts()))["v"]) for name in calculation.reads
        }
        value, _reason = self.results[place] = calculation(inputs)
        if value is not None:
            self._templates[self.numbers[calculation.gives]].assert_fact(v=value)

    def _values(self):
        found = {}
        for name, number in self.numbers.items():
            values = [_back(fact["v"]) for fact in self._templates[number].facts()]
            if values:
                found[name] = values
        return found

    # --- rules

    def _build_rule(self, place, rule):
        copies = [part for part in rule.conclude if isinstance(part.value, FactRef)]
        actions = []
        for part in rule.conclude:
            number = self.numbers[part.fact]
            if self.facts[part.fact].kind == "list":
                actions.append(f"(assert (f{number} (v TRUE)))")
                if isinstance(part.value, FactRef):
                    source = self.numbers[part.value.name]
                    self.environment.build(
                        f"(defrule copy{place}-{number} (copying (rule {place})) (has{source} (v ?m))"
                        f" => (assert (has{number} (v ?m))))"
                    )
                else:
                    members = part.value if isinstance(part.value, tuple) else (part.value,)
                    actions += [f"(assert (has{number} (v {literal(member)})))" for member in members]
            elif isinstance(part.value, FactRef):
                actions.append(f"(assert (f{number} (v ?v{self.numbers[part.value.name]})))")
            else:
                actions.append(f"(assert (f{number} (v {literal(part.value)})))")
        for branch, extra in enumerate(rule.any) if rule.any else ((-1, ()),):
            left = self._left((*rule.all, *extra), [part.value.name for part in copies])
            self.environment.build(
                f"(defrule rule{place}-{branch + 1} {left} => (note {place} {branch})"
                f" (assert (copying (rule {place}))) {' '.join(actions)})"
            )

    def _left(self, conditions, copied):
        constraints, patterns, tests = {}, [], []
        for name in copied:
            constraints.setdefault(name, [])
        for condition in conditions:
            number, test, limit = self.numbers[condition.fact], condition.test, condition.limit
            if test == "absent":
                patterns.append(f"(not (f{number}))")
                continue
            if test == "answered":
                patterns.append(f"(said{number})")
                continue
            if test == "not_answered":
                patterns.append(f"(not (said{number}))")
                continue
            mine = constraints.setdefault(condition.fact, [])
            numeric = self.facts[condition.fact].kind == "number"
            if test == "has":
                patterns.append(f"(has{number} (v {literal(limit)}))")
            elif test in ("is", "in"):
                values = limit if test == "in" else (limit,)
                equal = "=" if numeric else "eq"
                either = " ".join(f"({equal} ?v{number} {literal(value)})" for value in values)
                mine.append(f"(or {either} FALSE)")
            elif test in ("is_not", "not_in"):
                values = limit if test == "not_in" else (limit,)
                mine += [f"(neq ?v{number} {literal(value)})" for value in values]
            elif test in ("between", *_SIGNS):
                pairs = zip((">=", "<="), limit) if test == "between" else ((_SIGNS[test], limit),)
                for sign, one in pairs:
                    if isinstance(one, FactRef):
                        constraints.setdefault(one.name, [])
                        tests.append(f"(test ({sign} ?v{number} ?v{self.numbers[one.name]}))")
                    else:
                        mine.append(f"({sign} ?v{number} {literal(one)})")
        for name, parts in constraints.items():
            number = self.numbers[name]
            patterns.append(f"(f{number} (v ?v{number}{''.join('&:' + part for part in parts)}))")
        return " ".join((*patterns, *tests))

    # --- one case

    def derive(self, facts, answered=frozenset()):
        """(facts, set of Firing), or None where values or rules disagree."""
        self.environment.reset()
        self.results, self.fired = {}, []
        for name, value in facts.items():
            if value == ():
                continue
            number = self.numbers[name]
            if name in answered:
                self._said[number].assert_fact(v=True)
            self._templates[number].assert_fact(v=True if isinstance(value, tuple) else value)
            for member in value if isinstance(value, tuple) else ():
                self._members[number].assert_fact(v=member)
        self.environment.run()
        return self._outcome(facts)

    def _outcome(self, given):
        held = {}
        for place, branch in self.fired:
            held.setdefault(place, set()).add(branch)
        concluders = dict.fromkeys(given, 1)
        for place in held:
            for part in self.rules[place].conclude:
                concluders[part.fact] = concluders.get(part.fact, 0) + 1
        for place, (value, _) in self.results.items():
            if value is not None:
                gives = self.calculations[place].gives
                concluders[gives] = concluders.get(gives, 0) + 1
        found = {}
        for name, values in self._values().items():
            if self.facts[name].kind == "list":
                found[name] = tuple(sorted(_back(fact["v"]) for fact in self._members[self.numbers[name]].facts()))
            elif len(values) > 1 or (concluders[name] > 1 and self.facts[name].agreement == "one_rule"):
                return None
            else:
                found[name] = values[0]
        firings = {self._firing(self.rules[place], branches, found) for place, branches in held.items()}
        firings |= {
            Firing(
                "calculation",
                self.calculations[place].id,
                (),
                tuple((name, found[name]) for name in self.calculations[place].reads),
                () if value is None else ((self.calculations[place].gives, value),),
                reason,
            )
            for place, (value, reason) in self.results.items()
        }
        return found, firings

    def _firing(self, rule, branches, found):
        branches = sorted(branches - {-1})
        reads = set()
        for condition in itertools.chain(rule.all, *(rule.any[branch] for branch in branches)):
            if condition.test in ("absent", "not_answered"):
                continue
            reads.add(condition.fact)
            limits = condition.limit if isinstance(condition.limit, tuple) else (condition.limit,)
            reads.update(limit.name for limit in limits if isinstance(limit, FactRef))
        concluded = []
        for part in rule.conclude:
            value = part.value
            if isinstance(value, FactRef):
                reads.add(value.name)
                value = found[value.name]
            elif self.facts[part.fact].kind == "list":
                value = tuple(sorted(set(value if isinstance(value, tuple) else (value,))))
            concluded.append((part.fact, value))
        return Firing(
            "rule",
            rule.id,
            tuple(branches),
            tuple((name, found[name]) for name in sorted(reads)),
            tuple(sorted(concluded)),
        )


def _back(value):
    """A slot's value as the model has it."""
    if isinstance(value, clips.Symbol):
        return value == "TRUE"
    return value
