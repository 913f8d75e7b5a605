"""What many tests share: the shipped knowledge and shop, read once, and deciders over them."""

import os
import pathlib
import sys
import tempfile

import pytest

ROOT = pathlib.Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
# Nothing is answered from what an earlier program left in somebody's cache folder; within one run the rules need not be
# read and checked anew by every command.
CACHE = tempfile.TemporaryDirectory(prefix="least-clutch-tests-")
os.environ["XDG_CACHE_HOME"] = CACHE.name
os.environ.pop("LEAST_CLUTCH_NO_CACHE", None)

from tests import needs  # noqa: E402  found through the path above


def pytest_configure(config):
    config.addinivalue_line("markers", f"needs(name, ...): of {', '.join(needs.NEEDS)}; skipped where one is missing")


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
    from advisor.knowledge.sources import Sources, read

    return read(Sources.chosen(), cache=False)


@pytest.fixture(scope="session")
def decider(content):
    """Decides with both engines."""
    from advisor.deciding.decide import decider_of

    return decider_of(content)


@pytest.fixture(scope="session")
def plain_decider(content):
    """Decides with the plain chainer alone: for tests that decide by the hundred."""
    from tests.callers import plain_decider_of

    return plain_decider_of(content)
