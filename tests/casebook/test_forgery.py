"""Forged histories: each is found, or said to be beyond what the file can show and found by an anchor kept elsewhere.

The forger may change every byte of the casebook and knows the program; where a test says so he has the key of the seals
and the note beside it as well. He never has the lead's key with its passphrase.
"""

import json
import shutil
from dataclasses import replace

import pytest

from advisor.casebook import anchors, entries, json_within_limits, seals, signatures, signing
from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.cli import main
from advisor.errors import AdvisorError, InputError, StoreError

from . import shelf, stores
from .forging import rewritten, stored
from .stores import unguarded

PASSPHRASE = "four words of a lead"
CHEAP = {"n": 2, "r": 1, "p": 1}


@pytest.fixture(scope="module")
def lead(tmp_path_factory):
    """The file of a lead's key; its passphrase is stretched no further than a test needs."""
    path = tmp_path_factory.mktemp("lead") / "lead.key"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(signing, "COST", CHEAP)
        path.write_text(signing.new_key(PASSPHRASE), encoding="utf-8")
    return path


@pytest.fixture
def opened_key(lead, monkeypatch):
    """The lead's private key."""
    monkeypatch.setattr(signing, "COST", CHEAP)
    return signing.open_key(str(lead), PASSPHRASE)


@pytest.fixture
def path(tmp_path, opened_key):
    """A casebook with a case that a lead signed with his key, one without, and a note."""
    place = tmp_path / "casebook.sqlite"
    with Casebook(place) as book:
        shelf.save(book, "mild-street-tune", by="counter two", note="rings on Monday")
        shelf.save(book, "nothing-fits")
        asked = signatures.to_sign(book, 1)
        signed = signing.sign(asked, opened_key, by="The Lead", verdict="sign_off", text="agreed")
        signatures.take(book, 1, signed)
        book.note(2, "later")
    return place


@pytest.fixture
def anchor(path):
    """What was written down elsewhere before anything was forged."""
    with Casebook(path, write=False) as book:
        return anchors.anchor_of(book.store)


def faults(path):
    """What a check finds."""
    return check_file(path)[0]


def anchored(path, anchor):
    """What holding it against the anchor finds."""
    with Casebook(path, write=False) as book:
        return anchors.faults(book.store, [anchor])


def refused(path, number=1):
    """Why a case is not shown, in words; "" where it is."""
    try:
        with Casebook(path, write=False) as book:
            _, decision = book.standing(number)
            book.record(decision)
    except AdvisorError as error:
        return str(error)
    return ""


def cheaper(entry):
    """The decision of the first case, another kit and another price told of the same record."""
    if entry.kind == "decision" and entry.case == 1:
        return replace(entry, body={**entry.body, "pick": "skelder-228-s9", "price": 1.0})
    return entry


def same(entry):
    """As it was."""
    return entry


def test_nothing_forged_is_sound(path, anchor, capsys):
    assert faults(path) == [] and anchored(path, anchor) == [] and refused(path) == ""
    assert main(["case", "check", "--casebook", str(path), "--anchor", anchor.line()]) == 0
    told = capsys.readouterr().out
    assert "all sound" in told and "agrees with the anchor" in told and "cannot be checked" not in told


# 1. One row, nothing else.
def test_a_row_changed_alone(path):
    with unguarded(path) as connection:
        connection.execute("UPDATE entry SET at = '2026-02-02T00:00:00Z' WHERE number = 1")
    assert any("entry 1 of case 1 was changed" in fault for fault in faults(path))
    assert "was changed" in refused(path)


# 2. The summary of a decision, all digests reckoned anew: the seals say so, and so does the record without any key.
def test_another_kit_and_price_over_an_untouched_record(path, monkeypatch, tmp_path):
    rewritten(path, cheaper)
    found = faults(path)
    assert any("pick, price" in fault for fault in found) and any("not the key's" in fault for fault in found)
    assert refused(path)
    for action in (["show", "1"], ["audit", "1"], ["export", "1"], ["export", "1", "--as", "json"]):
        assert main(["case", *action, "--casebook", str(path)]) == 2
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "elsewhere"))
    assert any("pick, price" in fault for fault in faults(path))


def test_a_price_beyond_all_reckoning(path):
    """A whole number of 400 digits is JSON, and no float."""

    def priced(entry):
        return replace(entry, body={**entry.body, "price": 10**400}) if entry.kind == "decision" else entry

    rewritten(path, priced, key=seals.key_here())
    assert any("does not hold what an entry of kind decision holds" in fault for fault in faults(path))
    assert main(["case", "show", "1", "--casebook", str(path)]) == 2


