"""The commands sheet and worksheet, and that nobody else pays for what they need."""

import json
import subprocess
import sys

import pytest

from advisor import cli
from advisor.errors import InputError
from advisor.reporting.sheets import sheet

from . import made

CASE = str(made.ROOT / "scenarios" / "cases" / "pack-over-stroke.yaml")


def run(capsysbinary, *arguments):
    """(exit code, standard output, standard error) of one command."""
    code = cli.main(list(arguments))
    out, err = capsysbinary.readouterr()
    return code, out.decode(errors="replace"), err.decode()


def test_text_and_html(capsysbinary):
    code, out, _ = run(capsysbinary, "sheet", CASE, "--for", "fitter")
    assert code == 0 and "Fitting sheet: Orrin 230 twin" in out
    code, out, _ = run(capsysbinary, "sheet", CASE, "--format", "html", "--units", "trade")
    assert code == 0 and out.startswith("<!DOCTYPE html>") and "lb-ft" in out


@pytest.mark.needs("pango")
def test_a_pdf_to_a_file(capsysbinary, tmp_path):
    target = tmp_path / "customer.pdf"
    code, out, _ = run(
        capsysbinary, "sheet", CASE, "--for", "customer", "--format", "pdf", "--paper", "letter", "--out", str(target)
    )
    assert code == 0 and out == "" and target.read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize("name, code", [("pack-over-stroke", 0), ("answers-missing", 3), ("nothing-fits", 4)])
def test_the_exit_code_is_that_of_the_decision(capsysbinary, name, code):
    assert run(capsysbinary, "sheet", str(made.ROOT / "scenarios" / "cases" / f"{name}.yaml"))[0] == code


def test_a_file_that_cannot_be_written_is_named(capsysbinary, tmp_path):
    code, _, err = run(capsysbinary, "sheet", CASE, "--out", str(tmp_path / "nowhere" / "a.txt"))
    assert code == 2 and "nowhere" in err and "--out" in err


@pytest.mark.parametrize("module, form", [("jinja2", "html"), ("matplotlib", "html"), ("weasyprint", "pdf")])
def test_without_the_extra_it_says_what_to_install(monkeypatch, module, form):
    for name in list(sys.modules):
        if name.startswith(
            ("advisor.reporting.sheets.html", "advisor.reporting.sheets.pdf", "advisor.reporting.pictures.", module)
        ):
            monkeypatch.delitem(sys.modules, name)
            package, _, part = name.rpartition(".")
            if package.startswith("advisor.reporting"):
                monkeypatch.delattr(sys.modules[package], part)
    monkeypatch.setitem(sys.modules, module, None)
    with pytest.raises(InputError, match=r"least-clutch\[sheets"):
        sheet.sheet(made.record("nothing-fits"), made.words(), "customer", form)
    assert "Why none fits" in sheet.sheet(made.record("nothing-fits"), made.words(), "customer", "text")


def test_nobody_else_loads_what_draws():
    """Only HTML and PDF load the template, plotting and printing libraries; one process runs the others in turn."""
    commands = [["recommend", CASE], ["sheet", CASE], ["worksheet", "end-float", "before=0.1 mm"], ["rules", "list"]]
    script = (
        "import sys\nfrom advisor import cli\n"
        f"for command in {commands!r}:\n"
        "    cli.main(command)\n"
        "    loaded = {name.partition('.')[0] for name in sys.modules}\n"
        "    drawing = {'jinja2', 'matplotlib', 'weasyprint', 'PIL', 'markupsafe'}\n"
        "    print(command[0], sorted(loaded & drawing), file=sys.stderr)\n"
    )
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, cwd=made.ROOT)
    assert ran.returncode == 0, ran.stderr
    assert ran.stderr.splitlines()[-len(commands) :] == [f"{command[0]} []" for command in commands]


def test_a_worksheet_shows_what_to_measure_and_what_came_of_it(capsysbinary):
    code, out, _ = run(capsysbinary, "worksheet", "bearing-gap")
    assert code == 0 and "housing_to_bearing" in out and "What the makers of car and clutch say comes first." in out
    readings = ["housing_to_bearing=52.0 mm", "block_to_fingers=49.5 mm", "spacer_thickness=0.8 mm"]
    code, out, _ = run(capsysbinary, "worksheet", "bearing-gap", *readings)
    assert (
        code == 0
        and "gap between bearing and fingers: 3.3 mm" in out
        and "bearing_gap = housing_to_bearing + spacer_thickness - block_to_fingers" in out
    )
    code, out, _ = run(capsysbinary, "worksheet", "bearing-gap", *readings, "--json")
    data = json.loads(out)
    assert (
        data["state"] == "within"
        and data["lines"][0]["value"] == 3.3
        and data["readings"]["block_to_fingers"] == {"value": 49.5, "unit": "mm"}
    )


@pytest.mark.parametrize(
    "arguments, words",
    [
        (["bearing-gab"], "bearing-gap"),
        (["end-float", "before"], "NAME=VALUE"),
        (["end-float", "before=0.1 mm", "before=0.2 mm"], "twice"),
        (["end-float", "--case-id", "1"], "readings"),
    ],
)
def test_what_is_wrong_with_a_worksheet_is_said(capsysbinary, arguments, words):
    code, out, err = run(capsysbinary, "worksheet", *arguments)
    assert code == 2 and out == "" and words in err


def test_readings_are_kept_with_the_case_and_fill_the_sheet(capsysbinary, tmp_path):
    path = tmp_path / "book.sqlite"
    assert run(capsysbinary, "case", "save", CASE, "--casebook", str(path))[0] == 0
    number = "pack-over-stroke"
    for readings in (["before=0.10 mm"], ["before=0.12 mm", "after=0.25 mm"]):
        code, *_ = run(
            capsysbinary,
            "worksheet",
            "end-float",
            *readings,
            "--case-id",
            number,
            "--casebook",
            str(path),
            "--by",
            "A. Fitter",
        )
        assert code == 0
    code, out, _ = run(capsysbinary, "sheet", CASE, "--for", "fitter", "--case-id", number, "--casebook", str(path))
    told = " ".join(out.split())
    assert code == 0 and "grown by 0.13 mm" in told and "measured: 0.12 mm" in told and "0.1 mm; " not in told
