"""The closed table of units: what people may write, and the exact definition of each.

Factors are fractions: metre, pound (0.45359237 kg), standard gravity (9.80665 m/s2) and inch
(25.4 mm); the horsepower is 550 foot pounds a second, the PS 75 kgf m/s. Where a unit holds pi
(rpm, degree) the power of pi stands beside the fraction. Source: The International System of Units
(BIPM, 9th edition) and NIST SP 811, appendix B; proved unit by unit against pint in the tests.
"""

import math
import re
from fractions import Fraction

from ..frozen import frozen

_POUND = Fraction("0.45359237")
_GRAVITY = Fraction("9.80665")
_INCH = Fraction("0.0254")
_FOOT = 12 * _INCH
_LBF = _POUND * _GRAVITY
_MILE = 5280 * _FOOT


@frozen
class Unit:
    """One unit: ``si = (value * factor + offset) * pi ** pi_power`` in the SI unit of its dimension."""

    name: str
    dimension: str
    factor: Fraction
    pi_power: int = 0
    offset: Fraction = Fraction(0)
    spellings: tuple[str, ...] = ()

    @property
    def scale(self) -> float:
        """The factor as a float."""
        return float(self.factor) * math.pi**self.pi_power


def _unit(
    name: str,
    dimension: str,
    factor: Fraction | int | str,
    *spellings: str,
    pi_power: int = 0,
    offset: Fraction | int | str = 0,
) -> Unit:
    return Unit(name, dimension, Fraction(factor), pi_power, Fraction(offset), spellings)


