"""Results of impact runs in a file beside the cache, one for each run."""

import contextlib
import os
import socket
import sqlite3
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from ..errors import Position, StoreError
from .impact_store import KEPT_RUNS, Outcome, RunConnection, RunStore
from .store import Rows

TABLES = """
CREATE TABLE IF NOT EXISTS impact_run (run TEXT PRIMARY KEY, used REAL) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS impact_result (
    run TEXT, digest TEXT, number INTEGER, kind TEXT, currency TEXT, set_up INTEGER, program INTEGER,
    price_old REAL, price_new REAL, margin_old REAL, margin_new REAL, in_play TEXT, why TEXT, old TEXT, new TEXT,
    worked_out TEXT, sides BLOB, told_on TEXT, sold TEXT, sold_on TEXT, ring TEXT, PRIMARY KEY (run, digest)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS impact_change (
    run TEXT, rules TEXT, kind TEXT, id TEXT, how TEXT, PRIMARY KEY (run, rules, kind, id)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS impact_plan (
    run TEXT, plan TEXT, since TEXT, undecided INTEGER, PRIMARY KEY (run, plan)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS impact_choice (
    run TEXT, plan TEXT, digest TEXT, number INTEGER, entry INTEGER, knowledge TEXT, car TEXT,
    PRIMARY KEY (run, plan, digest)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS impact_task (
    run TEXT, plan TEXT, task INTEGER, knowledge TEXT, worker TEXT, until REAL, done INTEGER,
    PRIMARY KEY (run, plan, task)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS impact_member (
    run TEXT, plan TEXT, task INTEGER, number INTEGER, entry INTEGER, digest TEXT,
    PRIMARY KEY (run, plan, task, number)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS impact_worker (
    run TEXT, plan TEXT, worker TEXT, until REAL, PRIMARY KEY (run, plan, worker)
) WITHOUT ROWID;
"""


class FileRuns(RunStore):
    """A file of results, open."""

    def __init__(self, path: Path) -> None:
        self.path, self.where = path, str(path)
        self.worker = f"{socket.gethostname()} {os.getpid()}"
        try:
            path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            kept = [other for other in path.parent.glob("impact-*.sqlite") if other != path]
            for old in sorted(kept, key=lambda other: other.stat().st_mtime)[: 1 - KEPT_RUNS]:
                old.unlink(missing_ok=True)
            self.connection = self._open()
        except (OSError, sqlite3.Error) as error:
            raise self._fault(error) from error

    def _fault(self, error):
        return StoreError(
            f"the results of an impact run cannot be kept: {error}.",
            where=Position(self.where),
            remedy="Make the cache folder writable, or set XDG_CACHE_HOME to one that is.",
        )

    def _open(self):
        try:
            return self._connected()
        except sqlite3.OperationalError:
            raise
        except sqlite3.DatabaseError:
            self.path.unlink(missing_ok=True)  # damaged: nothing in it is worth mending
            return self._connected()

    def _connected(self):
        connection = sqlite3.connect(self.path, isolation_level=None, timeout=60.0)
        try:
            connection.executescript(TABLES)
        except sqlite3.DatabaseError:
            connection.close()
            raise
        return connection

    def close(self) -> None:
        """Close the file."""
        self.connection.close()

    def transact(self, action: Callable[[RunConnection], Outcome]) -> Outcome:
        """As `RunStore.transact`."""
        try:
            self.connection.execute("BEGIN IMMEDIATE")
            outcome = action(_InFile(self.connection))
            self.connection.execute("COMMIT")
            return outcome
        except BaseException as error:
            with contextlib.suppress(sqlite3.Error):
                self.connection.execute("ROLLBACK")
            if isinstance(error, sqlite3.Error):
                raise self._fault(error) from error
            raise

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[Any]:
        """As `RunStore.rows`."""
        return self.connection.execute(sql, values).fetchall()

    def stream(self, sql: str, values: Sequence[Any] = ()) -> Iterator[Any]:
        """As `RunStore.stream`."""
        yield from self.connection.execute(sql, values)

    def now(self) -> float:
        """This machine's clock."""
        return time.time()

    def gone(self, worker: str) -> bool:
        """Whether a process of this machine has ended; of another machine's nobody can tell."""
        host, _, pid = worker.rpartition(" ")
        if host != socket.gethostname() or not pid.isdigit():
            return False
        try:
            os.kill(int(pid), 0)
        except ProcessLookupError:
            return True
        except OSError:  # it is there, and another user's
            return False
        return False


class _InFile:
    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection

    def execute(self, sql: str, values: Sequence[Any] = (), /) -> Rows:
        return self._connection.execute(sql, values)

    def insert(self, table: str, columns: Sequence[str], rows: Iterable[Sequence[Any]], /) -> None:
        marks = ", ".join("?" * len(columns))
        self._connection.executemany(f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({marks})", rows)
