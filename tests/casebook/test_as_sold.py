"""What was told and sold stands, whatever is read off the car later; any state of a case can be seen again; sums on the
lead's page can be redone; a stored case is explained by its number."""

import json
import re

import pytest

from advisor.casebook import sales
from advisor.casebook.book import Casebook
from advisor.casebook.replay import take_readings
from advisor.cli import main

from . import shelf

NAME = "mild-street-tune"


def _sold_and_read(book):
    shelf.save(book, NAME)
    sales.sell(book, 1, shelf.record(NAME).pick_id)
    take_readings(book, 1, ["engine_torque=430 Nm"], by="bay three")


@pytest.fixture
def read(tmp_path, capsys):
    """read(*arguments) -> (exit code, text in one line) of ``advisor case`` on a case sold, then read off otherwise."""
    path = str(shelf.filled(tmp_path / "casebook.sqlite", _sold_and_read))
    with Casebook(path, write=False) as book:
        record = book.record(book.standing(1)[1])
    assert record.pick_id != shelf.record(NAME).pick_id

    def run(*arguments):
        code = main(["case", *arguments, "--casebook", path])
        return code, " ".join(capsys.readouterr().out.split())

    run.path, run.sold, run.now = path, shelf.record(NAME).pick_id, record.pick_id
    return run


def test_every_page_says_the_kit_sold(read):
    for action in ("show", "audit"):
        code, text = read(action, "1")
        assert code == 0 and f"({read.sold}), as advised." in text
        assert text.index("As sold") < text.index("With the readings")
    listed = read("list")[1]
    assert f"{NAME}: {read.sold} (with the readings {read.now})" in listed and "sold" in listed
    row = json.loads(read("list", "--json")[1])
    assert (row["pick"], row["pick_with_readings"], row["sold"]) == (read.sold, read.now, read.sold)
    # The part as sold judges by what was known then; the sold kit is not listed as failed there.
    text = read("audit", "1")[1]
    first = text[text.index("As sold") : text.index("With the readings")]
    assert f"{read.sold}: failed" not in first and "430 N m (measured" not in first
    assert "430 N m" in text[text.index("With the readings") :]


def test_any_state_is_seen_again(read):
    with Casebook(read.path, write=False) as book:
        history = book.history(1)
    by_kind = {entry.kind: entry.number for entry in history}
    sold = by_kind["sale"]
    code, text = read("audit", "1", "--as-of", str(sold))
    assert code == 0 and "With the readings" not in text and "430 N m" not in text
    code, text = read("show", "1", "--as-of", "1")
    assert code == 0 and "Kept, but not decided yet." in text and "Sold on" not in text
    data = json.loads(read("show", "1", "--json", "--as-of", str(sold))[1])
    assert [entry["entry"] for entry in data["history"]] == [entry.number for entry in history if entry.number <= sold]
    with Casebook(read.path) as book:
        shelf.save(book, "answers-missing")
    assert read("show", "2", "--as-of", "1")[0] == 2


def test_a_stored_case_is_explained_by_its_number(read):
    code, text = read("why", "1")
    assert code == 0 and shelf.decider().shop.wording(shelf.decider().knowledge).title(read.sold) in text
    assert read("why-not", "1", read.now)[0] == 0
    code, text = read("what-if", "1", "pedal_tolerance=heavy")
    assert code == 0 and "heavy instead of moderate" in text
    assert read("why", "1", "--kits", str(shelf.ROOT / "scenarios" / "kits"))[0] == 2
    assert read("why", "99")[0] == 2


def test_the_sums_on_page_one_come_out(read):
    """The torque it holds, from the numbers printed; every sum of many cases: tests/explaining/test_worked_sums.py."""
    with Casebook(read.path, write=False) as book:
        record = book.record(book.told(1))
    from advisor.explaining.deciding_sums import BETWEEN, SHOWN, deciding_sums_lines
    from advisor.explaining.worded import WordedRecord

    worded = WordedRecord(record, shelf.decider().shop.wording(shelf.decider().knowledge))
    lines = deciding_sums_lines(worded, 10_000)
    heads = [line for line in lines if re.match(r"  \S", line) and line.strip() != BETWEEN]
    figures = [check for check in record.pick.because if record.requirements[check.requirement].source == "figure"]
    assert len(heads) == min(SHOWN, len(figures)) and all("needed" in head for head in heads)
    # The pick's capacity by hand: faces, friction, clamp load and radius as printed.
    put_in = next(line for line in lines if re.match(r" *torque = [\d.]+ \*", line))
    faces, friction, clamp, radius = map(float, re.findall(r"[\d.]+", put_in))
    torque = float(re.search(r"^ *torque = ([\d.]+) N m$", "\n".join(lines), re.M)[1])
    assert faces * friction * clamp * radius == pytest.approx(torque, rel=1e-5)


def test_kits_of_the_car_come_nearest_first_and_the_others_are_one_line(read, capsys):
    main(["case", "audit", "1", "--casebook", read.path, "--as-of", "3"])
    text = capsys.readouterr().out
    kits = shelf.record(NAME).kits.values()
    others = [kit.id for kit in kits if not kit.fits]
    assert text.count("Not for this car by their dimensions: ") == 1 and f"dimensions: {len(others)} kits: " in text
    shown = re.findall(r"^  ([a-z0-9-]+): (?:picked|passes|failed|unjudged)", text, re.M)
    assert sorted(shown) == sorted(kit.id for kit in kits if kit.fits)
    judged = {kit.id: kit for kit in kits}
    places = [judged[kit].place for kit in shown if judged[kit].place is not None]
    misses = [len(judged[kit].refused_by) for kit in shown[len(places) :]]
    assert places == list(range(1, len(places) + 1)) and misses == sorted(misses) and misses[0] >= 1
