"""One application for the tests of all modules, in a folder of its own, and passwords that cost nothing."""

import pytest
from argon2 import PasswordHasher

from advisor.web import passwords
from tests.web.browsing import Browser, app_in


@pytest.fixture(scope="session")
def app(tmp_path_factory):
    """The demonstration shop, served."""
    return app_in(tmp_path_factory.mktemp("web"))


@pytest.fixture
def browser(app):
    """A browser without cookies, under an address of its own."""
    browser.count = getattr(browser, "count", 0) + 1
    return Browser(app, f"10.1.{browser.count // 250}.{browser.count % 250 + 1}")


@pytest.fixture(scope="session", autouse=True)
def hasher_in_service():
    """What hashes passwords in service; here all are hashed in a thousandth of that time and memory."""
    held = passwords.hasher
    passwords.hasher = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    yield held
    passwords.hasher = held
