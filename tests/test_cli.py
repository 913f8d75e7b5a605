"""The command line: help with an example for every command, exit codes, errors without tracebacks, pipes."""

import importlib
import os
import re
import subprocess
import sys
from types import SimpleNamespace

import pytest

from advisor.cli import COMMANDS, main
from tests import kept
from tests.conftest import ROOT

CASES = ROOT / "scenarios" / "cases"


@pytest.fixture
def told(capsys, monkeypatch):
    """told(*arguments) -> exit code, output and errors of the command, run in this process."""
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("COLUMNS", "80")
    kept.share(monkeypatch)

    def running(*arguments):
        capsys.readouterr()
        code = main([str(argument) for argument in arguments])
        shown = capsys.readouterr()
        return SimpleNamespace(returncode=code, stdout=shown.out, stderr=shown.err)

    return running


def run(*arguments, stdin=None, **environment):
    """Run the command in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "advisor", *map(str, arguments)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        input=stdin,
        env={**os.environ, "COLUMNS": "80", **environment},
        timeout=120,
    )


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_and_an_example(command, capsys):
    module, line = COMMANDS[command]
    document = importlib.import_module(f"advisor.commands.{module}").__doc__
    assert line and "example:" in document
    assert f"advisor {command}" in document
    assert main([command, "--help"]) == 0
    shown = capsys.readouterr().out
    assert "example:" in shown and f"advisor {command}" in shown


def test_the_reference_holds_every_command_and_all_it_does(capsys):
    """Each action of a command has a line of help and its own usage; where a command has several, all are listed."""
    assert main(["--help-all"]) == 0
    shown = capsys.readouterr().out
    counted = 0
    for command, (module, _) in COMMANDS.items():
        document = importlib.import_module(f"advisor.commands.{module}").__doc__
        assert f"usage: advisor {command} " in shown
        for action in re.findall(rf"^usage: advisor {command} ([a-z][a-z-]+)\b", shown, re.MULTILINE):
            counted += 1
            assert re.search(rf"^  {action}\b.*[a-z]", document, re.MULTILINE), f"{command} {action}"
    assert counted > 20


def test_bare_help_names_every_command(capsys):
    assert main(["--help"]) == 0
    shown = capsys.readouterr().out
    listed = {line.split()[0] for line in shown.splitlines() if line.startswith("    ") and line[4:5] != " "}
    assert set(COMMANDS) <= listed


@pytest.mark.parametrize(
    ("name", "code"), [("mild-street-tune", 0), ("stock-tired-clutch", 0), ("answers-missing", 3), ("nothing-fits", 4)]
)
def test_exit_codes(name, code, told):
    done = told("recommend", CASES / f"{name}.yaml")
    assert done.returncode == code, done.stderr
    assert done.stderr == ""
    assert "Invented shop" in done.stdout


def test_no_command():
    done = run()
    assert done.returncode == 2 and "advisor --help" in done.stderr and "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("recommend", "not-there.yaml"), ("not-there.yaml", "case file")),
        (("recommend", CASES), ("case file",)),
        (("recommend", CASES / "mild-street-tune.yaml", "--kits", "nowhere"), ("nowhere", "--kits")),
        (("recommend", ROOT / "README.md"), ("README.md",)),
        (("rules", "show", "thrust-load-knwon"), ("thrust-load-known",)),
        (("rules", "list", "--topic", "thrsut"), ("thrust",)),
        (("calculate", "torque_capacty"), ("torque_capacity",)),
        (("calculate", "torque_capacity", "clamp_load=430,5 N"), ("430,5", "430.5")),
        (
            (
                "calculate",
                "torque_capacity",
                "friction_coefficient=0.3",
                "clamp_load=5 kN",
                "mean_radius=-3 mm",
                "friction_surfaces=2",
            ),
            ("mean_radius",),
        ),
        (("calculate", "friction.checks"), ("friction.checks",)),
    ],
)
def test_bad_input_is_one_clear_error(arguments, words, told):
    done = told(*arguments)
    assert done.returncode == 2, done.stdout
    assert done.stdout == "" and "Traceback" not in done.stderr
    assert done.stderr.startswith("advisor: ")
    for word in words:
        assert word in done.stderr, done.stderr


def test_invalid_rules_exit_5(tmp_path, told):
    import shutil

    rules = tmp_path / "rules"
    shutil.copytree(ROOT / "rules", rules)
    path = rules / "case" / "thrust.yaml"
    text = path.read_text()
    assert "thrust_arc_deg: 180" in text
    path.write_text(text.replace("thrust_arc_deg: 180", "thrust_ark_deg: 180", 1))
    done = told("rules", "check", "--rules", rules)
    assert done.returncode == 5 and "Traceback" not in done.stderr
    assert "thrust.yaml:" in done.stderr and "thrust_arc_deg" in done.stderr


def test_case_on_standard_input(told):
    text = (CASES / "mild-street-tune.yaml").read_text()
    piped, named = run("recommend", "-", stdin=text), told("recommend", CASES / "mild-street-tune.yaml")
    assert piped.returncode == 0 and piped.stdout == named.stdout


def test_a_reader_that_goes_away_is_no_error():
    done = subprocess.run(
        f"{sys.executable} -m advisor rules list | head -n 1",
        shell=True,
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=120,
    )
    assert done.returncode == 0 and "Traceback" not in done.stderr and "Broken" not in done.stderr


@pytest.mark.parametrize("columns", [40, 80])
def test_the_screen_keeps_its_width(columns, told, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(columns))
    for name in ("pack-over-stroke", "nothing-fits", "answers-missing"):
        done = told("recommend", CASES / f"{name}.yaml", "--full")
        # A kit id or a word longer than the line is left whole.
        long = [line for line in done.stdout.splitlines() if len(line) > columns and " " in line.strip()]
        assert long == []


def test_trade_units_change_words_not_the_pick(told):
    si, trade = (
        told("recommend", CASES / "mild-street-tune.yaml", "--show", "why", "--units", units).stdout
        for units in ("si", "trade")
    )
    assert "N m" in si and "lb-ft" in trade and "lb-ft" not in si
    picked = [line for line in si.splitlines() if "(pellworth-240-s1)" in line]
    assert picked and all(line in trade for line in picked)


def test_the_card_stands_last_whatever_is_shown_before_it(told):
    card = told("recommend", CASES / "mild-street-tune.yaml").stdout.rsplit("\nMore:", 1)[0]
    assert card.count("\n") < 14
    for more in (["--show", "fitting", "--show", "parts"], ["--show", "all"], ["--full"]):
        shown = told("recommend", CASES / "mild-street-tune.yaml", *more).stdout
        assert shown.rstrip().endswith(card) and len(shown) > len(card)
    assert "Must be done" in told("recommend", CASES / "mild-street-tune.yaml", "--show", "fitting").stdout


def test_full_shows_every_firing(told):
    import json

    made = json.loads(told("recommend", CASES / "mild-street-tune.yaml", "--json").stdout)
    shown = told("recommend", CASES / "mild-street-tune.yaml", "--full").stdout
    flat = " ".join(shown.split())
    for firing in made["firings"]:
        assert f"{firing['id']} {firing['rule']} ({firing['kind']}, {firing['stage']})" in flat


@pytest.mark.parametrize("command, brief", [("recommend", True), ("serve", False), ("interview", False)])
def test_only_a_command_that_ends_soon_lets_rings_of_objects_wait(command, brief):
    """However long it lives and however large a shop it reads, what waits stays within a fixed number of objects."""
    program = f"import sys, gc; sys.argv = ['advisor', '{command}', '--help']; from advisor.__main__ import program;"
    ended = subprocess.run(
        [sys.executable, "-c", f"{program} usual = gc.get_threshold(); program(); print(usual, gc.get_threshold())"],
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=120,
    )
    usual, used = re.findall(r"\((\d+), \d+, \d+\)", ended.stdout.splitlines()[-1])
    assert (int(used) > int(usual)) == brief and 0 < int(used) <= 300_000
