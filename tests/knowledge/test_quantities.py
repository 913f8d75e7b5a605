"""Numbers, units, choices and flags as people write them."""

import math
import random
from decimal import Decimal

import numpy
import pint
import pytest
from hypothesis import given, settings, strategies as st

from advisor.errors import AdvisorError, QuantityError
from advisor.knowledge import given_answers, quantities
from advisor.knowledge.model import Fact
from advisor.knowledge.units import UNITS, find, of_dimension, spellings
from advisor.knowledge.wording import value_text

TORQUE = Fact("engine_torque", "number", "engine torque", "asked", unit="N m", low=20.0, high=3000.0)
SPEED = Fact("shift_speed_rpm", "number", "shift speed", "asked", unit="rpm", low=1000.0, high=14000.0)
GROWTH = Fact("torque_growth_percent", "number", "growth", "asked", unit="%", low=0.0, high=150.0)
COUNT = Fact("launches", "number", "launches", "asked", unit="1", low=0.0, high=200.0)
ARC = Fact("thrust_arc_deg", "number", "arc", "asked", unit="deg", choices=(180.0, 360.0))
USE = Fact("main_use", "choice", "main use", "asked", choices=("daily", "road_course", "drag_only"))
FITTED = Fact("pedal_stop_fitted", "flag", "pedal stop", "asked")
SIGNS = Fact("signs", "list", "signs", "asked", choices=("slips", "drags", "noisy"))
SPLINE = Fact("spline", "text", "spline", "asked")

#: Our unit in the words of pint (https://pint.readthedocs.io), the outside reference for every definition.
PINT = {
    "1": "dimensionless",
    "%": "percent",
    "N m": "newton*meter",
    "kN m": "kilonewton*meter",
    "N mm": "newton*millimeter",
    "lb-ft": "foot*force_pound",
    "lb-in": "inch*force_pound",
    "kgf m": "kilogram_force*meter",
    "W": "watt",
    "kW": "kilowatt",
    "hp": "horsepower",
    "PS": "metric_horsepower",
    "m": "meter",
    "mm": "millimeter",
    "cm": "centimeter",
    "um": "micrometer",
    "in": "inch",
    "thou": "thou",
    "ft": "foot",
    "km": "kilometer",
    "mi": "mile",
    "m2": "meter**2",
    "cm2": "centimeter**2",
    "mm2": "millimeter**2",
    "in2": "inch**2",
    "m3": "meter**3",
    "l": "liter",
    "cm3": "centimeter**3",
    "mm3": "millimeter**3",
    "cu in": "inch**3",
    "rad/s": "radian/second",
    "rpm": "revolution/minute",
    "rad/s2": "radian/second**2",
    "rad": "radian",
    "deg": "degree",
    "kg": "kilogram",
    "g": "gram",
    "t": "metric_ton",
    "lb": "pound",
    "kg m2": "kilogram*meter**2",
    "kg cm2": "kilogram*centimeter**2",
    "lb in2": "pound*inch**2",
    "lb ft2": "pound*foot**2",
    "Pa": "pascal",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "GPa": "gigapascal",
    "bar": "bar",
    "kgf/cm2": "kilogram_force/centimeter**2",
    "mbar": "millibar",
    "psi": "psi",
    "N": "newton",
    "kN": "kilonewton",
    "lbf": "force_pound",
    "kgf": "kilogram_force",
    "K": "kelvin",
    "degC": "degC",
    "degF": "degF",
    "s": "second",
    "ms": "millisecond",
    "min": "minute",
    "h": "hour",
    "day": "day",
    "J": "joule",
    "kJ": "kilojoule",
    "MJ": "megajoule",
    "J/m2": "joule/meter**2",
    "kJ/m2": "kilojoule/meter**2",
    "J/cm2": "joule/centimeter**2",
    "J/mm2": "joule/millimeter**2",
    "W/m2": "watt/meter**2",
    "W/cm2": "watt/centimeter**2",
    "W/mm2": "watt/millimeter**2",
    "W/m2 K": "watt/meter**2/kelvin",
    "W/m K": "watt/meter/kelvin",
    "W/K": "watt/kelvin",
    "J/K": "joule/kelvin",
    "J/kg K": "joule/kilogram/kelvin",
    "kg/m3": "kilogram/meter**3",
    "m2/s": "meter**2/second",
    "m3/J": "meter**3/joule",
    "mm3/J": "millimeter**3/joule",
    "mm3/kJ": "millimeter**3/kilojoule",
    "mm3/MJ": "millimeter**3/megajoule",
    "m/s": "meter/second",
    "km/h": "kilometer/hour",
    "mph": "mile/hour",
    "m/s2": "meter/second**2",
    "Hz": "1/second",
    "N/m": "newton/meter",
    "N/mm": "newton/millimeter",
    "N m/rad": "newton*meter/radian",
    "N m/deg": "newton*meter/degree",
    "N m s/rad": "newton*meter*second/radian",
    "N m/s": "newton*meter/second",
    "Pa s": "pascal*second",
    "Pa m/s": "pascal*meter/second",
    "MPa m/s": "megapascal*meter/second",
    "J/m2 K s0.5": "joule/meter**2/kelvin/second**0.5",
    "K/m": "kelvin/meter",
    "1/m": "1/meter",
    "1/km": "1/kilometer",
    "1/K": "1/kelvin",
}


