"""What many tests share: the shipped knowledge and shop, read once, and deciders over them."""

import contextlib
import functools
import gc
import importlib
import os
import pathlib
import sys

import pytest

ROOT = pathlib.Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

# What Python compiles stays beside its source whatever the environment says: this run starts the program some hundred
# times, and every start compiled it anew, a fifth of its time; so did the next run with all tests.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

from advisor import cli  # noqa: E402  found through the path above
from tests import needs, shipped  # noqa: E402

# Nothing is answered from what an earlier program left in somebody's cache folder; within one run the rules need not be
# read and checked anew by every command.
os.environ["XDG_CACHE_HOME"] = str(shipped.run_folder("cache"))
os.environ.pop("LEAST_CLUTCH_NO_CACHE", None)
# What looks for translations of a word of usage looks into no folder: a quarter of the time a command takes to begin.
os.environ["LANGUAGE"] = "C"

#: Rings of objects are looked for after so many new ones, not after 700: ten thousand tests and what they share stay
#: for the whole run, and to go through them again and again took an eighth of it.
LOOKED_FOR_RINGS = (50_000, 20, 100)
gc.disable()  # while tests are gathered nothing is let go

# A command's options are put together once, not by every test that gives the command in this process.
_parser_for = functools.lru_cache(cli.parser_for)
cli.parser_for = lambda names: _parser_for(frozenset(names))


@pytest.hookimpl(tryfirst=True)
def pytest_collection(session):
    """Of several processes each begins with modules of its own: what one has compiled the others take from its file."""
    worker = getattr(session.config, "workerinput", None)
    if worker is None or not {str(ROOT), str(ROOT / "tests")} & {
        os.path.abspath(place) for place in session.config.args
    }:
        return
    modules = sorted((ROOT / "tests").rglob("test_*.py"))
    first = len(modules) * int(worker["workerid"].removeprefix("gw")) // worker["workercount"]
    for path in modules[first:] if first else ():
        with contextlib.suppress(Exception):  # it is told where the tests are gathered
            importlib.import_module(".".join(path.relative_to(ROOT).with_suffix("").parts))


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items):
    """The longest go first: at the end no process waits for another's half minute in a browser."""
    items.sort(key=lambda item: item.path.name != "test_browser.py")


def pytest_collection_finish(session):
    """What was gathered stays: it is never gone through for rings."""
    gc.freeze()
    gc.set_threshold(*LOOKED_FOR_RINGS)
    gc.enable()


def pytest_configure(config):
    config.addinivalue_line(
        "markers", "both_stores(every=1): of the casebook, run on a file and (every so many) on a server"
    )
    config.addinivalue_line("markers", "file_only: of the casebook, about what only a file has")
    config.addinivalue_line("markers", f"needs(name, ...): of {', '.join(needs.NEEDS)}; skipped where one is missing")


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """Each process takes tests that stand together, so that what a module prepares is prepared once."""
    from xdist.scheduler import WorkStealingScheduling

    return WorkStealingScheduling(config, log) if config.getvalue("dist") == "load" else None


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item):
    needs.provide([name for mark in item.iter_markers("needs") for name in mark.args])


def pytest_terminal_summary(terminalreporter):
    reasons = [report.longrepr[2].removeprefix("Skipped: ") for report in terminalreporter.getreports("skipped")]
    if line := needs.advice(reasons):
        terminalreporter.write_line(line)


@pytest.fixture(scope="session")
def content():
    """Knowledge, kits, platforms and parts as shipped."""
    return shipped.content()


@pytest.fixture(scope="session")
def decider(content):
    """Decides with both engines."""
    from advisor.deciding.decide import decider_of

    return decider_of(content)


@pytest.fixture(scope="session")
def plain_decider():
    """Decides with the plain chainer alone: for tests that decide by the hundred."""
    return shipped.plain_decider()
