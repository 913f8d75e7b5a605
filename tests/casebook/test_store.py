"""The file: made whole, refused where it is not ours, left as it is where it cannot be used."""

import os
import re
import resource
import sqlite3
import tempfile
from pathlib import Path

import pytest

from advisor.casebook import book as books, entries, store
from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.errors import StoreError

from . import shelf, stress

pytestmark = pytest.mark.file_only


@pytest.fixture
def path(tmp_path):
    """A casebook with one case."""
    made = tmp_path / "casebook.sqlite"
    with Casebook(made) as book:
        shelf.save(book, "mild-street-tune", name="Ada Caller", note="a note")
    return made


def left_alone(path, text):
    """Opening for writing and for reading is refused with one error that says ``text``; nothing on disk changes."""
    before = {one.name: one.read_bytes() for one in path.parent.iterdir() if one.is_file()}
    for write in (True, False):
        with pytest.raises(StoreError) as caught:
            Casebook(path, write=write)
        assert text in str(caught.value)
        assert str(path) in str(caught.value)
        assert caught.value.remedy
        assert "sqlite3" not in str(caught.value)
    assert {one.name: one.read_bytes() for one in path.parent.iterdir() if one.is_file()} == before


def test_default_place_is_the_users_data_folder(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert store.default_path() == tmp_path / "least-clutch" / "casebook.sqlite"
    with Casebook() as book:
        assert book.store.path.is_file()
    # Names and phone numbers are nobody else's business on a shared machine.
    assert book.store.path.stat().st_mode & 0o077 == 0
    monkeypatch.delenv("XDG_DATA_HOME")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert store.default_path() == tmp_path / ".local" / "share" / "least-clutch" / "casebook.sqlite"


def test_file_is_set_up_for_many_writers_and_for_honest_erasing(path):
    with Casebook(path) as book:
        asked = {
            name: book.store.row(f"PRAGMA {name}")[0]
            for name in ("journal_mode", "foreign_keys", "synchronous", "secure_delete")
        }
    assert asked == {"journal_mode": "wal", "foreign_keys": 1, "synchronous": 2, "secure_delete": 1}


def test_reading_does_not_make_a_casebook(tmp_path):
    with pytest.raises(StoreError, match="no casebook here"):
        Casebook(tmp_path / "none.sqlite", write=False)
    assert list(tmp_path.iterdir()) == []


def test_reading_only_refuses_to_write(path):
    with Casebook(path, write=False) as book, pytest.raises(StoreError, match="read only"):
        book.note(1, "x")


def test_foreign_files_are_left_alone(tmp_path):
    text = tmp_path / "a" / "notes.txt"
    text.parent.mkdir()
    text.write_text(
        "Not a database at all, but long enough to hold a header of one hundred bytes and some more text.\n" * 3
    )
    left_alone(text, "not a casebook")
    other = tmp_path / "b" / "other.sqlite"
    other.parent.mkdir()
    connection = sqlite3.connect(other)
    connection.execute("CREATE TABLE entry (number INTEGER)")
    connection.commit()
    connection.close()
    left_alone(other, "not a casebook")
    empty = tmp_path / "c" / "empty.sqlite"
    empty.parent.mkdir()
    empty.touch()
    left_alone(empty, "empty")
    left_alone(tmp_path / "a", "not a file")


def test_file_of_a_newer_version_is_left_alone(path):
    connection = sqlite3.connect(path)
    connection.execute(f"PRAGMA user_version={store.statements.LATEST + 1}")
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    left_alone(path, f"version {store.statements.LATEST + 1}")


@pytest.mark.parametrize("kept", (50, 4096, 20_000, -1))
def test_truncated_file_is_left_alone(path, kept):
    whole = path.read_bytes()
    path.write_bytes(whole[:kept])
    left_alone(path, "cut off")


def test_scrambled_page_is_found(path):
    whole = bytearray(path.read_bytes())
    whole[8192:12288] = bytes(4096)
    path.write_bytes(whole)
    faults, _, _ = check_file(path)
    assert faults


def _as_somebody_else(action):
    """What ``action`` gives in a process that may not write (as root: of a user without rights), as text."""
    read, write = os.pipe()
    process = os.fork()
    if process == 0:
        os.close(read)
        try:
            if os.geteuid() == 0:
                os.setgid(65534)
                os.setuid(65534)
            told = action()
        except BaseException as error:  # the child may not fall back into the test run
            told = f"{type(error).__name__}: {error}"
        os.write(write, told.encode())
        os._exit(0)
    os.close(write)
    with os.fdopen(read) as pipe:
        told = pipe.read()
    os.waitpid(process, 0)
    return told


def test_read_only_file_can_be_read_and_not_written():
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "casebook.sqlite")
        with Casebook(path) as book:
            shelf.save(book, "answers-missing")
            assert len(list(book.overview())) == 1  # what reading loads is loaded, wherever another user may not look
        before = path.read_bytes()
        os.chmod(path, 0o444)
        os.chmod(folder, 0o555)

        def read():
            with Casebook(path, write=False) as book:
                return f"{len(list(book.overview()))} case"

        told = [_as_somebody_else(action) for action in (read, lambda: str(Casebook(path)))]
        os.chmod(folder, 0o755)
        assert told[0] == "1 case"
        assert told[1].startswith("StoreError: ") and "read-only" in told[1] and str(path) in told[1]
        assert path.read_bytes() == before
        assert [one.name for one in Path(folder).iterdir()] == ["casebook.sqlite"]


