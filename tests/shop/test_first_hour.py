"""Three lists of gap-ridden shops, invented, from an empty folder on: what is asked, what is said, what comes of it."""

import io

import openpyxl
import pytest

from advisor.cli import main
from advisor.commands import shop_new
from advisor.deciding.advise import advise
from advisor.deciding.outcomes import NO_KIT
from advisor.explaining.card import card
from advisor.knowledge import load, shop as shops
from advisor.knowledge.sources import Sources, read
from tests.callers import plain_decider_of
from tests.conftest import ROOT

GERMAN = """Preisliste Kupplungssätze;;;;;;;;;
Stand 01.11.2026;;;;;;;;;
Art.-Nr.;Bezeichnung;Passend für;VK netto €;Anpresskraft (N);Belag;Ø außen mm;Ø innen mm;Anzahl Scheiben;Nabe
K-1001;Kupplungssatz Serie 228;Ginster 1.6;1.089,50;6.350;organisch;228,0;155,0;1;gefedert
K-1002;Kupplungssatz Sport 228;Ginster 1.6;1.389,00;7.900;organisch;228,0;155,0;1;gefedert
;Summe;;2.478,50;;;;;;
"""
BARE = """Our clutches,Retail,Clamp
Standard 240,219,6200 N
Sport 240,339,7800 N
"""
WHOLESALE = [
    ["INVENTED DRIVELINE WHOLESALE"],
    ["valid from", "2026-11-01"],
    [],
    [
        "Part#",
        "Descr.",
        "Appl.",
        "Trade €",
        "RRP €",
        "Clmp Ld kN",
        "Mat'l",
        "OD",
        "ID",
        "Plates",
        "Centre",
        "Mvmt",
        "Qty",
    ],
    ["", "", "", "", "", "", "", "mm", "mm", "", "", "", ""],
    ["IDW-11", "HD single organic", "Rowan 1.8", 188.5, 289, 6.9, "Org", "228", "150", 1, "sprung", "push", 4],
    ["IDW-12", "HD single carbon", "Rowan 1.8", 311, 459, 8.4, "Carbon", "228", "150", 1, "sprung", "push", 0],
    ["IDW-14", "Puck", "Rowan 1.8", 402, 590, 9.2, "6 puck sintered", "228", "150", 1, "rigid", "push", 2],
]


