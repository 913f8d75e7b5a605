"""What came of an advice is written down beside it: sold, fitted, come back, corrected; the decision stands."""

import datetime
import json

import pytest

from advisor.casebook import sales
from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.casebook.importing import take_over
from advisor.cli import main
from advisor.errors import InputError

from . import shelf

TODAY = datetime.date.today().isoformat()
PICK = "pellworth-240-s1"
OTHER = "orrin-240-s2"


def _two_cases(book):
    shelf.save(book, "mild-street-tune", by="counter two", name="Ada Caller", phone="0151 23456789")
    shelf.save(book, "nothing-fits")


@pytest.fixture
def book(tmp_path):
    """An open casebook with one case that got a kit and one that got none."""
    with Casebook(shelf.filled(tmp_path / "casebook.sqlite", _two_cases)) as opened:
        yield opened


@pytest.fixture
def run(tmp_path, capsys, book):
    """run(*arguments) -> (exit code, output, errors) of ``advisor case`` on that casebook."""

    def running(action, *arguments):
        code = main(["case", action, *arguments, "--casebook", str(tmp_path / "casebook.sqlite")])
        told = capsys.readouterr()
        return code, told.out, told.err

    return running


def sound(book):
    """Whether the file is without a fault."""
    return check_file(book.store.place)[0] == []


def test_the_pick_is_sold_fitted_and_comes_back_each_as_an_entry(book):
    before = book.history(1)
    entry = sales.sell(book, 1, PICK, on="2026-10-02", by="counter two")
    assert entry.body["as_advised"] and entry.body["decision"] == before[-1].digest
    sales.fit(book, 1, on="2026-10-09", km="84000", fitter="professional", who="Hill Road Garage")
    sales.take_back(book, 1, on="2026-11-20", km="85200 km", reason="judders when warm")
    sale = book.sale(1)
    assert (sale.kit, sale.on, sale.as_advised) == (PICK, "2026-10-02", True)
    assert (sale.fitting.body["km"], sale.fitting.body["fitter"]) == (84000, "professional")
    assert (sale.returned.body["km"], sale.returned.body["on"]) == (85200, "2026-11-20")
    assert book.history(1)[: len(before)] == before and book.standing(1)[1] == before[-1]
    assert sound(book)


def test_another_kit_than_the_pick_needs_a_reason_and_a_kit_on_file(book):
    with pytest.raises(InputError, match="--reason"):
        sales.sell(book, 1, OTHER)
    with pytest.raises(InputError, match="Did you mean orrin-240-s2"):
        sales.sell(book, 1, "orrin-240-s22", reason="wants it")
    with pytest.raises(InputError, match="no kit fits"):
        sales.sell(book, 2, OTHER)
    entry = sales.sell(book, 1, OTHER, reason="wants room for later")
    assert not entry.body["as_advised"]
    assert book.private_of(1)[entry.number] == {"reason": "wants room for later"}
    assert sound(book)


def test_what_was_written_down_wrongly_is_corrected_by_a_later_entry(book):
    first = sales.sell(book, 1, PICK, on="2026-10-02")
    sales.fit(book, 1, on="2026-10-09", km="84000")
    with pytest.raises(InputError, match="as sold on 2026-10-02"):
        sales.sell(book, 1, OTHER)
    second = sales.sell(book, 1, OTHER, reason="the other box was taken from the shelf", on="2026-10-02")
    assert second.body["corrects"] == first.number
    third = sales.fit(book, 1, on="2026-10-09", km="48000")
    found = sales.sales_of(book.history(1))
    assert [(sale.kit, sale.fitting.body["km"]) for sale in found] == [(OTHER, 48000)]
    assert found[0].fitting == third
    sales.withdraw(book, 1, "fitting", reason="another car")
    assert book.sale(1).fitting is None
    sales.withdraw(book, 1, "sale", reason="he never came")
    assert book.sale(1) is None and sound(book)
    with pytest.raises(InputError, match="nothing was sold"):
        sales.fit(book, 1)


def test_after_a_return_the_next_sale_is_another_one(book):
    sales.sell(book, 1, PICK, on="2026-10-02")
    sales.take_back(book, 1, on="2026-10-20", reason="too weak for the trailer")
    sales.sell(book, 1, OTHER, reason="one step up", on="2026-10-21")
    assert [(sale.kit, sale.returned is None) for sale in sales.sales_of(book.history(1))] == [
        (PICK, False),
        (OTHER, True),
    ]


