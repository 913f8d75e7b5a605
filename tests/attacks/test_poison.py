"""Casebooks from elsewhere, sealed all the same: nothing poisoned comes in, no bad row stops a list, what is sound is
taken out; and notes are text, whatever they look like."""

import json
import random
import shutil
import sqlite3
import zlib

import pytest

from advisor.casebook import afterwards, entries, history_told, shape
from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.casebook.finding import SIGNED_WORDS
from advisor.casebook.importing import take_over
from advisor.casebook.salvage import Salvaged, salvage
from advisor.cli import main
from advisor.errors import AdvisorError, StoreError
from tests.casebook import shelf
from tests.casebook.stores import unguarded

NAMES = ("mild-street-tune", "nothing-fits")


def shelved(path):
    """A casebook with two whole cases, the first signed and with a caller and a note."""
    with Casebook(path) as book:
        shelf.save(book, NAMES[0], by="counter", name="Ada Caller", note="rings again")
        shelf.save(book, NAMES[1])
        book.sign(1, by="The Lead", text="agreed")
    return path


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    """Such a casebook, not to be changed."""
    path = shelved(tmp_path_factory.mktemp("sound") / "sound.sqlite")
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    return path


@pytest.fixture
def copy(sound, tmp_path):
    """A copy to be poisoned."""
    return shutil.copy(sound, tmp_path / "copy.sqlite")


def sealed(path, kind, body, *, case=2, **more):
    """Add an entry, sealed as the program seals them, whatever it holds."""
    with Casebook(path) as book, book.store.transaction() as connection:
        if case not in (1, 2):
            connection.execute("INSERT INTO cases VALUES (?)", (case,))
        return entries.append(connection, case, kind, body, **more)


def decision(**changed):
    """The body and the rest of the decision of case 2, with something changed."""
    return lambda last: ({**last.body, **changed}, {"record": last.record, "knowledge": last.knowledge})


def fixed(body, **more):
    """A body and the rest, whatever stood there before."""
    return lambda last: (body, more)


SIGNED = {"of": 7, "decision": "0" * 64, "text": ""}
QUOTED = {
    "of": 7,
    "decision": "0" * 64,
    "quote": "1-1",
    "kits": ["some-kit"],
    "total": 1.0,
    "most": 2.0,
    "currency": "EUR",
    "until": "2026-12-24",
}
SOLD = {"of": 7, "decision": "0" * 64, "kit": "some-kit", "as_advised": False, "on": "2026-11-01"}
POISON = {
    "empty answers": ("answers", fixed({})),
    "empty decision": ("decision", fixed({})),
    "text for a price": ("decision", decision(price="cheap")),
    "a list for a price": ("decision", decision(price=[1])),
    "a flag for a price": ("decision", decision(price=True)),
    "another price than its record's": ("decision", decision(price=1.0)),
    "a pick that steers": ("decision", decision(pick="x\x1b[2J")),
    "unknown outcome": ("decision", decision(outcome="sold")),
    "unknown part": ("decision", decision(extra=1)),
    "a decision of nothing": ("decision", decision(of=999)),
    "a decision of another case": ("decision", decision(of=1)),
    "no program": ("decision", decision(program={})),
    "unknown kind": ("prophecy", fixed({})),
    "a kind that is no text": ("", fixed({})),
    "signed nothing": ("sign_off", fixed({**SIGNED, "of": 999})),
    "signed another decision": ("sign_off", lambda last: ({**SIGNED, "of": last.number}, {})),
    "quoted nothing": ("quote", fixed({**QUOTED, "of": 999})),
    "quoted another decision": ("quote", lambda last: ({**QUOTED, "of": last.number}, {})),
    "a quote whose number steers": (
        "quote",
        lambda last: ({**QUOTED, "of": last.number, "decision": last.digest, "quote": "1-\x1b[2J"}, {}),
    ),
    "quoted until never": ("quote", fixed({**QUOTED, "until": "never"})),
    "sold nothing": ("sale", fixed({**SOLD, "of": 999}, private={})),
    "sold on another decision": ("sale", lambda last: ({**SOLD, "of": last.number}, {"private": {}})),
    "sold as advised what was not": (
        "sale",
        lambda last: ({**SOLD, "of": last.number, "decision": last.digest, "as_advised": True}, {"private": {}}),
    ),
    "sold on no day": ("sale", fixed({**SOLD, "on": "2026-02-31"}, private={})),
    "fitted what was not sold": ("fitting", fixed({"of": 7, "on": "2026-11-01", "fitter": None, "km": 1}, private={})),
    "came back from less than nothing": ("return", fixed({"of": 7, "on": "2026-11-01", "km": -1}, private={})),
    "signed in 1999": (
        "sign_off",
        lambda last: ({"of": last.number, "decision": last.digest, "text": ""}, {"at": "1999-01-01T00:00:00Z"}),
    ),
    "signed in 2999": (
        "sign_off",
        lambda last: ({"of": last.number, "decision": last.digest, "text": ""}, {"at": "2999-01-01T00:00:00Z"}),
    ),
    "no date": ("note", fixed({}, private={"text": "x"}, at="yesterday")),
    "a date that is none": ("note", fixed({}, private={"text": "x"}, at="2026-13-45T99:00:00Z")),
    "a writer that steers": ("note", fixed({}, private={"text": "x"}, by="\x1b[2J")),
    "a note beyond all length": ("note", fixed({}, private={"text": "x" * 20_001})),
    "a note that steers": ("note", fixed({}, private={"text": "\x1b[2J\u202e"})),
    "a note without text": ("note", fixed({})),
    "a caller who is none": ("person", fixed({}, private={"name": "x\u202e"})),
    "erased nothing": ("forgotten", fixed({"entries": [999]})),
    "erased by text": ("forgotten", fixed({"entries": "all"})),
    "erased the decision": ("forgotten", fixed({"entries": [7]})),
    "readings of nothing": ("reading", fixed({"case": {}, "readings": []})),
    "a worksheet of numbers": ("worksheet", fixed({"worksheet": "end-float", "readings": {"before": 0.1}})),
    "a reference of 70 digits": ("answers", lambda last: ({**last.body, "corrects": 10**70}, {})),
    "a body that is a list": ("note", fixed([1, 2], private={"text": "x"})),
    "a body that is a text": ("note", fixed("text", private={"text": "x"})),
    "deep": ("note", fixed(json.loads("[" * 400 + "]" * 400), private={"text": "x"})),
}


