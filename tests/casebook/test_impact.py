"""What a rule change would have told past callers, held against deciding every case by both rules one at a time."""

import contextlib
import dataclasses
import multiprocessing
import os
import signal
import subprocess
import sys
import threading
import time

import pytest

from advisor.casebook import book as books, impact, impact_result, impact_work, program
from advisor.casebook.book import Casebook
from advisor.casebook.kept_files import Files
from advisor.cli import main
from advisor.deciding.case_part import case_part
from advisor.deciding.decision_record import DecisionRecord
from advisor.errors import StoreError
from advisor.knowledge.case_model import Answer

from . import shelf
from .impacts import (
    DEMAND,
    DRAG,
    EXACT,
    HOLDING,
    MISSING,
    NAMES,
    NOTHING,
    STREET,
    WORDS,
    classes,
    compare_one_by_one,
    edited,
    four,
    look,
    rules_with,
    seen,
)


@pytest.fixture
def book(tmp_path, monkeypatch):
    """A casebook with four cases to add to; results of runs go to a cache of its own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    with Casebook(shelf.filled(tmp_path / "casebook.sqlite", four)) as opened:
        yield opened


def test_the_same_rules_change_nothing_and_say_so():
    results, summary = seen("nothing")
    assert classes(results) == dict.fromkeys(NAMES, impact_result.UNCHANGED)
    assert (summary["changed_rules"], summary["same_rules"], summary["rule_sets"]) == (0, 1, 1)


def test_a_change_that_is_never_exercised_is_not_called_harmless():
    from advisor.commands.rules_impact import changed_lines

    # Another owner of another rule is in the same edit: who looks after a rule is no change.
    results, summary = seen("a rule nobody meets, and an owner")
    assert set(classes(results).values()) == {impact_result.UNCHANGED}
    assert (summary["changed_rules"], summary["changed_rules_in_play"]) == (1, 0)
    told = "\n".join(changed_lines(summary))
    assert "none came into play" in told and "nothing about what the change does" in told
    assert "no impact" not in told


def test_other_words_are_other_reasons():
    results, summary = seen("words of a rule")
    assert classes(results) == {
        STREET: impact_result.REASONS,
        DRAG: impact_result.REASONS,
        NOTHING: impact_result.REASONS,
        MISSING: impact_result.UNCHANGED,
    }
    assert summary["changes"] == [{"kind": "rule", "id": "holds-worn-and-warm", "how": "edited", "cases": 3}]


def test_another_pick_is_told_with_price_margin_and_both_sides():
    results, summary = seen("a factor")
    one = results[STREET]
    assert one.kind == impact_result.PICK
    assert one.in_play == ["rule use-factor-road"]
    old, new = one.sides["old"], one.sides["new"]
    assert old["pick"] == shelf.record(STREET).pick_id != new["pick"]
    assert (one.price_old, one.price_new) == (old["price"], new["price"])
    assert one.sides["difference"]["facts"]["use_factor"] == [1.15, 1.32]
    assert one.sides["difference"]["firings"]["rule use-factor-road"][0]["concluded"] == {"use_factor": 1.15}
    spread = summary["classes"][impact_result.PICK]["price_difference"]
    assert spread["mean"] == pytest.approx(new["price"] - old["price"])
    assert results[DRAG].kind == impact_result.UNCHANGED


def test_a_few_of_a_batch_are_decided_in_full_and_the_others_when_somebody_looks(book, monkeypatch):
    for _ in range(3):
        shelf.save(book, STREET)
    _, knowledge, files = edited("a factor")
    found = impact.run(book, knowledge, files, processes=1)
    rows = {result.number: result for result in found.state.otherwise()}
    assert {number: result.worked_out for number, result in rows.items()} == {
        1: impact_result.ENGINES,
        **dict.fromkeys((5, 6, 7), impact_result.BULK),
    }
    assert found.summary()["worked_out"]["otherwise"] == {impact_result.BULK: 3, impact_result.ENGINES: 1}
    with impact_work.Worker(book.store.place, knowledge) as worker:
        full = found.in_full(worker, rows[6])
        assert full.sides == seen("a factor")[0][STREET].sides
        assert dataclasses.replace(full, sides=None) == dataclasses.replace(rows[6], worked_out=impact_result.ENGINES)
        # Kept once looked at, and told where the bulk evaluator had said something else.
        assert next(iter(found.state.results(numbers=[6]))) == full
        assert found.in_full(worker, full) is full
        wrong = dataclasses.replace(rows[7], new={**rows[7].new, "pick": "another"})
        lost = found.in_full(worker, wrong)
    found.state.close()
    assert (lost.kind, lost.sides) == (impact_result.LOST, None)
    assert "the bulk evaluator says" in lost.why and "another" in lost.why and lost.why.endswith("report this.")


def test_newly_no_kit_and_newly_an_answer():
    results, _ = seen("a factor nothing meets")
    assert classes(results) == {
        STREET: impact_result.NO_KIT,
        DRAG: impact_result.UNCHANGED,
        NOTHING: impact_result.REASONS,
        MISSING: impact_result.REASONS,
    }
    results, _ = seen("a fact that must be answered")
    assert results[STREET].kind == impact_result.ASKS
    assert "pedal_stop_fitted" in results[STREET].sides["new"]["asks"]
    assert results[DRAG].kind == impact_result.UNCHANGED


def test_an_answer_without_a_place_cannot_be_replayed():
    results, _ = seen("a range")
    assert results[STREET].kind == impact_result.LOST
    assert "engine_torque 370 N m is outside the range" in results[STREET].why
    assert (results[DRAG].kind, results[DRAG].in_play) == (impact_result.UNCHANGED, ["fact engine_torque"])


def test_rules_that_disagree_cost_only_the_cases_they_disagree_about(book):
    extra = (
        "  - id: use-factor-heavy-torque\n    title: A factor given twice\n"
        "    when: {engine_torque: {between: [360 N m, 380 N m]}, tyre_grip: summer}\n"
        "    conclude: {use_factor: 1.15}\n    because: For a test.\n    basis: {kind: judgement}\n\n"
    )
    marker = "  - id: use-factor\n"
    _, knowledge, files = rules_with("conflict", [(DEMAND, marker, extra + marker)])
    found = impact.run(book, knowledge, files, processes=1)
    results = {one.number: one for one in found.state.results()}
    found.state.close()
    assert results[1].kind == impact_result.LOST
    assert "use-factor-heavy-torque" in results[1].why and "use-factor-road" in results[1].why
    assert [results[number].kind for number in (2, 3, 4)] == [impact_result.UNCHANGED] * 3


def test_kits_that_the_new_rules_read_otherwise_are_read_anew(book):
    """A field of theirs with another range: the records of the day are not taken as the old rules read them."""
    edit = (WORDS, "label: release load, range: [100 N,", "label: release load, range: [9000 N,")
    _, knowledge, files = rules_with("kits-otherwise", [edit])
    found = impact.run(book, knowledge, files, processes=1)
    results = list(found.state.results())
    found.state.close()
    assert [result.kind for result in results] == [impact_result.LOST] * len(NAMES)
    assert all("release_load" in result.why and "9000 N" in result.why for result in results), results[0].why


def test_other_set_up_with_the_same_pick_is_seen():
    # Another text of another set-up rule is in the same edit: it changes no decision, and is another reason.
    results, summary = seen("a caution less, and a set-up text")
    assert results[DRAG].kind == impact_result.REASONS
    assert results[DRAG].set_up == 1
    assert results[DRAG].in_play == ["set-up rule bed-sintered"]
    assert summary["classes"][impact_result.REASONS]["other_set_up"] == 1
    street = results[STREET]
    assert (street.kind, street.set_up, street.new) == (impact_result.REASONS, 0, None)
    assert street.in_play == ["set-up rule bed-organic"]
    assert results[NOTHING].kind == results[MISSING].kind == impact_result.UNCHANGED


def test_every_class_is_what_deciding_one_by_one_gives(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    # Two cars not on file in one batch, of which no kit fits one: kits that do not fit must not count.
    some = (*NAMES, "wrong-way-round", "not-on-file-measured")  # all cases, more edits: tests.full casebook
    count, met = compare_one_by_one(tmp_path / "casebook.sqlite", some, EXACT[:2])
    assert count == len(some) * 2
    assert met >= {impact_result.UNCHANGED, impact_result.REASONS, impact_result.PICK}


def test_cases_of_other_days_keep_their_own_prices_and_rules(book):
    bodies = dict(shelf.files().bodies)
    bodies["kits", "pellworth.yaml"] = bodies["kits", "pellworth.yaml"].replace(b"price: 319.00", b"price: 299.00")
    bodies["rules", HOLDING] = (edited("words of a rule")[0] / HOLDING).read_bytes()
    begun = book.begin(shelf.cases()[STREET], Files(bodies))
    from advisor.casebook.replay import decide_stored

    made = decide_stored(book, begun.case)
    assert made.picked.figures["total_price"] == shelf.record(STREET).picked.figures["total_price"] - 20
    found = impact.run(book, *edited("words of a rule")[1:], processes=1)
    by_number = {one.number: one for one in found.state.results()}
    summary = found.summary()
    found.state.close()
    assert (by_number[1].kind, by_number[5].kind) == (impact_result.REASONS, impact_result.UNCHANGED)
    assert by_number[5].price_new == by_number[1].price_new - 20
    assert (summary["rule_sets"], summary["same_rules"], summary["cases"]) == (2, 1, 5)


def test_undecided_cases_and_earlier_days_are_left_out_and_counted(book):
    book.begin(shelf.cases()[STREET], shelf.files())
    _, summary = look(book, "nothing")
    assert (summary["cases"], summary["undecided"]) == (4, 1)
    _, summary = look(book, "nothing", since="2999-01-01")
    assert (summary["cases"], summary["undecided"]) == (0, 0)


def test_a_changed_program_is_not_blamed_on_the_rules(book, monkeypatch):
    another = program.fingerprint() | {"code_sha256": "0" * 64}
    monkeypatch.setattr(books, "fingerprint", lambda: another)
    data = shelf.record(STREET).data
    data["pick"]["kit"] = "orrin-240-s1"
    for kit in data["kits"]:
        kit["verdict"] = {"picked": "passes"}.get(
            kit["verdict"], "picked" if kit["id"] == "orrin-240-s1" else kit["verdict"]
        )
    begun = book.begin(shelf.cases()[STREET], shelf.files())
    book.decided(begun, DecisionRecord.of(data))
    _, knowledge, files = edited("a rule nobody meets, and an owner")
    found = impact.run(book, knowledge, files, processes=1)
    one = {one.number: one for one in found.state.results()}[5]
    found.state.close()
    assert (one.kind, one.program) == (impact_result.PICK, 1)


def test_two_processes_find_what_one_finds(book):
    many, again = look(book, "a factor", processes=2)
    assert {name: _without_digest(one) for name, one in many.items()} == {
        name: _without_digest(one) for name, one in seen("a factor")[0].items()
    }
    assert again == seen("a factor")[1]


def _without_digest(result):
    return dataclasses.replace(result, digest="")


def everything(book):
    """Every byte of a file, every entry of a server's casebook."""
    return book.store.files[0].read_bytes() if book.store.files else list(book.every_entry())


