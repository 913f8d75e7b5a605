"""How a casebook on a server is reached, made, brought up to date, given to others, and held against how it is made."""

import contextlib
import secrets
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import psycopg
from psycopg import sql as composed

from ..errors import InputError, Position, StoreError
from . import seals, server_faults, server_statements as here, server_tables, statements
from .server_place import ServerPlace, is_local, read
from .store import PATIENCE

#: Seconds to reach a server, and for the longest single statement.
REACHED, LONGEST = 10, 180
#: Marks the lock of a casebook among others of the same database: the letters LCcb. Alone: for whoever makes one.
_LOCKS = 0x4C436362 << 32
#: Neither end waits for ever for the other, once the network between them is gone.
_ALIVE = {"keepalives_idle": 10, "keepalives_interval": 5, "keepalives_count": 3, "tcp_user_timeout": 30_000}
_SETTINGS = {
    # Queries of a casebook are small; compiling one takes a hundred times what running it does.
    "jit": "off",
    "statement_timeout": f"{LONGEST}s",
    "lock_timeout": f"{PATIENCE:.0f}s",
    "tcp_keepalives_idle": "10",
    "tcp_keepalives_interval": "5",
    "tcp_keepalives_count": "3",
}


@dataclass(frozen=True, slots=True)
class Schema:
    """The schema of a casebook: its number ``oid``, whether it is ``ours`` to change, the ``identity`` of its place."""

    oid: int
    ours: bool
    identity: str

    @property
    def lock(self) -> int:
        """The lock that the casebook's writers take."""
        return _LOCKS | self.oid


def connected(
    place: ServerPlace, *, write: bool, patience: float = 0.0, again: bool = False
) -> "psycopg.Connection[Any]":
    """A connection set up the way every connection here is.

    A server that is starting is waited for, and tried again where the connection drops; ``again``: also one that does
    not answer, since it did before.
    """
    options: dict[str, Any] = {"connect_timeout": REACHED, "application_name": "least-clutch", **_ALIVE}
    if not place.local:
        # Nothing goes over a network in the open unless somebody wrote that it shall.
        options["sslmode"] = "require"
    options = {name: value for name, value in options.items() if name not in place.options}
    until = time.monotonic() + patience
    while True:
        try:
            connection = psycopg.connect(place.address, autocommit=True, client_encoding="utf8", **options)
            break
        except psycopg.OperationalError as error:
            waits = server_faults.coming_up(error) or server_faults.dropped(error)
            waits = waits or (again and server_faults.refused(error))
            if not waits or time.monotonic() > until:
                raise
            time.sleep(0.2)
    if place.local and _goes_out(place, connection) and not {"sslmode", "service"} & {*place.options}:
        # The address names no host, the environment does.
        host = connection.info.host
        connection.close()
        raise _fault(
            place,
            f"the connection to {host} would not be encrypted.",
            "Name the host in the address, or write sslmode=disable there if that is meant.",
        )
    settings = {**_SETTINGS, "search_path": f"{place.schema}, pg_temp"}
    if not write:
        settings["default_transaction_read_only"] = "on"
    try:
        _do(connection, here.settings(len(settings)), [part for setting in settings.items() for part in setting])
        _do(connection, here.SURELY)
    except BaseException:
        connection.close()
        raise
    return connection


def _goes_out(place, connection):
    """Whether a connection leaves this machine in the open."""
    return not (place.local and is_local(connection.info.host)) and not connection.pgconn.ssl_in_use


def _do(connection, sql, values=()):
    return connection.execute(here.spelt(sql), values)


@contextlib.contextmanager
def _at_once(connection, sql="BEGIN READ WRITE"):
    """Everything within is one transaction."""
    connection.execute(sql)
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        with contextlib.suppress(psycopg.Error):
            connection.execute("ROLLBACK")
        raise


# --- opening


def prepared(place: ServerPlace, connection: "psycopg.Connection[Any]", *, write: bool) -> Schema:
    """The `Schema` of a casebook that can be used; made or brought up to date where that is this role's to do."""
    encoding = _do(connection, here.ENCODING).fetchone()[0]
    if encoding != "UTF8":
        raise _fault(place, f"the database keeps text as {encoding}.", "Have one made with ENCODING 'UTF8'.")
    stands = _do(connection, here.STANDS, (place.schema,)).fetchone()
    if stands is None or not stands[2]:
        if not write:
            raise _fault(place, "there is no casebook here.", "Save a case first, or name another with --casebook.")
        make(place, connection, stands is not None)
        stands = _do(connection, here.STANDS, (place.schema,)).fetchone()
    oid, ours, _, may_read, may_write = stands
    schema = Schema(oid, ours, _identity(place, connection))
    if not may_read or (write and not may_write):
        raise _fault(
            place,
            f"the casebook's owner has not let {connection.info.user} {'write' if may_read else 'read'} here.",
            f"The owner does with: advisor case grant {connection.info.user} --casebook ADDRESS",
        )
    version = _version(connection)
    if _do(connection, statements.HEADS).fetchone()[0] != 1 or version is None:
        raise _fault(place, "the casebook has lost its head row.", "Take the last backup; it was left as it is.")
    if version > statements.LATEST:
        raise _fault(
            place,
            f"the casebook is of version {version}; this program knows versions up to {statements.LATEST}.",
            "Install the newer program; the casebook was left as it is.",
        )
    if version < statements.LATEST:
        if not ours:
            raise _fault(
                place,
                f"the casebook is of version {version}, this program writes version {statements.LATEST}.",
                "Its owner brings it up to date by opening it with this program: advisor case check.",
            )
        migrate(place, connection, schema)
    return schema


