"""Counters that keep their own casebook while the shop's is away, and hand it over."""

import multiprocessing
import shutil

import pytest

from advisor.casebook import anchors, away, counters, signatures, signing, statements
from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.casebook.handing_over import hand_over, waiting
from advisor.casebook.importing import take_over
from advisor.cli import main
from advisor.errors import InputError, StoreError

from . import shelf
from .several_counters import Shop
from .stores import unguarded
from .test_forgery import lead, opened_key  # noqa: F401 # fixtures


@pytest.fixture
def shop(tmp_path, opened_key):  # noqa: F811 # the fixture
    """A shop with two counters, one of whose cases a lead signed with his key."""
    made = Shop(tmp_path, seed=1, lead=opened_key, counters=2)
    with Casebook(made.own["WEST"]) as book:
        shelf.save(book, "mild-street-tune", by="Ada", name="Bo Caller", phone="0151 23456", note="Bo Caller rang")
        signed = signing.sign(signatures.to_sign(book, 1), opened_key, by="The Lead", verdict="sign_off", text="yes")
        signatures.take(book, 1, signed)
        shelf.save(book, "nothing-fits")
    with Casebook(made.own["EAST"]) as book:
        shelf.save(book, "nothing-fits")
    with Casebook(made.shop) as book:
        shelf.save(book, "mild-street-tune")
    return made


def handed(shop, name="WEST", own=None, **more):
    with Casebook(own or shop.own[name], counter=name) as own_book, Casebook(shop.shop) as book:
        return hand_over(own_book, book, name, **more)


def digests(path):
    with Casebook(path, write=False) as book:
        return [entry.digest for entry in book.every_entry()]


@pytest.mark.both_stores
def test_a_counter_is_handed_over_once_however_often_and_keeps_its_numbers(shop):
    before = digests(shop.own["WEST"])
    first, second = handed(shop), handed(shop)
    assert (len(first.cases), first.entries, first.known) == (2, 7, 0)
    assert (len(second.cases), second.entries, second.known) == (0, 0, 0)
    assert handed(shop, "EAST").entries == 2
    assert digests(shop.own["WEST"]) == before
    with Casebook(shop.shop, write=False) as book, Casebook(shop.own["WEST"], write=False) as own:
        assert [book.called(row["number"]) for row in book.overview()] == ["1", "WEST/1", "WEST/2", "EAST/1"]
        number = book.number_of("west/1")
        assert [entry.kind for entry in book.history(number)] == [entry.kind for entry in own.history(1)]
        assert book.private_of(number)[book.history(number)[1].number] == {"name": "Bo Caller", "phone": "0151 23456"}
        assert book.record(book.decision_of(number)).data == own.record(own.decision_of(1)).data
        assert waiting(own, book) == 0
        with pytest.raises(InputError, match="WEST has handed over no case 3"):
            book.number_of("WEST/3")
        with pytest.raises(InputError, match="is no case"):
            book.standing(counters.every(book.store)[0].case)
    assert check_file(shop.shop).faults == []


@pytest.mark.both_stores
def test_an_anchor_and_a_signature_of_the_counter_hold_in_the_shops_book(shop, opened_key):  # noqa: F811
    with Casebook(shop.own["WEST"], write=False) as own:
        anchor = anchors.anchor_of(own.store)
        asked = signatures.to_sign(own, 1)
    handed(shop)
    with Casebook(shop.shop) as book:
        assert anchors.faults(book.store, [anchor]) == []
        other = anchors.Anchor(anchor.casebook, anchor.entry, "0" * 64)
        assert "of WEST" in anchors.faults(book.store, [other])[0]
        missing = anchors.Anchor(anchor.casebook, anchor.entry + 1, "0" * 64)
        assert "was not handed over" in anchors.faults(book.store, [missing])[0]
        # What was given out to be signed at the counter is signed on the same decision.
        number = book.number_of("WEST/1")
        signatures.take(book, number, signing.sign(asked, opened_key, by="The Lead", verdict="sign_off", text=""))
        with pytest.raises(InputError, match="another case"):
            signatures.take(book, 1, signing.sign(asked, opened_key, by="The Lead", verdict="sign_off", text=""))
        assert [entry.kind for entry in book.history(number)].count("sign_off") == 2
    assert check_file(shop.shop).faults == []