@pytest.mark.parametrize(
    "text",
    ["1e999", '{"a": 1.5e999}', f"[{'9' * 400}.0]", f"[-{'9' * 400}]", f"[{'9' * 250}e99]", "[NaN]", '["\\ud800"]'],
)
def test_what_is_no_json_or_cannot_be_reckoned_with_is_not_read(text):
    assert json_within_limits.read(text) is None


def test_what_stands_too_deep_is_not_read_and_all_else_is():
    assert json_within_limits.read("[" * 12 + "]" * 12) is not None
    assert json_within_limits.read("[" * 13 + "]" * 13) is None
    assert json_within_limits.read('[1e300, true, "\\ud83d\\ude00"]') == [1e300, True, "\U0001f600"]


# 3. Summary and record both.
def test_a_forged_record(path):
    old, new = stored(path, lambda record: {**record, "forged": True})
    rewritten(path, lambda entry: replace(entry, record=new) if entry.record == old else entry)
    found = faults(path)
    assert any("not the key's" in fault for fault in found)
    # The lead's signature is on the record he saw.
    assert any("was not made with the key it names, or on something else" in fault for fault in found)
    assert refused(path)


# 4. A sign-off in a lead's name.
def test_a_made_up_signature(path, opened_key):
    with Casebook(path, write=False) as book:
        good = next(entry for entry in book.history(1) if entry.kind == "sign_off")
    # Taken from another decision.
    with Casebook(path) as book, book.store.transaction() as connection:
        decision = book.standing(2)[1]
        body = {**good.body, "of": decision.number, "decision": decision.digest}
        entries.append(connection, 2, "sign_off", body, by=good.by, private={"salt": good.kept["salt"]})
    assert any("of case 2 carries a signature" in fault for fault in faults(path))
    assert "carries a signature" in refused(path, 2)


def test_a_signature_under_another_name_or_on_other_words(path):
    with unguarded(path) as connection:
        (number,) = connection.execute("SELECT number FROM entry WHERE kind = 'sign_off'").fetchone()
        row = entries.seal_text("salt", "Another Lead"), "salt", "Another Lead", number
        connection.execute("UPDATE apart SET digest = ?, salt = ?, text = ? WHERE part = 'by' AND entry = ?", row)
        rows = connection.execute("SELECT part, digest FROM apart WHERE entry = ?", (number,)).fetchall()
    sealed = entries.seal_parts(dict(rows))
    rewritten(
        path, lambda entry: replace(entry, sealed=sealed) if entry.number == number else entry, key=seals.key_here()
    )
    assert any("carries a signature on other words" in fault for fault in faults(path))


def test_a_signature_of_nobodys_key_is_a_name_alone(path, capsys):
    """Whoever writes to the casebook may write a name; the page says that no key stands behind it."""
    with Casebook(path) as book:
        book.sign(2, by="The Lead")
    assert faults(path) == []
    assert main(["case", "audit", "2", "--casebook", str(path)]) == 0
    assert "a name alone, without a key" in " ".join(capsys.readouterr().out.split())


# 5. Seals taken off, so that it looks like a casebook of before.
def test_seals_taken_off(path, anchor):
    rewritten(path, cheaper)
    with unguarded(path) as connection:
        connection.execute("DELETE FROM seal")
    assert any("has no seal" in fault for fault in faults(path))
    assert anchored(path, anchor)


@pytest.mark.file_only
@pytest.mark.parametrize("mac", ["é", b"\xff", ""])
def test_a_seal_that_no_program_makes(path, mac):
    with unguarded(path) as connection:
        connection.execute("UPDATE seal SET mac = ? WHERE entry = 2", (mac,))
    assert faults(path) == ["entry 2 carries a seal that is not the key's: it was changed or made up"]


@pytest.mark.file_only
def test_a_key_that_no_program_makes_is_named_in_no_remark(path):
    """A key met for the first time is shown, in a command to accept it: nothing else may get there through the file."""
    keys = (b"\xff", "\x1b[31m", "0; rm seal.key", "0" * 15)
    with unguarded(path) as connection:
        for number, key in enumerate(keys, 1):
            connection.execute("UPDATE seal SET key = ? WHERE entry = ?", (key, number))
    wrong = "carries a seal under a key that cannot be: it was changed or made up"
    assert faults(path) == [f"entry {number} {wrong}" for number in range(1, len(keys) + 1)]
    with Casebook(path) as book:
        looked = seals.look(book.store)
        assert (looked.remarks, looked.unmet) == ([], {})
        seals.accept(book.store)  # as it stands: the faults stay named
        assert len(seals.look(book.store).faults) == len(keys)


