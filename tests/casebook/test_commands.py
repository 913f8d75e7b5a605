"""The command ``advisor case`` as people type it."""

import json

import pytest

from advisor.casebook.book import Casebook
from advisor.cli import main

from . import shelf, stores

#: Whom the shipped shop lists as a lead.
LEAD = "Cleo Invented"


@pytest.fixture
def run(tmp_path, capsys):
    """run(*arguments) -> (exit code, standard output, standard error) of ``advisor case`` on a casebook of its own."""
    path = str(tmp_path / "casebook.sqlite")

    def running(action, *arguments):
        code = main(["case", action, *arguments, "--casebook", path])
        told = capsys.readouterr()
        return code, told.out, told.err

    running.path = path
    return running


def _kept(book):
    shelf.save(
        book, "mild-street-tune", by="counter two", name="Ada Caller", phone="0151 23456789", note="calls on Monday"
    )
    shelf.save(book, "answers-missing")


@pytest.fixture
def kept(run):
    """The same, with one case of a named caller and one that needs answers in the casebook."""
    shelf.filled(run.path, _kept)
    return run


def places():
    """Options naming the frozen copy."""
    root = shelf.folder()
    return [
        "--rules",
        str(root / "rules"),
        *(text for name in ("kits", "platforms", "parts") for text in (f"--{name}", str(root / "scenarios" / name))),
    ]


def case_file(name):
    """Path of a shipped case file."""
    return str(shelf.folder() / "scenarios/cases" / f"{name}.yaml")


def test_save_decides_and_keeps(run):
    code, out, err = run(
        "save", case_file("mild-street-tune"), "--by", "counter two", "--name", "Ada Caller", *places()
    )
    pick = shelf.record("mild-street-tune").pick_id
    assert (code, out, err) == (0, f"Case 1 kept: {pick}.\n", "")
    with Casebook(run.path, write=False) as book:
        kinds = [entry.kind for entry in book.history(1)]
        assert kinds == ["answers", "person", "note", "decision"]
        assert book.files_of(book.standing(1)[0]) == shelf.files()
    code, out, _ = run("save", case_file("answers-missing"), "--corrects", "1", *places())
    assert (code, out.splitlines()[0]) == (0, "Case 1 kept: needs more answers.")
    assert "engine_torque" in out
    code, out, _ = run("save", case_file("answers-missing"), "--json", *places())
    assert (code, json.loads(out)["number"]) == (0, 2)


def test_a_case_that_cannot_be_read_is_not_kept(run, tmp_path):
    broken = tmp_path / "broken.yaml"
    broken.write_text("case: broken\nanswers:\n  engine_torque: 430\n", encoding="utf-8")
    code, out, err = run("save", str(broken), *places())
    assert (code, out) == (2, "")
    assert "broken.yaml:3" in err
    code, _, err = run("list")
    assert code == 2 and "no casebook here" in err


def test_list_search_and_export_keep_people_apart(kept):
    for action in (["list"], ["search", "mild"], ["export"], ["export", "--as", "json"], ["show", "1"], ["audit", "1"]):
        code, out, err = kept(*action)
        assert code == 0
        assert "mild-street-tune" in out
        assert "Ada" not in out + err and "23456789" not in out + err
    for action in (
        ["list", "--people"],
        ["search", "ada", "--people"],
        ["export", "--people"],
        ["show", "1", "--people"],
        ["audit", "1", "--people"],
    ):
        code, out, _ = kept(*action)
        assert code == 0
        assert "Ada Caller" in out
    assert kept("search", "ada")[1] == "No case.\n"
    assert kept("list", "--since", "2999-01-01")[1] == "No case.\n"
    code, _, err = kept("list", "--since", "yesterday")
    assert code == 2 and "2026-01-31" in err


def test_errors_never_hold_the_caller(kept):
    code, out, err = kept("note", "1", "\x1bAda Caller")
    assert code == 2 and "Ada" not in out + err


def test_export_to_a_file_does_not_overwrite(kept, tmp_path):
    target = tmp_path / "cases.csv"
    assert kept("export", "1", "--to", str(target))[0] == 0
    assert target.read_bytes().count(b"\r\n") == 2
    code, _, err = kept("export", "--to", str(target))
    assert code == 2 and "already" in err


def test_note_sign_forget_and_check(kept):
    assert kept("note", "1", "seen the car", "--by", "bay three")[:2] == (0, "Noted with case 1.\n")
    code, out, _ = kept("sign", "mild-street-tune", "--by", LEAD)
    assert code == 0 and out.startswith("Signed off: case 1")
    code, _, err = kept("sign", "1", "--by", LEAD, "--objection")
    assert code == 2 and "--text" in err
    assert kept("sign", "1", "--by", LEAD, "--objection", "--text", "torque not believable")[0] == 0
    assert f"objected by {LEAD}" in kept("list")[1]
    code, out, _ = kept("forget", "1", "--by", "The Lead")
    assert code == 0 and "2 texts erased" in out and "Backups" in out
    assert "Ada" not in kept("list", "--people")[1]
    code, out, _ = kept("check")
    assert code == 0 and "all sound" in out


