"""How often something may be done: counted once for all processes, let go when its time is over, and without names."""

import sqlite3
import threading
from contextlib import closing

import pytest

from advisor.errors import StoreError
from advisor.web import allowance
from advisor.web.allowance import Allowance


@pytest.fixture
def clock(monkeypatch):
    """A clock that is set by hand."""
    now = [1_000_000.0]
    monkeypatch.setattr(allowance.time, "time", lambda: now[0])
    return now


@pytest.fixture
def counted(tmp_path):
    """Two that count in one file, as two processes do."""
    first, second = (Allowance(tmp_path / "allowance.sqlite", "a key") for _ in range(2))
    first.make()
    second.make()
    return first, second


def test_two_processes_count_together(counted, clock):
    first, second = counted
    assert [each.used_up("link 10.0.0.1", 4, 60.0) for each in (first, second, first, second)] == [0.0] * 4
    assert first.used_up("link 10.0.0.1", 4, 60.0) == second.used_up("link 10.0.0.1", 4, 60.0) == 60.0
    assert second.used_up("link 10.0.0.2", 4, 60.0) == 0.0, "another address has its own"


def test_what_is_over_counts_no_more_and_what_was_refused_never_did(counted, clock):
    first, _ = counted
    for _ in range(3):
        assert first.used_up("a", 3, 60.0) == 0.0
        clock[0] += 10.0
    assert first.used_up("a", 3, 60.0) == 30.0
    clock[0] += 31.0
    assert first.used_up("a", 3, 60.0) == 0.0 and first.used_up("a", 3, 60.0) == 9.0
    clock[0] -= 5_000.0  # a clock put back makes nobody wait for it
    assert first.used_up("a", 3, 60.0) == 0.0


def test_no_more_than_allowed_get_through_at_once(counted):
    through = []

    def ask(each):
        through.extend(each.used_up("b", 5, 60.0) == 0.0 for _ in range(6))

    threads = [threading.Thread(target=ask, args=(each,)) for each in counted * 2]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(through) == 24 and sum(through) == 5


class _Watched:
    """A connection that says when a transaction is about to be begun, which has to wait for one begun before."""

    def __init__(self, file, begins):
        self.file, self.begins = file, begins

    def execute(self, statement, *values):
        if statement == "BEGIN IMMEDIATE":
            self.begins.set()
        return self.file.execute(statement, *values)

    def close(self):
        self.file.close()


def test_who_waits_for_the_file_throws_away_nothing_of_what_is_counted_meanwhile(counted, clock, tmp_path, monkeypatch):
    first, _ = counted
    assert first.used_up("b", 2, 60.0) == 0.0
    waited, begins, connect = [], threading.Event(), sqlite3.connect
    monkeypatch.setattr(allowance.sqlite3, "connect", lambda *where, **how: _Watched(connect(*where, **how), begins))
    with closing(connect(tmp_path / "allowance.sqlite", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        waiting = threading.Thread(target=lambda: waited.append(first.used_up("b", 2, 60.0)))
        waiting.start()
        # However slow the machine: whatever it does before it waits for the file, it has done once it begins to.
        assert begins.wait(60.0)
        clock[0] += 5.0
        other.execute("INSERT INTO times SELECT name, ? FROM times", (clock[0],))
        other.execute("COMMIT")
        waiting.join()
    assert waited == [55.0]


def test_no_address_is_kept_and_nothing_longer_than_it_counts(counted, clock, tmp_path, monkeypatch):
    first, _ = counted
    for number in range(40):
        first.used_up(f"all 10.99.88.{number}", 240, 60.0)
    clock[0] += allowance.KEPT + 1.0
    monkeypatch.setattr(allowance, "CLEARED", 100)
    first.used_up("all 10.99.88.77", 240, 60.0)
    file = sqlite3.connect(tmp_path / "allowance.sqlite")
    assert file.execute("SELECT count(*) FROM times").fetchone() == (1,)
    file.close()
    assert b"10.99.88" not in b"".join(path.read_bytes() for path in tmp_path.iterdir())


def test_a_file_that_cannot_be_written_is_told_and_counting_goes_on_once_it_can(tmp_path):
    counts = Allowance(tmp_path / "not there" / "allowance.sqlite", "a key")
    with pytest.raises(StoreError, match="cannot be counted"):
        counts.used_up("a", 1, 60.0)
    counts.path.parent.mkdir()
    counts.make()
    assert counts.used_up("a", 1, 60.0) == 0.0 and counts.used_up("a", 1, 60.0) > 0.0


class _Full(_Watched):
    """A connection whose transactions cannot be ended for want of room."""

    def execute(self, statement, *values):
        if statement == "COMMIT":
            raise sqlite3.OperationalError("database or disk is full")
        return self.file.execute(statement, *values)


def test_what_was_begun_when_the_file_failed_neither_counts_nor_holds_up_another(counted, clock, monkeypatch):
    first, second = counted
    connect = sqlite3.connect
    with monkeypatch.context() as full:
        full.setattr(allowance.sqlite3, "connect", lambda *where, **how: _Full(connect(*where, **how), None))
        with pytest.raises(StoreError, match="disk is full"):
            first.used_up("a", 2, 60.0)
    assert [each.used_up("a", 2, 60.0) for each in (second, first, second)] == [0.0, 0.0, 60.0]
