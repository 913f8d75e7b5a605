"""The HTML is valid, needs nothing else, treats everybody's words as data, and is the same byte for byte."""

import dataclasses
import functools
import json
import re
import subprocess
from pathlib import Path

import html5lib
import pytest

from advisor.deciding.advise import advise
from advisor.deciding.decide import Decider
from advisor.knowledge.case_model import Answer
from advisor.reporting.sheets import html as marked_up, sheet
from advisor.reporting.sheets.blocks import Blank, walk

from . import made
from .tools import html_validate  # noqa: F401  a fixture

#: Of each kind of case (kit picked, too few answers, none fits) what its readers get; the lead's long page of one.
VALIDATED = [
    pair for pair in made.SHEETS if pair[0] in made.OF_THE_LEAD and (pair[1] != "lead" or pair[0] == "pack-over-stroke")
]
HTML = "{http://www.w3.org/1999/xhtml}"
HOSTILE = """<script>alert(1)</script>"'><img src=x onerror=alert(2)>&amp;{{ 1 + 1 }}{% raw %}</style></svg>"""


def parsed(text):
    """The tree of a page; html5lib raises at the first parse error of the HTML standard."""
    return html5lib.HTMLParser(strict=True).parse(text)


@functools.cache
def tree_of(name, audience):
    """The tree of a sheet, parsed once for all that look at it; nobody changes it."""
    return parsed(made.html(name, audience))


