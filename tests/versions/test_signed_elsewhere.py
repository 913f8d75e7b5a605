"""A version signed by a lead on a machine of his own, and adopted where the shop's folder is: nothing else goes in."""

import dataclasses
import io
import json

import pytest

from advisor.casebook import entries, signing, statements
from advisor.cli import main
from advisor.errors import InputError, StoreError
from advisor.knowledge import rules_in_force
from advisor.versions import drafts, to_sign
from advisor.versions.history import History
from advisor.versions.to_sign import VersionAsked

from .changing import listed_with_key

PASSPHRASE = "four words are enough"
FILES = {"case/use.yaml": b"a: 1\n"}
CHANGES = ("a: 1 becomes 2",)


@pytest.fixture(scope="module")
def key(tmp_path_factory):
    """A lead's key, in a file of his own."""
    path = tmp_path_factory.mktemp("lead") / "lead.key"
    path.write_text(signing.new_key(PASSPHRASE))
    return path


def asked_of(folder, files=FILES, changes=CHANGES, **other):
    """What the next version of a folder will be."""
    with History(folder) as history:
        number, sha256, _ = drafts.standing(history)
    body = {"version": number + 1, "rules": rules_in_force.digest(files), "before": number, "back_to": None}
    return VersionAsked({**body, "shipped": "shipped rules 1", "accepted": [], **other}, sha256, changes)


@pytest.fixture(scope="module")
def opened(key):
    """The same key, opened once."""
    return signing.open_key(str(key), PASSPHRASE)


def signed_of(asked, opened, why="found heavy"):
    return signing.sign(asked.asked(), opened, by="The Lead", verdict="sign_off", text=why)


def adopt(folder, signed, files=FILES, changes=CHANGES, shipped="shipped rules 1"):
    with History(folder, write=True) as history:
        number, sha256, _ = drafts.standing(history)
        return history.adopt(
            files, expected=(number, sha256), by="-", why="-", shipped=shipped, changes=changes, signed=signed
        )


def test_what_was_signed_elsewhere_is_adopted_sealed_and_still_holds(bare, opened):
    version = adopt(bare, signed_of(asked_of(bare), opened))
    assert (version.number, version.by, version.why, version.signed) == (1, "The Lead", "found heavy", True)
    second = {"case/use.yaml": b"a: 2\n"}
    adopt(bare, signed_of(asked_of(bare, second), opened, "heavier"), second)
    with History(bare) as history:
        assert history.faults() == [] and [version.signed for version in history.versions()] == [False, True, True]


def test_a_signature_fits_no_other_step(bare, opened):
    first = signed_of(asked_of(bare), opened)
    other = {"case/use.yaml": b"a: 2\n"}
    for changed in ({"files": other}, {"changes": ("a: 1 becomes 3",)}, {"shipped": "shipped rules 2"}):
        with pytest.raises(InputError, match="on something else"):
            adopt(bare, first, **changed)
    for forged in ({"by": "Another Lead"}, {"text": "no reason"}, {"public_key": "A" * 43 + "="}):
        with pytest.raises(InputError, match="does not hold"):
            adopt(bare, dataclasses.replace(first, **forged))
    with pytest.raises(InputError, match="objects"):
        adopt(bare, dataclasses.replace(first, verdict="objection"))
    adopt(bare, first)
    adopt(bare, signed_of(asked_of(bare, other), opened), other)
    # The files of version 1 again are another step, from another version.
    with pytest.raises(InputError, match="on something else"):
        adopt(bare, first)
    with History(bare) as history:
        assert [version.number for version in history.versions()] == [0, 1, 2] and history.faults() == []


def test_a_signature_put_beside_another_adoption_shows(bare, opened):
    """Every seal is whole: only what the signature is on tells."""
    asked = asked_of(bare)
    signed = signed_of(asked, opened)
    for other, holds in ((asked.body, True), ({**asked.body, "shipped": "shipped rules 2"}, False)):
        with History(bare, write=True) as history, history.store.transaction() as connection:
            connection.execute(statements.ADD_CASE)
            loose = rules_in_force.bodies(bare / "rules")
            first = {**asked.body, "version": 0, "rules": asked.rules_before, "before": None}
            history.append(connection, first, loose, ())
            entry = history.append(connection, other, FILES, CHANGES, by="The Lead", why="found heavy")
            key = {"public_key": signed.public_key, "value": signed.signature, "said": signed.said}
            body = {"of": entry.number, "decision": signed.decision, "text": signed.text, "signature": key}
            entries.append(connection, 1, "sign_off", body, by="The Lead", private={"salt": signed.salt})
        with History(bare) as history:
            if holds:
                assert [version.signed for version in history.versions()] == [False, True]
            else:
                with pytest.raises(StoreError, match="stands on another decision"):
                    history.versions()
        (bare / "rules/history.sqlite").unlink()


@pytest.mark.parametrize("part", ["rules_before", "changes", "adoption", "schema"])
def test_a_file_to_be_signed_that_is_none_is_told(bare, tmp_path, part):
    held = json.loads(asked_of(bare).data())
    path = tmp_path / "asked"
    path.write_text(json.dumps({**held, part: "something"}))
    assert to_sign.is_of_a_version(str(path)) == (part != "schema")
    with pytest.raises(InputError, match="not what is asked for"):
        to_sign.read(str(path))
    path.write_text(json.dumps(held))
    assert to_sign.read(str(path)) == asked_of(bare)


def test_a_lead_reads_what_he_signs_and_says_why(bare, shop, rules, key, tmp_path, monkeypatch, capsys):
    listed_with_key(shop, key)
    asked, signed = tmp_path / "asked", str(tmp_path / "signed")
    asked.write_text(asked_of(bare, back_to=0).data())
    sign = ["lead", "sign", str(asked), "--key", str(key), "--by", "The Lead", "--out", signed]
    assert main(sign) == 2 and "reason (--text) is empty" in capsys.readouterr().err
    assert main([*sign, "--objection", "--text", "no"]) == 2
    capsys.readouterr()
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{PASSPHRASE}\n"))
    assert main([*sign, "--text", "found heavy"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "Version 1 of the house rules, which goes back to version 0" in out and "a: 1 becomes 2" in out
    assert "advisor rules back --signature" in out
    # Only what the signature says counts, and only from a lead whose key shop.toml lists.
    assert "says by itself" in rules("adopt", "--signature", signed, "--by", "The Lead")[2]
    code, _, err = rules("adopt", "--by", "The Lead", "--why", "heavy")
    assert code == 2 and "signs with a key" in err and "advisor rules to-sign" in err and "--signature" in err
    assert "adopted by a lead, for a reason" in rules("adopt", "--by", "The Lead")[2]
    text = (shop / "shop.toml").read_text()
    (shop / "shop.toml").write_text(text.replace('public_key = "', 'public_key = "A').replace('="\n', '"\n'))
    assert rules("adopt", "--signature", signed)[0] == 2
