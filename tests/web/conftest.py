"""One application for the tests of a module, in a folder of its own."""

import pytest

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
