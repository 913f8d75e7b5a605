"""Simulated callers speak, and what is taken down is held against what they meant: much of it, and nothing wrongly.

More of them: `tests.full understanding`.
"""

from tests.interview import shop
from tests.listening.spoken_callers import count
from tests.listening.test_sentences import listener


def test_of_40_callers_nothing_is_taken_wrongly():
    for asked in (True, False):
        total = count(listener(), range(40), shop.stock().platforms, asked=asked)
        assert total.said > 160
        assert total.wrong == []
        assert total.right > 0.88 * total.said, total.missed
