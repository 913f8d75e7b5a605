"""The rules and records that ship load without a fault, and quickly."""

import time
from pathlib import Path

import pytest

from advisor.knowledge import load, rule_tests

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def shipped():
    return load.knowledge(ROOT / "rules")


def test_rules_load_in_little_time():
    load.knowledge(ROOT / "rules")
    start = time.process_time()
    knowledge = load.knowledge(ROOT / "rules")
    assert time.process_time() - start < 3.0
    assert knowledge.rules and knowledge.calculations and knowledge.figure_calculations and knowledge.questions


def test_records_load_and_agree(shipped):
    kits, platforms, parts = (
        getattr(load, kind)(ROOT / "scenarios" / kind, shipped) for kind in ("kits", "platforms", "parts")
    )
    assert kits and platforms and parts
    load.check_together(kits, platforms, parts)
    assert all(record.fields["invented"] is True for record in (*kits, *platforms, *parts))


def test_cases_load(shipped):
    for path in sorted((ROOT / "scenarios/cases").glob("*.yaml")):
        case = load.case(path, shipped)
        assert case.expect, path.name


def test_rule_tests_load(shipped):
    rule_tests.read_folder(ROOT / "rules", shipped)