@pytest.mark.both_stores
def test_a_case_goes_on_at_both_places_and_that_is_said(shop):
    handed(shop)
    with Casebook(shop.shop) as book:
        book.note(book.number_of("WEST/1"), "he came in")
    with Casebook(shop.own["WEST"]) as own:
        own.note(1, "he rang")
    done = handed(shop)
    assert done.at_both == ["WEST/1"]
    with Casebook(shop.shop, write=False) as book:
        kept = book.private_of(book.number_of("WEST/1")).values()
        assert [parts["text"] for parts in kept if "text" in parts] == ["Bo Caller rang", "he came in", "he rang"]
    assert check_file(shop.shop).faults == []


@pytest.mark.both_stores
def test_an_older_copy_put_back_is_refused_and_the_remedy_loses_nothing(shop, tmp_path):
    path = shop.own["WEST"]
    copy = tmp_path / "copy.sqlite"
    shutil.copy(path, copy)
    with Casebook(path) as own:
        own.note(1, "before the disk broke")
    handed(shop)
    before = digests(shop.shop)
    with pytest.raises(StoreError, match="ends before it: it is an older copy"):
        handed(shop, own=copy)
    with Casebook(copy) as own:
        own.note(1, "after it was put back")
        own.note(1, "and again")
    with pytest.raises(StoreError, match="two histories would stand under the numbers of WEST"):
        handed(shop, own=copy)
    assert digests(shop.shop) == before
    with Casebook(shop.shop) as book:
        assert take_over(book, copy) == (0, 1, 2)
    assert check_file(shop.shop).faults == []
    new = tmp_path / "new.sqlite"
    with Casebook(new) as own:
        shelf.save(own, "nothing-fits")
    with pytest.raises(InputError, match="another casebook was handed over under the name WEST"):
        handed(shop, own=new)
    assert handed(shop, "WEST-2", own=new).entries == 2


@pytest.mark.both_stores
def test_what_was_taken_over_before_is_linked_and_not_doubled(shop, tmp_path):
    with Casebook(shop.shop) as book:
        take_over(book, shop.own["WEST"])
        taken = book.store.row(statements.HEAD)[1]
    with Casebook(shop.own["EAST"]) as own:
        take_over(own, shop.own["WEST"])  # a laptop may hold the cases of the one before it
        kit = own.standing(2)[1].body["pick"]
        from advisor.casebook import sales

        sales.sell(own, 2, kit)
    assert (handed(shop).entries, handed(shop, "EAST").known) == (0, 7)
    with Casebook(shop.shop, write=False) as book:
        assert [row["number"] for row in book.overview()] == [1, 2, 3, book.number_of("EAST/1")]
        assert book.number_of("WEST/1") == book.number_of("EAST/2") == 2
        assert book.sale(2) is not None
        assert book.store.row(statements.HEAD)[1] > taken
    assert check_file(shop.shop).faults == []
    # The other way round nothing is doubled either.
    with Casebook(shop.shop) as book:
        assert take_over(book, shop.own["EAST"]) == (0, 3, 0)


@pytest.mark.both_stores
def test_forgetting_reaches_the_other_side_from_either(shop):
    handed(shop)
    with Casebook(shop.own["WEST"]) as own:
        own.note(1, "Bo Caller again")
        own.forget(1)
    with Casebook(shop.shop) as book:
        book.note(book.number_of("WEST/1"), "0151-23456 rang")
        book.note(book.number_of("WEST/2"), "met Di Ringer", by="Di Ringer")
    done = handed(shop)
    assert done.erased_there == 4  # name, number, a note from there and the one from here
    assert done.wiped or not shop.shop.is_file()
    with Casebook(shop.own["WEST"]) as own:
        own.note(2, "Di Ringer again", by="Di Ringer")
    handed(shop)
    with Casebook(shop.shop) as book:
        book.forget(book.number_of("WEST/2"), words=["Di Ringer"])
    done = handed(shop)
    assert done.erased_here == 2 and done.wiped
    for path in (shop.shop, shop.own["WEST"]):
        assert check_file(path).faults == []
        if not path.is_file():
            continue
        assert [
            word for word in (b"Bo Caller", b"Di Ringer", b"0151 23456", b"0151-23456") if word in path.read_bytes()
        ] == [], path