# 6. Cut short, or an older copy put back.
@pytest.mark.file_only
def test_an_older_copy_put_back(path, anchor, tmp_path):
    copy = tmp_path / "older.sqlite"
    with Casebook(path, write=False) as book:
        book.store.copy_to(copy)
    with Casebook(path) as book:
        book.note(1, "what somebody wants away")
        newer = anchors.anchor_of(book.store)
    for beside in ("-wal", "-shm"):
        path.with_name(path.name + beside).unlink(missing_ok=True)
    shutil.copy(copy, path)
    assert any("which this machine wrote last, is not in it" in fault for fault in faults(path))
    assert anchored(path, newer) and not anchored(path, anchor)
    # A backup at a place of its own is sound for what it holds.
    assert faults(copy) == []


def test_the_last_entries_taken_out(path, anchor):
    rewritten(path, lambda entry: None if entry.number == anchor.entry else entry)
    assert any("is not in it: it ends with entry" in fault for fault in faults(path))
    assert anchored(path, anchor)


# 7. Another casebook in its place, whole and sound by itself.
@pytest.mark.file_only
def test_another_casebook_in_its_place(path, anchor, tmp_path, monkeypatch, capsys):
    with monkeypatch.context() as elsewhere:
        elsewhere.setenv("XDG_DATA_HOME", str(tmp_path / "forger"))
        forged = tmp_path / "forged.sqlite"
        with Casebook(forged) as book:
            shelf.save(book, "nothing-fits")
        assert faults(forged) == []
    for beside in ("-wal", "-shm"):
        path.with_name(path.name + beside).unlink(missing_ok=True)
    shutil.copy(forged, path)
    assert any("another casebook" in fault for fault in faults(path))
    assert any("of another casebook" in fault for fault in anchored(path, anchor))
    # Who put it there himself says so, once; foreign seals stay named.
    assert main(["case", "check", "--casebook", str(path), "--accept"]) == 0
    told = capsys.readouterr().out
    assert "Accepted: another casebook" in told and "cannot be checked here" in told
    assert main(["case", "check", "--casebook", str(path)]) == 0


# 8. With the key of the seals and the note beside it: beyond what the file shows. The anchor shows it, and what a lead
# signed with his own key cannot be made anew.
def test_all_of_it_rewritten_with_the_stolen_key(path, anchor, capsys):
    def forge(entry):
        if entry.number == 1:
            return replace(entry, at="2026-01-05T00:00:00Z")
        return None if entry.kind == "sign_off" else entry

    rewritten(path, forge, key=seals.key_here())
    with Casebook(path, write=False) as book:
        seals.accept(book.store)
    assert faults(path) == []  # beyond reach of the file, its seals and its note
    assert any("is gone" in fault or "is not the one" in fault for fault in anchored(path, anchor))
    assert main(["case", "check", "--casebook", str(path), "--anchor", anchor.line()]) == 2
    capsys.readouterr()
    main(["case", "check", "--help"])
    told = " ".join(capsys.readouterr().out.split())
    assert "unless whoever did it could read the key" in told and "keys or no keys" in told


def test_with_the_stolen_key_a_signed_decision_still_cannot_be_changed(path):
    rewritten(
        path,
        lambda entry: replace(entry, at="2026-01-05T00:00:00Z") if entry.number == 1 else entry,
        key=seals.key_here(),
    )
    with Casebook(path, write=False) as book:
        seals.accept(book.store)
    assert any("was not made with the key it names, or on something else" in fault for fault in faults(path))


def test_a_changed_note_is_never_shown(path, capsys):
    with unguarded(path) as connection:
        connection.execute("UPDATE apart SET text = 'rings on Friday' WHERE part = 'text' AND entry = 2")
    for action in ("show", "audit"):
        assert main(["case", action, "1", "--casebook", str(path), "--people"]) == 2
        told = capsys.readouterr()
        assert "Friday" not in told.out and "was changed after it was written" in told.err
    assert main(["case", "export", "1", "--notes", "--casebook", str(path)]) == 2
    assert "Friday" not in capsys.readouterr().out


# --- keys


