"""What the pages keep beside the casebook: cases under way, links, codes, who is logged in, passwords, who did what.

One SQLite file, opened anew for each request, written in whole transactions. Of links and visits only the SHA-256 of
their secret is kept: whoever reads the file gets into nothing. Answers are not here but in a case file each, as the
terminal's interview writes it, and no name or telephone number of a customer is: those go into the casebook, where they
can be erased.
"""

import contextlib
import hashlib
import hmac
import re
import secrets
import sqlite3
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

from ..errors import Position, StoreError
from . import codes

_TABLES = """
CREATE TABLE IF NOT EXISTS cases (id INTEGER PRIMARY KEY AUTOINCREMENT, begun REAL NOT NULL, touched REAL NOT NULL,
    by TEXT NOT NULL, held_by TEXT NOT NULL DEFAULT '', kept INTEGER, sent REAL);
CREATE TABLE IF NOT EXISTS links (hash TEXT PRIMARY KEY, case_id INTEGER NOT NULL, ends REAL NOT NULL);
CREATE TABLE IF NOT EXISTS codes (name TEXT PRIMARY KEY, digest TEXT NOT NULL, case_id INTEGER NOT NULL,
    ends REAL NOT NULL, tries INTEGER NOT NULL);
CREATE TABLE IF NOT EXISTS visits (hash TEXT PRIMARY KEY, person TEXT NOT NULL, case_id INTEGER, begun REAL NOT NULL,
    seen REAL NOT NULL, password TEXT NOT NULL DEFAULT '');
CREATE TABLE IF NOT EXISTS passwords (person TEXT PRIMARY KEY, hash TEXT NOT NULL, first INTEGER NOT NULL);
CREATE TABLE IF NOT EXISTS tries (name TEXT PRIMARY KEY, count INTEGER NOT NULL, last REAL NOT NULL);
CREATE TABLE IF NOT EXISTS doings (number INTEGER PRIMARY KEY AUTOINCREMENT, at REAL NOT NULL, person TEXT NOT NULL,
    what TEXT NOT NULL, case_id TEXT NOT NULL);
"""
#: What a secret looks like: 256 bits, url-safe. Anything else is not even looked up.
SECRET = re.compile(r"[A-Za-z0-9_-]{43}")


@dataclass(frozen=True, slots=True)
class WebCase:
    """A case under way: its number here, who began it (empty: the customer), who of the counter has taken it over, its
    number in the casebook once it was sent, and when.
    """

    id: int
    begun: float
    touched: float
    by: str = ""
    held_by: str = ""
    kept: int | None = None
    sent: float | None = None

    @property
    def name(self) -> str:
        """The name of the case: of its file, and in its record."""
        return f"web-{self.id}"


@dataclass(frozen=True, slots=True)
class Visit:
    """A browser that is let in: a ``person`` of the shop, or (empty) the customer of case ``case_id``.

    Times in seconds; ``password``: the beginning of the hash of the password it came in by, so that a changed one ends
    it.
    """

    person: str
    case_id: int | None
    begun: float
    seen: float
    password: str = ""


