"""How a true number becomes what somebody says: his units, his rounding, exactly, about, or from figure to figure."""

from dataclasses import dataclass

from advisor.knowledge.quantities import convert

from .engines import KMH_PER_MPH
from .shares import choose, error, table

#: What a figure in that unit is rounded to, and when he says "about".
STEPS = {
    "N m": (5, 10),
    "lb-ft": (5, 10),
    "kgf m": (0.5, 1),
    "kW": (1, 5),
    "PS": (5, 10),
    "hp": (5, 10),
    "rpm": (100, 500),
    "bar": (0.05, 0.1),
    "psi": (1, 1),
    "kg": (25, 50),
    "lb": (50, 100),
    "km/h": (1, 5),
    "mph": (1, 2),
    "cm3": (1, 100),
    "l": (0.1, 0.1),
    "%": (1, 5),
    "m": (50, 100),
}
#: Units by habit; a habit that is not named says it as the metric one does, a fact that is not named in its own unit.
UNITS = {
    "engine_torque": {"metric": "N m", "british": "lb-ft", "american": "lb-ft", "old": "kgf m"},
    "engine_power": {"british": "hp", "american": "hp", "old": "PS"},
    "nitrous_power": {"british": "hp", "american": "hp", "old": "PS"},
    "vehicle_mass": {"metric": "kg", "american": "lb"},
    "towed_mass": {"metric": "kg", "american": "lb"},
    "boost_pressure": {"metric": "bar", "british": "psi", "american": "psi"},
    "quarter_mile_speed": {"metric": "km/h", "british": "mph", "american": "mph"},
    "displacement": {"metric": "l", "old": "cm3"},
}
#: What a number is misread by (``errors`` in the table) where it is no exact count or record.
ERRORS = {
    "engine_power_speed_rpm": "speed",
    "shift_speed_rpm": "speed",
    "launch_speed_rpm": "speed",
    "vehicle_mass": "mass",
    "towed_mass": "trailer",
    "boost_pressure": "boost",
    "quarter_mile_speed": "quarter_mile",
}
#: Numbers that are said roughly or as a span at all; the rest are counts and records, said as they are.
VAGUE = (*ERRORS, "engine_torque", "engine_power", "budget", "hard_launches_per_day", "launch_days_per_year")
#: Unit of facts the vocabulary may not have, and of money and counts.
OWN_UNITS = {"quarter_mile_speed": "km/h", "launch_days_per_year": "1"}


@dataclass(frozen=True, slots=True)
class Said:
    """One answer as given.

    ``value``: what it says, canonical (the middle of a range); ``low`` and ``high`` its ends, canonical, where it is a
    range. ``way``: exact, about or range. ``figures``: the number or the two ends as said, in ``unit``.
    """

    fact: str
    value: object
    way: str = "exact"
    low: float | None = None
    high: float | None = None
    figures: tuple = ()
    unit: str = ""
    origin: str = "stated"

    def text(self):
        """As a case file has it: ``430 N m``, ``about 400 hp``, ``400 to 450 N m``, a choice, yes or no."""
        if isinstance(self.value, bool):
            return "yes" if self.value else "no"
        if not self.figures:
            return str(self.value)
        numbers = " to ".join(plain(number) for number in self.figures)
        unit = "" if self.unit == "1" else f" {self.unit}"
        return f"{'about ' if self.way == 'about' else ''}{numbers}{unit}"

    def raw(self):
        """As a case file has it, the long form where it was measured or looked up."""
        return self.text() if self.origin == "stated" else {"value": self.text(), "from": self.origin}


def plain(number):
    """A number without an exponent or needless digits."""
    return f"{number:.6f}".rstrip("0").rstrip(".")


@dataclass(frozen=True, slots=True)
class Habit:
    """How one person counts: metric, british, american or old units; PS or kW where metric."""

    units: str
    power: str

    def unit(self, fact, native):
        """The unit in which he gives a fact whose own unit is ``native``."""
        wanted = UNITS.get(fact, {})
        if fact in ("engine_power", "nitrous_power") and self.units == "metric":
            return self.power
        return wanted.get(self.units, wanted.get("metric", native))


def habit(pick):
    """A `Habit`, drawn."""
    shares = table()["units"]
    return Habit(choose(pick, shares["habits"]), choose(pick, shares["power_of_metric"]))


def say(pick, fact, true, native, manner, *, misread=None, ways="remembered", origin="stated"):
    """What somebody of that ``manner`` (a `Habit`) says of a true value whose unit is ``native``.

    ``misread``: which of the stated errors its measurement has; ``ways``: which of the stated ways.
    """
    if isinstance(true, (str, bool)) or native is None:
        return Said(fact, true, origin=origin)
    misread = misread or ERRORS.get(fact)
    way = choose(pick, table()["ways"][ways]) if fact in VAGUE and true else "exact"
    # Who gives a range has taken his own error into it; who gives a figure has not.
    shown = true * error(pick, misread) if misread and true and way != "range" else true
    unit = manner.unit(fact, native)
    number = _into(shown, native, unit)
    fine, coarse = _steps(fact, unit, number)
    if way == "range":
        ends = _range(pick, number, fine)
        low, high = (_into(end, unit, native) for end in ends)
        return Said(fact, (low + high) / 2, way, low, high, ends, unit, origin)
    step = coarse if way == "about" else fine
    rounded = number if step is None else max(round(number / step), 1 if number else 0) * step
    figure = float(f"{rounded:.6g}")
    return Said(fact, _into(figure, unit, native), way, figures=(figure,), unit=unit, origin=origin)


def _steps(fact, unit, number):
    if fact == "budget":
        return 50, 100
    if fact in ("hard_launches_per_day", "launch_days_per_year"):
        return 1, 5 if number >= 10 else 1
    return STEPS.get(unit, (None, None)) if fact in VAGUE or fact in UNITS else (None, None)


def _range(pick, number, step):
    shares = table()["range_width"]
    width = number * pick.uniform(shares["low"], shares["high"])
    if pick.random() < table()["range_holds"]["share"]:
        low = number - width * pick.uniform(0.1, 0.9)
    else:
        low = (
            number + width * pick.uniform(0.0, 0.24)
            if pick.random() < 0.5
            else number - width * pick.uniform(1.0, 1.24)
        )
    low, high = (float(f"{round(end / step) * step:.6g}") for end in (low, low + width))
    return (low, high) if high > low else (low, float(f"{low + step:.6g}"))


def _into(number, unit, other):
    if unit == other:
        return number
    if {unit, other} == {"km/h", "mph"}:
        return number * KMH_PER_MPH if unit == "mph" else number / KMH_PER_MPH
    return convert(number, unit, other)