@pytest.fixture(scope="module")
def pints():
    return pint.UnitRegistry()


def test_every_unit_has_its_reference():
    assert set(PINT) == set(UNITS)


@pytest.mark.parametrize("name", list(UNITS))
def test_conversion_agrees_with_pint(name, pints):
    """Every unit to and from every other of its dimension, three values, 14 digits."""
    for other in of_dimension(UNITS[name].dimension):
        for value in (1.0, 37.25, -12.0 if UNITS[name].dimension != "temperature" else 412.0):
            expected = pints.Quantity(value, PINT[name]).to(PINT[other]).magnitude
            assert quantities.convert(value, name, other) == pytest.approx(expected, rel=1e-14, abs=1e-12 * abs(value))


def test_temperatures_are_affine(pints):
    # Fixed points of water: ITS-90 and the definitions of the degree Celsius and Fahrenheit.
    assert quantities.convert(0.0, "degC", "K") == 273.15
    assert quantities.convert(212.0, "degF", "degC") == pytest.approx(100.0, abs=1e-12)
    assert quantities.read("-40 °F", "degC") == pytest.approx(-40.0, abs=1e-12)


def test_legal_definitions():
    # NIST SP 811 (2008), appendix B.8: exact or to the digits printed there.
    assert quantities.convert(1.0, "lb-ft", "N m") == pytest.approx(1.355818, abs=5e-7)
    assert quantities.convert(1.0, "hp", "W") == pytest.approx(745.6999, abs=5e-5)
    assert quantities.convert(1.0, "PS", "W") == 735.49875
    assert quantities.convert(1.0, "psi", "Pa") == pytest.approx(6894.757, abs=5e-4)
    assert quantities.convert(1.0, "lbf", "N") == pytest.approx(4.448222, abs=5e-7)
    assert quantities.convert(1.0, "in", "mm") == 25.4
    assert quantities.convert(1.0, "lb", "kg") == 0.45359237
    assert quantities.convert(1.0, "rpm", "rad/s") == pytest.approx(0.1047198, abs=5e-8)


def test_arrays_convert_elementwise_and_the_same_unit_changes_nothing():
    values = numpy.array([1.0, 2.5])
    assert quantities.convert(values, "mm", "mm") is values
    assert quantities.convert(values, "in", "mm").tolist() == [25.4, 63.5]


def test_no_spelling_means_two_units():
    seen = {}
    for spelling, name in spellings().items():
        assert find(spelling).name == name
        assert seen.setdefault(spelling, name) == name