@pytest.fixture(params=POISON)
def poisoned(request, copy):
    """A casebook with one sealed entry that is poison, in its second case."""
    kind, make = POISON[request.param]
    with Casebook(copy, write=False) as book:
        last = book.history(2)[-1]
    body, more = make(last)
    sealed(copy, kind, body, **more)
    return copy


def quiet(capsys, *arguments):
    """Exit code, output and errors of a command that must not end in a traceback."""
    code = main([str(argument) for argument in arguments])
    told = capsys.readouterr()
    assert "Traceback" not in told.err
    return code, told.out, told.err


#: In how many ways the other case is listed and exported where every eighth poison is; the rest is tried in two.
LISTED = (["list"], ["export", "--people", "--notes"], ["list", "--json"], ["export"], ["export", "--as", "json"])


def test_poison_is_found_kept_out_and_walked_round(poisoned, request, tmp_path, capsys):
    faults, _, _ = check_file(poisoned)
    assert len(faults) >= 1 and "of case 2" in faults[0], faults
    target = tmp_path / "target.sqlite"
    with Casebook(target) as book:
        with pytest.raises(StoreError, match="not sound"):
            take_over(book, poisoned)
        assert list(book.overview()) == []
    # The other case is listed and exported, whatever the bad row says.
    every_way = list(POISON).index(request.node.callspec.params["poisoned"]) % 8 == 0
    for action in LISTED if every_way else LISTED[:2]:
        code, out, err = quiet(capsys, "case", *action, "--casebook", poisoned)
        assert NAMES[0] in out, action
        assert code in (0, 2) and err.count("\n") <= 2
    for action in ("show", "audit") if every_way else ("audit",):
        code, out, err = quiet(capsys, "case", action, "2", "--casebook", poisoned)
        assert code == 2 and out == "" and err.count("\n") == 1 and "entry" in err, (action, err)
    assert not every_way or quiet(capsys, "case", "search", "mild", "--casebook", poisoned)[0] in (0, 2)
    # What is sound is taken out, and is sound.
    code, out, err = quiet(capsys, "case", "salvage", poisoned, "--casebook", target)
    assert code == 2 and out.startswith("one case taken over, 0 stood here already, 1 left")
    assert "case 2 left: entry 8" in err
    assert check_file(target)[0] == []
    with Casebook(target, write=False) as book:
        assert [case["answers"].body["case"]["id"] for case in book.overview()] == [NAMES[0]]


