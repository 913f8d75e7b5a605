"""A list is looked at, then written as it was seen; what the shop wrote stays; prices are remembered."""

import csv

import pytest

from advisor.cli import main
from advisor.knowledge import shop as shops, sources

from . import lists


@pytest.fixture
def shop(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.setenv(shops.VARIABLE, str(tmp_path / "shop"))
    assert (
        main(["shop", "new", "shop", "--name", "Weir Lane", "--lead", "Ann Invented", "--counter", "Ann Invented"]) == 0
    )
    return tmp_path / "shop"


def look(capsys, text, *options, code=0):
    """(mark, what was said, what was complained of) of a look at a list."""
    with open("dunmere.csv", "w", encoding="utf-8") as file:
        file.write(text)
    same = [part for path, value in lists.SAME.items() for part in ("--same", f"{path}={value}")]
    capsys.readouterr()
    assert main(["shop", "import", "kits", "dunmere.csv", *same, *options]) == code
    told = capsys.readouterr()
    return told.out.rpartition("--write ")[2].strip() if "--write" in told.out else "", told.out, told.err


def write(capsys, text, *options):
    mark, _, _ = look(capsys, text, *options)
    return look(capsys, text, *options, "--write", mark)


def kits(shop):
    return {kit.id: kit.fields for kit in sources.read(sources.Sources.chosen(shop)).kits}


def test_nothing_is_written_before_it_was_seen(shop, capsys):
    mark, out, _ = look(capsys, lists.PLAIN)
    assert "3 new, 0 changed, 0 the same, 0 gone" in out and not list((shop / "kits").iterdir())
    look(capsys, lists.PLAIN, "--write", "00000000", code=2)
    look(capsys, lists.PLAIN.replace("389.00", "390.00"), "--write", mark, code=2)
    assert not list((shop / "kits").iterdir())
    look(capsys, lists.PLAIN, "--write", mark)
    assert kits(shop)["dx-240-4"]["clamp_load"] == 7700.0 and kits(shop)["dx-240-4"]["currency"] == "EUR"
    _, out, _ = look(capsys, lists.PLAIN)
    assert "0 new, 0 changed, 3 the same, 0 gone" in out and "nothing to write" in out


def test_the_next_list_changes_what_changed_and_no_more(shop, capsys):
    write(capsys, lists.PLAIN)
    own = shop / "kits/dunmere.yaml"
    own.write_text(own.read_text().replace("clamp_load: 6100 N", "clamp_load: 6180 N"))  # the shop measured it
    second = lists.PLAIN.replace("389.00", "399.00").replace("6100", "6150").replace("1389.50", "1449.00")
    second = "\n".join(line for line in second.splitlines() if "dx-240-5" not in line) + "\n"
    second += "dx-228-1,DX 228 single,sedge-18,1,organic,full_face,sprung,push,228,150,6500,299.00,1\n"
    _, out, _ = look(capsys, second)
    assert "1 new, 2 changed, 0 the same, 1 gone" in out
    assert "dx-215-1: price 389 -> 399" in out and "dx-240-5" in out.partition("gone (kept")[2]
    assert "dx-215-1: clamp_load is 6180 N, the list says 6150 N" in out
    write(capsys, second)
    found = kits(shop)
    assert found["dx-215-1"]["clamp_load"] == 6180.0 and found["dx-215-1"]["price"] == 399.0
    assert found["dx-240-5"]["discontinued"] is True and found["dx-240-5"]["stock"] == 0.0
    with open(shop / "imports/prices.csv", encoding="utf-8") as file:
        prices = list(csv.DictReader(file))
    told = [(one["id"], one["before"], one["after"]) for one in prices]
    assert ("dx-240-4", "", "1389.50") in told and ("dx-240-4", "1389.50", "1449") in told and len(told) == 6
    _, out, _ = look(capsys, second)
    assert "clamp_load is 6180 N" in out and "nothing to write" in out


def test_what_is_said_once_is_not_asked_again(shop, capsys):
    odd = lists.PLAIN.replace("clamp load [N]", "squeeze [N]").replace(",stock", ",shelf zone")
    _, out, err = look(capsys, odd, code=2)
    assert "(squeeze [N]): what is it?" in out
    assert err == "advisor: the list is not taken: 2 things are to be said first.\n"
    _, out, _ = look(capsys, odd, "--column", "squeeze [N]=clamp_load", "--leave-out", "shelf zone")
    assert "Kept for the next list of dunmere" in out
    _, out, _ = look(capsys, odd)
    assert "3 new" in out and "Kept" not in out


def test_bad_rows_are_told_and_the_good_ones_can_be_taken(shop, capsys):
    bad = lists.PLAIN.replace("aramid", "wood")
    mark, out, err = look(capsys, bad, code=2)
    assert "2 rows read, 1 not" in out and "dunmere.csv:4:5" in err and "organic, aramid" in err
    look(capsys, bad, "--write", mark, code=2)
    assert set(kits(shop)) == {"dx-240-4", "dx-240-5"}
    # Of a list with bad rows nothing is gone.
    _, out, _ = look(capsys, bad.replace("dx-240-4,", "dx-240-4,").replace("dx-240-5", "dx-240-9"), code=2)
    assert "0 gone" in out


def test_another_suppliers_record_is_not_overwritten(shop, capsys):
    write(capsys, lists.PLAIN)
    _, _, err = look(capsys, lists.PLAIN, "--supplier", "other", code=2)
    assert "dx-240-4 is on file in" in err and "not this supplier's" in err


def test_a_part_of_a_list_makes_nothing_gone(shop, capsys):
    write(capsys, lists.PLAIN)
    _, out, _ = look(capsys, "\n".join(lists.PLAIN.splitlines()[:2]) + "\n", "--part")
    assert "0 gone" in out


def test_a_shop_is_set_up_once_and_looked_through(shop, capsys):
    assert main(["shop", "new", "shop", "--name", "Again"]) == 2
    assert main(["shop", "new", "other", "--name", "A", "--currency", "euros"]) == 2
    capsys.readouterr()
    assert main(["shop", "check"]) == 0
    out = capsys.readouterr().out
    assert "Weir Lane, shipped rules" in out and "there is none: nothing can be sold" in out
    write(capsys, lists.PLAIN)
    capsys.readouterr()
    assert main(["shop", "check"]) == 0
    out = capsys.readouterr().out
    assert "fits bramble-20t, which is no platform on file" in out and "dx-240-4 lacks bolt_pattern" in out
    (shop / "kits/bad.yaml").write_text("kits:\n  - id: X\n")
    assert main(["shop", "check"]) == 2


def test_no_list_goes_into_the_demonstration(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.delenv(shops.VARIABLE, raising=False)
    (tmp_path / "a.csv").write_text(lists.PLAIN)
    assert main(["shop", "import", "kits", "a.csv"]) == 2
    assert "no shop to take the list into" in capsys.readouterr().err


@pytest.mark.parametrize(
    "text",
    [
        "only = 5",
        "[only]\na = 5",
        '[only]\na = "x"',
        '[values]\na = "x"',
        "[values.a]\nx = 3",
        '[decimal]\n"" = ";"',
        '[scale]\nprice = "abc"',
        '[columns]\na = ["id"]',
        "left_out = [3]",
        "other = 1",
    ],
)
def test_a_mapping_spoilt_by_hand_is_one_clear_error(shop, capsys, text):
    (shop / "imports").mkdir(exist_ok=True)
    (shop / "imports/dunmere.toml").write_text(text + "\n")
    _, out, err = look(capsys, lists.PLAIN, code=2)
    assert out == "" and len(err.splitlines()) == 1
    assert "dunmere.toml" in err and "is not written as a mapping needs it" in err


def test_what_is_no_decimal_mark_is_refused(shop, capsys):
    _, _, err = look(capsys, lists.PLAIN, "--decimal", "price=;", code=2)
    assert "';' is no decimal mark" in err and not (shop / "imports/dunmere.toml").exists()


def test_a_file_that_was_written_says_by_what(shop, capsys):
    write(capsys, lists.PLAIN)
    assert (shop / "kits/dunmere.yaml").read_text().startswith("# Written by: advisor shop import kits, from lists")
