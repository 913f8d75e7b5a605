"""The tests that stand beside the rules, <topic>.tests.yaml, as data; the engine room runs them."""

import dataclasses
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from ..errors import ErrorList, KnowledgeError, Position
from ..frozen import frozen
from . import quantities, shapes, strict_yaml
from .faults import Faults
from .load import rule_paths
from .model import STAGES, Knowledge, Value
from .near import did_you_mean

ABSENT = "absent"


@frozen
class RuleTest:
    """One test: facts given (canonical values) and what must come of them.

    ``answered``: facts that count as answered by somebody; all asked ones given where the test does not say.
    ``expect``: fact -> value, or None where it must have none. ``requirements``, ``items`` and ``cautions`` are
    ids, or None where the test says nothing of them. ``also_when`` and ``silent_when``: changes to what is given
    (None takes a fact out), under each of which all, or none, of ``fired`` must fire. ``passes`` and ``fails``: pairs
    (requirement id, what the kit has) that must and must not meet the posted requirement.
    """

    name: str
    topic: str
    stage: str
    given: Mapping[str, Value]
    answered: frozenset
    expect: Mapping[str, Value | None]
    requirements: tuple[str, ...] | None
    items: tuple[str, ...] | None
    cautions: tuple[str, ...] | None
    fired: tuple[str, ...]
    not_fired: tuple[str, ...]
    position: Position
    also_when: tuple[Mapping[str, Value | None], ...] = ()
    silent_when: tuple[Mapping[str, Value | None], ...] = ()
    passes: tuple[tuple[str, Value], ...] = ()
    fails: tuple[tuple[str, Value], ...] = ()


def renamed(test: RuleTest, names: Mapping[str, str]) -> RuleTest:
    """The test with the ids it names, of rules and of what they post, as others call them."""

    def ids(listed):
        return None if listed is None else tuple(names.get(name, name) for name in listed)

    def pairs(listed):
        return tuple((names.get(name, name), value) for name, value in listed)

    return dataclasses.replace(
        test,
        requirements=ids(test.requirements),
        items=ids(test.items),
        cautions=ids(test.cautions),
        fired=ids(test.fired),
        not_fired=ids(test.not_fired),
        passes=pairs(test.passes),
        fails=pairs(test.fails),
    )


def read_folder(folder: Path | str, knowledge: Knowledge) -> "tuple[RuleTest, ...]":
    """Every rule test under a rules folder, in order of stage and file name.

    Raises ErrorList of KnowledgeError.
    """
    tests: list[Any] = []
    faults = Faults()
    for stage in STAGES:
        for path in rule_paths(folder, stage, ".tests.yaml"):
            try:
                tests += read_file(path, knowledge)
            except ErrorList as several:
                faults.errors += several.errors
            except KnowledgeError as error:
                faults.errors.append(error)
    faults.finish()
    return tuple(tests)


def read_file(path: Path | str, knowledge: Knowledge) -> "tuple[RuleTest, ...]":
    """The rule tests of one file; its folder is the stage, its name the topic."""
    path = Path(path)
    topic = path.name.removesuffix(".tests.yaml")
    stage = topic if topic == "consistency" else path.parent.name
    root = strict_yaml.load(path, error=KnowledgeError)
    shapes.check(root, "rule_tests", KnowledgeError)
    names: dict[str, Any] = {}
    faults, tests = Faults(), []
    for node in root["tests"]:
        with faults.at(node):
            test = _Reader(node, stage, topic, knowledge, faults).test()
            if test.name in names:
                faults.add(
                    f"there is a second test named {test.name!r} (first in line {names[test.name].line}).",
                    node["name"],
                    "Name it apart.",
                )
            names.setdefault(test.name, node.position)
            tests.append(test)
    faults.finish()
    return tuple(tests)


