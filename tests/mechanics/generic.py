"""Checks that hold for every calculation, worked out from its docstring: see the tests that use them.

A sample is {argument: (low, high)} for numbers, {argument: [choices]} for whole numbers and texts.
"""

import inspect
import re

import numpy as np
import pytest
from hypothesis import strategies as st

from advisor.mechanics.argument_checks import MechanicsError

from . import docstrings

BASE = {
    "kg": (1, 0, 0, 0),
    "m": (0, 1, 0, 0),
    "s": (0, 0, 1, 0),
    "K": (0, 0, 0, 1),
    "N": (1, 1, -2, 0),
    "J": (1, 2, -2, 0),
    "W": (1, 2, -3, 0),
    "Pa": (1, -1, -2, 0),
    "Hz": (0, 0, -1, 0),
    "rad": (0, 0, 0, 0),
    "deg": (0, 0, 0, 0),
    "-": (0, 0, 0, 0),
    "1": (0, 0, 0, 0),
}


def dimensions(unit):
    """Exponents of kilogram, metre, second and kelvin of a unit as the docstrings write it."""
    above, _, below = unit.partition("/")
    total = np.zeros(4)
    for part, sign in ((above, 1), (below.strip("()"), -1)):
        for token in part.split():
            symbol, power = re.fullmatch(r"([A-Za-z]+|-|1)([0-9.]*)", token).groups()
            total += sign * float(power or 1) * np.array(BASE[symbol], dtype=float)
    return total


def units(function):
    """({argument: unit}, unit of the result)."""
    parts = docstrings.sections(function)
    given = {name: docstrings.unit(text) for name, (_, text) in docstrings.entries(parts["Parameters"]).items()}
    ((_, text),) = docstrings.entries(parts["Returns"]).values()
    return given, docstrings.unit(text)


def is_number(choices):
    return isinstance(choices, tuple) or not isinstance(choices[0], str)


def drawn(sample):
    """A strategy for one set of arguments."""
    return st.fixed_dictionaries(
        {
            name: st.floats(*choices) if isinstance(choices, tuple) else st.sampled_from(choices)
            for name, choices in sample.items()
        }
    )


def some(sample, shape, seed=7):
    """Arrays of valid arguments; texts stay single."""
    rng = np.random.default_rng(seed)
    made = {}
    for name, choices in sample.items():
        if isinstance(choices, tuple):
            made[name] = rng.uniform(*choices, size=shape)
        elif isinstance(choices[0], str):
            made[name] = choices[0]
        else:
            made[name] = rng.choice(choices, size=shape)
    return made


def check_dimensions(function, arguments):
    """Other units for mass, length, time and temperature give the same answer in those units."""
    given, answer = units(function)
    factors = np.array([1.7, 0.6, 2.3, 1.4])
    scale = {name: float(np.prod(factors ** dimensions(unit))) for name, unit in given.items()}
    scaled = {name: value if isinstance(value, str) else value * scale[name] for name, value in arguments.items()}
    expected = np.asarray(function(**arguments)) * np.prod(factors ** dimensions(answer))
    np.testing.assert_allclose(function(**scaled), expected, rtol=1e-9, atol=1e-290)


def peak_after(*, events, rise, interval, time_constant):
    """Highest of so many equal rises that decay between them: the sum of a geometric series."""
    left = np.exp(-interval / time_constant)
    return rise * (1 - left**events) / (1 - left)


def check_arrays(function, sample):
    """Arrays give what their elements give one by one, also when the arguments only broadcast together."""
    many = some(sample, (3, 4))
    result = function(**many)
    tail = np.shape(result)[2:]
    assert np.shape(result)[:2] == (3, 4)
    for index in np.ndindex(3, 4):
        one = {name: value if isinstance(value, str) else value[index].item() for name, value in many.items()}
        single = function(**one)
        assert isinstance(single, float) or np.shape(single) == tail
        np.testing.assert_allclose(single, result[index], rtol=1e-12, atol=1e-12)
    names = [name for name, value in many.items() if not isinstance(value, str)]
    if len(names) > 1:
        column = {**many, **{name: many[name][:, :1] if n % 2 else many[name][:1, :] for n, name in enumerate(names)}}
        full = {
            name: value if isinstance(value, str) else np.broadcast_to(value, (3, 4)).copy()
            for name, value in column.items()
        }
        np.testing.assert_allclose(function(**column), function(**full), rtol=1e-12, atol=1e-12)


def check_refusals(function, sample, signed=()):
    """Bad input is refused by argument and element: not a number, text, and a sign that cannot be."""
    one = some(sample, ())
    one = {name: value if isinstance(value, str) else np.asarray(value).item() for name, value in one.items()}
    for name, choices in sample.items():
        if isinstance(choices, list) and isinstance(choices[0], str):
            with pytest.raises(MechanicsError) as caught:
                function(**{**one, name: "no such choice"})
            assert caught.value.argument == name
            continue
        bad_values = [float("nan"), float("inf"), "much", True] + ([] if name in signed else [-1.0])
        for bad in bad_values:
            with pytest.raises(MechanicsError) as caught:
                function(**{**one, name: bad})
            assert caught.value.argument == name, (function.__name__, name, bad, str(caught.value))
            assert name in str(caught.value)
        with pytest.raises(MechanicsError) as caught:
            function(**{**one, name: np.array([[one[name]] * 3, [one[name], float("nan"), one[name]]])})
        assert caught.value.argument == name
        assert caught.value.elements == ((1, 1),)


def required(function):
    """Arguments without a default."""
    return {name for name, p in inspect.signature(function).parameters.items() if p.default is p.empty}