@pytest.mark.parametrize(
    "text",
    [
        "300 lb-ft",
        "300 ft-lb",
        "300 lbf ft",
        "300 ftlb",
        "300 foot pounds",
        "300 lb ft",
        "300 LB-FT",
        "300lb-ft",
        "300 pound-feet",
        "300 ft·lb",
        "300\u00a0lb‑ft",
        "300.0 ft lbs",
    ],
)
def test_spellings_of_foot_pounds(text):
    assert quantities.read(text, TORQUE) == pytest.approx(406.745, abs=5e-4)


@pytest.mark.parametrize(
    "text",
    [
        "430 N m",
        "430 Nm",
        "430Nm",
        "430 N·m",
        "430 N⋅m",
        "430 N•m",
        "430\u202fN\u00a0m",
        "+430 nm",
        "0.43 kN m",
        "  430 Nm  ",
        "860/2 Nm",
        "429 1/1 Nm",
        "430 newton metres",
    ],
)
def test_spellings_of_newton_metres(text):
    assert quantities.read(text, TORQUE) == 430.0


def test_fractions_minus_signs_and_bare_numbers():
    assert quantities.read("10 1/2 in", "mm") == 266.7
    assert quantities.read("10½ in", "mm") == 266.7
    assert quantities.read('3/4"', "mm") == pytest.approx(19.05)
    assert quantities.read("−5 °C", "degC") == quantities.read("- 5 C", "degC") == -5.0
    assert quantities.read("0.1", "1") == 0.1 and quantities.read(Decimal("0.1"), "1") == 0.1
    assert (
        quantities.read(6800, SPEED) == quantities.read("6800", SPEED) == quantities.read("6800 rpm", SPEED) == 6800.0
    )
    assert (
        quantities.read(10, GROWTH)
        == quantities.read("10 %", GROWTH)
        == quantities.read("10 percent", GROWTH)
        == quantities.read("0.1 -", "%")
        == 10.0
    )
    assert quantities.read(3, COUNT) == 3.0
    assert quantities.read("180 degrees", ARC) == 180.0


#: What is refused, and words that must stand in the message: the fact, the value, the reason, the accepted forms.
REFUSED = [
    (TORQUE, "430,5 Nm", ["'430,5 Nm'", "has a comma", "430.5 Nm or 4305 Nm"]),
    (TORQUE, "1,234.5 Nm", ["has a comma", "at most one decimal point"]),
    (TORQUE, "9**9**9 m", ["'9**9**9 m'", "nothing is calculated"]),
    (TORQUE, "317 lb*ft", ["'lb*ft'", "Did you mean lb-ft?"]),
    (TORQUE, "430", ["has no unit"]),
    (TORQUE, 430, ["has no unit"]),
    (TORQUE, "-3 mm", ["is in mm (length)", "torque is needed"]),
    (TORQUE, "-3 Nm", ["outside the sane range from 20 N m to 3000 N m"]),
    (TORQUE, "1e400 Nm", ["has an exponent"]),
    (TORQUE, "4.3E2 Nm", ["has an exponent"]),
    (TORQUE, "430+5 Nm", ["nothing is calculated"]),
    (TORQUE, "430.5.5 Nm", ["nothing is calculated"]),
    (TORQUE, "3/0 Nm", ["divides by zero"]),
    (TORQUE, "1 234 Nm", ["two numbers"]),
    (TORQUE, "1'234 Nm", ["two numbers"]),
    (TORQUE, "four hundred Nm", ["does not begin with a number"]),
    (TORQUE, "", ["does not begin with a number"]),
    (TORQUE, "٤٣٠ Nm", ["does not begin with a number"]),
    (TORQUE, "430 Nm\x00", ["control character"]),
    (TORQUE, "430\nNm", ["control character"]),
    (TORQUE, "430 furlongs", ["'furlongs'", "not known"]),
    (TORQUE, "300 lb", ["is in lb (mass)"]),
    (TORQUE, "1" * 30 + " Nm", ["more digits"]),
    (TORQUE, "9999999999 Nm", ["outside the sane range"]),
    (TORQUE, "__import__('os') Nm", ["does not begin with a number"]),
    (TORQUE, float("nan"), ["sensible size"]),
    (TORQUE, float("inf"), ["sensible size"]),
    (TORQUE, 10**400, ["sensible size"]),
    (TORQUE, True, ["is not a number"]),
    (TORQUE, None, ["is not a number"]),
    (TORQUE, ["430 Nm"], ["is not a number"]),
]


