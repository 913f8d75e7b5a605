"""A stored case decides again to the same bytes, from what was stored and nothing else."""

import dataclasses
import json
import shutil
from pathlib import Path

import pytest

from advisor.casebook import book as books, exporting, program, replay, stored_form
from advisor.casebook.book import Casebook
from advisor.casebook.carrying_over import carried_over
from advisor.casebook.check import check_file
from advisor.casebook.importing import take_over
from advisor.casebook.kept_files import Files, content
from advisor.casebook.shape import BODIES
from advisor.deciding.case_part import case_part
from advisor.deciding.decide import decider_of
from advisor.deciding.decision_record import DecisionRecord
from advisor.errors import InputError, StoreError
from advisor.knowledge import functions
from advisor.knowledge.sources import UNNAMED, Sources

from . import shelf

#: Every eightieth shipped case here; the full run takes them all.
SOME = tuple(shelf.names())[::80]


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    """A casebook with some shipped cases."""
    made = tmp_path_factory.mktemp("replay") / "casebook.sqlite"
    with Casebook(made) as book:
        for name in (*SOME, "mild-street-tune"):
            shelf.save(book, name)
    return made


def replay_all(path, progress=lambda done: None):
    """How many cases of a casebook replay to the same bytes, made by the same program; AssertionError names another."""
    with Casebook(path, write=False) as book:
        deciders = replay.Deciders(book)
        for done, case in enumerate(book.overview(), 1):
            found = replay.replay(book, case["number"], deciders)
            assert found.same, (case["number"], found.difference())
            assert not found.program_changed
            progress(done)
    return done


def test_shipped_cases_replay_to_the_same_bytes(path):
    assert replay_all(path) == len(SOME) + 1


def test_vague_answers_are_kept_with_their_ends(tmp_path):
    """Saved, decided again to the same bytes, exported, taken over elsewhere, carried over to the rules of today."""
    first, second = tmp_path / "one.sqlite", tmp_path / "other.sqlite"
    case = shelf.cases()["torque-between"]
    with Casebook(first) as book:
        number, _ = shelf.save(book, "torque-between")
        kept = book.history(number)[0].body["case"]
        assert kept["answers"]["engine_torque"] == {"value": 425.0, "low": 400.0, "high": 450.0, "from": "stated"}
        assert stored_form.case_of(kept).answers == dict(sorted(case.answers.items()))
        row = exporting.row(book, next(iter(book.overview())))
        assert "engine_torque 425, 400 to 450 (stated)" in row["answers"]
    assert replay_all(first) == 1
    with Casebook(second) as book:
        take_over(book, first)
    assert replay_all(second) == 1
    knowledge = shelf.decider().knowledge
    assert carried_over(case, knowledge, knowledge).answers == case.answers


@pytest.mark.parametrize("ends", [{"low": 1.0}, {"low": 500.0, "high": 600.0}, {"low": "x", "high": 450.0}])
def test_ends_that_make_no_band_are_no_entry(ends):
    body = {"case": case_part(shelf.cases()["torque-between"])}
    assert BODIES["answers"](body)
    body["case"]["answers"]["engine_torque"] = {"value": 425.0, "from": "stated", **ends}
    assert not BODIES["answers"](body)


def test_random_cases_replay_after_rules_are_edited_and_kits_removed(tmp_path):
    """The folders the cases were decided from are gone; only what the casebook holds is left to decide from."""
    assert replay_random(tmp_path, count=2, seed=5) == 2


def replay_random(folder, count, seed, progress=lambda done: None):
    """How many of ``count`` random cases replay to the same bytes after their rules and kits are gone."""
    live = folder / "live"
    for name in ("rules", "scenarios"):
        shutil.copytree(shelf.folder() / name, live / name)
    sources = Sources(live / "rules", *(live / "scenarios" / name for name in ("kits", "platforms", "parts")), UNNAMED)
    files = Files.of(sources)
    with Casebook(folder / "casebook.sqlite") as book:
        outcomes = set()
        for done, case in enumerate(shelf.random_cases(count, seed)):
            _, made = books.keep(None, shelf.decider(), case, files, sources=sources, book=book)
            outcomes.add(made.outcome)
            progress(done)
        if count >= 10:
            assert {"recommended", "need_more_answers"} <= outcomes
        holding = live / "rules/case/holding.yaml"
        holding.write_text(
            holding.read_text(encoding="utf-8").replace("required_torque", "demand_torque"), encoding="utf-8"
        )
        shutil.rmtree(live / "scenarios" / "kits")
        with pytest.raises(InputError, match="changed while"):
            files.unchanged_in(sources)
        same, deciders = 0, replay.Deciders(book)
        for case in book.overview():
            found = replay.replay(book, case["number"], deciders)
            same += found.same
            progress(case["number"])
    return same


