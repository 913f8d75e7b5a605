"""Every benchmark still runs, at its smallest size; nothing is timed here."""

import importlib

import pytest

from .benchmarks.__main__ import modules


def test_there_are_benchmarks():
    assert {"casebook", "deciding", "engines", "explaining", "interview", "sheets", "start"} <= set(modules())


@pytest.mark.parametrize("name", modules())
def test_it_runs(name):
    found = importlib.import_module(f"tests.benchmarks.{name}").tables(True)
    assert found
    for title, rows in found.items():
        assert title and rows, title
        for row in rows:
            assert row and all(value is not None for value in row.values()), (title, row)