@pytest.mark.file_only
def test_what_may_not_be_handed_over_is_said(shop, tmp_path):
    handed(shop)
    for own, name, told in (
        (shop.own["EAST"], "", "without a name"),
        (shop.shop, "DESK", "the shop's casebook itself"),
    ):
        with pytest.raises(InputError, match=told):
            handed(shop, name, own=own)
    other = tmp_path / "other.sqlite"
    Casebook(other).close()
    with Casebook(shop.shop) as own, Casebook(other) as book, pytest.raises(InputError, match="it is a shop's"):
        hand_over(own, book, "DESK")
    with unguarded(shop.own["EAST"]) as database:
        database.execute("UPDATE entry SET at = '2026-11-01T00:00:00Z' WHERE number = 1")
    with pytest.raises(StoreError, match="entry 1 of case 1 was changed"):
        handed(shop, "EAST")
    assert check_file(shop.shop).faults == []


@pytest.mark.file_only
@pytest.mark.parametrize(
    "change, told",
    [
        ("DELETE FROM handed_over WHERE number = 7", "ends with its entry 6"),
        ("DELETE FROM handed_over WHERE number = 3", "before entry 4 of the counter WEST entries are missing"),
        ("DELETE FROM handed_over", "entries of the counter WEST are gone"),
        ("UPDATE handed_over SET digest = digest || 'x' WHERE number = 4", "is not what it was"),
        ("UPDATE handed_over SET entry = entry + 1 WHERE number = 4", "is not what it was"),
        ("UPDATE handed_over SET said = 'EAST' WHERE number = 0", "does not begin where"),
        ("UPDATE handed_over SET mac = 'ab' || substr(mac, 3) WHERE number = 4", "seal that is not the key's"),
        ("UPDATE handed_over SET mac = 'é' WHERE number = 4", "seal that is not the key's"),
        ("UPDATE handed_over SET said = x'ff' WHERE number = 4", "holds what no program wrote there"),
        ("UPDATE handed_over SET in_case = x'ff' WHERE number = 4", "holds what no program wrote there"),
        ("DELETE FROM entry WHERE number = 6", "stands nowhere"),
    ],
)
def test_a_change_to_what_was_handed_over_is_found(shop, change, told):
    handed(shop)
    with unguarded(shop.shop) as database:
        database.execute(change)
    faults = check_file(shop.shop).faults
    assert any(told in fault for fault in faults), faults


@pytest.mark.both_stores
def test_random_work_with_interruptions_loses_and_doubles_nothing(tmp_path):
    (tmp_path / "one").mkdir()
    made = Shop(tmp_path / "one", seed=38)
    for _ in range(20):  # thousands in tests.full counters
        made.step()
    assert made.interrupted >= 2 and made.erased
    # Handed over in the other order the shop's book holds the same.
    other = made.copy(tmp_path / "two") if made.shop.is_file() else None
    made.settle()
    assert list(made.faults()) == []
    if other is None:
        return
    other.settle(order=["NORTH", "EAST", "WEST"])
    assert list(other.faults()) == []
    same = {name: link for name, link in made.told().items() if name in other.told()}
    assert same == {name: other.told()[name] for name in same} and len(same) > 20


def _hand_over(shop, name, own, failed):
    try:
        with Casebook(own, counter=name) as own_book, Casebook(shop) as book:
            hand_over(own_book, book, name, piece=1)
    except Exception as error:  # said by the test that started this
        failed.put(repr(error))


@pytest.mark.both_stores
def test_two_counters_hand_over_at_once_each_twice(shop):
    context = multiprocessing.get_context("fork")
    failed = context.SimpleQueue()
    at_once = [
        context.Process(target=_hand_over, args=(shop.shop, name, path, failed))
        for name, path in list(shop.own.items()) * 2
    ]
    for process in at_once:
        process.start()
    for process in at_once:
        process.join()
    assert failed.empty() and all(process.exitcode == 0 for process in at_once)
    for name, path in shop.own.items():
        shop._own_entries(name)
        assert path.exists()
    assert list(shop.faults()) == []


