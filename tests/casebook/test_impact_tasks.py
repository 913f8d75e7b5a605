"""What is to be done in a run, shared out among processes: claimed, given back, taken from whoever is gone."""

import dataclasses
import socket
import subprocess
import sys
from types import SimpleNamespace

import pytest

from advisor.casebook import book as books, impact_places, impact_result, impact_sides, impact_store, program, sales
from advisor.casebook.book import Casebook
from advisor.casebook.impact import LastTold
from advisor.casebook.impact_result import Result
from advisor.casebook.impact_state import ImpactResults
from advisor.casebook.rule_changes import changes
from advisor.casebook.untouched import Untouched
from advisor.deciding.recording import record
from advisor.errors import StoreError
from advisor.knowledge.case_model import Answer

from . import impacts, shelf

#: Taken as yes where nobody answers it; with no a kit passes that else does not.
ASKED = "sanctioned_racing"
PLAN = "0" * 31 + "1"


KEY = "a" * 64


@pytest.fixture
def states(tmp_path, monkeypatch):
    """Opens the results of one run, as each of several processes would."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    opened = []
    with Casebook(tmp_path / "casebook.sqlite") as book:

        def state(decisions=70, plan=PLAN, size=8, since=None, fresh=False, key=KEY):
            opened.append(ImpactResults(key, impact_places.opened(book.store, key), fresh=fresh))
            opened[-1].choose(plan, since, lambda: iter(decided(decisions)), size)
            return opened[-1]

        yield state
        for each in opened:
            each.close()


def poke(state, sql, values=()):
    """Change a row of the results under the hands of those who use them."""
    state.store.transact(lambda connection: connection.execute(sql, values) and None)


def decided(count):
    """Decisions on two cars by two sets of rules, and a case without one."""
    yield None
    for case in range(1, count + 1):
        yield LastTold(case, 10 * case, f"digest {case}", f"rules {case % 2}", f"car {case % 3}")


def results_of(task):
    return [Result(digest, number, impact_result.UNCHANGED) for number, _, digest in task.members]


@pytest.mark.both_stores
def test_tasks_are_of_one_car_and_one_set_of_rules_and_hold_every_decision_once(states):
    state = states()
    assert state.size() == (70, 0, 1)
    tasks = state.claim(100)
    assert all(len({(number % 2, number % 3) for number, *_ in task.members}) == 1 for task in tasks)
    assert sorted(number for task in tasks for number, *_ in task.members) == list(range(1, 71))
    assert max(len(task.members) for task in tasks) == 8
    assert state.claim(1) == []


@pytest.mark.both_stores
def test_nothing_is_done_twice_by_two_that_work_at_once(states):
    here, there = states(), states()
    held = [number for state in (here, there, here) for task in state.claim(2) for number, *_ in task.members]
    assert len(held) == len(set(held)) > 20
    assert here.left() == there.left() > 6


@pytest.mark.both_stores
def test_what_is_finished_stays_and_what_is_given_back_is_done_by_another(states):
    here, there = states(), states()
    first, second = here.claim(2)
    here.finish(first.number, results_of(first))
    here.release([second.number])
    assert there.size()[1] == len(first.members)
    assert there.claim(1)[0].members == second.members
    # Done again after all, it counts once.
    there.finish(first.number, results_of(first))
    assert there.size()[1] == len(first.members) == sum(1 for _ in there.results())


@pytest.mark.file_only
def test_the_task_of_a_process_that_is_gone_is_taken_again_at_once(states):
    gone = subprocess.Popen([sys.executable, "-c", "pass"])
    gone.wait()
    state = states()
    tasks = state.claim(3)
    claims = (
        (f"{socket.gethostname()} {gone.pid}", 1e12),  # of this machine, and gone
        ("another-machine 1", 1e12),  # at work, as far as can be told from here
        ("another-machine 1", 1.0),  # its lease has run out
    )
    for task, (worker, until) in zip(tasks, claims):
        poke(state, "UPDATE impact_task SET worker = ?, until = ? WHERE task = ?", (worker, until, task.number))
    again = {task.number for task in state.claim(100)}
    assert tasks[0].number in again and tasks[2].number in again and tasks[1].number not in again


@pytest.mark.both_stores
def test_who_comes_a_few_cases_later_works_on_what_others_are_at_work_on(states):
    here = states(decisions=70)
    later = "0" * 31 + "2"
    there = states(decisions=75, plan=later)
    assert there.plan == PLAN != states(decisions=75, plan="0" * 31 + "3", since="2026-11-01").plan
    for task in (*here.claim(100), *there.claim(100)):
        here.finish(task.number, results_of(task))
    # Nothing is left of it: the cases since are done by whoever asked for them.
    there.choose(later, None, lambda: iter(decided(75)), 8)
    assert (there.plan, there.size()) == (later, (75, 70, 1))
    assert sum(len(task.members) for task in there.claim(100)) == 5


@pytest.mark.both_stores
def test_a_run_is_started_over_by_nobody_while_others_work_on_it(states):
    state = states()
    (task,) = state.claim(1)
    state.finish(task.number, results_of(task))
    with pytest.raises(StoreError, match="somebody is at work on this run"):
        states(fresh=True)
    state.close()
    assert states(fresh=True).size()[1] == 0


@pytest.mark.both_stores
def test_a_lease_is_renewed(states, monkeypatch):
    monkeypatch.setattr(impact_store, "LEASE", -1.0)
    here, there = states(), states()
    (task,) = here.claim(1)
    monkeypatch.setattr(impact_store, "LEASE", 600.0)
    here.renew([task.number])
    assert task.number not in [other.number for other in there.claim(100)]


@pytest.mark.both_stores
def test_other_decisions_make_another_plan_and_results_stay(states):
    state = states()
    for task in state.claim(3):
        state.finish(task.number, results_of(task))
    done = state.size()[1]
    state.close()
    later = states(decisions=80, plan="0" * 31 + "2")
    assert later.size() == (80, done, 1)
    assert sum(len(task.members) for task in later.claim(100)) == 80 - done
    # A plan at which somebody works is not taken from under him.
    states(plan="0" * 31 + "3", since="2026-11-01")
    assert later.left() > 0


@pytest.mark.both_stores
def test_the_results_of_the_last_few_runs_are_kept(states):
    keys = [str(number) * 64 for number in range(impact_store.KEPT_RUNS + 1)]
    for key in keys:
        state = states(key=key)
        (task,) = state.claim(1)
        state.finish(task.number, results_of(task))
        state.close()
    assert [states(key=key).size()[1] for key in (*keys[1:], keys[0])] == [len(task.members)] * (len(keys) - 1) + [0]


def test_both_engines_decide_the_same_few_of_a_large_batch_whoever_works_on_it():
    rows = [Result(f"digest {number}", number, impact_result.PICK, new={}) for number in range(1, 251)]
    rows.append(Result("as told", 0, impact_result.UNCHANGED))
    for some in (rows, rows[::-1]):
        assert [result.number for result in impact_sides.sample(some)] == [1, 101, 201]


@pytest.mark.both_stores
def test_an_interrupted_choice_chooses_nothing(states):
    def broken():
        yield from decided(5)
        raise KeyboardInterrupt

    state = states()
    with pytest.raises(KeyboardInterrupt):
        state.choose("0" * 31 + "3", "2026-01-01", broken, 8)
    assert state.store.rows("SELECT count(*) FROM impact_choice WHERE plan = ?", ("0" * 31 + "3",))[0][0] == 0


def without(case, name):
    """A shipped case as told by somebody who leaves one answer out."""
    return dataclasses.replace(
        case, id=f"{case.id}-unsaid", answers={fact: said for fact, said in case.answers.items() if fact != name}
    )


def test_cases_left_out_come_to_what_deciding_both_sides_gives(tmp_path, monkeypatch):
    """Every row by both ways: where sold, of another program, answered beside the record, to be asked first."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    street, asked_first = shelf.cases()[impacts.STREET], without(shelf.cases()["course-never-bedded"], ASKED)
    on_file = dataclasses.replace(street, id="on-file", answers={**street.answers, "redline_rpm": Answer(6000.0)})
    others = dataclasses.replace(street, id="of-another-program")
    another = program.fingerprint() | {"code_sha256": "0" * 64}
    with Casebook(shelf.filled(tmp_path / "casebook.sqlite", impacts.four)) as book:
        for case, by in ((asked_first, None), (on_file, None), (others, another)):
            with pytest.MonkeyPatch.context() as patch:
                if by:
                    patch.setattr(books, "fingerprint", lambda: another)
                begun = book.begin(case, shelf.files())
                book.decided(begun, record(impacts.plain("nothing").decide(case), []))
        sales.sell(book, 1, "pellworth-240-s7", reason="for a test")
        quick, whole = impacts.both_ways(book, "a factor, and a rule for another answer")
    assert quick == whole
    rows = quick[0]
    # The rule comes into play with another answer only, and yet nothing is asked first any more: no kit passes then.
    assert rows[asked_first.id]["class"] == impact_result.NO_KIT
    assert rows[asked_first.id]["in_play"] == ["rule nothing-outside-racing"]
    assert not rows[asked_first.id]["program"]
    assert rows[on_file.id]["class"] == impact_result.NO_KIT and rows[impacts.STREET]["ring"]


def test_a_calculation_that_contradictions_are_found_by_leaves_no_case_out():
    """It is worked out before stage case, so that nothing is seen of it among what comes into play there."""
    knowledge = shelf.content().knowledge
    for stage, possible in (("consistency", False), ("case", True)):
        first = next(calculation for calculation in knowledge.calculations if calculation.stage == stage)
        other = dataclasses.replace(first, because="For a test.")
        calculations = tuple(other if each is first else each for each in knowledge.calculations)
        sides = [
            SimpleNamespace(knowledge=side, rules={rule.id: rule for rule in side.rules})
            for side in (knowledge, dataclasses.replace(knowledge, calculations=calculations))
        ]
        listed = changes(*(side.knowledge for side in sides))
        assert [change.name for change in listed] == [f"calculation {first.id}"]
        assert Untouched(*sides, listed).possible is possible
