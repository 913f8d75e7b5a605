"""What an impact run has found so far, in a file beside the cache, so that a stopped run goes on where it was.

It holds nothing that cannot be worked out again; the casebook itself is only read. Results are kept by the digest of
the decision they are about, so new cases add to an earlier run instead of starting it over. What is to be done is
shared out in tasks, which any number of processes claim: one that is gone loses its claim; nothing is counted twice.
"""

import contextlib
import os
import socket
import sqlite3
import time
from collections.abc import Callable, Collection, Iterable, Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from ..errors import Position, StoreError
from ..knowledge.cache import folder as cache_folder
from .impact_result import CLASSES, COLUMNS, Result

if TYPE_CHECKING:
    from ..knowledge.model import Value
    from .impact import LastTold
    from .rule_changes import RuleChange

KEPT_RUNS = 4


class Task(NamedTuple):
    """Decisions of one stored ``knowledge`` and one car: lists (case, entry, digest)."""

    number: int
    knowledge: str
    members: list[Any]


#: Seconds after which a task is another's to do, unless whoever has it says before that it still works on it.
LEASE = 600.0


def _this_process():
    return f"{socket.gethostname()} {os.getpid()}"


def _free(worker, until):
    """Whether a task is anybody's to take: claimed by nobody, by a process that is gone, or too long ago."""
    if worker is None or until is None or until < time.time():
        return True
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


_TABLES = """
CREATE TABLE IF NOT EXISTS result (
    digest TEXT PRIMARY KEY, number INTEGER, kind TEXT, currency TEXT, set_up INTEGER, program INTEGER,
    price_old REAL, price_new REAL, margin_old REAL, margin_new REAL, in_play TEXT, why TEXT, old TEXT, new TEXT,
    worked_out TEXT, sides BLOB, told_on TEXT, sold TEXT, sold_on TEXT, ring TEXT
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS change (
    rules TEXT, kind TEXT, id TEXT, how TEXT, PRIMARY KEY (rules, kind, id)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS plan (plan TEXT PRIMARY KEY, undecided INTEGER) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS choice (
    plan TEXT, digest TEXT, number INTEGER, entry INTEGER, knowledge TEXT, car TEXT, PRIMARY KEY (plan, digest)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS task (
    plan TEXT, task INTEGER, knowledge TEXT, worker TEXT, until REAL, done INTEGER, PRIMARY KEY (plan, task)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS member (
    plan TEXT, task INTEGER, number INTEGER, entry INTEGER, digest TEXT, PRIMARY KEY (plan, task, number)
) WITHOUT ROWID;
"""


