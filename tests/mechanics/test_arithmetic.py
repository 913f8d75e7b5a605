"""The small sums: against NumPy, at their limits, and refused where they mean nothing."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from advisor.mechanics import arithmetic
from advisor.mechanics.argument_checks import MechanicsError

STEADY = settings(max_examples=50, deadline=None, derandomize=True)
numbers = st.floats(-1e9, 1e9)


@STEADY
@given(a=numbers, b=numbers, c=numbers)
def test_plain_sums(a, b, c):
    assert arithmetic.scaled(value=a, factor=b) == a * b
    assert arithmetic.larger(first=a, second=b) == max(a, b)
    assert arithmetic.smaller(first=a, second=b) == min(a, b)
    assert arithmetic.difference(first=a, second=b) == a - b
    assert arithmetic.total(first=a, second=b) == a + b
    assert arithmetic.total(first=a, second=b, third=c) == a + b + c
    assert arithmetic.scaled_with_floor(value=a, factor=b, floor=c) == max(c, a * b)
    assert arithmetic.larger(first=a, second=b) + arithmetic.smaller(first=a, second=b) == a + b


@STEADY
@given(a=numbers, b=st.floats(1e-6, 1e9))
def test_quotients(a, b):
    assert arithmetic.ratio(numerator=a, denominator=b) == a / b
    assert arithmetic.share(part=abs(a), whole=b) == abs(a) / b


def test_six_summands_in_arrays():
    found = arithmetic.total(first=np.arange(3), second=1, third=10, fourth=100, fifth=1000, sixth=np.full((2, 1), 1e4))
    assert found.tolist() == [[11111, 11112, 11113]] * 2


@STEADY
@given(value=st.floats(-1e6, 1e6), percent=st.floats(-90, 900))
def test_growth_and_its_way_back(value, percent):
    grown = arithmetic.grown_by_percent(value=value, percent=percent)
    back = arithmetic.grown_by_percent(value=grown, percent=100 * (1 / (1 + percent / 100) - 1))
    assert back == pytest.approx(value, rel=1e-9, abs=1e-9)
    assert arithmetic.grown_by_percent(value=value, percent=0) == value
    assert arithmetic.grown_by_percent(value=value, percent=-100) == 0


def test_the_pedal_limits_of_a_light_and_a_heavy_factory_clutch():
    """220 N or 1.2 times the factory pedal, whichever is more: common practice, no source."""
    found = arithmetic.scaled_with_floor(value=np.array([120, 200]), factor=1.2, floor=220)
    assert found.tolist() == [220, 240]


@pytest.mark.parametrize("none_at, full_at", [(1.0, 0.94), (300.0, 380.0)])
def test_an_amount_along_a_ramp_is_what_numpy_interpolates(none_at, full_at):
    """Against numpy.interp, which is flat beyond its ends as well."""
    values = np.linspace(min(none_at, full_at) * 0.8, max(none_at, full_at) * 1.2, 101)
    ends = sorted([(none_at, 0.0), (full_at, 0.08)])
    wanted = np.interp(values, [at for at, _ in ends], [amount for _, amount in ends])
    found = arithmetic.amount_along(value=values, none_at=none_at, full_at=full_at, amount=0.08)
    assert found == pytest.approx(wanted, abs=1e-15)
    assert found.min() == 0 and found.max() == 0.08
    shares = arithmetic.amount_along(value=values, none_at=none_at, full_at=full_at, amount=1)
    assert arithmetic.part_way(first=0, second=0.08, share=shares) == pytest.approx(wanted, abs=1e-15)


@pytest.mark.parametrize(
    "call, argument",
    [
        (lambda: arithmetic.ratio(numerator=1, denominator=0), "denominator"),
        (lambda: arithmetic.ratio(numerator=1, denominator=-1), "denominator"),
        (lambda: arithmetic.share(part=-1, whole=1), "part"),
        (lambda: arithmetic.share(part=1, whole=0), "whole"),
        (lambda: arithmetic.grown_by_percent(value=1, percent=-101), "percent"),
        (lambda: arithmetic.grown_by_percent(value=1, percent=1001), "percent"),
        (lambda: arithmetic.total(first=1, second=2, sixth=float("nan")), "sixth"),
        (lambda: arithmetic.amount_along(value=1, none_at=2, full_at=2, amount=1), "full_at"),
        (lambda: arithmetic.part_way(first=1, second=2, share=1.1), "share"),
        (lambda: arithmetic.larger(first="5", second=2), "first"),
    ],
)
def test_refusals(call, argument):
    with pytest.raises(MechanicsError) as caught:
        call()
    assert caught.value.argument == argument
