"""Seals: every entry's digest under a key that lies outside the casebook, and what this machine last wrote to it.

The chain of digests shows a row that was changed, but whoever rewrites it as a whole can reckon all digests anew. He
cannot reckon the seals anew without the key (HMAC-SHA256, RFC 2104 and FIPS 198-1). Whoever may read the key can: on a
counter's own machine that is everybody who works as its user. Against him stand the lead's signature (`signing`), and
an anchor kept elsewhere (`anchors`).

Beside the key lies, for every casebook that this machine writes to, a note of the last entry it wrote: a casebook
that was swapped, cut short or put back to an older copy does not hold that entry.

Several counters may write to one casebook, each with a key of its own. A key met for the first time is no fault while
the entry this machine wrote last still stands, and with it all before: it may be another counter's, or made up by
somebody who can write to the file. Which, people tell by comparing it with what that counter shows as its own.
"""

import contextlib
import datetime
import hashlib
import hmac
import json
import os
import re
import secrets
import stat
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import InputError, Position, StoreError
from ..knowledge import disk, shop as shops
from . import statements

if TYPE_CHECKING:
    from .store import Store

#: The environment variable that names the file of the key, before ``seal_key`` of the user's shop.
VARIABLE = "LEAST_CLUTCH_SEAL_KEY"
FILE, NOTES = "seal.key", "written"
_SCHEMA = "least-clutch seal key 1"
_LARGEST = 100_000
_ID = re.compile("[0-9a-f]{16}")


@dataclass(frozen=True, slots=True)
class Key:
    """A key for seals; ``id`` tells keys apart and gives nothing away."""

    secret: bytes = field(repr=False)

    @property
    def id(self) -> str:
        """First digits of the key's own digest."""
        return hashlib.sha256(b"least-clutch seal key id\n" + self.secret).hexdigest()[:16]

    def seal(self, casebook: str, digest: str) -> str:
        """The seal on an entry of a casebook, by its digest; hex."""
        return hmac.new(self.secret, f"least-clutch seal 1\n{casebook}\n{digest}".encode(), hashlib.sha256).hexdigest()

    def fault(self, casebook: str, digest: str, mac: object) -> str:
        """What is wrong with ``mac``, said to be this key's seal on an entry, in words; "" where nothing is."""
        # A changed row may hold whatever it likes, and texts with letters beyond ASCII are not compared.
        matches = isinstance(mac, str) and mac.isascii() and hmac.compare_digest(self.seal(casebook, digest), mac)
        return "" if matches else "carries a seal that is not the key's: it was changed or made up"


def _is_id(value):
    return isinstance(value, str) and bool(_ID.fullmatch(value))


def key_place() -> Path:
    """Where the key lies: as the environment says, as the user's shop says, else in the user's data folder."""
    named = os.environ.get(VARIABLE, "")
    if named:
        return Path(named)
    folder = shops.find()
    named = shops.read(folder).seal_key if folder else ""
    if folder and named:
        return folder / os.path.expanduser(named)
    return disk.home("XDG_DATA_HOME", ".local", "share") / "least-clutch" / FILE


def key_here() -> Key | None:
    """The key of this machine, or None where there is none that this user can read. StoreError where it is not to be
    trusted.
    """
    try:
        return _read(key_place())
    except OSError:
        return None


def key_to_write_with() -> Key:
    """The key of this machine, made where there is none yet; StoreError where it cannot be had."""
    place = key_place()
    try:
        with contextlib.suppress(FileNotFoundError):
            return _read(place)
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        new_key = {"schema": _SCHEMA, "made": _now(), "key": secrets.token_hex(32)}
        with contextlib.suppress(FileExistsError):  # another program was quicker
            disk.write(place, json.dumps(new_key) + "\n", private=True)
        return _read(place)
    except OSError as error:
        raise _fault(f"the key that seals the casebook cannot be had: {error.strerror or error}.") from None


def _read(place):
    body = disk.read(place, _LARGEST, follow=False)
    mode = os.stat(place).st_mode
    if os.name == "posix" and mode & (stat.S_IWGRP | stat.S_IRWXO):
        raise _fault("others may read or change the key of the seals.", f"Close it: chmod 600 {place}")
    try:
        held = json.loads(body)
        secret = bytes.fromhex(held["key"])
        if held["schema"] != _SCHEMA or len(secret) != 32:
            raise ValueError
    except (ValueError, TypeError, KeyError, RecursionError):
        raise _fault(
            "this is no key for seals.",
            "Put the key back from where you keep a copy. Moved aside, a new one is made with the next entry, and the"
            " seals before it can no longer be checked.",
        ) from None
    return Key(secret)


