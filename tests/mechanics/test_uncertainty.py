"""Chance of holding: against SciPy and Monte Carlo, the capacity table, and properties."""

import inspect

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy import special, stats

from advisor.mechanics import _normal, uncertainty
from advisor.mechanics.argument_checks import MechanicsError

from . import generic

PAIR = {
    "capacity_median": (200, 1500),
    "capacity_spread": (0.01, 0.3),
    "demand_median": (200, 1500),
    "demand_spread": (0.01, 0.3),
}
BAND = {"median": (50, 900), "spread": (0, 0.4), "probability": (0.1, 0.99)}
FOUR = {f"{n}_spread": (0.01, 0.3) for n in ("first", "second", "third", "fourth")}
SOURCES = {**{f"{n}_spread": (0.06, 0.3) for n in ("first", "second")}, "shared_spread": (0, 0.05)}
TWO = {**{f"{n}_median": (50, 900) for n in ("first", "second")}, **SOURCES}

CASES = [
    (uncertainty.holding_probability, PAIR, ()),
    (uncertainty.band_low, BAND, ()),
    (uncertainty.band_high, BAND, ()),
    (uncertainty.band, BAND, ()),
    (uncertainty.combined_spread, FOUR, ()),
    (uncertainty.agreed_spread, SOURCES, ()),
    (uncertainty.variance_share, {"part_spread": (0, 0.1), "whole_spread": (0.1, 0.4)}, ()),
    (uncertainty.pooled_median, TWO, ()),
    (uncertainty.pooled_spread, TWO, ()),
]
EACH = pytest.mark.parametrize("function, sample, signed", CASES, ids=[case[0].__name__ for case in CASES])


def test_every_calculation_of_these_modules_is_checked_here():
    defined = {
        function
        for module in (uncertainty,)
        for name, function in vars(module).items()
        if inspect.isfunction(function) and function.__module__ == module.__name__ and not name.startswith("_")
    }
    assert defined == {case[0] for case in CASES}


@EACH
def test_other_units_give_the_same_answer(function, sample, signed):
    @settings(max_examples=15, derandomize=True, deadline=None)
    @given(generic.drawn(sample))
    def check(arguments):
        generic.check_dimensions(function, arguments)

    check()


@EACH
def test_arrays_give_what_their_elements_give(function, sample, signed):
    generic.check_arrays(function, sample)


@EACH
def test_bad_input_is_refused_by_name_and_element(function, sample, signed):
    generic.check_refusals(function, sample, signed)


# Normal distribution against scipy.special.


def test_normal_cdf_against_scipy():
    z = np.concatenate([np.linspace(-38, 38, 20_001), np.random.default_rng(3).normal(size=20_000)])
    found, expected = _normal.cdf(z), special.ndtr(z)
    np.testing.assert_allclose(found, expected, rtol=0, atol=1e-15)
    inside = np.abs(z) < 8
    np.testing.assert_allclose(found[inside], expected[inside], rtol=1e-12)


def test_normal_quantile_against_scipy():
    p = np.concatenate([np.linspace(1e-6, 1 - 1e-6, 10_001), [1e-300, 0.5, 1 - 1e-15]])
    np.testing.assert_allclose(_normal.quantile(p), special.ndtri(p), rtol=1e-9, atol=1e-12)


# Holding against a simulation and against numerical integration.

SETTINGS = [(464, 0.14, 400, 0.03), (500, 0.11, 400, 0.06), (400, 0.18, 420, 0.12), (700, 0.10, 400, 0.16)]


@pytest.mark.parametrize("capacity, spread, demand, doubt", SETTINGS)
def test_holding_against_monte_carlo(capacity, spread, demand, doubt):
    rng = np.random.default_rng(20)
    number = 400_000
    holds = capacity * np.exp(spread * rng.normal(size=number)) >= demand * np.exp(doubt * rng.normal(size=number))
    found = uncertainty.holding_probability(
        capacity_median=capacity, capacity_spread=spread, demand_median=demand, demand_spread=doubt
    )
    error = np.sqrt(found * (1 - found) / number)
    assert abs(holds.mean() - found) < 4 * error