def digest(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest()


class Register:
    """The open register. ``with Register(path) as register:``."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __enter__(self) -> Self:
        with self._told():
            self._open = sqlite3.connect(self.path, timeout=10.0, isolation_level=None)
            self._open.row_factory = sqlite3.Row
            self._open.execute("PRAGMA synchronous=FULL")
        return self

    def __exit__(self, *_: object) -> None:
        self._open.close()

    def make(self) -> None:
        """Make what is not there yet; done once, before anybody is served."""
        with self._told():
            self._open.execute("PRAGMA journal_mode=WAL")
            self._open.executescript(_TABLES)

    @contextlib.contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            raise StoreError(
                f"the register of the pages cannot be read or written: {error}.",
                where=Position(str(self.path)),
                remedy="Make room there, or end what holds it, and do it again.",
            ) from error

    def _do(self, sql: str, *values: Any) -> sqlite3.Cursor:
        with self._told():
            return self._open.execute(sql, values)

    def _row(self, sql: str, *values: Any) -> sqlite3.Row | None:
        with self._told():
            return self._open.execute(sql, values).fetchone()

    # --- cases

    def begin(self, by: str = "") -> WebCase:
        """A new case."""
        now = time.time()
        number = self._do(
            "INSERT INTO cases (begun, touched, by, held_by) VALUES (?, ?, ?, ?)", now, now, by, by
        ).lastrowid
        assert number is not None
        return WebCase(number, now, now, by, by)

    def case(self, number: int) -> WebCase | None:
        """A case by its number, or None."""
        row = self._row("SELECT * FROM cases WHERE id = ?", number)
        return WebCase(**dict(row)) if row else None

    def cases(self, most: int = 200) -> list[WebCase]:
        """Cases, those last sent first, then those last touched."""
        with self._told():
            rows = self._open.execute(
                "SELECT * FROM cases ORDER BY sent IS NULL, sent DESC, touched DESC LIMIT ?", (most,)
            ).fetchall()
        return [WebCase(**dict(row)) for row in rows]

    def touched(self, number: int) -> None:
        """Mark a case as used now; to the minute, since each writing waits for the disk."""
        now = time.time()
        self._do("UPDATE cases SET touched = ? WHERE id = ? AND touched < ?", now, number, now - 60.0)

    def sent(self, number: int, kept: int) -> None:
        """Mark a case as sent: ``kept`` is its number in the casebook."""
        self._do("UPDATE cases SET kept = ?, sent = ? WHERE id = ?", kept, time.time(), number)

    def taken_over(self, number: int, person: str, *, held_by: str) -> bool:
        """From now on this person of the counter writes a case; "" gives it to the customer.

        False where it is not held by whom it was thought to be held: of two who take it over at once one has it.
        """
        taken = self._do("UPDATE cases SET held_by = ? WHERE id = ? AND held_by = ?", person, number, held_by)
        return taken.rowcount > 0

    def dropped(self, number: int) -> None:
        """Forget a case: its links, code and visits go with it."""
        self._do("DELETE FROM links WHERE case_id = ?", number)
        self.end_code(number)
        self._do("DELETE FROM visits WHERE case_id = ?", number)
        self._do("DELETE FROM cases WHERE id = ?", number)

    def outlived(self, days: float) -> list[WebCase]:
        """Cases nobody has touched for so many days."""
        with self._told():
            rows = self._open.execute("SELECT * FROM cases WHERE touched < ?", (time.time() - 86400 * days,)).fetchall()
        return [WebCase(**dict(row)) for row in rows]

    # --- private links

    def link(self, case: int, days: float) -> str:
        """The secret of a new link to a case; links made before end."""
        secret = secrets.token_urlsafe(32)
        self.revoke(case)
        self._do("INSERT INTO links VALUES (?, ?, ?)", digest(secret), case, time.time() + 86400 * days)
        return secret

    def revoke(self, case: int) -> None:
        """End every link to a case."""
        self._do("DELETE FROM links WHERE case_id = ?", case)

    def linked(self, case: int) -> bool:
        """Is there a link to a case that still opens it?"""
        return self._row("SELECT 1 FROM links WHERE case_id = ? AND ends > ?", case, time.time()) is not None

    def behind(self, secret: str) -> int | None:
        """The case a link's secret leads to, or None."""
        if not SECRET.fullmatch(secret):
            return None
        row = self._row("SELECT case_id FROM links WHERE hash = ? AND ends > ?", digest(secret), time.time())
        return row["case_id"] if row else None

    # --- codes that are read out

    def give_code(self, case: int, key: str) -> str:
        """A new code that opens a case; one given before ends."""
        now = time.time()
        self.end_code(case)
        self._do("DELETE FROM codes WHERE ends <= ?", now)
        while True:
            code = codes.drawn()
            kept = (code[: codes.NAMING], codes.digest(code, key), case, now + 60 * codes.MINUTES)
            if self._do("INSERT OR IGNORE INTO codes VALUES (?, ?, ?, ?, 0)", *kept).rowcount:
                return code

    def end_code(self, case: int) -> None:
        """The code to a case opens nothing any more."""
        self._do("DELETE FROM codes WHERE case_id = ?", case)

    def code_ends(self, case: int) -> float | None:
        """When the code ends that still opens a case, or None."""
        row = self._row(
            "SELECT ends FROM codes WHERE case_id = ? AND ends > ? AND tries < ?", case, time.time(), codes.TRIES
        )
        return row["ends"] if row else None

    def use_code(self, code: str, key: str) -> int | None:
        """The case a code opens, which it then does no more; None, and a try counted, where it opens none."""
        name = code[: codes.NAMING]
        # First the try is counted, then looked at: of several at once none is one too many.
        counted = self._do(
            "UPDATE codes SET tries = tries + 1 WHERE name = ? AND ends > ? AND tries < ?",
            *(name, time.time(), codes.TRIES),
        ).rowcount
        row = self._row("SELECT digest, case_id FROM codes WHERE name = ?", name) if counted else None
        if row is None or not hmac.compare_digest(row["digest"], codes.digest(code, key)):
            return None
        used = self._do("DELETE FROM codes WHERE name = ? AND digest = ?", name, row["digest"]).rowcount
        return row["case_id"] if used else None

    # --- visits

    def let_in(self, *, person: str = "", case: int | None = None, password: str = "") -> str:
        """The secret of a new visit."""
        secret, now = secrets.token_urlsafe(32), time.time()
        self._do("INSERT INTO visits VALUES (?, ?, ?, ?, ?, ?)", digest(secret), person, case, now, now, password)
        return secret

    def visit(self, secret: str) -> Visit | None:
        """The Visit of a secret, or None."""
        if not SECRET.fullmatch(secret):
            return None
        row = self._row("SELECT person, case_id, begun, seen, password FROM visits WHERE hash = ?", digest(secret))
        return Visit(**dict(row)) if row else None

    def seen(self, secret: str) -> None:
        """Mark a visit as used now."""
        self._do("UPDATE visits SET seen = ? WHERE hash = ?", time.time(), digest(secret))

    def end_visit(self, secret: str) -> None:
        """End a visit."""
        self._do("DELETE FROM visits WHERE hash = ?", digest(secret))

    def end_visits_of(self, person: str) -> None:
        """End every visit of a person."""
        self._do("DELETE FROM visits WHERE person = ?", person)

    # --- passwords

    def password(self, person: str) -> tuple[str, bool] | None:
        """(hash, whether it is a first one that must be changed) of a person's password, or None."""
        row = self._row("SELECT hash, first FROM passwords WHERE person = ?", person)
        return (row["hash"], bool(row["first"])) if row else None

    def set_password(self, person: str, hashed: str, *, first: bool) -> None:
        """Keep the hash of a password; everybody who came in by another is out."""
        self._do("INSERT OR REPLACE INTO passwords VALUES (?, ?, ?)", person, hashed, int(first))
        self.end_visits_of(person)

    # --- tries, and how long to wait after them

    def tried(self, name: str) -> None:
        """Count a try."""
        self._do(
            "INSERT INTO tries VALUES (?, 1, ?) "
            "ON CONFLICT (name) DO UPDATE SET count = count + 1, last = excluded.last",
            name,
            time.time(),
        )

    def tries(self, name: str, seconds: float) -> tuple[int, float]:
        """(how many tries there were, seconds since the last); none where the last is ``seconds`` ago."""
        row = self._row("SELECT count, last FROM tries WHERE name = ?", name)
        if row is None or time.time() - row["last"] > seconds:
            self.forget_tries(name)
            return 0, seconds
        return row["count"], time.time() - row["last"]

    def forget_tries(self, name: str) -> None:
        """Begin counting anew."""
        self._do("DELETE FROM tries WHERE name = ?", name)

    # --- who saw and did what

    def did(self, person: str, what: str, case: object = "") -> None:
        """Keep that somebody saw or did something."""
        self._do(
            "INSERT INTO doings (at, person, what, case_id) VALUES (?, ?, ?, ?)", time.time(), person, what, str(case)
        )

    def doings(self, most: int = 200) -> list[dict[str, Any]]:
        """The last things done: at, person, what, case."""
        with self._told():
            rows = self._open.execute("SELECT * FROM doings ORDER BY number DESC LIMIT ?", (most,)).fetchall()
        return [dict(row) for row in rows]
