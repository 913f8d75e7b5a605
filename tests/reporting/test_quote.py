"""A quote: kept under a number that finds its case, every sum worked out again, only kits that pass every must."""

import json
import re
from decimal import ROUND_HALF_EVEN, Decimal

import pytest

from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.casebook.importing import take_over
from advisor.cli import main
from advisor.explaining.quoting import quoted_kits
from advisor.explaining.worded import WordedRecord
from advisor.knowledge.shop import About, Contact, Tax
from advisor.reporting.sheets.blocks import Number, plain, walk
from advisor.reporting.sheets.page import Page
from advisor.reporting.sheets.quote import quote, quote_data, quote_sheet
from tests import shipped
from tests.casebook import shelf

from . import made

KEPT = {"quote": "A-1", "until": "2026-12-12"}
SHOP = About(
    "Test Street Clutches", tax=Tax("VAT", 19.0), contact=Contact(phone="000 111", email="shop@invented.example")
)
CASES = ("mild-street-tune", "drag-strip-v8", "not-on-file-half", "heavy-trailer", "stock-tired-clutch", "rally-saloon")


def record(name):
    return shipped.record(name)


def worded(name):
    return WordedRecord(record(name), made.words())


def document(name, about=SHOP):
    return quote(Page(record(name), made.words(), guarded=True), about, KEPT, "2026-11-28")


def cents(value):
    return float(Decimal(str(value)).quantize(Decimal("0.01"), ROUND_HALF_EVEN))


def sums(name):
    """(certain, likely, all that may turn up) from the prices on file, each part and each kind of part once."""
    held, seen, out = record(name), set(), []
    total = Decimal(str(made.words().records[held.pick_id].fields["price"]))
    for level, as_a_rule in (("required", False), ("check", True), ("check", False)):
        for part in held.setup.parts:
            if part.level == level and part.likely == as_a_rule and part.kind not in seen and part.part not in seen:
                seen |= {part.kind, part.part or part.kind}
                total += Decimal(str(part.price or 0))
        out.append(float(total))
    return out


def held_at(name, source):
    """What stands at the source of a number, looked up or worked out apart from the program."""
    data, (kind, *path) = made.record(name), source.split("/")
    records, comes_to = made.words().records, dict(zip(("total", "likely", "most"), sums(name)))
    kits = {kit["id"]: kit for kit in data["kits"]}
    if kind == "record":
        for key in path:
            data = data[int(key)] if isinstance(data, list) else data[key]
        return data
    if kind == "fact":
        return next(fact["value"] for fact in data["facts"] if fact["name"] == path[0])
    if kind == "figure":
        return kits[path[0]]["figures"][path[1]]
    if kind == "kit":
        return records[path[0]].fields[path[1]]
    if kind == "sum" and path[0] != "days":
        return comes_to[path[0]]
    if kind in ("tax", "gross"):
        total = Decimal(str(comes_to[path[0]]))
        tax = total * 19 / 119 if kind == "tax" else total * 19 / 100
        return cents(tax) if kind == "tax" else cents(total + Decimal(str(cents(tax))))
    if kind == "total":
        return kits[path[0]]["figures"]["total_price"]
    if kind == "apart":
        return cents(abs(kits[path[0]]["figures"]["total_price"] - comes_to["total"]))
    if kind == "days":
        return records[path[0]].fields["lead_time_days"]
    if kind in ("days-of", "sum"):
        kit = path[0] if kind == "days-of" else data["pick"]["kit"]
        parts = [part["part"] for part in kits[kit]["adds"] if part["part"]]
        return max(
            records[one].fields.get("lead_time_days", 0)
            for one in (kit, *parts)
            if not records[one].fields.get("stock")
        )
    assert source == "shop/tax/percent", source
    return 19.0


