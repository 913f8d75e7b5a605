"""A dozen random attacks; thousands of them in ``python -m tests.full attacks``."""

import pytest

from tests import full_attacks
from tests.attacks import fuzz


def test_no_input_ends_otherwise_than_it_must():
    rows = full_attacks.inputs(12, seed=1)
    assert sum(count for _, count, _ in rows if count != "") == 12
    assert [row for row in rows if "FAILED" in row[2]] == []


@pytest.mark.parametrize(
    ("code", "out", "err", "told"),
    [
        (1, "", "", "exit code 1"),
        (2, "", "Traceback (most recent call last):", "a traceback"),
        (2, "", "", "refused without a word"),
        (0, "\x1b[31m", "", "a sign that steers"),
        (2, "", "advisor: \u202ewhat", "a sign that steers"),
        (2, "", "advisor: what, where, how.", ""),
        (0, "1,2\r\n", "", ""),
    ],
)
def test_what_must_not_be_is_seen(code, out, err, told):
    assert fuzz.wrong_with(code, out, err) == told
