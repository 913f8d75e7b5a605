"""Several machines at work on one impact run, through the server on which the casebook stands.

What tasks are is tested on either store in `test_impact_tasks`; whole runs with machines that are killed are counted by
``python -m tests.full casebook_server``.
"""

import contextlib
import time

import psycopg
import pytest

from advisor.casebook import impact_places, places, server_faults
from advisor.casebook.book import Casebook
from advisor.casebook.impact_file import FileRuns
from advisor.casebook.impact_server import ServerRuns
from advisor.casebook.impact_state import ImpactResults

from .. import database
from . import stores
from .test_impact_tasks import KEY, PLAN, decided, results_of

pytestmark = [pytest.mark.needs("server"), pytest.mark.file_only]  # it names its places itself


@pytest.fixture
def path(tmp_path):
    """Stands for a schema with an empty casebook, taken away afterwards."""
    place = tmp_path / "casebook"
    with database.emptied(stores.schema(place)):
        Casebook(stores.address(place)).close()
        yield place


@pytest.fixture
def machines(path):
    """Begins to work on one run, as each of several machines would."""
    with contextlib.ExitStack() as opened:

        def machine():
            state = ImpactResults(KEY, ServerRuns(stores.address(path)))
            opened.callback(state.close)
            state.choose(PLAN, None, lambda: iter(decided(70)), 8)
            return state

        yield machine


def test_the_tasks_of_a_machine_that_is_gone_are_taken_again_at_once(machines):
    here, there = machines(), machines()
    held = there.claim(3)
    assert not {task.number for task in held} & {task.number for task in here.claim(2)}
    there.store.close()  # without a word, as where its machine lost its power
    until = time.monotonic() + 30
    while not here.store.transact(lambda _: here.store.gone(there.store.worker)) and time.monotonic() < until:
        time.sleep(0.02)  # the server has to see it first
    assert {task.number for task in held} <= {task.number for task in here.claim(100)}
    # What it was at work on may still come, once it is back: it counts once.
    there.finish(held[0].number, results_of(held[0]))
    here.finish(held[0].number, results_of(held[0]))
    assert here.size()[1] == len(held[0].members)


def test_a_lost_connection_is_made_again_and_what_was_held_is_free(machines):
    here, there = machines(), machines()
    first, second = here.claim(2)
    before = here.store.worker
    with database.server().admin("chain") as connection:
        connection.execute(
            "SELECT pg_terminate_backend(pid, 5000) FROM pg_locks WHERE locktype = 'advisory' AND objid = %s::oid",
            (before,),
        )
    here.finish(first.number, results_of(first))
    assert here.store.worker != before and there.size()[1] == len(first.members)
    assert second.number in {task.number for task in there.claim(100)}


def test_what_to_do_is_noted_again_where_the_casebook_was_lost_while_it_was_read(path):
    runs = ServerRuns(stores.address(path))
    state = ImpactResults(KEY, runs)
    begun = []

    def decisions():
        begun.append(runs.worker)
        for last in decided(70):
            if last is not None and last.case == 30 and len(begun) == 1:
                with server_faults.telling(runs.address):  # as the casebook tells it
                    raise psycopg.OperationalError("consuming input failed: server closed the connection unexpectedly")
            yield last

    with contextlib.closing(state):
        state.choose(PLAN, None, decisions, 8)
        assert len(begun) == 2 and state.size() == (70, 0, 1)


def test_whoever_may_write_shares_a_run_and_whoever_only_reads_keeps_it_on_his_machine(path, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    as_counter = stores.address(path, role=database.COUNTER)
    for writes, kind in ((True, ServerRuns), (False, FileRuns)):
        if not writes:
            with database.server().admin("chain") as connection:
                connection.execute(f"REVOKE ALL ON ALL TABLES IN SCHEMA {stores.schema(path)} FROM {database.COUNTER}")
        places.grant(stores.address(path), database.COUNTER, writes=writes)
        with Casebook(as_counter, write=False) as book:
            runs = impact_places.opened(book.store, KEY)
            assert isinstance(runs, kind)
            runs.close()