@pytest.fixture
def called(tmp_path, monkeypatch, capsys):
    """Runs a command in a folder of its own, the invented shop in it; gives (code, output, errors)."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")

    def call(*words):
        code = main([*words, "--shop", "s"])
        told = capsys.readouterr()
        return code, told.out, told.err

    assert main(["shop", "new", "s", "--name", "Test Works", "--lead", "Ann Invented", "--numbers", "de"]) == 0
    capsys.readouterr()
    return call


def columns(out):
    """path by heading, as the look says it."""
    lines = out.partition("Columns\n")[2].partition("\n  left out")[0].partition("\nTo be")[0].splitlines()
    return {line[5:43].strip(): line[43:].split(",")[0].strip() for line in lines if line.startswith("  ")}


def test_a_wholesalers_list_with_odd_headings(called, tmp_path):
    book = openpyxl.Workbook()
    for row in WHOLESALE:
        book.active.append(row)
    book.save(tmp_path / "a.xlsx")
    code, out, err = called("shop", "import", "kits", "a.xlsx")
    assert code == 2
    # Two columns mean ID: the one whose unit stands below it is a length.
    found = columns(out)
    assert (found["Part#"], found["ID"], found["OD"]) == ("id", "inner_diameter", "outer_diameter")
    assert (found["Descr."], found["Appl."], found["Clmp Ld kN"]) == ("title", "fits", "clamp_load")
    # What a trade price is nobody knows; the fields that it may be are named, within the width of the screen.
    assert 'column D (Trade €): what is it? Say --column "Trade €=FIELD"' in out
    assert "FIELD is usually one of" in out and all(len(line) <= 80 for line in out.splitlines())
    # What is not understood is answered by an option that is named, not by a file to edit.
    assert '--value "facing:6 puck sintered=..."' in err
    said = ["--leave-out", "Trade €", "--value", "facing:6 puck sintered=sintered_iron"]
    code, out, err = called("shop", "import", "kits", "a.xlsx", *said)
    (fault,) = [line for line in err.splitlines() if "lacks" in line]
    assert "rows 6 to 8: the row lacks disc_form, spline" in fault and '--same "disc_form=full_face|paddle"' in fault
    code, out, err = called(
        "shop", "import", "kits", "a.xlsx", "--same", "disc_form=full_face", "--same", "spline=22 x 24"
    )
    assert code == 0 and "3 new" in out and not err


def test_decimal_commas_are_told_by_the_other_columns_of_the_list(called, tmp_path):
    (tmp_path / "b.csv").write_text(GERMAN, encoding="utf-8")
    _, out, _ = called("shop", "import", "kits", "b.csv", "--column", "VK netto €=price")
    # 6.350 alone may be 6.35; 228,0 beside it can be nothing but a comma.
    assert "In column E (Anpresskraft (N)) the decimal mark is taken for a comma, as in column" in " ".join(out.split())
    assert "asked" not in out and columns(out)["Ø innen mm"] == "inner_diameter"
    same = ["--same", "disc_form=full_face", "--same", "action=push", "--same", "spline=23 x 22"]
    mark = called("shop", "import", "kits", "b.csv", *same)[1].rpartition("--write ")[2].strip()
    assert called("shop", "import", "kits", "b.csv", "--write", mark)[0] == 0
    kits = read(Sources.chosen("s"), cache=False).kits
    assert [(kit.fields["price"], kit.fields["clamp_load"]) for kit in kits] == [(1089.5, 6350.0), (1389.0, 7900.0)]
    # Where only one column is open and nothing else decides, it is asked as before.
    lone = "Art.-Nr.;Bezeichnung;Preis\nK-1;Satz;1.389\nK-2;Satz 2;2.100\n"
    (tmp_path / "lone.csv").write_text(lone, encoding="utf-8")
    assert "no cell of the list decides" in " ".join(called("shop", "import", "kits", "lone.csv")[1].split())


def test_names_prices_and_clamp_loads_alone_say_what_is_lacking(called, tmp_path):
    (tmp_path / "c.csv").write_text(BARE, encoding="utf-8")
    code, out, err = called("shop", "import", "kits", "c.csv")
    # While it is asked which column holds the names no row is said to have none.
    assert code == 2 and "(Our clutches): what is it?" in out and "no number and no name" not in err
    code, out, err = called("shop", "import", "kits", "c.csv", "--column", "Our clutches=title")
    (fault,) = [line for line in err.splitlines() if "lacks" in line]
    assert "rows 2 to 3" in fault and '--same "discs=1|2|3|4"' in fault and '--same "outer_diameter=... mm"' in fault


def test_a_car_that_a_list_calls_otherwise_is_named(called, tmp_path):
    for name in ("cars.csv",):
        (tmp_path / name).write_bytes((ROOT / "scenarios/tutorial" / name).read_bytes())
    mark = called("shop", "import", "platforms", "cars.csv")[1].rpartition("--write ")[2].strip()
    assert called("shop", "import", "platforms", "cars.csv", "--write", mark)[0] == 0
    (tmp_path / "k.csv").write_text("Article,Name,Suitable for,Price\n1,Kit,Rowan 1.8,200\n2,Kit 2,Zorn 9,300\n")
    out = " ".join(called("shop", "import", "kits", "k.csv")[1].split())
    assert "'Rowan 1.8' is no car on file; it is kept as rowan-1-8. For rowan-18 say" in out
    assert "'Zorn 9' is no car on file; it is kept as zorn-9." in out
    out = called("shop", "import", "kits", "k.csv", "--value", "fits:Rowan 1.8=rowan-18")[1]
    assert "'Rowan 1.8'" not in out


def test_a_car_whose_factory_clutch_is_not_on_file_is_decided_with_care(content):
    """As one that names none: the answer is the same, and looking the shop through tells of it."""
    import dataclasses

    case = load.case(ROOT / "scenarios/cases/mild-street-tune.yaml", content.knowledge)
    kits = tuple(kit for kit in content.kits if kit.id != "factory-bramble-20t")
    told = load.check_together(kits, content.platforms)
    assert any("nobody is told that it is enough" in remark.what for remark in told)
    named = advise(plain_decider_of(dataclasses.replace(content, kits=kits)), case)
    silent = tuple(
        dataclasses.replace(car, fields={k: v for k, v in car.fields.items() if k != "stock.clutch"})
        for car in content.platforms
    )
    unnamed = advise(plain_decider_of(dataclasses.replace(content, kits=kits, platforms=silent)), case)
    assert named.outcome == unnamed.outcome and named.pick_id == unnamed.pick_id
    assert [kit.verdict for kit in named.kits.values()] == [kit.verdict for kit in unnamed.kits.values()]


def test_where_no_kit_goes_into_the_car_the_dimension_is_told(content):
    import dataclasses

    case = load.case(ROOT / "scenarios/cases/mild-street-tune.yaml", content.knowledge)
    kits = tuple(dataclasses.replace(kit, fields={**kit.fields, "spline": "99 x 9 mm"}) for kit in content.kits)
    decider = plain_decider_of(dataclasses.replace(content, kits=kits))
    record = advise(decider, case, with_changes=False)
    assert record.outcome == NO_KIT
    text = card(record, decider.shop.wording(decider.knowledge), 2000)
    assert f"refuses all {len(kits)} kits; this car needs" in text


def test_a_wrong_answer_is_asked_again_at_once(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    typed = io.StringIO("Weir\neuros\nEUR\nmuch\n19\n\n\nklingon\nde\n\n\n\n\n")
    typed.isatty = lambda: True
    monkeypatch.setattr("sys.stdin", typed)
    assert main(["shop", "new", "s"]) == 0
    out = capsys.readouterr().out
    assert "currency is 'EUROS'" in out and "'much' is not a number" in out and "'klingon'" in out
    about = shops.read("s")
    assert (about.currency, about.tax.percent, about.numbers) == ("EUR", 19.0, "de")
    assert [name for name, *_ in shop_new.QUESTIONS][:2] == ["name", "currency"]


def test_the_name_of_the_program_alone_says_where_to_begin(capsys):
    assert main([]) == 2
    told = capsys.readouterr().err
    assert "advisor shop tutorial" in told and all(len(line) <= 80 for line in told.splitlines())
    assert main(["shop", "--help"]) == 0
    assert all(len(line) <= 80 for line in capsys.readouterr().out.splitlines())
