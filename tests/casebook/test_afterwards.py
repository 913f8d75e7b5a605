"""What is heard after the sale: outcomes, who was asked, complaints with what the case knows."""

import json

import pytest

from advisor import cli
from advisor.casebook import afterwards, book as books, shape
from tests.conftest import ROOT

CASE = str(ROOT / "scenarios" / "cases" / "mild-street-tune.yaml")
KIT = "pellworth-240-s1"


@pytest.fixture(scope="module")
def sold_file(tmp_path_factory):
    """A casebook with one case, sold and fitted a year ago."""
    place = tmp_path_factory.mktemp("afterwards") / "book.sqlite"
    options = ["--casebook", str(place)]
    assert cli.main(["case", "save", CASE, *options]) == 0
    assert cli.main(["case", "sold", "1", "--kit", KIT, "--on", "2026-01-08", *options]) == 0
    assert cli.main(["case", "fitted", "1", "--km", "84000", "--on", "2026-01-12", *options]) == 0
    return place


@pytest.fixture
def place(sold_file, tmp_path):
    """A copy of its own."""
    copy = tmp_path / "book.sqlite"
    with books.Casebook(sold_file, write=False):
        copy.write_bytes(sold_file.read_bytes())
    return copy


def said(capsys, place, *typed):
    """(exit code, what was printed, what was complained of)."""
    capsys.readouterr()
    code = cli.main(["case", *typed, "--casebook", str(place)])
    out = capsys.readouterr()
    return code, out.out, out.err


def heard(place):
    with books.Casebook(place, write=False) as book:
        (found,) = afterwards.every_aftermath(book)
    return found


def test_buyers_are_due_after_bedding_and_after_a_year_until_they_were_asked(capsys, place):
    assert heard(place).due("2026-02-01") == ()
    assert heard(place).due("2026-02-26") == ("bedded",)
    assert heard(place).due("2027-01-12") == ("bedded", "year")
    code, out, _ = said(capsys, place, "due", "--on", "2027-01-12")
    assert code == 0
    assert f"1  {KIT}, in since 2026-01-12: ask after bedding in and after a year" in out
    assert said(capsys, place, "asked", "1", "--due", "year", "--on", "2026-11-20")[0] == 0
    assert heard(place).due("2027-01-12") == ("bedded",)
    said(capsys, place, "outcome", "1", "held", "--torque", "430 Nm", "--torque-at", "wheels", "--km", "96000")
    found = heard(place)
    assert found.due("2026-11-28") == ()
    assert (found.last.body["came"], found.last.body["asked"]) == ("asked", "2026-11-20")
    assert (found.last.body["torque"], found.last.body["km"]) == (430.0, 96000.0)
    data = json.loads(said(capsys, place, "due", "--json")[1])
    assert (data["sold"], data["asked"], data["answered"]) == (1, 1, 1)


def test_who_comes_by_himself_is_told_from_who_was_asked(capsys, place):
    said(capsys, place, "outcome", "1", "slipped", "--km", "84500")
    assert heard(place).last.body["came"] == "himself"
    code, out, _ = said(capsys, place, "due", "--json", "--on", "2026-11-28")
    assert code == 0
    assert json.loads(out)["answered"] == 0


def test_an_outcome_is_corrected_and_nothing_is_lost(capsys, place):
    said(capsys, place, "outcome", "1", "slipped", "--came", "asked")
    said(capsys, place, "outcome", "1", "held", "--correct")
    found = heard(place)
    assert [entry.body["result"] for entry in found.outcomes] == ["held"]
    assert found.last.body["came"] == "asked"
    with books.Casebook(place, write=False) as book:
        assert [entry.body["result"] for entry in book.history(1) if entry.kind == "outcome"] == ["slipped", "held"]
    assert "corrected: it holds" in " ".join(said(capsys, place, "show", "1")[1].split())
    assert said(capsys, place, "check")[0] == 0


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [
        (["1", "held", "--torque", "430 Nm"], "go together"),
        (["1", "held", "--torque", "5 Nm", "--torque-at", "wheels"], "no torque of an engine"),
        (["1", "held", "--km", "70000"], "84000"),
        (["1", "held", "--km", "far"], "no reading"),
        (["1", "held", "--on", "2026-01-02"], "before the sale"),
        (["1", "held", "--correct"], "no outcome to correct"),
        (["9", "held"], "no case"),
    ],
)
def test_mistakes_get_one_clear_error(capsys, place, typed, wrong):
    code, _, err = said(capsys, place, "outcome", *typed)
    assert code == 2
    assert wrong in err
    assert "Traceback" not in err
    assert heard(place).outcomes == ()


