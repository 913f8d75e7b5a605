"""Sheets in Debian's Chromium: no finding of axe-core, nothing wider than the screen, nothing fetched."""

import os
import shutil

import pytest
from playwright import sync_api as playwright

from . import made
from .tools import axe  # noqa: F401  a fixture

pytestmark = pytest.mark.needs("browser")

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SHEETS = [("pack-over-stroke", audience) for audience in made.AUDIENCES] + [
    ("not-on-file-measured", "fitter"),
    ("nothing-fits", "customer"),
    ("nothing-fits", "lead"),
    ("answers-missing", "customer"),
]
#: Whether every sheet is looked at in every width (``python -m tests.full sheets``), or each in one of them by turns.
EVERY_WIDTH = bool(os.environ.get("SHEETS_EVERY_WIDTH"))


def by_turns(widths, sheet):
    """These widths, or the one of them whose turn it is at this sheet."""
    return widths if EVERY_WIDTH else (widths[SHEETS.index(sheet) % len(widths)],)


@pytest.fixture(scope="module")
def page():
    """One page for all sheets, which takes a twentieth of the time of a new one for each; see `opened`."""
    with playwright.sync_playwright() as started:
        chromium = started.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = chromium.new_page()
        page.heard = []
        page.on("request", lambda request: page.heard.append(request.url))
        page.on("console", lambda message: page.heard.append(message.text))
        page.on("pageerror", lambda error: page.heard.append(str(error)))
        yield page
        chromium.close()


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """The sheets as files."""
    folder = tmp_path_factory.mktemp("sheets")
    for name, audience in SHEETS:
        (folder / f"{name}-{audience}.html").write_text(made.html(name, audience), encoding="utf-8")
    return folder


def opened(page, files, name, audience, width, media="screen"):
    """Open a sheet anew in a page of that width; requests and console messages from then on are collected."""
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(media=media)
    page.heard.clear()
    page.goto((files / f"{name}-{audience}.html").as_uri())


@pytest.mark.needs("npm")
@pytest.mark.parametrize("name, audience", SHEETS)
def test_axe_finds_nothing(page, files, axe, name, audience):  # noqa: F811
    # Contrast is a sum over the style sheet (see test_html); on the long page of the lead axe takes a minute over it.
    rules = {"color-contrast": {"enabled": audience != "lead"}}
    for width in by_turns((360, 1280), (name, audience)) if audience != "lead" else (360,):
        opened(page, files, name, audience, width)
        page.evaluate(axe)
        found = page.evaluate(
            "([tags, rules]) => axe.run({runOnly: tags, rules, resultTypes: ['violations']})", [RULES, rules]
        )
        assert [(one["id"], one["impact"], one["nodes"][0]["html"][:200]) for one in found["violations"]] == []
        assert len(found["passes"]) > 20


@pytest.mark.needs("npm")
def test_axe_would_find_something(page, files, axe):  # noqa: F811
    opened(page, files, "pack-over-stroke", "customer", 800)
    page.evaluate(
        "document.querySelector('[role=img]').removeAttribute('aria-label'); "
        "document.querySelector('p').style.color = '#ccc'"
    )
    page.evaluate(axe)
    found = page.evaluate(f"axe.run({{runOnly: {RULES}}})")
    assert {"role-img-alt", "color-contrast"} <= {one["id"] for one in found["violations"]}


@pytest.mark.parametrize("name, audience", SHEETS)
def test_nothing_is_wider_than_the_screen_and_nothing_is_fetched(page, files, name, audience):
    for width in (320, 360):  # 695: on paper, below
        opened(page, files, name, audience, width)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.heard == [(files / f"{name}-{audience}.html").as_uri()]
        # Letters in drawings stay readable on a phone: none smaller than 7 px (the graph scrolls instead of shrinking).
        sizes = page.evaluate(
            "[...document.querySelectorAll('svg')].map(s => { const t = s.querySelector('text'); return t ? "
            "t.getBoundingClientRect().height : 99 })"
        )
        assert min(sizes, default=99) >= (8 if width >= 360 else 7)


def test_on_paper_nothing_is_cut_off(page, files):
    """A4 less its margins at 96 px to the inch."""
    for name, audience in SHEETS:
        opened(page, files, name, audience, 695, media="print")
        wide = page.evaluate(
            "[...document.querySelectorAll('table')].filter(t => t.getBoundingClientRect().right > 696).length"
        )
        assert wide == 0, (name, audience)
        assert page.evaluate("document.documentElement.scrollWidth") <= 696


#: Pixels to the order list on a telephone.
TO_THE_ORDER_LIST = 2500


PICKED = [name for name in made.CASES if name not in made.NOTHING_PICKED]


@pytest.mark.parametrize("name", PICKED)
def test_on_a_telephone_the_order_list_is_near(page, tmp_path, name):
    assert made.record(name)["outcome"] == "recommended"
    (tmp_path / f"{name}-customer.html").write_text(made.html(name, "customer"), encoding="utf-8")
    opened(page, tmp_path, name, "customer", 360)
    top = page.evaluate("document.getElementById('order').getBoundingClientRect().top + window.scrollY")
    assert 500 < top <= TO_THE_ORDER_LIST
