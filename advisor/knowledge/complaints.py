"""From rules/causes.yaml, rules/symptoms.yaml and rules/complaints/*.yaml to checked knowledge of complaints."""

import dataclasses
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from ..errors import ErrorList, KnowledgeError, Position
from . import canonical, quantities, shapes, strict_yaml
from .complaint_model import (
    COMPLAINED,
    HOW,
    Argument,
    Cause,
    ComplaintKnowledge,
    ComplaintRule,
    Symptom,
)
from .conditions import Terms
from .faults import Faults
from .model import COMPLAINT, Fact, Knowledge
from .near import did_you_mean
from .rules import RuleReader, read_basis, reads
from .strict_yaml import Node
from .vocabulary import Wanted, flag

#: The folder of the rules, beside those of the other stages.
FOLDER = "complaints"
#: Symptoms that only what is prepared is worked out from.
PREPARING = ("torque_now", "torque_sold_for", "pedal_force_now")


def complaint_knowledge(folder: str | Path, shop: Knowledge) -> ComplaintKnowledge:
    """Everything in a rules folder that is about complaints; ``shop``: the knowledge of its other stages.

    Raises ErrorList of KnowledgeError.
    """
    folder = Path(folder)
    faults = Faults()
    roots = {name: _opened(folder / f"{name}.yaml", name, faults) for name in ("symptoms", "causes")}
    files = [
        (path, _opened(path, "complaint_rules", faults))
        for path in sorted((folder / FOLDER).glob("*.yaml"))
        if not path.name.endswith(".tests.yaml")
    ]
    if not files and not faults:
        faults.add("there are no rules on complaints.", None, f"Write them under {FOLDER}/.")
    faults.finish()
    symptoms = _symptoms(roots["symptoms"], faults)
    causes = _causes(roots["causes"], symptoms, faults)
    facts = _facts(shop, symptoms, roots["symptoms"], faults)
    faults.finish()
    words = Terms(facts, shop.figures, shop.kit_fields)
    rules: list[ComplaintRule] = []
    for _, root in files:
        rules += _rules(root, words, causes, faults)
    _check_together(rules, causes, symptoms, faults)
    faults.finish()
    out = float(quantities.read(str(roots["symptoms"].get("gearbox_out_minutes")), "1"))
    return ComplaintKnowledge(
        facts=facts,
        figures=shop.figures,
        kit_fields=shop.kit_fields,
        rules=tuple(rules),
        causes=causes,
        symptoms=symptoms,
        gearbox_out_minutes=out,
        sha256=canonical.sha256([{rule.id: rule.hash for rule in rules}, causes, symptoms, out]),
        shop=shop,
    )


def _opened(path: Path, kind: str, faults: Faults) -> Any:
    try:
        root = strict_yaml.load(path, error=KnowledgeError)
        shapes.check(root, kind, KnowledgeError)
        return root
    except ErrorList as several:
        faults.errors.extend(several.errors)
    except Exception as error:
        if not isinstance(error, KnowledgeError):
            raise
        faults.errors.append(error)
    return None


def _symptoms(root: Node, faults: Faults) -> dict[str, Symptom]:
    entries = root["symptoms"]
    complaints = tuple(entries[COMPLAINED]["choices"].value) if COMPLAINED in entries else ()
    if not complaints:
        faults.refuse(f"nothing says what is complained of: there is no symptom {COMPLAINED}.", entries)
    by_name = {}
    for name, entry in entries.items():
        with faults.at(entry):
            by_name[name] = _symptom(name, entry, complaints, faults)
    return by_name


def _symptom(name: str, entry: Node, complaints: tuple[str, ...], faults: Faults) -> Symptom:
    fact = _fact(name, entry, "asked", faults)
    of = complaints if entry.get("of") == "all" else tuple(node.value for node in entry["of"])
    for node in entry["of"] if entry.get("of") != "all" else ():
        if node.value not in complaints:
            faults.add(f"there is no complaint {node.value!r}.", node, did_you_mean(node.value, complaints))
    words = {key: node.value for key, node in entry["choices"].items()} if "choices" in entry else {}
    minutes = float(quantities.read(str(entry.get("minutes")), "1"))
    how = entry.get("how")
    if how not in HOW:
        faults.add(f"nothing is learned by {how!r}.", entry["how"], did_you_mean(how, HOW))
    return Symptom(
        fact,
        entry.get("ask"),
        of,
        minutes,
        how,
        words,
        entry.get("tools", ""),
        entry.get("limit", ""),
        flag(entry, "first", False),
        _said(entry, words, faults),
    )


def _said(entry: Node, words: Mapping[str, str], faults: Faults) -> dict[str, tuple[str, ...]]:
    """What people say for each value."""
    if "said" not in entry:
        return {}
    values = tuple(words) if words else ("yes", "no")
    for key, node in entry["said"].items():
        if key not in values:
            faults.add(f"there is no choice {key!r}.", node, did_you_mean(key, values))
    return {key: tuple(phrase.value for phrase in node) for key, node in entry["said"].items()}


def _fact(name: str, entry: Node, source: str, faults: Faults) -> Fact:
    """The fact of a symptom, or one that is prepared."""
    kind, unit, low, high = entry.get("kind"), "", None, None
    if kind == "number":
        with faults.placed(entry["unit"]):
            unit = quantities.unit_of(str(entry.get("unit"))).name
        if "range" in entry:
            with faults.placed(entry["range"]):
                low, high = (quantities.read(node.value, Wanted(name, unit)) for node in entry["range"])
    choices = tuple(entry["choices"].value) if "choices" in entry else ()
    if (kind == "choice") != bool(choices):
        faults.add(f"{name}: a choice has choices, and nothing else has.", entry, "Write kind: choice with choices.")
    return Fact(name, kind, entry.get("label"), source, unit, choices, low, high, output=True, position=entry.key)


