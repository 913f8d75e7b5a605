"""The history of a case: nothing in it changes, what was changed shows, and a caller can be forgotten."""

import json
import sqlite3
import zlib

import pytest

from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.errors import InputError, StoreError

from . import shelf, stores


def _two_cases(book):
    shelf.save(
        book,
        "mild-street-tune",
        by="counter two",
        name="Ada Caller",
        phone="0151 23456789",
        note="calls again on Monday",
    )
    shelf.save(book, "answers-missing")
    book.sign(1, by="The Lead", text="agreed")


@pytest.fixture
def path(tmp_path):
    """A casebook with one signed case of a named caller, and one without."""
    return shelf.filled(tmp_path / "casebook.sqlite", _two_cases)


def kinds(book, number):
    """Kinds of a case's entries, in order."""
    return [entry.kind for entry in book.history(number)]


@pytest.mark.both_stores
def test_everything_about_a_case_is_an_entry(path):
    with Casebook(path) as book:
        assert kinds(book, 1) == ["answers", "person", "note", "decision", "sign_off"]
        answers, person, note, decision, signed = book.history(1)
        assert answers.by == "counter two"
        assert answers.body["case"]["answers"]["engine_torque"] == {"value": 370.0, "from": "measured"}
        assert (person.body, note.body) == ({}, {})
        assert decision.body["pick"] == shelf.record("mild-street-tune").pick_id
        assert decision.body["of"] == answers.number
        assert book.record(decision) == shelf.record("mild-street-tune")
        assert book.files_of(decision) == shelf.files()
        assert (signed.by, signed.body["decision"], signed.body["text"]) == ("The Lead", decision.digest, "agreed")


@pytest.mark.both_stores
def test_entries_follow_on_one_another(path):
    with Casebook(path) as book:
        book.note(2, "later")
        entries = list(book.every_entry())
    assert [entry.number for entry in entries] == list(range(1, len(entries) + 1))
    assert [entry.previous for entry in entries[1:]] == [entry.digest for entry in entries[:-1]]


def test_answers_are_on_disk_before_anything_is_decided(path):
    class Stopped(Exception):
        pass

    class Breaking:
        def __getattr__(self, name):
            raise Stopped(name)

    from advisor.casebook import book as books

    with Casebook(path) as book:
        with pytest.raises(Stopped):
            books.keep(None, Breaking(), shelf.cases()["nothing-fits"], shelf.files(), book=book)
        assert kinds(book, 3) == ["answers"]
        decision = book.standing(3)[1]
        assert decision is None
        assert [case["decision"] is None for case in book.overview()] == [False, False, True]
        with pytest.raises(InputError, match="advisor case decide 3"):
            book.sign(3, by="The Lead")


@pytest.mark.both_stores
def test_corrections_are_new_entries_and_make_a_signature_stale(path):
    with Casebook(path) as book:
        before = book.history(1)
        begun = book.begin(shelf.cases()["mild-street-tune"], shelf.files(), number=1)
        assert begun.body["corrects"] == before[0].number
        book.decided(begun, shelf.record("mild-street-tune"))
        assert book.history(1)[: len(before)] == before
        assert next(book.overview(numbers=[1]))["signed"] == ""
        book.sign(1, by="The Lead", objection=True, text="the torque is not believable")
        assert next(book.overview(numbers=[1]))["signed"] == "objected by The Lead"


def test_an_objection_needs_a_reason_and_a_signature_a_name(path):
    with Casebook(path) as book:
        with pytest.raises(InputError, match="objection"):
            book.sign(1, by="The Lead", objection=True)
        with pytest.raises(InputError, match="name of the lead"):
            book.sign(1, by="  ")
        for text in ("\x1b[2J", "a\x00b", "x" * 20_001):
            with pytest.raises(InputError):
                book.note(1, text)
        with pytest.raises(InputError, match="no case 9"):
            book.note(9, "x")
        assert kinds(book, 1)[-1] == "sign_off"


@pytest.mark.both_stores
def test_each_distinct_file_is_stored_once(path):
    with Casebook(path) as book:
        contents = book.store.row("SELECT count(*) FROM content")[0]
        assert contents == len(set(shelf.files().bodies.values())) + 2  # and two records
        assert book.store.row("SELECT count(*) FROM knowledge")[0] == 1
        changed = dict(shelf.files().bodies)
        changed["kits", "orrin.yaml"] += b"# a remark\n"
        book.begin(shelf.cases()["nothing-fits"], type(shelf.files())(changed))
        assert book.store.row("SELECT count(*) FROM content")[0] == contents + 1
        assert book.store.row("SELECT count(*) FROM knowledge")[0] == 2


