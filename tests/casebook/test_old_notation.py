"""Stored rules of the old notation: the same model, the same decisions, the stored bytes untouched."""

import json
import shutil

import pytest

from advisor.casebook import book as books, kept_files as stored_files, old_notation, rule_text
from advisor.casebook.book import Casebook
from advisor.casebook.kept_files import Files
from advisor.casebook.replay import replay
from advisor.errors import ErrorList, KnowledgeError
from advisor.knowledge import load, strict_yaml

from .. import same_decisions
from . import old_form, shelf


@pytest.fixture(scope="module")
def old_files():
    """The frozen copy's Files with every file of rules in the old notation."""
    rules = {path: body.encode() for path, body in old_form.files_of(shelf.content().knowledge).items()}
    kept = {
        (place, path): body
        for (place, path), body in shelf.files().bodies.items()
        if place != "rules" or path.count("/") == 0
    }
    return Files({**kept, **{("rules", path): body for path, body in rules.items()}})


def test_rules_of_the_old_notation_load_to_the_same_model(old_files):
    assert sum(path.startswith(("case/", "setup/")) for place, path in old_files.bodies if place == "rules") > 20
    read = stored_files.content(old_files).knowledge
    now = {rule.id: rule for rule in shelf.content().knowledge.rules}
    assert {rule.id for rule in read.rules} == set(now)
    for rule in read.rules:
        assert rule == now[rule.id]
    assert read.sha256 == shelf.content().knowledge.sha256


#: Callers decided together, and one by one on both engines; ``python -m tests.same_decisions`` compares 5,000 between
#: two states of the program.
MANY, FEW = 40, 1


@pytest.fixture(scope="module")
def as_today():
    """Digests of what the frozen copy decides."""
    return same_decisions.digests(shelf.content(), MANY, FEW)


def test_they_decide_the_same(old_files, as_today):
    then = same_decisions.digests(stored_files.content(old_files), MANY, FEW)
    assert then == as_today
    assert len(set(then["batch"])) > 15  # callers differ, so equal digests mean something


def test_another_decision_is_seen(tmp_path, as_today):
    shutil.copytree(shelf.folder() / "rules", tmp_path / "rules")
    path = tmp_path / "rules/case/demand.yaml"
    path.write_text(path.read_text().replace(" 1.15]", " 1.32]"))
    now = same_decisions.digests(same_decisions.content_of(tmp_path / "rules"), MANY, FEW)
    assert all(now[part] != as_today[part] for part in ("rules", "batch", "single"))


def test_a_stored_case_of_the_old_notation_is_replayed_to_the_byte(old_files, tmp_path):
    name = shelf.ROOT.joinpath("scenarios/cases").glob("*.yaml")
    case_id = sorted(path.stem for path in name)[0]
    with Casebook(tmp_path / "old.casebook") as book:
        begun = book.begin(shelf.cases()[case_id], old_files)
        record = shelf.record(case_id)
        book.decided(begun, record, books.currency_of(shelf.decider(), record))
        found = replay(book, begun.case)
        assert found.same and found.old == record
        _, decision = book.standing(begun.case)
        # What is stored is still what was stored.
        assert book.files_of(decision).bodies == old_files.bodies


def test_rows_become_a_table_a_group_or_a_rule():
    same = [
        {
            "id": f"row-{use}",
            "title": "By use",
            "when": {"all": [{"fact": "main_use", "is": use}]},
            "conclude": {"fact": "use_factor", "value": factor},
            "because": "So.",
            "basis": {"kind": "judgement"},
        }
        for use, factor in (("daily", "1.25"), ("drag_only", "1.5"))
    ]
    other = {**same[1], "caution": {"text": "Take care."}}

    def entry(rows):
        body = json.dumps({"topic": "use", "stage": "case", "rules": [old_form.tabled(rows)]}).encode()
        return strict_yaml.loads(old_notation.converted(body)).plain()["rules"][0]

    assert entry(same)["table"] == {
        "when": ["main_use"],
        "conclude": ["use_factor"],
        "rows": {"row-daily": ["daily", "1.25"], "row-drag_only": ["drag_only", "1.5"]},
    }
    assert [row["id"] for row in entry([same[0], other])["group"]] == ["row-daily", "row-drag_only"]
    alone = entry(same[:1])
    assert alone["id"] == "row-daily" and alone["when"] == {"main_use": "daily"} and alone["because"] == "So."


def test_comments_stay_before_what_they_stood_before():
    body = b"""# about the file
topic: use
stage: case
rules:
  # about the rule
  - id: use-daily
    title: Use
    # about the condition
    when: {all: [{fact: main_use, is: daily}, {fact: engine_power, absent: yes}]}
    conclude: {fact: use_factor, value: 1.25}
    because: So.
    basis: {kind: judgement}
# at the end
"""
    assert (
        old_notation.converted(body).decode()
        == """# about the file
topic: use
stage: case
rules:
  # about the rule
  - id: use-daily
    title: Use
    # about the condition
    when:
      main_use: daily
      engine_power: not known
    conclude: {use_factor: 1.25}
    because: So.
    basis: {kind: judgement}
  # at the end
"""
    )


def test_what_is_in_the_new_notation_stays_as_it_is():
    for (place, path), body in shelf.files().bodies.items():
        if place == "rules" and path.startswith(("case/", "setup/")):
            assert old_notation.converted(body) == body
    for odd in (b"", b"- a\n", b"topic: [\n", b"rules: none\n", b"\xff\xfe"):
        assert old_notation.converted(odd) == odd


def test_two_bounds_of_one_fact_stand_together_and_others_are_refused():
    def when(*conditions):
        entry = {"id": "one", "when": {"all": [{"fact": "engine_torque", **one} for one in conditions]}}
        body = json.dumps({"rules": [entry]}).encode()
        return strict_yaml.loads(old_notation.converted(body)).plain()["rules"][0]["when"]

    assert when({"above": "1 N m"}, {"at_most": {"fact": "other"}}) == {
        "engine_torque": {"above": "1 N m", "at_most": "other"}
    }
    with pytest.raises(KnowledgeError, match="asked of twice"):
        when({"above": "1 N m"}, {"at_least": "2 N m"})


def test_only_the_casebook_reads_the_old_notation(tmp_path):
    written = old_form.files_of(shelf.content().knowledge)
    path, body = next((path, body) for path, body in written.items() if path.startswith("case/"))
    shutil.copytree(shelf.folder() / "rules", tmp_path / "rules")
    (tmp_path / "rules" / path).write_text(body)
    with pytest.raises(ErrorList):
        load.knowledge(tmp_path / "rules")


def test_scalars_read_back_as_they_were():
    for text in (
        "a: b",
        "yes",
        "- a",
        "12",
        "1.5",
        "0x1F",
        "a #b",
        "{x} is",
        "x {y} z",
        'say "so"',
        "a\\b",
        "two\nlines",
        " a",
        "not known",
        "2026-01-31",
        "~",
        "",
        "a:",
    ):
        for within in (False, True):
            written = rule_text.scalar(text, within=within)
            source = f"[{written}]" if within else f"key: {written}"
            read = strict_yaml.loads(source).plain()
            assert (read[0] if within else read["key"]) == text
