"""What calculations promise alike: units that hold together, arrays as scalars, errors that name the argument.

The samples are the examples of the docstrings themselves, so a new function is covered as soon as it has one.
"""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from advisor.mechanics.argument_checks import MechanicsError
from tests.each import each

from . import docstrings, samples

CALCULATIONS = [
    (name, function)
    for name, function in docstrings.calculations()
    if name.split(".")[0] in docstrings.PLAIN_ARITHMETIC
]
EACH = each(lambda: CALCULATIONS)
STEADY = settings(max_examples=12, deadline=None, derandomize=True)

factors = st.floats(0.3, 3.0)


def scaled(value, factor):
    return value if factor == 1.0 else np.asarray(value, dtype=float) * factor


@STEADY
@given(scales=st.fixed_dictionaries(dict.fromkeys(("kg", "m", "s", "any"), factors)))
def test_other_units_give_the_same_answer(scales):
    """Dimensional homogeneity: with other units of mass, length and time only the result's unit changes."""
    for _, function in CALCULATIONS:
        in_other_units(function, scales)


def in_other_units(function, scales):
    arguments, documented, unit = samples.sample(function)

    def factor(of):
        return float(np.prod([scales.get(base, 1.0) ** power for base, power in samples.dimensions(of).items()]))

    changed = {
        name: value if documented[name][0] == "str" else scaled(value, factor(documented[name][1]))
        for name, value in arguments.items()
    }
    np.testing.assert_allclose(
        np.asarray(function(**changed), dtype=float),
        np.asarray(function(**arguments), dtype=float) * factor(unit),
        rtol=1e-9,
        err_msg=function.__name__,
    )


def neighbours(function, name):
    """Two valid values of an argument: the sample's, and one close by (the same where neither side is allowed)."""
    arguments, documented, _ = samples.sample(function)
    value = arguments[name]
    if not documented[name][0].startswith("int"):
        for other in (value * 0.9995, value * 1.0005) if value else (1e-4, -1e-4):
            try:
                function(**{**arguments, name: other})
            except MechanicsError:
                continue
            return np.array([value, other])
    return np.array([value, value])


@EACH
def test_the_formula_shown_holds_beside_the_example_too(function):
    """Each argument moved a little in turn, those that are zero by default too: a lost term would show."""
    arguments, _, _ = samples.sample(function)
    parts = docstrings.sections(function)
    lines = docstrings.formula(parts["Formula"])
    (result,) = docstrings.entries(parts["Returns"])
    for name in samples.numbers(function):
        moved = {**arguments, name: neighbours(function, name)[1].item()}
        shown = docstrings.evaluate(lines, moved)[result]
        assert function(**moved) == pytest.approx(float(shown), rel=1e-8, abs=1e-15)


@EACH
def test_arrays_give_what_scalars_give_element_by_element(function):
    arguments, _documented, _ = samples.sample(function)
    row = {}
    for n, name in enumerate(samples.numbers(function)):
        row[name] = neighbours(function, name) if n % 2 else neighbours(function, name).reshape(2, 1)
    try:
        together = function(**{**arguments, **row})
    except MechanicsError:  # neighbours valid one by one need not be so together: leave the others alone
        row = dict(list(row.items())[:1])
        together = function(**{**arguments, **row})
    assert isinstance(function(**arguments), float)
    grid = np.broadcast_shapes(*[value.shape for value in row.values()])
    assert together.shape == grid
    for place in np.ndindex(grid):
        single = {name: np.broadcast_to(value, grid)[place].item() for name, value in row.items()}
        alone = function(**{**arguments, **single})
        assert isinstance(alone, float)
        assert together[place] == pytest.approx(alone, rel=1e-13, abs=0)


@EACH
def test_what_is_no_number_is_refused_by_name(function):
    arguments, _, _ = samples.sample(function)
    for bad in (float("nan"), float("inf"), "7200", True, None, [1.0, "x"]):
        for name in samples.numbers(function):
            with pytest.raises(MechanicsError) as caught:
                function(**{**arguments, name: bad})
            assert caught.value.argument == name, bad
            assert name in str(caught.value), bad


@EACH
def test_an_array_at_fault_names_its_element(function):
    arguments, _, _ = samples.sample(function)
    for name in samples.numbers(function):
        value = np.full((2, 2), float(arguments[name]))
        value[1, 0] = np.nan
        with pytest.raises(MechanicsError) as caught:
            function(**{**arguments, name: value})
        assert caught.value.argument == name
        assert caught.value.elements == ((1, 0),)
        assert "[1, 0]" in str(caught.value)


@EACH
def test_inputs_are_left_as_they_were(function):
    arguments, _documented, _ = samples.sample(function)
    given_arrays = {name: np.array(value, dtype=float) for name, value in arguments.items() if samples.is_number(value)}
    before = {name: value.copy() for name, value in given_arrays.items()}
    function(**{**arguments, **given_arrays})
    for name, value in given_arrays.items():
        assert np.array_equal(value, before[name])


@EACH
def test_an_unknown_choice_is_refused_by_name(function):
    arguments, documented, _ = samples.sample(function)
    for name, (kind, _) in documented.items():
        if kind == "str":
            with pytest.raises(MechanicsError) as caught:
                function(**{**arguments, name: "no such choice"})
            assert caught.value.argument == name