_TABLE = (
    # The first unit of a dimension is its SI unit.
    _unit("1", "plain number", 1, "-", ""),
    _unit("%", "plain number", "0.01", "percent", "per cent", "pct"),
    _unit(
        "N m",
        "torque",
        1,
        "Nm",
        "newton metre",
        "newton metres",
        "newton meter",
        "newton meters",
        "newtonmetre",
        "newtonmetres",
        "newtonmeter",
        "newtonmeters",
    ),
    _unit("kN m", "torque", 1000, "kNm"),
    _unit("N mm", "torque", "0.001", "Nmm"),
    _unit(
        "lb-ft",
        "torque",
        _LBF * _FOOT,
        "lbft",
        "ft-lb",
        "ftlb",
        "lbf ft",
        "ft lbf",
        "lbfft",
        "ftlbf",
        "lbs ft",
        "lbsft",
        "ft lbs",
        "ftlbs",
        "pound feet",
        "pound foot",
        "foot pound",
        "foot pounds",
        "pounds feet",
        "pounds foot",
        "foot pounds force",
        "lb/ft",
        "ft/lb",
        "ft/lbs",
        "lbs/ft",
    ),
    _unit(
        "lb-in",
        "torque",
        _LBF * _INCH,
        "lbin",
        "in lb",
        "inlb",
        "lbf in",
        "in lbf",
        "in lbs",
        "inlbs",
        "inch pound",
        "inch pounds",
    ),
    _unit(
        "kgf m",
        "torque",
        _GRAVITY,
        "kgfm",
        "kilogram metre",
        "kilogram metres",
        "kg m",
        "kgm",
        "mkg",
        "m kg",
        "kp m",
        "kpm",
    ),
    _unit("W", "power", 1, "watt", "watts"),
    _unit("kW", "power", 1000, "kilowatt", "kilowatts"),
    _unit(
        "hp",
        "power",
        550 * _LBF * _FOOT,
        "bhp",
        "horsepower",
        "horse",
        "horses",
        "horse power",
        "brake horsepower",
        "brake horse power",
        "brake horse",
        "ponies",
    ),
    _unit(
        "PS",
        "power",
        75 * _GRAVITY,
        "metric horsepower",
        "metric horse",
        "metric horses",
        "metric hp",
        "cv",
        "ch",
        "DIN PS",
    ),
    _unit("m", "length", 1, "metre", "metres", "meter", "meters"),
    _unit("mm", "length", "0.001", "millimetre", "millimetres", "millimeter", "millimeters"),
    _unit("cm", "length", "0.01", "centimetre", "centimetres", "centimeter", "centimeters"),
    _unit("um", "length", "0.000001", "µm", "micron", "microns"),
    _unit("in", "length", _INCH, "inch", "inches", '"', "''"),
    _unit("thou", "length", _INCH / 1000, "thous"),
    _unit("ft", "length", _FOOT, "foot", "feet"),
    _unit("km", "length", 1000, "kilometre", "kilometres", "kilometer", "kilometers"),
    _unit("mi", "length", _MILE, "mile", "miles"),
    _unit("m2", "area", 1, "m^2", "sq m", "square metre", "square metres"),
    _unit(
        "cm2",
        "area",
        "0.0001",
        "cm^2",
        "sq cm",
        "square centimetre",
        "square centimetres",
        "square centimeter",
        "square centimeters",
    ),
    _unit(
        "mm2",
        "area",
        "0.000001",
        "mm^2",
        "sq mm",
        "square millimetre",
        "square millimetres",
        "square millimeter",
        "square millimeters",
        "square mm",
    ),
    _unit("in2", "area", _INCH**2, "in^2", "sq in", "square inch", "square inches"),
    _unit("m3", "volume", 1, "m^3"),
    _unit("l", "volume", "0.001", "litre", "litres", "liter", "liters", "ltr", "ltrs", "dm3"),
    _unit(
        "cm3",
        "volume",
        "0.000001",
        "cm^3",
        "cc",
        "ccm",
        "ccs",
        "cubic centimetre",
        "cubic centimetres",
        "cubic centimeter",
        "cubic centimeters",
    ),
    _unit("mm3", "volume", "0.000000001", "mm^3"),
    _unit("cu in", "volume", _INCH**3, "cuin", "cubic inch", "cubic inches", "in3", "in^3", "cubes", "ci", "cid"),
    _unit("rad/s", "rotational speed", 1),
    _unit(
        "rpm",
        "rotational speed",
        Fraction(1, 30),
        "r/min",
        "rev/min",
        "1/min",
        "revs",
        "revolutions per minute",
        pi_power=1,
    ),
    _unit("rad/s2", "rotational acceleration", 1, "rad/s^2"),
    _unit("rad", "angle", 1),
    _unit("deg", "angle", Fraction(1, 180), "degree", "degrees", "°", pi_power=1),
    _unit("kg", "mass", 1, "kilogram", "kilograms", "kilo", "kilos"),
    _unit("g", "mass", "0.001", "gram", "grams"),
    _unit("t", "mass", 1000, "tonne", "tonnes"),
    _unit("lb", "mass", _POUND, "lbs", "pound", "pounds"),
    _unit("kg m2", "inertia", 1, "kgm2", "kg m^2", "kgm^2"),
    _unit("kg cm2", "inertia", "0.0001", "kgcm2", "kg cm^2"),
    _unit("lb in2", "inertia", _POUND * _INCH**2, "lb in^2"),
    _unit("lb ft2", "inertia", _POUND * _FOOT**2, "lb ft^2"),
    _unit("Pa", "pressure", 1, "N/m2"),
    _unit("kPa", "pressure", 1000, "kilopascal", "kilopascals"),
    _unit("MPa", "pressure", 1000000, "megapascal", "megapascals", "N/mm2", "N/mm^2"),
    _unit("GPa", "pressure", 1000000000),
    _unit("bar", "pressure", 100000),
    _unit("kgf/cm2", "pressure", 10000 * _GRAVITY, "kg/cm2", "kp/cm2", "technical atmosphere", "technical atmospheres"),
    _unit("mbar", "pressure", 100, "hPa", "millibar", "millibars"),
    _unit("psi", "pressure", _LBF / _INCH**2, "lb/in2", "lbf/in2"),
    _unit("N", "force", 1, "newton", "newtons"),
    _unit("kN", "force", 1000, "kilonewton", "kilonewtons"),
    _unit("lbf", "force", _LBF, "pound force", "pounds force"),
    _unit("kgf", "force", _GRAVITY, "kp"),
    _unit("K", "temperature", 1, "kelvin"),
    _unit("degC", "temperature", 1, "°C", "C", "deg C", "celsius", offset="273.15"),
    _unit(
        "degF",
        "temperature",
        Fraction(5, 9),
        "°F",
        "F",
        "deg F",
        "fahrenheit",
        offset=Fraction("459.67") * Fraction(5, 9),
    ),
    _unit("s", "time", 1, "sec", "second", "seconds"),
    _unit("ms", "time", "0.001", "millisecond", "milliseconds"),
    _unit("min", "time", 60, "minute", "minutes"),
    _unit("h", "time", 3600, "hour", "hours"),
    _unit("day", "time", 86400, "days"),
    _unit("J", "energy", 1, "joule", "joules"),
    _unit("kJ", "energy", 1000),
    _unit("MJ", "energy", 1000000),
    _unit("J/m2", "energy per area", 1, "J/m^2"),
    _unit("kJ/m2", "energy per area", 1000, "kJ/m^2"),
    _unit("J/cm2", "energy per area", 10000, "J/cm^2"),
    _unit("J/mm2", "energy per area", 1000000, "J/mm^2"),
    _unit("W/m2", "power per area", 1, "W/m^2"),
    _unit("W/cm2", "power per area", 10000, "W/cm^2"),
    _unit("W/mm2", "power per area", 1000000, "W/mm^2"),
    _unit("W/m2 K", "heat transfer coefficient", 1, "W/m2K", "W/(m2 K)", "W/m2/K"),
    _unit("W/m K", "heat conductivity", 1, "W/mK", "W/(m K)", "W/m/K"),
    _unit("W/K", "heat conductance", 1),
    _unit("J/K", "heat capacity", 1),
    _unit("J/kg K", "specific heat", 1, "J/kgK", "J/(kg K)", "J/kg/K"),
    _unit("kg/m3", "density", 1, "kg/m^3"),
    _unit("m2/s", "diffusivity", 1, "m^2/s"),
    _unit("m3/J", "wear rate", 1, "m^3/J"),
    _unit("mm3/J", "wear rate", "0.000000001", "mm^3/J"),
    _unit("mm3/kJ", "wear rate", "0.000000000001", "mm^3/kJ"),
    _unit("mm3/MJ", "wear rate", "0.000000000000001", "mm^3/MJ"),
    _unit("m/s", "speed", 1),
    _unit("km/h", "speed", Fraction(5, 18), "kph", "kmh"),
    _unit("mph", "speed", _MILE / 3600, "mi/h", "mile an hour", "miles an hour", "mile per hour", "miles per hour"),
    _unit("m/s2", "acceleration", 1, "m/s^2"),
    _unit("Hz", "frequency", 1, "1/s", "hertz"),
    _unit("N/m", "stiffness", 1),
    _unit("N/mm", "stiffness", 1000),
    _unit("N m/rad", "torsional stiffness", 1, "Nm/rad"),
    _unit("N m/deg", "torsional stiffness", 180, "Nm/deg", "N m/°", pi_power=-1),
    _unit("N m s/rad", "torsional damping", 1, "Nms/rad"),
    _unit("N m/s", "torque rate", 1, "Nm/s"),
    _unit("Pa s", "pressure times time", 1),
    _unit("Pa m/s", "pressure times speed", 1),
    _unit("MPa m/s", "pressure times speed", 1000000),
    _unit("J/m2 K s0.5", "effusivity", 1, "J/(m2 K s0.5)", "W s0.5/m2 K", "J/m2 K s^0.5"),
    _unit("K/m", "temperature gradient", 1),
    _unit("1/m", "per length", 1),
    _unit("1/km", "per length", "0.001", "per km"),
    _unit("1/K", "per kelvin", 1),
)

