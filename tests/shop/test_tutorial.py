"""The tutorial is run exactly as it is printed, from nothing, and prints what it says it prints."""

import re

from advisor.cli import main
from tests.tutorial import PLACE, run, surroundings


def test_the_tutorial_runs_as_printed(tmp_path):
    text = PLACE.read_text(encoding="utf-8")
    environment, commands = surroundings(tmp_path), 0
    for block in re.findall(r"```\n(.*?)\n```", text, re.DOTALL):
        for part in re.split(r"(?m)^\$ ", block)[1:]:
            command, _, printed = part.partition("\n")
            assert run(command, environment, tmp_path) == printed.rstrip("\n"), command
            commands += 1
    assert f"These were {commands} commands" in text
    quote = (tmp_path / "quote.txt").read_text(encoding="utf-8")
    assert "Alder 1.6 turbo hatchback" in quote and "319.00 EUR" in quote and "Measure before it is ordered" in quote
    assert "invented" in text.lower()


def test_the_command_prints_it(capsys):
    assert main(["shop", "tutorial"]) == 0
    assert capsys.readouterr().out.strip() == PLACE.read_text(encoding="utf-8").strip()
