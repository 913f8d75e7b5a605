"""Units, paper and the language of numbers of a shop: everywhere on what is shown, nowhere in what is kept."""

import csv
import io
import re
import shutil

import pytest

from advisor.cli import main
from advisor.deciding.advise import advise
from advisor.explaining.card import card
from advisor.knowledge import load
from advisor.knowledge.shop import NUMBERS
from advisor.knowledge.sources import Sources, demonstration, read
from advisor.knowledge.wording import money_text, written
from advisor.reporting.screens.screen import screen
from advisor.reporting.sheets.sheet import sheet
from tests.callers import plain_decider_of
from tests.conftest import ROOT

CASE = ROOT / "scenarios/cases/mild-street-tune.yaml"
#: A number with decimals after a point, which is no part of an id or a version.
POINT = re.compile(r"(?<![\w.])[0-9]+\.[0-9]+(?![\w.]*\.)(?![0-9-])")


@pytest.fixture(scope="module")
def abroad(tmp_path_factory):
    """The demonstration as a shop that writes German numbers, works in trade units and prints on letter."""
    folder = tmp_path_factory.mktemp("abroad")
    for part in ("kits", "platforms", "parts"):
        shutil.copytree(demonstration() / part, folder / part)
    text = (demonstration() / "shop.toml").read_text(encoding="utf-8")
    for name, value in (("numbers", "de"), ("units", "trade"), ("paper", "letter")):
        text = re.sub(rf"(?m)^{name} = \S+", f'{name} = "{value}"', text)
    (folder / "shop.toml").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def decided(abroad):
    """(decider, record) of the shipped case in that shop."""
    decider = plain_decider_of(read(Sources.chosen(abroad), cache=False))
    return decider, advise(decider, load.case(CASE, decider.knowledge))


def test_marks_are_those_of_the_language():
    """Separators of the Unicode CLDR's numbers (root, de, fr, de-CH), as tables of languages print them."""
    assert money_text(1722.0, "EUR") == "1,722.00 EUR" and money_text(1722.0, "EUR", "de") == "1.722,00 EUR"
    assert money_text(1234567.5, "CHF", "de-CH") == "1’234’567.50 CHF"
    assert money_text(1722.0, "EUR", "fr") == "1\u202f722,00 EUR"
    assert all(written("0.35 mm", name) == f"0{mark}35 mm" for name, (mark, _) in NUMBERS.items())


def test_what_is_kept_is_the_same_in_every_language(decided, content):
    decider, record = decided
    here = plain_decider_of(content)
    data = [advise(here, load.case(CASE, here.knowledge)).data, record.data]
    # Only whose shop it is differs: `shop.toml` has a digest of its own.
    assert data[0]["knowledge"].pop("shop_sha256") != data[1]["knowledge"].pop("shop_sha256")
    assert data[0] == data[1]
    assert decider.shop.about.decimal_mark == ","


def test_card_screen_and_sheets_write_one_mark(decided):
    """No number with a decimal point is left but in titles, ids and sums worked step by step."""
    decider, record = decided
    wording = decider.shop.wording(decider.knowledge, "trade")
    titles = sorted(
        {str(one.fields["title"]) for one in (*decider.shop.kits, *decider.shop.platforms, *decider.shop.parts)}
    )
    texts = {
        "card": card(record, wording, 2000),
        "screen": screen(record, wording, 2000),
        **{reader: sheet(record, wording, reader, width=2000) for reader in ("customer", "fitter")},
    }
    for name, text in texts.items():
        assert "319,00 EUR" in text or name == "fitter", name
        for title in titles:
            text = text.replace(title, "")
        left = [text[max(0, match.start() - 40) : match.end() + 20] for match in POINT.finditer(text)]
        assert not left, (name, left)
    # A caution that was kept in N m is told in the shop's units.
    assert "370 N m" in str(record.data["cautions"]) and "lb-ft" in texts["card"] and "N m" not in texts["card"]


def test_options_left_open_are_the_shops(abroad, tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert main(["shop", "kits", "--shop", str(abroad)]) == 0
    line = next(line for line in capsys.readouterr().out.splitlines() if line.startswith("pellworth-240-s1"))
    assert line.endswith("1731 lbf, 319,00 EUR"), line
    assert main(["shop", "kits", "--shop", str(abroad), "--units", "si"]) == 0
    assert "7700 N, 319,00 EUR" in capsys.readouterr().out
    for paper, option in (("letter", []), ("A4", ["--paper", "a4"])):
        out = tmp_path / f"{paper}.html"
        asked = ["sheet", str(CASE), "--for", "customer", "--format", "html", "--out", str(out), "--shop", str(abroad)]
        assert main([*asked, *option]) == 0
        assert f"@page {{ size: {paper} }}" in out.read_text(encoding="utf-8")


def test_a_table_of_cases_is_written_for_the_shops_spreadsheet(abroad, tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    own = ["--casebook", str(tmp_path / "book.sqlite")]
    assert main(["recommend", str(CASE), "--save", "--shop", str(abroad), *own]) == 0
    tables = {}
    for mark, shop in ((",", ["--shop", str(abroad)]), (".", ["--shop", str(demonstration())])):
        capsys.readouterr()
        assert main(["case", "export", *own, *shop]) == 0
        text = capsys.readouterr().out
        (row,) = csv.DictReader(io.StringIO(text), delimiter=";" if mark == "," else ",")
        tables[mark] = row
    assert tables[","]["total_price"] == "319,0" and tables["."]["total_price"] == "319.0"
    assert {name: value.replace(",", ".") for name, value in tables[","].items()} == {
        name: value.replace(",", ".") for name, value in tables["."].items()
    }
    assert main(["case", "list", *own, "--shop", str(abroad)]) == 0
    assert "319,00 EUR" in capsys.readouterr().out
