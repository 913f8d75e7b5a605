"""Rule tests as single rows: every test, and every change to it, with the rules that must and must not fire."""

from collections.abc import Mapping
from typing import NamedTuple


class Row(NamedTuple):
    """Facts given to one stage, and what of them is asserted."""

    test: object
    given: Mapping
    answered: frozenset
    fires: tuple
    silent: tuple


def rows(test):
    """The Rows of one `RuleTest`: itself, its also_when and its silent_when."""
    yield Row(test, test.given, test.answered, test.fired, test.not_fired)
    for changes, fires in ((test.also_when, True), (test.silent_when, False)):
        for change in changes:
            given = {name: value for name, value in {**test.given, **change}.items() if value is not None}
            answered = (test.answered | set(change)) & set(given)
            yield Row(test, given, frozenset(answered), test.fired if fires else (), () if fires else test.fired)