UNITS = {unit.name: unit for unit in _TABLE}

_SEPARATORS = re.compile("[ \u00a0\u2009\u202f\u00b7\u22c5\u2022\u2219\u2027.\u2010\u2011\u2012\u2013\u2212-]+")
_SUPERSCRIPTS = str.maketrans({"²": "2", "³": "3", "μ": "µ", "″": '"', "⁄": "/"})


def _key(spelling: str) -> str:
    """Spelling without regard to the separator: blank, hyphen, middle dot and point are one."""
    return _SEPARATORS.sub(" ", spelling.translate(_SUPERSCRIPTS)).strip()


def _spellings() -> tuple[dict[str, Unit], dict[str, Unit]]:
    exact: dict[str, Unit] = {}
    loose: dict[str, set[str]] = {}
    for unit in _TABLE:
        for spelling in (unit.name, *unit.spellings):
            exact[_key(spelling)] = unit
            loose.setdefault(_key(spelling).casefold(), set()).add(unit.name)
    # Without regard to capitals only where one unit alone is meant.
    return exact, {key: UNITS[next(iter(names))] for key, names in loose.items() if len(names) == 1}


_EXACT, _LOOSE = _spellings()


def find(spelling: str) -> Unit | None:
    """The unit a spelling means, or None. ``""`` and ``"-"`` are the plain number.

    >>> find("ft-lb").name, find("Nm").name, find("furlong")
    ('lb-ft', 'N m', None)
    """
    if len(spelling) > 40:
        return None
    if spelling in ("", "-"):
        return UNITS["1"]
    key = _key(spelling)
    return (_EXACT.get(key) or _LOOSE.get(key.casefold())) if key else None


def of_dimension(dimension: str) -> tuple[str, ...]:
    """Names of the units of a dimension, in table order."""
    return tuple(unit.name for unit in _TABLE if unit.dimension == dimension)


def spellings() -> dict[str, str]:
    """Every accepted spelling, for suggestions: text -> unit name."""
    return {
        spelling: unit.name for unit in _TABLE for spelling in (unit.name, *unit.spellings) if spelling not in ("", "-")
    }
