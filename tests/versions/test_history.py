"""Versions of a shop's rules: numbered, known by their content, sealed; nothing is ever half in force."""

import errno
import os
import sqlite3

import pytest

from advisor.casebook import importing, salvage, signing
from advisor.casebook.book import Casebook
from advisor.errors import InputError, StoreError
from advisor.knowledge import disk, rules_in_force
from advisor.versions import drafts, history as histories
from advisor.versions.history import History

WORDS = {"by": "The Lead", "why": "found heavy", "shipped": "shipped rules 1", "changes": ["a: 1 becomes 2"]}


def adopted(folder, text, **other):
    """The next version, of one file."""
    with History(folder, write=True) as history:
        number, sha256, _ = drafts.standing(history)
        return history.adopt({"case/use.yaml": text.encode()}, expected=(number, sha256), **{**WORDS, **other})


def in_force(folder):
    """(number, its one file) of what is in force."""
    held = rules_in_force.in_force(folder / "rules")
    return held.number, (held.folder / "case/use.yaml").read_text()


def agree(folder):
    """What is in force is the last version of the history, byte for byte."""
    with History(folder) as history:
        assert history.faults() == []
        versions = history.versions()
        held = rules_in_force.in_force(folder / "rules")
        assert (held is None) == (not versions)
        if versions:
            assert rules_in_force.bodies(held.folder) == history.bodies(versions[-1])
        return [version.number for version in versions]


def test_versions_are_numbered_and_keep_who_when_and_why(bare):
    loose = (bare / "rules/case/use.yaml").read_bytes()
    adopted(bare, "a: 1\n")
    version = adopted(bare, "a: 2\n", why="found heavier")
    assert (version.number, version.by, version.why, version.before) == (2, "The Lead", "found heavier", 1)
    assert version.changes == ("a: 1 becomes 2",) and not version.signed
    assert in_force(bare) == (2, "a: 2\n") and agree(bare) == [0, 1, 2]
    with History(bare) as history:
        assert history.bodies(history.version(0)) == {"case/use.yaml": loose}
        assert history.version(1).sha256 != version.sha256
        with pytest.raises(InputError, match=r"There are: 0, 1, 2"):
            history.version(7)
    # The loose file became version 0; nobody edits by mistake what is no longer read.
    assert not (bare / "rules/case").exists()


def test_one_content_has_one_digest(bare):
    first = adopted(bare, "a: 1\n")
    adopted(bare, "a: 2\n")
    assert adopted(bare, "a: 1\n", back_to=1).sha256 == first.sha256


def test_a_version_says_where_no_rule_says_anything_else(shop, rules):
    adopted(shop, "a: 1\n")
    adopted(shop, "# as it was\na: 1\n", changes=[])
    out = rules("history")[1]
    assert out.count("no rule says anything else") == 1
    assert out.index("Version 2") < out.index("no rule says anything else") < out.index("Version 1")
    assert rules("history", "0")[1].endswith("before any version was adopted")


def test_of_two_leads_at_once_the_second_is_told_of_the_first(bare):
    with History(bare) as history:
        number, sha256, _ = drafts.standing(history)
    adopted(bare, "a: 1\n", why="the first was quicker")
    with History(bare, write=True) as history, pytest.raises(InputError, match=r"the first was quicker.*--renew"):
        history.adopt({"case/use.yaml": b"a: 2\n"}, expected=(number, sha256), **WORDS)
    assert in_force(bare) == (1, "a: 1\n") and agree(bare) == [0, 1]


STEPS = ("lay", "write", "append", "tidy")


@pytest.mark.parametrize("before", (0, 1))
@pytest.mark.parametrize("step", (*STEPS, "commit", "replace"))
def test_stopped_anywhere_all_of_a_version_is_in_force_or_none(bare, monkeypatch, step, before):
    """As a kill would leave it: nothing that runs on the way out is run; whoever reads next finds it mended."""
    if before:
        adopted(bare, "a: 1\n")

    class Killed(BaseException):
        pass

    def killed(*arguments, **named):
        raise Killed

    replace = os.replace

    def killed_at_last(source, place):
        if str(place).endswith(rules_in_force.POINTER):
            raise Killed
        replace(source, place)

    with monkeypatch.context() as stopped:
        stopped.setattr(History, "clear", lambda self, versions: None)
        if step == "replace":
            stopped.setattr(histories.os, "replace", killed_at_last)
        elif step == "commit":
            stopped.setattr("advisor.casebook.seals.Key.seal", killed)
        else:
            stopped.setattr(History, step, killed)
        with pytest.raises(Killed):
            adopted(bare, "a: 2\n")
    histories.settle(bare)
    numbers = agree(bare)
    # Once the history holds it, it counts; before, nothing of it does.
    assert (numbers[-1:] == [before + 1]) == (step in ("replace", "tidy"))
    assert not (bare / "rules" / rules_in_force.NEXT).exists()
    assert adopted(bare, "a: 3\n").number == (numbers[-1] if numbers else 0) + 1
    assert in_force(bare)[1] == "a: 3\n"


