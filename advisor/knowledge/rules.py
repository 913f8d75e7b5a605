"""From rules/consistency.yaml, rules/case/*.yaml and rules/setup/*.yaml to rules."""

import dataclasses
import re
from typing import TYPE_CHECKING, Any

from . import canonical
from .conditions import Terms
from .model import (
    CONTRADICTION,
    Basis,
    Conclusion,
    Contradiction,
    FactRef,
    Rule,
)
from .near import did_you_mean
from .rule_effects import EffectReader
from .strict_yaml import Node

if TYPE_CHECKING:
    from .faults import Faults

PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
#: What a rule of stage consistency says beside its conclusion.
CONSISTENCY_PARTS = ("readings", "harder", "settle", "undersizes")
_PARTS = ("conclude", "require", "caution", "add", "do", "fit_by")


def read_rules(root: Node, stage: str, words: Terms, faults: "Faults") -> list[Rule]:
    """The rules of one file; the rows of a table become rules of their own."""
    rules = []
    if root.get("stage") != stage:
        faults.add(
            f"this file stands among the {stage} rules but says stage {root.get('stage')}.",
            root["stage"],
            f"Write stage: {stage}.",
        )
    for node in root["rules"]:
        if "table" in node:
            members = _rows(node["table"], words, faults)
        else:
            members = node.many("group") or (node,)
        for member in members:
            with faults.at(member):
                outer = None if member is node else node
                rules.append(RuleReader(member, outer, stage, root.get("topic"), words, faults).rule())
    return rules


def _rows(table, words, faults):
    """The rows of a table, each laid out as a rule with a when and a conclude of its own."""
    asks, gives = table["when"], table["conclude"]
    heads = [node.value for node in (*asks, *gives)]
    for side in (asks, gives):
        for node in side:
            if side.plain().count(node.value) > 1:
                faults.add(f"the table has the column {node.value} twice.", node, "Keep one of the two.")
                return
            if node.value not in words.facts:
                faults.add(
                    f"the fact {node.value!r} is not in the vocabulary.", node, did_you_mean(node.value, words.facts)
                )
                return
    for name, row in table["rows"].items():
        cells = row["cells"] if isinstance(row.value, dict) else row
        if len(cells.value) != len(heads):
            faults.add(
                f"the row {name} has {len(cells.value)} cells, the table {len(heads)} columns.",
                cells,
                f"Write one cell for each of {', '.join(heads)}.",
            )
            continue
        empty = [head for head, cell in zip(heads, cells) if cell.value in ("", [], {})]
        if empty:
            cell = cells.value[heads.index(empty[0])]
            faults.add(
                f"the cell under {empty[0]} is empty in the row {name}.",
                cell,
                "Write what it must be; rows that do not ask the same facts stand in a group.",
            )
            continue
        placed = [Node(cell.value, cell.position, cell.position) for cell in cells]
        parts = {
            "id": Node(name, row.key, row.key),
            "when": Node(dict(zip(asks.plain(), placed)), cells.position, cells.key),
            "conclude": Node(dict(zip(gives.plain(), placed[len(asks.value) :])), cells.position, cells.key),
        }
        own = {key: part for key, part in row.items() if key != "cells"}
        yield Node({**parts, **own}, row.key, row.key)


def read_basis(node: Node) -> Basis:
    """A Basis; trade lore says so itself where no source is written."""
    kind = node.get("kind")
    source = node.get("source", "common practice, no source" if kind == "common_practice" else "")
    return Basis(kind, source, node.get("caution", ""))


def limits(limit: Any) -> tuple[Any, ...]:
    """The single limits inside a limit: a pair's two, a list's members, or the one."""
    return limit if isinstance(limit, tuple) else (limit,)


def reads(rule: Rule) -> set[str]:
    """Names of the facts a rule reads: conditions, limits, and what its conclusions copy."""
    conditions = rule.conditions
    values = [limit for part in conditions + rule.require for limit in limits(part.limit)] + [
        conclusion.value for conclusion in rule.conclude
    ]
    if rule.contradiction:
        values += [taken.value for taken in rule.contradiction.harder]
        values += [FactRef(name) for text in rule.contradiction.readings for name in PLACEHOLDER.findall(text)]
    return {condition.fact for condition in conditions} | {value.name for value in values if isinstance(value, FactRef)}


