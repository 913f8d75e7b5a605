"""Numbers with units, choices and flags as people write them.

A number is a sign, digits and one decimal point, or a simple fraction (3/4, 10 1/2); then a unit out of
the closed table. Nothing is ever evaluated, and a comma is refused because it has two readings.
"""

import functools
import math
import re
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple, NoReturn, Protocol

from ..errors import QuantityError
from .dimensions import normal_form
from .model import Value
from .near import nearest
from .sentences import joined
from .units import UNITS, Unit, find, of_dimension, spellings

__all__ = ["UNITS", "convert", "read", "read_value", "scale", "show", "unit_of"]

#: Nobody needs more to write a quantity; anything longer is refused before it is looked at.
LONGEST = 80
LONGEST_TEXT = 300
UNKNOWN_WORDS = ("unknown", "don't know", "dont know", "do not know", "not known", "?")
_FLAGS = {"yes": True, "true": True, "no": False, "false": False}

_BLANKS = re.compile("[\u00a0\u2007\u2009\u202f ]+")
_MINUS = str.maketrans({"\u2212": "-", "\u2012": "-", "\u2013": "-", "\uff0d": "-", "\u2019": "'", "\u2044": "/"})
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_NUMBER = re.compile(
    r"([+-]?)(?:([0-9]{1,3}) )?([0-9]{1,4})/([0-9]{1,4})(?![0-9.])|([+-]?)([0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
)
_EXPONENT = re.compile(r"[0-9.][eE][+-]?[0-9]")
_GROUPS = re.compile(r"[0-9] [0-9]|[0-9]['_][0-9]")


class Measured(Protocol):
    """What a number may be wanted for: a fact, a figure, a kit field. A sane range ``low`` to ``high`` is heeded."""

    @property
    def name(self) -> str:
        """What messages call it."""
        ...

    @property
    def unit(self) -> str:
        """The unit its numbers live in."""
        ...


class Word(Measured, Protocol):
    """A fact or kit field, whatever its kind."""

    @property
    def kind(self) -> str:
        """number, choice, flag, list or text."""
        ...

    @property
    def choices(self) -> tuple[Any, ...]:
        """What it may be, where that is a closed list."""
        ...


def unit_of(text: object) -> Unit:
    """The unit a text names, by any accepted spelling; QuantityError where there is none."""
    unit = find(str(text))
    if unit is None:
        near = next((spellings()[spelling] for spelling in nearest(text, spellings())), "")
        raise QuantityError(
            f"unit {short(text)} is not known.",
            value=text,
            remedy=f"Did you mean {near}?" if near else "Write one such as N m, mm or rpm.",
        )
    return unit


class Scale(NamedTuple):
    """``value * numerator / denominator + offset`` converts exactly rounded floats."""

    numerator: float
    denominator: float
    offset: float


@functools.lru_cache(maxsize=1024)
def scale(from_unit: str, to_unit: str) -> Scale:
    """How a number in one unit becomes one in another.

    QuantityError where the units measure different things.
    """
    source, target = unit_of(from_unit), unit_of(to_unit)
    if source.dimension != target.dimension:
        raise QuantityError(
            f"{source.name} ({source.dimension}) cannot be converted to {target.name} ({target.dimension}).",
            value=from_unit,
            remedy=f"Name a unit of {target.dimension}.",
        )
    ratio = source.factor / target.factor
    power = source.pi_power - target.pi_power
    numerator, denominator = float(ratio.numerator), float(ratio.denominator)
    if power > 0:
        numerator *= math.pi**power
    elif power < 0:
        denominator *= math.pi**-power
    return Scale(numerator, denominator, float((source.offset - target.offset) / target.factor))


def convert(value: Any, from_unit: str, to_unit: str) -> Any:
    """``value`` (float or NumPy array) in ``to_unit``; the same value where the unit is the same.

    >>> convert(1.0, "in", "mm"), convert(20, "degC", "K")
    (25.4, 293.15)
    """
    if from_unit == to_unit:
        return value
    numerator, denominator, offset = scale(from_unit, to_unit)
    value = value * numerator / denominator
    return value + offset if offset else value


