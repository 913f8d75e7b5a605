"""The commands of the proofs as a lead types them."""

import json

import pytest

from advisor.cli import main

from ..rules.shop import SCENARIOS

CASE = str(SCENARIOS / "cases" / "mild-street-tune.yaml")


def run(capsys, *arguments):
    code = main(["rules", *arguments])
    shown = capsys.readouterr()
    return code, shown.out, shown.err


def test_why_silent_in_words(capsys):
    pytest.importorskip("z3", reason="needs the extra proofs: pip install 'least-clutch[proofs]'")
    code, out, _ = run(capsys, "silent", "dual-mass-overloaded", CASE)
    assert code == 0 and max(map(len, out.splitlines())) <= 80
    assert "fails: kind of flywheel: dual mass; it is single mass" in out
    assert "No change of fewer than 2 answers makes it fire: proved." in out


def test_why_silent_without_the_solver_says_what_is_missing(capsys, monkeypatch):
    from advisor.proving import exact

    monkeypatch.setattr(exact, "is_there", lambda: False)
    code, out, _ = run(capsys, "silent", "above-red-line", CASE)
    assert code == 0 and "fails:" in out and "pip install 'least-clutch[proofs]'" in out


def test_a_rule_that_fires_and_one_of_set_up(capsys, monkeypatch):
    from advisor.proving import exact

    monkeypatch.setattr(exact, "is_there", lambda: False)
    assert "fires for mild-street-tune" in run(capsys, "silent", "fits-spline", CASE)[1]
    code, out, _ = run(capsys, "silent", "aluminium-insert", CASE, "--json")
    assert code == 0 and json.loads(out)["least_change"] is None and json.loads(out)["failed"]


def test_a_rule_that_is_not_there_is_one_clear_error(capsys):
    code, out, err = run(capsys, "silent", "above-red-lin", CASE)
    assert (code, out) == (2, "") and "Nearest: above-red-line" in err


def test_new_cases_are_written_for_a_lead_and_hold_in_the_check(capsys, tmp_path):
    pytest.importorskip("z3", reason="needs the extra proofs: pip install 'least-clutch[proofs]'")
    code, out, _ = run(capsys, "cases", "--new", "--rule", "above-red-line", "--out", str(tmp_path))
    assert code == 0 and "2 cases" in out
    from advisor.commands.rules_check import Findings, run_cases

    from ..rules.test_check import content, sources

    for name in ("kits", "cases"):
        (tmp_path / "shop" / name).mkdir(parents=True)
    for word in ("fires", "silent"):
        path = tmp_path / f"above-red-line-{word}.yaml"
        (tmp_path / "shop" / "cases" / path.name).write_bytes(path.read_bytes())
    findings = Findings()
    run_cases(content(), sources(kits=tmp_path / "shop" / "kits"), findings)
    assert findings.faults == [] and findings.counts[0][0] == 2
    code, _, err = run(capsys, "cases", "--new", "--rule", "above-red-line", "--out", str(tmp_path))
    assert code == 2 and "--replace" in err


def test_new_cases_of_set_up_rules_are_refused(capsys, tmp_path):
    code, _, err = run(capsys, "cases", "--new", "--rule", "aluminium-insert", "--out", str(tmp_path / "new"))
    assert code == 2 and "rule of set-up" in err and not (tmp_path / "new").exists()