def _fault(what, remedy=""):
    return StoreError(
        what,
        where=Position(str(key_place())),
        remedy=remedy or f"Allow reading and writing there, or name a file for it: {VARIABLE}.",
    )


def _now():
    return datetime.datetime.now(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


# --- what this machine last wrote


@dataclass(slots=True)
class Written:
    """What this machine knows of the casebook at one place.

    ``since``: the number of the first entry it sealed; ``entry`` and ``digest``: the last it wrote; ``keys``: ids of
    keys whose seals are in order here: its own, and what a person accepted.
    """

    path: str
    casebook: str
    since: int
    entry: int = 0
    digest: str = ""
    keys: list[str] = field(default_factory=list)


def written(identity: str) -> Written | None:
    """What this machine knows of the casebook at a place, by `Store.identity`; None where it never wrote there."""
    try:
        held = json.loads(disk.read(_note_of(identity), _LARGEST, follow=False))
        note = Written(**held)
        if all(isinstance(text, str) for text in (note.path, note.casebook, note.digest)) and type(note.entry) is int:
            return note
    except FileNotFoundError:
        return None
    except (OSError, ValueError, TypeError, StoreError):
        pass
    return None


def write_down(note: Written) -> None:
    """Keep what this machine knows of a casebook; nothing where the folder beside the key cannot be written."""
    place = _note_of(note.path)
    with contextlib.suppress(OSError):
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        held = {name: getattr(note, name) for name in Written.__slots__}
        disk.write(place, json.dumps(held) + "\n", replace=True, private=True)


def _note_of(identity):
    return key_place().parent / NOTES / f"{hashlib.sha256(os.fsencode(identity)).hexdigest()[:32]}.json"


def note_writing(store: "Store", first: int, key: Key) -> None:
    """Write down the last entry of an open store, of which this machine sealed those from ``first`` on."""
    casebook, entry, digest = store.row(statements.HEAD)
    note = written(store.identity)
    if note is None or (note.casebook == casebook and _holds(store, note)):
        since = first if note is None else note.since
        keys = [] if note is None else note.keys
        keys = keys if key.id in keys else [*keys, key.id]
        write_down(Written(store.identity, casebook, since, entry, digest, keys))
    # Otherwise the note stays as it is, for the next check to say so.


def begin_anew(identity: str) -> None:
    """Forget what stood at a place, for a casebook that this program makes there."""
    with contextlib.suppress(OSError, StoreError):
        _note_of(identity).unlink(missing_ok=True)


def accept_key(store: "Store", key_id: str) -> str:
    """Take a key, given by its first digits, as another counter's; its id. InputError where it seals nothing here, or
    was accepted before.
    """
    unmet = look(store).unmet
    named = [key for key in unmet if key_id and key.startswith(key_id)]
    note = written(store.identity)
    if len(named) != 1 or note is None:
        raise InputError(
            "no entry carries the seal of such a key that is not accepted yet.",
            value=key_id,
            remedy=f"Name one of {', '.join(sorted(unmet))}." if unmet else "All keys here are known.",
        )
    note.keys.append(named[0])
    write_down(note)
    store.vouching = None
    return named[0]


def accept(store: "Store") -> None:
    """Take the casebook at this place as it stands, after a person has looked: its entries so far, and their keys."""
    casebook, entry, digest = store.row(statements.HEAD)
    keys = sorted(row[0] for row in store.rows(statements.KEYS) if _is_id(row[0]))
    bare = store.row(statements.LAST_UNSEALED)[0] or 0
    write_down(Written(store.identity, casebook, bare + 1, entry, digest, keys))


# --- looking


@dataclass(slots=True)
class Met:
    """How many entries of some sort were met, the ``first`` and the ``last``: there may be millions of them."""

    count: int = 0
    first: int = 0
    last: int = 0

    def add(self, entry: int) -> None:
        """One more, in the order of their numbers."""
        self.first = self.first if self.count else entry
        self.last = entry
        self.count += 1


@dataclass(frozen=True, slots=True)
class Looked:
    """What the seals say. ``faults`` by entry (0: the casebook as a whole); ``remarks``: what cannot be said here.

    ``unmet``: keys that seal entries here and that nobody accepted yet, with those entries.
    """

    faults: list[tuple[int, str]]
    remarks: list[str]
    unmet: dict[str, Met] = field(default_factory=dict)


class Looking:
    """What this machine holds seals against, read once for many entries.

    ``bare``, ``foreign``, ``unmet``: entries without a seal, and by key those sealed with other keys, accepted or not.
    """

    def __init__(self, store: "Store", *, anew: bool = False) -> None:
        if anew or store.vouching is None:
            store.vouching = key_here(), written(store.identity)
        self.casebook, self.count, _ = store.row(statements.HEAD)
        self.key, self.note = store.vouching
        self._key_id = None if self.key is None else self.key.id
        self._ours = self.note if self.note is not None and self.note.casebook == self.casebook else None
        self._stands = self._ours is not None and _holds(store, self._ours)
        self.bare = Met()
        self.foreign: dict[str, Met] = {}
        self.unmet: dict[str, Met] = {}

    def fault(self, entry: int, digest: str, key_id: str | None, mac: str | None) -> str:
        """What is wrong with the seal on an entry's digest, in words, or ""."""
        ours, key = self._ours, self.key
        if mac is None or key_id is None:
            self.bare.add(entry)
            return "has no seal, and was written when entries were sealed" if ours and entry >= ours.since else ""
        # A remark names the key, and offers a command to accept it: of a changed row it might name anything.
        if not _is_id(key_id):
            return "carries a seal under a key that cannot be: it was changed or made up"
        if key is None or key_id != self._key_id:
            if ours is None or entry < ours.since or key_id in ours.keys:
                self.foreign.setdefault(key_id, Met()).add(entry)
            elif self._stands:
                self.unmet.setdefault(key_id, Met()).add(entry)
            else:
                return f"carries the seal of a key {key_id} that nobody accepted here"
            return ""
        return key.fault(self.casebook, digest, mac)


def look(store: "Store", case: int | None = None) -> Looked:
    """The seals of every entry, or of one case, held against their key; and the last entry this machine wrote."""
    if store.version() < statements.SEALED_SINCE:
        return Looked([], ["This casebook is of a time before seals."])
    looking = Looking(store, anew=case is None)
    rows = store.rows(statements.SEALS) if case is None else store.rows(statements.SEALS_OF_CASE, (case,))
    faults: list[tuple[int, str]] = []
    for row in rows:
        wrong = looking.fault(*row)
        if wrong:
            faults.append((row[0], wrong))
    key, note, casebook, count = looking.key, looking.note, looking.casebook, looking.count
    bare, foreign, unmet = looking.bare, looking.foreign, looking.unmet
    if case is None:
        faults += _against(store, note, casebook, count)
    return Looked(faults, [*_remarks(bare, foreign, key), *_first_met(unmet)], unmet)


def _against(store, note, casebook, count):
    if note is None:
        return []
    if note.casebook != casebook:
        return [(0, f"another casebook ({note.casebook[:12]}) stood at this place, this one is {casebook[:12]}")]
    if not _holds(store, note):
        how = f"it ends with entry {count}" if count < note.entry else "another stands in its place"
        return [(0, f"entry {note.entry}, which this machine wrote last, is not in it: {how}")]
    return []


def _holds(store, note):
    row = store.row(statements.DIGEST_OF_ENTRY, (note.entry,))
    return row is not None and row[0] == note.digest


def _remarks(bare, foreign, key) -> Iterator[str]:
    if bare.count:
        yield (
            f"{_counted(bare)} from before the key: sealed without a key, so that the chain of digests alone speaks for"
            " them."
        )
    for key_id, met in sorted(foreign.items()):
        why = "no key is on this machine" if key is None else "which is not on this machine"
        yield f"{_counted(met)} sealed with the key {key_id}; {why}, so these seals cannot be checked here."


def _first_met(unmet) -> Iterator[str]:
    for key_id, met in sorted(unmet.items()):
        yield (
            f"{_counted(met)} sealed with the key {key_id}, which this machine meets for the first time: another"
            " counter's, or one that somebody made up who can write to this file. What was written here before still"
            " stands. Ask that counter for its key (advisor case check shows it there); where it is the same: advisor"
            f" case check --accept {key_id}"
        )


def _counted(met):
    return f"Entry {met.first} is" if met.count == 1 else f"{met.count} entries ({met.first} to {met.last}) are"
