"""Puts a real session and the list of commands into README.md: ``python -m tests.readme``.

README.md keeps the marks as comments, so that the parts between them can be made again.
"""

import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from advisor.cli import COMMANDS
from tests.conftest import ROOT

CASE = "scenarios/cases/mild-street-tune.yaml"


#: A complaint from the telephone to the lead's signature: commands, and from and up to which line what they print is
#: shown; none: all of it.
COMPLAINT = (
    (f"case save {CASE} --by 'counter 2'", None),
    ("case sold 1 --kit pellworth-240-s1 --on 2026-02-01", None),
    ("case fitted 1 --km 84000 --fitter professional --on 2026-02-03", None),
    (
        "case complaint 1 'it slips in fourth when I floor it, since the remap' pedal_by_itself=no broken_loose=no",
        ("Mind: Gently", "Causes"),
    ),
    ("case complaint 1 torque_now=452Nm", ("Cause:", "Causes")),
    ("case outcome 1 slipped --torque 452Nm --torque-at flywheel --source 'bed 1' --on 2026-11-20", None),
    ("case list --to-sign", None),
    ("case sign 1 --by 'Cleo Invented' --text 'sold for 370 N m, makes 452: decide again, no fault of the kit'", None),
)


#: A rule changed, from the draft to the buyer who is rung, in a copy of the demonstration; as `COMPLAINT`. A line that
#: begins with sed edits the draft; SIGN stands for the sign under which a departure is told in brackets.
SHOP = "our-shop"
CHANGED = (
    (f"case save {CASE} --name 'A Caller' --phone '000 111'", None),
    ("case sold 1 --kit pellworth-240-s1 --on 2026-11-02", None),
    ("rules draft thrust --change thrust-load-known", ("thrust-load-known-house", "Edit its")),
    (
        "sed -i 's/at_most: thrust_load_limit/at_most: 2000 N/; s/{thrust_load_limit}/2000 N/'"
        f" {SHOP}/drafts/thrust/case/thrust.yaml",
        None,
    ),
    ("rules compare", None),
    ("rules try --quick", ("departs", "")),
    ("rules adopt --by 'Cleo Invented' --why 'two thrust faces came back worn' --accept SIGN", None),
    ("rules impact --people", ("To ring", "one case")),
)


def ran(command, cwd=ROOT, **environment):
    """What a command prints."""
    done = subprocess.run(
        [sys.executable, "-m", "advisor", *shlex.split(command)],
        capture_output=True,
        text=True,
        cwd=cwd,
        stdin=subprocess.DEVNULL,
        env={"PATH": "/usr/bin:/bin", "COLUMNS": "80", "LEAST_CLUTCH_NO_CACHE": "1", **environment},
    )
    if done.returncode not in ends(command):
        raise SystemExit(f"advisor {command}: {done.stderr}")
    return done.stdout.rstrip()


def ends(command):
    """The exit codes a command of a session may end with; rules that depart from shipped ones are tried with 5."""
    return (0, 5) if command.startswith("rules try") else (0, 3)


def kept_in(folder):
    """Where commands that follow one another keep cases and what they read once."""
    return {"XDG_DATA_HOME": folder, "XDG_CACHE_HOME": folder, "LEAST_CLUTCH_NO_CACHE": ""}


def session():
    """The command and what it printed."""
    return f"```\n$ advisor recommend {CASE}\n{ran(f'recommend {CASE}')}\n```"


def complaint():
    """The commands from a complaint to a signature, each with what it printed or the part that matters."""
    lines = []
    with tempfile.TemporaryDirectory() as folder:
        for command, part in COMPLAINT:
            text = ran(command, **kept_in(folder))
            if part is not None:
                begin, end = (text.index(f"\n{word}") for word in part)
                text = f"[...]\n{text[begin:end].strip()}\n[...]"
            lines += [f"$ advisor {command}", text]
    return "\n".join(["```", *lines, "```"])


def changed():
    """The commands from a draft to the buyer who is rung, each with what it printed or the part that matters."""
    lines = [f"$ cp -r scenarios {SHOP}; rm -r {SHOP}/cases; export LEAST_CLUTCH_SHOP={SHOP}"]
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "scenarios").symlink_to(ROOT / "scenarios")
        # The demonstration's cases say what must come out of its own rules.
        shutil.copytree(ROOT / "scenarios", Path(folder, SHOP), ignore=shutil.ignore_patterns("cases"))
        there = {**kept_in(folder), "cwd": folder, "LEAST_CLUTCH_SHOP": SHOP, "PYTHONPATH": str(ROOT)}
        sign = ""
        for command, part in CHANGED:
            command = command.replace("SIGN", sign)
            if command.startswith("sed "):
                subprocess.run(shlex.split(command), cwd=folder, check=True)
                lines.append(f"$ {command}")
                continue
            text = "\n" + ran(command, **there) + "\n"
            if departing := re.search(r"^departs \((\w+)\)", text, re.MULTILINE):
                sign = departing[1]
            if part is not None:
                begin = text.index(f"\n{part[0]}")
                text = text[begin : text.index(f"\n{part[1]}", begin + 1) if part[1] else len(text)]
            lines += [f"$ advisor {command}", text.strip()]
    return "\n".join(["```", *lines, "```"])


def commands():
    """One line for each command."""
    return "\n".join(f"- `advisor {name}`: {line}" for name, (_, line) in COMMANDS.items())


#: The mark before each made part -> what makes it.
PARTS = {"session": session, "complaint": complaint, "changed": changed, "commands": commands}


def renewed(text):
    """README.md with its made parts made anew."""
    for mark, make in PARTS.items():
        before, _, rest = text.partition(f"<!-- {mark} -->\n")
        text = f"{before}<!-- {mark} -->\n{make()}\n<!-- end -->{rest.partition(chr(10) + '<!-- end -->')[2]}"
    return text


if __name__ == "__main__":
    readme = ROOT / "README.md"
    readme.write_text(renewed(readme.read_text(encoding="utf-8")), encoding="utf-8")
