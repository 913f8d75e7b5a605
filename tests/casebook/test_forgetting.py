"""Forgetting a person: everywhere, in any spelling, down to the bytes; what remains is said; pages keep people back."""

import json
import os
import shutil
import stat

import pytest

from advisor.casebook import entries, file_store, likeness
from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.casebook.importing import take_over
from advisor.casebook.replay import replay
from advisor.cli import main

from . import shelf, stores, stress
from .stores import on_disk

NAME, PHONE = "Ada Müller-Lüdenscheid", "+49 151 234-56789"
#: Notes that point to the caller, each in its own way.
TELLING = (
    "Muller rang again",
    "M ü l l e r - L ü d e n s c h e i d",
    "Mül\u200cler wants it by Friday",
    "the Muellers are back",
    "MÜLLER\u2011LÜDENSCHEID",
    "ring 0151/23 45 67 89",
    "ring 2345\u20116789 before noon",
    "number is (0151) 23456789",
    "deliver to 5 Mill Lane",
    "write to 10115 Berlin",
    "mail: someone@example.com",
    "for ada",
)
PLAIN = (
    "wants it by Friday",
    "430 Nm on 2026-11-28 at 12:30",
    "disc 240 mm, 84000 km, two of them",
    "adapter plate is there",
)


def _of_one_caller(book):
    case = shelf.cases()["mild-street-tune"]
    named = type(case)(**{name: getattr(case, name) for name in case.__slots__} | {"id": "mueller-luedenscheid"})
    begun = book.begin(named, shelf.files(), by="Ada M.-L.", name=NAME, phone=PHONE, note="calls on Monday")
    record = shelf.record("mild-street-tune")
    from advisor.casebook import stored_form

    book.decided(begun, stored_form.named(record, named.id), "EUR")
    book.sign(1, by="Ada Müller", text="agreed with Mrs Lüdenscheid")
    book.worked(1, "end-float", {"before": "0.12 mm"}, by="müller")
    for text in (*TELLING, *PLAIN):
        book.note(1, text, by="counter two")
    shelf.save(book, "nothing-fits", name="A. Müller-Lüdenscheid", phone="0151 23456789")
    shelf.save(book, "answers-missing", name="Ben Other", phone="030 111222333")


@pytest.fixture
def path(tmp_path):
    """A case in which the caller's name stands in every field there is, and another of the same caller."""
    return shelf.filled(tmp_path / "casebook.sqlite", _of_one_caller)


@pytest.mark.both_stores
def test_a_person_is_gone_from_every_field_and_every_byte(path, store):
    with Casebook(path) as book:
        before = book.standing(1)[1]
        done = book.forget(1, by="The Lead")
        # A server's log and backups hold on to it for a while, which is said.
        assert done.gone == (store == stores.FILE) and done.remains == ()
        assert done.elsewhere == (2,)
        left = on_disk(path)
        for text in TELLING:
            assert text.encode() not in left, text
        for word in ("Ada", "ller-L", "luedenscheid", "LÜDENSCHEID", "denscheid ", "234-56789", "M.-L.", "Mrs L"):
            held = {"A. Müller-Lüdenscheid": ("ller-L",)}  # the other case still holds the same caller
            if word not in held["A. Müller-Lüdenscheid"]:
                assert word.encode() not in left, word
        kept = [entry.kept["text"] for entry in book.history(1) if entry.kind == "note" and "text" in entry.kept]
        assert kept == ["calls on Monday", *PLAIN]
        assert book.standing(1)[1].digest == before.digest
        assert replay(book, 1).same
        book.forget(2)
        assert b"ller-L" not in on_disk(path)
    assert check_file(path)[0] == []
    whole = on_disk(path)
    assert b"Ben Other" in whole and b"counter two" in whole


@pytest.mark.file_only
def test_a_file_too_large_for_memory_is_written_anew_on_its_own_disk(path, monkeypatch):
    monkeypatch.setattr(file_store, "IN_MEMORY", 0)
    beside = sorted(path.parent.iterdir())
    with Casebook(path) as book:
        assert book.forget(1).gone and book.forget(2).gone
        assert b"ller-L" not in on_disk(path)
    assert sorted(path.parent.iterdir()) == beside
    assert check_file(path)[0] == []


