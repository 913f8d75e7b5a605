"""Machines that work on one impact run through the server on which the casebook stands, and are killed or stopped; and
one whose server is killed.

Each is a process with a cache of its own. In the end the rows are those of a single run over the same casebook in a
file, byte for byte.
"""

import contextlib
import os
import random
import signal
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING
from unittest.mock import patch

from advisor.casebook import impact, places
from advisor.casebook.book import Casebook
from advisor.errors import AdvisorError

from . import impacts, large

if TYPE_CHECKING:
    from ..database import Server

EDIT = "a factor, and a rule for another answer"
#: Cases in a task: few, so that there are enough of them to be in the midst of one.
TASK = 4
#: Seconds in which machines have to come to an end, and the exit code of one that said why it stopped.
ENDS, SAID = 600.0, 2


def run(place, processes=1, **options):
    """(rows as they are stored, summary) of the whole run, by this process and those it begins."""
    _, knowledge, files = impacts.edited(EDIT)
    with Casebook(place, write=False) as book:
        found = impact.run(book, knowledge, files, processes=processes, **options)
        rows = sorted((tuple(result.row()) for result in found.state.results()), key=lambda row: row[0])
        summary = found.summary()
        found.state.close()
    return rows, summary


@contextlib.contextmanager
def _as_machine(folder: Path, name: str):
    with patch.dict(os.environ, {"XDG_CACHE_HOME": str(folder / name)}), patch.object(impact, "TASK", TASK):
        yield


def _begin(folder, name, place, **options):
    """One more machine; the number of its process."""
    process = os.fork()
    if process == 0:
        code = 1
        try:
            with _as_machine(folder, name):
                run(place, **options)
            code = 0
        except KeyboardInterrupt:
            code = 130
        except AdvisorError as error:
            (folder / f"{name}.said").write_text(str(error))
            code = SAID
        finally:
            os._exit(code)
    return process


def server_killed(server: "Server", place: str, stored: int, runs: int, seed: int) -> tuple[int, int, list[str]]:
    """(rows equal to those of a single run, how often the server was killed, what runs that stopped for it said).

    ``place``: the address of an empty casebook on it. Each of several ``runs`` begins afresh, by one process and by two
    in turns, and its server is killed two to four times; one that stops says why in a sentence, and goes on when it
    is begun again.
    """
    chance, kills, said, equal = random.Random(seed), 0, [], 0
    with tempfile.TemporaryDirectory(prefix="shared-impact-") as name:
        folder = Path(name)
        large.fill(folder / "casebook.sqlite", stored, list(large.distinct(min(stored, 40))))
        with Casebook(folder / "casebook.sqlite", write=False) as book:
            places.copy(book.store, place)
        begun = time.monotonic()
        with _as_machine(folder, "alone"):
            wanted = run(folder / "casebook.sqlite")
        takes = time.monotonic() - begun
        for number in range(runs):
            processes, machine, fresh = number % 2 + 1, f"machine{number}", True
            while True:
                process, status = _begin(folder, machine, place, processes=processes, fresh=fresh), (0, 0)
                for _ in range(chance.randrange(2, 5) if fresh else 0):
                    time.sleep(chance.uniform(0.05, 0.4) * takes)
                    status = os.waitpid(process, os.WNOHANG)
                    if status != (0, 0):
                        break
                    server.kill()
                    kills += 1
                    time.sleep(chance.uniform(0.0, 0.6))
                    server.start()
                code = os.waitstatus_to_exitcode((os.waitpid(process, 0) if status == (0, 0) else status)[1])
                if code == 0:
                    break
                assert code == SAID, f"a run ended with {code}"
                said.append((folder / f"{machine}.said").read_text())
                assert fresh, f"a run stopped though its server ran: {said[-1]}"
                fresh = False
            with _as_machine(folder, "looks"):
                done: list[tuple[int, int]] = []
                again = run(place, progress=lambda count, of, rate, done=done: done.append((count, of)))
            assert done[0] == (stored, stored) and again == wanted
            equal += len(again[0])
    return equal, kills, said


def killed(place: str, stored: int, machines: int, ends: int, seed: int) -> tuple[int, int, int]:
    """(rows equal to those of a single run, machines killed, machines stopped).

    ``place``: the address of an empty casebook; ``ends``: how many machines are killed or stopped, one after the other.
    """
    chance, ended = random.Random(seed), {signal.SIGKILL: 0, signal.SIGINT: 0}
    with tempfile.TemporaryDirectory(prefix="shared-impact-") as name:
        folder = Path(name)
        large.fill(folder / "casebook.sqlite", stored, list(large.distinct(min(stored, 40))))
        with Casebook(folder / "casebook.sqlite", write=False) as book:
            places.copy(book.store, place)
        with _as_machine(folder, "alone"):
            wanted = run(folder / "casebook.sqlite")
        living = [_begin(folder, f"machine{number}", place) for number in range(machines)]
        for number in range(machines, machines + ends):
            time.sleep(chance.uniform(0.2, 2.0))
            process = living.pop(chance.randrange(len(living)))
            how = chance.choice(list(ended))
            os.kill(process, how)
            _, status = os.waitpid(process, 0)
            # One that had come to its end before was not stopped.
            ended[how] += os.waitstatus_to_exitcode(status) in (-signal.SIGKILL, 130)
            living.append(_begin(folder, f"machine{number}", place))
        until = time.monotonic() + ENDS
        for process in living:
            while os.waitpid(process, os.WNOHANG) == (0, 0):
                assert time.monotonic() < until, "a machine did not come to an end"
                time.sleep(0.1)
        with _as_machine(folder, "looks"):
            done = []
            shared = run(place, progress=lambda count, of, rate: done.append((count, of)))
        assert done[0] == (stored, stored), f"the machines came to their end, and left {done[0]}"
        assert shared == wanted
    return len(wanted[0]), ended[signal.SIGKILL], ended[signal.SIGINT]
