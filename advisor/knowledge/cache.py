"""What was read and checked, kept between starts as JSON: data only, in which nothing can be run.

The file is keyed: by every byte that was read, and by a secret of this user with which it is signed, so that what
somebody edited or put there is not taken. It is opened without following a link and looked at once open. A cache that
is odd in any way is no cache: everything is read afresh.
"""

import contextlib
import gc
import hashlib
import json
import os
import stat
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from ..errors import Position, StoreError
from . import case_model, disk, model

#: Bytes of the largest cache that is read; the shipped rules and shop take one, 20,000 kits some ten more.
LARGEST = 64_000_000
#: Files kept: the shops and rules used last.
KEPT = 5
#: The shelf of what makes up such a shop (its rules, its long files), read again where only another part has changed,
#: and of what cases are kept with; and how many files stand on it.
PARTS, KEPT_PARTS = "parts", 60
#: What was asked for with ``hold``, as it was made of its file: path -> (state of the file, content). It is taken again
#: while the file is what it was, since a megabyte of rules takes a tenth of a second; nobody changes it.
HELD: dict[str, tuple[tuple[int, ...], Any]] = {}
MOST_HELD = 3
#: Where this variable of the environment is set, nothing is fetched or kept.
NO_CACHE = "LEAST_CLUTCH_NO_CACHE"
_SUFFIX = ".json"
_CLASSES: dict[str, Any] = {
    name: kind
    for module in (model, case_model)
    for name, kind in vars(module).items()
    if isinstance(kind, type) and hasattr(kind, "__dataclass_fields__")
} | {"Position": Position}
_FIELDS = {name: tuple(kind.__dataclass_fields__) for name, kind in _CLASSES.items()}


class Odd(ValueError):
    """Something that this form does not hold."""


def to_text(content: object) -> str:
    """Content as JSON: an object of one key, the kind, stands for everything that JSON itself does not tell apart."""
    return json.dumps(_told(content), ensure_ascii=True, separators=(",", ":"))


def _told(value):
    kind = type(value)
    if value is None or kind in (str, bool, int, float):
        return value
    if kind is tuple and value and all(type(member) is model.Record for member in value):
        return {"records": _told_records(value)}
    if kind is tuple:
        return {"(": [_told(member) for member in value]}
    if kind is list:
        return [_told(member) for member in value]
    if kind is dict:
        return {"{": [[_told(key), _told(member)] for key, member in value.items()]}
    if _CLASSES.get(kind.__name__) is kind:
        return {kind.__name__: [_told(getattr(value, name)) for name in _FIELDS[kind.__name__]]}
    raise Odd(f"{kind.__name__} is not kept")


def _told_records(records):
    """Thousands of records alike: what fields they have is said once, and their values stand in rows.

    [kinds, files, forms: names of the fields, rows: [kind, id, form, file, line, column, *values]], by place.
    """
    kinds: dict[Any, int] = {}
    files: dict[Any, int] = {}
    forms: dict[Any, int] = {}
    rows = []
    for record in records:
        where = record.position
        file = -1 if where is None else files.setdefault(where.file, len(files))
        line, column = (0, 0) if where is None else (where.line, where.column)
        form = forms.setdefault(tuple(record.fields), len(forms))
        values = [_told_value(value) for value in record.fields.values()]
        rows.append([kinds.setdefault(record.kind, len(kinds)), record.id, form, file, line, column, *values])
    return [list(kinds), list(files), [list(form) for form in forms], rows]


def _told_value(value):
    if value is None or type(value) in (str, bool, int, float):
        return value
    if type(value) is tuple and all(type(member) in (str, bool, int, float) for member in value):
        return list(value)
    raise Odd(f"{type(value).__name__} in a record is not kept")


def _records(parts):
    kinds, files, forms, rows = parts
    records = []
    for kind, name, form, file, line, column, *values in rows:
        fields = dict(zip(forms[form], values))
        for field, value in fields.items():
            if type(value) is list:
                fields[field] = tuple(value)
        where = None if file < 0 else Position(files[file], line, column)
        records.append(model.Record(kinds[kind], name, fields, where))
    return tuple(records)


_MAKERS: dict[str, Callable[[list], Any]] = {"(": tuple, "{": dict, "records": _records}


def _made(pairs):
    ((kind, values),) = pairs
    maker = _CLASSES.get(kind)
    return _MAKERS[kind](values) if maker is None else maker(*values)


