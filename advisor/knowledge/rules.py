"""From rules/case/*.yaml and rules/setup/*.yaml to rules: conditions, requirements, conclusions, cautions, items."""

import dataclasses
import re
from dataclasses import dataclass
from typing import Mapping

from . import canonical, quantities
from .faults import did_you_mean
from .model import (ORDERED_TESTS, PLAIN_TESTS, Basis, Caution, Conclusion, Condition, Fact, FactRef, Figure, Item, KitField, KitRef,
                    Requirement, Rule)
from .vocabulary import Wanted, flag

COMPARES = ("at_least", "at_most", "above", "below", "between", "is", "in", "not_in")
PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
_PARTS = ("conclude", "require", "caution", "add", "do", "fit_by")


@dataclass(frozen=True, slots=True)
class Words:
    """What rules may speak of."""

    facts: Mapping[str, Fact]
    figures: Mapping[str, Figure]
    kit_fields: Mapping[str, KitField]
    concerns: tuple[str, ...] = ()


def read_rules(root, stage, words, faults):
    """The rules of one file; the rows of a table become rules of their own."""
    rules = []
    if root.get("stage") != stage:
        faults.add(f"this file stands among the {stage} rules but says stage {root.get('stage')}.", root["stage"], f"Write stage: {stage}.")
    for node in root["rules"]:
        for row, outer in [(row, node) for row in node["table"]] if "table" in node else [(node, None)]:
            with faults.at(row):
                rules.append(_Reader(row, outer, stage, root.get("topic"), words, faults).rule())
    return rules


def read_basis(node):
    """A Basis; trade lore says so itself where no source is written."""
    kind = node.get("kind")
    source = node.get("source", "common practice, no source" if kind == "common_practice" else "")
    return Basis(kind, source, node.get("caution", ""))


def limits(limit):
    """The single limits inside a limit: a pair's two, a list's members, or the one."""
    return limit if isinstance(limit, tuple) else (limit,)


def reads(rule):
    """Names of the facts a rule reads: conditions, limits, and what its conclusions copy."""
    conditions = rule.all + rule.any
    values = [one for part in conditions + rule.require for one in limits(part.limit)] + [conclusion.value for conclusion in rule.conclude]
    return {condition.fact for condition in conditions} | {value.name for value in values if isinstance(value, FactRef)}


