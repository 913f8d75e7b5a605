"""What an impact run has found so far, so that a stopped run goes on where it was and many may work on one.

It holds nothing that cannot be worked out again; the casebook's history is only read. Results are kept by the digest of
the decision they are about, so new cases add to an earlier run instead of starting it over. What is to be done is
shared out in tasks, which any number of processes claim, of one machine or, where the casebook stands on a server, of
several: one that is gone loses its claim; nothing is counted twice. Where results lie is `impact_store`'s to know.
"""

import contextlib
import functools
import json
from collections.abc import Callable, Collection, Iterable, Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from ..engine.calculating import round_digits
from ..errors import StoreError
from . import impact_store
from .impact_result import CLASSES, COLUMNS, Result
from .impact_store import RunConnection, RunStore
from .statements import MOST

if TYPE_CHECKING:
    from ..knowledge.model import Value
    from .impact import LastTold
    from .rule_changes import RuleChange

#: Tables of a run, and of a plan within it.
_OF_RUN = ("result", "change", "plan", "choice", "task", "member", "worker", "run")
_OF_PLAN = ("plan", "choice", "task", "member", "worker")

_RESULT = ("run", *COLUMNS)
#: The results of a plan, by run and plan.
_CHOSEN = (
    f"(SELECT {', '.join(f'r.{name}' for name in COLUMNS)} FROM impact_choice AS c JOIN impact_result AS r"
    " ON r.run = c.run AND r.digest = c.digest WHERE c.run = ? AND c.plan = ?) AS chosen"
)
_LARGEST_FIRST = "ORDER BY abs(coalesce(price_new - price_old, 0)) DESC, number LIMIT ?"
_OTHERWISE = "new <> 'null'"
#: Decisions of one knowledge and car that have no result yet, in pieces of so many, numbered through.
_SHARE_OUT = """
    INSERT INTO impact_member (run, plan, task, number, entry, digest)
    SELECT run, plan, dense_rank() OVER (ORDER BY knowledge, car, piece), number, entry, digest FROM (
        SELECT c.run, c.plan, c.knowledge, c.car, c.number, c.entry, c.digest,
            (row_number() OVER (PARTITION BY c.knowledge, c.car ORDER BY c.entry) - 1) / ? AS piece
        FROM impact_choice AS c LEFT JOIN impact_result AS r ON r.run = c.run AND r.digest = c.digest
        WHERE c.run = ? AND c.plan = ? AND r.digest IS NULL
    ) AS open
"""
_MAKE_TASKS = """
    INSERT INTO impact_task (run, plan, task, knowledge, done)
    SELECT m.run, m.plan, m.task, min(c.knowledge), 0 FROM impact_member AS m
    JOIN impact_choice AS c ON c.run = m.run AND c.plan = m.plan AND c.digest = m.digest
    WHERE m.run = ? AND m.plan = ? GROUP BY m.run, m.plan, m.task
"""
_RESULTS_OF_TASK = (
    "SELECT r.digest FROM impact_member AS m JOIN impact_result AS r ON r.run = m.run AND r.digest = m.digest"
    " WHERE m.run = ? AND m.plan = ? AND m.task = ?"
)
_LEFT = "SELECT count(*) FROM impact_task WHERE run = ? AND plan = ? AND done = 0"
_HOLD = "UPDATE impact_task SET worker = ?, until = ? WHERE run = ? AND plan = ? AND task = ? AND done = 0"
_RELEASE = (
    "UPDATE impact_task SET worker = NULL, until = NULL WHERE run = ? AND plan = ? AND task = ? AND done = 0"
    " AND worker = ?"
)


class Task(NamedTuple):
    """Decisions of one stored ``knowledge`` and one car: lists (case, entry, digest)."""

    number: int
    knowledge: str
    members: list[Any]


