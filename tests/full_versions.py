"""The long counts of rule versions; `rows` is called by tests/full.py and gives (what, how many, result)."""

import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

from advisor.knowledge import rules_in_force
from advisor.versions import history as histories

from .casebook.impacts import EDITS
from .conftest import ROOT

KILLS = 60
#: Adopts one version after the other until it is killed; says each before it begins.
ADOPTING = """
import pathlib, sys
from advisor.versions import drafts
from advisor.versions.history import History
shop = pathlib.Path(sys.argv[1])
for count in range(1000):
    bodies = {f"case/f{number}.yaml": f"a: {count}\\n".encode() * 200 for number in range(12)}
    with History(shop, write=True) as history:
        number, sha256, _ = drafts.standing(history)
        history.adopt(bodies, expected=(number, sha256), by="The Lead", why="again", shipped="shipped", changes=[])
    print(number + 1, flush=True)
"""


def kills(count=KILLS):
    """Programs killed while they adopt: whoever comes next finds a whole version in force, the history's last one."""
    wrong, adopted, settled = [], 0, 0
    with tempfile.TemporaryDirectory() as folder:
        shop = Path(folder, "shop")
        (shop / "rules").mkdir(parents=True)
        os.environ["XDG_DATA_HOME"] = str(Path(folder, "data"))
        for turn in range(count):
            process = subprocess.Popen([sys.executable, "-c", ADOPTING, str(shop)], cwd=ROOT, stdout=subprocess.PIPE)
            process.stdout.readline()
            time.sleep(random.Random(turn).uniform(0, 0.15))
            process.send_signal(signal.SIGKILL)
            process.communicate()
            settled += (shop / "rules" / rules_in_force.NEXT).exists()
            histories.settle(shop)
            with histories.History(shop) as history:
                faults, versions = history.faults(), history.versions()
                held = rules_in_force.in_force(shop / "rules")
                if faults or held is None or rules_in_force.bodies(held.folder) != history.bodies(versions[-1]):
                    wrong.append(f"turn {turn}: {faults}")
                adopted = len(versions) - 1
    result = f"{adopted} versions adopted, {settled} killed in the middle of one"
    return ("programs killed while adopting", count, f"FAILED: {wrong[:3]}" if wrong or not adopted else result)


def rows():
    """Kills, and the tests too long for the ordinary run."""
    code = pytest.main(["-q", "-x", str(ROOT / "tests/versions/long_desk.py")])
    lines = str(ROOT / "tests/versions/test_compared.py::test_every_line_fits_the_page")
    every = {**os.environ, "VERSIONS_EVERY_EDIT": "1"}
    done = subprocess.run([sys.executable, "-m", "pytest", lines], cwd=ROOT, env=every, capture_output=True, text=True)
    return [
        ("drafts that a check stops", 3, "FAILED" if code else "all held"),
        ("lines of every edit fit the page", len(EDITS), f"FAILED: {done.stdout[-500:]}" if done.returncode else "all"),
        kills(),
    ]