def test_a_lost_key_is_said_plainly_and_stops_nothing(path, capsys):
    first = seals.key_here()
    seals.key_place().unlink()
    assert faults(path) == []
    with Casebook(path, write=False) as book:
        (remark,) = seals.look(book.store).remarks
        assert first.id in remark and "no key is on this machine" in remark
    with Casebook(path) as book:
        book.note(1, "goes on")
    assert seals.key_here() != first
    assert main(["case", "check", "--casebook", str(path)]) == 0
    told = capsys.readouterr().out
    assert f"sealed with the key {first.id}" in told and "cannot be checked here" in told
    # With a made-up seal under the key that is here, nothing of that helps.
    rewritten(path, cheaper)
    assert refused(path)


def as_another_counter(path, monkeypatch, folder, write):
    """Another counter, with a key of its own, writes to the same casebook; its key."""
    with monkeypatch.context() as there:
        there.setenv("XDG_DATA_HOME", str(folder))
        with Casebook(path) as book:
            write(book)
        return seals.key_here()


def checked(path, capsys, *more):
    """Exit code and words of a check."""
    code = main(["case", "check", "--casebook", str(path), *more])
    told = capsys.readouterr()
    return code, " ".join((told.out + told.err).split())


def test_another_counter_met_for_the_first_time_is_a_remark_with_its_remedy(path, monkeypatch, tmp_path, capsys):
    def write(book):
        shelf.save(book, "nothing-fits", note="taken at the other counter")

    other = as_another_counter(path, monkeypatch, tmp_path / "other", write)
    code, told = checked(path, capsys)
    assert (code, faults(path)) == (0, [])
    assert "all sound" in told and f"sealed with the key {other.id}, which this machine meets for the first" in told
    assert (
        f"advisor case check --accept {other.id}" in told
        and f"This machine seals with the key {seals.key_here().id}." in told
    )
    # Both counters see each other's cases meanwhile, and the first goes on writing after the second.
    for action in (["show", "3"], ["audit", "3"], ["list"], ["export", "3"]):
        assert main(["case", *action, "--casebook", str(path)]) == 0
    with Casebook(path) as book:
        book.note(3, "the first counter goes on")
    assert checked(path, capsys)[0] == 0
    # The other counter shows the same key as its own, so it is accepted; the first digits are enough.
    with monkeypatch.context() as there:
        there.setenv("XDG_DATA_HOME", str(tmp_path / "other"))
        assert f"This machine seals with the key {other.id}." in checked(path, capsys)[1]
    code, told = checked(path, capsys, "--accept", "no such key")
    assert code == 2 and f"Name one of {other.id}" in told
    code, told = checked(path, capsys, "--accept", other.id[:6])
    assert code == 0 and f"Accepted: the key {other.id} as another counter's." in told
    code, told = checked(path, capsys)
    assert code == 0 and "for the first time" not in told and "cannot be checked here" in told
    code, told = checked(path, capsys, "--accept", other.id)
    assert code == 2 and "All keys here are known." in told


def test_a_new_key_over_what_this_machine_wrote_stays_a_fault(path, monkeypatch, tmp_path, capsys):
    """Rewritten as a whole and sealed with a key made up for it: the entry written here last is gone."""
    stranger = as_another_counter(path, monkeypatch, tmp_path / "other", lambda book: book.note(2, "x"))
    rewritten(path, cheaper, key=stranger)
    found = faults(path)
    assert any("which this machine wrote last, is not in it" in fault for fault in found)
    assert any("that nobody accepted here" in fault for fault in found)
    assert refused(path) and checked(path, capsys)[0] == 2
    # Nor does accepting that key make it sound.
    assert checked(path, capsys, "--accept", stranger.id)[0] == 2 and faults(path) == found


def test_a_key_that_others_may_read_or_that_is_none_is_refused(path):
    place = seals.key_place()
    assert place.stat().st_mode & 0o777 == 0o600
    place.chmod(0o644)
    with pytest.raises(StoreError, match="chmod 600"), Casebook(path) as book:
        book.note(1, "x")
    place.chmod(0o600)
    place.write_text("{}", encoding="utf-8")
    with pytest.raises(StoreError, match="no key for seals"), Casebook(path) as book:
        book.note(1, "x")
    assert "no key for seals" in faults(path)[0]


