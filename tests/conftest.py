"""What many tests share: the shipped knowledge and shop, read once, and deciders over them."""

import os
import pathlib
import sys

import pytest

ROOT = pathlib.Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
# Tests must not answer from what an earlier program left in somebody's cache folder.
os.environ["LEAST_CLUTCH_NO_CACHE"] = "1"


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
