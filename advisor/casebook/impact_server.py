"""Results of impact runs on the casebook's server: several machines work on one run.

Whoever works on a run holds a lock of the server's for as long as its connection stands. So the server itself tells
when a machine, its program or the network to it is gone, and its tasks are free again at once.
"""

import contextlib
import random
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

import psycopg

from ..errors import StoreError
from . import server_faults, server_opening, server_place, server_statements as here
from .impact_store import Outcome, RunConnection, RunStore
from .server_faults import telling
from .store import Place, Rows

#: Seconds for which a server that is gone is waited for.
COMES_BACK = 60.0
#: Rows fetched at a time.
PIECE = 500
#: Marks the lock of whoever changes something (the letters LCim, with the number of the schema) and those of workers.
_CHANGING, _WORKING = 0x4C43696D << 32, 0x4C436977


class ServerRuns(RunStore):
    """Results on a server, open; PermissionError where this role may not write there."""

    def __init__(self, place: Place) -> None:
        self.address = server_place.read(place)
        self.where = self.address.shown
        self._connection: psycopg.Connection[Any] | None = None
        self._waits = COMES_BACK
        with telling(self.address):
            connection = self._connected()
            if not _one_value(connection, here.MAY_KEEP_RUNS):
                connection.close()
                raise PermissionError("this role may not keep results of an impact run on the server")

    def _connected(self):
        """The open connection, with the lock that says that somebody works here; opened again where it was lost."""
        if self._connection is None or self._connection.closed:
            connection = server_opening.connected(self.address, write=True, patience=self._waits, again=True)
            try:
                while True:
                    # Another name each time: what the lost connection held is free for everybody, and is claimed anew.
                    name = random.getrandbits(31)
                    if _one_value(connection, here.spelt(here.TRY_TO_HOLD), (_WORKING, name)):
                        break
                schema = _one_value(connection, here.OWN_SCHEMA)
            except BaseException:
                connection.close()
                raise
            self._connection, self.worker, self._lock = connection, str(name), _CHANGING | schema
        return self._connection

    def close(self) -> None:
        """Let go; the server frees what this one held."""
        if self._connection is not None:
            with contextlib.suppress(psycopg.Error):
                self._connection.close()

    def _patiently(self, action):
        """What an action on the connection gives; done again where this connection was lost, or one it reads over."""
        until = None
        with telling(self.address):
            while True:
                connection = None
                if until is None and (self._connection is None or self._connection.closed):
                    until = time.monotonic() + self._waits
                try:
                    connection = self._connected()
                    return action(connection)
                except (psycopg.Error, StoreError) as error:
                    # What is lost while the casebook is read comes out of it as a StoreError.
                    cause = error if isinstance(error, psycopg.Error) else error.__cause__
                    lost = server_faults.lost(cause, connection) or (cause is not error and _of_a_lost_one(cause))
                    if lost and connection is not None:
                        connection.close()
                    if not (lost or server_faults.again(cause)):
                        raise
                    # From here on it is waited: the action may have been long at work before.
                    until = time.monotonic() + self._waits if until is None else until
                    if time.monotonic() >= until:
                        self._waits = 0.0  # nor is it waited for again, to let go of what is held
                        raise
                time.sleep(0.1)

    def transact(self, action: Callable[[RunConnection], Outcome]) -> Outcome:
        """As `RunStore.transact`."""

        def whole(connection):
            connection.execute(here.BEGIN_CHANGING_RUNS.format(lock=self._lock))
            try:
                outcome = action(_OnServer(connection))
                connection.execute("COMMIT")
                return outcome
            except BaseException:
                with contextlib.suppress(psycopg.Error):
                    connection.execute("ROLLBACK")
                raise

        return self._patiently(whole)

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[Any]:
        """As `RunStore.rows`."""
        return self._patiently(lambda connection: connection.execute(here.spelt(sql), values).fetchall())

    def stream(self, sql: str, values: Sequence[Any] = ()) -> Iterator[Any]:
        """As `RunStore.stream`, over a connection of its own, so that others may be asked for between two rows."""
        with telling(self.address), contextlib.closing(server_opening.connected(self.address, write=False)) as own:
            own.execute(here.BEGIN_READING)
            with own.cursor(name="stream") as cursor:
                cursor.itersize = PIECE
                yield from cursor.execute(here.spelt(sql), values)

    def now(self) -> float:
        """The server's clock."""
        return self.rows(here.CLOCK)[0][0]

    def gone(self, worker: str) -> bool:
        """Whether nobody holds a worker's lock."""
        if worker == self.worker:
            return False
        return bool(_one_value(self._connected(), here.spelt(here.TRY_LOCK), (_WORKING, int(worker))))


def _of_a_lost_one(error):
    """Whether an error is that of another connection that was lost."""
    return isinstance(error, psycopg.OperationalError) and server_faults.refused(error)


def _one_value(connection, sql, values=()):
    """The one value that a query gives."""
    return connection.execute(sql, values).fetchone()[0]


class _OnServer:
    def __init__(self, connection: psycopg.Connection[Any]) -> None:
        self._connection = connection

    def execute(self, sql: str, values: Sequence[Any] = (), /) -> Rows:
        return self._connection.execute(here.spelt(sql), values)

    def insert(self, table: str, columns: Sequence[str], rows: Iterable[Sequence[Any]], /) -> None:
        with self._connection.cursor().copy(f"COPY {table} ({', '.join(columns)}) FROM STDIN") as copy:
            for row in rows:
                copy.write_row(row)