@pytest.mark.parametrize("capacity, spread, demand, doubt", SETTINGS)
def test_holding_against_integration_over_demand(capacity, spread, demand, doubt):
    from scipy.integrate import quad

    above = stats.lognorm(s=spread, scale=capacity).sf
    density = stats.lognorm(s=doubt, scale=demand).pdf
    low, high = demand * np.exp(-9 * doubt), demand * np.exp(9 * doubt)
    expected, _ = quad(lambda t: above(t) * density(t), low, high, epsabs=1e-12, limit=400, points=[demand])
    found = uncertainty.holding_probability(
        capacity_median=capacity, capacity_spread=spread, demand_median=demand, demand_spread=doubt
    )
    assert found == pytest.approx(expected, abs=1e-8)


def test_a_product_of_factors_has_the_combined_spread():
    rng = np.random.default_rng(8)
    parts = (0.11, 0.07, 0.05, 0.08)
    logs = sum(s * rng.normal(size=500_000) for s in parts)
    found = uncertainty.combined_spread(first_spread=0.11, second_spread=0.07, third_spread=0.05, fourth_spread=0.08)
    assert logs.std() == pytest.approx(found, rel=5e-3)


# Capacity over likely demand that a chance asks for: (worn, new) at 0.85, the same at 0.90, and shares of friction,
# clamp, wear and demand. Bedded organic 0.11, clamp as sold 0.07, wear 0.05, worn factor 0.90; demand by how the
# torque is known. Computed by the project's own calibration, not published.
CAPACITY = [
    (0.03, (1.16, 1.29), (1.20, 1.33), (59, 24, 12, 4)),
    (0.06, (1.17, 1.30), (1.22, 1.35), (52, 21, 11, 16)),
    (0.10, (1.19, 1.33), (1.25, 1.38), (41, 17, 8, 34)),
    (0.12, (1.21, 1.34), (1.27, 1.41), (36, 14, 7, 42)),
    (0.16, (1.25, 1.38), (1.31, 1.46), (27, 11, 6, 57)),
]


@pytest.mark.parametrize("demand_spread, at_85, at_90, shares", CAPACITY)
def test_capacity_table(demand_spread, at_85, at_90, shares):
    whole = uncertainty.combined_spread(first_spread=0.11, second_spread=0.07, third_spread=0.05)
    for chance, (worn, new) in ((0.85, at_85), (0.90, at_90)):
        for printed in (worn, 0.90 * new):
            less, more = uncertainty.holding_probability(
                capacity_median=printed + np.array([-0.006, 0.006]),
                capacity_spread=whole,
                demand_median=1,
                demand_spread=demand_spread,
            )
            assert less < chance < more
    everything = uncertainty.combined_spread(first_spread=whole, second_spread=demand_spread)
    each = [
        uncertainty.variance_share(part_spread=s, whole_spread=everything) for s in (0.11, 0.07, 0.05, demand_spread)
    ]
    np.testing.assert_allclose(np.array(each) * 100, shares, atol=0.6)
    assert sum(each) == pytest.approx(1, rel=1e-12)


# Two sources together, against generalised least squares (numpy), numerical integration and the chi-square of the two.

# (first median, its spread, second median, its spread, shared spread)
AGREEING = [(400, 0.10, 410, 0.10, 0.0), (400, 0.06, 420, 0.12, 0.0), (350, 0.12, 330, 0.10, 0.06)]


def told_by(first, first_spread, second, second_spread, shared):
    """(arguments, logarithms of the two, the covariance they have)."""
    arguments = dict(
        first_median=first, first_spread=first_spread,
        second_median=second, second_spread=second_spread, shared_spread=shared,
    )  # fmt: skip
    covariance = np.array([[first_spread**2, shared**2], [shared**2, second_spread**2]])
    return arguments, np.log([first, second]), covariance


