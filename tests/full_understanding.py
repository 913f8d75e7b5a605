"""How strangers' and made sentences are understood; `rows` gives (what, how many, result) to tests/full.py."""

from .conftest import ROOT
from .interview import shop
from .listening.graded import counts, graded
from .listening.made_sentences import changed_by_noise, numbers_differ, wrongly_framed
from .listening.spoken_callers import count
from .listening.test_sentences import listener

#: Simulated callers who speak.
SPOKEN = 500


def rows():
    """The counts of the sentences on file and of those made; others: ``python -m tests.listening.graded FILE ...``."""
    rows_shown = []
    for what in ("strangers", "unseen", "tempting"):
        grades = graded(listener(), ROOT / "tests" / "listening" / f"{what}.yaml")
        found = counts(grades)
        shown = ", ".join(f"{number} {word}" for word, number in found.items())
        rows_shown.append(
            (f"sentences of {what}.yaml", len(grades), shown if not found["wrong"] else f"FAILED: {shown}")
        )
    many, wrong = wrongly_framed(listener())
    rows_shown.append(("facts in a wish, the past, another's car, a question ...", many, _none_of(wrong)))
    many, changed = changed_by_noise(listener())
    rows_shown.append(("asides, other orders, slips of one letter", many, _none_of(changed)))
    rows_shown.append(("numbers in other writings", "", _none_of(numbers_differ(listener()))))
    for asked in (True, False):
        total = count(listener(), range(SPOKEN), shop.stock().platforms, asked=asked)
        how = "asked for what they say" if asked else "asked nothing"
        rows_shown.append((f"facts of {SPOKEN} callers, {how}", total.said, _none_of(total.wrong)))
    return rows_shown


def _none_of(several):
    """What is shown of a list that should be empty: its length, and its first three."""
    return "none wrong" if not several else f"FAILED: {len(several)} wrong, as {several[:3]}"
