"""Complaints with what must come out (cases.tests.yaml beside the rules), and what comes out otherwise."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..errors import AdvisorError, KnowledgeError, Position
from ..knowledge import quantities, strict_yaml
from ..knowledge.complaint_model import ComplaintKnowledge
from ..knowledge.near import did_you_mean
from .as_sold import NOT_SOLD_HERE, Sold
from .diagnosis import Diagnoser, likely

#: The file of cases under a rules folder.
FILE = Path("complaints", "cases.tests.yaml")
#: What a case may say: who and what it is about, what was told and sold, and what must come out.
GIVEN, EXPECTED = (
    {"name", "story", "told", "sold"},
    {"first", "among", "class", "state", "next", "not", "fires", "silent", "never"},
)


@dataclass(frozen=True, slots=True)
class ComplaintCase:
    """A complaint: ``told`` and ``sold`` as values of facts, ``expected`` as plain data by key (of EXPECTED)."""

    name: str
    told: dict[str, Any]
    sold: Sold
    expected: dict[str, Any]
    position: Position


def read_cases(rules: Path, knowledge: ComplaintKnowledge) -> tuple[ComplaintCase, ...]:
    """The cases of a rules folder, none where it has no such file. KnowledgeError where one cannot be read."""
    path = rules / FILE
    if not path.is_file():
        return ()
    root = strict_yaml.load(path, error=KnowledgeError)
    if not isinstance(root.value, dict) or "cases" not in root or not isinstance(root["cases"].value, list):
        raise KnowledgeError("there is no list of cases here.", where=root.position, remedy="Write cases: and a list.")
    cases: dict[str, ComplaintCase] = {}
    for node in root["cases"]:
        case = _case(node, knowledge)
        if case.name in cases:
            raise KnowledgeError(
                f"there is a second case named {case.name!r}.", where=case.position, remedy="Name it apart."
            )
        cases[case.name] = case
    return tuple(cases.values())


def _case(node, knowledge):
    written = node.plain()
    if not isinstance(written, dict) or not isinstance(written.get("name"), str):
        raise KnowledgeError("this case has no name.", where=node.position, remedy="Give it a name.")
    for key in written:
        if key not in GIVEN | EXPECTED:
            raise KnowledgeError(
                f"{key!r} is nothing a case can say.",
                where=node.position,
                remedy=did_you_mean(key, sorted(GIVEN | EXPECTED)),
            )
    expected = {key: value for key, value in written.items() if key in EXPECTED}
    if not expected:
        raise KnowledgeError("this case expects nothing.", where=node.position, remedy="Say what must come out.")
    _refuse_unknown_names(expected, node, knowledge)
    symptoms, as_sold = (_values(written.get(key) or {}, node, knowledge) for key in ("told", "sold"))
    return ComplaintCase(
        written["name"], symptoms, Sold("sold-kit", as_sold) if as_sold else NOT_SOLD_HERE, expected, node.position
    )


def _refuse_unknown_names(expected, node, knowledge):
    rules = {rule.id for rule in knowledge.rules}
    names = {"first": knowledge.causes, "among": knowledge.causes, "not": knowledge.causes, "next": knowledge.symptoms}
    for key, value in expected.items():
        known = names.get(key, rules if key in ("fires", "silent", "never") else None)
        for name in value if isinstance(value, list) else [value]:
            if known is not None and name not in known:
                raise KnowledgeError(
                    f"{name!r} is nothing that {key} can name.",
                    where=node.position,
                    remedy=did_you_mean(str(name), sorted(known)),
                )


def _values(written, node, knowledge):
    values = {}
    for name, raw in written.items():
        fact = knowledge.facts.get(name)
        if fact is None:
            raise KnowledgeError(
                f"there is no symptom or fact {name!r}.",
                where=node.position,
                remedy=did_you_mean(name, knowledge.facts),
            )
        try:
            values[name] = quantities.read_value(fact, raw)
        except AdvisorError as error:
            raise KnowledgeError(f"{name}: {error.what}", where=node.position, remedy=error.remedy) from None
    return values


def differences(case: ComplaintCase, diagnoser: Diagnoser) -> list[str]:
    """Everything in which what comes of a complaint differs from what must; [] where it holds."""
    try:
        if {"state", "next"} & case.expected.keys():
            diagnosis = diagnoser.diagnose(case.told, case.sold)
            asked = diagnosis.checks[0].symptom.name if diagnosis.checks else "nothing"
            coming = {"state": diagnosis.state, "next": asked}
            return list(_differences(case.expected, diagnosis.agreed, diagnosis.standings, coming))
        weighed = diagnoser.weigh(case.told, case.sold)
    except AdvisorError as error:
        return [error.what.rstrip(".")]
    return list(_differences(case.expected, weighed.agreed, weighed.standings, {}))


def _differences(expected, agreed, standings, coming) -> Iterator[str]:
    fired = agreed.derivation.fired()
    first = standings[0].cause
    within = [standing.cause.id for standing in likely(standings)]
    for key, comes in ({"first": first.id, "class": first.kind} | coming).items():
        if expected.get(key, comes) != comes:
            yield f"{key}: expected {expected[key]}, found {comes}"
    yield from (
        f"{cause} should be within reach of the first" for cause in expected.get("among", ()) if cause not in within
    )
    yield from (
        f"{cause} should not be within reach of the first" for cause in expected.get("not", ()) if cause in within
    )
    yield from (f"{rule} should fire" for rule in expected.get("fires", ()) if rule not in fired)
    for key in ("silent", "never"):
        yield from (f"{rule} should not fire" for rule in expected.get(key, ()) if rule in fired)
