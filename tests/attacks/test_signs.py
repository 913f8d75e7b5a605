"""What reaches terminal, JSON, CSV, HTML and drawings: nothing that steers them, hides, or is computed."""

import csv
import io
import json
import pathlib
import unicodedata

import pytest

from advisor.casebook import entries
from advisor.casebook.exporting import cell
from advisor.cli import main
from advisor.errors import InputError
from advisor.knowledge import signs, strict_yaml
from tests.conftest import ROOT

#: Signs that steer, turn or hide, one of every kind known to be misused.
STEERING = (
    "\x00\x07\x08\x0d\x1b\x7f\x85\x9b\xad\u034f\u061c\u115f\u1160\u180e\u200b\u200e\u200f\u2028\u2029\u202a\u202e"
    "\u2060\u2066\u2069\u206f\u3164\ud800\udfff\ue000\ufeff\uffa0\ufff9\ufffe\U0001d173\U000e0041\U000f0000\U0010ffff"
)
CASE = ROOT / "scenarios" / "cases" / "mild-street-tune.yaml"


@pytest.mark.parametrize("sign", STEERING, ids=lambda sign: f"U+{ord(sign):04X}")
def test_no_such_sign_comes_in_or_goes_out(sign):
    text = f"a{sign}b"
    assert signs.first_odd(text) == f"U+{ord(sign):04X}"
    assert signs.shown(text) == signs.line(text) == "a?b"
    escaped = signs.escaped(json.dumps(text, ensure_ascii=False))
    assert escaped.isascii() and json.loads(escaped) == text
    if sign == "\r":  # where a line ends, not a sign of the text
        return
    with pytest.raises(InputError):
        entries.paragraph(text, "note")
    quoted = json.dumps(text)
    if ord(sign) < 0x10000:
        with pytest.raises(InputError):
            strict_yaml.loads(f"title: {quoted}\n")


def test_every_control_and_every_sign_of_format_is_one_but_the_joiners():
    """Against the Unicode data of the standard library."""
    passed = [
        code
        for code in range(0x110000)
        if unicodedata.category(chr(code)) in ("Cc", "Cf", "Cs", "Co", "Zl", "Zp") and not signs.first_odd(chr(code))
    ]
    # The line end, the joiners, and signs of numbers and hieroglyphs that show something of their own.
    assert {0x0A, 0x200C, 0x200D} <= set(passed)
    shown = {0x600, 0x601, 0x602, 0x603, 0x604, 0x605, 0x6DD, 0x70F, 0x890, 0x891, 0x8E2, 0x110BD, 0x110CD}
    assert set(passed) - {0x0A, 0x200C, 0x200D} - shown <= set(range(0x13430, 0x13440))


def test_what_people_write_stays():
    for text in (
        "Zoë Ångström",
        "O'Brien-Łuk",
        "שלום",
        "محمد",
        "می\u200cخواهم",
        "岡田",
        "🚗\ufe0f",
        "a\u00a0b",
        "5 µm ½ ±",
        "a\nb",
    ):
        assert signs.shown(text) == text and signs.first_odd(text) == ""
        assert json.loads(signs.escaped(json.dumps(text, ensure_ascii=False))) == text


@pytest.mark.parametrize(
    "text",
    [
        "=1+1", "+1+1", "-1+1", "@SUM(A1)", " =1", "\t=1", "\n=1", "\u00a0=1", "a\n=1", "a;=1", 'a"=1', "\uff1d1",
        "\u22121",
        "\u200b=1", "\u200d=1", "\u200c+1", "\u3164=1", "\ufeff=1", "\u2060@x", "\u202e=1", "\u034f=1", "\ufe0f=1",
        "\u2800=1",
        "\U000e0020=1", "\xad-1", "\u2009=1", "\u3000=1", "\u180e=1", "\x00=1", "\ufe62=1", "\ufe63=1", "\ufe66=1",
        "\ufe6b=1",
    ],
)  # fmt: skip
def test_no_cell_is_computed(text):
    """Read back as a cell, what stands before the sign of a formula is a letter or the mark of a text."""
    shown = cell(text)
    start = min(shown.find(sign) for sign in "=+-@\uff1d\u2212\ufe62\ufe63\ufe66\ufe6b" if sign in shown)
    before = shown[:start].lstrip("\t\n \u00a0\u200c\u200d\u2009\u3000\u2800\ufe0f")
    assert before[-1:] in ("'", "?"), repr(shown)


