"""A frozen copy of the shipped rules and scenarios, what they decide, and random cases.

The copy is made once for each run of tests, so that rules edited while tests run change nothing under them; what one
process of the run has read of it, or decided, the others take from there.
"""

import contextlib
import functools
import json
import os
import shutil
import tempfile
import types
import zlib
from pathlib import Path
from unittest.mock import patch

from advisor.casebook import book as books, entries, stored_form
from advisor.casebook.book import Casebook
from advisor.casebook.kept_files import Files
from advisor.deciding.decide import decider_of
from advisor.deciding.decision_record import DecisionRecord
from advisor.knowledge import load
from advisor.knowledge.sources import UNNAMED, Sources, read

from .. import shipped
from ..callers import caller
from . import stores

ROOT = Path(__file__).resolve().parents[2]

# Every new casebook packs the same sixty files, and most hold the same few records: here they are packed, unpacked and
# looked over once, which took a fifth of these tests. Each says the same of the same bytes.
entries.zlib = types.SimpleNamespace(**{**vars(zlib), "compress": functools.lru_cache(200)(zlib.compress)})
entries.unpack = functools.lru_cache(100)(entries.unpack)
stored_form.sound = functools.lru_cache(30)(stored_form.sound)


@functools.cache
def folder():
    """The frozen copy: rules/ and scenarios/ in one folder that nobody writes to."""
    place = shipped.run_folder("shelf") / "copy"
    if not place.exists():
        draft = Path(tempfile.mkdtemp(dir=place.parent))
        for name in ("rules", "scenarios"):
            shutil.copytree(ROOT / name, draft / name)
        with contextlib.suppress(OSError):  # another process was there first
            draft.rename(place)
    return place


@functools.cache
def own_folder():
    """A folder of this process, for rules edited and what comes of them."""
    return Path(tempfile.mkdtemp(dir=shipped.run_folder("shelf")))


def cache():
    """The user's cache folder of these tests."""
    return shipped.run_folder("shelf") / "cache"


def sources(rules=None, kits=None):
    """Sources of the copy, rules or kits elsewhere."""
    root = folder()
    return Sources(
        Path(rules or root / "rules"),
        Path(kits or root / "scenarios/kits"),
        root / "scenarios/platforms",
        root / "scenarios/parts",
        UNNAMED,  # as where every place is named by an option
    )


@functools.cache
def files():
    """The raw Files of the copy."""
    return Files.of(sources())


@functools.cache
def content():
    """The Content of the copy."""
    return read(sources())


@functools.cache
def decider():
    """The Decider of the copy, on both engines."""
    return decider_of(content())


def names():
    """Ids of the shipped cases, in order, without reading them."""
    return sorted(path.stem for path in (ROOT / "scenarios/cases").glob("*.yaml"))


@functools.cache
def cases():
    """The shipped cases by id."""
    found = (load.case(path, decider().knowledge) for path in sorted((folder() / "scenarios/cases").glob("*.yaml")))
    return {case.id: case for case in found}


@functools.cache
def made(name):
    """The record of a shipped case by both engines, as JSON text (so that no test changes another's)."""
    file = shipped.run_folder("shelf") / f"{name}.json"
    if not file.exists():
        draft = file.with_suffix(f".{os.getpid()}")
        draft.write_text(json.dumps(books.decide(decider(), cases()[name]).data), encoding="utf-8")
        draft.replace(file)
    return file.read_text(encoding="utf-8")


def record(name):
    """The `DecisionRecord` of a shipped case."""
    return DecisionRecord.of(json.loads(made(name)))


def with_fact(record, name, value):
    """A record in which one fact has another value."""
    facts = [fact | {"value": value} if fact["name"] == name else fact for fact in record.data["facts"]]
    return DecisionRecord.of({**record.data, "facts": facts})


def random_cases(count, seed):
    """Random callers; the same seed gives the same."""
    return (caller(seed * 1_000_000 + number, content()) for number in range(count))


def save(book, case_id, **who):
    """Save a shipped case with its record; (case number, decision Entry)."""
    begun = book.begin(cases()[case_id], files(), **who)
    return begun.case, book.decided(begun, record(case_id), books.currency_of(decider(), record(case_id)))


def decided_again(case):
    """The bytes a replay must give."""
    return stored_form.decided_bytes(books.decide(decider(), case))


def files_calling(names):
    """The raw Files of the copy, its calculations calling functions by other names: {name now: name there}."""
    place = ("rules", "calculations.yaml")
    text = files().bodies[place].decode()
    for now, there in names.items():
        text = text.replace(f"function: {now}\n", f"function: {there}\n")
    return Files({**files().bodies, place: text.encode()})


def filled(path, fill):
    """The path of a closed casebook with what ``fill(book)`` puts into it.

    A file is a copy of one that was filled once, with its seals' key, for who has no data folder yet.
    """
    home = Path(os.environ["XDG_DATA_HOME"])
    if stores.OnServer.in_force or home.exists():
        with Casebook(path) as book:
            fill(book)
        return path
    first = own_folder() / f"{fill.__module__}.{fill.__name__}"
    if not first.exists():
        draft = Path(tempfile.mkdtemp(dir=own_folder()))
        with patch.dict(os.environ, {"XDG_DATA_HOME": str(draft / "data")}), Casebook(draft / "book.sqlite") as book:
            fill(book)
        draft.rename(first)
    shutil.copytree(first / "data", home)
    shutil.copy(first / "book.sqlite", path)
    return path


def save_with(book, case_id, kept_files):
    """Save a shipped case and its record as if decided with other files; the case number."""
    begun = book.begin(cases()[case_id], kept_files)
    book.decided(begun, record(case_id), books.currency_of(decider(), record(case_id)))
    return begun.case
