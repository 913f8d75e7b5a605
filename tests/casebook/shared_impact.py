"""Machines that work on one impact run through the server on which the casebook stands, and are killed or stopped.

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
from unittest.mock import patch

from advisor.casebook import impact, places
from advisor.casebook.book import Casebook

from . import impacts, large

EDIT = "a factor, and a rule for another answer"
#: Cases in a task: few, so that there are enough of them to be in the midst of one.
TASK = 4
#: Seconds in which machines have to come to an end.
ENDS = 600.0


def run(place, **options):
    """(rows as they are stored, summary) of the whole run, by this process."""
    _, knowledge, files = impacts.edited(EDIT)
    with Casebook(place, write=False) as book:
        found = impact.run(book, knowledge, files, processes=1, **options)
        rows = sorted((tuple(result.row()) for result in found.state.results()), key=lambda row: row[0])
        summary = found.summary()
        found.state.close()
    return rows, summary


@contextlib.contextmanager
def _as_machine(folder: Path, name: str):
    with patch.dict(os.environ, {"XDG_CACHE_HOME": str(folder / name)}), patch.object(impact, "TASK", TASK):
        yield


def _begin(folder, name, place):
    """One more machine; the number of its process."""
    process = os.fork()
    if process == 0:
        code = 1
        try:
            with _as_machine(folder, name):
                run(place)
            code = 0
        except KeyboardInterrupt:
            code = 130
        finally:
            os._exit(code)
    return process


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