def read(text: object, wanted: str | Measured) -> float:
    """A number in the unit of ``wanted`` (a unit's name, or a fact, figure or kit field): a float.

    ``text`` may be text, int, float or Decimal. A bare number is taken where the unit is "1" or the name of
    what is wanted carries the unit (shift_speed_rpm). The sane range of a fact is checked.
    QuantityError names what is wanted, the value and the accepted forms.
    """
    # Lists of kits hold the same few thousand quantities over and over; what is no text or number is refused below.
    of_text = _read_again if isinstance(text, (str, int)) or _finite(text) else _read
    if isinstance(wanted, str):
        return of_text(text, "", wanted, None, None)
    low, high = getattr(wanted, "low", None), getattr(wanted, "high", None)
    return of_text(text, wanted.name, wanted.unit or "1", low, high)


def _finite(text: object) -> bool:
    return isinstance(text, Decimal) and text.is_finite()


def _read(text: object, name: str, unit_name: str, low: float | None, high: float | None) -> float:
    target = unit_of(unit_name)
    number, unit_text = _split(text, name, target)
    if unit_text:
        unit = find(unit_text)
        if unit is None:
            _refuse_unit(text, unit_text, name, target)
        if unit.dimension != target.dimension:
            hint = ""
            if unit.name == "lb" and target.dimension == "force":
                hint = "A force in pounds is written lbf. "
            _refuse(text, name, f"is in {unit.name} ({unit.dimension}), but {target.dimension} is needed", target, hint)
    elif target.name == "1" or _name_carries(name, target.name):
        unit = target
    else:
        _refuse(text, name, "has no unit", target)
    value = _exact(number, unit, target)
    if (low is not None and value < low) or (high is not None and value > high):
        _refuse(text, name, f"is outside the sane range {_span(low, high, target.name)}", target, "Check the value. ")
    if low is None and math.isinf(value):
        _refuse(text, name, "is too large", target)
    return value


# `typed`: yes is not 1.
_read_again = functools.lru_cache(maxsize=1 << 14, typed=True)(_read)


def read_value(fact: Word, raw: object) -> Any:
    """The canonical value of ``raw``, of the type the fact or kit field has, or None where it says unknown."""
    return None if says_unknown(fact, raw) else _value(fact, raw)


def says_unknown(fact: Word, raw: object) -> bool:
    """Whether ``raw`` is one of the words for not knowing, and no choice of the fact."""
    return (
        isinstance(raw, str)
        and raw.replace("\u2019", "'").strip().casefold() in UNKNOWN_WORDS
        and raw not in fact.choices
    )


def _value(fact: Word, raw: Any) -> Value:
    if fact.kind == "number":
        value = read(raw, fact)
        if fact.choices and value not in fact.choices:
            _choose(fact, raw, [show(choice, fact.unit) for choice in fact.choices])
        return value
    if fact.kind == "list":
        return _members(fact, raw)
    if fact.kind == "flag":
        if isinstance(raw, bool):
            return raw
        flag = _FLAGS.get(raw.strip().casefold()) if isinstance(raw, str) else None
        if flag is None:
            raise QuantityError(
                f"{fact.name}: {short(raw)} is neither yes nor no.", value=raw, remedy="Write yes, no or unknown."
            )
        return flag
    return _choice(fact, raw)


def _members(fact: Word, raw: Any) -> tuple[str, ...]:
    """A list of choices, or text with commas between them; none for the empty list."""
    if isinstance(raw, str):
        if len(raw) > LONGEST * 10:
            raise QuantityError(
                f"{fact.name}: the list is {len(raw)} characters long.", value=raw, remedy=_remedy_choices(fact)
            )
        raw = () if raw.strip().casefold() == "none" and "none" not in fact.choices else raw.split(",")
    if not isinstance(raw, (list, tuple)):
        raise QuantityError(f"{fact.name}: {short(raw)} is not a list.", value=raw, remedy=_remedy_choices(fact))
    return tuple(sorted({_choice(fact, member.strip() if isinstance(member, str) else member) for member in raw}))


