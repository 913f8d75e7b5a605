"""Input checks: what is refused, what is named, what comes back."""

from fractions import Fraction

import numpy as np
import pytest

from advisor.mechanics import argument_checks
from advisor.mechanics.argument_checks import MechanicsError


def caught(check, *args, **arguments):
    with pytest.raises(MechanicsError) as info:
        check(*args, **arguments)
    return info.value


@pytest.mark.parametrize(
    "bad", ["3", "", b"3", True, np.True_, None, [True, False], [1, None], 1 + 2j, {}, type("Thing", (), {})], ids=repr
)
def test_what_is_no_number_is_refused(bad):
    error = caught(argument_checks.finite, speed=bad)
    assert error.argument == "speed"
    assert error.reason == "must be a number"
    assert isinstance(error, ValueError)


@pytest.mark.parametrize(
    "good", [3, 3.0, np.float32(3), np.int64(3), Fraction(3), [3], (3, 3), np.array([[3]])], ids=repr
)
def test_numbers_of_every_kind_are_taken(good):
    (array,) = argument_checks.finite(speed=good)
    assert array.dtype == float
    assert np.all(array == 3)


@pytest.mark.parametrize(
    "check, bad, reason",
    [
        (argument_checks.finite, np.inf, "must be a finite number"),
        (argument_checks.finite, np.nan, "must be a finite number"),
        (argument_checks.positive, 0, "must be above zero"),
        (argument_checks.positive, -1e-300, "must be above zero"),
        (argument_checks.not_negative, -1, "must not be negative"),
        (argument_checks.share, 0, "must be above zero"),
        (argument_checks.share, 1.0000001, "must be at most 1"),
    ],
)
def test_limits(check, bad, reason):
    error = caught(check, first=1, second=bad)
    assert (error.argument, error.reason) == ("second", reason)
    assert error.value == pytest.approx(bad, nan_ok=True)
    assert error.elements == ()


def test_ranges_hold_their_ends():
    assert [float(a) for a in argument_checks.within(1, 4, first=1, second=4)] == [1, 4]
    assert caught(argument_checks.within, 1, 4, third=4.01).reason == "must be between 1 and 4"
    assert [float(a) for a in argument_checks.whole(1, 4, first=1, second=4.0)] == [1, 4]
    assert caught(argument_checks.whole, 1, 4, third=2.5).reason == "must be a whole number"


def test_every_element_at_fault_is_reported_and_the_first_is_shown():
    values = np.arange(1.0, 13).reshape(3, 4)
    values[0, 1] = values[2, 3] = -5
    error = caught(argument_checks.positive, clamp_load=values)
    assert error.elements == ((0, 1), (2, 3))
    assert error.value == -5
    assert str(error) == "clamp_load must be above zero at element [0, 1], [2, 3] (got -5.0)"


def test_a_long_list_of_elements_is_cut_short_in_words_only():
    error = caught(argument_checks.positive, clamp_load=np.full(9, -1.0))
    assert len(error.elements) == 9
    assert "and 4 more" in str(error)


def test_below_names_the_smaller_and_its_elements():
    outer, inner = np.array([0.1, 0.1, 0.1]), np.array(0.1)
    argument_checks.below("outer_radius", outer, inner_radius=np.array(0.05))
    error = caught(argument_checks.below, "outer_radius", outer, inner_radius=inner)
    assert error.argument == "inner_radius"
    assert error.reason == "must be below outer_radius"
    assert error.elements == ((0,), (1,), (2,))


def test_choices():
    argument_checks.choice(("push", "pull"), action="push")
    for bad in ("Push", None, 1, ["push"]):
        error = caught(argument_checks.choice, ("push", "pull"), action=bad)
        assert (error.argument, error.reason) == ("action", "must be push or pull")


def test_results_are_floats_or_arrays():
    assert type(argument_checks.result(np.array(2))) is float
    assert argument_checks.result(np.array([2])).tolist() == [2.0]
    assert argument_checks.finite(speed=[])[0].shape == (0,)
