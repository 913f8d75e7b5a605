"""Numbers as lists write them: which sign is the decimal mark is decided by the whole column or asked."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from .grid import Cell

_PARTS = re.compile(
    r"(?P<before>[€$£]|[A-Z]{3})?\s*(?P<number>[+\-\u2212]?[0-9](?:[0-9.,'\u2019 \u00a0\u202f]*[0-9])?)"
    r"(?P<dash>[.,]\s?[-\u2013]+)?\s*(?P<after>.*)",
    re.DOTALL,
)
_CURRENCIES = {"€": "EUR", "£": "GBP"}
MARKS = (".", ",")


@dataclass(frozen=True, slots=True)
class WrittenNumber:
    """A cell's number: ``readings``: decimal mark -> the number with a point; ``rest``: what stands behind it.

    ``currency``: what a sign or code beside it says.
    """

    readings: dict[str, str]
    rest: str = ""
    currency: str = ""


def written(cell: Cell) -> WrittenNumber | None:
    """The number in a cell by each decimal mark it may be written with; None where there is no number in it.

    >>> written(Cell("1.389")).readings
    {'.': '1.389', ',': '1389'}
    >>> written(Cell("1.389,50 €"))
    WrittenNumber(readings={',': '1389.50'}, rest='', currency='EUR')
    """
    if cell.exact:
        return WrittenNumber(dict.fromkeys(MARKS, cell.text))
    match = _PARTS.fullmatch(cell.text.strip())
    if not match:
        return None
    number = match["number"].replace("\u2212", "-")
    readings = {mark: value for mark in MARKS if (value := _read(number, mark)) is not None}
    rest, currency = match["after"].strip(), _CURRENCIES.get(match["before"] or "", match["before"] or "")
    if rest in _CURRENCIES:
        rest, currency = "", _CURRENCIES[rest]
    elif re.fullmatch(r"[A-Z]{3}", rest) and not currency:
        rest, currency = "", rest
    return WrittenNumber(readings, rest, "" if currency == "$" else currency) if readings else None


def _read(number, mark):
    """The number with a point, read with this decimal mark, or None where it cannot be written so."""
    sign = "-" if number.startswith("-") else ""
    whole, _, decimals = number.lstrip("+-").partition(mark)
    if mark in decimals or (decimals and not decimals.isdigit()):
        return None
    groups = re.findall(r"[^0-9]", whole)
    if groups:
        if len(set(groups)) > 1 or mark in groups:
            return None
        first, *others = whole.split(groups[0])
        if not 1 <= len(first) <= 3 or first == "0" or any(len(other) != 3 for other in others):
            return None
        whole = first + "".join(others)
    return f"{sign}{whole}.{decimals}" if decimals else f"{sign}{whole}"


@dataclass(frozen=True, slots=True)
class Mark:
    """The decimal mark of a column: ``mark``, empty where it does not matter or is not known.

    ``asked``: a cell with two readings that nothing decides; ``by``: the cell that decided, where another had two;
    ``mixed``: a cell that no mark of the others fits.
    """

    mark: str = ""
    asked: Cell | None = None
    by: Cell | None = None
    mixed: Cell | None = None


def mark_of(cells: Iterable[Cell]) -> Mark:
    """The decimal mark that every number of a column can be written with.

    >>> mark_of([Cell("1.389"), Cell("12,50")]).mark
    ','
    >>> mark_of([Cell("1.389"), Cell("240")]).asked.text
    '1.389'
    """
    possible, asked, by = set(MARKS), None, None
    for cell in cells:
        number = written(cell)
        if number is None or cell.exact:
            continue
        if not possible & number.readings.keys():
            return Mark(mixed=cell)
        if len(number.readings) == 1:
            by = by or cell
        elif number.readings["."] != number.readings[","]:
            asked = asked or cell
        possible &= number.readings.keys()
    if len(possible) == 1:
        return Mark(possible.pop(), by=by if asked else None)
    return Mark(asked=asked)