@pytest.mark.parametrize("sources", AGREEING)
def test_two_sources_that_agree_against_generalised_least_squares(sources):
    arguments, logs, covariance = told_by(*sources)
    weights = np.linalg.solve(covariance, np.ones(2))
    assert uncertainty.pooled_median(**arguments) == pytest.approx(np.exp(weights @ logs / weights.sum()), rel=1e-12)
    assert uncertainty.pooled_spread(**arguments) == pytest.approx(1 / np.sqrt(weights.sum()), rel=1e-12)
    spreads = {name: value for name, value in arguments.items() if not name.endswith("_median")}
    assert uncertainty.agreed_spread(**spreads) == pytest.approx(1 / np.sqrt(weights.sum()), rel=1e-12)


@pytest.mark.parametrize("sources", AGREEING[:2])
def test_two_sources_that_agree_against_the_product_of_their_densities(sources):
    from scipy.integrate import quad

    arguments, logs, _ = told_by(*sources)

    def density(x):
        return stats.norm.pdf(x, logs[0], sources[1]) * stats.norm.pdf(x, logs[1], sources[3])

    low, high = min(logs) - 1, max(logs) + 1
    whole, mean = (quad(lambda x, n=n: x**n * density(x), low, high, epsabs=1e-13)[0] for n in (0, 1))
    mean /= whole
    variance = quad(lambda x: (x - mean) ** 2 * density(x), low, high, epsabs=1e-13)[0] / whole
    assert uncertainty.pooled_median(**arguments) == pytest.approx(np.exp(mean), rel=1e-7)
    assert uncertainty.pooled_spread(**arguments) == pytest.approx(np.sqrt(variance), rel=1e-6)


@pytest.mark.parametrize("sources", [(400, 0.10, 480, 0.10, 0.0), (400, 0.06, 470, 0.10, 0.0)])
def test_scatter_beyond_their_spreads_widens_what_they_tell(sources):
    """Birge's ratio: the square root of chi-square over its degrees of freedom, one for two sources."""
    arguments, logs, covariance = told_by(*sources)
    variances = np.diag(covariance)
    mean = np.average(logs, weights=1 / variances)
    chi_square = ((logs - mean) ** 2 / variances).sum()
    assert chi_square > 1
    spread = np.sqrt(chi_square / (1 / variances).sum())
    assert uncertainty.pooled_spread(**arguments) == pytest.approx(spread, rel=1e-12)
    # The higher one is pulled down by no more than its own spread.
    found = uncertainty.pooled_median(**arguments)
    assert found == pytest.approx(np.exp(max(mean, logs[1] - sources[3])), rel=1e-12)


@pytest.mark.parametrize("first_spread, second_spread", [(0.10, 0.10), (0.06, 0.12), (0.12, 0.06)])
def test_of_two_bands_with_nothing_in_common_the_low_end_of_the_higher_counts(first_spread, second_spread):
    top = uncertainty.band_high(median=400, spread=first_spread, probability=0.9)
    # What the other must tell for its own band to begin where the first one ends.
    second = top / stats.lognorm(s=second_spread).ppf(0.05)
    apart = {"first_median": 400, "first_spread": first_spread, "second_spread": second_spread}
    for beyond in (1.05, 1.5):
        both = {**apart, "second_median": second * beyond}
        low_end = stats.lognorm(s=second_spread, scale=second * beyond).ppf(stats.norm.cdf(-1))
        assert uncertainty.pooled_median(**both) == pytest.approx(low_end, rel=1e-12)
        assert uncertainty.pooled_spread(**both) == pytest.approx(second_spread, rel=1e-12)
    nearer = {**apart, "second_median": second * 0.97}
    assert 400 < uncertainty.pooled_median(**nearer) < second * 0.97