class _Reader:
    def __init__(self, node, stage, topic, knowledge, faults):
        self.node, self.stage, self.topic, self.knowledge, self.faults = node, stage, topic, knowledge, faults

    def test(self):
        node, rules = self.node, self.knowledge.rules
        given = self.values(node["given"], absent=False)
        asked = {name for name in given if self.knowledge.facts[name].source in ("asked", "platform", "factory_kit")}
        answered = asked
        if "answered" in node:
            answered = set(node.get("answered"))
            for name_node in node["answered"]:
                if name_node.value not in given:
                    self.faults.add(
                        f"{name_node.value} is said to be answered but is not given.", name_node, "Add it under given."
                    )
        ids = {rule.id for rule in rules}
        parts = {
            "expect_requirements": {name_node.id for rule in rules for name_node in rule.require},
            "expect_items": {name_node.id for rule in rules for name_node in rule.items},
            "expect_cautions": {name_node.id for rule in rules for name_node in rule.cautions},
        }
        requirements, items, cautions = (self.ids(key, known) if key in node else None for key, known in parts.items())
        fired, not_fired = self.ids("expect_fired", ids), self.ids("expect_not_fired", ids)
        for both in sorted(set(fired) & set(not_fired)):
            self.faults.add(f"{both} must fire and must not fire.", node, "Keep one of the two.")
        if not any(key.startswith("expect") for key in node.value):
            self.faults.add("this test expects nothing.", node, "Say what must come out.")
        return RuleTest(
            node.get("name"),
            self.topic,
            self.stage,
            given,
            frozenset(answered),
            self.values(node["expect"], absent=True) if "expect" in node else {},
            requirements,
            items,
            cautions,
            fired,
            not_fired,
            node.position,
            tuple(self.values(change, absent=True) for change in node.many("also_when")),
            tuple(self.values(change, absent=True) for change in node.many("silent_when")),
            self.measures("passes"),
            self.measures("fails"),
        )

    def measures(self, key):
        """Pairs (requirement id, what the kit has) in the unit of the figure or field measured."""
        posted = {requirement.id: requirement for rule in self.knowledge.rules for requirement in rule.require}
        pairs = []
        for name, node in self.node[key].items() if key in self.node else ():
            requirement = posted.get(name)
            if requirement is None:
                self.faults.add(f"{name!r} is no id of a requirement.", node.key, did_you_mean(name, posted))
                continue
            with self.faults.at(node):
                if requirement.source == "kit":
                    value = quantities.read_value(self.knowledge.kit_fields[requirement.measure], node.plain())
                else:
                    value = quantities.read(node.plain(), self.knowledge.figures[requirement.measure])
                pairs.append((name, value))
        return tuple(pairs)

    def values(self, part, absent):
        values: dict[str, Any] = {}
        for name, node in part.items():
            fact = self.knowledge.facts.get(name)
            if fact is None:
                self.faults.add(
                    f"the fact {name!r} is not in the vocabulary.", node.key, did_you_mean(name, self.knowledge.facts)
                )
                continue
            with self.faults.at(node):
                if absent and node.value == ABSENT and ABSENT not in fact.choices:
                    values[name] = None
                    continue
                value = quantities.read_value(fact, node.plain())
                if value is None:
                    self.faults.refuse(
                        f"unknown is no value of {name}.",
                        node,
                        "Leave the fact out." if not absent else "Write absent.",
                    )
                values[name] = value
        return values

    def ids(self, key, known):
        for node in self.node.many(key):
            if node.value not in known:
                self.faults.add(
                    f"{node.value!r} is no id that {key.removeprefix('expect_')} can name.",
                    node,
                    did_you_mean(node.value, sorted(known)),
                )
        return tuple(self.node.get(key, ()))


def untested(knowledge: Knowledge, tests: "Iterable[RuleTest]") -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Rules that no test makes fire, and rules that no test keeps silent: two tuples of ids in rule order."""
    fires = {name for test in tests for name in test.fired}
    silent = {name for test in tests for name in test.not_fired}
    ids = [rule.id for rule in knowledge.rules]
    return tuple(name for name in ids if name not in fires), tuple(name for name in ids if name not in silent)