def test_the_key_lies_where_it_is_told_to(tmp_path, monkeypatch):
    monkeypatch.setenv(seals.VARIABLE, str(tmp_path / "stick" / "our.key"))
    with Casebook(tmp_path / "casebook.sqlite") as book:
        shelf.save(book, "nothing-fits")
    assert (tmp_path / "stick" / "our.key").exists() and not (tmp_path / "data" / "least-clutch" / "seal.key").exists()
    assert faults(tmp_path / "casebook.sqlite") == []


def test_a_casebook_of_before_opens_with_its_entries_without_seals(tmp_path, capsys):
    from . import stress

    place = tmp_path / "old.sqlite"
    stress.old_version(place)
    with Casebook(place) as book:
        book.note(1, "the first under a key")
    assert faults(place) == []
    assert main(["case", "check", "--casebook", str(place)]) == 0
    assert "20 entries (1 to 20) are from before the key: sealed without a key" in capsys.readouterr().out


# --- the lead's key


def test_the_key_opens_with_its_passphrase_alone(lead, monkeypatch, tmp_path):
    monkeypatch.setattr(signing, "COST", CHEAP)
    with pytest.raises(InputError, match="does not open"):
        signing.open_key(str(lead), PASSPHRASE + " ")
    held = json.loads(lead.read_text())
    assert set(held) == {"schema", "public_key", "cost", "salt", "nonce", "closed"}
    for change in (
        {"public_key": signing._written(bytes(32))},
        {"salt": "00" * 16},
        {"closed": signing._written(bytes(48))},
    ):
        other = tmp_path / "other.key"
        other.write_text(json.dumps({**held, **change}), encoding="utf-8")
        with pytest.raises(InputError, match="does not open"):
            signing.open_key(str(other), PASSPHRASE)
    with pytest.raises(InputError, match="shorter than 12"):
        signing.new_key("short")


def test_signatures_are_those_of_the_standard():
    """RFC 8032, section 7.1, tests 1 and 2: public key, message, signature."""
    vectors = (
        (
            "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
            "",
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe2"
            "4655141438e7a100b",
        ),
        (
            "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
            "72",
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302ae"
            "eb00d291612bb0c00",
        ),
    )
    for public, message, signature in vectors:
        key, value = (signing._written(bytes.fromhex(text)) for text in (public, signature))
        assert signing.holds(key, value, bytes.fromhex(message))
        assert not signing.holds(key, value, bytes.fromhex(message) + b"x")


def test_seals_are_those_of_the_standard():
    """RFC 4231, test case 2 of HMAC-SHA256, by the function that seals use."""
    import hashlib
    import hmac

    told = hmac.new(b"Jefe", b"what do ya want for nothing?", hashlib.sha256).hexdigest()
    assert told == "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"
    key = seals.Key(b"k" * 32)
    assert key.seal("a", "b") == hmac.new(b"k" * 32, b"least-clutch seal 1\na\nb", hashlib.sha256).hexdigest()


def shop_with(folder, monkeypatch, public_key):
    """The text of a shop.toml that lists one lead, in a folder that is the user's shop from now on."""
    folder.mkdir()
    text = f'name = "A shop"\n[[people]]\nname = "The Lead"\nroles = ["lead"]\npublic_key = "{public_key}"\n'
    (folder / "shop.toml").write_text(text, encoding="utf-8")
    monkeypatch.setenv("LEAST_CLUTCH_SHOP", str(folder))
    return text


def test_the_key_lies_where_the_shop_says(tmp_path, monkeypatch):
    text = shop_with(tmp_path / "shop", monkeypatch, "")
    (tmp_path / "shop" / "shop.toml").write_text('seal_key = "keys/our.key"\n' + text, encoding="utf-8")
    with Casebook(tmp_path / "casebook.sqlite") as book:
        shelf.save(book, "nothing-fits")
    assert (tmp_path / "shop" / "keys" / "our.key").exists() and faults(tmp_path / "casebook.sqlite") == []


