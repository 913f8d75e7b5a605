"""A shop's own rules are laid over the shipped ones: they add, and replace only by saying what, with its hash."""

import shutil

import pytest

from advisor.cli import main
from advisor.errors import AdvisorError
from advisor.knowledge import load, sources
from tests.conftest import ROOT

FACTS = """facts:
  house_colour:
    kind: choice
    choices: [red, blue]
    label: colour of the caller's car
    source: asked
    if_unknown: {do: leave}
    plausible: {none: 100, shares: {red: 100}, basis: "nothing hangs on it, the house's judgement"}
    changeable: cannot
"""
QUESTIONS = """questions:
  house_colour: {topic: use, plain: "What colour is the car?", short: "Colour?", effort: memory}
"""
ADDED = """topic: use
stage: case
rules:
  - id: house-red-cars
    title: Red cars
    when: {house_colour: red}
    caution: {text: "The house washes red cars before they are handed over."}
    because: Red shows every mark of a hand.
    basis: {kind: shop}
"""


def replacing(name, digest):
    line = f"    replaces: {{rule: {name}{f', hash: {digest}' if digest else ''}}}\n"
    return ADDED.replace("    title: Red cars\n", f"    title: Red cars\n{line}")


@pytest.fixture
def house(tmp_path):
    """A shop with an empty folder of rules."""
    for kind in ("kits", "platforms", "parts"):
        shutil.copytree(ROOT / "scenarios" / kind, tmp_path / kind)
    (tmp_path / "shop.toml").write_text('name = "Test Works"')
    (tmp_path / "rules/case").mkdir(parents=True)
    return tmp_path


def put(house, **files):
    for name, text in files.items():
        (house / "rules" / f"{name.replace('__', '/')}.yaml").write_text(text, encoding="utf-8")


def read(house):
    return sources.read(sources.Sources.chosen(house))


def test_a_house_adds_facts_questions_and_rules(house, content):
    assert read(house).knowledge.sha256 == content.knowledge.sha256
    put(house, vocabulary=FACTS, questions=QUESTIONS, case__house=ADDED)
    knowledge = read(house).knowledge
    assert {rule.id for rule in knowledge.rules} - {rule.id for rule in content.knowledge.rules} == {"house-red-cars"}
    assert "house_colour" in knowledge.facts and "house_colour" in knowledge.questions
    assert knowledge.edition == "shipped rules 2026.11 with one house rule"
    assert knowledge.sha256 != content.knowledge.sha256
    # What is kept of the shipped files is as it was.
    assert load.knowledge(ROOT / "rules").sha256 == content.knowledge.sha256


def test_a_shipped_rule_is_replaced_only_with_its_hash(house, content):
    shipped = next(rule for rule in content.knowledge.rules if rule.id == "end-float-large")
    put(house, vocabulary=FACTS, questions=QUESTIONS, case__house=replacing(shipped.id, ""))
    with pytest.raises(AdvisorError, match=f"Write hash: {shipped.hash[:12]}"):
        read(house)
    put(house, case__house=replacing(shipped.id, shipped.hash[:12]))
    knowledge = read(house).knowledge
    names = {rule.id for rule in knowledge.rules}
    assert shipped.id not in names and "house-red-cars" in names
    assert not [one for one in knowledge.remarks if "house rule" in one.what]


def test_after_an_upgrade_what_changed_underneath_is_listed(house, capsys):
    put(house, vocabulary=FACTS, questions=QUESTIONS, case__house=replacing("end-float-large", "0123456789ab"))
    assert main(["shop", "check", "--shop", str(house)]) == 0
    out = capsys.readouterr().out
    assert "house rule house-red-cars replaces end-float-large, which has changed" in out
    put(house, case__house=replacing("end-float-lrage", "0123456789ab"))
    assert main(["shop", "check", "--shop", str(house)]) == 0
    assert "no longer shipped. Did you mean end-float-large?" in capsys.readouterr().out


@pytest.mark.parametrize(
    "files, says",
    [
        ({"vocabulary": FACTS.replace("house_colour", "main_use")}, "main_use is shipped; a house may only add."),
        ({"vocabulary": FACTS + "figures: {}\n"}, "a house lays no figures over"),
        ({"case__house": ADDED.replace("house-red-cars", "end-float-large")}, "end-float-large"),
        (
            {
                "case__house": ADDED.replace(
                    "    title: Red cars\n", "    title: Red cars\n    replaces: end-float-large\n"
                )
            },
            "{rule: its-id",
        ),
        ({"case__house": ADDED.replace("house_colour", "house_color")}, "house_color"),
    ],
)
def test_what_is_wrong_in_a_house_is_told_with_its_place(house, files, says):
    put(house, **({"questions": QUESTIONS, "vocabulary": FACTS} | files))
    with pytest.raises(AdvisorError) as caught:
        read(house)
    assert says in str(caught.value) and str(house) in str(caught.value)


def test_a_case_is_kept_with_its_house_rules(house, capsys):
    put(house, vocabulary=FACTS, questions=QUESTIONS, case__house=ADDED)
    case = house / "caller.yaml"
    shipped = (ROOT / "scenarios/cases/mild-street-tune.yaml").read_text(encoding="utf-8").partition("expect:")[0]
    case.write_text(shipped.replace("answers:\n", "answers:\n  house_colour: red\n"), encoding="utf-8")
    book = ["--casebook", str(house / "book.sqlite")]
    assert main(["recommend", str(case), "--shop", str(house), "--save", "--json", *book]) == 0
    out = capsys.readouterr().out
    assert "washes red cars" in out and "with one house rule" in out
    shutil.rmtree(house / "rules")
    assert main(["case", "replay", "1", *book]) == 0
    assert "byte for byte" in capsys.readouterr().out


def test_a_house_may_have_a_whole_set_of_its_own(house):
    shutil.rmtree(house / "rules")
    shutil.copytree(ROOT / "rules", house / "rules")
    (house / "shop.toml").write_text('name = "Test Works"\n[rules]\nuse = "alone"\n')
    path = house / "rules/edition.yaml"
    path.write_text(path.read_text().replace("shipped rules", "rules of the house"))
    assert read(house).knowledge.edition == "rules of the house 2026.11"
    assert load.knowledge(house / "rules").sha256 == read(house).knowledge.sha256
