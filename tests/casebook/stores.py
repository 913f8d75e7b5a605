"""The tests of the casebook on either store: files, or a schema of the tests' own server for what would be a file.

A test names paths, as ever. Where it runs on the server every path at which no file lies stands for a schema there; a
file that the test wrote itself is a file. ``python -m tests.full casebook_server`` runs all of them so.
"""

import contextlib
import hashlib
import os
import re
import sqlite3
from pathlib import Path

from advisor.casebook import places, server_statements

from .. import database

#: Says on which store all tests of the casebook run; without it on files, and those that concern the store on both.
VARIABLE = "LEAST_CLUTCH_TEST_STORE"
FILE, SERVER = "file", "server"


class OnServer:
    """Paths become schemas for as long as it is in force."""

    #: Whether it is.
    in_force = False

    def __init__(self, monkeypatch):
        self.schemas = set()
        from advisor.casebook import server_store

        for name, there in (("FileStore", server_store.ServerStore), ("FileRemains", server_store.ServerRemains)):
            monkeypatch.setattr(places, name, self._instead(getattr(places, name), there))
        monkeypatch.setattr(places, "may_be_there", lambda place: True)
        monkeypatch.setattr(OnServer, "in_force", True)

    def _instead(self, of_files, of_servers):
        def opened(place, **options):
            if Path(place).is_file():
                return of_files(place, **options)
            self.schemas.add(schema(place))
            return of_servers(address(place), **options)

        return opened

    def clear(self):
        """Take everything away again."""
        with database.server().admin("chain") as connection:
            for name in self.schemas:
                connection.execute(f"DROP SCHEMA IF EXISTS {name} CASCADE")


def schema(path) -> str:
    """The schema that stands for a path."""
    return f"t{hashlib.sha256(os.fsencode(path)).hexdigest()[:20]}"


def address(path, **options) -> str:
    """The address that stands for a path."""
    return database.server().address(schema(path), **options)


def on_disk(path) -> bytes:
    """Every byte of a casebook where it lies: the file and what is beside it, or the server's files of its tables."""
    if not OnServer.in_force or Path(path).is_file():
        return b"".join(beside.read_bytes() for beside in path.parent.glob(path.name + "*"))
    return on_the_servers_disk(path)


def on_the_servers_disk(path) -> bytes:
    """Every byte of the files in which a server keeps the tables of a casebook."""
    with database.server().admin("chain") as connection:
        connection.execute("CHECKPOINT")
        rows = connection.execute(
            "SELECT pg_relation_filepath(pg_class.oid) FROM pg_class WHERE relkind IN ('r', 'i', 't') AND (relnamespace"
            " = (SELECT oid FROM pg_namespace WHERE nspname = %s) OR oid IN (SELECT reltoastrelid FROM pg_class"
            " WHERE relnamespace = (SELECT oid FROM pg_namespace WHERE nspname = %s)))",
            (schema(path), schema(path)),
        ).fetchall()
    assert rows
    return b"".join((database.server().folder / "data" / name).read_bytes() for (name,) in rows)


class Unguarded:
    """A connection for which no trigger, right or reference counts: what somebody who rules the server can do."""

    def __init__(self, path):
        self.connection = database.server().admin("chain")
        self.connection.execute("SET session_replication_role = replica")
        self.connection.execute(f"SET search_path = {schema(path)}")

    def execute(self, sql, values=()):
        """Run one statement, written as a file has it; what is people's stands in two tables here."""
        table, _, rest = sql.partition(" WHERE ")
        rest = f" WHERE {rest}" if rest else ""
        if table == "UPDATE apart SET salt = NULL, text = NULL":
            table = "DELETE FROM private"
        elif table.startswith("UPDATE apart"):
            table = table.replace("apart", "private") if "digest" not in table else table
        elif table == "DELETE FROM apart":
            self.connection.execute(server_statements.spelt(f"DELETE FROM private{rest}"), values)
            table = "DELETE FROM sealed_part"
        elif given := re.match("INSERT INTO apart VALUES \\((.*)\\)", sql):
            entry, part, digest, salt, text = given[1].split(", ")
            if "?" not in given[1]:
                self.connection.execute(f"INSERT INTO sealed_part VALUES ({entry}, {part}, {digest})")
                table = f"INSERT INTO private VALUES ({entry}, {part}, {salt}, {text})"
        if table == "UPDATE apart SET digest = ?, salt = ?, text = ?":
            digest, salt, text, *where = values
            rest = server_statements.spelt(rest)
            self.connection.execute(f"UPDATE sealed_part SET digest = %s{rest}", (digest, *where))
            return self.connection.execute(f"UPDATE private SET salt = %s, text = %s{rest}", (salt, text, *where))
        return self.connection.execute(server_statements.spelt(table + rest), values)

    def close(self):
        """Let go."""
        self.connection.close()


@contextlib.contextmanager
def unguarded(path, *, mend=True):
    """A connection to a casebook that nothing in it is protected from; ``mend``: with its triggers put back."""
    if OnServer.in_force and not Path(path).is_file():
        connection = Unguarded(path)
        try:
            yield connection
        finally:
            connection.close()
        return
    connection = sqlite3.connect(path, isolation_level=None)
    triggers = connection.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
    for name, _ in triggers if mend else ():
        connection.execute(f"DROP TRIGGER {name}")
    try:
        yield connection
        for _, sql in triggers if mend else ():
            connection.execute(sql)
    finally:
        connection.close()