class RuleReader(EffectReader):
    """One rule, or one row of a table with the ``outer`` rule whose conditions, because and basis it shares."""

    #: What a rule can do; a stage of its own may know more.
    parts: tuple[str, ...] = _PARTS

    def rule(self) -> Rule:
        """The rule, hashed where it is without fault."""
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
            conclude=self.conclusions(),
            require=self.requirements(),
            cautions=self.cautions(),
            items=self.items(),
            because=self.shared("because"),
            basis=self.basis(),
            hash="",
            owner=self.shared("owner"),
            reviewed=self.shared("reviewed"),
            contradiction=self.contradiction() if self.stage == "consistency" else None,
            position=node.position,
        )
        if not any(part in node for part in self.parts):
            self.faults.add(f"the rule {self.id} does nothing.", node, f"Give it one of {', '.join(self.parts)}.")
        self.check_parts(node)
        self.check_placeholders(rule)
        if len(self.faults.errors) > before:
            return rule
        return dataclasses.replace(rule, hash=canonical.sha256(rule))

    def shared(self, key: str) -> str:
        """A text that stands beside the rule, or above its group or table; "" where none does."""
        for node in (self.node, self.outer):
            if node is not None and key in node:
                return node.get(key)
        return ""

    def basis(self) -> Basis:
        """Its basis, or that of its group or table."""
        for node in (self.node, self.outer):
            if node is not None and "basis" in node:
                return read_basis(node["basis"])
        self.faults.add(
            f"the rule {self.id} has no basis.",
            self.node,
            "Write basis: {kind: ..., source: ...}, beside the rule or above its group or table.",
        )
        return Basis("judgement")

    def check_parts(self, node: "Node") -> None:
        """Refuse what its stage does not allow, and a rule without a reason."""
        if not self.shared("because"):
            self.faults.add(
                f"the rule {self.id} has no because.",
                node,
                "Say why in plain words, beside the rule or above its group or table.",
            )
        if self.stage == "consistency":
            self.check_consistency(node)
            return
        wrong = ("require",) if self.stage == "setup" else ("add", "do", "fit_by")
        for part in (*wrong, *CONSISTENCY_PARTS):
            if part in node:
                self.faults.add(
                    f"{part} is not allowed in stage {self.stage}.",
                    node[part].key,
                    "Requirements are posted in stage case; parts and steps in stage setup; readings in consistency.",
                )

    def check_consistency(self, node: "Node") -> None:
        """Refuse what a rule on contradictions may not do."""
        concluded = list(node["conclude"].value) if "conclude" in node else []
        for part in _PARTS[1:]:
            if part in node:
                self.faults.add(
                    f"{part} is not allowed in stage consistency.", node[part].key, "It only concludes a contradiction."
                )
        if concluded != [CONTRADICTION]:
            self.faults.add(
                f"the rule {self.id} of stage consistency concludes {', '.join(concluded) or 'nothing'}.",
                node["conclude"].key if concluded else node,
                "Write conclude: {contradiction: its-id}, and nothing else.",
            )

    def placed(self, key: str) -> Any:
        """The node of a part that stands beside the rule or above its group or table, or None."""
        return next((node[key] for node in (self.node, self.outer) if node is not None and key in node), None)

    def contradiction(self) -> Contradiction:
        """What a rule of stage consistency says beside its conclusion."""
        missing = [key for key in ("readings", "settle", "undersizes") if self.placed(key) is None]
        if missing:
            self.faults.refuse(
                f"the rule {self.id} has no {missing[0]}.",
                self.node,
                "Write readings: two sentences, settle: the fact to ask again, undersizes: yes or no.",
            )
        undersizes, harder = self.placed("undersizes").value in ("yes", "true"), self.placed("harder")
        if undersizes and harder is None:
            self.faults.refuse(
                f"the rule {self.id} could undersize the clutch and has no harder reading.",
                self.node,
                "Write harder: {fact: the value to take}.",
            )
        settle = self.fact(self.placed("settle").value, self.placed("settle"))
        if settle.source != "asked":
            self.faults.refuse(
                f"{settle.name} is not asked, so it settles nothing.", self.placed("settle"), "Name an asked fact."
            )
        taken = []
        for name, value in harder.items() if harder is not None else ():
            with self.faults.at(value):
                taken.append(self.taken(name, value))
        return Contradiction(
            tuple(node.value for node in self.placed("readings")), tuple(taken), settle.name, undersizes
        )

    def taken(self, name: str, value: "Node") -> Conclusion:
        """One fact of the harder reading and the value it takes."""
        fact = self.fact(name, value.key)
        if fact.source != "asked":
            self.faults.refuse(
                f"{name} is not asked, so no reading gives it another value.", value.key, "Name an asked fact."
            )
        other = (
            self.words.facts.get(value.value)
            if isinstance(value.value, str) and value.value not in fact.choices
            else None
        )
        if other is None:
            return Conclusion(fact.name, self.literal(fact, value), value.key)
        if (other.kind, other.unit) != (fact.kind, fact.unit):
            self.faults.refuse(
                f"{name} and {other.name} differ in kind or unit.", value, "Name a fact of the same kind."
            )
        return Conclusion(fact.name, FactRef(other.name), value.key)

    def check_placeholders(self, rule: Rule) -> None:
        """Texts may name only what the rule reads, concludes or uses as a limit: nothing else is in its record."""
        named = reads(rule) | {conclusion.fact for conclusion in rule.conclude}
        texts = [node["because"] for node in (self.node, self.outer) if node is not None and "because" in node][:1]
        for part in ("caution", "add", "do", "fit_by"):
            texts += [node[key] for node in self.node.many(part) for key in ("text", "in_short") if key in node]
        for node in texts:
            for name in PLACEHOLDER.findall(node.value):
                if name not in named:
                    self.faults.add(
                        f"the text names {{{name}}}, which the rule {self.id} does not read.",
                        node,
                        did_you_mean(name, sorted(named)) or "Name a fact of its conditions, limits or conclusions.",
                    )
