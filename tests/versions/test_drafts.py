"""Drafts: begun from what is in force, brought up to it, and shipped rules taken in to be changed."""

import pytest

from advisor.errors import InputError
from advisor.knowledge import load
from advisor.versions import drafts
from advisor.versions.history import History
from tests.casebook import shelf

from .test_history import adopted


def begun(folder, name="draft"):
    with History(folder) as history:
        return drafts.begin(folder, history, name)


def renewed(folder, draft):
    with History(folder) as history:
        return drafts.renewed(folder, history, draft)


FIVE = "one: 1\ntwo: 2\nthree: 3\nfour: 4\nfive: 5\n"


def test_a_draft_is_a_copy_of_what_is_in_force(bare):
    first = begun(bare, "early")
    assert (first.version, first.bodies()) == (0, {"case/use.yaml": FIVE.encode()})
    adopted(bare, "a: 1\n")
    second = begun(bare, "late")
    assert (second.version, second.bodies()) == (1, {"case/use.yaml": b"a: 1\n"})
    assert [draft.name for draft in drafts.all_of(bare)] == ["early", "late"]
    with pytest.raises(InputError, match=r"several drafts.*early, late"):
        drafts.the_one(bare, None)
    drafts.discard(first)
    assert drafts.the_one(bare, None) == second


def test_names_are_names(bare):
    begun(bare, "light-pedal")
    for name in ("light-pedal", "Light Pedal", "../other", ""):
        with pytest.raises(InputError):
            begun(bare, name)
    with pytest.raises(InputError, match=r"There are: light-pedal"):
        drafts.named(bare, "heavy-pedal")


def test_what_was_adopted_since_is_brought_in_line_by_line(bare):
    draft = begun(bare)
    path = draft.folder / "case/use.yaml"
    path.write_text(path.read_text().replace("five: 5", "five: 55"))
    (draft.folder / "case/mine.yaml").write_text("mine: 1\n")
    with History(bare, write=True) as history:
        number, sha256, bodies = drafts.standing(history)
        changed = {**bodies, "case/use.yaml": FIVE.replace("one: 1", "one: 11").encode(), "setup/new.yaml": b"n: 1\n"}
        words = {"by": "Another Lead", "why": "otherwise", "shipped": "shipped", "changes": []}
        history.adopt(changed, expected=(number, sha256), **words)
    assert renewed(bare, draft) == ["case/use.yaml: both changes", "setup/new.yaml: as in the version in force"]
    again = drafts.named(bare, draft.name)
    assert again.version == 1 and set(again.bodies()) == {"case/use.yaml", "case/mine.yaml", "setup/new.yaml"}
    assert path.read_text() == FIVE.replace("one: 1", "one: 11").replace("five: 5", "five: 55")
    assert renewed(bare, again) == []


def test_where_both_changed_the_same_lines_nothing_is_written(bare):
    draft = begun(bare)
    path = draft.folder / "case/use.yaml"
    path.write_text(FIVE.replace("three: 3", "three: 33"))
    adopted(bare, FIVE.replace("three: 3", "three: 34"))
    with pytest.raises(InputError, match=r"changed the same lines as the draft: case/use.yaml, line 3"):
        renewed(bare, draft)
    assert path.read_text() == FIVE.replace("three: 3", "three: 33") and drafts.named(bare, draft.name).version == 0
    # The same change on both sides is no quarrel.
    path.write_text(FIVE.replace("three: 3", "three: 34"))
    assert renewed(bare, draft) == []


@pytest.mark.parametrize("low", range(5))
@pytest.mark.parametrize("other", range(5))
def test_changes_of_lines_that_lie_apart_are_both_kept(low, other):
    base = [f"{number}\n" for number in range(5)]
    theirs, mine = ([f"{side}\n" if place == at else line for place, line in enumerate(base)]
                    for side, at in (("t", low), ("m", other)))  # fmt: skip
    lines, clashing = drafts.merge(base, theirs, mine)
    if abs(low - other) > 1:
        assert not clashing and lines[low] == "t\n" and lines[other] == "m\n" and len(lines) == 5
    else:
        assert clashing


@pytest.mark.parametrize("name", ("pedal-light", "use-factor-road", "thrust-load-known", "holds-worn-and-warm"))
def test_a_shipped_rule_taken_in_says_what_it_said(bare, name):
    """A member of a group, a row of a table, one with a reason of its own, one by itself."""
    (bare / "rules/case/use.yaml").unlink()
    knowledge = shelf.content().knowledge
    draft = begun(bare)
    place, new = drafts.take_in(draft, drafts.rule_of(knowledge, name), knowledge)
    assert new == f"{name}-house" and place.is_relative_to(draft.folder)
    over = load.knowledge(shelf.folder() / "rules", draft.folder)
    before, after = drafts.rule_of(knowledge, name), drafts.rule_of(over, new)
    for part in ("stage", "topic", "title", "all", "any", "conclude", "cautions", "items", "because", "basis"):
        if part != "cautions":
            assert getattr(before, part) == getattr(after, part), part
    assert [(each.measure, each.limit, each.level, each.safety) for each in before.require] == [
        (each.measure, each.limit, each.level, each.safety) for each in after.require
    ]
    assert over.replaced == {new: name} and name not in {rule.id for rule in over.rules}
    assert not [remark for remark in over.remarks if remark.stale]
    with pytest.raises(InputError, match=r"is replaced by the house rule"):
        drafts.take_in(draft, before, over)


def test_two_rules_of_one_topic_go_into_one_file(bare):
    (bare / "rules/case/use.yaml").unlink()
    knowledge, draft = shelf.content().knowledge, begun(bare)
    for name in ("pedal-light", "pedal-moderate"):
        drafts.take_in(draft, drafts.rule_of(knowledge, name), knowledge)
    assert len(load.knowledge(shelf.folder() / "rules", draft.folder).replaced) == 2
    with pytest.raises(InputError, match=r"Nearest: .*pedal-light"):
        drafts.rule_of(knowledge, "pedal-ligt")


def test_a_rule_was_written_by_the_version_that_last_changed_it(bare):
    from advisor.versions import authorship

    group = "rules:\n  - {id: whole, title: T}\n  - title: G\n    group:\n      - {id: one, when: {a: 1}}\n"
    table = "  - title: T\n    table:\n      when: [a]\n      conclude: [b]\n      rows:\n        row: [1, 2]\n"
    for number, text in enumerate((group, group + table, (group + table).replace("[1, 2]", "[1, 3]"), group), 1):
        assert adopted(bare, text).number == number
    with History(bare) as history:
        versions = history.versions()
        assert authorship.since(history, versions[:-1]) == {"whole": 1, "one": 1, "row": 3}
        assert authorship.since(history, versions) == {"whole": 1, "one": 1}
        assert [each.number for each in authorship.written(versions)] == [0, 1, 2, 3, 4]