@pytest.mark.both_stores
def test_what_was_erased_cannot_be_guessed_from_its_digest(path):
    with Casebook(path) as book:
        book.forget(1)
        rows = list(book.store.rows("SELECT part, digest, salt, text FROM apart WHERE entry = 2"))
        assert {part for part, *_ in rows} == {"by", "name", "phone"}
        assert all(salt is None and text is None for _, _, salt, text in rows)
        signed = next(entry for entry in book.history(1) if entry.kind == "sign_off")
        assert signed.by == "" and "text" not in signed.body


def test_words_named_and_all_notes(path):
    with Casebook(path) as book:
        book.note(3, "the baker from the corner, tall")
        done = book.forget(3, words=["the baker"])
        assert [one.why for one in done.erased if one.kind == "note"] == ["a word named"]
        done = book.forget(1, notes=True)
        assert not [entry for entry in book.history(1) if entry.kind == "note" and "text" in entry.kept]
    assert check_file(path)[0] == []


def test_the_command_lists_what_it_erased_and_never_the_text(path, capsys):
    assert main(["case", "forget", "1", "--also", "Monday", "--casebook", str(path)]) == 0
    told = capsys.readouterr().out
    assert "entry 2 (person): name, the caller's own" in told and "entry 3 (note): text, a word named" in told
    assert "(sign off): who wrote it, " in told and "(answers): the name of the case, " in told
    assert "stands in case 2" in told and "Nicknames" in told and "Backups" in told
    assert "ller" not in told.replace("caller", "") and "Monday" not in told
    assert main(["case", "forget", "1", "--also", "a", "--casebook", str(path)]) == 2


def test_nobody_is_shown_who_was_not_asked_for(path, capsys):
    """In no field, whatever it was meant for."""
    here = ["--casebook", str(path)]
    for action in (
        ["show", "1"],
        ["audit", "1"],
        ["list"],
        ["export"],
        ["export", "--as", "json"],
        ["show", "1", "--json"],
        ["anchor", "--day"],
    ):
        assert main(["case", *action, *here]) == 0
        told = capsys.readouterr()
        folded = " ".join(likeness.letters(told.out + told.err))
        for word in ("muller", "ludenscheid"):
            assert word not in folded, (action, word)
        assert "Ada" not in told.out
        for text in (*TELLING, "calls on Monday", "56789"):
            assert text not in told.out, (action, text)
        assert "mueller" not in told.out.casefold()
    for action in (["show", "1"], ["audit", "1"]):
        assert main(["case", *action, "--people", *here]) == 0
        told = " ".join(capsys.readouterr().out.split())
        assert (
            NAME in told and "calls on Monday" in told and "Mrs Lüdenscheid" in told and "mueller-luedenscheid" in told
        )
    assert main(["case", "search", "mill lane", *here]) == 0 and capsys.readouterr().out == "No case.\n"
    assert main(["case", "search", "mill lane", "--people", *here]) == 0 and "mueller" in capsys.readouterr().out


@pytest.mark.both_stores
def test_erased_parts_stay_erased_when_cases_are_taken_over(path, tmp_path):
    copy, target = tmp_path / "copy.sqlite", tmp_path / "target.sqlite"
    with Casebook(path, write=False) as book:
        book.store.copy_to(copy)
    with Casebook(target) as book:
        take_over(book, copy)
        with Casebook(path) as other:
            other.forget(1)
            other.forget(2)
        assert take_over(book, path) == (0, 1, 2)
        book.store.wipe()
        assert b"ller-L" not in on_disk(target) and b"56789" not in on_disk(target)
    fresh = tmp_path / "fresh.sqlite"
    with Casebook(fresh) as book:
        assert take_over(book, path)[0] == 3
        assert [entry.by for entry in book.history(1)][:2] == ["", ""]
    assert check_file(target)[0] == [] and check_file(fresh)[0] == []


