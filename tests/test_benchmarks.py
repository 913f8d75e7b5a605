"""Every benchmark can still be loaded and the quickest runs, at its smallest size; nothing is timed here.

All of them run at that size in ``python -m tests.full benchmarks``.
"""

import importlib

import pytest

from .benchmarks.__main__ import modules
from .full_benchmarks import faults

QUICKEST = "figures"


def test_there_are_benchmarks():
    assert {"casebook", "deciding", "engines", "explaining", "interview", "sheets", "start"} <= set(modules())


@pytest.mark.parametrize("name", modules())
def test_it_can_be_loaded(name):
    assert callable(importlib.import_module(f"tests.benchmarks.{name}").tables)


def test_the_quickest_runs():
    found = importlib.import_module(f"tests.benchmarks.{QUICKEST}").tables(True)
    assert faults(found) == []
    # The check can fail: a table without rows, and a row that lacks a value.
    assert faults({"empty": []}) and faults({"lacking": [{"what": "a", "ms": None}]})
