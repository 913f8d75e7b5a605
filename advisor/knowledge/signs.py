"""Signs that do not show what they do: controls, changes of direction, invisible ones; and cells of a spreadsheet.

Texts that come in are refused where they hold one (`first_odd`); what goes out has none, whatever came in another way
(`shown`, `line`, `escaped`, `cell`). The joiners U+200C and U+200D are left alone: names are written with them.
"""

import re

#: Controls but the line end; soft hyphen; marks and overrides of direction; separators; fillers and other signs without
#: a width; halves of surrogates; private and unassigned planes; tags. (The Unicode Standard, 23.2 to 23.9, and its
#: property Default_Ignorable_Code_Point.)
_ODD = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\xad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b\u200e\u200f"
    "\u2028-\u202e\u2060-\u206f\u3164\ud800-\uf8ff\ufeff\uffa0\ufff0-\ufffb\ufffe\uffff\U0001bca0-\U0001bca3"
    "\U0001d173-\U0001d17a\U000e0000-\U0010ffff]"
)
#: Where a cell begins, or what some spreadsheets take for the end of one, before a sign that begins a formula there,
#: also in its wide and small forms; what does not show in between counts as nothing.
_FORMULA = re.compile(
    '(^|[;\t\n\r"])([\\s\u00a0\u200c\u200d\u2800\ufe00-\ufe0f]*)'
    "(?=[=+\\-@\uff1d\uff0b\uff0d\uff20\ufe62\ufe63\ufe66\ufe6b\u2212])"
)
_NUMBER = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?")


def first_odd(text: str) -> str:
    """The first sign of a text that does not show what it does, as U+202E; "" where there is none. Line ends are
    none.
    """
    if text.isascii() and text.isprintable():  # as most are, and quickly seen
        return ""
    match = _ODD.search(text)
    return f"U+{ord(match[0]):04X}" if match else ""


def shown(text: str) -> str:
    """A text for people to look at: every odd sign a question mark, line ends kept."""
    return _ODD.sub("?", text)


def line(text: str) -> str:
    """As `shown`, in one line."""
    return shown(text).replace("\n", "?")


def escaped(text: str) -> str:
    r"""JSON text with every odd sign written as \u and its number, which reads back as the same."""
    return _ODD.sub(lambda match: _written(ord(match[0])), text)


def _written(code):
    if code < 0x10000:
        return f"\\u{code:04x}"
    code -= 0x10000
    return f"\\u{0xD800 + (code >> 10):04x}\\u{0xDC00 + (code & 0x3FF):04x}"


def cell(value: object) -> str | int | float:
    """A value as a cell: numbers as they are, texts so that no spreadsheet computes them."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return value
    return _FORMULA.sub(r"\1\2'", shown(str(value)))


def cell_to_mend(text: str) -> str:
    """A cell that a person mends and `from_cell` reads again: as `cell`, plain numbers as they are."""
    return text if _NUMBER.fullmatch(text.strip()) else str(cell(text))


def from_cell(text: str) -> str:
    """A cell without the sign that `cell` puts before what looks like a formula."""
    return text[1:] if text.startswith("'") and _FORMULA.match(text[1:]) else text