def test_a_stopped_run_goes_on_where_it_was(book, monkeypatch):
    monkeypatch.setattr(impact, "TASK", 1)
    untouched = everything(book)

    def stop(done, of, rate):
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        look(book, "a factor", progress=stop)
    told = []
    results, _ = look(book, "a factor", progress=lambda done, of, rate: told.append(done))
    assert told == [2, 3, 4]
    assert everything(book) == untouched
    assert classes(results) == classes(seen("a factor")[0])
    # New cases add to a finished run.
    shelf.save(book, STREET)
    told.clear()
    look(book, "a factor", progress=lambda done, of, rate: told.append(done))
    assert told == [4, 5]


def test_interrupt_at_the_terminal_leaves_no_process_and_can_go_on(book, tmp_path, capsys):
    for name in NAMES:
        shelf.save(book, name)
    folder, *_ = edited("a factor")
    command = [
        sys.executable,
        "-m",
        "advisor",
        "rules",
        "impact",
        "--rules",
        str(folder),
        "--casebook",
        str(book.store.place),
    ]
    runs = tmp_path / "cache" / "least-clutch"
    before = set(runs.glob("impact-*.sqlite"))
    run = subprocess.Popen(
        command,
        cwd=shelf.ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        env=dict(os.environ),
    )
    until = time.monotonic() + 60
    while set(runs.glob("impact-*.sqlite")) <= before and run.poll() is None and time.monotonic() < until:
        time.sleep(0.02)  # it has begun once it keeps results, however slow the machine
    with contextlib.suppress(ProcessLookupError):  # it may have come to its end
        os.killpg(run.pid, signal.SIGINT)
    _out, complaints = run.communicate(timeout=120)
    assert run.returncode in (0, 130)
    if run.returncode == 130:
        assert "goes on from here" in complaints or "stopped" in complaints
        assert "Traceback" not in complaints
    with pytest.raises(ProcessLookupError):
        os.killpg(run.pid, 0)
    assert main([*command[3:], "--processes", "1"]) == 0
    again = capsys.readouterr().out
    assert "8 cases" in " ".join(again.split())
    assert "other pick" in again