def _choice(fact: Word, raw: Any) -> str:
    if not isinstance(raw, str) or any(ord(char) < 32 or 127 <= ord(char) < 160 for char in raw):
        raise QuantityError(f"{fact.name}: {short(raw)} is not plain text.", value=raw, remedy=_remedy_choices(fact))
    text = raw.strip()
    if fact.kind == "text" and not fact.choices:
        if not 0 < len(text) <= LONGEST_TEXT:
            raise QuantityError(
                f"{fact.name}: the text must have 1 to {LONGEST_TEXT} characters.", value=raw, remedy="Shorten it."
            )
        return normal_form(text) if getattr(fact, "dimensions", False) else text
    if text in fact.choices:
        return text
    folded = re.sub(r"[ -]+", "_", text[:LONGEST].casefold())
    for choice in fact.choices:
        if choice.casefold() == folded:
            return choice
    return _choose(fact, raw, fact.choices)


def _choose(fact: Word, raw: object, choices: Iterable[str]) -> NoReturn:
    near = next(iter(nearest(raw, choices)), "")
    hint = f"Did you mean {near}? " if near else ""
    raise QuantityError(
        f"{fact.name}: {short(raw)} is not one of the choices.", value=raw, remedy=hint + _remedy_choices(fact)
    )


def _remedy_choices(fact: Word) -> str:
    choices = [show(choice, fact.unit) for choice in fact.choices] if fact.kind == "number" else fact.choices
    return f"Write one of {_either(choices)}." if choices else "Write it as text."


def _split(text: Any, name: str, target: Unit) -> tuple[Fraction, str]:
    """Number as a Fraction, and the text of the unit."""
    if isinstance(text, bool) or not isinstance(text, (str, int, float, Decimal)):
        _refuse(text, name, "is not a number", target)
    if isinstance(text, (int, float, Decimal)):
        if not -(10**15) < text < 10**15:  # nan as well
            _refuse(text, name, "is not a number of sensible size", target)
        return Fraction(text if isinstance(text, (int, Decimal)) else repr(text)), ""
    if len(text) > LONGEST:
        _refuse(text, name, f"is {len(text)} characters long, more than a quantity needs", target)
    if any(ord(char) < 32 or 127 <= ord(char) < 160 or char in "\u2028\u2029\ufeff" for char in text):
        _refuse(text, name, "holds a control character", target)
    plain = text.translate(_MINUS)
    for char, fraction in _VULGAR.items():
        plain = plain.replace(char, f" {fraction}")
    plain = re.sub(r"^([+-]) ", r"\1", _BLANKS.sub(" ", plain).strip())
    match = _NUMBER.match(plain)
    if match is None:
        _refuse(text, name, "does not begin with a number", target)
    rest = plain[match.end() :]
    if "," in plain:
        _refuse_comma(text, plain, name, target)
    if _EXPONENT.match(plain[match.end() - 1 :]):
        _refuse(text, name, "has an exponent; write the digits out", target)
    if _GROUPS.match(plain[match.end() - 1 :]) and (
        rest.strip() == "1" or find(rest.strip()) is None
    ):  # 5 1/km is no group of digits
        _refuse(text, name, "holds two numbers; write the digits together", target)
    if re.match(r" ?[*+^/(]|\.|[0-9]| ?-[0-9 ]", rest) and find(rest) is None:
        _refuse(text, name, "is a sum or is written in a way that is not read; nothing is calculated here", target)
    if match[4] is not None:
        if int(match[4]) == 0:
            _refuse(text, name, "divides by zero", target)
        number = int(match[2] or 0) + Fraction(int(match[3]), int(match[4]))
        sign = match[1]
    else:
        if len(match[6].replace(".", "").strip("0")) > 15 or len(match[6]) > 20:
            _refuse(text, name, "has more digits than a quantity needs", target)
        number, sign = Fraction(match[6]), match[5]
    unit = rest.strip()
    # A hyphen or point between number and unit (10-mm) is only a separator.
    return (-number if sign == "-" else number), unit


def _exact(number: Fraction, unit: Unit, target: Unit) -> float:
    """Correctly rounded float of the number in the target's unit."""
    value = (number * unit.factor + unit.offset - target.offset) / target.factor
    return float(value) * math.pi ** (unit.pi_power - target.pi_power)


def _name_carries(name: str, unit: str) -> bool:
    """Does the name end in its unit (shift_speed_rpm, thrust_pressure_mpa, torque_growth_percent)?"""
    words = {"%": "percent"}.get(unit) or re.sub(r"[^a-z0-9]+", "_", unit.casefold())
    return bool(name) and (name.endswith((f"_{words}", "_" + words.replace("_", ""))))


