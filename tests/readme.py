"""Puts a real session and the list of commands into README.md: ``python -m tests.readme``.

README.md keeps the marks as comments, so that the parts between them can be made again.
"""

import shlex
import subprocess
import sys
import tempfile

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


def ran(command, **environment):
    """What a command prints."""
    done = subprocess.run(
        [sys.executable, "-m", "advisor", *shlex.split(command)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        env={"PATH": "/usr/bin:/bin", "COLUMNS": "80", "LEAST_CLUTCH_NO_CACHE": "1", **environment},
    )
    if done.returncode not in (0, 3):
        raise SystemExit(f"advisor {command}: {done.stderr}")
    return done.stdout.rstrip()


def session():
    """The command and what it printed."""
    return f"```\n$ advisor recommend {CASE}\n{ran(f'recommend {CASE}')}\n```"


def complaint():
    """The commands from a complaint to a signature, each with what it printed or the part that matters."""
    lines = []
    with tempfile.TemporaryDirectory() as folder:
        for command, part in COMPLAINT:
            text = ran(command, XDG_DATA_HOME=folder)
            if part is not None:
                begin, end = (text.index(f"\n{word}") for word in part)
                text = f"[...]\n{text[begin:end].strip()}\n[...]"
            lines += [f"$ advisor {command}", text]
    return "\n".join(["```", *lines, "```"])


def commands():
    """One line for each command."""
    return "\n".join(f"- `advisor {name}`: {line}" for name, (_, line) in COMMANDS.items())


def renewed(text):
    """README.md with its made parts made anew."""
    for mark, part in (("session", session()), ("complaint", complaint()), ("commands", commands())):
        before, _, rest = text.partition(f"<!-- {mark} -->\n")
        text = f"{before}<!-- {mark} -->\n{part}\n<!-- end -->{rest.partition(chr(10) + '<!-- end -->')[2]}"
    return text


if __name__ == "__main__":
    readme = ROOT / "README.md"
    readme.write_text(renewed(readme.read_text(encoding="utf-8")), encoding="utf-8")