def test_a_changed_program_is_told_and_its_difference_shown(path, monkeypatch):
    changed = {**program.fingerprint(), "program": "99.0"}
    monkeypatch.setattr(replay, "fingerprint", lambda: changed)
    number = len(SOME) + 1
    with Casebook(path, write=False) as book:
        found = replay.replay(book, number)
        assert found.same and found.program_changed
        decide = books.decide

        def another(decider, case):
            return shelf.with_fact(decide(decider, case), "engine_torque", 371.0)

        monkeypatch.setattr(books, "decide", another)
        found = replay.replay(book, number)
    assert not found.same
    assert found.difference() == {"facts": {"engine_torque": [370.0, 371.0]}}


def test_rules_that_call_functions_by_their_names_of_then_decide_the_same():
    """Functions were moved since; rule sets kept with older cases call them as they were called."""
    used = {one.function for one in shelf.content().knowledge.figure_calculations}
    moved = {now: then for then, now in functions.RENAMED.items() if now in used}
    assert len(moved) > 8
    older = decider_of(content(shelf.files_calling(moved)))
    assert {one.function for one in older.knowledge.figure_calculations} >= set(moved.values())
    made, then = shelf.record("mild-street-tune"), books.decide(older, shelf.cases()["mild-street-tune"])
    for part in ("case", "facts", "requirements", "kits", "pick", "setup", "cautions"):
        assert made.data[part] == then.data[part], part


def test_rules_that_call_what_is_gone_leave_the_record_as_it_was_kept(tmp_path):
    gone = shelf.files_calling({"friction.mean_pressure": "friction.pressure_of_old"})
    with Casebook(tmp_path / "casebook.sqlite") as book:
        number = shelf.save_with(book, "mild-street-tune", gone)
        found = replay.replay(book, number)
        assert found.new is None and not found.same and found.difference() == {}
        assert found.old == shelf.record("mild-street-tune")
        assert "there is no function 'friction.pressure_of_old'" in found.unread
        assert "calculations.yaml" in found.unread and "/tmp" not in found.unread
        # What was kept is whole, before and after.
        assert book.record(book.standing(number)[1]) == shelf.record("mild-street-tune")
    faults, _, _ = check_file(tmp_path / "casebook.sqlite")
    assert list(faults) == []


def test_who_made_it_and_when_is_no_difference():
    made = shelf.record("mild-street-tune")
    by = {"program": "9", "engines_agreed": False, "date": "2099-01-01"}
    later = DecisionRecord.of({**made.data, "made_by": by})
    assert stored_form.decided_bytes(made) == stored_form.decided_bytes(later)
    assert stored_form.to_bytes(made) != stored_form.to_bytes(later)


def test_answers_come_back_as_they_were():
    for case in (*shelf.cases().values(), *shelf.random_cases(40, seed=11)):
        stored = json.loads(json.dumps(case_part(case)))
        assert stored_form.case_of(stored) == dataclasses.replace(case, expect=None, note="")


def test_a_case_that_insists_is_kept_and_read_again(tmp_path):
    insisting = dataclasses.replace(shelf.cases()["mild-street-tune"], insist=("torque-below-power",))
    with Casebook(tmp_path / "casebook.sqlite") as book:
        begun = book.begin(insisting, shelf.files())
        assert [case["number"] for case in book.overview()] == [begun.case] and not book.passed_over
        kept = stored_form.case_of(book.history(begun.case)[0].body["case"])
    assert kept == dataclasses.replace(insisting, expect=None, note="")