class ImpactResults:
    """Results of one run. ``key`` names the new rules, the program and the casebook; ``fresh`` forgets earlier ones."""

    def __init__(self, key: str, *, fresh: bool = False) -> None:
        folder = cache_folder()
        self.path = folder / f"impact-{key[:32]}.sqlite"
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            for old in sorted(folder.glob("impact-*.sqlite"), key=lambda path: path.stat().st_mtime)[:-KEPT_RUNS]:
                old.unlink(missing_ok=True)
            if fresh:
                self.path.unlink(missing_ok=True)
            self.connection = self._open()
            self.plan = ""
        except (OSError, sqlite3.Error) as error:
            raise StoreError(
                f"the results of an impact run cannot be kept: {error}.",
                where=Position(str(self.path)),
                remedy="Make the cache folder writable, or set XDG_CACHE_HOME to one that is.",
            ) from error

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
            connection.executescript(_TABLES)
        except sqlite3.DatabaseError:
            connection.close()
            raise
        return connection

    def close(self) -> None:
        """Close the file."""
        self.connection.close()

    # --- what is to be done, shared out among all that work on it

    def choose(self, plan: str, decisions: "Callable[[], Iterator[LastTold | None]]", size: int) -> None:
        """Note which decisions this run is about, and share out those without a result in tasks of at most ``size``.

        ``plan``: a hex name of this choice; where it stands already, by this program or another that works on it or
        was stopped, nothing is chosen again. ``decisions``: gives the decisions, None for a case without one.
        """
        with self._at_once() as connection:
            if connection.execute("SELECT 1 FROM plan WHERE plan = ?", (plan,)).fetchone() is None:
                self._forget_plans(connection)
                undecided = 0

                def rows():
                    nonlocal undecided
                    for last in decisions():
                        if last is None:
                            undecided += 1
                        else:
                            yield plan, last.digest, last.case, last.entry, last.knowledge, last.car

                connection.executemany("INSERT INTO choice VALUES (?, ?, ?, ?, ?, ?)", rows())
                connection.execute("INSERT INTO plan VALUES (?, ?)", (plan, undecided))
                self._share_out(connection, plan, size)
        self.plan = plan
        self.connection.execute("DROP VIEW IF EXISTS temp.chosen")
        self.connection.execute(
            f"CREATE TEMP VIEW chosen AS SELECT digest, number FROM choice WHERE plan = '{int(plan, 16):0{len(plan)}x}'"
        )

    def _forget_plans(self, connection):
        """Those at which nobody works: what came of them stays."""
        claims = connection.execute("SELECT plan, worker, until FROM task WHERE done = 0 AND worker IS NOT NULL")
        at_work = {plan for plan, worker, until in claims if not _free(worker, until)}
        for (plan,) in connection.execute("SELECT plan FROM plan").fetchall():
            for table in ("plan", "choice", "task", "member") if plan not in at_work else ():
                connection.execute(f"DELETE FROM {table} WHERE plan = ?", (plan,))

    def _share_out(self, connection, plan, size):
        open_rows = connection.execute(
            "SELECT knowledge, car, choice.number, entry, digest FROM choice LEFT JOIN result USING (digest)"
            " WHERE plan = ? AND result.digest IS NULL ORDER BY knowledge, car, entry",
            (plan,),
        )
        task, held, group = 0, 0, None
        tasks = []

        def members():
            nonlocal task, held, group
            for knowledge, car, number, entry, digest in open_rows:
                if (knowledge, car) != group or held == size:
                    task, held, group = task + 1, 0, (knowledge, car)
                    tasks.append((plan, task, knowledge))
                held += 1
                yield plan, task, number, entry, digest

        connection.executemany("INSERT INTO member VALUES (?, ?, ?, ?, ?)", members())
        connection.executemany("INSERT INTO task VALUES (?, ?, ?, NULL, NULL, 0)", tasks)

    def size(self) -> tuple[int, int, int]:
        """(decisions of this run, of these with a result, cases without a decision)."""
        cases, done = self.connection.execute(
            "SELECT count(*), count(result.digest) FROM chosen LEFT JOIN result USING (digest)"
        ).fetchone()
        (undecided,) = self.connection.execute("SELECT undecided FROM plan WHERE plan = ?", (self.plan,)).fetchone()
        return cases, done, undecided

    def knowledges(self) -> list[str]:
        """SHA-256 of the stored knowledge that any of the decisions was made with."""
        rows = self.connection.execute("SELECT DISTINCT knowledge FROM choice WHERE plan = ?", (self.plan,))
        return [row[0] for row in rows]

    def claim(self, most: int) -> list[Task]:
        """Tasks that nobody does, or whoever is gone: this process's now for `LEASE` seconds."""
        with self._at_once() as connection:
            rows = connection.execute(
                "SELECT task, knowledge, worker, until FROM task WHERE plan = ? AND done = 0 ORDER BY task",
                (self.plan,),
            )
            free = [(task, knowledge) for task, knowledge, worker, until in rows if _free(worker, until)][:most]
            for task, _ in free:
                self._hold(connection, task)
        return [Task(task, knowledge, self._members(task)) for task, knowledge in free]

    def _members(self, task):
        sql = "SELECT number, entry, digest FROM member WHERE plan = ? AND task = ? ORDER BY number"
        return self.connection.execute(sql, (self.plan, task)).fetchall()

    def _hold(self, connection, task):
        held = (_this_process(), time.time() + LEASE, self.plan, task)
        connection.execute("UPDATE task SET worker = ?, until = ? WHERE plan = ? AND task = ? AND done = 0", held)

    def renew(self, tasks: Iterable[int]) -> None:
        """Go on holding tasks that take longer."""
        with self._at_once() as connection:
            for task in tasks:
                self._hold(connection, task)

    def release(self, tasks: Iterable[int]) -> None:
        """Leave tasks that were not done to whoever goes on."""
        with self._at_once() as connection:
            sql = "UPDATE task SET worker = NULL, until = NULL WHERE plan = ? AND task = ? AND done = 0"
            connection.executemany(sql, [(self.plan, task) for task in tasks])

    def finish(self, task: int, results: Iterable[Result]) -> None:
        """Keep what came of a task, all of it or nothing. One done twice, after its lease had run out, counts once."""
        with self._at_once() as connection:
            self._add(connection, results)
            connection.execute("UPDATE task SET done = 1 WHERE plan = ? AND task = ?", (self.plan, task))

    def left(self) -> int:
        """How many tasks are not done, by whomever."""
        sql = "SELECT count(*) FROM task WHERE plan = ? AND done = 0"
        return self.connection.execute(sql, (self.plan,)).fetchone()[0]

    @contextlib.contextmanager
    def _at_once(self):
        self.connection.execute("BEGIN IMMEDIATE")
        try:
            yield self.connection
            self.connection.execute("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                self.connection.execute("ROLLBACK")
            raise

    def _add(self, connection, results):
        connection.executemany(
            f"INSERT OR IGNORE INTO result ({', '.join(COLUMNS)}) VALUES ({', '.join('?' * len(COLUMNS))})",
            [result.row() for result in results],
        )

    def keep(self, result: Result) -> None:
        """Keep a result of which more is known now: both decisions were made in full."""
        with self._at_once() as connection:
            connection.execute("DELETE FROM result WHERE digest = ?", (result.digest,))
            self._add(connection, [result])

    def note_changes(self, rules: str, rule_changes: "Iterable[RuleChange]") -> None:
        """Keep the `RuleChange`s from the stored rules of that hash to the new ones."""
        with self._at_once() as connection:
            connection.executemany(
                "INSERT OR REPLACE INTO change VALUES (?, ?, ?, ?)",
                [(rules, rule_change.kind, rule_change.id, rule_change.how) for rule_change in rule_changes],
            )

    # --- what comes of it; memory does not grow with the cases

    def counts(self) -> dict[str, dict[str, int | dict[str, Any] | None]]:
        """Class -> {cases, set_up, program, prices, margins}: how many, and the differences old to new."""
        by_class = {}
        sql = (
            "SELECT kind, count(*), sum(set_up), sum(program), count(price_new - price_old),"
            " avg(price_new - price_old), min(price_new - price_old), max(price_new - price_old),"
            " avg(margin_new - margin_old), min(margin_new - margin_old),"
            " max(margin_new - margin_old) FROM chosen JOIN result USING (digest) GROUP BY kind"
        )
        for name, cases, set_up, program, priced, *spread in self.connection.execute(sql):
            price, margin = spread[:3], spread[3:]
            by_class[name] = {
                "cases": cases,
                "other_set_up": set_up,
                "program_alone": program,
                "priced": priced,
                "price_difference": dict(zip(("mean", "least", "most"), price)) if priced else None,
                "margin_difference": dict(zip(("mean", "least", "most"), margin)) if margin[0] is not None else None,
            }
        return by_class

    def ways(self) -> dict[str, dict[str, int]]:
        """{cases, otherwise}: way in which they were worked out -> how many, and how many that come out otherwise."""
        sql = (
            "SELECT worked_out, count(*), sum(new <> 'null') FROM chosen JOIN result USING (digest)"
            " GROUP BY worked_out ORDER BY worked_out"
        )
        rows = self.connection.execute(sql).fetchall()
        return {
            "cases": {way: cases for way, cases, _ in rows},
            "otherwise": {way: otherwise for way, _, otherwise in rows if otherwise},
        }

    def count_otherwise(self) -> int:
        """How many cases come out otherwise."""
        return sum(self.ways()["otherwise"].values())

    def otherwise(self, limit: int = -1) -> list[Result]:
        """The first results that come out otherwise, in the order of `results`."""
        sql = (
            f"SELECT {', '.join(COLUMNS)} FROM (SELECT result.* FROM chosen JOIN result USING (digest))"
            " WHERE new <> 'null' ORDER BY abs(coalesce(price_new - price_old, 0)) DESC, number LIMIT ?"
        )
        return [Result.of_row(row) for row in self.connection.execute(sql, (limit,))]

    def changes(self, rules: set[str]) -> "list[dict[str, Value]]":
        """[{kind, id, how, cases}]: every change from any of the stored rule sets, and how many cases it came into."""
        marks = ", ".join("?" * len(rules))
        played = dict(
            self.connection.execute(
                "SELECT value, count(*) FROM chosen JOIN result USING (digest), json_each(in_play) GROUP BY value"
            )
        )
        sql = (
            f"SELECT kind, id, group_concat(DISTINCT how) FROM change WHERE rules IN ({marks})"
            " GROUP BY kind, id ORDER BY kind, id"
        )
        return [
            {"kind": kind, "id": name, "how": how.replace(",", " or "), "cases": played.get(f"{kind} {name}", 0)}
            for kind, name, how in self.connection.execute(sql, sorted(rules))
        ]

    def results(
        self, classes: Collection[str] = CLASSES, limit: int = -1, numbers: Collection[int] | None = None
    ) -> Iterator[Result]:
        """Results of some classes, the largest price difference first."""
        marks = ", ".join("?" * len(classes))
        only = "" if numbers is None else f"AND result.number IN ({', '.join(str(int(number)) for number in numbers)})"
        sql = (
            f"SELECT {', '.join(COLUMNS)} FROM (SELECT result.* FROM chosen JOIN result USING (digest)) AS result"
            f" WHERE kind IN ({marks}) {only} ORDER BY abs(coalesce(price_new - price_old, 0)) DESC, number LIMIT ?"
        )
        for row in self.connection.execute(sql, (*classes, limit)):
            yield Result.of_row(row)

    def to_ring(self) -> Iterator[Result]:
        """Results of cases whose clutch fails a safety must under the new rules, the last sold first."""
        sql = (
            f"SELECT {', '.join(COLUMNS)} FROM (SELECT result.* FROM chosen JOIN result USING (digest))"
            " WHERE ring <> '{}' ORDER BY sold_on DESC, number DESC"
        )
        for row in self.connection.execute(sql):
            yield Result.of_row(row)
