"""Texts that are dimensions, a spline or a bolt pattern, in one normal form.

They decide alone whether a kit fits and are compared as texts, so 23x26, 23 X 26,0 and 23 × 26 mm must be one text.
What is not recognised stays as it was written.
"""

import re
from decimal import Decimal

#: Signs that people write for "by": the letter in either case, times signs, an asterisk.
_BY = re.compile(r"\s*(?<=[\d\s])[xX×✕✖*]\s*(?=[\dM\s])|\s+by\s+")
_NUMBER = r"\d+(?:[.,]\d+)?"
_UNIT = r"(?: ?(mm|in|inch|inches|\"))?"
_SPLINE = re.compile(rf"(\d+)(?: ?(?:teeth|splines?))? x ({_NUMBER}){_UNIT}")
_BOLTS = re.compile(
    rf"(\d+) x m ?({_NUMBER})(?: ?(?:bolts?|screws?))?(?:[ ,/-]|\bon\b|\bat\b|\bpcd\b|\bcircle\b|ø)+"
    rf"({_NUMBER}){_UNIT}(?: ?(?:pcd|circle|bolt circle))?"
)
_INCH = ("in", "inch", "inches", '"')


def normal_form(text: str) -> str:
    """A dimension as the records write it: "23 x 26 mm", "6 x M8 on 258 mm"; other texts as they are.

    A number without a unit is in millimetres.
    """
    folded = " ".join(_BY.sub(" x ", text.replace("\u00a0", " ")).split()).casefold().rstrip(".")
    if spline := _SPLINE.fullmatch(folded):
        return f"{int(spline[1])} x {_size(spline[2], spline[3])}"
    if bolts := _BOLTS.fullmatch(folded):
        return f"{int(bolts[1])} x M{_plain(bolts[2])} on {_size(bolts[3], bolts[4])}"
    return text


def _size(number: str, unit: str | None) -> str:
    return f"{_plain(number)} {'in' if unit in _INCH else 'mm'}"


def _plain(number: str) -> str:
    """A decimal number without superfluous zeros, its point a point."""
    return f"{Decimal(number.replace(',', '.')).normalize():f}"