def test_readings_decide_the_case_again_and_keep_what_was_sold(tmp_path):
    with Casebook(tmp_path / "casebook.sqlite") as book:
        number, first = shelf.save(book, "mild-street-tune")
        sold, made = replay.take_readings(
            book, number, ["engine_torque=430 Nm", "crank_end_float = 0.12 mm"], by="bay three"
        )
        assert sold == shelf.record("mild-street-tune")
        assert made.data["case"]["answers"]["engine_torque"] == {"value": 430.0, "from": "measured"}
        base, decision = book.standing(number)
        assert (base.kind, base.by, base.body["readings"]) == (
            "reading",
            "bay three",
            ["crank_end_float", "engine_torque"],
        )
        assert stored_form.decided_bytes(book.record(decision)) == stored_form.decided_bytes(made)
        assert book.sold(number) == first
        # The decision is the one a fresh case with the same answers would get.
        assert stored_form.decided_bytes(made) == shelf.decided_again(made.case.as_case())
        assert replay.replay(book, number).same
        # A second reading adds to the first.
        _, again = replay.take_readings(book, number, ["crank_end_float=0.15 mm"])
        assert again.case.answers["engine_torque"].value == 430.0


@pytest.mark.parametrize(
    "text, told",
    [
        ("engine_torque", "fact=value"),
        ("engine_tork=430 Nm", "Did you mean engine_torque"),
        ("engine_torque=430", "unit"),
        ("engine_torque=unknown", "not known"),
        ("required_torque=430 Nm", "not something"),
        ("engine_torque=1,5 Nm", "comma"),
    ],
)
def test_a_reading_that_cannot_be_read_changes_nothing(tmp_path, text, told):
    with Casebook(tmp_path / "casebook.sqlite") as book:
        number, _ = shelf.save(book, "mild-street-tune")
        before = book.history(number)
        with pytest.raises(InputError) as caught:
            replay.take_readings(book, number, [text])
        assert told in str(caught.value)
        assert book.history(number) == before


def test_a_case_kept_without_a_decision_is_decided_from_what_was_kept(tmp_path):
    with Casebook(tmp_path / "casebook.sqlite") as book:
        number = book.begin(shelf.cases()["drag-never-bedded"], shelf.files()).case
        with pytest.raises(InputError, match="decide"):
            replay.replay(book, number)
        made = replay.decide_stored(book, number)
        assert stored_form.decided_bytes(made) == stored_form.decided_bytes(shelf.record("drag-never-bedded"))
        with pytest.raises(InputError, match="already"):
            replay.decide_stored(book, number)


def test_files_are_the_same_wherever_they_lie(tmp_path):
    shutil.copytree(shelf.folder() / "rules", tmp_path / "elsewhere")
    assert Files.of(shelf.sources(rules=tmp_path / "elsewhere")) == shelf.files()
    with shelf.files().laid_out() as sources:
        assert Files.of(sources) == shelf.files()
        place = sources.rules.parent
    assert not place.exists()


def test_one_file_of_kits_is_kept_as_one_file(tmp_path):
    one = shelf.folder() / "scenarios/kits/factory.yaml"
    files = Files.of(shelf.sources(kits=one))
    assert files.bodies["kits", ""] == one.read_bytes()
    with files.laid_out() as sources:
        assert sources.kits.is_file()
        assert Files.of(sources) == files


def test_tests_of_the_rules_are_not_knowledge():
    assert not [path for _, path in shelf.files().bodies if path.endswith(".tests.yaml")]
    assert {place for place, _ in shelf.files().bodies} == {"rules", "kits", "platforms", "parts", "shop"}
    assert len(shelf.files().bodies) > 30


def test_stored_paths_cannot_leave_their_folder(tmp_path):
    bodies = {**shelf.files().bodies, ("rules", "../../outside.yaml"): b"x: 1\n"}
    with Casebook(tmp_path / "casebook.sqlite") as book:
        entry = book.begin(shelf.cases()["nothing-fits"], Files(bodies))
        with pytest.raises(StoreError, match="was changed"):
            book.files_of(entry)
    assert not list(Path(tmp_path).rglob("outside.yaml"))