@pytest.mark.both_stores
def test_sound_casebook_has_no_faults(path):
    faults, count, digest = check_file(path)
    assert (faults, count, len(digest)) == ([], 7, 64)


@pytest.mark.file_only  # of the server: test_server
def test_stored_rows_cannot_be_changed_by_accident(path):
    connection = sqlite3.connect(path)
    for sql in (
        "UPDATE entry SET by = 'x'",
        "DELETE FROM entry",
        "UPDATE content SET size = 1",
        "DELETE FROM content",
        "UPDATE apart SET text = ''",
        "DELETE FROM apart",
    ):
        with pytest.raises(sqlite3.IntegrityError):
            connection.execute(sql)
    connection.close()


RECORD = "(SELECT record FROM entry WHERE kind = 'decision' AND in_case = 1)"
EDITS = {
    "another author": ("UPDATE entry SET by = 'Somebody' WHERE number = 1", "entry 1 of case 1"),
    "another time": ("UPDATE entry SET at = '2020-01-01T00:00:00Z' WHERE number = 4", "entry 4 of case 1"),
    "another pick": (
        "UPDATE entry SET body = replace(body, 'pellworth', 'skelder') WHERE number = 4",
        "entry 4 of case 1",
    ),
    "blanks in a body": ("UPDATE entry SET body = body || ' ' WHERE number = 1", "entry 1 of case 1"),
    "another kind": ("UPDATE entry SET kind = 'objection' WHERE kind = 'sign_off'", "entry 7 of case 1"),
    "another case": ("UPDATE entry SET in_case = 2 WHERE number = 7", "entry 7 of case 2"),
    "another record": (
        f"UPDATE entry SET record = (SELECT record FROM entry WHERE number = 6) WHERE record = {RECORD}",
        "entry 4 of case 1",
    ),
    "another digest": ("UPDATE entry SET digest = 'x' WHERE number = 2", "entry 2 of case 1"),
    "an entry taken out": ("DELETE FROM entry WHERE number = 7", "ends with entry 6"),
    "an entry in the middle taken out": ("DELETE FROM entry WHERE number = 3", "entries are missing"),
    "an entry put in": (
        "INSERT INTO entry SELECT 8, in_case, kind, at, by, body, record, knowledge, sealed, digest, 'made up'"
        " FROM entry WHERE number = 7",
        "entry 8 of case 1",
    ),
    "a note": (
        "UPDATE apart SET text = 'calls on Friday' WHERE entry = 3 AND part = 'text'",
        "entry 3 of case 1 has a name or note that was changed",
    ),
    "a note gone": ("DELETE FROM apart WHERE entry = 3", "has lost what stood apart"),
    "a note erased by hand": (
        "UPDATE apart SET salt = NULL, text = NULL WHERE entry = 3",
        "without having been erased",
    ),
    "a note added": ("INSERT INTO apart VALUES (1, 'text', 'x', 'y', 'z')", "is not what was sealed"),
    "a note to nothing": ("INSERT INTO apart VALUES (99, 'text', 'x', 'y', 'z')", "refers to nothing"),
    "a file swapped": (
        "UPDATE knowledge_file SET content = (SELECT max(content) FROM knowledge_file) WHERE path = 'case/use.yaml'",
        "list of files",
    ),
    "a file taken out": ("DELETE FROM knowledge_file WHERE path = 'case/use.yaml'", "list of files"),
    "a case added": ("INSERT INTO cases VALUES (77)", "case 77 has no entries"),
    "the head moved": ("UPDATE head SET entries = 6", "ends with entry 7"),
    "a trigger gone": ("DROP TRIGGER entry_stays", "entry_stays"),
    "a table added": ("CREATE TABLE more (a)", "more"),
}


#: As a server writes it.
ON_SERVER = {
    "DROP TRIGGER entry_stays": "DROP TRIGGER entry_stays ON entry",
    "CREATE TABLE more (a)": "CREATE TABLE more (a TEXT)",
}


@pytest.mark.both_stores(every=4)
@pytest.mark.parametrize("what", EDITS)
def test_an_edited_row_is_found(path, store, what):
    sql, told = EDITS[what]
    if store == stores.SERVER:
        sql = ON_SERVER.get(sql, sql)
    _edit(path, lambda connection: connection.execute(sql), mend_triggers="trigger" not in what)
    faults, _, _ = check_file(path)
    assert any(told in fault for fault in faults), faults