def _version(connection):
    row = _do(connection, here.VERSION).fetchone()
    return row[0] if row else None


def _fault(place, what, remedy=""):
    return StoreError(what, where=Position(place.shown), remedy=remedy)


def _identity(place, connection):
    hosts = place.hosts or connection.info.host
    return f"postgresql://{hosts}:{connection.info.port}/{connection.info.dbname}?schema={place.schema}"


def make(
    place: ServerPlace, connection: "psycopg.Connection[Any]", schema_stands: bool, name: str | None = None
) -> None:
    """Make an empty casebook in the database, called ``name`` where it is to be a copy of that one."""
    name = name or secrets.token_hex(16)
    try:
        with _at_once(connection):
            _do(connection, here.TAKE_LOCK, (_LOCKS,))
            stands = _do(connection, here.STANDS, (place.schema,)).fetchone()
            if stands is not None and stands[2]:  # another program was quicker
                return
            if not schema_stands:
                connection.execute(_filled(here.MAKE_SCHEMA, place))
            for sql in server_tables.FIRST:
                connection.execute(_filled(sql, place))
            _do(connection, here.BEGIN_VERSION, (server_tables.FIRST_VERSION,))
            _do(connection, statements.BEGIN_HEAD, (name, name))
    except psycopg.errors.InsufficientPrivilege as error:
        raise _fault(
            place,
            f"there is no casebook in this database, and {connection.info.user} may not make one.",
            "Whoever may make tables there does, and lets others write:"
            f" advisor case grant {connection.info.user} --casebook ADDRESS",
        ) from error
    stands = _do(connection, here.STANDS, (place.schema,)).fetchone()
    schema = Schema(stands[0], stands[1], _identity(place, connection))
    seals.begin_anew(schema.identity)
    migrate(place, connection, schema)


def _filled(sql, place, **more):
    """A statement with names filled in, quoted as the server wants them."""
    names = {"schema": composed.Identifier(place.schema) if isinstance(place, ServerPlace) else place, **more}
    return composed.SQL(sql).format(**names) if "{" in sql else sql


def migrate(place: ServerPlace, connection: "psycopg.Connection[Any]", schema: Schema) -> None:
    """Bring the tables to the latest version, each step in a transaction of its own; who could write still can."""
    while (_version(connection) or 0) < statements.LATEST:
        with _at_once(connection):
            connection.execute(here.NEVER_AS_LONG)
            _do(connection, here.TAKE_LOCK, (schema.lock,))
            version = _version(connection)
            if version >= statements.LATEST:  # another program was quicker
                break
            for sql in server_tables.STEPS[version + 1]:
                connection.execute(_filled(sql, place))
            _do(connection, here.MOVE_VERSION, (version + 1,))
            if version + 1 < statements.LATEST:
                continue  # what counters may do is about tables that later steps make
            for right, writes in (("SELECT", False), ("INSERT", True)):
                for (role,) in _do(connection, here.ROLES_WITH, (schema.oid, right)).fetchall():
                    _grant(place, connection, role, writes=writes)


def _grant(place, connection, role, *, writes):
    to = composed.Identifier(role)
    connection.execute(_filled(server_tables.GRANT_USE, place, role=to))
    connection.execute(_filled(server_tables.GRANT_READING, place, role=to))
    for table, rights in server_tables.WRITES.items() if writes else ():
        named = {"role": to, "table": composed.Identifier(table), "rights": composed.SQL(rights)}
        connection.execute(_filled(server_tables.GRANT_WRITING, place, **named))


def grant(address: str, role: str, *, writes: bool = True) -> None:
    """Let a role of the server write to a casebook, or read it only; made where there is none yet."""
    place = read(address)
    with server_faults.telling(place), contextlib.closing(connected(place, write=True)) as connection:
        schema = prepared(place, connection, write=True)
        if not schema.ours:
            raise _fault(
                place,
                f"{connection.info.user} does not own this casebook and cannot let others write to it.",
                "Connect as its owner.",
            )
        row = _do(connection, here.ROLE, (role,)).fetchone()
        if row is None:
            raise InputError(
                f"the server has no role {role!r}.",
                value=role,
                remedy=f'Have its administrator make one: CREATE ROLE "{role}" LOGIN.',
            )
        if row[0] or role == connection.info.user:
            raise InputError(
                f"{role!r} could change what is history: it owns the casebook, or may do everything on this server.",
                value=role,
                remedy="Let counters write as a role of their own.",
            )
        with _at_once(connection):
            _grant(place, connection, role, writes=writes)


