"""What other rules would have told past callers: every stored case, both cores, stopped and gone on with at will."""

import contextlib
import multiprocessing
import os
import signal
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..errors import AdvisorError, StoreError
from ..knowledge import canonical
from . import statements
from .impact_state import ImpactResults
from .impact_work import Worker
from .program import fingerprint

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge
    from .book import Casebook
    from .kept_files import Files

#: Places of the rules among stored files: the shipped ones, and a shop's own laid over them.
RULES = ("rules", "house")
#: Cases in one task: large enough for the bulk evaluator, small enough to lose little when stopped.
TASK = 128

_worker = None


class Impact:
    """One run: the `ImpactResults` with its results, and what it was about."""

    def __init__(self, state: ImpactResults, cases: int, undecided: int, rules: set[str], same: set[str]) -> None:
        self.state, self.cases, self.undecided = state, cases, undecided
        #: SHA-256 of the stored rule sets the cases were decided with, and of those that equal the new one.
        self.rules, self.same = rules, same

    def summary(self) -> dict[str, Any]:
        """JSON data: counts of each class, the changes and where they came into play."""
        rule_changes = self.state.changes(self.rules)
        return {
            "cases": self.cases,
            "undecided": self.undecided,
            "rule_sets": len(self.rules),
            "same_rules": len(self.same),
            "classes": self.state.counts(),
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
    decisions, undecided = _decisions(book, since)
    name = book.store.row(statements.HEAD)[0]
    new_rules = files.sha256(RULES)
    state = ImpactResults(canonical.sha256(["impact 3", new_rules, fingerprint(), name]), fresh=fresh)
    try:
        state.choose((decision.digest, decision.case) for decision in decisions)
        sets = {kept: book_rules(book, kept) for kept in {decision.knowledge for decision in decisions}}
        done = state.done()
        tasks = list(_tasks([decision for decision in decisions if decision.digest not in done]))
        with Worker(book.store.place, knowledge) as worker:
            for knowledge_set, rules in sorted(sets.items()):
                _note_changes(state, worker, knowledge_set, rules)
            _work(state, worker, tasks, len(done), len(decisions), processes or cores(), progress)
    except BaseException:
        state.close()
        raise
    stored = set(sets.values())
    return Impact(state, len(decisions), undecided, stored, stored & {new_rules})


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
    """([`LastTold`, ...] of the cases begun since, how many of these have no decision)."""
    begun: dict[str, Any] = {}
    last, cars = {}, {}
    for case, number, kind, at, digest, knowledge, of, car in book.store.rows(statements.TOLD):
        begun.setdefault(case, at)
        if kind == "answers":
            cars[case] = (number, car or "")
        elif of == cars.get(case, (None,))[0]:
            last[case] = LastTold(case, number, digest, knowledge, cars[case][1])
    wanted = [case for case in begun if since is None or begun[case] >= since]
    return [last[case] for case in wanted if case in last], sum(1 for case in wanted if case not in last)


def _note_changes(state, worker, knowledge, rules):
    # Where it cannot be read, the cases decided with it are told as not to be replayed, with the reason.
    with contextlib.suppress(AdvisorError):
        state.note_changes(rules, worker.changes_from(knowledge))


def _tasks(decisions):
    """(knowledge, [[entry, digest], ...]) of at most TASK cases each, of one stored knowledge and one car."""
    groups: dict[tuple[str, str], list[Any]] = {}
    for decision in decisions:
        groups.setdefault((decision.knowledge, decision.car), []).append([decision.entry, decision.digest])
    for (knowledge, _), members in sorted(groups.items()):
        for start in range(0, len(members), TASK):
            yield knowledge, members[start : start + TASK]


def _work(state, worker, tasks, done, total, processes, progress):
    begun, first = time.monotonic(), done
    progress(done, total, 0.0)
    for results in _results(worker, tasks, processes):
        state.add(results)
        done += len(results)
        progress(done, total, (done - first) / max(time.monotonic() - begun, 1e-6))


def _results(worker, tasks, processes):
    if min(processes, len(tasks)) <= 1:
        for task in tasks:
            yield worker.work(*task)
        return
    worker.close()  # an open file is not shared with other processes
    methods = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("fork" if "fork" in methods else "spawn")
    pool = ProcessPoolExecutor(min(processes, len(tasks)), context, _start, (worker.place, worker.new))
    try:
        with _interrupts_waiting():  # until the new processes have learnt to leave them to this one
            started = [pool.submit(_do, task) for task in tasks]
        for future in as_completed(started):
            yield future.result()
    except BrokenProcessPool as error:
        raise StoreError(
            "a process that was deciding cases was ended from outside.",
            remedy="What was done is kept: give the same command again. Where memory ran out, add --processes 1.",
        ) from error
    finally:
        # An interrupt waits for the batches in work, which take a second or two, and for nothing else.
        pool.shutdown(cancel_futures=True)


@contextlib.contextmanager
def _interrupts_waiting():
    """Interrupts at the terminal come after this; processes begun within never see one."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _start(place, knowledge):
    global _worker
    # An interrupt at the terminal reaches every process; the first one ends the others.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _worker = Worker(place, knowledge)


def _do(task):
    assert _worker is not None, "a process works once it has started"
    return _worker.work(*task)