def test_a_full_disk_leaves_the_version_before(bare, monkeypatch):
    adopted(bare, "a: 1\n")

    def full(*arguments, **named):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as no_room:
        no_room.setattr(histories.disk, "write", full)
        with pytest.raises(StoreError, match=r"No space left.*nothing was changed"):
            adopted(bare, "a: 2\n")
    assert in_force(bare) == (1, "a: 1\n") and agree(bare) == [0, 1]
    assert sorted(path.name for path in (bare / "rules").iterdir() if path.is_dir()) == ["version-0", "version-1"]


def test_what_was_edited_by_hand_is_refused_and_mended(bare):
    adopted(bare, "a: 1\n")
    (bare / "rules/version-1/case/use.yaml").write_text("a: 9\n")
    with pytest.raises(StoreError, match=r"changed by hand.*--mend"):
        rules_in_force.in_force(bare / "rules")
    with History(bare) as history:
        assert "changed by hand" in history.faults()[0]
    with History(bare, write=True) as history:
        assert history.mend().number == 1
    assert in_force(bare) == (1, "a: 1\n")


def test_a_lost_pointer_is_told_and_mended(bare):
    adopted(bare, "a: 1\n")
    (bare / "rules" / rules_in_force.POINTER).unlink()
    with pytest.raises(StoreError, match=r"nothing says which is in force"):
        rules_in_force.in_force(bare / "rules")
    with History(bare, write=True) as history:
        history.mend()
    assert in_force(bare) == (1, "a: 1\n")
    (bare / "rules" / rules_in_force.POINTER).write_text("version = one")
    with pytest.raises(StoreError, match=r"does not say which version"):
        rules_in_force.in_force(bare / "rules")


def test_whoever_began_with_a_version_ends_with_it(bare):
    adopted(bare, "a: 1\n")
    began = rules_in_force.in_force(bare / "rules").folder
    adopted(bare, "a: 2\n")
    assert (began / "case/use.yaml").read_text() == "a: 1\n"


@pytest.mark.parametrize(
    "tampering",
    ("UPDATE entry SET body = replace(body, '\"version\":1', '\"version\":7')", "DELETE FROM entry WHERE 1"),
)
def test_a_history_that_was_changed_is_told(bare, tampering):
    adopted(bare, "a: 1\n")
    with sqlite3.connect(bare / "rules" / histories.FILE) as connection:
        for name in ("entry_stays", "entry_kept", "seal_kept", "apart_kept"):
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute(tampering)
    with History(bare) as history:
        assert history.faults()


def test_a_lead_signs_with_a_key_what_a_version_changes(bare):
    from advisor.casebook.signing import new_key, open_key, public_key

    path = bare / "lead.key"
    path.write_text(new_key("four words are enough"))
    version = adopted(bare, "a: 1\n", key=open_key(str(path), "four words are enough"))
    assert version.signed and "signed with a key" in version.adopted
    assert agree(bare) == [0, 1]
    with History(bare) as history:
        signed = [entry for entry in _entries(history) if entry.kind == "sign_off"]
        assert [entry.body["signature"]["public_key"] for entry in signed] == [public_key(str(path))]
        assert signing.fault(signed[0].body, "sign_off", version.entry.record) == ""
        assert signing.fault(signed[0].body, "sign_off", "0" * 64) != ""


def _entries(history):
    from advisor.casebook import entries, statements

    return [entries.of_row(row) for row in history.store.rows(statements.EVERY_ENTRY)]


def test_it_is_no_casebook_to_take_cases_from(bare, tmp_path):
    adopted(bare, "a: 1\n")
    with Casebook(tmp_path / "book.sqlite") as book, pytest.raises(InputError, match=r"versions of a shop's rules"):
        importing.take_over(book, bare / "rules" / histories.FILE)
    with Casebook(tmp_path / "book.sqlite") as book:
        salvaged = salvage.salvage(book, bare / "rules" / histories.FILE)
        assert (salvaged.taken, list(book.every_entry())) == (0, [])
        assert set(salvaged.left.values()) == {"entry 1 belongs to the versions of a shop's rules, not to a case"}


def test_reason_and_name_stand_apart_and_are_asked_for(bare):
    for wrong in ({"by": " "}, {"why": ""}):
        with pytest.raises(InputError, match=r"is empty"):
            adopted(bare, "a: 1\n", **wrong)
    adopted(bare, "a: 1\n", why="a reason to be erased")
    with History(bare) as history:
        sealed = [entry.bare() for entry in _entries(history)]
    assert not any("reason to be erased" in str(part) or "The Lead" in str(part) for part in sealed)


def test_settling_costs_nothing_where_nothing_was_left(bare, monkeypatch):
    monkeypatch.setattr(histories, "History", None)
    histories.settle(bare)
    assert disk.below(bare / "rules", (".yaml",))