def of_text(text: str | bytes) -> Any:
    """What `to_text` was given; ValueError, KeyError or TypeError for anything else."""
    # Thousands of small objects are made and none is let go: looking for some to collect is lost time.
    collecting = gc.isenabled()
    gc.disable()
    try:
        return json.loads(text, object_pairs_hook=_made)
    finally:
        if collecting:
            gc.enable()


def folder() -> Path:
    """The user's cache folder of this program."""
    return disk.home("XDG_CACHE_HOME", ".cache") / "least-clutch"


def fetch(key: str, shelf: str = "", *, hold: bool = False) -> Any:
    """The content kept under ``key``, on a shelf of its own where one is named; or None.

    ``hold``: it is held in memory too, for whoever asks next.
    """
    if os.environ.get(NO_CACHE):
        return None
    try:
        place = folder() / shelf
        secret = _secret(place)
        if secret is None:
            return None
        path = place / f"{key}{_SUFFIX}"
        state, content = HELD.get(str(path), (None, None))
        if state is None or state != _state(path):
            signature, _, text = _own(path, LARGEST).partition(b"\n")
            if signature != _signature(secret, key, text):
                return None
            content = of_text(text)
            if hold:
                _hold(path, content)
    except (OSError, StoreError, ValueError, LookupError, TypeError, RecursionError):
        return None
    with contextlib.suppress(OSError):
        # What is used stays, whatever the disk notes of being read: the longest unused goes first.
        os.utime(path, ns=(time.time_ns(), path.lstat().st_mtime_ns))
    return content


def _hold(path, content):
    HELD.pop(str(path), None)
    while len(HELD) >= MOST_HELD:
        HELD.pop(next(iter(HELD)))
    HELD[str(path)] = _state(path), content


def _state(path):
    """What tells whether a file is still the one that was read: who may write it, too."""
    state = os.lstat(path)
    return state.st_dev, state.st_ino, state.st_mode, state.st_uid, state.st_size, state.st_mtime_ns


def keep(key: str, content: object, shelf: str = "", *, hold: bool = False) -> None:
    """Keep content under ``key``, where there is a place to keep it; ``shelf`` and ``hold`` as in `fetch`."""
    if os.environ.get(NO_CACHE):
        return
    # A full or read-only disk costs the next start its time, nothing else.
    with contextlib.suppress(OSError, StoreError, Odd, RecursionError):
        place, most = folder() / shelf, KEPT_PARTS if shelf else KEPT
        place.mkdir(parents=True, exist_ok=True, mode=0o700)
        if not _ours(os.lstat(place), stat.S_ISDIR):
            return
        secret = _secret(place) or _new_secret(place)
        old = [path for path in place.iterdir() if path.suffix in (_SUFFIX, ".pickle")]
        for path in sorted(old, key=lambda path: path.lstat().st_atime)[: -most + 1]:
            path.unlink(missing_ok=True)
        text = to_text(content).encode("ascii")
        path = place / f"{key}{_SUFFIX}"
        disk.write(path, _signature(secret, key, text) + b"\n" + text, replace=True, private=True)
        if hold:
            _hold(path, content)


def _signature(secret, key, text):
    return hashlib.blake2b(key.encode() + text, key=secret, digest_size=32).hexdigest().encode()


def _ours(state, is_kind):
    """Whether something is of a kind and only this user can have written it."""
    mine = not hasattr(os, "getuid") or (state.st_uid == os.getuid() and not state.st_mode & 0o022)
    return is_kind(state.st_mode) and mine


def _own(path, limit):
    """The bytes of a file that only this user can have written, looked at once it is open."""
    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK | getattr(os, "O_NOFOLLOW", 0))
    with open(descriptor, "rb") as file:
        if not _ours(os.fstat(descriptor), stat.S_ISREG):
            raise Odd("not this user's own file")
        return disk.within(file, limit, str(path))


def _secret(place):
    """The secret of this user beside the cache, or None where there is none that can be trusted."""
    if not _ours(os.lstat(place), stat.S_ISDIR):
        return None
    try:
        secret = _own(place / "secret", 32)
    except FileNotFoundError:
        return None
    return secret if len(secret) == 32 else None


def _new_secret(place):
    (place / "secret").unlink(missing_ok=True)
    secret = os.urandom(32)
    disk.write(place / "secret", secret, private=True)
    return secret
