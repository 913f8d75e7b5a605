"""The cache: data only, this user's own, and exactly what was read; anything odd about it means reading afresh."""

import dataclasses
import json
import os
import pickle
import random
import shutil
import stat
import subprocess
import sys

import pytest

from advisor.casebook import kept_files
from advisor.errors import AdvisorError
from advisor.knowledge import cache, canonical, sources
from advisor.knowledge.model import Record
from advisor.knowledge.sources import Sources, demonstration, read
from tests.conftest import ROOT


@pytest.fixture
def place(monkeypatch, tmp_path):
    """A cache folder of its own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return tmp_path / "least-clutch"


def same(ours, theirs):
    """Whether two contents are the same down to the kinds of their values."""
    if type(ours) is not type(theirs):
        return False
    if dataclasses.is_dataclass(ours):
        return all(same(getattr(ours, one.name), getattr(theirs, one.name)) for one in dataclasses.fields(ours))
    if isinstance(ours, dict):
        return list(ours) == list(theirs) and all(same(ours[key], theirs[key]) for key in ours)
    if isinstance(ours, (list, tuple)):
        return len(ours) == len(theirs) and all(map(same, ours, theirs))
    return ours == theirs


def test_what_is_kept_is_what_was_read(place):
    content = read(Sources.chosen(), cache=False)
    fresh = read(Sources.chosen())
    assert read(Sources.chosen()).knowledge is fresh.knowledge
    cache.HELD.clear()  # as the next program finds it
    kept = read(Sources.chosen())
    (file,), (rules,) = place.glob("*.json"), (place / cache.PARTS).glob("*.json")
    assert not content.knowledge_key and rules.stem == fresh.knowledge_key == kept.knowledge_key
    assert same(dataclasses.replace(content, keyed=fresh.keyed), fresh)
    assert same(fresh, kept) and kept.knowledge is not fresh.knowledge
    assert canonical.sha256(fresh.knowledge) == canonical.sha256(kept.knowledge)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert not list(place.glob("*.draft"))


def kept_once(place):
    """A small content kept under "key", and its file."""
    cache.keep("key", (1.5, "text", {"a": (1, None)}))
    assert cache.fetch("key") == (1.5, "text", {"a": (1, None)})
    return place / "key.json"


def test_an_edited_cache_is_not_taken(place):
    file = kept_once(place)
    body = file.read_bytes()
    file.write_bytes(body.replace(b"1.5", b"2.5"))
    assert cache.fetch("key") is None
    pick = random.Random(5)
    for _ in range(300):
        broken = bytearray(body)
        broken[pick.randrange(len(broken))] ^= 1 << pick.randrange(8)
        file.write_bytes(bytes(broken) if pick.random() < 0.7 else body[: pick.randrange(len(body))])
        assert cache.fetch("key") is None
    # Another key's content under this key.
    cache.keep("other", ("other",))
    os.replace(place / "other.json", file)
    assert cache.fetch("key") is None


def test_what_is_held_in_memory_stands_only_while_its_file_does(place):
    cache.keep("key", ("content",), hold=True)
    file = place / "key.json"
    assert cache.fetch("key") is cache.fetch("key", hold=True)
    file.chmod(0o622)  # anybody may have written it since
    assert cache.fetch("key", hold=True) is None
    file.chmod(0o600)
    assert cache.fetch("key", hold=True) == ("content",)
    body = file.read_bytes()
    file.write_bytes(body.replace(b"content", b"CONTENT"))
    assert cache.fetch("key", hold=True) is None
    file.unlink()
    assert cache.fetch("key", hold=True) is None
    for number in range(cache.MOST_HELD + 2):
        cache.keep(f"key{number}", (number,), hold=True)
    assert len(cache.HELD) == cache.MOST_HELD


def test_nothing_in_a_cache_is_run(place, tmp_path):
    class Evil:
        def __reduce__(self):
            return os.mkdir, (str(tmp_path / "ran"),)

    kept_once(place)
    for name in ("key.json", "key.pickle"):
        (place / name).write_bytes(pickle.dumps(Evil()))
    assert cache.fetch("key") is None
    # Even signed by this user: only the classes of the rule model are made, from data.
    secret = (place / "secret").read_bytes()
    for text in (
        '{"Evil": []}',
        '{"system": ["x"]}',
        '{"(": 5}',
        '{"Fact": []}',
        '{"records": [[], [], [], [[0, "a", 0, 0, 1, 1]]]}',
        "[" * 100_000,
        '{"a": 1, "b": 2}',
        "{}",
    ):
        signed = cache._signature(secret, "key", text.encode()) + b"\n" + text.encode()
        (place / "key.json").write_bytes(signed)
        assert cache.fetch("key") is None, text[:40]
    assert not (tmp_path / "ran").exists()
    assert "pickle" not in vars(cache)


@pytest.mark.parametrize(
    "what", ["link", "open file", "open folder", "pipe", "open secret", "no secret", "folder link"]
)
def test_only_what_this_user_alone_wrote_is_taken(place, tmp_path, what):
    file = kept_once(place)
    if what == "link":
        os.replace(file, tmp_path / "elsewhere")
        os.symlink(tmp_path / "elsewhere", file)
    elif what == "open file":
        file.chmod(0o622)
    elif what == "open folder":
        place.chmod(0o777)
    elif what == "pipe":
        file.unlink()
        os.mkfifo(file)
    elif what == "open secret":
        (place / "secret").chmod(0o666)
    elif what == "no secret":
        (place / "secret").unlink()
    else:
        os.replace(place, tmp_path / "elsewhere")
        os.symlink(tmp_path / "elsewhere", place)
    assert cache.fetch("key") is None
    if "folder" in what:
        before = sorted(path.name for path in place.iterdir())
        cache.keep("key", ("new",))
        assert sorted(path.name for path in place.iterdir()) == before


def test_a_draft_put_there_before_is_not_written_through(place, tmp_path, monkeypatch):
    kept_once(place)
    (tmp_path / "victim").write_bytes(b"precious")
    monkeypatch.setattr(os, "urandom", bytes)
    os.symlink(tmp_path / "victim", place / f".key.json.{bytes(6).hex()}.draft")
    cache.keep("key", ("new",))
    assert (tmp_path / "victim").read_bytes() == b"precious"


def test_the_oldest_are_let_go(place):
    for number in range(cache.KEPT + 3):
        cache.keep(f"key{number}", (number,))
        os.utime(place / f"key{number}.json", (number, number))
    assert len(list(place.glob("*.json"))) == cache.KEPT


def test_what_is_used_stays_and_is_not_written(place):
    for number in range(cache.KEPT):
        cache.keep(f"key{number}", (number,))
        os.utime(place / f"key{number}.json", (number, number))
    assert cache.fetch("key0") == (0,) and (place / "key0.json").stat().st_mtime == 0
    cache.keep("another", (1,))
    assert cache.fetch("key0") == (0,) and cache.fetch("key1") is None


AGAIN = """
import sys
from advisor.casebook import kept_files
from advisor.knowledge import canonical
from advisor.knowledge.sources import Sources
kept_files.read = None  # nothing is to be read again
content = kept_files.content(kept_files.Files.of(Sources.chosen(kits=sys.argv[1])))
print(canonical.sha256([content.knowledge, content.kits, content.platforms, content.parts, content.hashes]))
print(content.shop.name)
"""


def test_what_is_kept_with_cases_is_checked_once(place, tmp_path):
    own = tmp_path / "kits"
    shutil.copytree(demonstration() / "kits", own)
    (own / "empty.yaml").write_text(f"# {tmp_path}\nkits: []\n", encoding="utf-8")  # no other test has read these files
    stored = kept_files.content(kept_files.Files.of(Sources.chosen(kits=own)))
    parts = [stored.knowledge, stored.kits, stored.platforms, stored.parts, stored.hashes]
    command = [sys.executable, "-c", AGAIN, str(own)]
    again = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=True)
    assert again.stdout.split("\n") == [canonical.sha256(parts), stored.shop.name, ""]


def test_without_a_cache_nothing_is_fetched_or_kept(place, monkeypatch):
    kept_once(place)
    monkeypatch.setenv(cache.NO_CACHE, "1")
    assert cache.fetch("key") is None
    cache.keep("other", (1,))
    monkeypatch.delenv(cache.NO_CACHE)
    assert cache.fetch("other") is None and cache.fetch("key") is not None


def test_the_form_tells_kinds_apart():
    for value in (
        True,
        1,
        1.0,
        -0.0,
        1e300,
        "",
        "\ud800",
        "é",
        None,
        (),
        [],
        {},
        ((),),
        {"(": (1,)},
        {1: 2},
        {"Fact": []},
    ):
        back = cache.of_text(cache.to_text(value))
        assert same(value, back), value
    assert json.loads(cache.to_text((1,))) == {"(": [1]}
    with pytest.raises(cache.Odd):
        cache.to_text(object())
    with pytest.raises(cache.Odd):  # what no reader of records gives
        cache.to_text((Record("kit", "a", {"id": "a", "odd": {"b": 1}}),))


def test_long_lists_are_kept_file_by_file(place, tmp_path, monkeypatch):
    monkeypatch.setattr(sources, "LONG", 1)
    kits = tmp_path / "kits"
    kits.mkdir()
    for path in (demonstration() / "kits").glob("*.yaml"):
        shutil.copy(path, kits)
    options = {"kits": kits}
    first = read(Sources.chosen(**options))
    written = {path: path.stat().st_mtime_ns for path in (place / cache.PARTS).glob("*.json")}
    file = kits / "dunmere.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("price: ", "price: 1", 1), encoding="utf-8")
    changed = read(Sources.chosen(**options))
    prices = [
        (before.id, before.fields["price"], after.fields["price"])
        for before, after in zip(first.kits, changed.kits)
        if before != after
    ]
    assert len(prices) == 1 and prices[0][2] > prices[0][1]
    fresh = read(Sources.chosen(**options), cache=False)
    assert same(dataclasses.replace(changed, keyed=None), fresh)
    new = [path for path in (place / cache.PARTS).glob("*.json") if path not in written]
    assert len(new) == 1, "of all files only the one that changed was read again"
    # A fault, and a kit that stands in two files, are told as they are without it.
    (kits / "again.yaml").write_text(file.read_text(encoding="utf-8"), encoding="utf-8")
    told = []
    for cached in (True, False):
        with pytest.raises(AdvisorError) as caught:
            read(Sources.chosen(**options), cache=cached)
        told.append(str(caught.value))
    assert told[0] == told[1] and "stands a second time" in told[0]