@pytest.mark.parametrize("name, audience", made.SHEETS)
def test_ids_are_unique_and_what_refers_to_them_finds_them(name, audience):
    tree = tree_of(name, audience)
    ids = [element.get("id") for element in tree.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    for element in tree.iter():
        for key in ("aria-labelledby", "for", "href"):
            if element.get(key):
                assert element.get(key).removeprefix("#") in ids
    used = set(re.findall(r"url\(#([^)]+)\)", made.html(name, audience)))
    assert used <= set(ids)


@pytest.mark.parametrize("name, audience", made.SHEETS)
def test_headings_follow_one_another_and_every_drawing_has_words(name, audience):
    tree = tree_of(name, audience)
    levels = [
        int(element.tag[-1]) for element in tree.iter() if re.fullmatch(re.escape(HTML) + "h[1-6]", str(element.tag))
    ]
    assert levels[0] == 1 and levels.count(1) == 1 and set(levels[1:]) == {2}
    drawings = [element for element in tree.iter(f"{HTML}div") if element.get("role") == "img"]
    assert len(drawings) == sum(1 for _ in tree.iter("{http://www.w3.org/2000/svg}svg"))
    assert all(len(element.get("aria-label")) > 40 for element in drawings)
    assert all(table.find(f"{HTML}caption") is not None for table in tree.iter(f"{HTML}table"))


@pytest.mark.needs("npm")
def test_the_pages_hold_to_the_content_model_of_html(html_validate, tmp_path):  # noqa: F811
    """html-validate 9, its standard rules; ``python -m tests.full sheets`` takes the pages of every case here."""
    hold_to_the_content_model(VALIDATED, html_validate, tmp_path)


def hold_to_the_content_model(sheets, html_validate, tmp_path):  # noqa: F811
    """AssertionError where a page of these pairs (case, audience) does not, or one that does not is let pass."""
    for name, audience in sheets:
        (tmp_path / f"{name}-{audience}.html").write_text(made.html(name, audience), encoding="utf-8")
    (tmp_path / ".htmlvalidate.json").write_text('{"root": true, "extends": ["html-validate:standard"]}')
    (tmp_path / "wrong.html").write_text(
        made.html("pack-over-stroke", "customer").replace("<main>", "<main><ul><p>wrong</p></ul>", 1), encoding="utf-8"
    )
    ran = subprocess.run(
        [html_validate, "--formatter", "json", *sorted(map(str, tmp_path.glob("*.html")))],
        capture_output=True,
        text=True,
        cwd=tmp_path,
    )
    found = [
        (Path(looked["filePath"]).name, message["ruleId"], message["line"])
        for looked in json.loads(ran.stdout or "[]")
        for message in looked["messages"]
    ]
    assert [fault for fault in found if fault[0] != "wrong.html"] == [], ran.stderr
    assert ("wrong.html", "element-permitted-content") in [fault[:2] for fault in found] and ran.returncode == 1


@pytest.mark.parametrize("name, audience", made.SHEETS)
def test_a_page_needs_nothing_else(name, audience):
    text, tree = made.html(name, audience), tree_of(name, audience)
    tags = {str(element.tag).rpartition("}")[2] for element in tree.iter()}
    assert not tags & {"script", "link", "img", "iframe", "object", "embed", "form", "input", "a", "base"}
    assert (
        "http:" not in text
        and "https:" not in text
        and "@import" not in text
        and "url(" not in text.replace("url(#", "")
    )
    assert not [key for element in tree.iter() for key in element if str(key).lower().startswith("on")]


@functools.cache
def hostile():
    """A record whose case id, answers and kit title are written by somebody who means ill."""
    shop = made.decider().shop
    kits = tuple(dataclasses.replace(kit, fields={**kit.fields, "title": HOSTILE + kit.id}) for kit in shop.kits)
    decider = Decider(made.content().knowledge, dataclasses.replace(shop, kits=kits), made.decider().derive)
    given = made.case("pack-over-stroke")
    answers = {**given.answers, "spline": Answer("23 x 26 mm"), "bolt_pattern": Answer(HOSTILE)}
    found = [
        advise(decider, dataclasses.replace(given, id=HOSTILE)),
        advise(decider, dataclasses.replace(given, id=HOSTILE, answers=answers)),
    ]
    return found, decider.shop.wording(decider.knowledge)


@pytest.mark.parametrize("audience", made.AUDIENCES)
def test_words_of_people_are_data(audience):
    records, words = hostile()
    usual = {str(element.tag) for element in tree_of("pack-over-stroke", "lead").iter()}
    usual |= {str(element.tag) for element in tree_of("pack-over-stroke", "fitter").iter()}
    usual |= {str(element.tag) for element in tree_of("nothing-fits", "customer").iter()}
    for record in records:
        document = sheet.document(record, words, audience, pictures=marked_up.pictures())
        text = marked_up.html(document)
        tree = parsed(text)
        assert {str(element.tag) for element in tree.iter()} <= usual
        assert HOSTILE in "".join(tree.itertext())
        assert "<script" not in text and "onerror=alert" in text and "<img" not in text
        plain_text = sheet.sheet(record, words, audience, "text", width=200)
        assert "{{ 1 + 1 }}" in plain_text and "alert(1)" in plain_text


def test_a_control_character_cannot_reach_a_page():
    record = {**made.record("pack-over-stroke")}
    record["case"] = {**record["case"], "id": "a\x00b\x1b[31mc\u202ed"}
    text = marked_up.html(sheet.document(record, made.words(), "customer", pictures={}))
    assert "\x00" not in text and "\x1b" not in text and "\u202e" not in text
    parsed(text)
    assert "\x1b" not in sheet.sheet(record, made.words(), "customer")


def test_the_same_record_gives_the_same_bytes():
    for name, audience in (("pack-over-stroke", "lead"), ("nothing-fits", "customer")):
        record = advise(made.decider(), made.case(name)).data
        record["made_by"] = {**record["made_by"], "date": "1999-12-31"}
        pictures = marked_up.pictures()
        again = marked_up.html(sheet.document(record, made.words(), audience, pictures=pictures, about=made.SHOP))
        assert again == made.html(name, audience)


@pytest.mark.parametrize("name, audience", made.SHEETS)
def test_no_meaning_by_colour(name, audience):
    """Every colour on the page is a grey, and text on white has at least 4.5 to 1 (WCAG 2.2, 1.4.3)."""
    text = made.html(name, audience)
    assert not re.findall(r"(?:rgb|hsl)a?\(", text)
    for colour in set(re.findall(r"#([0-9a-f]{3}(?:[0-9a-f]{3})?)\b(?=[;\"' ])", text)):
        full = colour if len(colour) == 6 else "".join(2 * one for one in colour)
        assert full[:2] == full[2:4] == full[4:], colour
    for grey in re.findall(r"(?:[{;] *)color: #([0-9a-f]{3,6})", text):
        level = int((grey if len(grey) == 6 else "".join(2 * one for one in grey))[:2], 16) / 255
        luminance = level / 12.92 if level <= 0.04045 else ((level + 0.055) / 1.055) ** 2.4
        assert 1.05 / (luminance + 0.05) >= 4.5, grey


@pytest.mark.parametrize("name, audience", made.SHEETS)
def test_whatever_is_invented_is_said_to_be(name, audience):
    assert any("Invented shop" in part for _, part in walk(made.document(name, audience)) if isinstance(part, str))
    assert "Invented shop" in sheet.sheet(made.record(name), made.words(), audience)


@pytest.mark.parametrize("name, audience", made.SHEETS)
def test_the_text_holds_what_the_page_holds(name, audience):
    """Every number and every word taken over stands in the plain text too."""
    text = "".join(sheet.sheet(made.record(name), made.words(), audience, width=100, about=made.SHOP).split())
    told = [part for _, part in walk(made.document(name, audience, drawn=False)) if not isinstance(part, (str, Blank))]
    assert [part for part in told if "".join(part.text.split()) not in text and part.text != "-"] == []