@pytest.mark.parametrize("in_prices", [True, False])
@pytest.mark.parametrize("name", CASES)
def test_every_number_of_a_quote_is_on_file_or_a_sum_of_what_is(name, in_prices):
    about = About(SHOP.name, tax=Tax("VAT", 19.0, in_prices), contact=SHOP.contact)
    counted = 0
    for _, piece in walk(document(name, about)):
        if isinstance(piece, Number):
            assert held_at(name, piece.source) == pytest.approx(piece.value, abs=1e-9), piece
            if piece.unit == "EUR":
                assert piece.text == f"{piece.value:,.2f} EUR"
            counted += 1
    assert counted > 8


def test_what_is_certain_comes_to_the_total_of_the_decision():
    for name in CASES:
        total, likely, most = sums(name)
        figures = record(name).picked.figures
        assert (total, likely) == pytest.approx((figures["total_price"], figures["likely_price"]))
        data = quote_data(record(name), made.words(), SHOP, KEPT, "2026-11-28")
        assert data["likely"]["prices"] == pytest.approx(likely)
        assert data["total"]["prices"] == pytest.approx(total) and data["most"]["prices"] == pytest.approx(most)
        ids = [line["id"] for line in (*data["certain"], *data["depends"]) if line["id"]]
        assert len(ids) == len(set(ids)), name


def test_only_kits_that_pass_every_must_are_offered():
    roles = set()
    for name in made.CASES + CASES:
        if made.record(name)["outcome"] != "recommended":
            continue
        held = worded(name)
        offered = quoted_kits(held)
        assert len(offered) <= 4 and len({one.kit for one in offered}) == len(offered)
        for one in offered:
            judged = held.kits[one.kit]
            assert judged.verdict in ("picked", "passes") and not judged.failed and not judged.unknown
            roles.add(one.role)
            if one.role == "gentler":
                assert judged.gentleness < held.kits[held.picked].gentleness and judged.given_up
            if one.role == "at_hand":
                assert one.lines.days == 0 and offered[0].lines.days != 0
    assert {"pick", "gentler", "stronger"} <= roles


def test_the_best_on_the_shelf_is_offered_where_the_pick_must_be_ordered():
    held = made.record("mild-street-tune")
    words = made.words()
    pick = held["pick"]["kit"]
    fields = {**words.records[pick].fields, "stock": 0.0, "lead_time_days": 12.0}

    class Emptied(type(words)):
        pass

    import dataclasses

    other = Emptied(words.knowledge, words.system, words.currency, dict(words.records))
    other.records[pick] = dataclasses.replace(words.records[pick], fields=fields)
    offered = {one.role: one for one in quoted_kits(WordedRecord(held, other))}
    assert offered["pick"].lines.days == 12
    at_hand = offered.get("at_hand") or offered["stronger"]
    assert at_hand.lines.days == 0


def test_a_step_up_that_is_cheaper_is_said_to_be():
    flat = " ".join(quote_sheet(record("drag-strip-v8"), made.words(), SHOP, KEPT, "2026-11-28").split())
    assert "It costs 38.00 EUR less, though it is stronger." in flat


def test_a_budget_is_held_against_what_is_likely_and_the_quote_says_so():
    found = 0
    for path in sorted((made.ROOT / "scenarios" / "cases").glob("*.yaml")):
        if "budget: " not in path.read_text() or re.search(r"budget: unknown", path.read_text()) or found >= 3:
            continue
        if made.record(path.stem)["outcome"] != "recommended":
            continue
        flat = " ".join(plain(piece) for _, piece in walk(document(path.stem)) if isinstance(piece, str) or piece)
        assert "was held against what it likely comes to" in " ".join(flat.split())
        budget = quote_data(record(path.stem), made.words(), SHOP, KEPT, "2026-11-28")["budget"]
        certain, likely, most = sums(path.stem)
        assert certain <= likely <= most and budget["held_against"] == "likely"
        assert budget["enough"] == (likely <= budget["budget"])
        assert (budget["for_certain"], budget["for_most"]) == (certain <= budget["budget"], most <= budget["budget"])
        given_up = {check.requirement for check in record(path.stem).picked.given_up}
        assert ("within-budget" in given_up) == (not budget["enough"])
        found += 1
    assert found