@pytest.mark.file_only
def test_commands_go_by_the_shops_casebook_or_by_the_own_and_say_so(shop, tmp_path, monkeypatch, capsys):
    folder, place = tmp_path / "folder", tmp_path / "mount"
    folder.mkdir()
    settings = 'name = "Invented Clutches"\ninvented = true\ncounter = "North"\ncasebook = "../mount/shop.sqlite"\n'
    (folder / "shop.toml").write_text(settings + 'own_casebook = "own.sqlite"\n', encoding="utf-8")
    monkeypatch.setenv("LEAST_CLUTCH_SHOP", str(folder))
    shutil.copy(shop.own["EAST"], folder / "own.sqlite")

    def run(*arguments):
        # Every run of the program looks anew.
        monkeypatch.setattr("advisor.commands.opening.books_in_use", {})
        code = main(["case", *arguments])
        said = capsys.readouterr()
        return code, said.out, said.err

    code, out, err = run("note", "North/1", "rang")
    assert (code, out) == (0, "Noted with case NORTH/1.\n")
    assert err.count("\n") == 1 and "the shop's casebook cannot be used now" in err and "no casebook here" in err
    assert run("hand-over")[0] == 2 and not place.exists()
    place.mkdir()
    code, _, err = run("hand-over")
    assert code == 2 and "--make" in err and not list(place.iterdir())
    code, out, err = run("hand-over", "--make")
    assert (code, out, err) == (0, "NORTH: 3 entries of one case handed over.\n", "")
    code, out, err = run("list")
    assert code == 0 and out.startswith("NORTH/1  ") and err == ""
    # Whatever the program calls it, it understands.
    with Casebook(place / "shop.sqlite") as book:
        shelf.save(book, "nothing-fits")
        latest = len(list(book.overview())) + 1  # the first number is the counter's own
    assert f"--before {latest};" in run("list", "--count", "1")[1]
    assert run("list", "--before", str(latest))[1].startswith("NORTH/1  ")
    assert run("list", "--before", "NORTH/1")[:2] == (0, "No case.\n")
    assert run("list", "--before", "WEST/1")[0] == 2
    assert run("export", "--after", "NORTH/1")[1].count("nothing-fits") == 1
    assert run("export", "--count", "-1")[0] == 2
    for arguments in (("list", "--to-sign"), ("anchor", "--day")):
        assert "\nNORTH/1  " in "\n" + run(*arguments)[1], arguments
    assert run("replay", "NORTH/1")[1].startswith("Case NORTH/1 ")
    run("note", "NORTH/1", "in the shop's", "--casebook", str(folder / "own.sqlite"))
    assert run("list")[2] == "advisor: 1 case waits in your own casebook to be handed over: advisor case hand-over.\n"
    assert run("hand-over")[1] == "NORTH: one entry of one case handed over.\n"
    assert run("hand-over")[1] == "NORTH: nothing waited to be handed over.\n"
    (folder / "shop.toml").write_text(settings.replace('counter = "North"', "") + 'own_casebook = "own.sqlite"\n')
    code, _, err = run("list")
    assert code == 2 and "has no name to number its cases by" in err


def test_nobody_waits_twice_in_a_minute_for_a_casebook_that_does_not_answer(tmp_path, monkeypatch):
    own, shop, tries = tmp_path / "own.sqlite", tmp_path / "shop.sqlite", []

    class Silent:
        def __init__(self, place, **_):
            tries.append(place)
            raise StoreError("the casebook's server cannot be reached: timeout expired.")

    monkeypatch.setattr(away, "LONG", -1.0)
    with monkeypatch.context() as cut_off:
        cut_off.setattr(away, "Casebook", Silent)
        first, second = away.choose(str(shop), str(own)), away.choose(str(shop), str(own))
    assert first.place == second.place == str(own) and tries == [str(shop)]
    assert "timeout expired" in first.lines[0] and "found out 0 s ago" in second.lines[0]
    for place in (shop, own):
        Casebook(place).close()
    assert away.choose(str(shop), str(own)).place == str(own)
    monkeypatch.setattr(away, "REMEMBERED", 0.0)
    assert away.choose(str(shop), str(own)) == away.BookInUse(str(shop))
