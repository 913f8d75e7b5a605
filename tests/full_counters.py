"""The long counts of counters that hand over; `rows` is called by tests/full.py and gives (what, how many, result)."""

import random
import subprocess
import sys
import time

from advisor.casebook import signing, statements
from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from advisor.casebook.handing_over import hand_over
from tests.casebook import shelf
from tests.casebook.several_counters import Shop
from tests.full import own_folder, rows_of

RUNS, STEPS, KILLED, CROWD, LARGE = 25, 120, 100, 12, 5_000
PASSPHRASE = "four words of a lead"


def _lead(folder):
    signing.COST = {"n": 2, "r": 1, "p": 1}
    path = folder / "lead.key"
    path.write_text(signing.new_key(PASSPHRASE), encoding="utf-8")
    return signing.open_key(str(path), PASSPHRASE)


def random_work(runs=RUNS, steps=STEPS, seed=2026):
    """Random work at several counters with hand-overs cut off inside their transactions; settled in two orders."""
    handed = interrupted = entries = erased = anchored = 0
    with own_folder("counters") as folder:
        lead = _lead(folder)
        for number in range(runs):
            place = folder / f"run{number}"
            place.mkdir()
            shop = Shop(place, seed + number, lead=lead, counters=2 + number % 3)
            for _ in range(steps):
                shop.step()
            other = shop.copy(folder / f"other{number}")
            order = list(shop.own)
            written = set(shop.acknowledged)
            shop.settle(order)
            other.settle(order[::-1])
            faults = [*shop.faults(), *other.faults()]
            assert not faults, faults[:5]
            # Settling writes entries of its own where the other side erased something; all others are the same.
            told, there = (
                {link: held for link, held in settled.told().items() if held[1] in written} for settled in (shop, other)
            )
            assert told == there, [
                (link, told.get(link), there.get(link)) for link in told if told[link] != there.get(link)
            ][:5]
            assert len(told) == len(written), (len(told), len(written))
            handed, interrupted = handed + shop.handed, interrupted + shop.interrupted
            entries, erased = entries + len(shop.acknowledged), erased + len(shop.erased)
            anchored += len(shop.anchors)
    return [
        (
            f"hand-overs of random work, {interrupted} of them cut off",
            handed,
            f"{entries} entries, each once, all sound",
        ),
        ("people erased at a counter or in the shop", erased, "gone on both sides, also from the files' bytes"),
        ("anchors taken on the way", anchored, "hold in the shop's casebook"),
    ]


_HAND_OVER = (
    "import sys; from advisor.casebook.book import Casebook; from advisor.casebook.handing_over import hand_over;"
    " own, shop, name, piece = sys.argv[1:]; print('ready', flush=True);"
    " hand_over(Casebook(own), Casebook(shop), name, piece=int(piece), after=lambda upto: print(upto, flush=True))"
)


def _start(own, shop, name, piece):
    return subprocess.Popen(
        [sys.executable, "-c", _HAND_OVER, own, shop, name, str(piece)], stdout=subprocess.PIPE, text=True
    )


def kills(count=KILLED, seed=7):
    """Hand-overs killed at random moments, each time with new entries waiting."""
    pick, said = random.Random(seed), 0
    with own_folder("counters") as folder:
        shop = Shop(folder, seed, lead=_lead(folder), counters=3)
        for number in range(count):
            name = pick.choice(list(shop.own))
            with Casebook(shop.own[name], counter=name) as book:
                for act in (shop.save, shop.save, shop.note, shop.sell, shop.note, shop.forget)[: 3 + number % 4]:
                    act(book, name)
            process = _start(str(shop.own[name]), str(shop.shop), name, pick.choice((1, 2, 5)))
            process.stdout.readline()
            time.sleep(pick.uniform(0, 0.4))
            process.kill()
            upto = [int(line) for line in process.stdout if line.strip().isdigit()]
            process.wait()
            if upto:
                # What was said to be handed over is there, whatever happened after.
                said += 1
                with Casebook(shop.shop, write=False) as book, Casebook(shop.own[name], write=False) as own:
                    casebook = own.store.row("SELECT casebook FROM head")[0]
                    assert book.store.row(statements.LAST_LINK, (casebook,))[0] >= upto[-1]
            if number % 10 == 0:
                assert check_file(shop.shop).faults == []
        for name in shop.own:
            shop._own_entries(name)
        shop.settle()
        faults = list(shop.faults())
        assert not faults, faults[:5]
        entries = len(shop.acknowledged)
    return [("hand-overs killed at random moments", count, f"{entries} entries, each once; {said} had said how far")]


def crowd(processes=CROWD):
    """Many programs hand over at once, each counter from several of them."""
    with own_folder("counters") as folder:
        shop = Shop(folder, 3, counters=4)
        for name, path in shop.own.items():
            with Casebook(path, counter=name) as book:
                for _ in range(10):
                    shop.save(book, name)
        names = [list(shop.own)[number % 4] for number in range(processes)]
        at_once = [_start(str(shop.own[name]), str(shop.shop), name, 2) for name in names]
        for process in at_once:
            process.communicate()
            assert process.returncode == 0
        for name in shop.own:
            shop._own_entries(name)
        faults = list(shop.faults())
        assert not faults, faults[:5]
        entries = len(shop.acknowledged)
    return [
        (
            f"programs handing over at once, {processes // 4} for each counter",
            processes,
            f"{entries} entries, each once",
        )
    ]


def large(cases=LARGE):
    """A counter with many cases, handed over at a rate; the second time costs next to nothing."""
    with own_folder("counters") as folder:
        shop = Shop(folder, 5, counters=1)
        record = shelf.record("mild-street-tune")
        with Casebook(shop.own["WEST"]) as book:
            for number in range(cases):
                begun = book.begin(
                    shelf.cases()["mild-street-tune"], shelf.files(), by="x", name=f"Some Caller{number}"
                )
                book.decided(begun, record)
        with Casebook(shop.own["WEST"]) as own, Casebook(shop.shop) as book:
            start = time.process_time()
            done = hand_over(own, book, "WEST")
            first = time.process_time() - start
            start = time.process_time()
            hand_over(own, book, "WEST")
            second = time.process_time() - start
        assert done.entries == 3 * cases
        start = time.process_time()
        assert check_file(shop.shop).faults == []
        checked = time.process_time() - start
    return [
        ("cases handed over at once", cases, f"{done.entries / first:.0f} entries a second; again: {second:.2f} s"),
        ("check of that casebook, CPU s", cases, f"{checked:.1f}"),
    ]


ALL = (random_work, kills, crowd, large)


def rows():
    """(what, how many, result) of everything; a part that fails says so and the others still run."""
    return rows_of(ALL)