def test_no_room_is_one_error_and_changes_nothing(path, tmp_path):
    record = tmp_path / "record.json"
    record.write_text(shelf.made("nothing-fits"), encoding="utf-8")
    before = stress.digests(path)

    def limited():
        size = path.stat().st_size
        resource.setrlimit(resource.RLIMIT_FSIZE, (size + 60_000, size + 60_000))

    writer = stress.start("save", path, record, 1000, "full", first=limited)
    told, complaints = writer.communicate()
    assert writer.returncode == 2
    assert complaints.count("\n") == 1 and "could not be written" in complaints and "Make room" in complaints
    faults, _, _ = check_file(path)
    assert faults == []
    after = stress.digests(path)
    # Everything that was there, and everything acknowledged before the room ran out.
    assert before.items() <= after.items()
    assert {line.split()[2] for line in told.split("\n")[1:-1]} <= set(after)


def test_a_decision_too_large_to_be_read_again_is_refused_and_the_answers_stay(path, monkeypatch):
    before = stress.digests(path)
    with monkeypatch.context() as small:
        small.setattr(entries, "LARGEST", 250_000)  # a record is more, no file of the knowledge is
        with pytest.raises(StoreError, match=r"the answers are kept, the decision is not\. .*--corrects"):
            books.keep(path, shelf.decider(), shelf.cases()["mild-street-tune"], shelf.files())
    faults, _, _ = check_file(path)
    assert faults == []
    with Casebook(path, write=False) as book:
        (row,) = [row for row in book.overview() if row["decision"] is None]
        assert before.items() <= stress.digests(path).items() and book.standing(row["number"])[1] is None


def test_casebook_that_cannot_be_made_says_so(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("x")
    with pytest.raises(StoreError, match=r"folder|made"):
        Casebook(blocked / "casebook.sqlite")


def test_migration_keeps_everything(tmp_path):
    path = tmp_path / "old.sqlite"
    made = stress.old_version(path)
    with Casebook(path) as book:
        assert book.store.version() == store.statements.LATEST
        assert [case["number"] for case in book.overview()] == list(range(1, 21))
        book.note(1, "later")
    assert set(made) <= set(stress.digests(path))
    assert check_file(path)[0] == []


def test_backup_is_one_sound_file_while_others_write(path, tmp_path):
    record = tmp_path / "record.json"
    record.write_text(shelf.made("mild-street-tune"), encoding="utf-8")
    writer = stress.start("save", path, record, 60, "during")
    assert writer.stdout.readline() == "ready\n"
    copy = tmp_path / "copy" / "backup.sqlite"
    copy.parent.mkdir()
    with Casebook(path, write=False) as book:
        book.store.copy_to(copy)
        writer.communicate()
        with pytest.raises(StoreError, match="already"):
            book.store.copy_to(copy)
    faults, count, digest = check_file(copy)
    assert faults == [] and count >= 4
    assert [one.name for one in copy.parent.iterdir()] == ["backup.sqlite"]
    # The copy is the history up to one moment, not a mixture.
    assert digest in stress.digests(path)
    with Casebook(copy) as book:
        book.note(1, "the backup can be gone on with")
    assert check_file(copy)[0] == []


def test_statements_on_tables_stand_in_few_modules():
    """The casebook's in one, its tables in another, and what a database server has otherwise; those of an impact run's
    results, of the pages' own register and of how often pages may be asked for in one each."""
    statement = re.compile(r"[\"'](SELECT|INSERT|UPDATE|DELETE|CREATE) ")
    found = {
        path.name
        for path in (shelf.ROOT / "advisor").rglob("*.py")
        if statement.search(path.read_text(encoding="utf-8"))
    }
    on_servers = {"server_statements.py", "server_tables.py"}
    assert found == {
        "statements.py",
        "file_tables.py",
        "impact_state.py",
        "impact_file.py",
        "register.py",
        "allowance.py",
        *on_servers,
    }
