"""Whom to ring: found by the batch, told by both engines, with people only for whoever asks for them."""

import csv
import dataclasses
import io

import pytest

from advisor.casebook import attributing, impact, impact_work
from advisor.casebook.book import Casebook
from advisor.casebook.kept_files import Files
from advisor.casebook.sales import sell, take_back
from advisor.errors import InputError
from advisor.knowledge import load
from advisor.versions import calls, withdrawn
from tests.casebook import shelf
from tests.casebook.impacts import STREET

THRUST = "case/thrust.yaml"
#: No release bearing on file pulls less than this in the case that was sold.
LOWER = ("at_most: thrust_load_limit}, level: must, safety: yes}", "at_most: 1500 N}, level: must, safety: yes}")


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    """Three callers of the same case: one bought what was advised, one did not, one brought it back."""
    folder = tmp_path_factory.mktemp("calls")
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("XDG_DATA_HOME", str(folder / "data"))
        patched.setenv("XDG_CACHE_HOME", str(shelf.cache()))
        with Casebook(folder / "book.sqlite") as opened:
            for name in ("Somebody Invented", "Another Invented", "A Third Invented"):
                shelf.save(opened, STREET, name=name, phone="000 111")
            for number in (1, 3):
                sell(opened, number, shelf.record(STREET).pick_id, on="2026-11-02")
            take_back(opened, 3, on="2026-11-05", reason="judders")
            yield opened


@pytest.fixture(scope="module")
def lower(tmp_path_factory):
    """(Knowledge, Files) of rules with a lower limit on the thrust face, and a factor that moves the pick."""
    import shutil

    folder = tmp_path_factory.mktemp("lower") / "rules"
    shutil.copytree(shelf.folder() / "rules", folder)
    for name, before, after in ((THRUST, *LOWER), ("case/demand.yaml", " 1.15]", " 1.32]")):
        text = (folder / name).read_text()
        assert before in text
        (folder / name).write_text(text.replace(before, after, 1))
    return load.knowledge(folder), Files.of(shelf.sources(rules=folder))


@pytest.fixture(scope="module")
def results(book, lower):
    """(results to ring, those that come out otherwise, what accounts for each) of one run."""
    knowledge, files = lower
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("XDG_CACHE_HOME", str(shelf.cache()))
        found = impact.run(book, knowledge, files, processes=1, fresh=True)
        ring, others = list(found.state.to_ring()), list(found.state.results(calls.OTHERWISE))
        found.state.close()
        with impact_work.Worker(book.store.place, knowledge) as worker:
            attributed = attributing.attribute(worker, others)
    return ring, others, attributed


def lists(book, results, people=False):
    return calls.of_impact(book, *results, people=people)


def test_the_buyer_comes_first_with_the_day_and_what_to_say(book, results):
    made = lists(book, results)
    (call,) = made.ring
    assert (call.case, call.on, call.known, call.name, call.phone) == (1, "2026-11-02", False, None, None)
    assert call.reasons == ("Load at the release bearing: at most 1500 N is accepted, this kit has 2230 N",)
    assert call.say.startswith("On 2 November 2026 we sold you the ") and "2230 N" in call.say
    # What came back is not rung about; its caller, like the one who has not bought, would be told something else.
    other, third = made.otherwise
    assert third.case == 3 and not third.sold
    assert (other.case, other.sold, other.was) == (2, False, shelf.record(STREET).pick_id)
    assert other.why == "by rule thrust-load-known alone"


def test_names_and_numbers_only_for_whoever_asks_and_not_once_they_are_erased(book, results):
    without = calls.csv_text(lists(book, results), people=False)
    assert "Invented" not in without.replace("invented", "") and "000 111" not in without
    made = lists(book, results, people=True)
    (row, other, _) = csv.DictReader(io.StringIO(calls.csv_text(made, people=True)))
    assert (row["list"], row["name"], row["phone"]) == ("ring", "Somebody Invented", "000 111")
    assert (other["list"], other["name"]) == ("told, now otherwise", "Another Invented")
    assert set(csv.DictReader(io.StringIO(without)).fieldnames) == set(calls.COLUMNS) - {"name", "phone"}
    book.forget(3)
    made = lists(book, results, people=True)
    assert (made.otherwise[1].name, made.otherwise[1].phone) == (calls.NOT_THERE, calls.NOT_THERE)


def test_the_sheet_holds_both_lists(book, results):
    from advisor.reporting.sheets.text import text
    from advisor.versions.call_sheet import call_sheet

    made = lists(book, results, people=True)
    page = " ".join(text(call_sheet(made, "draft x", people=True), 80).split())
    assert "Somebody Invented" in page and "destroy it after" in page and "To ring first, for safety: 1" in page
    bare = text(call_sheet(lists(book, results), "draft x", people=False), 80)
    assert "Somebody" not in bare


def test_a_kit_that_its_maker_withdraws_is_rung_about_by_the_same_list(book):
    kit = shelf.record(STREET).pick_id
    made = withdrawn.lists(book, kit, people=True)
    (call,), (other, _) = made.ring, made.otherwise
    assert (call.case, call.on, call.name) == (1, "2026-11-02", "Somebody Invented")
    assert "Its maker has withdrawn it" in call.say
    without = dataclasses.replace(shelf.content(), kits=tuple(each for each in shelf.content().kits if each.id != kit))
    from tests.callers import plain_decider_of

    decision = plain_decider_of(without).decide(shelf.cases()[STREET])
    assert call.becomes == other.becomes == decision.kits.ids[decision.pick] != kit
    with pytest.raises(InputError, match=r"nobody was sold or advised"):
        withdrawn.lists(book, "pellworth-240-s9")
