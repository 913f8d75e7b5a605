"""The long counts of a casebook on a server; `rows` is called by tests/full.py and gives (what, how many, result)."""

import contextlib
import os
import re
import subprocess
import sys
import time
from pathlib import Path

from tests import database
from tests.casebook import server_stress, shared_impact, stores
from tests.full import own_folder, rows_of

WRITERS, CLIENTS_KILLED, SERVERS_KILLED, CUTS, SHARED, ENDED = 32, 200, 50, 300, 2_000, 40
RUN_OVER, RUNS = 240, 8
ROOT = Path(__file__).resolve().parents[1]


@contextlib.contextmanager
def _server():
    server = database.Server()
    try:
        server.database("chain")
        yield server
    finally:
        server.end()


#: Tests of pages that keep and show cases.
PAGES = ("tests/web/test_customer.py", "tests/web/test_staff.py", "tests/web/test_access.py")


def suite(*places):
    """Every test of the casebook that is not about a file, and those of pages over one, on the server."""
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *(places or ("tests/casebook", *PAGES))]
    done = subprocess.run(
        command, cwd=ROOT, env={**os.environ, stores.VARIABLE: stores.SERVER}, capture_output=True, text=True
    )
    last = done.stdout.strip().splitlines()[-1] if done.stdout.strip() else done.stderr[-300:]
    passed = sum(line.split("[")[0].count(".") for line in done.stdout.splitlines() if re.match(r"[.Fsx]+ +\[", line))
    return [
        ("tests of the casebook, and of pages, on a server", passed, "" if done.returncode == 0 else f"FAILED: {last}")
    ]


def killed(writers=WRITERS, clients=CLIENTS_KILLED, servers=SERVERS_KILLED, seed=2026):
    """Writers and their server killed at random moments."""
    with own_folder("casebook-server") as folder, _server() as server:
        begun = time.monotonic()
        place = server.address("killed")
        storm = server_stress.Storm(folder, place, place, writers, seed)
        try:
            every = max(1, clients // max(1, servers))
            for number in range(clients):
                storm.work(8)
                storm.kill_one()
                if number % every == every - 1 and number // every < servers:
                    storm.work(8)
                    server.kill()
                    storm.wait(0.0, 0.3)
                    server.start()
            storm.work(8)
        finally:
            storm.end()
        acknowledged, entries = storm.look()
        refused = storm.refused()
        seconds = time.monotonic() - begun
    result = f"{acknowledged} acknowledged, none lost, none doubled, {entries} entries in one sound chain;"
    result += f" {len(refused)} refused with a word, {seconds:.0f} s"
    return [(f"writers ({writers} at a time) killed, and their server {servers} times", clients, result)]


def dropping(writers=WRITERS, cuts=CUTS, seed=2027):
    """A network that ends connections at random moments."""
    with own_folder("casebook-server") as folder, _server() as server:
        begun = time.monotonic()
        way = server_stress.Dropping(server.port, seed)
        owners = server.address("dropping")
        storm = server_stress.Storm(folder, owners, server.address("dropping", port=way.port), writers, seed)
        try:
            while way.cuts < cuts:
                storm.work(4)
                way.cut()
        finally:
            storm.end()
            way.end()
        acknowledged, entries = storm.look()
        refused = storm.refused()
        seconds = time.monotonic() - begun
    result = f"{acknowledged} acknowledged, none lost, none doubled, {entries} entries in one sound chain;"
    result += f" {len(refused)} refused with a word, {seconds:.0f} s"
    return [(f"connections of {writers} writers cut at random moments", cuts, result)]


def shared_run(stored=SHARED, machines=4, ends=ENDED, seed=2026):
    """One impact run, shared by machines that are killed or stopped."""
    with own_folder("casebook-server"), _server() as server:
        begun = time.monotonic()
        rows_equal, killed_machines, stopped = shared_impact.killed(
            server.address("shared"), stored, machines, ends, seed
        )
        assert killed_machines and stopped, (killed_machines, stopped)
        seconds = time.monotonic() - begun
    result = f"{rows_equal} rows byte for byte those of a single run; {killed_machines} killed, {stopped} stopped"
    return [(f"impact run shared by {machines} machines", ends, f"{result}, {seconds:.0f} s")]


def run_over_a_killed_server(stored=RUN_OVER, runs=RUNS, seed=2028):
    """Impact runs whose server is killed on the way, several times each."""
    with own_folder("casebook-server"), _server() as server:
        begun = time.monotonic()
        rows_equal, kills, said = shared_impact.server_killed(server, server.address("killed"), stored, runs, seed)
        assert kills >= runs, kills
        seconds = time.monotonic() - begun
    result = f"{rows_equal} rows byte for byte those of a single run; {len(said)} runs stopped with a sentence"
    return [("kills of the server under impact runs", kills, f"{result}, {seconds:.0f} s")]


ALL = (suite, killed, dropping, shared_run, run_over_a_killed_server)


def rows():
    """(what, how many, result) of everything; a part that fails says so and the others still run."""
    return rows_of(ALL)
