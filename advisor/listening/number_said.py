"""A number as somebody said it."""

from dataclasses import dataclass
from fractions import Fraction

from ..knowledge import units, vague

#: The share by which a number said to be rough may be off either way; judgement.
ROUGH = Fraction(str(vague.ROUGH))


@dataclass(slots=True)
class NumberSaid:
    """A number as said: tokens ``start`` to ``end``; ``values`` are its readings (two where a comma has two meanings).

    ``decimal``: said with its decimals ("2.8", "four point one"); ``pair``: as two digits, "four three" for a ratio
    of 4.3 or 4300 rpm; ``joined``: said as two numbers, "two sixty-six", which for a ratio is 2.66. ``gradient``: said
    as "one in five"; ``ratio``: said as "two to one".
    ``low`` and ``high`` where a range was said. ``rough``: about, over, under, least or most. ``unit`` is the Unit
    written behind it or None, ``spelling`` how. ``kind`` is another kind of number (a year, money, ...) or empty.
    """

    start: int
    end: int
    values: tuple
    low: Fraction | None = None
    high: Fraction | None = None
    rough: str = ""
    unit: units.Unit | None = None
    spelling: str = ""
    kind: str = ""
    fraction: bool = False
    first_alone: int = 0
    loose: bool = False
    decimal: bool = False
    pair: bool = False
    joined: bool = False
    gradient: bool = False
    ratio: bool = False

    @property
    def bare(self) -> bool:
        """Has it no unit?"""
        return not self.spelling

    @property
    def dimension(self) -> str:
        """What its unit measures, or nothing."""
        return self.unit.dimension if self.unit else ""
