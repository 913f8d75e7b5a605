"""JSON from elsewhere, a stored entry's body or a file that came back: read within limits, and none that is no JSON."""

import json
import re
import sys
from typing import Any

#: Letters of a text; a case of every question answered takes 8,000.
LONGEST = 200_000
#: Lists and mappings within each other.
_DEEPEST = 12
#: Half of a sign written in two escapes, and a number too large: only a text with one of these may hold either.
_PERHAPS_ODD = re.compile(r"\\u[dD]|(?:^|[:\[,])\s*-?\d(?:[\d.]*[eE]\+?\d{3}|\d{199})")


def read(text: object) -> Any:
    """The JSON data of a text, or None where it is none, too long, too deep, or holds what JSON does not."""
    if not isinstance(text, str) or len(text) > LONGEST:
        return None
    try:
        parsed = _DECODER.decode(text)
    except (ValueError, RecursionError):
        return None
    # Nothing stands deeper than there are beginnings of lists and mappings, which are few in most texts.
    shallow = text.count("{") + text.count("[") <= _DEEPEST or _no_deeper(parsed, _DEEPEST)
    return parsed if shallow and (not _PERHAPS_ODD.search(text) or _within(parsed)) else None


def _no_number(name):
    raise ValueError(f"{name} is no number")


_DECODER = json.JSONDecoder(parse_constant=_no_number)


def _no_deeper(value, depth):
    """Whether lists and mappings stand in each other no more than ``depth`` times."""
    holders = [value] if type(value) in _HOLDERS else []
    while holders and depth:
        # All of one depth at once, which takes a fraction of the time of one by one.
        holders = [
            part
            for holder in holders
            for part in (holder.values() if type(holder) is dict else holder)
            if type(part) in _HOLDERS
        ]
        depth -= 1
    return not holders


_HOLDERS = (dict, list)


def _within(value):
    """Whether the numbers in data are ones that can be reckoned with, and its texts whole."""
    if isinstance(value, dict):
        return all(_within(key) and _within(part) for key, part in value.items())
    if isinstance(value, list):
        return all(map(_within, value))
    if isinstance(value, str):
        return value.isascii() or not any(0xD800 <= ord(sign) < 0xE000 for sign in value)
    # Whole numbers too: one beyond every float is data, and ends whatever is reckoned with it.
    return not isinstance(value, (int, float)) or abs(value) <= sys.float_info.max
