"""A test of many things fails where one of them does, or where there are none, and tells which."""

import pytest

from tests.each import each


def held(*things):
    @each(lambda: [(f"thing {number}", number) for number in things])
    def check(number):
        assert number % 2 == 0, "odd"

    check()


def test_all_that_fail_are_named():
    held(2, 4)
    with pytest.raises(pytest.fail.Exception, match=r"(?s)2 of 4\nthing 3: AssertionError: odd.*thing 5: Assert"):
        held(2, 3, 4, 5)


def test_nothing_to_look_at_is_a_failure():
    with pytest.raises(AssertionError, match="nothing to look at"):
        held()
