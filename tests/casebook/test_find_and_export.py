"""Finding cases again, and taking them out as a table or as data."""

import csv
import io
import json
from dataclasses import replace

import pytest

from advisor.casebook import exporting, prices
from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.casebook.importing import take_over
from advisor.casebook.kept_files import Files
from advisor.errors import InputError, StoreError

from . import shelf, stores


def _three_cases(book):
    shelf.save(
        book,
        "mild-street-tune",
        by="=counter()",
        name="Ada Caller",
        phone="+49 151 2345",
        note="=1+1; @SUM(A1)\n-2",
    )
    shelf.save(book, "nothing-fits", by="counter two")
    shelf.save(book, "answers-missing")


@pytest.fixture
def book(tmp_path):
    """An open casebook with three cases, one of them of a named caller."""
    with Casebook(shelf.filled(tmp_path / "casebook.sqlite", _three_cases)) as opened:
        yield opened


def test_a_case_is_found_by_number_or_by_a_name_only_it_has(book):
    assert book.number_of("2") == book.number_of("nothing-fits") == 2
    with pytest.raises(InputError, match="no case"):
        book.number_of("99")
    with pytest.raises(InputError, match="no case 'other'"):
        book.number_of("other")
    shelf.save(book, "nothing-fits")
    with pytest.raises(InputError, match="number: 2, 4"):
        book.number_of("nothing-fits")


@pytest.mark.parametrize(
    "words, numbers",
    [
        (["bramble"], [1, 2, 3]),
        (["BRAMBLE", "moderate"], [1]),
        (["mild-street"], [1]),
        (["370"], [1]),
        (["no_kit_fits"], [2]),
        (["engine_torque"], [1, 2, 3]),
        (["pellworth"], [1]),
        (["counter", "two"], [2]),
        (["sum(a1)"], []),  # in a note, which is people's
        (["ada"], []),
        (["nowhere"], []),
        (["platform"], []),
        (["answers"], [3]),
    ],
)
def test_search_finds_what_people_would_look_for(book, words, numbers):
    assert book.search(words) == numbers


def test_names_are_searched_only_when_asked(book):
    assert book.search(["ada", "caller"], people=True) == [1]
    assert book.search(["2345"], people=True) == [1]
    assert book.search(["sum(a1)"], people=True) == [1]


def table(book, **asked):
    """The CSV export, parsed again."""
    file = io.StringIO()
    exporting.write_csv(book, book.overview(), file, **asked)
    return list(csv.DictReader(io.StringIO(file.getvalue())))


def test_table_holds_every_case_and_nobody(book):
    rows = table(book)
    assert [(row["number"], row["case"], row["outcome"]) for row in rows] == [
        ("1", "mild-street-tune", "recommended"),
        ("2", "nothing-fits", "no_kit_fits"),
        ("3", "answers-missing", "need_more_answers"),
    ]
    assert float(rows[0]["total_price"]) == shelf.record("mild-street-tune").picked.figures["total_price"]
    assert rows[0]["invented"] == "yes"
    whole = json.dumps(rows) + json.dumps([exporting.data(book, case) for case in book.overview()])
    # Digests are any digits: the number is looked for as it was written.
    assert "Ada" not in whole and "151 2345" not in whole and "1512345" not in whole and "SUM" not in whole


def test_people_and_notes_come_only_when_asked(book):
    rows = table(book, people=True, notes=True)
    assert (rows[0]["name"], rows[0]["phone"]) == ("Ada Caller", "'+49 151 2345")
    assert rows[1]["name"] == ""
    data = exporting.data(book, next(book.overview()), people=True, notes=True)
    assert {"name": "Ada Caller", "phone": "+49 151 2345"} in [one.get("private") for one in data["history"]]
    assert data["record"] == shelf.record("mild-street-tune").data


# The signs that spreadsheets take for the beginning of a formula, after the advice of the OWASP Foundation on CSV
# injection: = + - @ tab and carriage return, full-width forms, and what another separator would begin a cell with.
DANGEROUS = (
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "\uff1d1",
    " =1",
    "a;=1",
    "a\n=1",
    "a\r\n+1",
    'a";=1',
    "a\t@x",
)


@pytest.mark.parametrize("text", DANGEROUS)
def test_no_cell_of_text_begins_a_formula(text):
    told = exporting.cell(text)
    for separator in (",", ";", "\t"):
        file = io.StringIO()
        csv.writer(file, quoting=csv.QUOTE_NONNUMERIC).writerow(["x", told])
        # A spreadsheet of another country splits at another sign, and may not honour the quotes.
        for line in file.getvalue().replace('"', "").splitlines():
            for part in line.split(separator):
                assert not part.strip(" ").startswith(("=", "+", "-", "@", "\t", "\r", "\uff1d")), (text, part)