def test_show_is_what_was_told(kept):
    code, out, _ = kept("show", "1")
    assert code == 0
    assert "Pellworth" in out or shelf.record("mild-street-tune").pick_id in out
    assert "counter two: 14 answers taken" in " ".join(out.split())
    assert all(len(line) <= 80 for line in out.splitlines())


def test_audit_holds_everything(kept):
    kept("sign", "1", "--by", LEAD, "--text", "agreed")
    code, out, _ = kept("audit", "1")
    assert code == 0
    text, record = " ".join(out.split()), shelf.record("mild-street-tune")
    for head in (
        "Timeline",
        "Answers, and how they are known",
        "Assumed where nobody answered",
        "Facts",
        "Requirements",
        "Set-up",
        "Sources",
        "Signed",
    ):
        assert head in out
    for kit in record.kits.values():
        assert (f"{kit.id}: {kit.verdict}" if kit.fits else kit.id) in text, kit.id
    for firing in record.firings.values():
        assert firing.rule in text
    for name in record.requirements:
        assert name in text
    assert "engine torque: 370 N m (measured)" in text
    assert record.knowledge["rules_sha256"][:48] in text
    assert f"{LEAD} signed off: agreed" in text
    assert kept("audit", "2")[0] == 0
    assert "engine torque: 273 lb-ft (measured)" in " ".join(kept("audit", "1", "--units", "trade")[1].split())
    data = json.loads(kept("audit", "1", "--json")[1])
    assert [one["kind"] for one in data["history"]] == ["answers", "person", "note", "decision", "sign_off"]
    assert data["record"] == record.data and "Ada" not in json.dumps(data)


def test_replay_says_what_it_found(kept, monkeypatch):
    code, out, _ = kept("replay", "1")
    assert (code, out) == (0, "Case 1 comes out the same, byte for byte, from the rules and prices kept with it.\n")
    from advisor.casebook import book as books, replay

    now = {**replay.fingerprint(), "program": "99.0"}
    monkeypatch.setattr(replay, "fingerprint", lambda: now)
    code, out, _ = kept("replay", "1")
    assert code == 0 and "program 0.1.0 then, 99.0 now" in " ".join(out.split()) and "no difference here" in out
    decide = books.decide

    def other(decider, case):
        return shelf.with_fact(decide(decider, case), "engine_torque", 371.0)

    monkeypatch.setattr(books, "decide", other)
    before = kept("show", "1", "--json")[1]
    code, out, _ = kept("replay", "1")
    text = " ".join(out.split())
    # Another program is no damage: what was kept stands, and what differs now is listed.
    assert code == 0 and "program 0.1.0 then, 99.0 now" in text and "What was kept stands untouched" in text
    assert "comes out differently" in text and "engine torque: 370 N m as kept, 371 N m now" in text
    assert "damage" not in text and "report" not in text and kept("show", "1", "--json")[1] == before
    code, out, _ = kept("replay", "1", "--json")
    assert (code, json.loads(out)["difference"]) == (0, {"facts": {"engine_torque": [370.0, 371.0]}})
    # From the same program it is a fault.
    monkeypatch.undo()
    monkeypatch.setattr(books, "decide", other)
    code, out, _ = kept("replay", "1")
    assert code == 5 and "The program is the same as then" in out


def test_readings_show_what_differs_from_what_was_sold(kept):
    code, out, _ = kept("reading", "1", "engine_torque=430 Nm", "--by", "bay three")
    text = " ".join(out.split())
    assert code == 0
    assert "engine torque: 370 N m as sold, 430 N m with the readings" in text
    assert "as sold: Pellworth" in text and "with the readings: " in text
    assert "bay three: read off the car: engine torque 430 N m" in " ".join(kept("audit", "1")[1].split())
    code, _, err = kept("reading", "1", "engine_tork=430 Nm")
    assert code == 2 and "engine_torque" in err


def test_an_undecided_case_is_decided_later(kept):
    with Casebook(kept.path) as book:
        book.begin(shelf.cases()["drag-never-bedded"], shelf.files())
    assert "undecided" in kept("list")[1]
    assert kept("show", "3")[0] == 0
    assert kept("audit", "3")[0] == 0
    assert kept("replay", "3")[0] == 2
    code, out, _ = kept("decide", "3")
    assert (code, out) == (0, f"Case 3 decided: {shelf.record('drag-never-bedded').pick_id}.\n")


def test_prices_backup_and_import(kept, tmp_path):
    code, out, _ = kept("prices", "orrin-240-s1")
    assert code == 0 and "389.0 EUR" in out
    assert kept("prices", "nothing")[0] == 2
    copy = str(tmp_path / "copy.sqlite")
    code, out, _ = kept("backup", copy)
    assert code == 0 and "all sound" in out
    assert kept("backup", copy)[0] == 2
    code, out, _ = kept("import", copy)
    assert code == 2
    with Casebook(tmp_path / "other.sqlite") as book:
        shelf.save(book, "pack-over-stroke")
    code, out, _ = kept("import", str(tmp_path / "other.sqlite"))
    assert code == 0 and out.startswith("one case taken over")


