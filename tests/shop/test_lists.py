"""Twelve suppliers' lists of the same kits: all rows read, or refused with everything that is wrong."""

import dataclasses

import pytest

from advisor.errors import AdvisorError, InputError
from advisor.knowledge import quantities
from advisor.knowledge.records import record_fields
from advisor.shop import grid, mapping, taking_in
from advisor.shop.listed import read_list
from advisor.shop.numbers_in_columns import mark_of, written
from advisor.shop.trade_columns import folded, trade_words

from . import lists


def read(tmp_path, content, name, body, said):
    path = tmp_path / name
    path.write_bytes(body)
    way = taking_in.with_said(mapping.Mapping("x"), **{"same": lists.SAME, **said})
    cars = {folded(word): car.id for car in content.platforms for word in (car.id, car.fields["title"])}
    return read_list(grid.read(path), "kits", content.knowledge, trade_words(), way, cars, currency="EUR")


@pytest.mark.parametrize("name", lists.TWELVE)
def test_every_row_of_every_shape_is_read(name, tmp_path, content):
    ending, body, said = lists.TWELVE[name]
    found = read(tmp_path, content, f"list{ending}", body, said)
    assert not found.asked and not found.faults, [*found.asked, *map(str, found.faults)]
    known = record_fields("kits", content.knowledge)
    assert {row.id for row in found.rows} == set(lists.KITS)
    for row in found.rows:
        for path, value in lists.KITS[row.id].items():
            if path == "stock" and path not in row.fields:
                assert name.startswith("quoted")  # n/a
                continue
            got = quantities.read_value(known[path], row.fields[path])
            assert got == (pytest.approx(value, rel=2e-6) if isinstance(value, float) else value), (row.id, path)
    assert all("bramble-20t" in row.fields["fits"] for row in found.rows if row.id != "dx-215-1")


def test_what_was_made_of_a_list_is_said(tmp_path, content):
    ending, body, said = lists.TWELVE["german, old encoding, titles, totals"]
    told = " ".join(read(tmp_path, content, f"list{ending}", body, said).said)
    assert "cp125" in told and "semicolon" in told and "3 row" not in told.split("totals")[0].split("above")[0]
    assert "2 rows above the names" in told and "1 row of totals" in told
    assert "in the shop's, EUR" not in told  # the list says so itself


def test_a_number_of_two_readings_is_asked_or_decided_by_the_whole_column(tmp_path, content):
    one = lists.PLAIN.replace("1389.50", "1.389").replace("2450.00", "2.450").replace("389.00", "389")
    found = read(tmp_path, content, "a.csv", one.encode(), {})
    assert len(found.asked) == 1 and "1.389 may be 1.389 or 1389" in found.asked[0]
    assert not any("price" in row.fields for row in found.rows[:2])
    for mark, price in ((".", "1.389"), (",", "1389")):
        found = read(tmp_path, content, "a.csv", one.encode(), {"decimal": {"price": mark}})
        assert str(found.rows[0].fields["price"]) == price and not found.asked
    decided = (
        lists.PLAIN.replace(",", ";")
        .replace("1389.50", "1.389")
        .replace("2450.00", "2.450,00")
        .replace("389.00", "389")
    )
    found = read(tmp_path, content, "a.csv", decided.encode(), {})
    assert str(found.rows[0].fields["price"]) == "1389"
    assert any("decimal mark is a comma: 2.450,00 can be nothing else" in said for said in found.said)


def test_a_column_that_mixes_marks_is_refused(tmp_path, content):
    mixed = lists.PLAIN.replace(",", ";").replace("2450.00", "2450,75")
    found = read(tmp_path, content, "a.csv", mixed.encode(), {})
    assert found.faults and all("decimal mark" in str(fault) for fault in found.faults)