@pytest.mark.parametrize(
    ("action", "message"),
    [
        (lambda book: sales.fit(book, 1, on="2026-09-30"), "sold on 2026-10-02"),
        (lambda book: sales.fit(book, 1, on="2999-01-01"), "still to come"),
        (lambda book: sales.fit(book, 1, on="yesterday"), "not a date"),
        (lambda book: sales.fit(book, 1, km="lots"), "kilometres"),
        (lambda book: sales.fit(book, 1, km="9000000"), "more than a car"),
        (lambda book: sales.fit(book, 1, fitter="robot"), "professional"),
        (lambda book: sales.take_back(book, 1, km="80000", reason="x"), "had 84000 km"),
        (lambda book: sales.take_back(book, 1, reason=""), "--reason"),
        (lambda book: sales.withdraw(book, 1, "return", reason="x"), "no return"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(book, action, message):
    sales.sell(book, 1, PICK, on="2026-10-02")
    sales.fit(book, 1, on="2026-10-09", km="84000")
    count = len(book.history(1))
    with pytest.raises(InputError) as caught:
        action(book)
    assert message in str(caught.value)
    assert len(book.history(1)) == count


def test_a_name_in_a_reason_goes_with_the_caller(book):
    sold = sales.sell(book, 1, OTHER, reason="Ada Caller wants it")
    fitted = sales.fit(book, 1, who="Ada Caller", fitter="first_time")
    book.forget(1)
    held = book.private_of(1)
    assert sold.number not in held and fitted.number not in held
    assert book.sale(1).kit == OTHER and book.sale(1).fitting.body["fitter"] == "first_time"
    assert sound(book)


def test_a_sale_is_taken_over_with_its_case(book, tmp_path):
    sales.sell(book, 1, OTHER, reason="wants it")
    sales.sell(book, 1, PICK, reason="the other was not delivered")
    sales.fit(book, 1, km="84000")
    with Casebook(tmp_path / "other.sqlite") as target:
        shelf.save(target, "nothing-fits")
        take_over(target, book.store.place)
        sale = target.sale(2)
        assert (sale.kit, sale.fitting.body["km"]) == (PICK, 84000)
        assert sound(target)


def test_the_commands_write_it_down_and_the_pages_show_it(run):
    assert run("sold", "1", "--kit", OTHER)[0] == 2
    code, out, err = run("sold", "1", "--kit", OTHER, "--reason", "wants room for later", "--by", "counter two")
    assert (code, err) == (0, "") and out.startswith(f"Case 1: {OTHER} sold on {TODAY}.\nIt is not the kit advised")
    assert (
        "does not meet what this car must have" in run("sold", "1", "--kit", "factory-bramble-20t", "--reason", "x")[1]
    )
    run("fitted", "1", "--km", "84000", "--fitter", "experienced_home", "--who", "Ben Fitter")
    code, out, _ = run("returned", "1", "--km", "84500", "--reason", "slips in fourth")
    assert code == 0 and out == f"Case 1: factory-bramble-20t came back on {TODAY} at 84500 km.\n"
    show = run("show", "1")[1]
    assert f"({OTHER}) on {TODAY}, not what was advised: wants room for later" in " ".join(show.split())
    assert "fitted on" in show and "slips in fourth" in show and "Ben Fitter" not in show
    assert "who has done it before, Ben Fitter" in " ".join(run("show", "1", "--people")[1].split())
    listed = run("list")[1]
    assert f"sold factory-bramble-20t instead {TODAY}, fitted {TODAY}, came back {TODAY}" in listed
    rows = [json.loads(line) for line in run("list", "--json")[1].splitlines()]
    row = next(row for row in rows if row["number"] == 1)
    assert (row["sold"], row["fitted_km"], row["returned_km"]) == ("factory-bramble-20t", 84000, 84500)
    assert run("search", "slips in fourth")[1].startswith("    1")
    assert run("sold", "1", "--withdraw", "--reason", "another case")[0] == 0
    assert "sold" not in run("list")[1]
    assert run("check")[0] == 0


def test_who_may_fit_is_what_the_vocabulary_says():
    assert set(sales.FITTERS) == set(shelf.decider().knowledge.facts["installer"].choices)
