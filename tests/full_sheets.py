"""The long counts of the sheets; `rows` is called by tests/full.py and gives (what, how many, result)."""

import os
import pathlib
import subprocess
import sys
import tempfile

import html5lib

from advisor.reporting.sheets import sheet
from advisor.reporting.sheets.blocks import Number, walk

from .reporting import made, test_html, test_pictures
from .reporting.test_assumed import stands_on_something_assumed
from .reporting.test_browser import SHEETS as BROWSED
from .reporting.test_readers import ABOUT_OTHERS
from .reporting.tools import html_validate_program
from .reporting.tracing import Sheet

SYSTEMS = ("si", "trade")


def cases():
    """Names of every shipped case."""
    return sorted(path.stem for path in (made.ROOT / "scenarios" / "cases").glob("*.yaml"))


def _result(faults):
    return "all agree" if not faults else f"FAILED: {len(faults)}, first {faults[0]}"


def digits(names):
    """Every digit on every sheet of every case, in both systems of units, traced to where it says it comes from."""
    faults, sheets, numbers = [], 0, 0
    for name in names:
        for audience in made.AUDIENCES:
            for system in SYSTEMS:
                walked = Sheet(made.html(name, audience, system), name, system, made.document(name, audience, system))
                faults += [f"{name} {audience} {system}: {fault}" for fault in walked.walk()]
                sheets, numbers = sheets + 1, numbers + walked.numbers
        made.html.cache_clear()
        made.document.cache_clear()
    return [
        ("sheets walked for the source of every digit", sheets, _result(faults)),
        ("numbers on them", numbers, _result(faults)),
    ]


def lengths(names):
    """Every length on every customer's and fitter's sheet stands on nothing assumed."""
    faults, count = [], 0
    for name in names:
        for audience in ("customer", "fitter"):
            for _, part in walk(made.document(name, audience, drawn=False)):
                if isinstance(part, Number) and part.unit == "mm":
                    count += 1
                    if stands_on_something_assumed(made.record(name), part):
                        faults.append(f"{name} {audience}: {part.source}")
        made.document.cache_clear()
    return [("lengths on sheets to work by, none on something assumed", count, _result(faults))]


def addressed(names):
    """No customer's sheet speaks about the customer, or to whoever sells."""
    faults, count = [], 0
    for name in names:
        told = " ".join(sheet.sheet(made.record(name), made.words(), "customer").split())
        count += 1
        faults += [f"{name}: {found[0]}" for found in [ABOUT_OTHERS.findall(told)] if found]
    return [("customers' sheets, none about the customer", count, _result(faults))]


#: What must hold of every page by itself.
LOOKS = (
    test_html.test_ids_are_unique_and_what_refers_to_them_finds_them,
    test_html.test_headings_follow_one_another_and_every_drawing_has_words,
    test_html.test_a_page_needs_nothing_else,
    test_html.test_no_meaning_by_colour,
    test_html.test_the_text_holds_what_the_page_holds,
    test_html.test_whatever_is_invented_is_said_to_be,
)


def pages(names):
    """Every page of every case: valid, in need of nothing else, and in plain text the same."""
    faults, count = [], 0
    for name in names:
        for audience in made.AUDIENCES:
            for look in LOOKS:
                count += 1
                try:
                    look(name, audience)
                except (AssertionError, html5lib.html5parser.ParseError) as error:
                    faults.append(f"{name} {audience}: {look.__name__}: {error}")
        for held in (made.html, made.document, test_html.tree_of):
            held.cache_clear()
    return [("looks at whole pages", count, _result(faults))]


def content_model():
    """The pages the ordinary run is about, the lead's of every case too, by html-validate."""
    every = [(name, audience) for name in made.CASES for audience in made.AUDIENCES]
    with tempfile.TemporaryDirectory(prefix="sheets-full-") as folder:
        test_html.hold_to_the_content_model(every, html_validate_program(), pathlib.Path(folder))
    return [("pages held to the content model of HTML", len(every), "nothing found")]


def pictured():
    """The lead's pictures of every case here that is told a kit."""
    for name in test_pictures.RECOMMENDED:
        test_pictures.test_the_lead_gets_every_picture(name)
    return [("leads' pages with every picture", len(test_pictures.RECOMMENDED), "none missing")]


def printed(names):
    """Every case's customer and fitter sheet as PDF twice, the same bytes."""
    faults, count = [], 0
    for name in names:
        for audience in ("customer", "fitter"):
            first, again = (sheet.sheet(made.record(name), made.words(), audience, "pdf") for _ in range(2))
            count += 1
            if first != again or not first.startswith(b"%PDF-"):
                faults.append(f"{name} {audience}")
    return [("PDFs printed twice, byte for byte", count, _result(faults))]


def in_every_width():
    """axe-core on the sheets on a telephone and on a desk: the ordinary run takes one of them for each."""
    command = [sys.executable, "-m", "pytest", "tests/reporting/test_browser.py", "-k", "axe_finds_nothing"]
    environment = {**os.environ, "SHEETS_EVERY_WIDTH": "1"}
    done = subprocess.run(command, cwd=made.ROOT, env=environment, capture_output=True, text=True)
    sound = done.returncode == 0 and f"{len(BROWSED)} passed" in done.stdout and "skipped" not in done.stdout
    result = "nothing found" if sound else f"FAILED: {done.stdout[-1000:]}"
    return [("sheets looked at by axe-core in every width", len(BROWSED), result)]


def rows():
    """(what, how many, result)."""
    names = cases()
    looks = [*in_every_width(), *content_model(), *pictured(), *digits(names), *pages(names)]
    return [*looks, *lengths(names), *addressed(names), *printed(names[::5])]