def test_all_faults_of_all_rows_are_told_with_place_values_and_remedy(tmp_path, content):
    bad = (
        lists.PLAIN.replace("organic", "wood")
        .replace("pull", "shove")
        .replace("12250", "heavy")
        .replace("215,145", "145,215")
    )
    bad += "dx-240-4,again,bramble-20t,1,organic,full_face,sprung,push,240 kg,160,7700,-5,3\n"
    found = read(tmp_path, content, "a.csv", bad.encode(), {})
    told = {(fault.where.line, fault.where.column): fault for fault in found.faults}
    assert {2, 3, 4, 5} == found.bad_rows and not found.rows
    assert "organic, aramid" in told[2, 5].remedy and "(facing)" in told[2, 5].what
    assert "push, pull" in told[3, 8].remedy and "heavy" in told[3, 11].what and "inner diameter" in str(told[4, 1])
    assert (5, 9) in told and (5, 12) in told and "row 2 already" in told[5, 1].what
    assert all(fault.remedy for fault in found.faults)


def test_a_column_that_is_only_near_is_asked_and_then_remembered(tmp_path, content):
    near = lists.PLAIN.replace("clamp load [N]", "clamp lod [N]").replace("stock", "shelf zone")
    found = read(tmp_path, content, "a.csv", near.encode(), {})
    assert any("(clamp lod [N]): is it clamp_load?" in one for one in found.asked)
    assert any("(shelf zone): what is it?" in one for one in found.asked)
    said = {"columns": {"clamp lod [N]": "clamp_load"}, "left_out": ["shelf zone"]}
    found = read(tmp_path, content, "a.csv", near.encode(), said)
    assert not found.asked and len(found.rows) == 3
    way = dataclasses.replace(
        taking_in.with_said(mapping.Mapping("x"), **said), only={"A b": ("c",)}, values={"facing": {"XC": "ceramic"}}
    )
    path = tmp_path / "x.toml"
    path.write_text(way.text(), encoding="utf-8")
    assert mapping.read(path, "x") == way


def test_a_number_without_a_unit_is_not_guessed(tmp_path, content):
    found = read(tmp_path, content, "a.csv", lists.PLAIN.replace("clamp load [N]", "clamp load").encode(), {})
    assert len(found.faults) == 3 and all('--unit "clamp load=N"' in fault.remedy for fault in found.faults)
    said = {"units": {"clamp load": "kgf"}}
    found = read(
        tmp_path,
        content,
        "a.csv",
        lists.PLAIN.replace("clamp load [N]", "clamp load").replace("12250", "3000").encode(),
        said,
    )
    assert [str(fault) for fault in found.faults if "sane range" in str(fault)]  # 7,700 kgf is no clutch


@pytest.mark.parametrize(
    "text, readings",
    [
        ("1.389", {".": "1.389", ",": "1389"}),
        ("1,389", {".": "1389", ",": "1.389"}),
        ("1.389,50", {",": "1389.50"}),
        ("1'389.50", {".": "1389.50"}),
        ("1 389", {".": "1389", ",": "1389"}),
        ("12.5", {".": "12.5"}),
        ("0.389", {".": "0.389"}),
        ("1.38.9", {}),
        ("1,389.5.1", {}),
        ("12,34,567", {}),
        ("-5", {".": "-5", ",": "-5"}),
    ],
)
def test_readings_of_a_number(text, readings):
    found = written(grid.Cell(text))
    assert (found.readings if found else {}) == readings


def test_an_exact_number_of_a_workbook_has_one_reading():
    assert mark_of([grid.Cell("1.389", exact=True)]) == mark_of([])


@pytest.mark.parametrize("text", ["", "Hello", "a;b\n1;2\n", "x" * 5000, "id\n\n\n", '"', "\x00\x01"])
def test_what_is_no_list_is_refused(tmp_path, content, text):
    with pytest.raises(AdvisorError):
        read(tmp_path, content, "a.csv", text.encode(), {})


def test_no_name_of_a_supplier_leaves_its_folder(tmp_path):
    for name in ("../x", "A", "", "a/b", "a\n"):
        with pytest.raises(InputError):
            mapping.place(tmp_path, name)
