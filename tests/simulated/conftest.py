"""The people the tests here look at."""

import pytest

from tests.simulated.callers import caller
from tests.simulated.truths import truth


@pytest.fixture(scope="session")
def truths(content):
    """500 truths."""
    return [truth(seed, content.platforms) for seed in range(500)]


@pytest.fixture(scope="session")
def people(content):
    """3,000 callers."""
    return [caller(seed, content.platforms) for seed in range(3000)]
