"""A casebook on a PostgreSQL server: one for many counters.

Writers come one after the other: each holds the casebook's one lock for as long as its transaction lasts. A transaction
that meets another's, or whose connection is lost, is done again from its start. Where the connection is lost while it
ends, nobody can tell at once whether it was kept: then its last entry is looked for, by its digest, after whoever still
held the lock is gone. So nothing acknowledged is lost, and nothing is written twice.
"""

import contextlib
import random
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import psycopg

from ..errors import Position, StoreError
from . import (
    copied_rows,
    file_store,
    server_faults,
    server_opening,
    server_place,
    server_statements as here,
    statements,
    store,
)
from .server_faults import telling
from .store import Connection, Outcome, Place, Remains, Rows, Store

#: Seconds for which a server that is gone is waited for.
COMES_BACK = 60.0
#: Seconds after which the server ends a transaction in which nothing happens: its writer is gone, others wait.
IDLE = 60.0
#: Seconds for which looks at the database are waited for that would keep removed rows in a table written anew.
LOOKS_AWAY = 5.0
#: Rows fetched at a time, and how often a transaction that met another's is done again.
PIECE, TRIES = 500, 20


class ServerSession:
    """One connection: runs statements in the server's spelling, what is large piece by piece."""

    def __init__(self, connection: psycopg.Connection, in_transaction: Callable[[], bool]) -> None:
        self.connection, self._in_transaction = connection, in_transaction
        self._streams = 0

    def execute(self, sql: str, values: Sequence[Any] = (), /) -> Rows:
        """Run one statement."""
        if sql in here.LARGE and self._in_transaction():
            self._streams += 1
            stream = self.connection.cursor(name=f"stream_{self._streams}")
            stream.itersize = PIECE
            return stream.execute(here.spelt(sql), values)
        return self.connection.execute(here.spelt(sql), values)


class _Attempt:
    """How far a transaction got. ``digest``: of the last entry it added; ``ending``: whether its end was asked for."""

    def __init__(self) -> None:
        self.digest: str | None = None
        self.ending = False


