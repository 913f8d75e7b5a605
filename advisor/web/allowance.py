"""How often something may be done: so many times in so many seconds, by name; counted for all processes together.

One SQLite file beside the register, which needs no patience of the disk: a count that a failing machine forgets does no
harm. Names hold addresses of people's machines, so only keyed digests of them are kept, and no longer than they count.
"""

import hashlib
import hmac
import os
import secrets
import sqlite3
import threading
import time
from contextlib import closing
from pathlib import Path

from ..errors import Position, StoreError

#: Seconds after which anything is forgotten, and how many times in a hundred somebody looks for what is.
KEPT, CLEARED = 3600.0, 1
#: Connections of a process that forked.
_LEFT_OPEN: list[sqlite3.Connection] = []
_TABLES = """
PRAGMA journal_mode=WAL;
CREATE TABLE IF NOT EXISTS times (name TEXT NOT NULL, at REAL NOT NULL);
CREATE INDEX IF NOT EXISTS times_of ON times (name, at);
"""


class Allowance:
    """Counts in one file; ``key``: keeps the names in it from being guessed."""

    def __init__(self, path: Path, key: str) -> None:
        self.path, self._key = path, key.encode()
        self._held = threading.local()

    def make(self) -> None:
        """Make the file where there is none; done once, before anybody is served."""
        try:
            with closing(self._opened()) as file:
                file.executescript(_TABLES)
        except sqlite3.Error as error:
            raise self._fault(error) from error

    def used_up(self, name: str, most: int, seconds: float) -> float:
        """0 where it may be done once more, which is counted; else the seconds to wait. ``seconds`` up to an hour."""
        assert seconds <= KEPT, name
        kept = hmac.new(self._key, name.encode(), hashlib.sha256).hexdigest()[:32]
        try:
            file = self._own()
            file.execute("BEGIN IMMEDIATE")
            # Only now: what others counted while this waited would else be of a time to come, and be thrown away.
            now = time.time()
            # A clock put back must not make anybody wait longer than is meant.
            file.execute("DELETE FROM times WHERE name = ? AND NOT at BETWEEN ? AND ?", (kept, now - seconds, now))
            count, first = file.execute("SELECT count(*), min(at) FROM times WHERE name = ?", (kept,)).fetchone()
            if count < most:
                file.execute("INSERT INTO times VALUES (?, ?)", (kept, now))
            if secrets.randbelow(100) < CLEARED:
                file.execute("DELETE FROM times WHERE at < ?", (now - KEPT,))
            file.execute("COMMIT")
        except sqlite3.Error as error:
            file, self._held.opened = self._held.opened, None
            if file is not None:
                file.close()  # and with it what was begun and not ended
            raise self._fault(error) from error
        return 0.0 if count < most else max(1.0, seconds - (now - first))

    def _own(self):
        """This thread's connection, opened once: to open and close one takes longer than to count."""
        if getattr(self._held, "process", None) != os.getpid():
            # What a process that forked had open stays its own, and is not closed here.
            if getattr(self._held, "opened", None) is not None:
                _LEFT_OPEN.append(self._held.opened)
            self._held.process, self._held.opened = os.getpid(), None
        if self._held.opened is None:
            self._held.opened = self._opened()
        return self._held.opened

    def _opened(self):
        file = sqlite3.connect(self.path, timeout=10.0, isolation_level=None)
        file.execute("PRAGMA synchronous=OFF")
        return file

    def _fault(self, error):
        return StoreError(
            f"how often pages were asked for cannot be counted: {error}.",
            where=Position(str(self.path)),
            remedy="Make room there, or end what holds it, and do it again.",
        )
