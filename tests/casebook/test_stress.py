"""Kills at random moments and several writers at once, in the counts of an ordinary run."""

import pytest

from . import shelf, stress

pytestmark = pytest.mark.file_only  # of a server: test_server_stress


def test_nothing_acknowledged_is_lost_when_writers_are_killed(tmp_path):
    record = tmp_path / "record.json"
    record.write_text(shelf.made("mild-street-tune"), encoding="utf-8")
    crashes = stress.Crashes(tmp_path, record, seed=7)
    for action in ("save", "sign", "import", "open"):
        crashes.kill_one(action)
    assert min(crashes.counts.values()) == 1
    assert crashes.acknowledged > 40


def test_several_writers_at_once_lose_and_double_nothing(tmp_path):
    record = tmp_path / "record.json"
    record.write_text(shelf.made("mild-street-tune"), encoding="utf-8")
    seconds, count = stress.crowd(tmp_path, record, processes=4, cases=25)
    assert count == 400
    assert seconds < 60
