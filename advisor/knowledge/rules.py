"""From rules/case/*.yaml and rules/setup/*.yaml to rules: conditions, requirements, conclusions, cautions, items."""

import dataclasses
import re

from . import canonical, quantities
from .conditions import ConditionReader
from .faults import did_you_mean
from .model import ORDERED_TESTS, Basis, Caution, Conclusion, FactRef, Item, Requirement, Rule
from .vocabulary import flag

COMPARES = ("at_least", "at_most", "above", "below", "between", "is", "in", "not_in")
PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
_PARTS = ("conclude", "require", "caution", "add", "do", "fit_by")


def read_rules(root, stage, words, faults):
    """The rules of one file; the rows of a table become rules of their own."""
    rules = []
    if root.get("stage") != stage:
        faults.add(
            f"this file stands among the {stage} rules but says stage {root.get('stage')}.",
            root["stage"],
            f"Write stage: {stage}.",
        )
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
    values = [one for part in conditions + rule.require for one in limits(part.limit)] + [
        conclusion.value for conclusion in rule.conclude
    ]
    return {condition.fact for condition in conditions} | {value.name for value in values if isinstance(value, FactRef)}


class _Reader(ConditionReader):
    """One rule, or one row of a table with the ``outer`` rule whose conditions, because and basis it shares."""

    def __init__(self, node, outer, stage, topic, words, faults):
        super().__init__(stage, words, faults)
        self.node, self.outer, self.topic, self.id = node, outer, topic, node.get("id")

    def rule(self):
        node = self.node
        both, any_ = self.conditions((self.outer, self.node))
        before = len(self.faults.errors)
        rule = Rule(
            id=self.id,
            topic=self.topic,
            stage=self.stage,
            title=self.shared("title"),
            all=both,
            any=any_,
            conclude=tuple(self.each("conclude", self.conclusion)),
            require=self.requirements(),
            cautions=self.cautions(),
            items=self.items(),
            because=self.shared("because"),
            basis=self.basis(),
            hash="",
            owner=self.shared("owner"),
            reviewed=self.shared("reviewed"),
            position=node.position,
        )
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
        self.faults.add(
            f"the rule {self.id} has no basis.",
            self.node,
            "Write basis: {kind: ..., source: ...}, in the row or in the table.",
        )
        return Basis("judgement")

    def check_parts(self, node):
        if not self.shared("because"):
            self.faults.add(
                f"the rule {self.id} has no because.", node, "Say why in plain words, in the row or in the table."
            )
        wrong = ("require",) if self.stage == "setup" else ("add", "do", "fit_by")
        for part in wrong:
            if part in node:
                self.faults.add(
                    f"{part} is not allowed in stage {self.stage}.",
                    node[part].key,
                    "Requirements are posted in stage case; parts and steps in stage setup.",
                )

    def check_placeholders(self, rule):
        """Texts may name only what the rule reads, concludes or uses as a limit: nothing else is in its record."""
        named = reads(rule) | {conclusion.fact for conclusion in rule.conclude}
        texts = [node["because"] for node in (self.node, self.outer) if node is not None and "because" in node][:1]
        for part in ("caution", "add", "do", "fit_by"):
            texts += [node["text"] for node in self.node.many(part) if "text" in node]
        for node in texts:
            for name in PLACEHOLDER.findall(node.value):
                if name not in named:
                    self.faults.add(
                        f"the text names {{{name}}}, which the rule {self.id} does not read.",
                        node,
                        did_you_mean(name, sorted(named)) or "Name a fact of its conditions, limits or conclusions.",
                    )

    def each(self, key, read):
        for part in self.node.many(key):
            with self.faults.at(part):
                yield read(part)

    # -- what the rule does

    def conclusion(self, node):
        fact = self.fact(node["fact"])
        if fact.source != "derived":
            self.faults.refuse(
                f"{fact.name} comes from elsewhere ({fact.source}) and cannot be concluded.",
                node["fact"],
                "Conclude a fact with source: derived.",
            )
        value = node["value"]
        if isinstance(value.value, dict):
            other = (
                self.fact(value["fact"])
                if "fact" in value
                else self.faults.refuse("a value is a literal or {fact: name}.", value)
            )
            if other.name == fact.name:
                self.faults.refuse(f"{fact.name} is copied from itself.", value, "Name another fact.")
            self.check_alike(fact, other, value)
            return Conclusion(fact.name, FactRef(other.name), node.position)
        if fact.kind == "list":
            with self.faults.placed(value):
                return Conclusion(
                    fact.name, quantities.read_value(fact, [member.value for member in value]), node.position
                )
        return Conclusion(fact.name, self.literal(fact, value), node.position)

    def requirements(self):
        nodes = self.node.many("require")
        return tuple(self.each("require", lambda node: self.requirement(node, len(nodes) == 1)))

    def requirement(self, node, single):
        if "figure" in node:
            name, figures = node.get("figure"), self.words.figures
            if name not in figures:
                self.faults.refuse(
                    f"the figure {name!r} is not in the vocabulary.", node["figure"], did_you_mean(name, figures)
                )
            source, measure = "figure", figures[name]
        else:
            source, measure = "kit", self.kit_field(node["kit"])
        compares = [name for name in node.value if name in COMPARES]
        if len(compares) != 1:
            self.faults.refuse(
                f"a requirement makes one comparison, this one {len(compares)}.",
                node,
                f"Write one of {', '.join(COMPARES)}.",
            )
        (compare,) = compares
        if "concern" in node and node.get("concern") not in self.words.concerns:
            concern = node.get("concern")
            self.faults.add(
                f"the concern {concern!r} is not in order.yaml.",
                node["concern"],
                did_you_mean(concern, self.words.concerns),
            )
        of_kits = []
        for field, values in node["of_kits"].items() if "of_kits" in node else ():
            if field not in self.words.kit_fields:
                self.faults.refuse(
                    f"the kit field {field!r} is not in the vocabulary.",
                    values.key,
                    did_you_mean(field, self.words.kit_fields),
                )
            of_kits.append((field, tuple(self.literal(self.words.kit_fields[field], value) for value in values)))
        return Requirement(
            id=self.part_id(node, single, ""),
            source=source,
            measure=measure.name,
            compare=compare,
            limit=self.requirement_limit(measure, compare, node[compare]),
            unit=measure.unit,
            level=node.get("level"),
            concern=node.get("concern", ""),
            safety=flag(node, "safety", False),
            of_kits=tuple(of_kits),
            rule=self.id,
            position=node.position,
        )

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
        return tuple(
            self.each(
                "caution",
                lambda node: Caution(
                    self.part_id(node, len(nodes) == 1, ""), node.get("text"), flag(node, "safety", False)
                ),
            )
        )

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
        fitters = (
            self.words.facts["installer"].choices
            if "installer" in self.words.facts
            else ("professional", "experienced_home", "first_time")
        )
        if who not in fitters:
            self.faults.refuse(
                f"nobody called {who!r} fits clutches here.", node, f"Write one of {', '.join(fitters)}."
            )
        return Item(name, "fitted_by", text, level, who=who)
