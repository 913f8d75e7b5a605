"""What `advisor rules check` runs beside reading the rules: their own tests, and cases with what must come out."""

import dataclasses
import shutil

import pytest

from advisor.commands import rules_check
from advisor.knowledge.complaints import complaint_knowledge
from advisor.knowledge.model import Remark
from advisor.knowledge.sources import Content, Sources

from .shop import RULES, SCENARIOS, knowledge, shop


def content():
    return Content(knowledge(), shop().kits, shop().platforms, shop().parts, {})


def sources(**places):
    folders = {name: SCENARIOS / name for name in ("kits", "platforms", "parts")}
    return Sources(**{"rules": RULES, **folders, **places})


@pytest.fixture
def thrust_tests(tmp_path):
    """A rules folder that holds the tests of one topic only."""
    (tmp_path / "case").mkdir()
    return shutil.copy(RULES / "case" / "thrust.tests.yaml", tmp_path / "case" / "thrust.tests.yaml")


def run_of_tests(path, **places):
    findings = rules_check.Findings()
    rules_check.run_tests(content(), sources(rules=path.parent.parent, **places), findings)
    return findings


def edited(path, before, after):
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after, 1), encoding="utf-8")
    return path


def test_the_tests_beside_the_rules_are_run(thrust_tests):
    findings = run_of_tests(thrust_tests)
    assert findings.faults == [] and findings.counts[0][0] > 10


def test_a_changed_expectation_is_found_with_its_place(thrust_tests):
    (fault,) = run_of_tests(edited(thrust_tests, "thrust_ratio_must: 1.4", "thrust_ratio_must: 1.5")).faults
    assert "expected 1.5, found 1.4" in fault.what and fault.where.line > 0 and fault.exit_code == 5


@pytest.mark.parametrize("garbage", ["tests: [", "tests: {a: b}\n", "\tnonsense\n", "tests:\n  - name: nothing\n"])
def test_garbage_in_a_tests_file_is_an_error(thrust_tests, garbage):
    thrust_tests.write_text(garbage, encoding="utf-8")
    faults = run_of_tests(thrust_tests).faults
    assert faults and all(fault.where.file == str(thrust_tests) for fault in faults)


def test_a_shipped_test_that_a_house_changes_is_a_remark(tmp_path):
    rules = shutil.copytree(RULES, tmp_path / "rules")
    (tmp_path / "house").mkdir()
    tests = edited(rules / "case" / "thrust.tests.yaml", "thrust_ratio_must: 1.4", "thrust_ratio_must: 1.5")
    findings = run_of_tests(tests, house=tmp_path / "house")
    assert findings.faults == [] and any("expected 1.5, found 1.4" in remark for remark in findings.remarks)


@pytest.mark.parametrize("proved", [True, False])
def test_what_two_rules_leave_open_is_told_only_where_nothing_is_proved(monkeypatch, proved):
    for step in ("_counted", "run_tests"):
        monkeypatch.setattr(rules_check, step, lambda *given: None)
    monkeypatch.setattr(rules_check, "run_proofs", lambda *given, **which: proved)
    remarks = (Remark("a branch changes nothing"), Remark("two may both conclude", until_proved=True))
    known = dataclasses.replace(content(), knowledge=dataclasses.replace(knowledge(), remarks=remarks))
    findings = rules_check.check(known, sources(), quick=True)
    assert findings.remarks == ["a branch changes nothing"] + ([] if proved else ["two may both conclude"])


def cases_run(tmp_path, text):
    for name in ("kits", "platforms", "parts", "cases"):
        (tmp_path / name).mkdir()
    (tmp_path / "cases" / "mine.yaml").write_text(text, encoding="utf-8")
    findings = rules_check.Findings()
    rules_check.run_cases(content(), sources(kits=tmp_path / "kits"), findings)
    return findings


CASE = (SCENARIOS / "cases" / "above-red-line.yaml").read_text(encoding="utf-8")


def test_a_shops_own_case_is_decided(tmp_path):
    findings = cases_run(tmp_path, CASE)
    assert findings.faults == [] and findings.counts == [(1, "cases with what must come out")]


@pytest.mark.parametrize(
    "before, after, what",
    [
        ("pick: factory-sedge-18", "pick: factory-bramble-20t", "pick: expected factory-bramble-20t"),
        ("outcome: recommended", "outcome: no_kit_fits", "outcome: expected no_kit_fits"),
        ("next_down: none", "nxt_down: none", "unknown key nxt_down"),
        ("given_up: []", "refused: {no-such-kit: [x]}", "there is no kit no-such-kit"),
        ("given_up: []", "facts: {no_such_fact: 1}", "there is no fact no_such_fact"),
        ("given_up: []", "facts: {required_torque: many}", "facts:"),
        ("given_up: []", "pick_is: 3", "pick_is: it cannot be read"),
        ("platform: sedge-18", "platform: sedge-19", "no platform"),
        ("shift_speed_rpm: 7300", "shift_speed_rpm: 99999999", "shift_speed_rpm"),
    ],
)
def test_a_case_that_comes_out_otherwise_is_one_clear_error(tmp_path, before, after, what):
    assert before in CASE
    text = CASE.replace("  pick_is: {discs: 1, facing: organic, hub: sprung}\n", "") if "pick_is" in after else CASE
    (fault,) = cases_run(tmp_path, text.replace(before, after)).faults
    assert what in str(fault) and str(tmp_path) in str(fault.where)


def test_the_shipped_cases_are_for_the_shipped_shop_only(tmp_path):
    findings = rules_check.Findings()
    rules_check.run_cases(content(), sources(kits=tmp_path), findings)
    assert findings.counts == [(0, "cases with what must come out")]


@pytest.fixture
def complaint_cases(tmp_path):
    """A rules folder that holds the first cases of complaints only."""
    (tmp_path / "complaints").mkdir()
    path = tmp_path / "complaints" / "cases.tests.yaml"
    text = (RULES / "complaints" / "cases.tests.yaml").read_text(encoding="utf-8")
    path.write_text(text[: text.index("  - name: map-last-saturday")], encoding="utf-8")
    return path


def run_of_complaints(path):
    findings = rules_check.Findings()
    rules_check.run_complaints(complaint_knowledge(RULES, knowledge()), path.parent.parent, findings)
    return findings


def test_the_complaints_beside_the_rules_are_run(complaint_cases):
    findings = run_of_complaints(complaint_cases)
    assert findings.faults == [] and findings.counts == [(2, "complaints with what must come out")]


@pytest.mark.parametrize(
    "before, after, words",
    [
        ("first: not_bedded", "first: worn_out", "first: expected worn_out, found not_bedded"),
        ("silent: [getting-worse", "silent: [better-within-bedding", "better-within-bedding should not fire"),
        ("first: not_bedded", "first: not_beded", "'not_beded' is nothing that first can name"),
        ("first: not_bedded", "frist: not_bedded", "'frist' is nothing a case can say"),
        ("km_since_fitting: 180 km", "km_since_fitting: 180 kg", "km_since_fitting"),
        ("name: first-week-less-each-day", "name: dated-power-sheet", "a second case named"),
        ("cases:\n", "kases:\n", "no list of cases"),
    ],
)
def test_a_complaint_that_comes_out_otherwise_and_garbage_are_found_with_their_place(
    complaint_cases, before, after, words
):
    (fault,) = run_of_complaints(edited(complaint_cases, before, after)).faults
    assert words in fault.what and fault.where.line > 0 and fault.remedy
