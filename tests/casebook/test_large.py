"""A casebook larger than a page: pages, words and names at hand, all of it verified, erased and made anew."""

import itertools
import shutil
import sqlite3

import pytest

from advisor.casebook import book as books, file_tables, histories, statements, stored_form, words
from advisor.casebook.book import Casebook
from advisor.casebook.check import check, check_file
from advisor.errors import InputError, StoreError

from . import large, shelf

NAMES = ("mild-street-tune", "nothing-fits", "answers-missing")
of_files = pytest.mark.file_only


def pool():
    """Three shipped cases as `large.distinct` gives random ones."""
    for name in NAMES:
        record = shelf.record(name)
        yield shelf.cases()[name], record, stored_form.summary(record, books.currency_of(shelf.decider(), record))


@pytest.fixture
def small_blocks(monkeypatch):
    """Blocks of 64 cases, so that few cases fill several, which are looked through one after the other."""
    monkeypatch.setattr(words, "BLOCK", 64)
    monkeypatch.setattr(words, "FEW_BLOCKS", 1)


@pytest.mark.both_stores
def test_words_are_kept_turned_round_and_erased_on_either_store(tmp_path, monkeypatch):
    monkeypatch.setattr(words, "BLOCK", 8)
    case = shelf.cases()["mild-street-tune"]
    with Casebook(tmp_path / "casebook") as book:
        for number in range(1, 20):
            book.begin(
                case, shelf.files(), by="counter 2", name=f"Zoltan Quist{number}", phone=f"+999 55500{number:02d}"
            )
        assert book.store.row(statements.TURNED)[0] == 8
        book.note(3, "Squeaks like a marmoset")
        assert list(book.search_newest(["bramble"])) == list(range(19, 0, -1))
        assert list(book.search_newest(["bramble"], before=4)) == [3, 2, 1]
        for number in (3, 17):
            wanted = [f"quist{number}"]
            assert list(book.search_newest(wanted, people=True)) == [number]
            assert list(book.search_newest(wanted)) == []
            book.forget(number, notes=True)
            assert list(book.search_newest(wanted, people=True)) == []
        assert list(book.search_newest(["marmoset"], people=True)) == []
        assert book.number_of("5") == 5
        words.make_anew(book.store)
        assert list(book.search_newest(["zoltan"], people=True)) == [n for n in range(19, 0, -1) if n not in (3, 17)]
        assert check(book.store).faults == []


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The file of a casebook of 300 cases in such blocks, to be copied."""
    path = tmp_path_factory.mktemp("large") / "casebook.sqlite"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(words, "BLOCK", 64)
        large.fill(path, 300, list(pool()))
    return path


@pytest.fixture
def book(made, tmp_path, small_blocks):
    """An open casebook of 300 cases, most of them turned round."""
    shutil.copy(made, tmp_path / "casebook.sqlite")
    with Casebook(tmp_path / "casebook.sqlite") as opened:
        assert opened.store.row(statements.TURNED)[0] == 192
        yield opened


def looked_through(book, wanted, people):
    """Numbers of the cases in which every word begins some word, found by reading all of them: the newest first."""
    found = []
    for case in book.overview():
        open_texts, of_people = words.texts(case["history"])
        held = words.cut([*open_texts, *(of_people if people else ())])
        if all(any(one.startswith(word) for one in held) for word in wanted):
            found.insert(0, case["number"])
    return found


@of_files
def test_a_large_casebook_made_quickly_is_sound(book):
    assert check(book.store).faults == []
    assert len(list(book.overview())) == 300


@of_files
@pytest.mark.parametrize(
    "wanted, people",
    [
        (["bramble"], False),
        (["mild", "370"], False),
        (["recommended"], False),
        (["ambrel"], False),
        (["ambrel"], True),
        (["slip", "250"], True),
        (["dora", "ilmark"], True),
        (["dora", "fenja"], True),
        (["counter", "2"], False),
        (["nowhere"], True),
    ],
)
def test_words_at_hand_find_what_reading_every_case_finds(book, wanted, people):
    assert list(book.search_newest(wanted, people=people)) == looked_through(book, wanted, people)


@of_files
def test_a_page_goes_on_where_the_one_before_ended(book):
    found = list(book.search_newest(["bramble"]))
    assert len(found) > 100
    pages, before = [], None
    while page := list(itertools.islice(book.search_newest(["bramble"], before=before), 40)):
        pages += page
        before = page[-1]
    assert pages == found == sorted(found, reverse=True)


@of_files
def test_a_page_reads_little_more_than_it_shows(book, monkeypatch):
    read, numbers_read = histories.read, []
    monkeypatch.setattr(histories, "read", lambda store, numbers: numbers_read.extend(numbers) or read(store, numbers))
    found = book.overview(numbers=book.search_newest(["bramble"]))
    assert len(list(itertools.islice(found, 20))) == 20
    # Each is looked at by the search and again by the page.
    assert len(numbers_read) == 2 * histories.FEW


@of_files
def test_numbers_are_found_as_people_dial_them(book):
    name, phone = large.person_of(100).values()
    assert phone == "+999 100000100"
    for dialled in ("+999 100000100", "0999100000100", "00100", "0000100"):
        found = list(book.search_newest(dialled.split(), people=True))
        assert (100 in found) == (dialled != "00100"), dialled
        assert list(book.search_newest(dialled.split())) == []
    assert list(book.search_newest(name.split(), people=True)) == [100]


@of_files
def test_what_is_added_to_an_old_case_is_found_and_what_is_erased_is_not(book):
    for number in (10, 299):
        book.note(number, "Squeaks like a marmoset")
        assert list(book.search_newest(["marmo"], people=True)) == [number]
        assert list(book.search_newest(["marmo"])) == []
        name = large.person_of(number)["name"]
        assert number in book.search_newest(name.split(), people=True)
        book.forget(number, notes=True)
        assert list(book.search_newest(["marmo"], people=True)) == []
        assert number not in list(book.search_newest(name.split(), people=True))
        left = book.store.path.read_bytes() + book.store.path.with_name(book.store.path.name + "-wal").read_bytes()
        assert b"marmoset" not in left.lower()
    assert check(book.store).faults == []


@of_files
def test_words_of_people_stand_apart_also_where_their_name_comes_later(book):
    for number in (3, 297):  # nobody's name was written down; one in an old block, one among the latest
        case = shelf.cases()["mild-street-tune"]
        book.begin(case, shelf.files(), number=number, name="Zoltan Quist", by="zoltan quist")
        assert list(book.search_newest(["quist"])) == []
        assert list(book.search_newest(["quist"], people=True)) == [number]
        book.forget(number)
        assert list(book.search_newest(["quist"], people=True)) == []


@of_files
def test_words_made_anew_are_the_same(book):
    def held():
        return [list(book.store.rows(f"SELECT * FROM {table} ORDER BY 1, 2")) for table in tables]

    tables = ("found_by", "found_lately", "found_upto")
    book.note(20, "a note to an old case")
    before = held()
    words.make_anew(book.store)
    assert held() == before
    # Whoever empties them hides nothing for long: what is not read yet is looked through.
    with book.store.transaction() as connection:
        for sql in statements.FORGET_WORDS:
            connection.execute(sql)
    assert words.unread(book.store) == 300
    assert list(book.search_newest(["ambrel"], people=True)) == looked_through(book, ["ambrel"], True)


@of_files
def test_a_casebook_of_before_is_read_in_pieces_and_found_meanwhile(tmp_path, small_blocks, monkeypatch):
    path = tmp_path / "casebook.sqlite"
    large.fill(path, 150, list(pool()))
    connection = sqlite3.connect(path, isolation_level=None)
    for table in ("found_by", "found_lately", "found_upto", "found_called", "handed_over"):
        connection.execute(f"DROP TABLE {table}")
    for sql in (
        "DROP INDEX apart_case",
        "DROP INDEX entry_of_kind",
        file_tables.TAKEN_OVER[1],
        "PRAGMA user_version=6",
    ):
        connection.execute(sql)
    connection.close()
    with Casebook(path) as book:
        assert words.unread(book.store) == 150

        whole = list(book.search_newest(["bramble"]))
        told = []

        def stop(left):
            told.append(left)
            if len(told) == 2:
                raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            words.fill(book.store, stop)
        book.note(1, "added meanwhile")
        assert list(book.search_newest(["bramble"])) == whole
        words.fill(book.store, told.append)
        assert told == sorted(told, reverse=True) and words.unread(book.store) == 0
        assert list(book.search_newest(["bramble"])) == whole
        assert list(book.search_newest(["meanwhile"], people=True)) == [1]
    assert check_file(path).faults == []


@of_files
def test_a_case_is_found_by_its_name_and_by_that_of_before(book):
    called = f"{NAMES[50 % 3]}-50"
    assert book.number_of(called) == 50
    book.forget(50, words=[called])
    with pytest.raises(InputError, match="no case"):
        book.number_of(called)


@of_files
def test_overview_by_day_reads_only_what_may_have_begun_since(book):
    begun = next(book.overview(numbers=[300]))["begun"]
    assert [case["number"] for case in book.overview(since=begun[:10])] == list(range(1, 301))
    assert list(book.overview(since="2999-01-01")) == []


@of_files
def test_a_case_at_fault_is_passed_over_and_named(book):
    connection = sqlite3.connect(book.store.path, isolation_level=None)
    connection.execute("DROP TRIGGER entry_stays")
    connection.execute("UPDATE entry SET at = '2026-05-05T05:05:05Z' WHERE in_case = 150 AND kind = 'decision'")
    connection.close()
    numbers = [case["number"] for case in book.overview(numbers=[149, 150, 151])]
    assert numbers == [149, 151]
    assert "was changed after it was written" in book.passed_over[150]
    with pytest.raises(StoreError, match="was changed"):
        book.history(150)