@pytest.mark.parametrize(
    "record", [b"", b"{}", b"[]", b"5", b'{"schema": "least-clutch decision 1"}', b"[" * 100_000, b"\xff"]
)
def test_a_record_that_is_none(copy, record, tmp_path, capsys):
    with Casebook(copy) as book:
        last = book.history(2)[-1]
        with book.store.transaction() as connection:
            kept = entries.keep(connection, record)
            entries.append(connection, 2, "decision", last.body, record=kept, knowledge=last.knowledge)
    assert any("record that is none" in fault for fault in check_file(copy)[0])
    for action in (["show", "2"], ["audit", "2"], ["replay", "2"], ["export", "--as", "json"], ["list"]):
        code, _out, err = quiet(capsys, "case", *action, "--casebook", copy)
        assert code in (0, 2) and err.count("\n") <= 2
    with Casebook(tmp_path / "target.sqlite") as book:
        done = salvage(book, copy)
        assert (done.taken, list(done.left)) == (1, [2])


@pytest.mark.parametrize("column", ["part", "digest", "salt", "text"])
@pytest.mark.parametrize("value", [b"\xff\x00", 7], ids=["bytes", "number"])
def test_what_stands_apart_is_no_text(copy, column, value, tmp_path, capsys):
    """A damaged row of what people wrote, in any of its columns: a fault of that entry, and the other case goes on."""
    with unguarded(copy) as connection:
        connection.execute(f"UPDATE apart SET {column} = ? WHERE entry = 3 AND part = 'text'", (value,))
    assert any("entry 3 of case 1" in fault for fault in check_file(copy)[0])
    for action in ("show", "audit"):
        code, out, err = quiet(capsys, "case", action, "1", "--casebook", copy, "--people")
        assert code == 2 and out == "" and "entry 3 of case 1" in err and err.count("\n") == 1
    assert quiet(capsys, "case", "show", "2", "--casebook", copy)[0] == 0
    for action in ("list", "export"):
        code, out, err = quiet(capsys, "case", action, "--casebook", copy)
        assert code in (0, 2) and NAMES[1] in out and err.count("\n") <= 2, (code, out, err)
    with Casebook(tmp_path / "target.sqlite") as book:
        assert list(salvage(book, copy).left) == [1]


@pytest.mark.parametrize("value", [b"\xff\x00", "another-name"])
def test_a_name_that_is_not_the_one_kept_is_never_listed(copy, value, capsys):
    with unguarded(copy) as connection:
        connection.execute("UPDATE apart SET text = ? WHERE entry = 1 AND part = 'case'", (value,))
    for action in (["list"], ["list", "--json"], ["export"], ["search", "no"]):
        code, out, err = quiet(capsys, "case", *action, "--casebook", copy)
        assert (code, "another-name" in out, NAMES[1] in out) == (2, False, True), (action, out, err)
        assert "entry 1 " in err and err.count("\n") <= 2


def test_a_sound_book_is_taken_whole_by_either(sound, tmp_path):
    assert check_file(sound)[0] == []
    for number, taking in enumerate((take_over, salvage)):
        with Casebook(tmp_path / f"{number}.sqlite") as book:
            taking(book, sound)
            again = taking(book, sound)
            assert (
                (again == (0, 2, 0))
                if number == 0
                else (again.taken, again.known, again.left, again.unread) == (0, 2, {}, 0)
            )
            assert [case["signed"] for case in book.overview()] == ["signed off by The Lead", ""]
        assert check_file(tmp_path / f"{number}.sqlite")[0] == []


def test_an_empty_book_lacks_nothing(tmp_path):
    Casebook(tmp_path / "empty.sqlite").close()
    with Casebook(tmp_path / "target.sqlite") as book:
        assert salvage(book, tmp_path / "empty.sqlite") == Salvaged(0, 0, {}, 0)


