"""Rules changed by a lead at the command line, from the draft to what is in force; every refusal with its remedy."""

import json
import re

import pytest

from advisor.cli import main
from advisor.commands import rules_check
from advisor.knowledge import rules_in_force
from tests.conftest import ROOT

from .changing import WHO, change


@pytest.fixture
def complaints_once(monkeypatch):
    """What the shipped complaints come to, which no draft changes, is looked at by the first command that checks."""
    looked_at, run_complaints = [], rules_check.run_complaints

    def once(complaints, folder, findings):
        if not looked_at:
            run_complaints(complaints, folder, findings)
        looked_at.append(folder)

    monkeypatch.setattr(rules_check, "run_complaints", once)
    yield
    assert looked_at


@pytest.mark.usefixtures("complaints_once")
def test_a_change_from_the_draft_to_the_version_in_force(shop, rules, monkeypatch, capsys):
    code, out, _ = rules("draft", "light", "--change", "pedal-light")
    assert code == 0 and "pedal-light-house, in the place of the shipped pedal-light" in out
    change(shop, "light", "150 N", "140 N")
    code, out, _ = rules("compare")
    assert code == 0 and "pedal force always accepted: 150 N becomes 140 N" in out
    code, out, _ = rules("compare", "--json")
    (entry,) = json.loads(out)["changes"]
    assert (entry["id"], entry["place_of"], entry["safety"]) == ("pedal-light-house", "pedal-light", False)
    code, out, _ = rules("try", "--quick")
    assert code == 5 and "Checked: nothing fails." in out
    departs = re.search(r"departs \((\w{6})\): pedal-light-house stands in the place of the shipped pedal-light\.", out)
    assert departs and "expected 150, found 140" in out and "asks less" not in out
    # Nothing of it counts yet.
    assert rules_in_force.in_force(shop / "rules") is None
    code, out, _ = rules("adopt", *WHO, "--accept", departs[1])
    assert code == 0 and "Version 1 is in force, adopted" in out and "by The Lead: 150 N was found heavy" in out
    assert not (shop / "drafts/light").exists()
    code, out, _ = rules("history")
    assert "Version 1, adopted" in out and "150 N becomes 140 N" in out and "Version 0, as the rules stood" in out
    assert rules("history", "--check")[0] == 0
    code, out, _ = rules("show", "pedal-light-house")
    assert code == 0 and "140 N" in out
    case = str(ROOT / "scenarios/cases/lorry-declined.yaml")
    assert main(["case", "save", case, "--shop", str(shop)]) in (0, 4)
    # The same again is no change; going back is one.
    rules("draft", "again")
    code, _, err = rules("adopt", *WHO)
    assert code == 2 and "changes nothing" in err and "--discard" in err
    code, out, _ = rules("back", *WHO)
    assert code == 0 and "Version 2 is in force, back to version 0" in out
    code, _, err = rules("adopt", "again", *WHO)
    assert code == 2 and "after the draft was made" in err and "--renew" in err
    assert "version 2 was put in force, back to version 0, adopted" in err
    # The case says by which version it was decided, whatever is in force now.
    capsys.readouterr()
    monkeypatch.setenv("LEAST_CLUTCH_SHOP", str(shop))
    assert main(["case", "audit", "1"]) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert "House rules version 1, adopted" in page and "by The Lead: 150 N was found heavy." in page
    assert "house version 1: one rule" in page
    monkeypatch.delenv("LEAST_CLUTCH_SHOP")
    assert main(["case", "audit", "1", "--casebook", str(shop / "cases.sqlite")]) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert "House rules version 1; its history is not at hand here: name the shop in LEAST_CLUTCH_SHOP." in page


def test_only_a_lead_adopts_and_says_why(shop, rules):
    rules("draft", "light", "--change", "pedal-light")
    change(shop, "light", "150 N", "140 N")
    for by in ("The Counter", "Somebody"):
        code, _, err = rules("adopt", "--by", by, "--why", "because")
        assert code == 2 and "is no lead of this shop" in err and "lists as leads: The Lead" in err
    code, _, err = rules("adopt", "--by", "The Lead", "--why", " ")
    assert code == 2 and "reason is empty" in err
    text = (shop / "shop.toml").read_text()
    (shop / "shop.toml").write_text(text.replace('roles = ["lead"]', f'roles = ["lead"]\npublic_key = "{"A" * 43}="'))
    code, _, err = rules("adopt", *WHO)
    assert code == 2 and "signs with a key" in err and "--key" in err
    assert rules_in_force.in_force(shop / "rules") is None


def test_without_a_shop_or_a_draft_there_is_one_remedy(shop, rules, capsys):
    assert main(["rules", "draft", "light"]) == 2
    assert "advisor shop new" in capsys.readouterr().err
    assert "Begin one: advisor rules draft" in rules("try")[2]
    assert "nothing to go back to" in rules("back", *WHO)[2]
    assert "No version of the house rules was adopted yet" in rules("history")[1]
    assert "there is no version 3" in rules("compare", "3", "shipped")[2]