@settings(max_examples=80, derandomize=True, deadline=None)
@given(generic.drawn(TWO), st.floats(1.001, 1.5))
def test_the_order_of_two_sources_is_all_one_and_what_they_tell_lies_between(a, more):
    turned = {
        "first_median": a["second_median"], "first_spread": a["second_spread"],
        "second_median": a["first_median"], "second_spread": a["first_spread"], "shared_spread": a["shared_spread"],
    }  # fmt: skip
    together = uncertainty.pooled_median(**a)
    assert together == pytest.approx(uncertainty.pooled_median(**turned), rel=1e-12)
    assert uncertainty.pooled_spread(**a) == pytest.approx(uncertainty.pooled_spread(**turned), rel=1e-12)
    low, high = sorted((a["first_median"], a["second_median"]))
    assert low * (1 - 1e-12) <= together <= high * (1 + 1e-12)
    # The higher one raised never lowers what counts.
    higher = "first_median" if a["first_median"] >= a["second_median"] else "second_median"
    assert uncertainty.pooled_median(**{**a, higher: a[higher] * more}) >= together * (1 - 1e-12)


@settings(max_examples=200, derandomize=True, deadline=None)
@given(generic.drawn(TWO), st.floats(1.0001, 3))
def test_no_source_told_higher_lowers_what_two_tell_together(a, more):
    whole = uncertainty.pooled_median(**a)
    for name in ("first_median", "second_median"):
        assert uncertainty.pooled_median(**{**a, name: a[name] * more}) >= whole * (1 - 1e-12)
    higher = max((a["first_median"], a["first_spread"]), (a["second_median"], a["second_spread"]))
    assert higher[0] * np.exp(-higher[1]) * (1 - 1e-12) <= whole <= higher[0] * (1 + 1e-12)


def test_a_shared_guess_is_less_than_either_spread():
    two = {"first_median": 400, "first_spread": 0.1, "second_median": 400, "second_spread": 0.12}
    for shared in (0.1, 0.11, 0.2):
        with pytest.raises(MechanicsError, match="shared_spread"):
            uncertainty.pooled_median(**two, shared_spread=shared)


# Properties and limits.


@settings(max_examples=80, derandomize=True, deadline=None)
@given(generic.drawn(PAIR), st.floats(1.001, 2))
def test_more_capacity_holds_more_surely_and_less_demand_too(a, more):
    chance = uncertainty.holding_probability(**a)
    assert uncertainty.holding_probability(**{**a, "capacity_median": a["capacity_median"] * more}) >= chance
    assert uncertainty.holding_probability(**{**a, "demand_median": a["demand_median"] * more}) <= chance
    assert 0 <= chance <= 1
    swapped = uncertainty.holding_probability(
        capacity_median=a["demand_median"],
        capacity_spread=a["demand_spread"],
        demand_median=a["capacity_median"],
        demand_spread=a["capacity_spread"],
    )
    assert chance + swapped == pytest.approx(1, abs=1e-14)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(generic.drawn({**BAND, "spread": (0.01, 0.4)}))
def test_a_band_holds_its_probability(a):
    low, high = uncertainty.band(**a)
    assert low == uncertainty.band_low(**a) < a["median"] < uncertainty.band_high(**a) == high
    inside = stats.lognorm(s=a["spread"], scale=a["median"])
    assert inside.cdf(high) - inside.cdf(low) == pytest.approx(a["probability"], abs=1e-11)


def test_certain_quantities():
    a = dict(capacity_spread=0, demand_spread=0, demand_median=400)
    found = uncertainty.holding_probability(capacity_median=np.array([399.9, 400, 400.1]), **a)
    assert found.tolist() == [0, 1, 1]
    assert uncertainty.band(median=400, spread=0).tolist() == [400, 400]


def test_even_odds_at_equal_medians():
    assert (
        uncertainty.holding_probability(capacity_median=400, capacity_spread=0.2, demand_median=400, demand_spread=0.1)
        == 0.5
    )


def test_a_part_is_no_more_than_the_whole():
    with pytest.raises(MechanicsError, match="part_spread"):
        uncertainty.variance_share(part_spread=0.3, whole_spread=0.2)