@pytest.mark.parametrize("fact, raw, words", REFUSED, ids=[str(raw)[:20] for _, raw, _ in REFUSED])
def test_what_is_refused_and_why(fact, raw, words):
    with pytest.raises(QuantityError) as caught:
        quantities.read_value(fact, raw)
    message = str(caught.value)
    assert message.startswith("engine_torque: ")
    assert "Accepted: a number and a unit, as in 430 N m; units N m, kN m, N mm, lb-ft" in message
    for word in words:
        assert word in message
    assert caught.value.exit_code == 2


def test_a_force_in_pounds_is_told_its_unit():
    with pytest.raises(QuantityError, match="A force in pounds is written lbf"):
        quantities.read("40 lb", "N")


def test_a_hundred_kilobytes_are_refused_with_a_short_message():
    for text in ("9" * 100_000, "x" * 100_000, "1/" * 50_000, "430 " + "N" * 100_000, " " * 100_000, "1 " * 50_000):
        for fact in (TORQUE, USE, FITTED, SIGNS, SPLINE):
            with pytest.raises(QuantityError) as caught:
                quantities.read_value(fact, text)
            assert len(str(caught.value)) < 500


def test_choices_flags_lists_and_texts():
    read = quantities.read_value
    assert (
        read(USE, "daily") == "daily"
        and read(USE, " Road course ") == "road_course"
        and read(USE, "drag-only") == "drag_only"
    )
    assert [read(FITTED, word) for word in ("yes", "no", "TRUE", "False", True)] == [True, False, True, False, True]
    assert read(ARC, 180) == 180.0 and read(ARC, "360 deg") == 360.0
    assert read(SIGNS, ["noisy", "drags", "noisy"]) == read(SIGNS, "noisy, drags") == ("drags", "noisy")
    assert read(SIGNS, []) == read(SIGNS, "none") == ()
    assert read(SPLINE, " 23 x 26 mm ") == "23 x 26 mm"
    for fact, raw, words in (
        (USE, "road_curse", "Did you mean road_course"),
        (USE, "tractor", "Write one of daily, road_course or drag_only"),
        (FITTED, "maybe", "Write yes, no or unknown"),
        (FITTED, 1, "neither yes nor no"),
        (ARC, 270, "180 deg or 360 deg"),
        (SIGNS, "noisy, melts", "'melts'"),
        (SIGNS, [["noisy"]], "not plain text"),
        (SIGNS, "", "is not one"),
        (SIGNS, 5, "is not a list"),
        (SPLINE, "a\x07b", "not plain text"),
        (USE, 5, "not plain text"),
    ):
        with pytest.raises(QuantityError) as caught:
            read(fact, raw)
        assert words in str(caught.value) and fact.name in str(caught.value)


def test_unknown_and_the_long_form():
    for word in ("unknown", "Unknown", "don't know", "don’t know", "dont know", "?"):
        assert given_answers.read_answer(TORQUE, word) is None
        assert given_answers.read_answer(TORQUE, {"value": word}) is None
    answer = given_answers.read_answer(TORQUE, {"value": "430 Nm", "from": "measured"})
    assert (answer.value, answer.origin) == (430.0, "measured")
    assert given_answers.read_answer(TORQUE, "430 Nm").origin == "stated"
    for raw, words in (
        ({"from": "measured"}, "has no value"),
        ({"value": "430 Nm", "from": "guessed"}, "'guessed' is not known"),
        ({"value": "430 Nm", "source": "x"}, "does not know the key 'source'"),
        ({"value": {"value": "430 Nm"}}, "is not a number"),
    ):
        with pytest.raises(QuantityError) as caught:
            given_answers.read_answer(TORQUE, raw)
        assert words in str(caught.value)


