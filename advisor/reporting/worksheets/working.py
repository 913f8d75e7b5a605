"""Working a worksheet: readings, lines computed from them by functions of the mechanics, and verdicts."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from ...errors import InputError
from ...knowledge import functions, quantities
from ...knowledge.functions import describe
from ...knowledge.model import Limit
from ...mechanics.argument_checks import MechanicsError

WITHIN, OUTSIDE, OPEN = "within", "outside", "open"
#: Numbers are kept to 9 significant digits, as everywhere.
DIGITS = 9


@dataclass(frozen=True, slots=True)
class Reading:
    """One thing to measure or look up: ``what`` it is, ``how`` to get it; needed unless optional.

    ``choices`` for a text; ``default`` for what a worksheet takes where nothing is given.
    """

    name: str
    unit: str
    what: str
    how: str = ""
    optional: bool = False
    choices: tuple[str, ...] = ()
    default: object = None
    many: bool = False  # NAME_1, NAME_2 ... as many as were taken
    signed: bool = False  # may be below zero
    most: float | None = None  # beyond this, either way, it is a slip


@dataclass(frozen=True, slots=True)
class Line:
    """A figure computed from the readings: value in ``unit``, by the mechanics ``function``; its formula."""

    name: str
    label: str
    value: float
    unit: str
    function: str
    formula: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a figure (``of``: a line or reading) is within its limit, in words, and what to do."""

    of: str
    state: str
    words: str
    basis: str = ""


@dataclass(frozen=True, slots=True)
class Worksheet:
    """One kind of worksheet: what it finds, its readings, ``solve`` that works it, cautions that go with it."""

    name: str
    title: str
    readings: tuple[Reading, ...]
    solve: Callable[["Worked"], None]
    cautions: tuple[str, ...] = ()


@dataclass
class Worked:
    """A worksheet being worked: the `Worksheet`, its readings, the workshop's limits, lines and verdicts so far."""

    worksheet: Worksheet
    readings: dict[str, Any]
    limits: Mapping[str, Limit]
    lines: list[Line] = field(default_factory=list)
    verdicts: list[Verdict] = field(default_factory=list)

    @property
    def name(self) -> str:
        """Name of the worksheet."""
        return self.worksheet.name

    def has(self, *names: str) -> bool:
        """Are all these readings given?"""
        return all(self.readings.get(name) is not None for name in names)

    def known(self, name: str) -> bool:
        """Is it given, or worked out already?"""
        return self.has(name) or any(line.name == name for line in self.lines)

    def value(self, name: str) -> Any:
        """A reading's or a line's value."""
        for line in self.lines:
            if line.name == name:
                return line.value
        return self.readings[name]

    def unit(self, name: str) -> str:
        """Its unit."""
        for line in self.lines:
            if line.name == name:
                return line.unit
        return next((reading.unit for reading in self.worksheet.readings if reading.name == stem(name)), "1")

    def work(self, name: str, label: str, function: str, unit: str, **arguments: str | tuple[float, str]) -> float:
        """Add a line: ``function`` of the mechanics on readings and lines (by name) or (value, unit) pairs."""
        document = describe(function)
        given: dict[str, Any] = {}
        for keyword, source in arguments.items():
            wanted = document.keywords[keyword]
            if keyword in document.texts:
                given[keyword] = self.value(str(source))
                continue
            value, held = source if isinstance(source, tuple) else (self.value(source), self.unit(source))
            given[keyword] = value if wanted == "any" else quantities.convert(value, held, wanted)
        try:
            result = functions.function(function)(**given)
        except MechanicsError as error:
            reading = arguments.get(error.argument)
            at = reading if isinstance(reading, str) else error.argument
            raise InputError(
                f"{at.replace('_', ' ')} {error.reason}.",
                value=error.value,
                remedy="Take the reading again; advisor worksheet NAME shows how.",
            ) from None
        if document.result_unit != "any":
            result = quantities.convert(result, document.result_unit, unit)
        self.lines.append(Line(name, label, float(f"{result:.{DIGITS}g}") + 0.0, unit, function, document.formula))
        return self.lines[-1].value

    def judge(self, of: str, state: str, words: str, basis: str = "") -> None:
        """Add a verdict."""
        self.verdicts.append(Verdict(of, state, words, basis))

    @property
    def state(self) -> str:
        """The worst of the verdicts; open where nothing was judged."""
        states = {verdict.state for verdict in self.verdicts}
        return OUTSIDE if OUTSIDE in states else WITHIN if states and OPEN not in states else OPEN

    def as_data(self) -> dict[str, Any]:
        """The worked sheet as JSON data."""
        return {
            "worksheet": self.name,
            "readings": {
                name: value if isinstance(value, str) else {"value": value, "unit": self.unit(name)}
                for name, value in sorted(self.readings.items())
                if value is not None
            },
            "lines": [
                {
                    "name": line.name,
                    "label": line.label,
                    "value": line.value,
                    "unit": line.unit,
                    "function": line.function,
                    "formula": list(line.formula),
                }
                for line in self.lines
            ],
            "verdicts": [
                {"of": verdict.of, "state": verdict.state, "words": verdict.words, "basis": verdict.basis}
                for verdict in self.verdicts
            ],
            "state": self.state,
        }


def stem(name: str) -> str:
    """The reading a numbered one belongs to: reading_3 is a reading."""
    head, _, tail = name.rpartition("_")
    return head if head and tail.isdigit() else name


def shown(value: float) -> str:
    """A length as printed."""
    return quantities.show(value, "mm")


class Ends(NamedTuple):
    """A limit of the workshop: its ends and its basis in words."""

    low: float
    high: float
    why: str


def ends(sheet: Worked, name: str) -> Ends:
    """The `Ends` of a limit of the workshop."""
    limit = sheet.limits[name]
    return Ends(limit.low, limit.high, limit.why)


def within(sheet: Worked, of: str, low: float, high: float, basis: str, small: str, large: str) -> None:
    """Judge a length against a range; what to do where it is too small or too large."""
    value = sheet.value(of)
    words = f"{of.replace('_', ' ')} {shown(value)}, {shown(low)} to {shown(high)} is wanted"
    if low <= value <= high:
        sheet.judge(of, WITHIN, f"{words}.", basis)
    else:
        sheet.judge(
            of, OUTSIDE, f"{words}: too {'small' if value < low else 'large'}. {small if value < low else large}", basis
        )


def at_most(sheet: Worked, of: str, high: float, basis: str, remedy: str) -> None:
    """Judge a length against its most; what to do where it is more."""
    value = sheet.value(of)
    words = f"{of.replace('_', ' ')} {shown(value)}, at most {shown(high)}"
    tail = f": too much. {remedy}" if value > high else "."
    sheet.judge(of, OUTSIDE if value > high else WITHIN, words + tail, basis)


def at_least_zero(sheet: Worked, of: str, remedy: str, basis: str = "") -> None:
    """Judge a length that must not be below nought."""
    value = sheet.value(of)
    tail = f": {remedy}" if value < 0 else "."
    sheet.judge(of, OUTSIDE if value < 0 else WITHIN, f"{of.replace('_', ' ')} {shown(value)}{tail}", basis)
