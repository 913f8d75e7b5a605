"""What a PostgreSQL server or its library says, in this program's words; and what is worth another try.

Codes are those of the server (SQLSTATE, appendix A of PostgreSQL's manual).
"""

import contextlib
import re
from collections.abc import Iterator

import psycopg

from ..errors import Position, StoreError
from .server_place import ServerPlace

#: Another writer was in the way in a manner that shows only afterwards: the same once more may succeed.
_AGAIN = ("40001", "40P01", "23505")
#: The server ended the connection, or is on its way up or down.
_LOST = ("57P01", "57P02", "57P03", "57P05", "25P03")
_STARTING = re.compile("starting up|shutting down|not yet accepting|in recovery mode", re.IGNORECASE)

_NOTHING = "nothing was changed"
_NO_RIGHT = (
    "does not allow this to the role that asked.",
    "Connect as the role the shop gave you; its owner lets a role write with: advisor case grant ROLE.",
)
_TOLD = {
    "28": (
        "does not let this user in.",
        "Check the user's name. The password belongs in a password file (~/.pgpass, or one named in PGPASSFILE).",
    ),
    "3D000": ("has no such database.", "Name another, or have its administrator make one: CREATE DATABASE NAME."),
    "42501": _NO_RIGHT,
    "23001": ("refused to change what is history.", "Corrections are new entries."),
    "25006": ("is a copy that can only be read.", "Name the server that is written to."),
    "53100": ("has no room left on its disk.", f"Make room and do it again; {_NOTHING}."),
    "53300": ("has as many connections as it allows.", "Wait a moment and do it again."),
    "53": ("has not enough memory or room left.", f"Do it again later; {_NOTHING}."),
    "55P03": (
        "is in use by another program that does not let go.",
        f"End that program and do it again; {_NOTHING}.",
    ),
    "57014": ("took too long over it.", f"Do it again when less is going on; {_NOTHING}."),
    "42P01": ("lacks a table of the casebook.", "Take the last backup; what is there was left as it is."),
    "42703": ("lacks a column of the casebook.", "Take the last backup; what is there was left as it is."),
    "XX": ("has damaged data.", "Take the last backup, or what is sound with: advisor case salvage."),
    "22": ("cannot keep this text: it holds a sign that no text may hold.", "Take it out and do it again."),
}


def code(error: BaseException | None) -> str:
    """The server's code for an error, or ""."""
    return getattr(error, "sqlstate", None) or ""


def lost(error: BaseException | None, connection: psycopg.Connection | None) -> bool:
    """Whether the connection is gone, so that what was going on may or may not have happened."""
    if not isinstance(error, psycopg.Error):
        return False
    if code(error) in _LOST or code(error)[:2] == "08":
        return True
    if connection is None:
        return refused(error)
    return isinstance(error, psycopg.OperationalError | psycopg.InterfaceError) and (
        connection.closed or connection.broken
    )


def again(error: BaseException | None) -> bool:
    """Whether the same transaction, done from its start, may succeed."""
    return code(error) in _AGAIN


def coming_up(error: psycopg.Error) -> bool:
    """Whether a server that refused a connection says that it will soon be there."""
    return code(error) == "57P03" or bool(_STARTING.search(str(error)))


def dropped(error: psycopg.Error) -> bool:
    """Whether somebody listened and the connection was lost before it stood."""
    return any(text in str(error) for text in ("server closed", "reset by peer", "broken pipe", "unexpected EOF"))


def refused(error: psycopg.Error) -> bool:
    """Whether nobody listened, as while a server starts again; not that somebody was not let in."""
    gone = any(text in str(error) for text in ("refused", "No such file", "timeout"))
    return gone or coming_up(error) or dropped(error)


def told(place: ServerPlace, error: BaseException) -> StoreError:
    """An error of the library as a StoreError about the casebook at a place."""
    explained = _TOLD.get(code(error)) or _TOLD.get(code(error)[:2])
    if explained is None and isinstance(error, psycopg.DataError | UnicodeError):
        explained = _TOLD["22"]
    if explained is None and isinstance(error, psycopg.OperationalError):
        explained = _told_connecting(error)
    what, remedy = explained or (f"said: {_one_line(error)}.", "Check the casebook with: advisor case check.")
    return StoreError(f"the casebook's server {what}", where=Position(place.shown), remedy=remedy)


def _told_connecting(error):
    text = _one_line(error)
    if "password" in text or "authentication" in text or "no pg_hba.conf entry" in text:
        return _TOLD["28"]
    if "does not exist" in text and "database" in text:
        return _TOLD["3D000"]
    if "SSL" in text or "certificate" in text:
        return (
            f"cannot be reached over an encrypted connection: {text}.",
            "Have its administrator switch TLS on, or check sslmode and sslrootcert in the address.",
        )
    return (
        f"cannot be reached: {text}.",
        "Check the address, the network and that the server runs; what was acknowledged before is kept.",
    )


def _one_line(error):
    """What the library says in one line, without its hints."""
    text = str(error).strip().split("\n")[0] or type(error).__name__
    return text.removeprefix("connection failed: ").rstrip(".")[:300]


@contextlib.contextmanager
def telling(place: ServerPlace) -> Iterator[None]:
    """Turns the library's errors into StoreErrors about the casebook at a place."""
    try:
        yield
    except (psycopg.Error, UnicodeError) as error:
        raise told(place, error) from error
