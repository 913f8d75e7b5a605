"""What a rule does, read from its part of a file: conclusions, requirements, cautions, items."""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from . import quantities
from .conditions import LOWER, NAME, UPPER, ConditionReader, Terms
from .model import Caution, Conclusion, Fact, FactRef, Item, Requirement
from .near import did_you_mean
from .vocabulary import REQUIREMENT_WORDS, flag

if TYPE_CHECKING:
    from .faults import Faults
    from .strict_yaml import Node

COMPARES = (*LOWER, *UPPER, "between", "not", "same_as")


class EffectReader(ConditionReader):
    """Reads the effects of one rule, or of one row of a table with its ``outer`` rule."""

    def __init__(
        self, node: "Node", outer: "Node | None", stage: str, topic: str, words: Terms, faults: "Faults"
    ) -> None:
        super().__init__(stage, words, faults)
        self.node, self.outer, self.topic, self.id = node, outer, topic, node.get("id")

    def each(self, key: str, read: Callable[["Node"], Any]) -> Iterator[Any]:
        """What ``read`` makes of every part under ``key``; a fault in one leaves the others."""
        for part in self.node.many(key):
            with self.faults.at(part):
                yield read(part)

    def conclusions(self) -> tuple[Conclusion, ...]:
        """What it concludes."""
        conclusions = []
        for name, value in self.node["conclude"].items() if "conclude" in self.node else ():
            with self.faults.at(value):
                conclusions.append(self.conclusion(name, value))
        return tuple(conclusions)

    def conclusion(self, name: str, value: "Node") -> Conclusion:
        """One fact and the value, or the other fact, it gets."""
        fact, place = self.fact(name, value.key), value.key
        if fact.source != "derived":
            self.faults.refuse(
                f"{fact.name} comes from elsewhere ({fact.source}) and cannot be concluded.",
                place,
                "Conclude a fact with source: derived.",
            )
        if isinstance(value.value, dict):
            self.faults.refuse("a value is a literal or a fact's name.", value, f"Write {name}: value.")
        if self.is_copied(fact, value.value):
            other = self.fact(value.value, value)
            if other.name == fact.name:
                self.faults.refuse(f"{fact.name} is copied from itself.", value, "Name another fact.")
            self.check_alike(fact, other, value)
            return Conclusion(fact.name, FactRef(other.name), place)
        if fact.kind == "list":
            with self.faults.placed(value):
                members = [member.value for member in value]
                return Conclusion(fact.name, quantities.read_value(fact, members), place)
        return Conclusion(fact.name, self.literal(fact, value), place)

    def is_copied(self, fact: Fact, raw: Any) -> bool:
        """Whether a value is another fact's name; no choice bears one, and no number looks like one."""
        if not isinstance(raw, str) or raw in fact.choices:
            return False
        return raw in self.words.facts or (fact.kind == "number" and NAME.fullmatch(raw) is not None)

    def requirements(self) -> tuple[Requirement, ...]:
        """What it requires of kits."""
        nodes = self.node.many("require")
        return tuple(self.each("require", lambda node: self.requirement(node, len(nodes) == 1)))

    def requirement(self, node: "Node", single: bool) -> Requirement:
        """One requirement; ``single``: the only one, which needs no id of its own."""
        names = [name for name in node.value if name not in REQUIREMENT_WORDS]
        if len(names) != 1:
            self.faults.refuse(
                f"a requirement limits one figure or field of a kit, this one {len(names)}.",
                node,
                "Write {name: {at_most: limit}, level: must}; several requirements are a list.",
            )
        (name,) = names
        limited = node[name]
        figures, fields = self.words.figures, self.words.kit_fields
        if name not in figures and name not in fields:
            self.faults.refuse(
                f"{name!r} is neither a figure nor a kit's field.",
                limited.key,
                did_you_mean(name, (*figures, *fields)),
                name,
            )
        measure = figures.get(name) or fields[name]
        if "concern" in node and node.get("concern") not in self.words.concerns:
            concern = node.get("concern")
            self.faults.add(
                f"the concern {concern!r} is not in order.yaml.",
                node["concern"],
                did_you_mean(concern, self.words.concerns),
            )
        of_kits = []
        for field, values in node["of_kits"].items() if "of_kits" in node else ():
            if field not in fields:
                self.faults.refuse(
                    f"the kit field {field!r} is not in the vocabulary.", values.key, did_you_mean(field, fields)
                )
            of_kits.append((field, tuple(self.literal(fields[field], value) for value in values)))
        compare, limit = self.requirement_limit(measure, limited)
        return Requirement(
            id=self.part_id(node, single, ""),
            source="figure" if name in figures else "kit",
            measure=measure.name,
            compare=compare,
            limit=limit,
            unit=measure.unit,
            level=node.get("level"),
            concern=node.get("concern", ""),
            safety=flag(node, "safety", False),
            of_kits=tuple(of_kits),
            rule=self.id,
            position=node.position,
        )

    def requirement_limit(self, measure: Any, node: "Node") -> Any:
        """(compare, limit) of what stands under a figure or field."""
        if isinstance(node.value, list):
            return "in", self.members(measure, node)
        if not isinstance(node.value, dict):
            self.refuse_likeness_of_kit(measure, node)
            return "is", self.literal(measure, node)
        if len(node.value) != 1:
            words = " and ".join(node.value) or "none"
            self.faults.refuse(
                f"a requirement makes one comparison, this one {len(node.value)} ({words}).",
                node,
                f"Write one of {', '.join(COMPARES)}; several requirements are a list.",
            )
        ((word, limit),) = node.items()
        if word not in COMPARES:
            self.refuse_word(word, limit.key, measure.name, COMPARES)
        if word == "not":
            return "not_in", tuple(self.literal(measure, member) for member in limit)
        if word == "same_as":
            return "is", self.reference(measure, limit)
        self.ordered(measure, word, limit)
        if word == "between":
            if not isinstance(limit.value, list) or len(limit.value) != 2:
                self.faults.refuse("between takes two values.", limit, "Write between: [low, high].")
            return word, tuple(self.ordered_limit(measure, member, kit=True) for member in limit)
        return word, self.ordered_limit(measure, limit, kit=True)

    def refuse_likeness_of_kit(self, measure: Any, node: "Node") -> None:
        """Refuse a fact's name where a text is meant."""
        if isinstance(node.value, str) and node.value in self.words.facts:
            self.faults.refuse(
                f"{measure.name} cannot be the text {node.value}, a fact's name.",
                node,
                f"Write {measure.name}: {{same_as: {node.value}}}, or at_least or at_most before it.",
            )

    def part_id(self, node: "Node", single: bool, tail: str) -> str:
        """The id of a part: its own, or that of the rule with ``tail`` where it is the only one."""
        if "id" in node:
            return node.get("id")
        if not single:
            self.faults.refuse(f"the rule {self.id} has several of these, so each needs an id.", node, "Give it an id.")
        return self.id + tail

    def cautions(self) -> tuple[Caution, ...]:
        """What it cautions of."""
        single = len(self.node.many("caution")) == 1
        return tuple(self.each("caution", lambda node: self.caution(node, single)))

    def caution(self, node: "Node", single: bool) -> Caution:
        """One caution."""
        said_to = {name: node.get(name) for name in ("audience", "weight") if name in node}
        return Caution(self.part_id(node, single, ""), node.get("text"), flag(node, "safety", False), **said_to)

    def items(self) -> tuple[Item, ...]:
        """Parts, steps and who fits it."""
        alone = sum(len(self.node.many(part)) for part in ("add", "do", "fit_by")) == 1
        items = []
        for key, tail in (("add", "part"), ("do", "step"), ("fit_by", "fitter")):
            nodes = self.node.many(key)
            for node in nodes:
                with self.faults.at(node):
                    name = self.part_id(node, len(nodes) == 1, "" if alone else f"-{tail}")
                    items.append(self.item(key, node, name))
        return tuple(items)

    def item(self, key: str, node: "Node", name: str) -> Item:
        """One item, by the key it stands under."""
        level, text = node.get("level", "required"), node.get("text", "")
        if key == "add":
            likely = flag(node, "likely", False)
            if likely and level != "check":
                self.faults.refuse(
                    f"a part that is {level} is not likely besides.", node, "Leave likely out, or write level: check."
                )
            return Item(name, "part", text, level, part=node.get("part"), likely=likely)
        if key == "do":
            return Item(name, node.get("kind"), text, level, in_short=node.get("in_short", ""))
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
