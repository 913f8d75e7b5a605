"""What came of one sentence, typed: facts heard, what must be asked, what was left over."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Heard:
    """One fact as heard, in the unit the vocabulary declares for it.

    ``low`` and ``high`` are None where it was said exactly; where only one end was said ("at least") the other is
    None. ``origin`` is stated, measured or looked_up; ``said`` the words, ``text`` the value as an answer is written,
    without its doubt, ``number`` as it was said ("400 hp").
    """

    fact: str
    value: object
    low: float | None = None
    high: float | None = None
    unit: str = ""
    origin: str = "stated"
    said: str = ""
    text: str = ""
    low_text: str = ""
    high_text: str = ""
    is_range: bool = False
    misspelt: bool = False

    @property
    def rough(self) -> bool:
        """Was it said as a range, or as about?"""
        return self.low is not None or self.high is not None

    def as_json(self) -> dict[str, object]:
        """The form of ``advisor understand --json``."""
        return {"value": self.value, "low": self.low, "high": self.high, "unit": self.unit, "from": self.origin}


@dataclass(frozen=True, slots=True)
class Asked:
    """Something that points at facts without settling them: the words, why, and the nearest readings (Heard).

    ``refusal``: nothing at all was taken, and these are only the nearest readings of it.
    """

    facts: tuple
    said: str
    why: str
    readings: tuple = ()
    refusal: bool = False

    def as_json(self) -> dict[str, object]:
        """The form of ``advisor understand --json``."""
        return {
            "facts": list(self.facts),
            "said": self.said,
            "why": self.why,
            "readings": [{"fact": reading.fact, **reading.as_json()} for reading in self.readings],
        }


@dataclass(frozen=True, slots=True)
class Understood:
    """Everything that came of one sentence. ``unknown``: it says only that nobody knows."""

    facts: tuple = ()
    asks: tuple = ()
    left_over: tuple = ()
    unknown: bool = False

    def as_json(self) -> dict[str, object]:
        """The form of ``advisor understand --json``."""
        return {
            "facts": {fact_name.fact: fact_name.as_json() for fact_name in self.facts},
            "left_over": list(self.left_over),
            "ask": [ask.as_json() for ask in self.asks],
        }
