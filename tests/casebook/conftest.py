"""Tests of the casebook never touch the user's own cache or casebook; they run on either store."""

import os

import pytest

from .. import needs
from . import shelf, stores


def pytest_generate_tests(metafunc):
    """Tests marked ``both_stores`` run on both, with ``every`` only every so many of their cases on the server; where
    a run is on the server, all run there.
    """
    if os.environ.get(stores.VARIABLE) == stores.SERVER:
        metafunc.parametrize("store", [stores.SERVER], indirect=True)
    elif metafunc.definition.get_closest_marker("both_stores"):
        metafunc.parametrize("store", [stores.FILE, stores.SERVER], indirect=True)


def _left_out(item):
    if os.environ.get(stores.VARIABLE) == stores.SERVER:
        return item.get_closest_marker("file_only")
    mark = item.get_closest_marker("both_stores")
    if not mark or item.callspec.params["store"] != stores.SERVER:
        return False
    number = sum(place for name, place in item.callspec.indices.items() if name != "store")
    return number % mark.kwargs.get("every", 1)


def pytest_collection_modifyitems(config, items):
    """Leave out what is about files alone where the run is on the server, and of many cases there some elsewhere."""
    left = [item for item in items if _left_out(item)]
    if not left:
        return
    config.hook.pytest_deselected(items=left)
    items[:] = [item for item in items if item not in left]


@pytest.fixture
def store(request):
    """Which store the casebooks of this test stand in."""
    kind = getattr(request, "param", stores.FILE)
    if kind == stores.FILE:
        yield kind
        return
    needs.provide(["server"])
    with pytest.MonkeyPatch.context() as instead:  # of its own: a test may undo what it put in place itself
        on_server = stores.OnServer(instead)
        yield kind
        on_server.clear()


@pytest.fixture(autouse=True)
def own_folders(store, monkeypatch, tmp_path):
    """A cache for the test process and a data folder for each test; the store stands before anything is kept in it."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(shelf.cache()))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
