"""Conditions and limits of rules: which fact, which comparison, which value."""

from dataclasses import dataclass
from typing import Mapping

from . import quantities
from .faults import did_you_mean
from .model import ORDERED_TESTS, PLAIN_TESTS, Condition, Fact, FactRef, Figure, KitField, KitRef
from .vocabulary import Wanted


@dataclass(frozen=True, slots=True)
class Words:
    """What rules may speak of."""

    facts: Mapping[str, Fact]
    figures: Mapping[str, Figure]
    kit_fields: Mapping[str, KitField]
    concerns: tuple[str, ...] = ()


class ConditionReader:
    """Reads conditions and limits of one stage; faults are raised at their place."""

    def __init__(self, stage, words, faults):
        self.stage, self.words, self.faults = stage, words, faults

    def conditions(self, nodes):
        """(all, any) of several nodes that may have a when, one after the other."""
        both, any_ = [], []
        for node in nodes:
            if node is None or "when" not in node:
                continue
            for entry in node["when"].many("all"):
                if "any" not in entry:
                    with self.faults.at(entry):
                        both.append(self.condition(entry))
                    continue
                if any_:
                    self.faults.add("the rule has a second any.", entry, "Keep one any, or split the rule.")
                for branch in entry["any"]:
                    with self.faults.at(branch):
                        any_.append(self.condition(branch))
        return tuple(both), tuple(any_)

    def condition(self, node):
        tests = [name for name in node.value if name != "fact"]
        if len(tests) != 1:
            self.faults.refuse(
                f"a condition makes one comparison, this one {len(tests)}.",
                node,
                "Write one, such as {fact: name, above: 3 mm}; several conditions stand below each other.",
            )
        (test,) = tests
        known = PLAIN_TESTS + ORDERED_TESTS
        if test not in known:
            self.faults.refuse(
                f"the comparison {test} is not known.",
                node[test].key,
                did_you_mean(test, known) or f"Known are {', '.join(known)}.",
            )
        fact = self.fact(node["fact"])
        return Condition(fact.name, test, self.limit(fact, test, node[test]), node.position)

    def fact(self, node):
        """The fact a node names, of this stage."""
        name, facts = node.value, self.words.facts
        if not isinstance(name, str) or name not in facts:
            self.faults.refuse(f"the fact {name!r} is not in the vocabulary.", node, did_you_mean(name, facts), name)
        if self.stage == "case" and facts[name].source in ("kit", "figure"):
            self.faults.refuse(
                f"{name} is known of a kit only, and stage case comes before kits.",
                node,
                "Post a requirement on it, or move the rule to stage setup.",
                name,
            )
        return facts[name]

    def limit(self, fact, test, node):
        if test in ("known", "answered", "absent"):
            if node.value not in ("yes", "true"):
                self.faults.refuse(f"{test} takes only yes.", node, f"Write {{fact: {fact.name}, {test}: yes}}.")
            return None
        if test == "has":
            if fact.kind != "list":
                self.faults.refuse(
                    f"has asks whether a list holds a choice, but {fact.name} is a {fact.kind}.",
                    node.key,
                    "Use is or in.",
                )
            with self.faults.placed(node):
                return quantities.read_value(fact, [node.value])[0]
        if fact.kind == "list":
            self.faults.refuse(f"{fact.name} is a list and cannot be compared by {test}.", node.key, "Use has.")
        if test in ORDERED_TESTS:
            self.ordered(fact, test, node)
            return self.pair(fact, node) if test == "between" else self.ordered_limit(fact, node)
        if test in ("is_not", "not_in") and fact.kind not in ("choice", "flag"):
            self.faults.refuse(
                f"{test} works on choices and flags only; {fact.name} is a {fact.kind}.",
                node.key,
                "Use above or below.",
            )
        if test in ("in", "not_in"):
            return tuple(self.literal(fact, member) for member in self.members(node, test))
        return self.literal(fact, node)

    def members(self, node, test):
        if not isinstance(node.value, list) or not node.value:
            self.faults.refuse(f"{test} takes a list.", node, f"Write {test}: [first, second].")
        return node.value

    def ordered(self, measure, test, node):
        if getattr(measure, "kind", "number") != "number":
            self.faults.refuse(
                f"{test} compares numbers, but {measure.name} is a {measure.kind} and has no order.",
                node.key,
                "Use is or in.",
            )

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
            self.faults.refuse(
                "a limit is a value or another fact.",
                node,
                f"Write a literal, or {' or '.join(f'{{{key}: name}}' for key in keys)}.",
            )
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
            self.faults.refuse(
                f"{one.name} is a {kinds[0]} and {other.name} a {kinds[1]}; they cannot be compared.",
                node,
                "Name facts of one kind.",
            )
        if kinds[0] == "number" and one.unit != other.unit:
            dimensions = [quantities.unit_of(each.unit).dimension for each in (one, other)]
            same = dimensions[0] == dimensions[1]
            self.faults.refuse(
                f"{one.name} is in {one.unit} and {other.name} in {other.unit}"
                + ("." if same else f": {dimensions[0]} against {dimensions[1]}."),
                node,
                "Declare both in one unit." if same else "Name facts of one dimension.",
            )

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

    def kit_field(self, node):
        if node.value not in self.words.kit_fields:
            self.faults.refuse(
                f"the kit field {node.value!r} is not in the vocabulary.",
                node,
                did_you_mean(node.value, self.words.kit_fields),
            )
        return self.words.kit_fields[node.value]
