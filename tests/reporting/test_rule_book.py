"""The book of rules holds every rule, and tables of the files as tables."""

import re
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.reporting.sheets.markdown import markdown
from advisor.reporting.sheets.rule_book import VersionListed, book_as, rule_book
from advisor.reporting.sheets.rule_links import RuleLinks
from tests.shipped import quick_yaml

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def book(content):
    return markdown(rule_book(content.knowledge))


def table_rows(text):
    """Each table as its rows of cells."""
    tables = re.findall(r"(?:^\|.*\|\n)+", text, re.MULTILINE)
    return [[re.split(r"(?<!\\)\|", line)[1:-1] for line in one.splitlines()] for one in tables]


def test_every_rule_stands_there_once(book, content):
    told = re.findall(r"^Rule ([a-z0-9-]+), ", book, re.MULTILINE)
    told += [row[0].strip() for rows in table_rows(book) if rows[0][0].strip() == "rule" for row in rows[2:]]
    assert sorted(told) == sorted(rule.id for rule in content.knowledge.rules)


def test_tables_of_the_files_are_tables(book):
    """Read by PyYAML alone: as many tables with the same rows in them, every row with a cell for each column."""
    written = []
    for path in (ROOT / "rules").rglob("*.yaml"):
        for entry in (quick_yaml(path.read_text()) or {}).get("rules") or ():
            if isinstance(entry, dict) and "table" in entry:
                written.append(set(entry["table"]["rows"]))
    shown = table_rows(book)
    assert all(len(row) == len(rows[0]) for rows in shown for row in rows)
    ids = [{row[0].strip() for row in rows[2:]} for rows in shown]
    assert len(written) > 15
    assert [one for one in written if one not in ids] == []


def test_no_place_to_fill_in_is_left(book):
    assert re.findall(r"\{[a-z_]+\}", book) == []


def test_both_forms_are_written_and_nothing_is_replaced(tmp_path, capsys):
    for form in ("md", "html"):
        out = tmp_path / f"rules.{form}"
        assert main(["rules", "book", "--out", str(out)]) == 0
        assert "wheel-loss-front" in out.read_text(encoding="utf-8")
        assert main(["rules", "book", "--out", str(out)]) == 2
    assert main(["rules", "book", "--out", str(tmp_path / "rules.doc")]) == 2
    assert ".md, .html or .pdf" in capsys.readouterr().err


@pytest.fixture(scope="module")
def page(content):
    return book_as(rule_book(content.knowledge, pictures=True), "html")


def test_links_lead_somewhere_and_both_ways(page, content):
    """Every link has its place; whatever reads a fact is named beside it, and names it."""
    places = re.findall(r'(?<=\s)id="([^"]+)"', page)
    assert len(places) == len(set(places))
    links = set(re.findall(r'href="#([^"]+)"', page))
    assert links <= set(places) and len(links) > 1000
    links = RuleLinks(content.knowledge)
    facts = page.split('<section id="facts"')[1].split("</section>")[0]
    rows = {
        re.search(r'id="fact-([^"]+)"', row)[1]: set(re.findall(r'href="#(?:rule|calculation)-([^"]+)"', row))
        for row in re.findall(r"<tr><th.*?</tr>", facts, re.DOTALL)
        if "fact-" in row
    }
    assert len(rows) > 200
    for name, named in rows.items():
        assert named == {each for _, each in (*links.given_by.get(name, ()), *links.read_by.get(name, ()))}, name
    for rule in content.knowledge.rules:
        for condition in rule.all:
            assert rule.id in rows[condition.fact]


def test_what_feeds_what_is_drawn(page, content):
    drawn = set(re.findall(r'<figure id="figure-feeds-([^"]+)"', page))
    assert "topics" in drawn and len(drawn) > 10
    # A topic feeds another where one of its rules concludes what a rule there reads, sums between gone through.
    feeds = RuleLinks(content.knowledge).topics
    assert ("case", "demand") in feeds["case", "holding"] and not feeds["case", "declined"]


def test_no_line_is_drawn_that_another_way_shows():
    from advisor.reporting.pictures.feeds import feeds_drawing

    fed_by = {"b": ["a"], "c": ["a", "b"], "d": ["e"], "e": ["d"]}
    labels = {key: f"box {key}" for key in "abcde"}
    drawn = feeds_drawing("x", "X", labels, fed_by, frozenset("a"), ())
    assert drawn.svg.count("<rect") == 5 and drawn.svg.count("stroke-dasharray") == 1
    # a to b, b to c, and d with e both ways.
    assert drawn.svg.count("<line") == 4


def test_who_wrote_what_and_when_stands_in_it(content):
    rule, other = content.knowledge.rules[:2]
    versions = [
        VersionListed(0, "2026-11-01", "", "as it stood"),
        VersionListed(1, "2026-11-02", "The Lead", "found heavy", ("a: b",)),
    ]
    text = markdown(rule_book(content.knowledge, of="Test Works.", versions=versions, since={rule.id: 1, other.id: 0}))
    assert f"{rule.id}: So since version 1, 2026-11-02 by The Lead: found heavy." in text
    assert "### Version 1, 2026-11-02 by The Lead: found heavy" in text and "Test Works." in text
    assert f"{other.id}: So since" not in text
