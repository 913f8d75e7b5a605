"""The book of rules holds every rule, and tables of the files as tables."""

import re
from pathlib import Path

import pytest
import yaml

from advisor.cli import main
from advisor.reporting.sheets.markdown import markdown
from advisor.reporting.sheets.rule_book import rule_book

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
    told += [row[0].strip() for rows in table_rows(book) for row in rows[2:]]
    assert sorted(told) == sorted(rule.id for rule in content.knowledge.rules)


def test_tables_of_the_files_are_tables(book):
    """Read by PyYAML alone: as many tables with the same rows in them, every row with a cell for each column."""
    written = []
    for path in (ROOT / "rules").rglob("*.yaml"):
        for entry in (yaml.safe_load(path.read_text()) or {}).get("rules") or ():
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
    assert ".md or .html" in capsys.readouterr().err
