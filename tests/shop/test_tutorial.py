"""The tutorial is run exactly as it is printed, from nothing, and prints what it says it prints."""

import contextlib
import io
import re
import shlex

from advisor.cli import main
from tests.tutorial import PLACE, surroundings


def run(command, environment, folder, monkeypatch):
    """What a command prints, run in this process in the folder of somebody new; errors first, as in a pipe."""
    name, *words = shlex.split(command)
    if name == "export":
        shop, _, value = words[0].partition("=")
        environment[shop] = value
        return ""
    assert name == "advisor"
    out, err = io.StringIO(), io.StringIO()
    with monkeypatch.context() as patch:
        patch.chdir(folder)
        for name in ("LEAST_CLUTCH_SHOP", "XDG_DATA_HOME", "XDG_CONFIG_HOME"):
            patch.delenv(name, raising=False)
        for name, value in environment.items():
            patch.setenv(name, value)
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = main(words)
    assert code in (0, 2, 4), err.getvalue()
    return (err.getvalue() + out.getvalue()).rstrip("\n")


def test_the_tutorial_runs_as_printed(tmp_path, monkeypatch):
    text = PLACE.read_text(encoding="utf-8")
    environment, commands = surroundings(tmp_path), 0
    for block in re.findall(r"```\n(.*?)\n```", text, re.DOTALL):
        for part in re.split(r"(?m)^\$ ", block)[1:]:
            command, _, printed = part.partition("\n")
            assert run(command, environment, tmp_path, monkeypatch) == printed.rstrip("\n"), command
            commands += 1
    assert f"These were {commands} commands" in text
    quote = (tmp_path / "quote.txt").read_text(encoding="utf-8")
    assert "Alder 1.6 turbo hatchback" in quote and "319.00 EUR" in quote and "Measure before it is ordered" in quote
    assert "invented" in text.lower()


def test_the_command_prints_it(capsys):
    assert main(["shop", "tutorial"]) == 0
    assert capsys.readouterr().out.strip() == PLACE.read_text(encoding="utf-8").strip()
