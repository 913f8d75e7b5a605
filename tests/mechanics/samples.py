"""Sample arguments of every calculation, taken from its own examples, and the dimensions of its units."""

import functools
import re

import numpy as np

from . import docstrings
from .test_docstrings import run_examples

BASE = {
    "-": {},
    "percent": {},
    "deg": {},
    "rad": {},
    "any": {"any": 1},
    "kg": {"kg": 1},
    "m": {"m": 1},
    "s": {"s": 1},
    "K": {"K": 1},
    "degC": {},
    "Hz": {"s": -1},
    "N": {"kg": 1, "m": 1, "s": -2},
    "Pa": {"kg": 1, "m": -1, "s": -2},
    "J": {"kg": 1, "m": 2, "s": -2},
    "W": {"kg": 1, "m": 2, "s": -3},
}


def dimensions(unit):
    """{base unit: power} of a unit as docstrings write it, such as J/(m2 K s0.5)."""
    powers = {}
    over, _, under = unit.partition("/")
    for part, sign in ((over, 1), (under.strip("()"), -1)):
        for token in part.split():
            name, power = re.fullmatch(r"([A-Za-z%]+|-)([\d.]*)", token).groups() if token != "1" else ("-", "")
            for base, exponent in BASE[name].items():
                powers[base] = powers.get(base, 0) + sign * exponent * float(power or 1)
    return {base: power for base, power in powers.items() if power}


@functools.cache
def sample(function):
    """(arguments, {argument: (type, unit)}, unit of the result) of the last example that calls the function."""
    parts = docstrings.sections(function)
    documented = {
        name: (kind, docstrings.unit(text)) for name, (kind, text) in docstrings.entries(parts["Parameters"]).items()
    }
    ((_, text),) = docstrings.entries(parts["Returns"]).values()
    _, _, calls = run_examples(function)
    return dict(calls[-1][0]), documented, docstrings.unit(text)


def is_number(value):
    return isinstance(value, (int, float, np.number)) and not isinstance(value, bool)


def numbers(function):
    """Names of the arguments that are single numbers in the sample."""
    arguments, documented, _ = sample(function)
    return [name for name in documented if is_number(arguments[name])]
