"""The rules and records that ship load without a fault."""

from pathlib import Path

import pytest

from advisor.knowledge import load, rule_tests

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def shipped(content):
    return content.knowledge


def test_rules_of_every_kind_are_shipped(shipped):
    assert shipped.rules and shipped.calculations and shipped.figure_calculations and shipped.questions


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