def test_cells_to_mend_read_back_as_they_were():
    for text in ("-5", "+5", "-5.25", "430 N m", "=1+1", "-a", "@x", "plain", "'quoted", "-5 mm", ""):
        assert signs.from_cell(signs.cell_to_mend(text)) == text
    assert signs.cell_to_mend("-5") == "-5" and signs.cell_to_mend("-5+1").startswith("'")


@pytest.mark.parametrize(
    "row, told",
    [(["=cmd|' /C calc'!A0", "@SUM(1)"], "formula"), (["x", "a\u202eb"], "U+202E"), (["y", "\x1b[31m"], "U+001B")],
)
def test_cells_of_a_list_neither_compute_nor_steer(row, told, tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    table = io.StringIO(newline="")
    csv.writer(table).writerows([["id", "title"], row])
    pathlib.Path("list.csv").write_text(table.getvalue(), encoding="utf-8")
    assert main(["shop", "import", "kits", "list.csv", "--shop", str(ROOT / "scenarios")]) == 2
    complaint = capsys.readouterr().err
    assert not any(signs.first_odd(one) for one in complaint.splitlines()) and told in complaint


@pytest.mark.parametrize(
    "arguments",
    [
        ("recommend", "a\x1b[31m\u202e.yaml"),
        ("recommend", str(CASE), "--kits", "a\x1b[31m\u202e"),
        ("recommend", str(CASE), "--nonsense\x1b[31m\u202e"),
        ("nonsense\x1b[31m\u202e",),
        ("rules", "show", "a\x1b[31m\u202e"),
        ("calculate", "a\x1b[31m\u202e"),
        ("why", str(CASE), "--requirement", "a\x1b[31m\u202e"),
        ("why-not", str(CASE), "a\x1b[31m\u202e"),
        ("what-if", str(CASE), "a\x1b[31m\u202e=1"),
        ("worksheet", "a\x1b[31m\u202e"),
        ("worksheet", "end-float", "a\x1b[31m\u202e=1"),
        ("sheet", str(CASE), "--out", "nowhere\x1b[31m\u202e/x"),
        ("case", "list", "--casebook", "a\x1b[31m\u202e"),
        ("case", "list", "--casebook", "a\x1b[31m\u202e", "--since", "\x1b[31m\u202e"),
        ("interview", "--resume", "a\x1b[31m\u202e"),
        ("shop", "kits", "--platform", "a\x1b[31m\u202e"),
        ("shop", "import", "kits", "a\x1b[31m\u202e.csv"),
    ],
)
def test_no_error_steers_the_terminal(arguments, capsys, monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert main(list(arguments)) == 2
    told = capsys.readouterr()
    assert told.out == "" and told.err
    assert [sign for sign in told.err if signs.first_odd(sign)] == []


def test_a_title_from_elsewhere_steers_nothing(capsys, monkeypatch, content):
    """As if a sign had come in past every check: what is printed has none."""
    from advisor.knowledge.wording import Wording

    monkeypatch.setattr(Wording, "title", lambda self, name: "Kit\x1b[31m\u202e\u3164=1")
    for form in ([], ["--json"], ["--full"]):
        assert main(["recommend", str(CASE), *form]) == 0
        shown = capsys.readouterr().out
        assert [sign for sign in shown if signs.first_odd(sign)] == []


def test_a_car_s_title_from_elsewhere_steers_no_sheet(decider):
    from advisor.deciding.advise import advise
    from advisor.deciding.decision_record import DecisionRecord
    from advisor.knowledge import cases
    from advisor.reporting.sheets.sheet import sheet

    record = advise(decider, cases.case(str(CASE), decider.knowledge))
    wording = decider.shop.wording(decider.knowledge)
    told = json.dumps(record.data).replace("Bramble", "Zebra\\u001b[31m\\u202e\\u3164=1")
    record = DecisionRecord.of(json.loads(told))
    for audience in ("customer", "fitter", "lead"):
        for form in ("text", "html"):
            shown = sheet(record, wording, audience, form)
            shown = shown.decode() if isinstance(shown, bytes) else shown
            assert "Zebra" in shown and [sign for sign in shown if signs.first_odd(sign)] == [], (audience, form)
