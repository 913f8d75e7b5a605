"""Conditions and limits of rules: which fact, which comparison, which value."""

import re
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from ..frozen import frozen
from . import quantities
from .model import Branch, Condition, Fact, FactRef, Figure, KitField, KitRef, Value
from .near import did_you_mean, nearest
from .sentences import joined
from .vocabulary import PLAIN_WORDS, Wanted

if TYPE_CHECKING:
    from ..errors import Position
    from .faults import Faults
    from .strict_yaml import Node

LOWER, UPPER = ("above", "at_least"), ("below", "at_most")
#: What a mapping under a fact may compare by.
WORDS = (*LOWER, *UPPER, "between", "not", "has")
NAME = re.compile("[a-z][a-z0-9_]*")


@frozen
class Terms:
    """What rules may speak of."""

    facts: Mapping[str, Fact]
    figures: Mapping[str, Figure]
    kit_fields: Mapping[str, KitField]
    concerns: tuple[str, ...] = ()


class ConditionReader:
    """Reads conditions and limits of one stage; faults are raised at their place."""

    def __init__(self, stage: str, words: "Terms", faults: "Faults") -> None:
        self.stage, self.words, self.faults = stage, words, faults

    def conditions(self, nodes: "Iterable[Node | None]") -> tuple[tuple[Condition, ...], tuple[Branch, ...]]:
        """(all, any) of several nodes that may have a when, one after the other."""
        places: dict[str, Any] = {}
        both: list[Condition] = []
        any_: list[Branch] = []
        for node in nodes:
            if node is None or "when" not in node:
                continue
            for name, asked in node["when"].items():
                with self.faults.at(asked):
                    if name in places:
                        what = "the rule has a second any" if name == "any" else f"{name} is asked of in two places"
                        self.faults.refuse(
                            f"{what} (first in line {places[name].line}).",
                            asked.key,
                            "Keep one any, or split the rule."
                            if name == "any"
                            else f"Write all that is asked of {name} in one place.",
                        )
                    places[name] = asked.key
                    if name == "any":
                        any_ += self.branches(asked)
                    else:
                        both += self.asked(name, asked)
        return tuple(both), tuple(any_)

    def branches(self, node: "Node") -> list[Branch]:
        """The branches of an any: of each of its mappings all must hold."""
        branches: list[Branch] = []
        for branch in node:
            with self.faults.at(branch):
                branches.append(
                    tuple(condition for name, asked in branch.items() for condition in self.asked(name, asked))
                )
        return branches

    def asked(self, name: str, node: "Node") -> list[Condition]:
        """The conditions on one fact: one, or two where a lower and an upper bound stand together."""
        fact, raw = self.fact(name, node.key), node.value
        if isinstance(raw, dict):
            return [
                Condition(fact.name, *self.compared(fact, word, limit), node.key)
                for word, limit in self.words_of(fact, node)
            ]
        if isinstance(raw, str) and raw in PLAIN_WORDS:
            if fact.kind == "list" and PLAIN_WORDS[raw] not in ("known", "absent"):
                self.faults.refuse(
                    f"{name} is a list; nobody answers it as a whole.", node, "Ask known, not known or {has: ...}."
                )
            return [Condition(fact.name, PLAIN_WORDS[raw], None, node.key)]
        if fact.kind == "list":
            self.faults.refuse(
                f"{name} is a list and cannot be compared.", node, f"Write {name}: {{has: choice}}, known or not known."
            )
        if isinstance(raw, list):
            return [Condition(fact.name, "in", self.members(fact, node), node.key)]
        self.refuse_likeness(fact, node)
        return [Condition(fact.name, "is", self.literal(fact, node), node.key)]

    def refuse_likeness(self, fact: Fact, node: "Node") -> None:
        """Refuse what looks like a value but is a fact's name or a slip of known and its kin."""
        raw = node.value
        if not isinstance(raw, str) or raw in fact.choices:
            return
        if raw in self.words.facts:
            self.faults.refuse(
                f"{fact.name} is said to equal {raw}, but facts are compared by size only.",
                node,
                f"Write {fact.name}: {{at_least: {raw}}}, or another of {', '.join(LOWER + UPPER)}.",
            )
        meant = "not known" if raw in ("unknown", "absent") else next(iter(nearest(raw, PLAIN_WORDS)), "")
        if meant and not nearest(raw, [choice for choice in fact.choices if isinstance(choice, str)]):
            self.faults.refuse(f"{raw!r} cannot be asked of {fact.name}.", node, f"Did you mean {meant}?")

    def words_of(self, fact: Fact, node: "Node") -> "Iterable[tuple[str, Node]]":
        """Pairs (comparison word, its limit): one, or a lower and an upper bound."""
        words = tuple(node.value)
        for word in words:
            if word not in WORDS:
                self.refuse_word(word, node[word].key, fact.name, WORDS)
        bounds = [[word for word in words if word in side] for side in (LOWER, UPPER)]
        if len(words) != 1 and [len(side) for side in bounds] + [len(words)] != [1, 1, 2]:
            self.faults.refuse(
                f"{fact.name} has {joined(words) or 'no comparison'}" + (" together." if words else "."),
                node,
                "Keep one, or one lower bound (above, at_least) with one upper (below, at_most).",
            )
        return node.items()

    def refuse_word(self, word: str, place: "Node | Position", name: str, words: Iterable[str]) -> None:
        """Refuse a comparison word there is none of, with what was probably meant."""
        if word in PLAIN_WORDS:
            remedy = f"Write {name}: {word}, without the mapping."
        elif word in ("is", "in", "equals"):
            remedy = f"Write {name}: value, or {name}: [first, second], without a word."
        else:
            remedy = did_you_mean(word, words)
        self.faults.refuse(f"there is no comparison {word!r}.", place, remedy)

    def fact(self, name: str, place: "Position | Node") -> Fact:
        """The fact of this stage that is named at a place."""
        facts = self.words.facts
        if name not in facts:
            self.faults.refuse(f"the fact {name!r} is not in the vocabulary.", place, did_you_mean(name, facts), name)
        if self.stage == "case" and facts[name].source in ("kit", "figure"):
            self.faults.refuse(
                f"{name} is known of a kit only, and stage case comes before kits.",
                place,
                "Post a requirement on it, or move the rule to stage setup.",
                name,
            )
        return facts[name]

    def compared(self, fact: Fact, word: str, node: "Node") -> tuple[str, FactRef | KitRef | Value]:
        """(test, limit) of one comparison word."""
        if word == "has":
            if fact.kind != "list":
                self.faults.refuse(
                    f"has asks whether a list holds a choice, but {fact.name} is a {fact.kind}.",
                    node.key,
                    f"Write {fact.name}: choice, or {fact.name}: [first, second].",
                )
            with self.faults.placed(node):
                return "has", quantities.read_value(fact, [node.value])[0]
        if fact.kind == "list":
            self.faults.refuse(f"{fact.name} is a list and cannot be compared by {word}.", node.key, "Use has.")
        if word == "not":
            return self.otherwise(fact, node)
        self.ordered(fact, word, node)
        return word, (self.pair(fact, node) if word == "between" else self.ordered_limit(fact, node))

    def otherwise(self, fact: Fact, node: "Node") -> tuple[str, Any]:
        """(test, limit) of not; of a number with choices it is one of the rest of them."""
        if fact.kind not in ("choice", "flag") and not fact.choices:
            self.faults.refuse(
                f"not works on choices and flags only; {fact.name} is a {fact.kind}.", node.key, "Use above or below."
            )
        values = self.members(fact, node) if isinstance(node.value, list) else (self.literal(fact, node),)
        if fact.kind == "number":
            return "in", tuple(choice for choice in fact.choices if choice not in values)
        return ("not_in", values) if isinstance(node.value, list) else ("is_not", values[0])

    def members(self, measure: Fact | KitField, node: "Node") -> tuple[Value, ...]:
        """The values of a list; one that says the same twice is refused."""
        if not node.value:
            self.faults.refuse(f"the list of {measure.name} is empty.", node, "Write [first, second].")
        values = tuple(self.literal(measure, member) for member in node.value)
        for member, value in zip(node.value, values):
            if values.count(value) > 1:
                self.faults.refuse(f"{member.value} stands twice in the list.", member, "Keep one of the two.")
        return values

    def ordered(self, measure: Any, word: str, node: "Node") -> None:
        """Refuse to compare what has no order by ``word``."""
        if getattr(measure, "kind", "number") != "number":
            self.faults.refuse(
                f"{word} compares numbers, but {measure.name} is a {measure.kind} and has no order.",
                node.key,
                f"Write yes or no: {measure.name}: yes."
                if measure.kind == "flag"
                else f"Write {measure.name}: choice, or {measure.name}: [first, second].",
            )

    def pair(self, measure: Fact, node: "Node") -> tuple[Any, ...]:
        """The two limits of a range."""
        if not isinstance(node.value, list) or len(node.value) != 2:
            self.faults.refuse("between takes two values.", node, "Write between: [low, high].")
        return tuple(self.ordered_limit(measure, member) for member in node.value)

    def ordered_limit(self, measure: Any, node: "Node", kit: bool = False) -> FactRef | KitRef | Value:
        """A literal, a FactRef for a fact's bare name, or for requirements a KitRef for {kit: field}."""
        raw = node.value
        if isinstance(raw, str) and NAME.fullmatch(raw):
            return self.reference(measure, node)
        if isinstance(raw, dict):
            if not kit or list(raw) != ["kit"]:
                self.faults.refuse(
                    "a limit is a value or a fact's name.",
                    node,
                    "Write the bare name" + (", or {kit: field} for a field of the same kit." if kit else "."),
                )
            return self.reference(measure, node)
        return self.literal(measure, node)

    def reference(self, measure: Any, node: "Node") -> FactRef | KitRef:
        """What a fact's name or {kit: field} stands for, of the measure's kind and unit."""
        of_kit = isinstance(node.value, dict)
        other = self.kit_field(node["kit"]) if of_kit else self.fact(node.value, node)
        if other.name == measure.name and isinstance(other, type(measure)):
            self.faults.refuse(f"{other.name} is compared with itself.", node, "Name another fact.")
        self.check_alike(measure, other, node)
        return KitRef(other.name) if of_kit else FactRef(other.name)

    def check_alike(self, measure: Fact | Figure | KitField, other: Fact | KitField, node: "Node") -> None:
        """Refuse two measures that differ in kind or unit."""
        kinds = [getattr(each, "kind", "number") for each in (measure, other)]
        text = ("text", "choice")
        if kinds[0] != kinds[1] and not (kinds[0] in text and kinds[1] in text):
            self.faults.refuse(
                f"{measure.name} is a {kinds[0]} and {other.name} a {kinds[1]}; they cannot be compared.",
                node,
                "Name facts of one kind.",
            )
        if kinds[0] == "number" and measure.unit != other.unit:
            dimensions = [quantities.unit_of(each.unit).dimension for each in (measure, other)]
            same = dimensions[0] == dimensions[1]
            self.faults.refuse(
                f"{measure.name} is in {measure.unit} and {other.name} in {other.unit}"
                + ("." if same else f": {dimensions[0]} against {dimensions[1]}."),
                node,
                "Declare both in one unit." if same else "Name facts of one dimension.",
            )

    def literal(self, measure: Any, node: "Node") -> Value:
        """The value written, in the unit of the measure."""
        if isinstance(node.value, (dict, list)):
            self.faults.refuse(f"a single value is needed for {measure.name}.", node, "Write a value.")
        with self.faults.placed(node):
            value = self.read_literal(measure, node.value)
        if value is None:
            self.faults.refuse(f"unknown is no value of {measure.name}.", node, "Write not known.")
        return value

    @staticmethod
    def read_literal(measure: Any, raw: Any) -> Value | None:
        """As `literal`, from the plain value; None for "unknown"."""
        if getattr(measure, "kind", "number") != "number":
            return quantities.read_value(measure, raw if isinstance(raw, str) else str(raw))
        # Without the sane range: a limit outside it is a condition that never holds, which is said better later.
        value = quantities.read(raw, Wanted(measure.name, measure.unit))
        if getattr(measure, "choices", ()) and value not in measure.choices:
            quantities.read_value(measure, raw)
        return value

    def kit_field(self, node: "Node") -> KitField:
        """The field of kits that is named."""
        if node.value not in self.words.kit_fields:
            self.faults.refuse(
                f"the kit field {node.value!r} is not in the vocabulary.",
                node,
                did_you_mean(node.value, self.words.kit_fields),
            )
        return self.words.kit_fields[node.value]
