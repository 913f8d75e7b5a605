"""Drafts that a check stops: run by the long counts, for each reads all rules several times."""

from .changing import WHO, change

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
    name = err.split("--accept ")[1].split()[0]
    assert "is called 'nothing'" in rules("adopt", "--accept", "nothing", *WHO)[2]
    code, out, _ = rules("adopt", "--accept", name, *WHO)
    assert code == 0 and "Signed for, and failing: the test 'a light pedal' does not hold" in out
    assert "signed for, though it failed" in rules("history")[1]
    # With something beside it that bears on safety, nothing is signed for.
    rules("draft", "both", "--change", "thrust-load-known")
    change(shop, "both", "at_most: thrust_load_limit", "at_most: 2000 N", "thrust")
    code, _, err = rules("adopt", "--accept", name, *WHO)
    assert code == 2 and "bears on safety (rule thrust-load-known-house)" in err and "leave those entries out" in err


def test_a_draft_that_cannot_be_read_is_told_with_its_place(shop, rules):
    rules("draft", "light", "--change", "pedal-light")
    change(shop, "light", "150 N", "150 bananas")
    code, _, err = rules("adopt", *WHO)
    assert code == 5 and "release.yaml:" in err and "bananas" in err


def test_a_shipped_rule_that_changed_underneath_stops_the_adoption(shop, rules):
    rules("draft", "light", "--change", "pedal-light")
    path = change(shop, "light", "150 N", "140 N")
    text = path.read_text()
    at = text.index("hash: ") + len("hash: ")
    path.write_text(text[:at] + "aaaaaaaaaaaa" + text[at + 12 :])
    code, _, err = rules("adopt", *WHO)
    assert code == 2 and "replaces pedal-light, which has changed: it was aaaaaaaaaaaa" in err