class ServerStore(Store):
    """An open casebook on a server. ``write=False`` reads only."""

    medium = "PostgreSQL"

    def __init__(self, place: Place, *, write: bool = True, patience: float | None = None) -> None:
        super().__init__()
        self.address = server_place.read(place)
        self.place = self.address.shown
        self.write = write
        self.patience = store.PATIENCE if patience is None else patience
        self._session: ServerSession | None = None
        #: Connections for what is read piece by piece: all that were opened, and those that nobody reads over now.
        self._streams: list[psycopg.Connection] = []
        self._spare: list[psycopg.Connection] = []
        self._depth = 0
        self._rewritten = False
        with telling(self.address):
            self._begin()

    def _begin(self):
        """Open it; once more where the connection is lost on the way."""
        until, again = time.monotonic() + min(self.patience, COMES_BACK), False
        while True:
            waits = max(0.0, until - time.monotonic())
            connection = server_opening.connected(self.address, write=self.write, patience=waits, again=again)
            try:
                self.schema = server_opening.prepared(self.address, connection, write=self.write)
                self._session = self._on(connection)
                return
            except BaseException as error:
                again = server_faults.lost(error, connection) and time.monotonic() < until
                connection.close()
                if not again:
                    raise

    # --- connections

    def _on(self, connection):
        return ServerSession(connection, lambda: self._depth > 0)

    def _connected(self) -> ServerSession:
        """The open connection; opened again where it was lost."""
        if self._session is None or self._session.connection.closed:
            waits = min(self.patience, COMES_BACK)
            self._session = self._on(
                server_opening.connected(self.address, write=self.write, patience=waits, again=True)
            )
        return self._session

    def _lost(self, error):
        """Whether an error means that the connection is gone; it is then dropped."""
        connection = self._session.connection if self._session else None
        if not server_faults.lost(error, connection):
            return False
        if connection is not None:
            connection.close()
        self._session = None
        return True

    def _let_go(self):
        for connection in [*self._streams, *([self._session.connection] if self._session else [])]:
            with contextlib.suppress(psycopg.Error):
                connection.close()
        self._session, self._streams, self._spare = None, [], []

    def close(self) -> None:
        """As `Store.close`; a server that is gone is not waited for."""
        self.patience = 0.0
        super().close()

    @property
    def identity(self) -> str:
        """Server, database and schema."""
        return self.schema.identity

    @property
    def files(self) -> list[Path]:
        """None."""
        return []

    @property
    def traces(self) -> str:
        """What PostgreSQL keeps of removed rows."""
        if self._rewritten:
            files = "Their tables were written anew."
        else:
            files = (
                "Their bytes stay in its files until the owner of the tables runs VACUUM (FULL) on those of"
                f" {self.address.schema}."
            )
        return (
            f"The rows are removed from the database. {files} The server's write-ahead log holds them until it is"
            " recycled, an archive of that log, replicas and backups for as long as they are kept."
        )

    # --- using

    def version(self) -> int:
        """Number of the last migration the tables have been through."""
        return self.row(here.VERSION)[0]

    @contextlib.contextmanager
    def transaction(self) -> Iterator[Connection]:
        """A `Connection` inside one transaction. What is lost with its connection is not done again: see `transact`."""
        attempt = _Attempt()
        with telling(self.address):
            try:
                with self._within(attempt) as session:
                    yield session
            except psycopg.Error as error:
                if not (attempt.ending and self._lost(error) and self._was_kept(attempt)):
                    raise

    def transact(self, action: Callable[[Connection], Outcome]) -> Outcome:
        """What ``action`` gives, done within one transaction, again from its start where that is lost on the way."""
        until, tries = time.monotonic() + self.patience, 0
        while True:
            attempt = _Attempt()
            try:
                with self._within(attempt) as session:
                    outcome = action(session)
                return outcome  # noqa: RET504  its end may be lost after the action gave it
            except (psycopg.Error, StoreError) as error:
                # Where the loss showed inside the action, it came out as a StoreError.
                cause = error if isinstance(error, psycopg.Error) else error.__cause__
                if not isinstance(cause, psycopg.Error):
                    raise
                tries += 1
                if self._lost(cause):
                    if attempt.ending and self._was_kept(attempt):
                        return outcome
                elif not server_faults.again(cause) or tries > TRIES:
                    raise server_faults.told(self.address, cause) from cause
                if time.monotonic() > until:
                    raise server_faults.told(self.address, cause) from cause
            time.sleep(random.uniform(0.01, 0.05) * min(tries, 10))

    @contextlib.contextmanager
    def _within(self, attempt):
        if not self.write:
            self._refuse_to_write()
        session = self._connected()
        sealed_before = self._sealed
        self._depth += 1
        try:
            self._begin_writing(session.connection)
            _, before, _ = session.execute(statements.HEAD).fetchone()
            yield session
            self._seal(session, before)
            added = session.execute(statements.HEAD).fetchone()
            attempt.digest = added[2] if added[1] > before else None
            attempt.ending = True
            session.connection.execute("COMMIT")
        except BaseException:
            # Where it was kept after all, the number is right again with the next entry that is sealed.
            self._sealed = self._sealed if attempt.ending else sealed_before
            with contextlib.suppress(psycopg.Error):
                session.connection.execute("ROLLBACK")
            raise
        finally:
            self._depth -= 1

    def _begin_writing(self, connection):
        """Begin a transaction that has the casebook's lock, once all who had it before are done."""
        settings = {"patience": _milliseconds(self.patience), "idle": _milliseconds(IDLE), "lock": self.schema.lock}
        connection.execute(here.BEGIN_WRITING.format(**settings))

    def _was_kept(self, attempt) -> bool:
        """Whether a transaction was kept whose end was asked for when the connection was lost.

        The lock is had only once the server has ended that transaction, so what is not there then never will be.
        StoreError where the server does not come back.
        """
        if attempt.digest is None:
            return False
        until = time.monotonic() + max(self.patience, COMES_BACK)
        while True:
            try:
                connection = self._connected().connection
                self._begin_writing(connection)
                kept = connection.execute(here.spelt(here.ENTRY_STANDS), (attempt.digest,)).fetchone()
                connection.execute("ROLLBACK")
                return kept is not None
            except psycopg.Error as error:
                if not self._lost(error):
                    with contextlib.suppress(psycopg.Error):
                        self._connected().connection.execute("ROLLBACK")
                if time.monotonic() > until:
                    raise self.fault(
                        "the connection to the server was lost while it was writing: whether this was kept cannot be"
                        " told now.",
                        "Look whether it stands there (advisor case list) before you do it again.",
                    ) from None
                time.sleep(0.2)

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """A `Connection` with everything read inside as of one moment."""
        with telling(self.address):
            self._patiently(lambda session: session.connection.execute(here.BEGIN_READING))
            session = self._connected()
            self._depth += 1
            try:
                yield session
            finally:
                self._depth -= 1
                with contextlib.suppress(psycopg.Error):
                    session.connection.execute("ROLLBACK")

    def _patiently(self, action: Callable[[ServerSession], Any]) -> Any:
        """What an action that only reads gives; done again where the connection was lost."""
        until = time.monotonic() + min(self.patience, COMES_BACK)
        while True:
            try:
                return action(self._connected())
            except psycopg.Error as error:
                if self._depth or not self._lost(error) or time.monotonic() > until:
                    raise
                time.sleep(0.1)

    def rows(self, sql: str, values: Sequence[Any] = ()) -> Iterator[Any]:
        """The rows of one query, one after the other."""
        with telling(self.address):
            if sql in here.LARGE and not self._depth:
                yield from self._streamed(sql, values)
            elif sql in here.LARGE:
                yield from self._connected().execute(sql, values)
            else:
                yield from self._patiently(lambda session: session.execute(sql, values).fetchall())

    def _streamed(self, sql, values):
        """Rows piece by piece over a connection of their own, so that others may be asked for between two of them."""
        spare = self._begun_to_read()
        try:
            with spare.cursor(name="stream") as stream:
                stream.itersize = PIECE
                yield from stream.execute(here.spelt(sql), values)
        finally:
            if not spare.closed:
                with contextlib.suppress(psycopg.Error):
                    spare.execute("ROLLBACK")
                    self._spare.append(spare)

    def _begun_to_read(self):
        """A connection of its own in a transaction that reads: one that was used before, or another where it was lost
        since.
        """
        until = time.monotonic() + min(self.patience, COMES_BACK)
        while True:
            if self._spare:
                spare = self._spare.pop()
            else:
                waits = max(0.0, until - time.monotonic())
                spare = server_opening.connected(self.address, write=False, patience=waits, again=True)
                self._streams.append(spare)
            try:
                spare.execute(here.BEGIN_READING)
                return spare
            except psycopg.Error as error:
                lost = server_faults.lost(error, spare)
                spare.close()
                self._streams.remove(spare)
                if not lost or time.monotonic() > until:
                    raise

    def row(self, sql: str, values: Sequence[Any] = ()) -> Any:
        """The first row of one query, or None."""
        with telling(self.address):
            return self._patiently(lambda session: session.execute(sql, values).fetchone())

    def copy_to(self, target: Place) -> None:
        """A complete copy in a file, as of one moment."""
        with self.reading() as connection:
            file_store.file_of_rows(connection, target)

    def wipe(self) -> bool:
        """Write the table of what is people's anew where its owner asks; log and copies still hold it: see `traces`."""
        with contextlib.suppress(psycopg.Error, StoreError):
            if self.schema.ours:
                connection = self._connected().connection
                connection.execute(here.SOON)
                nobody_looks = self._looked_away()
                connection.execute(here.REWRITE)
                self._rewritten = nobody_looks
        return False

    def _looked_away(self) -> bool:
        """Wait until no look at the database goes on that began before now; False where one goes on too long."""
        session = self._connected()
        now = session.execute(here.FROM_NOW).fetchone()[0]
        until = time.monotonic() + LOOKS_AWAY
        while session.execute(here.STILL_LOOKED_AT, (now,)).fetchone()[0]:
            if time.monotonic() > until:
                return False
            time.sleep(0.02)
        return True

    # --- looking itself over

    def damage(self) -> list[str]:
        """Indexes the server holds for incomplete; its pages it checks itself as they are read."""
        return [row[0] for row in self._connected().execute(here.BROKEN_INDEXES, (self.schema.oid,)).fetchall()]

    def misshapen(self) -> list[str]:
        """Tables, rights and functions that are not as the program makes them, held against some made for it."""
        with telling(self.address):
            return server_opening.misshapen(self.address, self.schema)

    def dangling(self) -> list[str]:
        """Rows that refer to nothing, though the server sees to that."""
        session = self._connected()
        return [row[0] for sql in here.DANGLING for row in session.execute(sql).fetchall()]

    def bytes_held(self) -> int:
        """The size of tables and indexes."""
        return self._connected().execute(here.BYTES, (self.schema.oid,)).fetchone()[0]

    def remarks(self) -> list[str]:
        """Who else could read or change it: on the way, or as a role with more rights."""
        with telling(self.address):
            connection = self._connected().connection
            return server_opening.remarks(self.address, self.schema, connection)


