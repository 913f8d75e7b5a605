"""JSON from elsewhere, a stored entry's body or a file that came back: read within limits, and none that is no JSON."""

import json
import sys
from itertools import chain
from typing import Any

#: Letters of a text; a case of every question answered takes 8,000.
LONGEST = 200_000
#: Lists and mappings within each other.
_DEEPEST = 12
#: What may stand around JSON.
_BLANKS = " \t\n\r"
#: Digits of the shortest whole number that may be beyond every float.
_LONG = 300


def read(text: object) -> Any:
    """The JSON data of a text, or None where it is none, too long, too deep, or holds what JSON does not."""
    if not isinstance(text, str) or len(text) > LONGEST:
        return None
    text = text.strip(_BLANKS)
    try:
        parsed, end = _DECODER.raw_decode(text)
    except (ValueError, RecursionError):
        return None
    if end != len(text):
        return None
    # Nothing stands deeper than there are beginnings of lists and mappings, which are few in most texts.
    shallow = text.count("{") + text.count("[") <= _DEEPEST or _no_deeper(parsed, _DEEPEST)
    # Half of a sign can only be written as an escape.
    return parsed if shallow and ("\\" not in text or _whole(parsed)) else None


def _no_number(name):
    raise ValueError(f"{name} is no number")


def _float(digits):
    number = float(digits)
    if abs(number) > sys.float_info.max:
        raise ValueError(f"{digits} is beyond every float")
    return number


def _int(digits):
    # Whole numbers too: one beyond every float is data, and ends whatever is reckoned with it.
    if len(digits) >= _LONG:
        _float(digits)
    return int(digits)


_DECODER = json.JSONDecoder(parse_float=_float, parse_int=_int, parse_constant=_no_number)


def _no_deeper(value, depth):
    """Whether lists and mappings stand in each other no more than ``depth`` times."""
    within: list[Any] = [[value]]
    # All of one depth at once, which takes a fraction of the time of one by one.
    while within and depth >= 0:
        within = [
            part.values() if type(part) is dict else part
            for part in chain.from_iterable(within)
            if type(part) in _HOLDERS
        ]
        depth -= 1
    return not within


_HOLDERS = (dict, list)


def _whole(value):
    """Whether the texts in data are whole."""
    if isinstance(value, dict):
        return all(_whole(key) and _whole(part) for key, part in value.items())
    if isinstance(value, list):
        return all(map(_whole, value))
    return not isinstance(value, str) or value.isascii() or not any(0xD800 <= ord(sign) < 0xE000 for sign in value)