def test_a_complaint_uses_what_was_sold_and_goes_on_where_it_stopped(capsys, place):
    signs = ["slip_shows=peak_torque", "began=first_drive", "km_since_fitting=300 km"]
    code, out, _ = said(capsys, place, "complaint", "1", "slips", *signs, "--json")
    first = json.loads(out)
    assert code == 3
    assert first["sold"]["kit"] == KIT
    # The sheet of the sale: 77 % new, 99 % bedded. The slip of the first week is the bedding's.
    assert first["sold"]["margin"]["holding"] == pytest.approx(0.768, abs=0.001)
    assert first["causes"][0]["cause"] == "not_bedded"
    code, out, _ = said(capsys, place, "complaint", "1", "torque_now=430 Nm", "bedded=done", "--json")
    second = json.loads(out)
    assert second["told"]["slip_shows"] == "peak_torque"
    assert second["cause"] == "demand_above_stated"
    assert code == 0
    with books.Casebook(place, write=False) as book:
        kept = [entry for entry in book.history(1) if entry.kind == "complaint"]
        assert [entry.body["cause"] for entry in kept] == [first["cause"], "demand_above_stated"]
        assert all(entry.body["rules"] == second["knowledge"]["complaints_sha256"] for entry in kept)
        assert ("rules", "complaints/slip.yaml") in book.files_of(kept[0]).bodies
        assert afterwards.last_complaint(book.history(1)).number == kept[-1].number
        latest = [entry.number for entry in afterwards.latest_complaints(book, 2)]
        assert latest == [entry.number for entry in kept[:-3:-1]] and len(latest) == 2
        assert [entry.number for entry in afterwards.latest_complaints(book, 1)] == latest[:1]
    code, out, _ = said(capsys, place, "outcome", "1", "slipped", "--torque", "430 Nm", "--torque-at", "wheels")
    assert heard(place).last.body["cause"] == "demand_above_stated"
    new = json.loads(said(capsys, place, "complaint", "1", "drags", "--new", "--json")[1])
    assert set(new["told"]) == {"complaint"}


def test_the_decision_that_was_told_stays_the_standing_one(capsys, place):
    with books.Casebook(place, write=False) as book:
        before = book.standing(1)[1].digest
    said(capsys, place, "complaint", "1", "slips", "--page")
    with books.Casebook(place, write=False) as book:
        assert book.standing(1)[1].digest == before
    assert said(capsys, place, "replay", "1")[0] == 0


def test_the_page_to_ask_with_is_one_page(capsys, place):
    _, out, _ = said(capsys, place, "due", "--sheet", "1")
    assert KIT in out
    assert len(out.splitlines()) < 60


def test_entries_of_every_kind_have_a_shape_and_are_known():
    for kind in afterwards.KINDS:
        assert kind in shape.BODIES
        assert not shape.BODIES[kind]({"anything": 1})


def test_import_takes_them_over(capsys, place, tmp_path):
    said(capsys, place, "complaint", "1", "slips", "--page")
    said(capsys, place, "asked", "1", "--due", "bedded")
    said(capsys, place, "outcome", "1", "held")
    other = tmp_path / "other.sqlite"
    assert said(capsys, other, "import", str(place))[0] == 0
    with books.Casebook(other, write=False) as book:
        kinds = [entry.kind for entry in book.history(1)]
        assert {"complaint", "asking", "outcome"} <= set(kinds)
        (found,) = afterwards.every_aftermath(book)
        assert found.last.body["result"] == "held"
    assert said(capsys, other, "check")[0] == 0
