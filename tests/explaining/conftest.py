"""Shipped cases decided once, their records seen through JSON; tests/full_explaining.py takes all of them."""

import pytest

from advisor.deciding.advise import advise
from tests import shipped
from tests.callers import caller

from .properties import worded_of

#: So many random callers beside the shipped cases that stand for all.
RANDOM = 4


@pytest.fixture(scope="session")
def shipped_cases():
    """Id -> Case of every shipped case."""
    return shipped.cases()


@pytest.fixture(scope="session")
def views(content, plain_decider):
    """Id -> WordedRecord of many shipped cases and of some random callers."""
    records = {name: shipped.record(name) for name in shipped.some()}
    records |= {case.id: advise(plain_decider, case) for case in (caller(seed, content) for seed in range(RANDOM))}
    return {name: worded_of(plain_decider, record) for name, record in records.items()}


@pytest.fixture(scope="session")
def mild(views):
    """A WordedRecord with a pick, a gentler kit that fails and a stronger one that passes."""
    return views["mild-street-tune"]