def _edit(path, change, mend_triggers=True):
    with stores.unguarded(path, mend=mend_triggers) as connection:
        change(connection)


@pytest.mark.both_stores
def test_an_edited_record_is_found_and_never_shown(path):
    def change(connection):
        name, body = connection.execute(f"SELECT sha256, body FROM content WHERE sha256 = {RECORD}").fetchone()
        made = json.loads(zlib.decompress(body))
        made["pick"]["kit"] = "skelder-228-s9"
        edited = json.dumps(made, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
        connection.execute(
            "UPDATE content SET body = ?, size = ? WHERE sha256 = ?", (zlib.compress(edited), len(edited), name)
        )

    _edit(path, change)
    faults, _, _ = check_file(path)
    assert len(faults) == 1 and "content" in faults[0]
    with Casebook(path, write=False) as book:
        _, decision = book.standing(1)
        with pytest.raises(StoreError, match="was changed"):
            book.record(decision)


@pytest.mark.both_stores
def test_an_edited_entry_is_refused_when_read(path):
    _edit(
        path,
        lambda connection: connection.execute(
            "UPDATE entry SET body = replace(body, '370.0', '270.0') WHERE number = 1"
        ),
    )
    with Casebook(path, write=False) as book, pytest.raises(StoreError, match="entry 1 of case 1 was changed"):
        book.history(1)


def bytes_on_disk(path):
    """Everything in the files of a casebook."""
    return b"".join(one.read_bytes() for one in path.parent.rglob("*") if one.is_file())


@pytest.mark.file_only  # of the server: test_server
def test_a_caller_is_forgotten_down_to_the_bytes(path):
    with Casebook(path) as book:
        book.note(1, "Ada Caller asked for the price in writing")
        book.note(1, "call 015123456789 before noon")
        book.note(1, "nothing personal here")
        decision = book.standing(1)[1]
        assert b"Ada Caller" in bytes_on_disk(path)
        done = book.forget(1, by="The Lead")
        assert done.gone and done.remains == () and done.elsewhere == ()
        left = bytes_on_disk(path)
        for word in (b"Ada", b"0151 23456789", b"015123456789"):
            assert word not in left
        assert done.entry.kind == "forgotten" and len(done.entry.body["entries"]) == 3
        assert [body["text"] for body in book.private_of(1).values()] == [
            "calls again on Monday",
            "nothing personal here",
        ]
        assert book.standing(1)[1] == decision
        assert book.record(decision) == shelf.record("mild-street-tune")
        book.forget(1, notes=True)
        assert book.private_of(1) == {}
    assert check_file(path)[0] == []


@pytest.mark.both_stores
def test_only_the_one_caller_is_forgotten(path):
    with Casebook(path) as book:
        shelf.save(book, "nothing-fits", name="Ben Caller")
        book.forget(1)
        assert list(book.private_of(3).values()) == [{"name": "Ben Caller"}]


def test_an_answer_on_use_that_changes_after_a_result_is_marked_and_stays_marked(tmp_path):
    import dataclasses

    from advisor.casebook import book as books
    from advisor.casebook.replay import replay
    from advisor.knowledge.case_model import Answer
    from advisor.reporting.screens.screen import screen
    from advisor.reporting.sheets.sheet import sheet

    first = shelf.cases()["mild-street-tune"]
    other = dataclasses.replace(
        first, answers={**first.answers, "main_use": Answer("road_course"), "budget": Answer(900.0)}
    )
    with Casebook(tmp_path / "casebook.sqlite") as book:
        number, _ = books.keep(None, shelf.decider(), first, shelf.files(), book=book)
        _, record = books.keep(None, shelf.decider(), other, shelf.files(), book=book, number=number)
        (change,) = record.case.changed
        assert (change.fact, change.before, change.after) == (
            "main_use",
            first.answers["main_use"].value,
            "road_course",
        )
        assert replay(book, number).same
        wording = shelf.decider().shop.wording(shelf.decider().knowledge)
        for page in (screen(record, wording), sheet(record, wording, "customer"), sheet(record, wording, "lead")):
            assert "goes to the shop lead" in " ".join(page.split())
        _, back = books.keep(None, shelf.decider(), first, shelf.files(), book=book, number=number)
        assert back.case.changed == ()
