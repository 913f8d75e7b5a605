"""How strangers' sentences are understood; `rows` is called by tests/full.py and gives (what, how many, result)."""

from .conftest import ROOT
from .listening.graded import counts, graded
from .listening.test_sentences import LISTENER


def rows():
    """The counts of the sentences on file; those of others: ``python -m tests.listening.graded FILE ...``."""
    grades = graded(LISTENER, ROOT / "tests" / "listening" / "strangers.yaml")
    found = counts(grades)
    told = ", ".join(f"{number} {word}" for word, number in found.items())
    return [("sentences of strangers", len(grades), told if not found["wrong"] else f"FAILED: {told}")]