def _milliseconds(seconds: float) -> int:
    return max(1, round(1000 * seconds))


class ServerRemains(Remains):
    """A casebook on a server read row by row, whatever state it is in."""

    def __init__(self, place: Place) -> None:
        self.address = server_place.read(place)
        with telling(self.address):
            self._connection = server_opening.connected(self.address, write=False)
        self.version = (self.row(here.VERSION) or (0,))[0]
        if not self.version:
            self.close()
            raise StoreError(
                "there is no casebook here, or this role may not read it.",
                where=Position(self.address.shown),
                remedy="Name another with --casebook.",
            )

    def close(self) -> None:
        """Close the connection."""
        self._connection.close()

    def row(self, sql: str, values: Sequence[Any] = ()) -> Any:
        """The first row of one query; None where there is none or it cannot be read."""
        return next(iter(self.rows(sql, values)), None)

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[Any]:
        """The rows of one query; none where they cannot be read."""
        try:
            return self._connection.execute(here.spelt(sql), values).fetchall()
        except (psycopg.Error, UnicodeError):
            return []

    def most_entries(self) -> int:
        """By how many rows there are and how far their numbers go: no number is beyond the last."""
        return (self.row(statements.LAST_ENTRY) or (0,))[0] or 0


def fill(source: Store, target: Place) -> None:
    """Copy an open casebook into an empty one on a server: the same entries, digests and seals under its name."""
    address = server_place.read(target)
    with source.reading() as reading:
        name = reading.execute(statements.HEAD).fetchone()[0]
        with server_opening.filling(address, name) as connection:
            cursor = connection.cursor()
            copied_rows.copy(reading, lambda sql, rows: cursor.executemany(here.spelt(sql), rows))
