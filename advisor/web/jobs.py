"""Long work in a process of its own: the page that began it is answered at once, and another shows how far it is.

A job is the command itself, its output in a file; the file with its exit code is there when it is done. One that lost
its process is told as ended.
"""

import contextlib
import os
import re
import secrets
import signal
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ..knowledge import disk

#: What a job's number looks like: anything else is not looked for.
NUMBER = re.compile(r"[A-Za-z0-9_-]{22}")
#: Bytes of output shown, from its end.
SHOWN = 60_000
#: Runs the command that follows and leaves its exit code behind; nothing of it comes from a form.
_RUNNER = (
    "import subprocess, sys, pathlib; place = pathlib.Path(sys.argv[1]); "
    "code = subprocess.run(sys.argv[2:], stdin=subprocess.DEVNULL).returncode; "
    "draft = place.with_suffix('.draft'); draft.write_text(str(code)); draft.rename(place.with_suffix('.code'))"
)
_begun: list[subprocess.Popen] = []


@dataclass(frozen=True, slots=True)
class Job:
    """A job as it stands: its ``output`` so far; ``code`` None while it runs, and where it ended without one -1.

    ``purpose``: what it does and with what, as whoever began it put it.
    """

    number: str
    output: str
    code: int | None
    purpose: str = ""

    @property
    def runs(self) -> bool:
        """Is it still at work?"""
        return self.code is None


def begin(folder: Path, arguments: Sequence[str], purpose: str = "") -> str:
    """Begin ``advisor`` with these arguments; the job's number."""
    _begun[:] = [process for process in _begun if process.poll() is None]
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    number = secrets.token_urlsafe(16)
    place = folder / number
    disk.write(place.with_suffix(".purpose"), purpose)
    with place.with_suffix(".txt").open("xb") as out:
        process = subprocess.Popen(
            [sys.executable, "-c", _RUNNER, str(place), sys.executable, "-m", "advisor", *arguments],
            stdin=subprocess.DEVNULL,
            stdout=out,
            stderr=subprocess.STDOUT,
            start_new_session=True,
            env={**os.environ, "COLUMNS": "80", "PYTHONUNBUFFERED": "1"},
        )
    disk.write(place.with_suffix(".pid"), str(process.pid))
    _begun.append(process)
    return number


def job(folder: Path, number: str) -> Job | None:
    """A job by its number, or None."""
    if not NUMBER.fullmatch(number) or not (folder / f"{number}.txt").is_file():
        return None
    with (folder / f"{number}.txt").open("rb") as file:
        file.seek(max(0, os.fstat(file.fileno()).st_size - SHOWN))
        output = file.read().decode("utf-8", "replace")
    # A line that was written over and over shows as it stands at last.
    output = "\n".join(line.rpartition("\r")[2] for line in output.replace("\r\n", "\n").split("\n"))
    done, purpose = folder / f"{number}.code", _purpose(folder / f"{number}.purpose")
    if done.is_file():
        return Job(number, output, int(done.read_text()), purpose)
    return Job(number, output, None if _alive(folder / f"{number}.pid") else -1, purpose)


def with_purpose(folder: Path, purpose: str) -> list[Job]:
    """Jobs that were begun for this, those at work and those that ended."""
    numbers = [place.stem for place in folder.glob("*.purpose") if _purpose(place) == purpose]
    return [held for number in numbers if (held := job(folder, number)) is not None]


def _purpose(place):
    try:
        return place.read_text(encoding="utf-8")
    except OSError:
        return ""


def stop(folder: Path, number: str) -> None:
    """End a job and all it has started, where it is still at work."""
    held = job(folder, number)
    if held is not None and held.runs:
        with contextlib.suppress(OSError, ValueError):
            os.killpg(int((folder / f"{number}.pid").read_text()), signal.SIGTERM)
        for process in _begun:
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(5.0)


def running(folder: Path) -> list[str]:
    """Numbers of the jobs at work."""
    # Of those that left a code behind, of which there are ever more, nothing is read.
    places = [place for place in folder.glob("*.txt") if not place.with_suffix(".code").exists()]
    return [place.stem for place in places if (held := job(folder, place.stem)) is not None and held.runs]


def _alive(place):
    _begun[:] = [process for process in _begun if process.poll() is None]
    try:
        os.kill(int(place.read_text()), 0)
    except (OSError, ValueError):
        return False
    return True