def test_a_changed_row_is_told_and_stops_nothing_else(kept, store):
    with stores.unguarded(kept.path, mend=False) as connection:
        connection.execute("DROP TRIGGER entry_stays" + (" ON entry" if store == stores.SERVER else ""))
        connection.execute("UPDATE entry SET at = '2026-01-05T00:00:00Z' WHERE number = 1")
    code, out, err = kept("check")
    assert (code, out) == (2, "")
    assert "entry_stays is not as this program makes it" in err
    code, _, err = kept("show", "1")
    assert code == 2 and "entry 1 of case 1 was changed" in err
    assert kept("show", "2")[0] == 0


def test_a_case_whose_rules_are_no_longer_read_shows_as_kept(run):
    with Casebook(run.path) as book:
        gone = shelf.files_calling({"friction.mean_pressure": "friction.pressure_of_old"})
        shelf.save_with(book, "mild-street-tune", gone)
    made = shelf.record("mild-street-tune")
    for action, code in (("replay", 5), ("show", 0), ("audit", 0)):  # 5: by one and the same program
        ended, out, err = run(action, "1")
        text = " ".join(out.split())
        assert (ended, err) == (code, "")
        assert "stands as it was kept" in text and "nothing in it is damaged" in text
        assert f"kit: {made.pick_id}" in text
        assert all(" ".join(caution.text.split()) in text for caution in made.cautions)
        assert "there is no function 'friction.pressure_of_old'" in text
    ended, out, _ = run("replay", "1", "--json")
    assert ended == 5 and "pressure_of_old" in json.loads(out)["cannot_be_read"]
    assert json.loads(run("show", "1", "--json")[1])["record"] == made.data


def test_impact_is_told_in_words(kept, capsys, tmp_path):
    import shutil

    folder = tmp_path / "rules"
    shutil.copytree(shelf.folder() / "rules", folder)
    demand = folder / "case/demand.yaml"
    demand.write_text(
        demand.read_text(encoding="utf-8").replace(" 1.15]", " 1.32]"),
        encoding="utf-8",
    )
    command = ["rules", "impact", "--rules", str(folder), "--casebook", kept.path]
    assert main([*command, "--details"]) == 0
    told = capsys.readouterr()
    text = " ".join(told.out.split())
    assert "1 other pick (price +" in text and "1 same pick, other reasons" in text
    assert "of these came into play in some case: 1" in text
    assert "rule use-factor-road (edited): came into play in 2 cases" in text
    assert text.startswith("Nobody is to be rung") and "by rule use-factor-road alone" in text
    assert "2 of 2 cases" in told.err
    assert "Case 1, as told" in told.out and " | Under the new rules: other pick" in told.out
    assert main([*command, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert {one["number"]: one["class"] for one in data["results"]} == {1: "other pick", 2: "same pick, other reasons"}
    assert main([*command, "--case", "2"]) == 0
    assert "rule use-factor-road" in capsys.readouterr().out
    (folder / "case/use.yaml").write_text("topic: use\n", encoding="utf-8")
    assert main(command) == 5


def test_nothing_kept_can_steer_the_terminal(kept):
    # An entry written by another program, whose casebook was taken over.
    from advisor.casebook import entries

    with Casebook(kept.path) as book, book.store.transaction() as connection:
        entries.append(connection, 1, "note", {}, by="\x1b[2Jcounter", private={"text": "wipe\x1b[2J\x07"})
    for action in ("show", "audit"):
        code, out, err = kept(action, "1")  # such an entry is refused where it is shown
        assert code == 2 and err and "\x1b" not in out + err and "\x07" not in out + err


def test_recommend_keeps_the_case_as_well(run, capsys):
    """The same screen and the same stored decision as keeping the file by hand."""
    case = str(shelf.folder() / "scenarios" / "cases" / "mild-street-tune.yaml")
    assert main(["recommend", case]) == 0
    screen = capsys.readouterr().out
    assert main(["recommend", case, "--save", "--by", "counter two", "--casebook", run.path]) == 0
    told = capsys.readouterr()
    assert (told.out, told.err) == (screen, "Kept as case 1.\n")
    assert run("save", case)[0] == 0
    with Casebook(run.path, write=False) as book:
        one, other = (book.record(book.standing(number)[1]) for number in (1, 2))
    assert one == other
    assert "counter two" in run("show", "1")[1] and "counter two" not in run("show", "2")[1]


def test_keeping_needs_to_be_asked_for(capsys):
    case = str(shelf.folder() / "scenarios" / "cases" / "mild-street-tune.yaml")
    assert main(["recommend", case, "--by", "counter two"]) == 2
    assert "--save" in capsys.readouterr().err