class _Reader:
    """One rule, or one row of a table with the ``outer`` rule whose conditions, because and basis it shares."""

    def __init__(self, node, outer, stage, topic, words, faults):
        self.node, self.outer, self.stage, self.topic, self.words, self.faults = node, outer, stage, topic, words, faults
        self.id = node.get("id")

    def rule(self):
        node = self.node
        both, any_ = self.conditions()
        before = len(self.faults.errors)
        rule = Rule(
            id=self.id, topic=self.topic, stage=self.stage, title=self.shared("title"), all=both, any=any_,
            conclude=tuple(self.each("conclude", self.conclusion)), require=self.requirements(), cautions=self.cautions(),
            items=self.items(), because=self.shared("because"), basis=self.basis(), hash="",
            owner=self.shared("owner"), reviewed=self.shared("reviewed"), position=node.position)
        if not any(part in node for part in _PARTS):
            self.faults.add(f"the rule {self.id} does nothing.", node, f"Give it one of {', '.join(_PARTS)}.")
        self.check_parts(node)
        self.check_placeholders(rule)
        if len(self.faults.errors) > before:
            return rule
        return dataclasses.replace(rule, hash=canonical.sha256(rule))

    def shared(self, key):
        for node in (self.node, self.outer):
            if node is not None and key in node:
                return node.get(key)
        return ""

    def basis(self):
        for node in (self.node, self.outer):
            if node is not None and "basis" in node:
                return read_basis(node["basis"])
        self.faults.add(f"the rule {self.id} has no basis.", self.node, "Write basis: {kind: ..., source: ...}, in the row or in the table.")
        return Basis("judgement")

    def check_parts(self, node):
        if not self.shared("because"):
            self.faults.add(f"the rule {self.id} has no because.", node, "Say why in plain words, in the row or in the table.")
        wrong = ("require",) if self.stage == "setup" else ("add", "do", "fit_by")
        for part in wrong:
            if part in node:
                self.faults.add(f"{part} is not allowed in stage {self.stage}.", node[part].key,
                                "Requirements are posted in stage case; parts and steps in stage setup.")

    def check_placeholders(self, rule):
        """Texts may name only what the rule reads, concludes or uses as a limit: nothing else is in its record."""
        named = reads(rule) | {conclusion.fact for conclusion in rule.conclude}
        texts = [node["because"] for node in (self.node, self.outer) if node is not None and "because" in node][:1]
        for part in ("caution", "add", "do", "fit_by"):
            texts += [node["text"] for node in self.node.many(part) if "text" in node]
        for node in texts:
            for name in PLACEHOLDER.findall(node.value):
                if name not in named:
                    self.faults.add(f"the text names {{{name}}}, which the rule {self.id} does not read.", node,
                                    did_you_mean(name, sorted(named)) or "Name a fact of its conditions, limits or conclusions.")

    def each(self, key, read):
        for part in self.node.many(key):
            with self.faults.at(part):
                yield read(part)

    # -- conditions

    def conditions(self):
        both, any_ = [], []
        for node in (self.outer, self.node):
            if node is None or "when" not in node:
                continue
            for entry in node["when"].many("all"):
                if "any" not in entry:
                    with self.faults.at(entry):
                        both.append(self.condition(entry))
                    continue
                if any_:
                    self.faults.add(f"the rule {self.id} has a second any.", entry, "Keep one any, or split the rule.")
                for branch in entry["any"]:
                    with self.faults.at(branch):
                        any_.append(self.condition(branch))
        return tuple(both), tuple(any_)

    def condition(self, node):
        tests = [name for name in node.value if name != "fact"]
        if len(tests) != 1:
            self.faults.refuse(f"a condition makes one comparison, this one {len(tests)}.", node,
                               "Write one, such as {fact: name, above: 3 mm}; several conditions stand below each other.")
        (test,) = tests
        known = PLAIN_TESTS + ORDERED_TESTS
        if test not in known:
            self.faults.refuse(f"the comparison {test} is not known.", node[test].key, did_you_mean(test, known) or f"Known are {', '.join(known)}.")
        fact = self.fact(node["fact"])
        return Condition(fact.name, test, self.limit(fact, test, node[test]), node.position)

    def fact(self, node):
        """The fact a node names, of this stage."""
        name, facts = node.value, self.words.facts
        if not isinstance(name, str) or name not in facts:
            self.faults.refuse(f"the fact {name!r} is not in the vocabulary.", node, did_you_mean(name, facts), name)
        if self.stage == "case" and facts[name].source in ("kit", "figure"):
            self.faults.refuse(f"{name} is known of a kit only, and stage case comes before kits.", node,
                               "Post a requirement on it, or move the rule to stage setup.", name)
        return facts[name]

    def limit(self, fact, test, node):
        if test in ("known", "answered", "absent"):
            if node.value not in ("yes", "true"):
                self.faults.refuse(f"{test} takes only yes.", node, f"Write {{fact: {fact.name}, {test}: yes}}.")
            return None
        if test == "has":
            if fact.kind != "list":
                self.faults.refuse(f"has asks whether a list holds a choice, but {fact.name} is a {fact.kind}.", node.key, "Use is or in.")
            with self.faults.placed(node):
                return quantities.read_value(fact, [node.value])[0]
        if fact.kind == "list":
            self.faults.refuse(f"{fact.name} is a list and cannot be compared by {test}.", node.key, "Use has.")
        if test in ORDERED_TESTS:
            self.ordered(fact, test, node)
            return self.pair(fact, node) if test == "between" else self.ordered_limit(fact, node)
        if test in ("is_not", "not_in") and fact.kind not in ("choice", "flag"):
            self.faults.refuse(f"{test} works on choices and flags only; {fact.name} is a {fact.kind}.", node.key, "Use above or below.")
        if test in ("in", "not_in"):
            return tuple(self.literal(fact, member) for member in self.members(node, test))
        return self.literal(fact, node)

    def members(self, node, test):
        if not isinstance(node.value, list) or not node.value:
            self.faults.refuse(f"{test} takes a list.", node, f"Write {test}: [first, second].")
        return node.value

    def ordered(self, measure, test, node):
        if getattr(measure, "kind", "number") != "number":
            self.faults.refuse(f"{test} compares numbers, but {measure.name} is a {measure.kind} and has no order.", node.key, "Use is or in.")

    def pair(self, measure, node):
        if not isinstance(node.value, list) or len(node.value) != 2:
            self.faults.refuse("between takes two values.", node, "Write between: [low, high].")
        return tuple(self.ordered_limit(measure, member) for member in node.value)

    def ordered_limit(self, measure, node):
        if not isinstance(node.value, dict):
            return self.literal(measure, node)
        return self.reference(measure, node)

    def reference(self, measure, node, kit=False):
        """{fact: name}, or for requirements {kit: field}, of the measure's kind and unit."""
        keys = ("fact", "kit") if kit else ("fact",)
        if len(node.value) != 1 or next(iter(node.value)) not in keys:
            self.faults.refuse("a limit is a value or another fact.", node, f"Write a literal, or {' or '.join(f'{{{key}: name}}' for key in keys)}.")
        if "kit" in node:
            other = self.kit_field(node["kit"])
        else:
            other = self.fact(node["fact"])
        if other.name == measure.name and isinstance(other, type(measure)):
            self.faults.refuse(f"{other.name} is compared with itself.", node, "Name another fact.")
        self.check_alike(measure, other, node)
        return KitRef(other.name) if "kit" in node else FactRef(other.name)

    def check_alike(self, one, other, node):
        kinds = [getattr(each, "kind", "number") for each in (one, other)]
        text = ("text", "choice")
        if kinds[0] != kinds[1] and not (kinds[0] in text and kinds[1] in text):
            self.faults.refuse(f"{one.name} is a {kinds[0]} and {other.name} a {kinds[1]}; they cannot be compared.", node, "Name facts of one kind.")
        if kinds[0] == "number" and one.unit != other.unit:
            dimensions = [quantities.unit_of(each.unit).dimension for each in (one, other)]
            same = dimensions[0] == dimensions[1]
            self.faults.refuse(f"{one.name} is in {one.unit} and {other.name} in {other.unit}"
                               + ("." if same else f": {dimensions[0]} against {dimensions[1]}."), node,
                               "Declare both in one unit." if same else "Name facts of one dimension.")

    def literal(self, measure, node):
        if isinstance(node.value, (dict, list)):
            self.faults.refuse(f"a single value is needed for {measure.name}.", node, "Write a value.")
        with self.faults.placed(node):
            value = self.read_literal(measure, node.value)
        if value is None:
            self.faults.refuse(f"unknown is no value of {measure.name}.", node, "Use absent.")
        return value

    @staticmethod
    def read_literal(measure, raw):
        if getattr(measure, "kind", "number") != "number":
            return quantities.read_value(measure, raw if isinstance(raw, str) else str(raw))
        # Without the sane range: a limit outside it is a condition that never holds, which is said better later.
        value = quantities.read(raw, Wanted(measure.name, measure.unit))
        if getattr(measure, "choices", ()) and value not in measure.choices:
            quantities.read_value(measure, raw)
        return value

    # -- what the rule does

    def conclusion(self, node):
        fact = self.fact(node["fact"])
        if fact.source != "derived":
            self.faults.refuse(f"{fact.name} comes from elsewhere ({fact.source}) and cannot be concluded.", node["fact"],
                               "Conclude a fact with source: derived.")
        value = node["value"]
        if isinstance(value.value, dict):
            other = self.fact(value["fact"]) if "fact" in value else self.faults.refuse("a value is a literal or {fact: name}.", value)
            if other.name == fact.name:
                self.faults.refuse(f"{fact.name} is copied from itself.", value, "Name another fact.")
            self.check_alike(fact, other, value)
            return Conclusion(fact.name, FactRef(other.name), node.position)
        if fact.kind == "list":
            with self.faults.placed(value):
                return Conclusion(fact.name, quantities.read_value(fact, [member.value for member in value]), node.position)
        return Conclusion(fact.name, self.literal(fact, value), node.position)

    def kit_field(self, node):
        if node.value not in self.words.kit_fields:
            self.faults.refuse(f"the kit field {node.value!r} is not in the vocabulary.", node, did_you_mean(node.value, self.words.kit_fields))
        return self.words.kit_fields[node.value]

    def requirements(self):
        nodes = self.node.many("require")
        return tuple(self.each("require", lambda node: self.requirement(node, len(nodes) == 1)))

    def requirement(self, node, single):
        if "figure" in node:
            name, figures = node.get("figure"), self.words.figures
            if name not in figures:
                self.faults.refuse(f"the figure {name!r} is not in the vocabulary.", node["figure"], did_you_mean(name, figures))
            source, measure = "figure", figures[name]
        else:
            source, measure = "kit", self.kit_field(node["kit"])
        compares = [name for name in node.value if name in COMPARES]
        if len(compares) != 1:
            self.faults.refuse(f"a requirement makes one comparison, this one {len(compares)}.", node, f"Write one of {', '.join(COMPARES)}.")
        (compare,) = compares
        if "concern" in node and node.get("concern") not in self.words.concerns:
            concern = node.get("concern")
            self.faults.add(f"the concern {concern!r} is not in order.yaml.", node["concern"], did_you_mean(concern, self.words.concerns))
        of_kits = []
        for field, values in node["of_kits"].items() if "of_kits" in node else ():
            if field not in self.words.kit_fields:
                self.faults.refuse(f"the kit field {field!r} is not in the vocabulary.", values.key, did_you_mean(field, self.words.kit_fields))
            of_kits.append((field, tuple(self.literal(self.words.kit_fields[field], value) for value in values)))
        return Requirement(
            id=self.part_id(node, single, ""), source=source, measure=measure.name, compare=compare,
            limit=self.requirement_limit(measure, compare, node[compare]), unit=measure.unit, level=node.get("level"),
            concern=node.get("concern", ""), safety=flag(node, "safety", False), of_kits=tuple(of_kits), rule=self.id, position=node.position)

    def requirement_limit(self, measure, compare, node):
        if compare in ORDERED_TESTS:
            self.ordered(measure, compare, node)
        if compare == "between":
            if not isinstance(node.value, list) or len(node.value) != 2:
                self.faults.refuse("between takes two values.", node, "Write between: [low, high].")
            return tuple(self.one_limit(measure, member) for member in node.value)
        if compare in ("in", "not_in"):
            return tuple(self.literal(measure, member) for member in self.members(node, compare))
        return self.one_limit(measure, node)

    def one_limit(self, measure, node):
        return self.reference(measure, node, kit=True) if isinstance(node.value, dict) else self.literal(measure, node)

    def part_id(self, node, single, tail):
        if "id" in node:
            return node.get("id")
        if not single:
            self.faults.refuse(f"the rule {self.id} has several of these, so each needs an id.", node, "Give it an id.")
        return self.id + tail

    def cautions(self):
        nodes = self.node.many("caution")
        return tuple(self.each("caution", lambda node: Caution(
            self.part_id(node, len(nodes) == 1, ""), node.get("text"), flag(node, "safety", False))))

    def items(self):
        alone = sum(len(self.node.many(part)) for part in ("add", "do", "fit_by")) == 1
        items = []
        for key, tail in (("add", "part"), ("do", "step"), ("fit_by", "fitter")):
            nodes = self.node.many(key)
            for node in nodes:
                with self.faults.at(node):
                    name = self.part_id(node, len(nodes) == 1, "" if alone else f"-{tail}")
                    items.append(self.item(key, node, name))
        return tuple(items)

    def item(self, key, node, name):
        level, text = node.get("level", "required"), node.get("text", "")
        if key == "add":
            return Item(name, "part", text, level, part=node.get("part"))
        if key == "do":
            return Item(name, node.get("kind"), text, level)
        who = node.get("who") if isinstance(node.value, dict) else node.value
        fitters = self.words.facts["installer"].choices if "installer" in self.words.facts else ("professional", "experienced_home", "first_time")
        if who not in fitters:
            self.faults.refuse(f"nobody called {who!r} fits clutches here.", node, f"Write one of {', '.join(fitters)}.")
        return Item(name, "fitted_by", text, level, who=who)