def _causes(root: Node, symptoms: Mapping[str, Symptom], faults: Faults) -> dict[str, Cause]:
    likely: dict[str, dict[str, float]] = {}
    complaints = symptoms[COMPLAINED].fact.choices if COMPLAINED in symptoms else ()
    names = [name for name, _ in root["causes"].items()]
    for complaint, points in root["likely"].items():
        if complaint not in complaints:
            texts = [choice for choice in complaints if isinstance(choice, str)]
            faults.add(f"there is no complaint {complaint!r}.", points.key, did_you_mean(complaint, texts))
        for name, node in points.items():
            if name not in names:
                faults.add(f"there is no cause {name!r}.", node.key, did_you_mean(name, names))
            likely.setdefault(name, {})[complaint] = float(node.value)
    for complaint in complaints:
        if complaint not in root["likely"]:
            faults.add(f"no cause can make the complaint {complaint}.", root["likely"].key, "Write it under likely.")
    return {
        name: Cause(
            name,
            entry.get("class"),
            entry.get("label"),
            entry.get("means"),
            entry.get("check"),
            float(entry.get("minutes")),
            flag(entry, "inside", False),
            entry.get("drive"),
            entry.get("remedy"),
            likely.get(name, {}),
            read_basis(entry["basis"]),
        )
        for name, entry in root["causes"].items()
    }


def _facts(shop: Knowledge, symptoms: Mapping[str, Symptom], root: Node, faults: Faults) -> dict[str, Fact]:
    facts = dict(shop.facts)
    fact_list = [(symptom.fact, "symptom") for symptom in symptoms.values()]
    for name, entry in root["prepared"].items() if "prepared" in root else ():
        with faults.at(entry):
            fact_list.append((_fact(name, entry, "derived", faults), "prepared fact"))
    for fact, what in fact_list:
        if fact.name in facts:
            faults.add(
                f"the {what} {fact.name} has the name of a fact of the case.", fact.position, "Give it another name."
            )
        facts[fact.name] = fact
    return facts


def _rules(root: Node, words: Terms, causes: Mapping[str, Cause], faults: Faults) -> list[ComplaintRule]:
    rules = []
    for node in root["rules"]:
        for member in node.many("group") or (node,):
            with faults.at(member):
                outer = None if member is node else node
                rules.append(_Reader(member, outer, COMPLAINT, root.get("topic"), words, faults, causes).rule())
    return rules


class _Reader(RuleReader):
    """One rule of stage complaint."""

    parts = ("argue", "caution", "conclude")

    def __init__(
        self,
        node: Node,
        outer: Node | None,
        stage: str,
        topic: str,
        words: Terms,
        faults: Faults,
        causes: Mapping[str, Cause],
    ) -> None:
        super().__init__(node, outer, stage, topic, words, faults)
        self.causes = causes

    def rule(self) -> ComplaintRule:
        """The rule with what it argues, under a hash over both."""
        plain = super().rule()
        argued_rule = ComplaintRule(
            **{part.name: getattr(plain, part.name) for part in dataclasses.fields(plain)}, argue=self.arguments()
        )
        return dataclasses.replace(argued_rule, hash=canonical.sha256(argued_rule))

    def arguments(self) -> tuple[Argument, ...]:
        """An Argument for every cause that an entry of argue names."""
        arguments_read: list[Argument] = []
        first: dict[str, Position] = {}
        for node in self.node.many("argue"):
            points = float(node["points"].value)
            for member in node["cause"]:
                if member.value not in self.causes:
                    self.faults.add(
                        f"there is no cause {member.value!r}.", member, did_you_mean(member.value, self.causes)
                    )
                elif member.value in first:
                    self.faults.add(
                        f"the rule {self.id} argues twice about {member.value} (first in line "
                        f"{first[member.value].line}).",
                        member,
                        "Keep one of the two.",
                    )
                first.setdefault(member.value, member.position)
                arguments_read.append(Argument(member.value, node.get("sign"), points, node.get("group")))
        return tuple(arguments_read)


def _check_together(
    rules: Iterable[ComplaintRule], causes: Mapping[str, Cause], symptoms: Mapping[str, Symptom], faults: Faults
) -> None:
    """Ids used twice, and symptoms, causes and groups that nothing uses or that nothing could find."""
    seen: dict[str, ComplaintRule] = {}
    read, lifted = {COMPLAINED}, set()
    for rule in rules:
        if rule.id in seen:
            faults.add(f"the id {rule.id} is used twice.", rule.position, "Ids are never used again.")
        seen[rule.id] = rule
        read |= reads(rule)
        lifted |= {argument.cause for argument in rule.argue if argument.weight >= 6}
        if len({argument.group for argument in rule.argue}) > 1:
            faults.add(
                f"the rule {rule.id} argues in several groups; one observation is one witness.",
                rule.position,
                "Write one group.",
            )
    for name, symptom in symptoms.items():
        if name not in read and name not in PREPARING:
            faults.add(f"no rule reads the symptom {name}.", symptom.fact.position, "Take it out, or write a rule.")
    for name, cause in causes.items():
        if name not in lifted:
            faults.add(f"nothing speaks clearly for the cause {name}.", None, "Give some sign 6 points for it.")
        if not cause.likely:
            faults.add(f"the cause {name} can make no complaint.", None, "Name it under likely.")
