"""Puts a real session and the list of commands into README.md: ``python -m tests.readme``.

README.md keeps the marks as comments, so that the parts between them can be made again.
"""

import subprocess
import sys

from advisor.cli import COMMANDS
from tests.conftest import ROOT

CASE = "scenarios/cases/mild-street-tune.yaml"


def session():
    """The command and what it printed."""
    done = subprocess.run(
        [sys.executable, "-m", "advisor", "recommend", CASE],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=True,
        env={"PATH": "/usr/bin:/bin", "COLUMNS": "80", "LEAST_CLUTCH_NO_CACHE": "1"},
    )
    return f"```\n$ advisor recommend {CASE}\n{done.stdout.rstrip()}\n```"


def commands():
    """One line for each command."""
    return "\n".join(f"- `advisor {name}`: {line}" for name, (_, line) in COMMANDS.items())


def renewed(text):
    """README.md with its made parts made anew."""
    for mark, part in (("session", session()), ("commands", commands())):
        before, _, rest = text.partition(f"<!-- {mark} -->\n")
        text = f"{before}<!-- {mark} -->\n{part}\n<!-- end -->{rest.partition(chr(10) + '<!-- end -->')[2]}"
    return text


if __name__ == "__main__":
    readme = ROOT / "README.md"
    readme.write_text(renewed(readme.read_text(encoding="utf-8")), encoding="utf-8")
