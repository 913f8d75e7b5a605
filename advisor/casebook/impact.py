"""What other rules would have told past callers: every stored case, both cores, stopped and gone on with at will."""

import contextlib
import itertools
import multiprocessing
import os
import signal
import time
from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..errors import AdvisorError, StoreError
from ..knowledge import canonical
from ..knowledge.interrupts import uninterrupted
from . import impact_places, impact_store, statements
from .impact_state import ImpactResults
from .impact_work import Worker
from .program import fingerprint

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge
    from .book import Casebook
    from .impact_result import Result
    from .kept_files import Files

#: Places of the rules among stored files: the shipped ones, and a shop's own laid over them.
RULES = ("rules", "house")
#: Cases in one task: large enough for the bulk evaluator, small enough to lose little when stopped.
TASK = 2048
#: Seconds after which it is looked again whether what others work on is done.
WAIT = 0.5

_worker = None


class Impact:
    """One run: the `ImpactResults` with its results, and what it was about."""

    def __init__(self, state: ImpactResults, cases: int, undecided: int, rules: set[str], same: set[str]) -> None:
        self.state, self.cases, self.undecided = state, cases, undecided
        #: SHA-256 of the stored rule sets the cases were decided with, and of those that equal the new one.
        self.rules, self.same = rules, same

    def in_full(self, worker: Worker, result: "Result") -> "Result":
        """A result with both decisions in full and by both engines, kept from now on."""
        full = worker.in_full(result)
        if full is not result:
            self.state.keep(full)
        return full

    def summary(self) -> dict[str, Any]:
        """JSON data: counts of each class and of each way they were worked out, the changes and where they came into
        play.
        """
        rule_changes = self.state.changes(self.rules)
        return {
            "cases": self.cases,
            "undecided": self.undecided,
            "rule_sets": len(self.rules),
            "same_rules": len(self.same),
            "classes": self.state.counts(),
            "worked_out": self.state.ways(),
            "changes": rule_changes,
            "changed_rules": len(rule_changes),
            "changed_rules_in_play": sum(1 for rule_change in rule_changes if rule_change["cases"]),
        }


def run(
    book: "Casebook",
    knowledge: "Knowledge",
    files: "Files",
    *,
    since: str | None = None,
    processes: int | None = None,
    fresh: bool = False,
    progress: Callable[[int, int, float], None] = lambda done, of, rate: None,
) -> "Impact":
    """The `Impact` of a new Knowledge on the decisions in a casebook.

    ``files``: the new rules as Files; ``since``: start of the first day, in UTC; ``processes``: how many work at a
    time (the cores at hand); ``progress`` is called with cases done, cases in all and cases a second. A
    KeyboardInterrupt leaves what was done; the same call goes on from there.
    """
    name, _, last = book.store.row(statements.HEAD)
    new_rules = files.sha256(RULES)
    key = canonical.sha256(["impact 6", new_rules, fingerprint(), name])
    state = ImpactResults(key, impact_places.opened(book.store, key), fresh=fresh)
    plan = canonical.sha256([last, since])[:32]
    try:
        with Worker(book.store.place, knowledge) as worker:
            while state.plan != plan:
                # First what others are at work on, where they began a few cases earlier; then what came since.
                state.choose(plan, since, lambda: _decisions(book, since), TASK)
                sets = {kept: book_rules(book, kept) for kept in state.knowledges()}
                for knowledge_set, rules in sorted(sets.items()):
                    _note_changes(state, worker, knowledge_set, rules)
                _work(state, worker, processes or cores(), progress)
        cases, _, undecided = state.size()
    except BaseException:
        state.close()
        raise
    stored = set(sets.values())
    return Impact(state, cases, undecided, stored, stored & {new_rules})


def cores() -> int:
    """Cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def book_rules(book: "Casebook", knowledge: str) -> str:
    """SHA-256 of the rules alone within a stored knowledge."""
    files = book.store.rows(statements.FILES_OF_KNOWLEDGE, (knowledge,))
    return canonical.sha256([list(file) for file in files if file[0] in RULES])


@dataclass(frozen=True, slots=True)
class LastTold:
    """A decision as it was last told on a caller's own answers. ``entry``: its number; ``knowledge``: of its files."""

    case: int
    entry: int
    digest: str
    knowledge: str
    car: str


def _decisions(book, since):
    """The `LastTold` of each case begun since, None for one without a decision; case by case, nothing else is held."""
    for case, rows in itertools.groupby(book.store.rows(statements.TOLD), lambda row: row[0]):
        begun, answers, car, last = None, None, "", None
        for _, number, kind, at, digest, knowledge, of, of_car in rows:
            begun = begun or at
            if kind == "answers":
                answers, car = number, of_car or ""
            elif of == answers:
                last = LastTold(case, number, digest, knowledge, car)
        if since is None or begun >= since:
            yield last


def _note_changes(state, worker, knowledge, rules):
    # Where it cannot be read, the cases decided with it are told as not to be replayed, with the reason.
    with contextlib.suppress(AdvisorError):
        state.note_changes(rules, worker.changes_from(knowledge))


def _work(state, worker, processes, progress):
    begun = time.monotonic()
    total, first, _ = state.size()
    done = first
    progress(done, total, 0.0)
    for count in _finished(state, worker, min(processes, state.left())):
        done += count
        progress(done, total, (done - first) / max(time.monotonic() - begun, 1e-6))
    # What others did meanwhile counts too.
    if done != total and not state.left():
        progress(total, total, 0.0)


def _finished(state, worker, processes):
    """How many cases each task had that this process saw to; waits for those that others do."""
    if processes <= 1:
        while state.left():
            claimed = state.claim(1)
            for task in claimed:
                with _held(state, [task.number]):
                    results = worker.work(task.knowledge, task.members)
                state.finish(task.number, results)
                yield len(results)
            if not claimed:
                time.sleep(WAIT)
        return
    worker.close()  # an open file is not shared with other processes
    methods = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("fork" if "fork" in methods else "spawn")
    pool = ProcessPoolExecutor(processes, context, _start, (worker.place, worker.new))
    running: dict[Any, int] = {}
    renewed = time.monotonic()
    try:
        with _held(state, running.values()):
            while state.left():
                with uninterrupted():  # until the new processes have learnt to leave them to this one
                    for task in state.claim(2 * processes - len(running)):
                        running[pool.submit(_do, task)] = task.number
                if not running:
                    time.sleep(WAIT)
                    continue
                over, _ = wait(running, timeout=impact_store.LEASE / 4, return_when=FIRST_COMPLETED)
                for future in over:
                    results = future.result()
                    state.finish(running.pop(future), results)
                    yield len(results)
                if time.monotonic() > renewed + impact_store.LEASE / 4:
                    state.renew(running.values())
                    renewed = time.monotonic()
    except BrokenProcessPool as error:
        raise StoreError(
            "a process that was deciding cases was ended from outside.",
            remedy="What was done is kept: give the same command again. Where memory ran out, add --processes 1.",
        ) from error
    finally:
        # An interrupt waits for the batches in work, which take a second or two, and for nothing else.
        pool.shutdown(cancel_futures=True)


@contextlib.contextmanager
def _held(state, tasks):
    """Tasks that are not done after all are left to whoever goes on."""
    try:
        yield
    except BaseException:
        state.release(list(tasks))
        raise


def _start(place, knowledge):
    global _worker
    # An interrupt at the terminal reaches every process; the first one ends the others.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _worker = Worker(place, knowledge)


def _do(task):
    assert _worker is not None, "a process works once it has started"
    return _worker.work(task.knowledge, task.members)