def test_numbers_and_plain_texts_stay_as_they_are():
    assert [exporting.cell(value) for value in (-1.5, 0, True, None, "a-b", "wolf = 3", "23 x 26 mm", "a, -b")] == [
        -1.5,
        0,
        "yes",
        "",
        "a-b",
        "wolf = 3",
        "23 x 26 mm",
        "a, -b",
    ]


def test_formulas_in_a_case_are_defused_in_the_table(book):
    rows = table(book, notes=True)
    assert rows[0]["taken_by"] == "'=counter()"
    assert rows[0]["notes"] == "'=1+1; '@SUM(A1)\n'-2"


def test_an_old_quote_is_explained_by_the_prices_of_its_day(book):
    bodies = dict(shelf.files().bodies)
    old = bodies["kits", "orrin.yaml"]
    bodies["kits", "orrin.yaml"] = old.replace(b"price: 389.00", b"price: 415.00", 1)
    assert bodies["kits", "orrin.yaml"] != old
    book.begin(shelf.cases()["nothing-fits"], Files(bodies))
    del bodies["kits", "orrin.yaml"]
    book.begin(shelf.cases()["nothing-fits"], Files(bodies))
    found = prices.prices(book, "orrin-240-s1")
    assert [(one["price"], one["on_file"], one["cases"]) for one in found] == [
        (389.0, True, 3),
        (415.0, True, 1),
        (None, False, 1),
    ]
    assert prices.prices(book, "nothing-of-the-kind") == []


def test_cases_of_another_casebook_are_taken_over_once(book, tmp_path):
    with Casebook(tmp_path / "other.sqlite") as other:
        other.note(shelf.save(other, "drag-never-bedded", name="Ben Caller")[0], "from the other counter")
        other.sign(1, by="The Lead")
        other.forget(1)
        shelf.save(other, "pack-over-stroke", name="Cy Caller")
        assert take_over(book, other.store.place) == (2, 0, 0)
        other.note(2, "added later")
        assert take_over(book, other.store.place) == (0, 1, 1)
        theirs = [[(entry.kind, entry.at, entry.by) for entry in other.history(number)] for number in (1, 2)]
    ours = [[(entry.kind, entry.at, entry.by) for entry in book.history(number)] for number in (4, 5)]
    assert ours == theirs
    assert [case["number"] for case in book.overview()] == [1, 2, 3, 4, 5]
    assert book.record(book.standing(4)[1]) == shelf.record("drag-never-bedded")
    assert list(book.private_of(5).values()) == [{"name": "Cy Caller"}, {"text": "added later"}]
    assert check_file(book.store.place)[0] == []
    with pytest.raises(StoreError, match="no casebook"):
        take_over(book, tmp_path / "none.sqlite")
    with pytest.raises(InputError, match="its own"):
        take_over(book, book.store.place)


def test_a_case_forgotten_elsewhere_is_forgotten_here_too(book, tmp_path):
    with Casebook(tmp_path / "other.sqlite") as other:
        shelf.save(other, "drag-never-bedded", name="Ben Caller")
        take_over(book, other.store.place)
        assert next(iter(book.private_of(4).values())) == {"name": "Ben Caller"}
        other.forget(1)
        assert take_over(book, other.store.place) == (0, 0, 1)
    assert "Ben Caller" not in json.dumps(list(book.private_of(4).values()))
    assert check_file(book.store.place)[0] == []


def test_an_unsound_casebook_is_not_taken_over(book, tmp_path):
    with Casebook(tmp_path / "other.sqlite") as other:
        shelf.save(other, "drag-never-bedded")
    with stores.unguarded(tmp_path / "other.sqlite") as connection:
        connection.execute("UPDATE head SET digest = 'x'")
    with pytest.raises(StoreError, match="not sound"):
        take_over(book, tmp_path / "other.sqlite")
    assert len(list(book.overview())) == 3


def test_since_counts_from_the_first_day(book):
    begun = next(book.overview())["begun"]
    assert len(list(book.overview(since=begun[:10]))) == 3
    assert list(book.overview(since="2999-01-01")) == []


def test_taken_over_case_may_be_corrected_here(book, tmp_path):
    with Casebook(tmp_path / "other.sqlite") as other:
        shelf.save(other, "drag-never-bedded")
        take_over(book, other.store.place)
        case = replace(shelf.cases()["drag-never-bedded"], id="renamed")
        begun = book.begin(case, shelf.files(), number=4)
        other.note(1, "and one more there")
        assert take_over(book, other.store.place) == (0, 0, 1)
    assert [entry.kind for entry in book.history(4)] == ["answers", "decision", "answers", "note"]
    assert book.standing(4) == (begun, None)
