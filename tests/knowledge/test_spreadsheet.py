"""Kits from a spreadsheet: the same records as from YAML, every bad row with its line, none lost."""

import csv
import io

import pytest
from hypothesis import given, settings, strategies as st

from advisor.cli import main
from advisor.errors import AdvisorError, ErrorList, InputError, StoreError
from advisor.knowledge import load, spreadsheet, strict_yaml
from tests.conftest import ROOT

HEADER = (
    "id;Title;fits;factory;discs;facing;form of the disc;disc diameter [mm];inner diameter of the facing;hub;"
    "cushion travel of a disc;action;Clamp Load (N);spline;price;sold_as;currency\n"
)
GOOD = (
    "new-240-a;New 240;bramble-20t;no;1;organic;full_face;240;160 mm;sprung;0.8 mm;push;7000;23 x 26 mm;300;kit;EUR\n"
)


def written(tmp_path, text, name="kits.csv"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def flat(plain, prefix=""):
    for key, value in plain.items():
        if isinstance(value, dict):
            yield from flat(value, f"{prefix}{key}.")
        else:
            yield f"{prefix}{key}", "; ".join(value) if isinstance(value, list) else str(value)


def test_the_whole_shop_survives_a_spreadsheet(tmp_path, content):
    """Every shipped kit, YAML to CSV and back, is the same record."""
    rows = []
    for path in sorted((ROOT / "scenarios" / "kits").glob("*.yaml")):
        plain = strict_yaml.load(path, error=InputError, limit=strict_yaml.RECORDS_LIMIT).plain()
        rows += [dict(flat(kit)) for kit in plain["kits"]]
    columns = sorted({name for row in rows for name in row})
    out = io.StringIO()
    writer = csv.DictWriter(out, columns)
    writer.writeheader()
    writer.writerows(rows)
    path = written(tmp_path, out.getvalue())
    assert load.kits(path, content.knowledge) == content.kits
    good, bad = spreadsheet.read_rows(spreadsheet.Sheet(path, content.knowledge))
    assert not bad and len(good) == len(content.kits)
    again = written(tmp_path, spreadsheet.to_yaml([node for _, node in good]), "kits.yaml")
    assert load.kits(again, content.knowledge) == content.kits


def test_units_in_title_or_cell(tmp_path, content):
    (kit,) = load.kits(written(tmp_path, HEADER + GOOD), content.knowledge)
    assert (kit.fields["clamp_load"], kit.fields["outer_diameter"], kit.fields["inner_diameter"]) == (
        7000.0,
        240.0,
        160.0,
    )
    inches = HEADER.replace("[mm]", "[in]") + GOOD.replace(";240;160", ";9.5;160")
    (kit,) = load.kits(written(tmp_path, inches), content.knowledge)
    assert kit.fields["outer_diameter"] == pytest.approx(241.3)


@pytest.mark.parametrize(
    ("row", "line", "column", "words"),
    [
        (GOOD.replace("organic", "orgnic"), 3, 6, ("organic",)),
        (GOOD.replace("0.8 mm", "0,8 mm"), 3, 11, ("0,8", "0.8")),
        (GOOD.replace(";1;", ";one;"), 3, 5, ("whole number",)),
        (GOOD.replace("push", "shove"), 3, 12, ("push",)),
        (GOOD.replace("new-240-a", "New 240"), 3, 1, ("id",)),
        (GOOD.replace(";7000;", ";7000 mm;"), 3, 13, ("N",)),
        (GOOD.replace("240;160 mm", "150;160 mm"), 3, 9, ("inner diameter",)),
        (GOOD.rstrip("\n") + ";extra\n", 3, 1, ("18 cells",)),
        (GOOD, 3, 1, ("stands on line 2 already",)),
        (GOOD.replace("new-240-a", ""), 3, 1, ("id",)),
    ],
)
def test_a_bad_row_is_named_and_the_others_stay(tmp_path, content, row, line, column, words):
    other = row if row == GOOD else row.replace("new-240-a", "new-240-b")
    path = written(tmp_path, HEADER + GOOD + other)
    good, bad = spreadsheet.read_rows(spreadsheet.Sheet(path, content.knowledge))
    assert [number for number, _ in good] == [2] and [number for number, _ in bad] == [line]
    error = bad[0][1][0]
    assert (error.where.line, error.where.column) == (line, column), str(error)
    for word in words:
        assert word in str(error)


def test_lines_count_through_cells_of_several_lines(tmp_path, content):
    text = (
        HEADER.replace(";", ",")
        + GOOD.replace(";", ",").replace("New 240", '"New\n240"')
        + GOOD.replace(";", ",").replace("new-240-a", "new-240-b").replace("organic", "wood")
    )
    _, bad = spreadsheet.read_rows(spreadsheet.Sheet(written(tmp_path, text), content.knowledge))
    assert [line for line, _ in bad][-1] == 4


@pytest.mark.parametrize(
    ("data", "kind", "word"),
    [
        (b"", InputError, "empty"),
        (b"id;price\n", InputError, "no rows"),
        (b"id;pri\xffce\na;1\n", InputError, "UTF-8"),
        (b"id;price\0\na;1\n", InputError, "NUL"),
        (b'id;price\n"a;1\n', InputError, "quotes"),
        (b"id;prce\na;1\n", ErrorList, "price"),
        (b"id;price;Price\na;1;2\n", ErrorList, "same field"),
    ],
)
def test_files_that_cannot_be_read(tmp_path, content, data, kind, word):
    path = tmp_path / "kits.csv"
    path.write_bytes(data)
    with pytest.raises(kind, match=word):
        spreadsheet.root_of(path, content.knowledge)
    with pytest.raises(StoreError):
        spreadsheet.root_of(tmp_path / "none.csv", content.knowledge)


def test_kits_list(capsys):
    assert main(["shop", "kits", "--platform", "sedge-18"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert "Invented" in lines[0] and any(line.startswith("factory-sedge-18") for line in lines)
    assert main(["shop", "kits", "--platform", "sedge"]) == 2


@settings(max_examples=60, derandomize=True, deadline=None, database=None)
@given(st.text(max_size=200))
def test_no_text_ends_in_a_traceback(tmp_path_factory, content, text):
    path = tmp_path_factory.getbasetemp() / "fuzz.csv"
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    try:
        spreadsheet.root_of(path, content.knowledge)
    except AdvisorError as error:
        assert str(error)
