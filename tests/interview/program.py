"""The command itself in a process of its own, and what becomes of it when it is killed."""

import os
import random
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

from tests.conftest import ROOT

from . import shop

SCRIPT = [
    "bramble",
    "main_use = weekend_road",
    "engine_torque = 430 Nm measured",
    "torque_measured_at = wheels",
    "torque_growth_percent = 10",
    "shift_speed_rpm = 6800",
    "stop_and_go = some",
    "hard_launches_per_day = 0",
    "tyre_grip = summer",
    "pedal_tolerance = moderate",
    "noise_tolerance = ?",
    "undo",
    "noise_tolerance = some",
    "take_up_tolerance = some_judder",
    "sanctioned_racing = no",
    "installer = professional",
    "engine_torque = 400 Nm",
    "budget = 1500",
]


def command(*options):
    """The command line of an interview."""
    return [sys.executable, "-m", "advisor", "interview", *map(str, options)]


def environment(data, **more):
    """Environment with a data folder of its own; the cache is that of this run: rules are read once."""
    # Test runners set COLUMNS and LINES for their workers; a program on a terminal of its own must look at that.
    without = ("COLUMNS", "LINES", "LEAST_CLUTCH_NO_CACHE")
    kept = {name: value for name, value in os.environ.items() if name not in without}
    return {**kept, "XDG_DATA_HOME": str(data), "PYTHONPATH": str(ROOT), "TERM": "xterm", **more}


def run(data, text, *options, **more):
    """(exit code, standard output, standard error) of an interview fed with a text."""
    done = subprocess.run(
        command(*options),
        input=text,
        capture_output=True,
        env=environment(data, **more),
        cwd=data,
        timeout=120,
        **({} if isinstance(text, bytes) else {"text": True, "encoding": "utf-8"}),
    )
    return done.returncode, done.stdout, done.stderr


def killed(data, number):
    """Kill a scripted interview at a random moment; (path of its case, lines of the script that were acknowledged).

    An answer is acknowledged when the prompt after it has come. Lines are sent as the prompts come.
    """
    rng = random.Random(number)
    path = Path(data) / f"killed-{number}.yaml"
    child = subprocess.Popen(
        command("--case", path),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env=environment(data),
        cwd=data,
    )
    # Fast enough that the blow falls anywhere: while reading, writing, between the two files or while choosing.
    blow_after = rng.randrange(1, len(SCRIPT))
    delay = rng.random() * rng.choice([0.005, 0.03, 0.2])
    acknowledged, heard = 0, b""
    try:
        for sent, line in enumerate(SCRIPT):
            heard += until_prompt(child, heard)
            acknowledged = sent
            child.stdin.write(line.encode() + b"\n")
            child.stdin.flush()
            if sent == blow_after:
                time.sleep(delay)
                child.send_signal(signal.SIGKILL)
                break
    finally:
        child.kill()
        child.wait()
    return path, SCRIPT[:acknowledged]


def until_prompt(child, heard):
    """Bytes up to and with the next prompt."""
    found = b""
    while not re.search(rb"(^|\n)[a-z ,]+> $", found):
        byte = os.read(child.stdout.fileno(), 4096)
        if not byte:
            raise AssertionError(f"the program ended: {(heard + found).decode()[-500:]}")
        found += byte
    return found


def lost(data, number):
    """What of the acknowledged answers is missing after a kill; and whether the case can be gone on with."""
    from advisor.interview import case_file

    path, told = killed(data, number)
    state = case_file.read(path, shop.knowledge())
    expected = state_after(told)
    missing = [name for name, one in expected.items() if name not in state.said and state.car != one.value]
    # The one line that was sent but not acknowledged may have done its work or not.
    unsure = _named(SCRIPT[len(told)]) | ({"noise_tolerance"} if SCRIPT[len(told)] == "undo" else set())
    if "engine_torque" in unsure and "engine_torque" in expected:
        unsure.add("torque_measured_at")
    wrong = [name for name, one in expected.items() if name in state.said and state.said[name].value != one.value]
    return [name for name in missing + wrong if name not in unsure], path


def state_after(lines):
    """fact -> Said after some lines of the script."""
    from advisor.interview.state import Said, State, followers

    reader, follows = shop.reader(), followers(shop.knowledge())
    states = [State("x")]
    for line in lines:
        if line == "undo":
            states.pop()
            continue
        said = reader.read(line, "car" if states[-1].car is None else "main_use")
        states.append(states[-1].with_answers([one for one in said if isinstance(one, Said)], follows))
    found = dict(states[-1].said)
    if states[-1].car is not None:
        found["car"] = Said("car", "", states[-1].car)
    return found


def _named(line):
    return {line.partition(" = ")[0]} if " = " in line else {"car"} if line == SCRIPT[0] else set()
