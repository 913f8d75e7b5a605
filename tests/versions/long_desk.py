"""Drafts that a check stops, and one signed elsewhere: run by the long counts, for each reads all rules often."""

import io
import re

from advisor.casebook import signing
from advisor.cli import main

from .changing import WHO, change, listed_with_key, signed_for

PASSPHRASE = "four words are enough"

TEST = """tests:
  - name: a light pedal
    given: {pedal_tolerance: light}
    expect: {pedal_floor_must: 120 N}
    expect_fired: [pedal-light-house]
"""


def test_nothing_is_adopted_while_a_check_fails_and_what_is_not_about_safety_may_be_signed_for(shop, rules):
    rules("draft", "light", "--change", "pedal-light")
    path = change(shop, "light", "150 N", "140 N")
    path.with_name("release.tests.yaml").write_text(TEST)
    code, _, err = rules("adopt", *WHO)
    assert code == 2 and "a check fails: the test 'a light pedal' does not hold" in err
    names = re.findall(r"--accept (\w{6})", err)
    assert len(names) == 2, "what fails, and that the rule departs from the shipped one"
    signed = [word for name in names for word in ("--accept", name)]
    assert "is called 'nothing'" in rules("adopt", "--accept", "nothing", *WHO)[2]
    code, out, _ = rules("adopt", *signed, *WHO)
    assert code == 0 and "Signed for: the test 'a light pedal' does not hold" in out
    assert "signed for" in rules("history")[1]
    # Going back to it is signed for in the same way.
    rules("draft", "mended")
    (shop / "drafts/mended/case/release.tests.yaml").unlink()
    assert rules("adopt", *WHO)[0] == 0
    code, _, err = rules("back", "1", *WHO)
    (fails,) = set(re.findall(r"--accept (\w{6})", err))
    assert code == 2 and fails in names
    code, out, _ = rules("back", "1", "--accept", fails, *WHO)
    assert code == 0 and "Version 3 is in force, back to version 1" in out
    assert "Signed for: the test 'a light pedal' does not hold" in out
    # With something beside it that bears on safety, nothing is signed for.
    rules("draft", "both", "--change", "thrust-load-known")
    change(shop, "both", "at_most: thrust_load_limit", "at_most: 2000 N", "thrust")
    code, _, err = rules("adopt", *signed[:2], *WHO)
    assert code == 2 and "bears on safety (rule thrust-load-known-house)" in err and "leave those entries out" in err


def test_a_draft_that_cannot_be_read_is_told_with_its_place(shop, rules):
    rules("draft", "light", "--change", "pedal-light")
    change(shop, "light", "150 N", "150 bananas")
    code, _, err = rules("adopt", *WHO)
    assert code == 5 and "release.yaml:" in err and "bananas" in err


def test_a_draft_that_another_version_overtook_is_told_when_it_is_tried_and_an_empty_one_has_nothing_to_try(
    shop, rules
):
    rules("draft", "light", "--change", "pedal-light")
    rules("draft", "other")
    code, out, _ = rules("try", "other")
    assert code == 0 and "nothing yet: no rule says anything else" in out and "--change RULE" in out
    assert "past callers" not in out and "No case was kept" not in out
    change(shop, "light", "150 N", "140 N")
    rules("adopt", "light", *signed_for(rules, "light"), *WHO)
    code, out, _ = rules("try", "other", "--quick")
    assert code == 0 and out.startswith("It cannot be adopted as it is: version 1 was adopted")
    assert "advisor rules draft other --renew" in out and "pedal force always accepted: 140 N becomes 150 N" in out
    rules("draft", "other", "--renew")
    assert rules("try", "other", "--quick")[1].startswith(
        "What draft other changes in version 1, in force: nothing yet"
    )


def test_a_shipped_rule_that_changed_underneath_stops_the_adoption(shop, rules):
    rules("draft", "light", "--change", "pedal-light")
    path = change(shop, "light", "150 N", "140 N")
    text = path.read_text()
    at = text.index("hash: ") + len("hash: ")
    path.write_text(text[:at] + "aaaaaaaaaaaa" + text[at + 12 :])
    code, _, err = rules("adopt", *WHO)
    assert code == 2 and "replaces pedal-light, which has changed: it was aaaaaaaaaaaa" in err


def test_from_the_counters_machine_to_the_leads_and_back(shop, rules, tmp_path, monkeypatch, capsys):
    key = tmp_path / "lead.key"
    key.write_text(signing.new_key(PASSPHRASE))
    listed_with_key(shop, key)
    asked, signed = str(tmp_path / "asked"), str(tmp_path / "signed")
    rules("draft", "light", "--change", "pedal-light")
    change(shop, "light", "150 N", "140 N")
    code, out, _ = rules("to-sign", "--to", asked, *signed_for(rules, "light"))
    assert code == 0 and "to be signed with: advisor lead sign" in out

    monkeypatch.setattr("sys.stdin", io.StringIO(f"{PASSPHRASE}\n"))
    sign = ["lead", "sign", asked, "--key", str(key), "--by", "The Lead", "--out", signed]
    assert main([*sign, "--text", "150 N was found heavy"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "Version 1 of the house rules" in out and "150 N becomes 140 N" in out and "rules adopt --signature" in out

    code, out, _ = rules("adopt", "--signature", signed)
    assert code == 0 and "by The Lead, signed with a key: 150 N was found heavy." in out
    assert rules("history", "--check")[0] == 0 and not (shop / "drafts/light").exists()
    code, _, err = rules("back", "--signature", signed)
    assert code == 2 and "on something else" in err and "rules to-sign" in err
    assert rules("to-sign", "--back", "0", "--to", asked, "--replace")[0] == 0
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{PASSPHRASE}\n"))
    assert main([*sign, "--replace", "--text", "not needed"]) == 0
    assert "which goes back to version 0" in capsys.readouterr().out
    code, out, _ = rules("back", "--signature", signed)
    assert code == 0 and "Version 2 is in force, back to version 0" in out and "signed with a key" in out