@pytest.mark.file_only
@pytest.mark.parametrize("version", [2, 3, 4, 5])
def test_a_casebook_of_before(version, tmp_path, capsys):
    """It migrates; what stood apart is erased, what was sealed is said to remain, and stays behind when taken over."""
    place, new = tmp_path / "old.sqlite", tmp_path / "new.sqlite"
    apart = (
        ("person", {"name": NAME, "phone": PHONE}),
        ("note", {"text": "Muller rang"}),
        ("note", {"text": "no more"}),
    )
    made = stress.old_version(place, cases=2, version=version, name="mueller", by="Ada Müller", apart=apart)
    place.chmod(0o644)
    untouched = tmp_path / "untouched.sqlite"
    shutil.copy(place, untouched)
    with Casebook(place) as book:
        assert [entry.digest for entry in book.every_entry()] == made
        assert book.private_of(1) == {
            2: {"name": NAME, "phone": PHONE},
            3: {"text": "Muller rang"},
            4: {"text": "no more"},
        }
        done = book.forget(1)
        assert [(one.entry, one.part) for one in done.erased] == [(2, ""), (3, "")]
        assert len(done.remains) == 2 and all("entry 1 (answers)" in where for where in done.remains)
    assert stat.S_IMODE(place.stat().st_mode) & 0o007 == 0
    assert check_file(place)[0] == []
    assert main(["case", "forget", "2", "--casebook", str(place)]) == 0
    assert "written by an older program" in capsys.readouterr().out
    # Taken over into a new casebook, what was sealed stands apart there, and goes.
    with Casebook(new) as book:
        assert take_over(book, place)[0] == 2
        assert book.history(1)[0].by == "Ada Müller"
        for number in (1, 2):
            done = book.forget(number, words=["mueller"])
            assert done.remains == ()
        left = on_disk(new)
        assert b"ller" not in left.replace(b"least-clutch", b"") and PHONE.encode() not in left
    assert check_file(new)[0] == []
    # A salvage of a file of then that is only read.
    from advisor.casebook.salvage import salvage

    with Casebook(tmp_path / "salvaged.sqlite") as book:
        assert (done := salvage(book, untouched)).taken == 2, done
        assert book.private_of(1)[2] == {"name": NAME, "phone": PHONE}
    assert check_file(tmp_path / "salvaged.sqlite")[0] == []


@pytest.mark.file_only
def test_files_with_people_in_them_are_for_their_owner(path, tmp_path, capsys):
    os.umask(0o022)
    here = ["--casebook", str(path)]
    copy, table = tmp_path / "backup.sqlite", tmp_path / "table.csv"
    assert main(["case", "backup", str(copy), *here]) == 0
    assert main(["case", "export", "--people", "--to", str(table), *here]) == 0
    for made in (path, copy, table, *path.parent.glob("casebook.sqlite-*")):
        assert stat.S_IMODE(made.stat().st_mode) == 0o600, made
    capsys.readouterr()
    path.chmod(0o644)
    assert main(["case", "check", *here]) == 0
    assert "others on this machine can read it" in capsys.readouterr().out


def test_nothing_of_a_person_is_in_what_is_sealed(path):
    """The history itself holds no free text of anybody: what people write stands apart, whatever the field."""
    with Casebook(path, write=False) as book:
        for by, body in book.store.rows("SELECT by, body FROM entry"):
            assert by == "" and not {"text", "reason", "who", "name", "phone"} & set(json.loads(body))
            assert json.loads(body).get("case", {}).get("id", entries.NAMELESS) == entries.NAMELESS
        for (record,) in book.store.rows("SELECT record FROM entry WHERE record IS NOT NULL"):
            assert json.loads(entries.fetch(book.store, record))["case"]["id"] == entries.NAMELESS


@pytest.mark.parametrize("text", TELLING)
def test_each_way_of_writing_is_found(text):
    assert likeness.why(text, [{"name": NAME, "phone": PHONE}]) or likeness.form(text)


@pytest.mark.parametrize("text", PLAIN)
def test_what_has_nothing_of_anybody_stays(text):
    assert not likeness.why(text, [{"name": NAME, "phone": PHONE}]) and not likeness.form(text)


def test_many_cases_of_the_same_name_are_not_all_named(path, capsys, monkeypatch):
    monkeypatch.setattr("advisor.commands.case.MOST_NAMED", 1)
    with Casebook(path) as book:
        shelf.save(book, "nothing-fits", name="A. Müller-Lüdenscheid", phone="0151 23456789")
    assert main(["case", "forget", "1", "--casebook", str(path)]) == 0
    told = capsys.readouterr().out
    assert "stands in case 2" in told and "and 1 more: forget it there too.\nAll of them: advisor case search" in told
