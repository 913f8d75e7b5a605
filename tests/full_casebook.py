"""The long counts of the casebook; `rows` is called by tests/full.py and gives (what, how many, result)."""

import contextlib
import os
import random
import subprocess
from collections import Counter

from advisor.casebook import impact_result, sales
from advisor.casebook.book import Casebook
from advisor.casebook.check import check_file
from tests.benchmarks import casebook as benchmark
from tests.casebook import impacts, large, shelf, stress, test_replay
from tests.full import own_folder, rows_of

REPLAYED, KILLED, WRITERS, WRITTEN, STORED, LEFT_OUT, VARIED = 1000, 200, 8, 500, 10_000, 300, 240


@contextlib.contextmanager
def _folder():
    """A folder with a record to write, and a cache of its own."""
    with own_folder("casebook") as folder:
        record = folder / "record.json"
        record.write_text(shelf.made("mild-street-tune"), encoding="utf-8")
        yield folder, record


def replays(count=REPLAYED):
    """All shipped cases, and random ones whose rules were edited and whose kits were removed since."""
    with _folder() as (folder, _):
        with Casebook(folder / "shipped.sqlite") as book:
            for name in shelf.cases():
                shelf.save(book, name)
        shipped = test_replay.replay_all(folder / "shipped.sqlite")
        assert shipped == len(shelf.cases())
        same = test_replay.replay_random(folder, count, seed=2026)
        assert same == count
    return [
        ("shipped cases stored and replayed", shipped, "byte-identical"),
        ("random cases replayed after rules were edited and kits removed", same, "byte-identical"),
    ]


def kills(count=KILLED, seed=2026):
    """Writers killed at random moments while saving, signing, importing, migrating."""
    with _folder() as (folder, record):
        crashes = stress.Crashes(folder, record, seed=seed)
        for number in range(count):
            crashes.kill_one(("save", "sign", "import", "open")[number % 4])
    return [("writers killed at random moments", count, f"{crashes.acknowledged} acknowledged, none lost, all sound")]


def crowd(processes=WRITERS, cases=WRITTEN):
    """Many writers at once."""
    with _folder() as (folder, record):
        seconds, count = stress.crowd(folder, record, processes, cases)
    return [
        (
            f"cases written by {processes} processes at once",
            processes * cases,
            f"{count} entries, none lost or doubled, {seconds:.0f} s",
        )
    ]


def full_disks(count=20):
    """A disk that runs full: a small file system in memory where this user may make one."""
    with _folder() as (folder, record):
        place = folder / "small"
        place.mkdir()
        mounted = (
            subprocess.run(
                ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(place)], capture_output=True
            ).returncode
            == 0
        )
        if not mounted:
            return [
                (
                    "full disks",
                    0,
                    "not run: this user may not make a small file system; the size limit stands in the ordinary run",
                )
            ]
        try:
            pick, lines = random.Random(7), 0
            for number in range(count):
                path = place / f"book{number}.sqlite"
                with Casebook(path) as book:
                    shelf.save(book, "mild-street-tune")
                filler = place / "filler"
                room = os.statvfs(place)
                filler.write_bytes(bytes(max(0, room.f_bavail * room.f_frsize - pick.randrange(4096, 400_000))))
                before = stress.digests(path)  # reading goes on where there is no room left
                writer = stress.start("save", path, record, 1000, "full")
                told, complaints = writer.communicate()
                assert writer.returncode == 2 and complaints.count("\n") == 1, complaints
                assert "could not be" in complaints, complaints
                filler.unlink()
                assert check_file(path)[0] == []
                after = stress.digests(path)
                acknowledged = [line.split()[2] for line in told.split("\n") if line.count(" ") == 2]
                assert before.items() <= after.items() and set(acknowledged) <= set(after)
                lines += len(acknowledged)
                for left in place.iterdir():
                    left.unlink()
        finally:
            subprocess.run(["umount", str(place)], check=True)
    return [("full disks", count, f"one error each, {lines} acknowledged, none lost, all sound")]


def impact_one_by_one():
    """Every shipped case under every edit, against deciding one case at a time."""
    with _folder() as (folder, _):
        count, met = impacts.compare_one_by_one(folder / "casebook.sqlite", tuple(shelf.cases()), impacts.EVERY)
    return [
        (
            "cases under edited rules, held against deciding one by one",
            count,
            f"equal; classes met: {', '.join(sorted(met))}",
        )
    ]


def impact_of_words():
    """Edits that change no decision: an owner is no change at all, another text of a set-up step is another reason."""
    results, summary = impacts.seen("an owner")
    assert set(impacts.classes(results).values()) == {impact_result.UNCHANGED} and summary["changed_rules"] == 0
    results, _ = impacts.seen("a set-up text")
    street = results[impacts.STREET]
    assert (street.kind, street.set_up) == (impact_result.REASONS, 0)
    return [("edits of an owner and of a set-up text over stored cases", 2, "no change, and another reason")]


def _with_buyers(path, stored, pool):
    """An open casebook of so many cases of a pool, every third the buyer of some kit, picked or not."""
    large.fill(path, stored, pool)
    book = Casebook(path)
    for number in range(1, stored + 1, 3):
        kits = sorted(book.record(book.sold(number)).kits)
        if kits:
            sales.sell(book, number, kits[number % len(kits)], reason="for a test")
    return book


def impact_left_out(stored=LEFT_OUT):
    """Cases that nothing touches against deciding all of them by both rules: every field of every row."""
    edits = ("a factor, and a rule for another answer", "a rule less")
    rung, met = 0, Counter()
    pool = list(large.distinct(stored // 3))
    with _folder() as (folder, _), _with_buyers(folder / "casebook.sqlite", stored, pool) as book:
        for what in edits:
            (quick, told), (whole, of_whole) = impacts.both_ways(book, what)
            assert len(quick) == stored and quick == whole and told == of_whole, what
            rung += sum(bool(row["ring"]) for row in quick.values())
            met.update(row["class"] for row in quick.values())
    assert rung, "no case was to be rung about"
    return [
        (
            "rows of cases left out, held against deciding both sides",
            stored * len(edits),
            f"equal; {rung} to ring; {', '.join(f'{count} {name}' for name, count in sorted(met.items()))}",
        )
    ]


def impact_varied(stored=VARIED, edits=None):
    """Varied callers, a third of them buyers of some kit, under varied edits: each row by both ways and by itself."""
    met = Counter()
    edits = sorted(edits or impacts.VARIED)
    with _folder() as (folder, _):
        pool = list(large.distinct(stored, seed=78))
        _with_buyers(folder / "casebook.sqlite", stored, pool).close()
        for what in edits:
            met.update(impacts.compare_rows(folder / "casebook.sqlite", pool, what))
    return [
        (
            f"rows under {len(edits)} edits, held against deciding both sides and one by one",
            sum(met.values()),
            f"equal; {', '.join(f'{count} {name}' for name, count in sorted(met.items()))}",
        )
    ]


def impact_at_size(stored=STORED):
    """Rate on one and two cores, memory as cases grow, bytes for each case."""
    found = benchmark.measure(stored)
    assert found["growth"] <= 1.5, found
    return benchmark.rows(found)


ALL = (
    *(replays, kills, crowd, full_disks),
    *(impact_one_by_one, impact_of_words, impact_left_out, impact_varied, impact_at_size),
)


def rows():
    """(what, how many, result) of everything; a part that fails says so and the others still run."""
    return rows_of(ALL)
