"""Answers as people write them: a value, exact or vague, and who said it."""

from typing import Any, NoReturn

from ..errors import QuantityError
from . import vague
from .case_model import ORIGINS, Answer
from .quantities import LONGEST, Word, read, read_value, says_unknown, short
from .sentences import joined


def read_answer(fact: Word, raw: Any) -> Answer | None:
    """An answer, short (``430 Nm``) or long (``{value: 430 Nm, from: measured}``); None where it says unknown.

    A number may be vague: ``400 to 450 Nm``, ``about 400 hp``, ``at least 400 Nm``, or long with ``low`` and ``high``.
    """
    if not isinstance(raw, dict):
        return None if says_unknown(fact, raw) else _said(fact, raw, "stated")
    extra = sorted(str(key) for key in set(raw) - {"value", "from", "low", "high"})
    if extra or "value" not in raw:
        wrong = f"does not know the key {short(extra[0])}" if extra else "has no value"
        raise QuantityError(
            f"{fact.name}: the long form {wrong}.", value=raw, remedy="Write {value: ..., from: measured}."
        )
    origin = raw.get("from", "stated")
    if origin not in ORIGINS:
        raise QuantityError(
            f"{fact.name}: from {short(origin)} is not known.",
            value=origin,
            remedy=f"Write one of {joined(ORIGINS, 'or')}.",
        )
    if says_unknown(fact, raw["value"]):
        return None
    answer = _said(fact, raw["value"], origin)
    return _banded(fact, raw, answer) if {"low", "high"} & set(raw) else answer


def _said(fact: Word, raw: Any, origin: str) -> Answer:
    """The answer of a text or number; a vague one with its ends, the middle of a range for its value."""
    open_number = isinstance(raw, str) and fact.kind == "number" and not fact.choices and len(raw) <= LONGEST
    said = vague.taken_apart(raw) if open_number else None
    if said is None:
        return Answer(read_value(fact, raw), origin)
    values = [read(text, fact) for text in said.texts]
    if said.way == "range":
        low, high = values
        if low > high:
            _refuse_vague(fact, raw, "ends below where it begins", "Write the smaller number first.")
        return _answer(fact, (low + high) / 2.0, low, high, origin)
    (value,) = values
    if getattr(fact, "shown_as", "") == "money" and said.way in ("least", "most"):
        # What somebody will spend is a limit by itself.
        if said.way == "least":
            _refuse_vague(fact, raw, "says what it must at least be", "Write the most that may be spent.")
        return Answer(value, origin)
    return _answer(fact, value, *vague.ends(said.way, value, getattr(fact, "resolution", None), _least(fact)), origin)


def _banded(fact: Word, raw: dict, answer: Answer) -> Answer:
    """The long form with its ends given."""
    if fact.kind != "number" or fact.choices:
        _refuse_vague(fact, raw["value"], "is no number, and has no low and high", "Write the value alone.")
    if not {"low", "high"} <= set(raw):
        _refuse_vague(fact, raw["value"], "has only one of low and high", "Write {value: ..., low: ..., high: ...}.")
    low, high = read(raw["low"], fact), read(raw["high"], fact)
    value = answer.value
    if answer.low is not None or not isinstance(value, float) or not low <= value <= high:
        _refuse_vague(fact, raw["value"], "is not one number from low to high", "Write low, value and high in order.")
    return _answer(fact, value, low, high, answer.origin)


def _answer(fact: Word, value: float, low: float, high: float, origin: str) -> Answer:
    """An Answer with its ends inside the sane range; an exact one where they meet. Rounded to 9 significant digits."""
    most = getattr(fact, "high", None)
    least = _least(fact)
    low = low if least is None else max(low, least)
    high = high if most is None else min(high, most)
    value, low, high = (float(f"{number:.9g}") for number in (value, low, high))
    return Answer(value, origin, low, high) if low < high else Answer(value, origin)


def _least(fact: Word) -> float | None:
    return getattr(fact, "low", None)


def _refuse_vague(fact: Word, raw: object, fault: str, remedy: str) -> NoReturn:
    raise QuantityError(f"{fact.name}: {short(raw)} {fault}.", value=raw, remedy=remedy)
