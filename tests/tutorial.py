"""Makes the tutorial anew, each command with what it prints: ``python -m tests.tutorial``."""
# ruff: noqa: E501

import os
import shlex
import subprocess
import sys
import tempfile

from tests.conftest import ROOT

PLACE = ROOT / "scenarios/tutorial/tutorial.md"
IMPORT_CARS = "advisor shop import platforms cars.csv --supplier workshop"
IMPORT_KITS = "advisor shop import kits weir.csv"
#: Pairs of what is said and the commands below it; {} takes the mark of the command before.
STEPS = (
    (
        "# From a spreadsheet to a quote\n\nAn invented workshop, two invented cars, ten invented kits. Every command is"
        " typed as it stands; below it is what it prints.\n\nThe lists that it works on:",
        ("advisor shop tutorial --lists .",),
    ),
    (
        "## A shop\n\nA shop is a folder. Without options the command asks its questions one by one.",
        (
            'advisor shop new our-shop --name "Weir Lane Clutches" --lead "Ann Invented" --counter "Ben Invented"',
            "export LEAST_CLUTCH_SHOP=our-shop",
            "advisor shop check",
        ),
    ),
    (
        "## Two cars\n\nThe workshop measured them and wrote a spreadsheet. It is looked at first. What is written then is"
        " what the mark at the end stands for, and nothing else.",
        (IMPORT_CARS, IMPORT_CARS + " --write {}"),
    ),
    (
        "## Ten kits\n\nA wholesaler's price list, as it came. What the program cannot know it asks; what is answered once"
        " is kept with the supplier.",
        (
            IMPORT_KITS,
            IMPORT_KITS + ' --leave-out "Colour of box" --decimal "Clamping force N=."',
            IMPORT_KITS + " --write {}",
            "advisor shop check",
        ),
    ),
    (
        "## A first case\n\nSomebody with an Alder and a mild tune calls. The list prints no release load, so the"
        " crankshaft's thrust face can be told safe only at the worst of what such clutches have. The case is kept.",
        ("advisor recommend caller.yaml --save",),
    ),
    (
        "## What to measure\n\nWhich numbers would unlock most of the cases kept so far?",
        ("advisor shop gaps --car alder-16t --most 4",),
    ),
    (
        "The factory clutch w-100 and the gentlest kit, w-101, lie in the workshop: the fitter puts their covers on the press.",
        (
            'advisor shop measured w-100 "release_load=1860 N" --by "Ben Invented"',
            'advisor shop measured w-101 "release_load=2200 N" --by "Ben Invented"',
        ),
    ),
    ("## The advice", ("advisor recommend caller.yaml",)),
    (
        "What was measured stays: the next price list does not overwrite it. The quote:",
        ("advisor sheet caller.yaml --for customer --out quote.txt",),
    ),
)
#: {} takes the number of commands.
END = (
    "These were {} commands, from nothing to a quote. The machine is done with all of them in under a minute; the two"
    " readings on the press take a fitter about half an hour each."
)


def run(command, environment, folder):
    """What a command prints, both streams together."""
    words = shlex.split(command)
    if words[0] == "export":
        name, _, value = words[1].partition("=")
        environment[name] = value
        return ""
    done = subprocess.run(
        [sys.executable, "-m", *words],
        cwd=folder,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    assert done.returncode in (0, 2, 4) and "Traceback" not in done.stdout, done.stdout
    return done.stdout.rstrip("\n")


def surroundings(folder):
    """The environment of somebody new: no shop, no configuration, and a cache only of what these commands read."""
    return {
        "PATH": os.environ.get("PATH", "/usr/bin:/bin"),
        "HOME": str(folder),
        "PYTHONPATH": str(ROOT),
        "COLUMNS": "80",
    }


def made(folder):
    """The tutorial's text, run in an empty folder."""
    environment, parts, mark = surroundings(folder), [], ""
    count = sum(len(commands) for _, commands in STEPS)
    for said, commands in STEPS:
        shown = []
        for template in commands:
            command = template.replace("{}", mark)
            printed = run(command, environment, folder)
            mark = printed.rpartition("--write ")[2].split()[0] if "--write " in printed else mark
            shown += [f"$ {command}", *([printed] if printed else [])]
        parts.append(f"{said}\n\n```\n" + "\n".join(shown) + "\n```")
    return "\n\n".join([*parts, END.format(count)]) + "\n"


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as empty:
        PLACE.write_text(made(empty), encoding="utf-8")