@contextlib.contextmanager
def filling(place: ServerPlace, name: str) -> "Iterator[psycopg.Connection[Any]]":
    """A connection inside one transaction, in an empty casebook called ``name``: all of a copy comes, or nothing."""
    with server_faults.telling(place), contextlib.closing(connected(place, write=True)) as connection:
        stands = _do(connection, here.STANDS, (place.schema,)).fetchone()
        if stands is None or not stands[2]:
            make(place, connection, stands is not None, name)
        schema = prepared(place, connection, write=True)
        with _at_once(connection):
            connection.execute(here.NEVER_AS_LONG)
            _do(connection, here.TAKE_LOCK, (schema.lock,))
            if _do(connection, statements.HEAD).fetchone()[1] or not schema.ours:
                raise _fault(
                    place,
                    "a copy needs an empty casebook of the role's own, and this is none.",
                    "Name another with schema=NAME in the address, as a role that may make one.",
                )
            _do(connection, here.NAME_ANEW, (name, name))
            # Within one transaction a row leaves each of its former states behind. The head, moved on with every entry,
            # would be looked for among all of them; so the entries are held against each other when all are there.
            connection.execute(here.HEAD_WAITS)
            yield connection
            (broken,) = _do(connection, here.NOT_IN_A_CHAIN, (name,)).fetchone()
            if broken is not None:
                raise _fault(
                    place,
                    f"entry {broken} of the casebook to be copied does not follow on the one before it.",
                    "See what is wrong with it: advisor case check. Take what is sound with: advisor case salvage.",
                )
            connection.execute(here.HEAD_GOES_TO_LAST)
            connection.execute(here.HEAD_FOLLOWS_AGAIN)
            connection.execute(here.LOOK_AT_WHAT_CAME)


# --- looking over


def misshapen(place: ServerPlace, schema: Schema) -> list[str]:
    """Names of what is in the schema and not as this program makes it, or missing: held against temporary ones."""
    with contextlib.closing(connected(place, write=True)) as connection:
        connection.execute("BEGIN READ WRITE")
        try:
            connection.execute(_filled(here.SEARCH_IN, place))
            present = _listed(connection, schema.oid, place.schema)
            connection.execute(here.BEGIN_TEMPORARY)
            connection.execute(here.SEARCH_TEMPORARY)
            temporary = _do(connection, here.TEMPORARY).fetchone()[0]
            for version in sorted(server_tables.STEPS):
                for sql in server_tables.STEPS[version]:
                    connection.execute(_filled(sql, composed.SQL("pg_temp")))
            wanted = _listed(connection, temporary, "pg_temp")
        finally:
            with contextlib.suppress(psycopg.Error):
                connection.execute("ROLLBACK")
    return sorted({name for name, _ in present ^ wanted})


def _listed(connection, oid, name):
    lines = [row for sql in here.LISTING for row in _do(connection, sql, (oid,)).fetchall()]
    return {(what, how.replace(f"{name}, pg_temp", "here")) for what, how in lines}


def remarks(place: ServerPlace, schema: Schema, connection: "psycopg.Connection[Any]") -> list[str]:
    """Who else could read the casebook on the way, or change it as a role of the server, in whole sentences."""
    said = []
    if _goes_out(place, connection):
        said.append(
            "What goes to the server and back is not encrypted: everybody on the network between can read it."
            " Have TLS switched on there, and take sslmode out of the address or set it to verify-full."
        )
    elif connection.pgconn.ssl_in_use and place.options.get("sslmode") != "verify-full":
        said.append(
            "The connection is encrypted, and nobody checks whether it is the right server: sslmode=verify-full with"
            " sslrootcert=FILE in the address does."
        )
    if _do(connection, here.FSYNC).fetchone()[0] == "off":
        said.append(
            "The server does not force what it keeps to its disk (fsync is off): what was acknowledged may be lost"
            " where its machine fails. Have it switched on."
        )
    superuser = _do(connection, here.OWN_ROLE).fetchone()[0]
    if superuser or schema.ours:
        role = "may do everything on this server" if superuser else "owns the tables"
        said.append(
            f"{connection.info.user} {role} and could switch off what protects the history: let counters write as"
            " another role (advisor case grant)."
        )
    rights: dict[str, list[str]] = {}
    for role, table, right in _do(connection, here.MORE_RIGHTS, (schema.oid,)).fetchall():
        rights.setdefault(role, []).append(f"{right} on {table}")
    for role, more in rights.items():
        said.append(f"{role} may do more than add to the history: {', '.join(more)}.")
    return said
