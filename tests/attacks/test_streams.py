"""Streams that are full or closed, signals, ids of any length, no home folder: one line, nothing left behind."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time

import pytest

from advisor.casebook import store
from advisor.errors import StoreError
from advisor.interview import interview_file as interviews
from advisor.knowledge import cache, disk
from tests.casebook import shelf
from tests.conftest import ROOT

CASE = "scenarios/cases/mild-street-tune.yaml"
PROGRAM = f"{sys.executable} -m advisor"


@pytest.fixture
def environment(tmp_path):
    """Folders of the user's own, and a place for temporary files that is looked at afterwards."""
    places = {name: str(tmp_path / name) for name in ("XDG_DATA_HOME", "TMPDIR")}
    for place in places.values():
        os.mkdir(place)
    return {**os.environ, **places, "PYTHONDONTWRITEBYTECODE": ""}


def shell(line, environment, **options):
    """A line for the shell, run in the project's folder; the finished process."""
    return subprocess.run(
        ["bash", "-c", line], cwd=ROOT, env=environment, capture_output=True, text=True, timeout=120, **options
    )


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        (f"{PROGRAM} recommend {CASE} > /dev/full", 2, "No space left"),
        (f"{PROGRAM} recommend {CASE} --json > /dev/full", 2, "No space left"),
        (f"{PROGRAM} rules list > /dev/full", 2, "No space left"),
        (f"{PROGRAM} --help > /dev/full", 2, "No space left"),
        (f"{PROGRAM} recommend {CASE} >&-", 2, "closed"),
        (f"{PROGRAM} sheet {CASE} >&-", 2, "closed"),
        (f"{PROGRAM} rules list >&-", 2, "closed"),
        (f"{PROGRAM} recommend - <&-", 2, "standard input"),
        (f"{PROGRAM} recommend - < /dev/zero", 2, "standard input"),
        (f"{PROGRAM} recommend nowhere.yaml 2>&-", 2, None),
        (f"{PROGRAM} recommend nowhere.yaml 2>/dev/full", 2, None),
        (f"{PROGRAM} recommend {CASE} 2>&- | tail -n 1 > /dev/null; exit ${{PIPESTATUS[0]}}", 0, None),
        (f"{PROGRAM} recommend {CASE} 2>/dev/full >/dev/null", 0, None),
        (f"{PROGRAM} recommend {CASE} <&- >/dev/null", 0, None),
        (f"{PROGRAM} recommend {CASE} --full | head -n 1 >/dev/null; exit ${{PIPESTATUS[0]}}", 0, None),
        (f"{sys.executable} -OO -m advisor recommend {CASE}", 2, "without -OO"),
    ],
)
def test_streams(environment, line, code, said):
    done = shell(line, environment)
    assert done.returncode == code, done.stderr
    assert done.stderr.count("\n") == (0 if said is None else 1), done.stderr
    assert said is None or (done.stderr.startswith("advisor: ") and said in done.stderr)
    assert os.listdir(environment["TMPDIR"]) == []


@pytest.fixture
def kept(environment):
    """A casebook with one case, in the user's data folder; its path."""
    from advisor.casebook.book import Casebook

    path = os.path.join(environment["XDG_DATA_HOME"], "least-clutch", "casebook.sqlite")
    with Casebook(path) as book:
        shelf.save(book, "mild-street-tune")
    return path


def ended(arguments, environment, number, after):
    """Exit code and standard error of a command sent a signal after a while."""
    process = subprocess.Popen(
        [sys.executable, "-m", "advisor", *arguments],
        cwd=ROOT,
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    time.sleep(after)
    process.send_signal(number)
    _, complaints = process.communicate(timeout=60)
    return process.returncode, complaints


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_a_signal_in_a_replay_leaves_nothing_behind(environment, kept, number):
    """At a random moment (300 in ``python -m tests.full attacks``); the temporary files of the stored rules are there
    for most of the time.
    """
    after = random.Random(number).uniform(0.5, 1.0)
    code, complaints = ended(["case", "replay", "1"], environment, number, after)
    # On a slow machine a signal may come while Python itself still starts, and then ends it the system's way.
    assert code in (0, 128 + number, -number), complaints
    assert complaints in ("", "advisor: stopped.\n")
    assert os.listdir(environment["TMPDIR"]) == []


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_a_signal_when_all_is_done_changes_nothing(environment, number):
    """While Python itself goes to its end: what was asked is there, and no word is said of the signal."""
    code = (
        "import atexit, os, sys; from advisor.__main__ import program; "
        f"atexit.register(os.kill, os.getpid(), {int(number)}); sys.argv = ['advisor', '--help']; sys.exit(program())"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, env=environment, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "") and "usage: advisor" in done.stdout


def test_a_brief_command_calls_exit_handlers_and_gives_its_code(environment):
    """It ends without taking its objects apart, as another command does, and all the same as any program."""
    code = """if True:
        import atexit, os, sys, types
        from advisor.__main__ import run

        class Apart(types.ModuleType):
            def __del__(self):
                os.write(1, b"taken apart\\n")

        sys.modules["apart"] = Apart("apart")
        atexit.register(print, "handler called")
        sys.argv = ["advisor", *WORDS]
        run()
    """
    for words, expected, end in (
        (["recommend", "--help"], 0, "handler called\n"),
        (["recommend", "no-such-file"], 2, "handler called\n"),
        (["shop", "--help"], 0, "handler called\ntaken apart\n"),
    ):
        command = [sys.executable, "-c", code.replace("WORDS", repr(words))]
        done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True)
        assert done.returncode == expected and done.stdout.endswith(end), words
        assert ("there is no case file" in done.stderr) == (expected == 2)