@pytest.fixture
def run(tmp_path, capsysbinary):
    """run(*arguments) -> (exit code, output, errors) of ``advisor quote`` on a casebook of its own with two cases."""
    path = tmp_path / "casebook.sqlite"
    with Casebook(path) as book:
        shelf.save(book, "mild-street-tune")
        shelf.save(book, "nothing-fits")

    def running(*arguments, command="quote"):
        code = main([command, *arguments, "--casebook", str(path)])
        told = capsysbinary.readouterr()
        return code, told.out.decode(), told.err.decode()

    running.path = path
    return running


def test_a_quote_is_kept_and_its_number_finds_the_case_again(run, tmp_path):
    code, out, err = run("1", "--by", "counter two")
    assert (code, err) == (0, "Quote 1-1 of case 1.\n") and "319.00 EUR for certain, likely 379.50 EUR" in " ".join(
        out.split()
    )
    assert run("1-1")[1] == out and run("mild-street-tune")[2] == "Quote 1-2 of case 1.\n"
    code, shown, _ = run("show", "1-1", command="case")
    assert code == 0 and "quoted 1-1" in shown and "quoted 1-2" in shown
    code, data, _ = run("1-2", "--format", "json")
    assert json.loads(data)["quote"] == "1-2" and json.loads(data)["total"]["prices"] == 319.0
    assert run("2")[0] == 4 and run("9")[0] == 2
    assert check_file(run.path)[0] == []
    with Casebook(tmp_path / "other.sqlite") as book:
        shelf.save(book, "nothing-fits")
        take_over(book, run.path)
        assert book.number_of("1-2") == 2
    assert check_file(tmp_path / "other.sqlite")[0] == []


def test_counters_never_share_a_number(run, tmp_path):
    """By the name of the counter, or where none is named by the casebook's own."""
    from advisor.casebook.quotes import keep_quote

    with Casebook(run.path) as book, Casebook(tmp_path / "other.sqlite") as other:
        shelf.save(other, "mild-street-tune")
        lines = quoted_kits(worded("mild-street-tune"))[0].lines
        numbers = [
            keep_quote(held, 1, ["x"], lines, counter=counter, days=14).body["quote"]
            for held in (book, other)
            for counter in ("front desk", "front desk", "Counter 2", "")
        ]
    assert numbers[:3] == ["FRONT-DESK-1", "FRONT-DESK-2", "COUNTER-2-1"]
    assert numbers[3] != numbers[7] and numbers[3].endswith("-1")


def test_a_counter_numbers_on_behind_all_others_and_what_was_taken_over(run, tmp_path, monkeypatch):
    from advisor.casebook import quotes

    monkeypatch.setattr(quotes, "FEW", 1)
    lines = quoted_kits(worded("mild-street-tune"))[0].lines

    def quoted_by(book, counter):
        return quotes.keep_quote(book, 1, ["x"], lines, counter=counter, days=14).body["quote"]

    with Casebook(run.path) as book, Casebook(tmp_path / "other.sqlite") as other:
        shelf.save(other, "mild-street-tune")
        assert [quoted_by(book, "west") for _ in range(3)] == ["WEST-1", "WEST-2", "WEST-3"]
        assert [quoted_by(other, name) for name in ("west", *["east"] * 5, "west")][-1] == "WEST-2"
        take_over(other, run.path)
        assert quoted_by(other, "west") == "WEST-4" and quoted_by(other, "east") == "EAST-6"
        assert quoted_by(book, "west") == "WEST-4"


def test_a_case_file_is_kept_as_a_case_and_quoted(run, tmp_path):
    out = tmp_path / "quote.html"
    code, _, err = run(
        str(made.ROOT / "scenarios/cases/stock-tired-clutch.yaml"), "--format", "html", "--out", str(out)
    )
    assert (code, err) == (0, "Quote 1-1 of case 3.\n")
    assert "<title>Quote 1-1</title>" in out.read_text()