def damaged(path, pick):
    """Damage a file of a casebook at random: bytes, a page, its end, its head row, a row."""
    data = bytearray(path.read_bytes())
    way = pick.randrange(4)
    if way == 0:
        for _ in range(pick.randrange(1, 200)):
            data[pick.randrange(100, len(data))] = pick.randrange(256)
    elif way == 1:
        start = pick.randrange(1, len(data) // 4096) * 4096
        data[start : start + 4096] = bytes(4096)
    elif way == 2:
        del data[pick.randrange(200, len(data)) :]
    else:
        start = pick.randrange(1, len(data) // 4096) * 4096
        data[start : start + 4096] = pick.randbytes(4096)
    path.write_bytes(bytes(data))


def attack_by_damage(sound, folder, pick):
    """One damaged copy, salvaged: (cases taken, whether anything was wrong)."""
    hurt, target = folder / "hurt.sqlite", folder / "target.sqlite"
    for old in (*folder.glob("hurt.sqlite*"), *folder.glob("target.sqlite*")):
        old.unlink()
    shutil.copy(sound, hurt)
    damaged(hurt, pick)
    try:
        with Casebook(target) as book:
            taken = salvage(book, hurt).taken
    except AdvisorError:
        return 0
    faults, _, _ = check_file(target)
    assert faults == []
    with Casebook(target, write=False) as book:
        for case in book.overview():
            assert case["answers"].body["case"]["id"] in NAMES
            if case["decision"]:
                assert book.record(case["decision"]).data == shelf.record(case["answers"].body["case"]["id"]).data
        assert book.passed_over == {}
    check_file(hurt)
    return taken


def test_damaged_books_give_only_sound_cases(sound, tmp_path):
    pick = random.Random(7)
    taken = [attack_by_damage(sound, tmp_path, pick) for _ in range(6)]  # 500 in tests.full attacks
    # One book in five has something left to take out: so many tries come to nothing once in 10^8 runs.
    while sum(taken) == 0 and len(taken) < 84:
        taken.append(attack_by_damage(sound, tmp_path, pick))
    assert sum(taken) > 0


def test_a_book_that_unpacks_beyond_all_measure(copy, capsys, tmp_path):
    """Thousands of megabytes of nothing in a small file."""
    body = bytes(15_000_000)
    packed = zlib.compress(body)
    with sqlite3.connect(copy) as connection:
        connection.executemany(
            "INSERT INTO content VALUES (?, ?, ?)", [(f"{number:064x}", len(body), packed) for number in range(40)]
        )
    connection.close()
    for action in (["check"], ["import", copy]):
        book = copy if action == ["check"] else tmp_path / "target.sqlite"
        code, _, err = quiet(capsys, "case", *action, "--casebook", book)
        assert code == 2 and "unpack to" in err
    assert entries.unpack("0" * 64, 2**40, packed) is None
    assert entries.unpack("0" * 64, -1, packed) is None and entries.unpack("0" * 64, "1", "text") is None


def test_notes_are_text_and_readings_come_as_readings(tmp_path, capsys, monkeypatch):
    path = shelved(tmp_path / "casebook.sqlite")
    case = str(shelf.ROOT / "scenarios" / "cases" / f"{NAMES[0]}.yaml")
    options = ["--case-id", "1", "--casebook", path]
    code, _, err = quiet(capsys, "worksheet", "end-float", "before=0.12 mm", *options, "--by", "bay two")
    assert code == 0, err
    with Casebook(path) as book:
        (entry,) = book.worksheets(1).values()
        assert (entry.by, entry.body) == ("bay two", {"worksheet": "end-float", "readings": {"before": "0.12 mm"}})
        # Whoever may write a note may not write a reading: good ones, bad ones, and ones that stop everything.
        for text in (
            "worksheet end-float: before=9.99 mm. .",
            "worksheet end-float: before=. .",
            "worksheet run-out: where=disc. .",
        ):
            book.note(1, text, by="a stranger")
    for audience in ("customer", "fitter", "lead"):
        code, out, err = quiet(capsys, "sheet", case, "--for", audience, *options)
        assert (code, err) == (0, "")
        assert "9.99 mm" not in out and ("0.12 mm" in out or audience != "fitter")
    assert "worksheet end-float: before 0.12 mm" in " ".join(
        quiet(capsys, "case", "show", "1", "--casebook", path)[1].split()
    )
    # Readings an older program kept, which this one does not take, stop no sheet.
    with Casebook(path) as book:
        book.worked(1, "end-float", {"before": "12 mm", "colour": "red"})
    code, out, err = quiet(capsys, "sheet", case, "--for", "fitter", *options)
    assert code == 0 and "left out" in err and err.count("\n") == 1


def test_every_kind_has_its_shape_and_every_one_of_a_case_is_told_in_words():
    assert set(shape.BODIES) == set(entries.KINDS)
    told = {*history_told._EVENTS, *afterwards.KINDS, *SIGNED_WORDS}
    assert told == set(entries.KINDS) - set(shape.ALONE)
    assert set(shape.APART) | set(shape.REFERS) | set(shape.ON_KNOWLEDGE) <= set(entries.KINDS)