def test_whoever_measures_a_brief_command_gets_to_its_end(environment):
    command = [sys.executable, "-m", "cProfile", "-m", "advisor", "recommend", "--help"]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True)
    assert done.returncode == 0 and "function calls" in done.stdout and "usage: advisor recommend" in done.stdout


#: Whoever starts the tests in the background lets them ignore some signals, and so what they start.
HEARS = (
    "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
    "signal.signal(signal.SIGHUP, signal.SIG_DFL)\n"
)
SWALLOWED = """
import os, sys, weakref
from advisor import cli
from advisor.__main__ import program
class Thing: pass
def main():
    thing = Thing()
    kept = weakref.ref(thing, lambda _: os.kill(os.getpid(), NUMBER))
    del thing
    for _ in range(3): __import__("time").sleep(1)
cli.main = main
sys.exit(program())
"""


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_a_signal_while_something_is_let_go_ends_the_program_all_the_same(environment, number):
    """What a signal raises in a callback of the interpreter's own is thrown away there."""
    code = HEARS + SWALLOWED.replace("NUMBER", str(int(number)))
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, env=environment, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (128 + number, "advisor: stopped.\n")


def test_an_interrupt_while_a_proof_is_sought_is_an_interrupt(environment):
    """The solver's own handler would jump out of it, with an error of its own that nobody knows."""
    code = (
        HEARS + "import itertools, os, subprocess; from advisor.proving.clauses import Ways; "
        "holes, birds = range(8), range(9); at = lambda bird, hole: 1 + bird * 8 + hole; "
        "ways = Ways([[at(bird, hole) for hole in holes] for bird in birds] + [[-at(one, hole), -at(other, hole)] "
        "for hole in holes for one, other in itertools.combinations(birds, 2)])\n"
        "subprocess.Popen(['sh', '-c', f'sleep 0.05; kill -INT {os.getpid()}'])\n"
        "try:\n    print(ways.way([]), flush=True); import time; time.sleep(5)\n"
        "except KeyboardInterrupt:\n    print('interrupted')"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, env=environment, capture_output=True, text=True)
    assert done.stderr == "" and done.stdout.endswith("interrupted\n"), (done.stdout, done.stderr)


@pytest.mark.parametrize("identity", ["9" * 19, "9" * 30, "9" * 5000, "-1", "0", "1e3", "\u0661", "x" * 10_000])
@pytest.mark.parametrize("action", [("show",), ("audit",), ("replay",), ("note", "-"), ("export",)])
def test_ids_of_any_length(identity, action, tmp_path, capsys):
    from advisor.casebook.book import Casebook
    from advisor.cli import main

    path = str(tmp_path / "casebook.sqlite")
    Casebook(path).close()
    name, *more = action
    code = main(["case", name, "--casebook", path, "--", identity, *more])
    told = capsys.readouterr()
    assert code == 2 and told.out == "" and "Traceback" not in told.err
    assert told.err.count("\n") == 1


def test_a_lost_head_row_is_said(tmp_path, capsys):
    from advisor.casebook.book import Casebook
    from advisor.cli import main

    path = tmp_path / "casebook.sqlite"
    with Casebook(path) as book:
        shelf.save(book, "mild-street-tune")
    with sqlite3.connect(path) as connection:
        connection.execute("DELETE FROM head")
    connection.close()
    for action in (["list"], ["show", "1"], ["check"], ["note", "1", "x"], ["import", str(path)], ["backup", "b"]):
        code = main(["case", *action, "--casebook", str(path)])
        told = capsys.readouterr()
        assert code == 2 and "head row" in told.err and told.err.count("\n") == 1, action


def test_no_home_folder(monkeypatch, tmp_path):
    """Nothing is kept in a folder called ~, and a relative folder in the environment counts for nothing."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(os.path, "expanduser", lambda path: path)
    for name in ("XDG_DATA_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, "relative")
    for place in (store.default_path, interviews.folder, cache.folder):
        with pytest.raises(StoreError, match="no home folder"):
            place()
    cache.keep("key", ("content",))
    assert cache.fetch("key") is None
    assert os.listdir(tmp_path) == []
    monkeypatch.undo()
    monkeypatch.setenv("HOME", "")
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    with pytest.raises(StoreError):
        disk.home("XDG_DATA_HOME", ".local", "share")