def _refuse(text: object, name: str, fault: str, target: Unit, hint: str = "") -> NoReturn:
    raise QuantityError(f"{_front(name)}{short(text)} {fault}.", value=text, remedy=hint + _forms(target, name))


def _refuse_comma(text: object, plain: str, name: str, target: Unit) -> NoReturn:
    match = re.match(r"[+-]?[0-9.,]*", plain)
    number = match[0] if match else ""
    unit = plain[len(number) :].strip()
    tail = f" {unit}" if unit else ""
    if number.count(",") == 1 and "." not in number and not number.endswith(","):
        point, joined = number.replace(",", ".") + tail, number.replace(",", "") + tail
        fault, hint = (
            f"has a comma, which can mean {point} or {joined}",
            f"Write {point} or {joined}, whichever is meant. ",
        )
    else:
        fault, hint = "has a comma", "Write digits with at most one decimal point and no comma. "
    _refuse(text, name, fault, target, hint)


def _refuse_unit(text: object, unit_text: str, name: str, target: Unit) -> NoReturn:
    fault = f"has the unit {short(unit_text)}, which is not known"
    tidy = re.sub(r"[*x×]+", "-", unit_text)
    known = find(tidy)
    near = known.name if known else next(iter(nearest(unit_text, spellings())), "")
    _refuse(text, name, fault, target, f"Did you mean {near}? " if near else "")


def _forms(target: Unit, name: str) -> str:
    if target.name == "1":
        return "Accepted: a plain number such as 3, 0.5 or 3/4."
    names = list(of_dimension(target.dimension))[:6]
    names.sort(key=lambda unit: unit != target.name)
    bare = f"; a bare number is taken as {target.name}" if _name_carries(name, target.name) else ""
    return f"Accepted: a number and a unit, as in {_sample(target.name)}; units {_either(names)}{bare}."


def _sample(unit: str) -> str:
    return f"{ {'N m': 430, 'rpm': 6800, 'N': 5200, 'kW': 180, 'kg': 1400, 'degC': 250}.get(unit, 12.5) } {unit}"


def _front(name: str) -> str:
    return f"{name}: " if name else ""


def short(value: object) -> str:
    """A value as a message repeats it: quoted, printable and not too long."""
    text = str(value) if isinstance(value, str) else repr(value)[:200]
    text = "".join(char if char.isprintable() else "\ufffd" for char in text[:41])
    return repr(text[:40] + "...") if len(text) > 40 else repr(text)


def _either(names: Iterable[object]) -> str:
    return joined(names, "or")


def _span(low: float | None, high: float | None, unit: str) -> str:
    if low is None:
        return f"up to {show(math.inf if high is None else high, unit)}"
    return f"from {show(low, unit)}" + (f" to {show(high, unit)}" if high is not None else "")


#: Units in which the trade talks where it does not use the SI ones; clutch dimensions stay in millimetres.
_TRADE = {
    "torque": "lb-ft",
    "force": "lbf",
    "power": "hp",
    "pressure": "psi",
    "mass": "lb",
    "temperature": "degF",
    "speed": "mph",
}
_TRADE_KEEPS = ("K", "MPa")


def show(value: float, unit: str, system: str = "si", digits: int = 3) -> str:
    """A number with its unit for people: at least ``digits`` significant digits, every whole digit kept.

    ``system`` si shows the declared unit, trade the one the trade talks in.

    >>> show(430.0, "N m"), show(430.0, "N m", "trade"), show(0.35, "mm", "trade"), show(12.0, "1")
    ('430 N m', '317 lb-ft', '0.35 mm', '12')
    """
    known = unit_of(unit or "1")
    if system == "trade" and known.name not in _TRADE_KEEPS:
        trade = _TRADE.get(known.dimension) or ("mi" if known.name == "km" else known.name)
        value, known = convert(float(value), known.name, trade), UNITS[trade]
    text = _figure(float(value), digits)
    return text if known.name == "1" else f"{text} {known.name}"


def _figure(value: float, digits: int) -> str:
    if not math.isfinite(value):
        return "not known" if math.isnan(value) else "unlimited"
    if value == 0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