def test_showing():
    show = quantities.show
    assert show(430.0, "N m") == "430 N m" and show(430.0, "N m", "trade") == "317 lb-ft"
    assert show(5312.4, "N") == "5312 N" and show(5312.4, "N", "trade") == "1194 lbf"
    assert show(0.352, "mm", "trade") == "0.352 mm" and show(228.6, "mm", "trade") == "229 mm"
    assert show(0.00512, "kg m2") == "0.00512 kg m2" and show(0.0, "mm") == "0 mm" and show(2.0, "1") == "2"
    assert (
        show(100.0, "kW", "trade") == "134 hp"
        and show(250.0, "degC", "trade") == "482 degF"
        and show(100.0, "km", "trade") == "62.1 mi"
    )
    assert show(12.5, "%") == "12.5 %" and show(math.inf, "N") == "unlimited N" and show(-3.25, "mm") == "-3.25 mm"
    assert value_text(USE, "road_course") == "road course" and value_text(FITTED, True) == "yes"
    assert value_text(SIGNS, ("drags", "noisy")) == "drags, noisy" and value_text(SIGNS, ()) == "none"
    assert value_text(TORQUE, 430.0, "trade") == "317 lb-ft" and value_text(TORQUE, None) == "not known"
    assert value_text(SPLINE, "23 x 26 mm") == "23 x 26 mm"


@settings(max_examples=200, deadline=None, derandomize=True)
@given(
    st.sampled_from(sorted(set(UNITS) - {"1"})),
    st.decimals(min_value=Decimal("-99999"), max_value=Decimal("99999"), places=4),
)
def test_reading_what_is_written_is_exact(name, number):
    """In the declared unit the float is the nearest one to the decimal: Python's own conversion is the reference."""
    assert quantities.read(f"{number:f} {name}", name) == float(number)


FACTS = (TORQUE, SPEED, GROWTH, COUNT, ARC, USE, FITTED, SIGNS, SPLINE)
PIECES = [
    "430",
    "4",
    "0",
    ".",
    ",",
    "-",
    "+",
    "−",
    "/",
    "1/2",
    "½",
    " ",
    "\u00a0",
    "Nm",
    "N m",
    "lb",
    "ft",
    "lb-ft",
    "*",
    "**",
    "e",
    "E",
    "x",
    "(",
    ")",
    "rpm",
    "%",
    "°",
    "deg",
    "mm",
    "²",
    "2",
    "·",
    "'",
    '"',
    "\x00",
    "\n",
    "٣",
    "yes",
    "daily",
    "unknown",
    "drags",
    "\ud800",
    "_",
    "inf",
    "nan",
    "NaN",
]


def survives(fact, raw):
    """Either a canonical value or a QuantityError that names the fact."""
    try:
        value = quantities.read_value(fact, raw)
    except AdvisorError as error:
        assert isinstance(error, QuantityError) and str(error).startswith(f"{fact.name}: ") and len(str(error)) < 700
        return
    kinds = {"number": float, "flag": bool, "list": tuple, "choice": str, "text": str}
    assert value is None or type(value) is kinds[fact.kind]
    if fact.kind == "number" and value is not None:
        assert math.isfinite(value)


JUNK = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.decimals(), st.text(max_size=100)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.sampled_from(["value", "from", "x"]), inner, max_size=3)
    ),
    max_leaves=5,
)


@settings(max_examples=400, deadline=None, derandomize=True)
@given(st.sampled_from(FACTS), st.one_of(JUNK, st.lists(st.sampled_from(PIECES), max_size=12).map("".join)))
def test_no_answer_raises_anything_else(fact, raw):
    survives(fact, raw)


def fuzz(examples=50_000, seed=1):
    """The long count: random strings of pieces of quantities."""
    chance = random.Random(seed)
    for _ in range(examples):
        survives(chance.choice(FACTS), "".join(chance.choices(PIECES, k=chance.randint(1, 14))))
    return examples
