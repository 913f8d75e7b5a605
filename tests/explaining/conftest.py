"""Shipped cases decided once, their records seen through JSON; tests/full_explaining.py takes all of them."""

import pytest

from advisor.deciding.advise import advise
from advisor.knowledge import load
from tests.callers import caller
from tests.conftest import ROOT

from .properties import worded_of

#: Every fifth shipped case, these in any case, and some random callers.
EVERY, RANDOM = 5, 6
NAMED = (
    "mild-street-tune",
    "half-thrust-strong-single",
    "stock-tired-clutch",
    "nothing-fits",
    "drag-never-bedded",
    "answers-missing",
    "pack-over-stroke",
)


def shipped(content):
    """The shipped cases by id."""
    found = (load.case(path, content.knowledge) for path in sorted((ROOT / "scenarios" / "cases").glob("*.yaml")))
    return {case.id: case for case in found}


@pytest.fixture(scope="session")
def shipped_cases(content):
    """Id -> Case of every shipped case."""
    return shipped(content)


@pytest.fixture(scope="session")
def views(content, plain_decider, shipped_cases):
    """Id -> WordedRecord of many shipped cases and of some random callers."""
    chosen = [case for place, case in enumerate(shipped_cases.values()) if place % EVERY == 0 or case.id in NAMED]
    cases = [*chosen, *(caller(seed, content) for seed in range(RANDOM))]
    return {case.id: worded_of(plain_decider, advise(plain_decider, case)) for case in cases}


@pytest.fixture(scope="session")
def mild(views):
    """A WordedRecord with a pick, a gentler kit that fails and a stronger one that passes."""
    return views["mild-street-tune"]