def test_signed_on_the_leads_machine_and_brought_back(lead, tmp_path, monkeypatch, capsys):
    import io

    monkeypatch.setattr(signing, "COST", CHEAP)
    place, asked, back = (tmp_path / name for name in ("book.sqlite", "to-sign", "signed"))
    listed = shop_with(tmp_path / "shop", monkeypatch, signing.public_key(str(lead)))
    with Casebook(place) as book:
        shelf.save(book, "mild-street-tune")
    here = ["--casebook", str(place)]
    assert main(["case", "to-sign", "1", "--to", str(asked), *here]) == 0
    signing_command = ["lead", "sign", str(asked), "--key", str(lead), "--by", "The Lead", "--out", str(back)]
    monkeypatch.setattr("sys.stdin", io.StringIO("wrong passphrase\n"))
    assert main(signing_command) == 2 and not back.exists()
    monkeypatch.setattr("sys.stdin", io.StringIO(PASSPHRASE + "\n"))
    capsys.readouterr()
    assert main(signing_command) == 0
    assert f"kit: {shelf.record('mild-street-tune').pick_id}" in capsys.readouterr().out
    # Another word, another case, a decision since: none is taken.
    held = json.loads(back.read_text())
    bad = tmp_path / "bad"
    for change in (
        {"by": "Another"},
        {"verdict": "objection"},
        {"text": "more"},
        {"case": 2},
        {"casebook": "0" * 32},
        {"verdict": "x"},
    ):
        bad.write_text(json.dumps({**held, **change}), encoding="utf-8")
        assert main(["case", "sign", "1", "--signature", str(bad), *here]) == 2, change
    # Whose key it is says shop.toml alone.
    for text, why in (
        (listed.replace(signing.public_key(str(lead)), signing._written(bytes(32))), "lists another key for The Lead"),
        (listed.replace("The Lead", "Somebody"), "is no lead of this shop"),
        (listed.replace('"lead"', '"counter"'), "is no lead of this shop"),
    ):
        (tmp_path / "shop" / "shop.toml").write_text(text, encoding="utf-8")
        capsys.readouterr()
        assert main(["case", "sign", "1", "--signature", str(back), *here]) == 2
        assert why in capsys.readouterr().err
    (tmp_path / "shop" / "shop.toml").write_text(listed, encoding="utf-8")
    assert main(["case", "sign", "1", "--by", "The Lead", *here]) == 2 and "signs with a key" in capsys.readouterr().err
    assert main(["case", "sign", "1", "--signature", str(back), *here]) == 0
    assert check_file(place)[0] == []
    capsys.readouterr()
    assert main(["case", "audit", "1", *here]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert f"signed with the key {signing.public_key(str(lead))}, as shop.toml lists it" in told
    # In one go where the casebook lies on a machine of the lead's own.
    monkeypatch.setattr("sys.stdin", io.StringIO(PASSPHRASE + "\n"))
    assert main(["case", "sign", "1", "--key", str(lead), "--by", "The Lead", *here]) == 0
    assert check_file(place)[0] == []


def test_signatures_move_with_their_case(path, tmp_path):
    from advisor.casebook.importing import take_over

    target = tmp_path / "other.sqlite"
    with Casebook(target) as book:
        assert take_over(book, path)[0] == 2
    assert faults(target) == []
    with Casebook(target, write=False) as book:
        (signed,) = [entry for entry in book.history(1) if entry.kind == "sign_off"]
        assert signed.body["signature"]["public_key"]


def test_starting_up_does_not_load_the_library():
    import subprocess
    import sys

    code = (
        "import sys; from advisor.cli import main; import advisor.commands.case, advisor.casebook.check;"
        " assert not [name for name in sys.modules if name.startswith('cryptography')]"
    )
    assert subprocess.run([sys.executable, "-c", code], cwd=shelf.ROOT, check=False).returncode == 0


# --- anchors


def test_an_anchor_is_read_as_printed_and_from_a_file(path, store, anchor, tmp_path, capsys):
    here = ["--casebook", str(path)]
    kept = tmp_path / "anchors"
    assert main(["case", "anchor", "--to", str(kept), *here]) == 0
    with Casebook(path) as book:
        book.note(1, "more")
    capsys.readouterr()
    assert main(["case", "anchor", "--to", str(kept), "--day", *here]) == 0
    sheet = capsys.readouterr().out
    assert len(anchors.read(str(kept))) == 2 and anchors.read(sheet)[0].entry == anchor.entry + 1
    assert "Lead" not in sheet.split("\n", 1)[1] and "mild" not in sheet
    assert main(["case", "check", "--anchor", str(kept), "--anchor", sheet, *here]) == 0
    assert "3 anchors" in capsys.readouterr().out
    other = tmp_path / "letter"
    other.write_text("Dear Sir\n", encoding="utf-8")
    assert main(["case", "anchor", "--to", str(other), *here]) == 2 and other.read_text() == "Dear Sir\n"
    if store == stores.FILE:
        assert main(["case", "anchor", "--to", str(path), *here]) == 2
    assert main(["case", "check", "--anchor", "nothing like one", *here]) == 2
