"""Shipped cases decided once, their records seen through JSON; tests/full_explaining.py takes all of them."""

import pytest

from advisor.deciding.advise import advise
from tests import shipped
from tests.callers import caller

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


@pytest.fixture(scope="session")
def shipped_cases():
    """Id -> Case of every shipped case."""
    return shipped.cases()


@pytest.fixture(scope="session")
def views(content, plain_decider, shipped_cases):
    """Id -> WordedRecord of many shipped cases and of some random callers."""
    chosen = [name for place, name in enumerate(shipped_cases) if place % EVERY == 0 or name in NAMED]
    records = {name: shipped.record(name) for name in chosen}
    records |= {case.id: advise(plain_decider, case) for case in (caller(seed, content) for seed in range(RANDOM))}
    return {name: worded_of(plain_decider, record) for name, record in records.items()}


@pytest.fixture(scope="session")
def mild(views):
    """A WordedRecord with a pick, a gentler kit that fails and a stronger one that passes."""
    return views["mild-street-tune"]
