"""The shipped rules on complaints, opened once, and their cases as written."""

import functools

from advisor.complaints.as_sold import Sold
from advisor.complaints.diagnosis import Diagnoser
from advisor.errors import KnowledgeError
from advisor.knowledge import quantities, strict_yaml
from advisor.knowledge.complaints import complaint_knowledge
from tests import shipped
from tests.conftest import ROOT

RULES = ROOT / "rules"


@functools.cache
def diagnoser():
    """Both engines over the shipped rules."""
    return Diagnoser(complaint_knowledge(RULES, shipped.content().knowledge))


@functools.cache
def cases():
    """name -> a case of cases.tests.yaml as plain data."""
    root = strict_yaml.load(RULES / "complaints" / "cases.tests.yaml", error=KnowledgeError)
    listed = root["cases"].plain()
    assert len({case["name"] for case in listed}) == len(listed)
    return {case["name"]: case for case in listed}


def value(name, raw):
    """The canonical value of any fact of the stage, as written in a case."""
    read = quantities.read_value(diagnoser().knowledge.facts[name], raw if isinstance(raw, str) else str(raw))
    assert read is not None, name
    return read


def told_and_sold(case):
    """(symptom -> value, `Sold`) of a case."""
    told = {name: value(name, raw) for name, raw in case["told"].items()}
    sold = {name: value(name, raw) for name, raw in case.get("sold", {}).items()}
    return told, Sold("sold-kit" if sold else "", sold)


@functools.cache
def diagnosed(name):
    """The Diagnosis of a case."""
    return diagnoser().diagnose(*told_and_sold(cases()[name]))