def test_a_process_that_is_ended_costs_one_clear_error_and_no_result(book, monkeypatch):
    monkeypatch.setattr(impact, "TASK", 1)
    before, after = [], []

    def end_a_worker():
        while not (workers := multiprocessing.active_children()):
            time.sleep(0.005)
        os.kill(workers[0].pid, signal.SIGKILL)

    def begun(done, of, rate):
        before.append(done)
        if len(before) == 1:
            threading.Thread(target=end_a_worker, daemon=True).start()

    with pytest.raises(StoreError, match="ended from outside"):
        look(book, "a factor", processes=2, progress=begun)
    results, _ = look(book, "a factor", processes=2, progress=lambda done, of, rate: after.append(done))
    assert before[-1] < 4 and after[0] == before[-1] and after[-1] == 4
    assert classes(results) == classes(seen("a factor")[0])


def test_answers_are_carried_over_into_other_units():
    from advisor.casebook.carrying_over import carried_over

    old = shelf.decider().knowledge
    text = (shelf.folder() / "rules" / WORDS).read_text(encoding="utf-8")
    start = text.index("  crank_end_float:")
    before = text[start : text.index("unit: mm", start) + len("unit: mm")]
    _, new, _ = rules_with("units", [(WORDS, before, before.removesuffix("mm") + "m")])
    case = books.stored_form.case_of(case_part(shelf.cases()[STREET]))
    case.answers["crank_end_float"] = Answer(0.12, "measured")
    answer = carried_over(case, old, new).answers["crank_end_float"]
    assert (answer.value, answer.origin) == (pytest.approx(0.00012, rel=1e-12), "measured")
