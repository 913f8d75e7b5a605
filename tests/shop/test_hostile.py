# ruff: noqa: E501
"""Spreadsheets that somebody hostile might send are refused clearly, within limits that hold while reading."""

import io
import time
import tracemalloc
import zipfile

import pytest

from advisor.errors import AdvisorError
from advisor.shop import grid

from . import lists

GOOD = lists.workbook(lists.as_rows(lists.PLAIN))


def repacked(change):
    """The good workbook with members as ``change`` gives them: a mapping of name -> bytes, edited in place."""
    with zipfile.ZipFile(io.BytesIO(GOOD)) as packed:
        members = {name: packed.read(name) for name in packed.namelist()}
    change(members)
    body = io.BytesIO()
    with zipfile.ZipFile(body, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in members.items():
            packed.writestr(name, data)
    return body.getvalue()


SHEET = "xl/worksheets/sheet1.xml"
ROW = '<row r="{0}"><c r="{1}{0}" t="inlineStr"><is><t>{2}</t></is></c></row>'


def sheet(rows):
    """A workbook whose sheet holds these rows of XML."""
    text = '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{}</sheetData></worksheet>'
    return repacked(lambda members: members.__setitem__(SHEET, text.format(rows).encode()))


def bomb():
    return repacked(lambda members: members.__setitem__("xl/media/image1.xml", b"<" + b"0" * (grid.UNPACKED + 1)))


def lying_bomb():
    """As `bomb`, the size stated as one byte."""
    data = bytearray(bomb())
    size = (grid.UNPACKED + 2).to_bytes(4, "little")
    at = data.find(size)
    while at >= 0:
        data[at : at + 4] = (1).to_bytes(4, "little")
        at = data.find(size, at)
    return bytes(data)


ENTITIES = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;&a;">]><worksheet>&b;</worksheet>'
#: Name -> (bytes, or what makes those that take long, a word of the refusal).
HOSTILE = {
    "formulas in text": (b"id,title,price\na,b,=1+1\nc,@SUM(A1),2\n", "formula"),
    "a formula that calls": (b"id,title\na,=HYPERLINK(\"http://x\")\n", "formula"),
    "formulas in a workbook": (lists.workbook([["id", "price"], ["a", "=1+1"], ["b", "=B2*2"]]), "formula"),
    "100,000 columns in text": (b"id," + b"x," * 100_000 + b"\n1,2\n", "columns"),
    "100,000 columns in one later row": (b"id,title\na,b\n" + b"1," * 100_000 + b"1\n", "columns"),
    "a column beyond all": (sheet(ROW.format(1, "XFD", "x")), "columns"),
    "a column no spreadsheet has": (sheet(ROW.format(1, "ZZZZ", "x")), "not a whole XLSX"),
    "a row number of a thousand millions": (sheet(ROW.format(1_000_000_000, "A", "x")), "rows"),
    "a million rows of text": (b"a,b\n" * 1_000_000, "rows"),
    "a cell of a million letters": (b"id,title\na," + b"b" * 1_000_000 + b"\n", "field larger"),
    "a quotation never closed": (b'id,title\na,"b\n' + b"c,d\n" * 100_000, "quotation mark"),
    "a packed bomb": (bomb, "unpacks to more"),
    "a bomb that lies": (lying_bomb, "damaged"),
    "macros": (repacked(lambda members: members.__setitem__("xl/vbaProject.bin", b"x")), "macros"),
    "links to other files": (repacked(lambda m: m.__setitem__("xl/externalLinks/externalLink1.xml", b"<x/>")), "other files"),
    "entities": (repacked(lambda members: members.__setitem__(SHEET, ENTITIES)), "entities"),
    "entities in UTF-16": (repacked(lambda m: m.__setitem__(SHEET, ENTITIES.decode().encode("utf-16"))), "UTF-8"),
    "no workbook within": (repacked(lambda members: members.pop("xl/workbook.xml")), "no XLSX"),
    "cut off": (GOOD[: len(GOOD) // 2], "not a whole XLSX"),
    "the old binary kind": (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "old binary"),
    "10,000 members": (lambda: repacked(lambda m: m.update({f"x{number}.xml": b"<x/>" for number in range(10_000)})), "too much"),
    "more than the largest file": (b"a,b\n" * (grid.LARGEST // 4 + 1), "kB"),
    "zeros": (b"\0" * 1000, "NUL"),
    "nothing": (b"  \n", "empty"),
}  # fmt: skip


#: Most bytes at once while one is refused; where all of it is at hand until the limit of rows, a tenth of that limit is
#: tried, and so much less is allowed: read to its end, a million rows take 270 MB.
MOST_MEMORY = 400_000_000
TENTH_OF_ROWS = {"a row number of a thousand millions": 30_000_000, "a million rows of text": 40_000_000}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_spreadsheets_are_refused_clearly(name, tmp_path, monkeypatch):
    body, word = HOSTILE[name]
    body = body() if callable(body) else body
    if name in TENTH_OF_ROWS:
        monkeypatch.setattr(grid, "ROWS", grid.ROWS // 10)
    path = tmp_path / "list.csv"
    path.write_bytes(body)
    tracemalloc.start()
    began = time.process_time()
    try:
        with pytest.raises(AdvisorError) as caught:
            grid.read(path)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert word in str(caught.value), str(caught.value)
    errors = getattr(caught.value, "errors", [caught.value])
    assert all(error.where for error in errors) and errors[0].remedy and len(errors) <= grid.NAMED + 1
    # Under the tracing of every allocation, which takes several times as long.
    assert peak < TENTH_OF_ROWS.get(name, MOST_MEMORY) and time.process_time() - began < 60


def test_a_sheet_hidden_from_the_eye_is_not_read(tmp_path):
    import openpyxl

    book = openpyxl.load_workbook(
        io.BytesIO(lists.workbook([["id", "price"], ["a", 1]], more=[("Other", [["x", "y"]])]))
    )
    book["Prices"].sheet_state = "hidden"
    path = tmp_path / "list.xlsx"
    book.save(path)
    assert grid.read(path).rows[0][1][0].text == "x"
    with pytest.raises(AdvisorError, match="no sheet 'Prices'"):
        grid.read(path, "Prices")


def test_without_the_libraries_it_is_said_what_to_do(tmp_path, monkeypatch):
    import sys

    monkeypatch.setitem(sys.modules, "openpyxl", None)
    monkeypatch.setitem(sys.modules, "charset_normalizer", None)
    path = tmp_path / "list.xlsx"
    for body in (GOOD, lists.GERMAN.encode("cp1252")):
        path.write_bytes(body)
        with pytest.raises(AdvisorError, match="not installed") as caught:
            grid.read(path)
        assert "CSV" in caught.value.remedy
