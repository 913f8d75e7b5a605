"""One text for one content: what hashes are taken over, whatever the file order, spacing or comments."""

import dataclasses
import functools
import hashlib
import json
from collections.abc import Mapping
from typing import Any

from ..errors import Position
from .model import HASHED_AS

_LEFT_OUT = ("position", "hash")
_SCALARS = frozenset((str, int, float, bool, type(None)))


@functools.cache
def _fields_of(kind: Any) -> tuple[tuple[str, Any], ...] | None:
    """Pairs (name, how it is hashed or None for as it is) of the fields of a dataclass; None of another class."""
    if not dataclasses.is_dataclass(kind):
        return None
    return tuple(
        (field.name, field.metadata.get(HASHED_AS)) for field in dataclasses.fields(kind) if field.name not in _LEFT_OUT
    )


def plain(content: Any) -> Any:
    """Content as dicts, lists and scalars; places and hashes left out."""
    # Most of what comes is JSON data already, which is told by its type alone.
    kind = type(content)
    if kind in _SCALARS:
        return content
    if kind is dict:
        return {str(key): plain(value) for key, value in content.items()}
    if kind is list or kind is tuple:
        return [plain(member) for member in content]
    fields = _fields_of(kind)  # type: ignore[arg-type]  # a class can be hashed
    if fields is not None:
        data: dict[str, Any] = {"is": kind.__name__}
        for name, hashed_as in fields:
            value = getattr(content, name)
            data[name] = plain(value if hashed_as is None else hashed_as(value))
        return data
    if isinstance(content, Mapping):
        return {str(key): plain(value) for key, value in content.items()}
    if isinstance(content, (list, tuple)):
        return [plain(member) for member in content]
    if isinstance(content, Position):
        return None
    return content


def text(content: object) -> str:
    """Canonical JSON: sorted keys, no blanks."""
    return _written(plain(content))


_written = json.JSONEncoder(sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode


def sha256(content: object) -> str:
    """Hex SHA-256 of the canonical text.

    >>> sha256({"b": 1, "a": 2}) == sha256({"a": 2, "b": 1})
    True
    """
    return digest(text(content))


def digest(data: bytes | str) -> str:
    """Hex SHA-256 of bytes, or of a text as UTF-8: the one digest everything stored is known by.

    >>> digest("") == digest(b"")
    True
    """
    return hashlib.sha256(data.encode() if isinstance(data, str) else data).hexdigest()
