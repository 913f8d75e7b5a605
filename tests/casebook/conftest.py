"""Tests of the casebook never touch the user's own cache or casebook."""

import pytest

from . import shelf


@pytest.fixture(autouse=True)
def own_folders(monkeypatch, tmp_path):
    """A cache for the test process and a data folder for each test."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(shelf.folder() / "cache"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