class ImpactResults:
    """Results of one run in an open `RunStore`.

    ``key`` names the new rules, the program and the casebook; ``fresh`` forgets what was found for them.
    """

    def __init__(self, key: str, store: RunStore, *, fresh: bool = False) -> None:
        self.run, self.store, self.plan = key, store, ""
        self._closed = False
        try:
            store.transact(lambda connection: self._begin(connection, fresh))
        except BaseException:
            store.close()
            raise

    def close(self) -> None:
        """Work no more; what was found stays."""
        if not self._closed:
            self._closed = True
            with contextlib.suppress(StoreError):
                self.store.transact(self._leave)
            self.store.close()

    def _begin(self, connection, fresh):
        now = self.store.now()
        if fresh:
            if self._anybody_at(connection, now, self.run):
                raise StoreError(
                    "somebody is at work on this run, and it cannot be started over under his hands.",
                    remedy="Leave --fresh out to work on it together, or wait until it is done.",
                )
            self._forget(connection, self.run)
        connection.execute("DELETE FROM impact_run WHERE run = ?", (self.run,))
        connection.execute("INSERT INTO impact_run (run, used) VALUES (?, ?)", (self.run, now))
        runs = connection.execute("SELECT run FROM impact_run ORDER BY used DESC, run").fetchall()
        for (run,) in runs[impact_store.KEPT_RUNS :]:
            if not self._anybody_at(connection, now, run):
                self._forget(connection, run)

    def _leave(self, connection):
        connection.execute("DELETE FROM impact_worker WHERE run = ? AND worker = ?", (self.run, self.store.worker))

    @staticmethod
    def _forget(connection, run):
        for table in _OF_RUN:
            connection.execute(f"DELETE FROM impact_{table} WHERE run = ?", (run,))

    def _anybody_at(self, connection, now, run, plan=None):
        """Whether anybody works on a run, or on one plan of it: is not gone, and was heard of not too long ago."""
        rows = connection.execute("SELECT plan, worker, until FROM impact_worker WHERE run = ?", (run,)).fetchall()
        return any(
            (until or 0) >= now and not self.store.gone(worker)
            for of_plan, worker, until in rows
            if plan in (None, of_plan)
        )

    # --- what is to be done, shared out among all that work on it

    def choose(
        self, plan: str, since: str | None, decisions: "Callable[[], Iterator[LastTold | None]]", size: int
    ) -> None:
        """Note which decisions this run is about, and share out those without a result in tasks of at most ``size``.

        ``plan``: a name of this choice, which takes in decisions ``since`` a day; where it stands already, or others
        are at work on one for the same day, which was made a few cases earlier, nothing is chosen again: `plan` says
        which one it is. ``decisions``: gives the decisions, None for a case without one.
        """
        self.plan = self.store.transact(lambda connection: self._chosen(connection, plan, since or "", decisions, size))

    def _chosen(self, connection, plan, since, decisions, size):
        now = self.store.now()
        standing = self._standing(connection, plan, since, now)
        if standing is None:
            self._forget_plans(connection, now)
            undecided = 0

            def rows():
                nonlocal undecided
                for last in decisions():
                    if last is None:
                        undecided += 1
                    else:
                        yield self.run, plan, last.digest, last.case, last.entry, last.knowledge, last.car

            columns = ("run", "plan", "digest", "number", "entry", "knowledge", "car")
            connection.insert("impact_choice", columns, rows())
            connection.execute(
                "INSERT INTO impact_plan (run, plan, since, undecided) VALUES (?, ?, ?, ?)",
                (self.run, plan, since, undecided),
            )
            connection.execute(_SHARE_OUT, (size, self.run, plan))
            connection.execute(_MAKE_TASKS, (self.run, plan))
            standing = plan
        self._attend(connection, standing, now)
        return standing

    def _standing(self, connection, plan, since, now):
        """The plan to work on: the one asked for, or one of the same day at which others are at work; or None."""
        plans = connection.execute(
            "SELECT plan FROM impact_plan WHERE run = ? AND since = ? ORDER BY plan", (self.run, since)
        ).fetchall()
        if (plan,) in [tuple(row) for row in plans]:
            return plan
        for (other,) in plans:
            left = connection.execute(_LEFT, (self.run, other)).fetchone()[0]
            if left and self._anybody_at(connection, now, self.run, other):
                return other
        return None

    def _attend(self, connection, plan, now):
        self._leave(connection)
        connection.execute(
            "INSERT INTO impact_worker (run, plan, worker, until) VALUES (?, ?, ?, ?)",
            (self.run, plan, self.store.worker, now + impact_store.LEASE),
        )

    def _forget_plans(self, connection, now):
        """Those at which nobody works: what came of them stays."""
        for (plan,) in connection.execute("SELECT plan FROM impact_plan WHERE run = ?", (self.run,)).fetchall():
            if not self._anybody_at(connection, now, self.run, plan):
                for table in _OF_PLAN:
                    connection.execute(f"DELETE FROM impact_{table} WHERE run = ? AND plan = ?", (self.run, plan))

    def size(self) -> tuple[int, int, int]:
        """(decisions of this run, of these with a result, cases without a decision)."""
        ((cases, done),) = self.store.rows(
            "SELECT count(*), count(r.digest) FROM impact_choice AS c LEFT JOIN impact_result AS r"
            " ON r.run = c.run AND r.digest = c.digest WHERE c.run = ? AND c.plan = ?",
            (self.run, self.plan),
        )
        ((undecided,),) = self.store.rows(
            "SELECT undecided FROM impact_plan WHERE run = ? AND plan = ?", (self.run, self.plan)
        )
        return cases, done, undecided

    def knowledges(self) -> list[str]:
        """SHA-256 of the stored knowledge that any of the decisions was made with."""
        sql = "SELECT DISTINCT knowledge FROM impact_choice WHERE run = ? AND plan = ?"
        return [row[0] for row in self.store.rows(sql, (self.run, self.plan))]

    def claim(self, most: int) -> list[Task]:
        """Tasks that nobody does, or whoever is gone: this one's now for `impact_store.LEASE` seconds."""
        return self.store.transact(lambda connection: self._claimed(connection, most))

    def _claimed(self, connection, most):
        now = self.store.now()
        self._attend(connection, self.plan, now)
        rows = connection.execute(
            "SELECT task, knowledge, worker, until FROM impact_task WHERE run = ? AND plan = ? AND done = 0"
            " ORDER BY task",
            (self.run, self.plan),
        ).fetchall()
        tasks: list[Task] = []
        gone = functools.cache(self.store.gone)
        for number, knowledge, worker, until in rows:
            if len(tasks) == most:
                break
            if worker is not None and (until or 0) >= now and not gone(worker):
                continue
            self._hold(connection, number, now)
            tasks.append(Task(number, knowledge, self._members(connection, number)))
        return tasks

    def _members(self, connection, task):
        sql = "SELECT number, entry, digest FROM impact_member WHERE run = ? AND plan = ? AND task = ? ORDER BY number"
        return [tuple(row) for row in connection.execute(sql, (self.run, self.plan, task))]

    def _hold(self, connection, task, now):
        connection.execute(_HOLD, (self.store.worker, now + impact_store.LEASE, self.run, self.plan, task))

    def renew(self, tasks: Iterable[int]) -> None:
        """Go on holding tasks that take longer."""
        numbers = list(tasks)

        def action(connection):
            now = self.store.now()
            self._attend(connection, self.plan, now)
            for task in numbers:
                self._hold(connection, task, now)

        self.store.transact(action)

    def release(self, tasks: Iterable[int]) -> None:
        """Leave tasks that were not done to whoever goes on."""
        numbers = list(tasks)

        def action(connection):
            for task in numbers:
                connection.execute(_RELEASE, (self.run, self.plan, task, self.store.worker))

        self.store.transact(action)

    def finish(self, task: int, results: Iterable[Result]) -> None:
        """Keep what came of a task, all of it or nothing. One done twice, after its lease had run out, counts once."""
        rows = {result.digest: (self.run, *result.row()) for result in results}

        def action(connection: RunConnection) -> None:
            values = self.run, self.plan, task
            connection.execute("UPDATE impact_task SET done = 1 WHERE run = ? AND plan = ? AND task = ?", values)
            there = {digest for (digest,) in connection.execute(_RESULTS_OF_TASK, values)}
            connection.insert("impact_result", _RESULT, (row for digest, row in rows.items() if digest not in there))

        self.store.transact(action)

    def keep(self, result: Result) -> None:
        """Keep a result of which more is known now: both decisions were made in full."""

        def action(connection):
            connection.execute("DELETE FROM impact_result WHERE run = ? AND digest = ?", (self.run, result.digest))
            connection.insert("impact_result", _RESULT, [(self.run, *result.row())])

        self.store.transact(action)

    def left(self) -> int:
        """How many tasks are not done, by whomever."""
        return self.store.rows(_LEFT, (self.run, self.plan))[0][0]

    def note_changes(self, rules: str, rule_changes: "Iterable[RuleChange]") -> None:
        """Keep the `RuleChange`s from the stored rules of that hash to the new ones."""
        noted = list(rule_changes)

        def action(connection):
            connection.execute("DELETE FROM impact_change WHERE run = ? AND rules = ?", (self.run, rules))
            columns = ("run", "rules", "kind", "id", "how")
            connection.insert(
                "impact_change", columns, [(self.run, rules, change.kind, change.id, change.how) for change in noted]
            )

        self.store.transact(action)

    # --- what comes of it; memory does not grow with the cases

    def counts(self) -> dict[str, dict[str, int | dict[str, Any] | None]]:
        """Class -> {cases, set_up, program, prices, margins}: how many, and the differences old to new."""
        by_class = {}
        sql = (
            "SELECT kind, count(*), sum(set_up), sum(program), count(price_new - price_old),"
            " avg(price_new - price_old), min(price_new - price_old), max(price_new - price_old),"
            " avg(margin_new - margin_old), min(margin_new - margin_old),"
            f" max(margin_new - margin_old) FROM {_CHOSEN} GROUP BY kind ORDER BY kind"
        )
        for name, cases, set_up, program, priced, *spread in self.store.rows(sql, (self.run, self.plan)):
            price, margin = (
                None if part[0] is None else dict(zip(("mean", "least", "most"), map(round_digits, part)))
                for part in (spread[:3], spread[3:])
            )
            by_class[name] = {
                "cases": cases,
                "other_set_up": set_up,
                "program_alone": program,
                "priced": priced,
                "price_difference": price,
                "margin_difference": margin,
            }
        return by_class

    def ways(self) -> dict[str, dict[str, int]]:
        """{cases, otherwise}: way in which they were worked out -> how many, and how many that come out otherwise."""
        sql = (
            f"SELECT worked_out, count(*), sum(CASE WHEN {_OTHERWISE} THEN 1 ELSE 0 END) FROM {_CHOSEN}"
            " GROUP BY worked_out ORDER BY worked_out"
        )
        rows = self.store.rows(sql, (self.run, self.plan))
        return {
            "cases": {way: cases for way, cases, _ in rows},
            "otherwise": {way: otherwise for way, _, otherwise in rows if otherwise},
        }

    def count_otherwise(self) -> int:
        """How many cases come out otherwise."""
        return sum(self.ways()["otherwise"].values())

    def changes(self, rules: set[str]) -> "list[dict[str, Value]]":
        """[{kind, id, how, cases}]: every change from any of the stored rule sets, and how many cases it came into."""
        played: dict[str, int] = {}
        for names, cases in self.store.rows(
            f"SELECT in_play, count(*) FROM {_CHOSEN} GROUP BY in_play", (self.run, self.plan)
        ):
            for name in json.loads(names):
                played[name] = played.get(name, 0) + cases
        ways: dict[tuple[str, str], set[str]] = {}
        for of_rules, kind, name, how in self.store.rows(
            "SELECT rules, kind, id, how FROM impact_change WHERE run = ?", (self.run,)
        ):
            if of_rules in rules:
                ways.setdefault((kind, name), set()).add(how)
        return [
            {"kind": kind, "id": name, "how": " or ".join(sorted(how)), "cases": played.get(f"{kind} {name}", 0)}
            for (kind, name), how in sorted(ways.items())
        ]

    def results(
        self, classes: Collection[str] = CLASSES, limit: int = -1, numbers: Collection[int] | None = None
    ) -> Iterator[Result]:
        """Results of some classes, the largest price difference first."""
        marks = ", ".join("?" * len(classes))
        only = "" if numbers is None else f"AND number IN ({', '.join(str(int(number)) for number in numbers)})"
        return self._results(f"kind IN ({marks}) {only} {_LARGEST_FIRST}", *classes, MOST if limit < 0 else limit)

    def otherwise(self, limit: int = -1) -> list[Result]:
        """The first results that come out otherwise, in the order of `results`."""
        return list(self._results(f"{_OTHERWISE} {_LARGEST_FIRST}", MOST if limit < 0 else limit))

    def to_ring(self) -> Iterator[Result]:
        """Results of cases whose clutch fails a safety must under the new rules, the last sold first."""
        return self._results("ring <> '{}' ORDER BY sold_on DESC, number DESC")

    def _results(self, condition, *values):
        sql = f"SELECT {', '.join(COLUMNS)} FROM {_CHOSEN} WHERE {condition}"
        for row in self.store.stream(sql, (self.run, self.plan, *values)):
            yield Result.of_row(row)
