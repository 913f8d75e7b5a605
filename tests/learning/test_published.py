"""The likelihood and its grid against published current-status and quantal data, and SciPy where it is sound."""

import math

import numpy as np
import pytest
from scipy.optimize import isotonic_regression, minimize
from scipy.stats import CensoredData, lognorm

from advisor.learning.posterior import Installation, Posterior, learn, log_likelihood
from advisor.learning.spreads import SpreadParts

#: Finney, Probit Analysis, 3rd ed. (1971), rotenone on insects, as R package drc, data set finney71, gives it: dose,
#: total, affected; the control of dose nought is left out.
ROTENONE = ((10.2, 50, 44), (7.7, 49, 42), (5.1, 46, 24), (3.8, 48, 16), (2.6, 50, 6))
#: Bliss (1935), beetles in carbon disulphide, as in Dobson's textbook: log10 dose, total, killed.
BEETLES = (
    (1.6907, 59, 6),
    (1.7242, 60, 13),
    (1.7552, 62, 18),
    (1.7842, 56, 28),
    (1.8113, 63, 52),
    (1.8369, 59, 53),
    (1.8610, 62, 61),
    (1.8839, 60, 60),
)
#: Milicer and Szczotka (1966), as R package MASS, data set menarche, gives it: age, total, reached; current status.
AGES = (9.21, 10.21, *(10.58 + 0.25 * place for place in range(22)), 17.58)
TOTALS = (376, 200, 93, 120, 90, 88, 105, 111, 100, 93, 100, 108, 99, 106, 105, 117, 98, 97, 120, 102, 122, 111, 94)
TOTALS = (*TOTALS, 114, 1049)
REACHED = (0, 0, 0, 2, 2, 5, 10, 17, 16, 29, 39, 51, 47, 67, 81, 88, 79, 90, 113, 95, 117, 107, 92, 112, 1049)


def records(groups, spread):
    """One Installation for each of a group's (load, total, slipped)."""
    return [
        Installation(f"{place:02d}-{number:04d}", "k", "f", load, spread, number < slipped, 0.0)
        for place, (load, total, slipped) in enumerate(groups)
        for number in range(total)
    ]


def fitted(groups, start):
    """(median, spread) at which this product's likelihood is largest."""

    def loss(values):
        return -log_likelihood(records(groups, math.exp(values[1])), np.array([values[0]]))[0]

    found = minimize(loss, [start[0], math.log(start[1])], method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-9})
    return found.x[0], math.exp(found.x[1])


def by_scipy(groups):
    """(mu, sigma) of SciPy's censored lognormal fit; the location has to be fixed, or it is fitted as well."""
    slipped = np.repeat([load for load, _, _ in groups], [count for *_, count in groups])
    held = np.repeat([load for load, _, _ in groups], [total - count for _, total, count in groups])
    shape, _, scale = lognorm.fit(CensoredData(left=slipped, right=held), floc=0)
    return math.log(scale), shape


def test_rotenone_as_published():
    """Finney's estimate: half affected at 4.8455, slope 4.2132 on log10, that is a spread of 0.54652 on ln."""
    groups = [(math.log(dose), total, affected) for dose, total, affected in ROTENONE]
    median, spread = fitted(groups, (1.5, 0.5))
    assert math.exp(median) == pytest.approx(4.8455, abs=5e-4)
    assert spread == pytest.approx(0.54652, abs=2e-4)
    assert spread * 4.2132 == pytest.approx(1 / math.log(10) * math.log(10) ** 2, abs=2e-3)
    mu, sigma = by_scipy(ROTENONE)
    assert (median, spread) == (pytest.approx(mu, abs=2e-4), pytest.approx(sigma, abs=2e-4))


def test_rotenone_on_a_grid():
    """With a flat prior over both: mode 4.844, and 95 % of the median from 4.344 to 5.357 (Fieller: 4.365 to 5.354)."""
    medians = np.linspace(math.log(3.5), math.log(6.5), 301)
    groups = [(math.log(dose), total, affected) for dose, total, affected in ROTENONE]
    spreads = np.linspace(0.35, 0.85, 51)
    logs = np.array([log_likelihood(records(groups, spread), medians) for spread in spreads])
    place = np.unravel_index(logs.argmax(), logs.shape)
    assert math.exp(medians[place[1]]) == pytest.approx(4.8441, abs=0.011)
    assert spreads[place[0]] == pytest.approx(0.5463, abs=0.01)
    weights = np.exp(logs - logs.max()).sum(axis=0)
    found = Posterior(medians, weights / weights.sum())
    assert math.exp(found.quantile(0.025)) == pytest.approx(4.344, abs=0.004)
    assert math.exp(found.quantile(0.975)) == pytest.approx(5.357, abs=0.004)


def test_beetles_as_published():
    """Probit of Bliss's beetles: -34.935 and 19.728 on log10 dose, half killed at 59.000."""
    median, spread = fitted(BEETLES, (1.77, 0.05))
    assert 10**median == pytest.approx(59.000, abs=0.01)
    assert 1 / spread == pytest.approx(19.728, abs=0.01)
    assert -median / spread == pytest.approx(-34.935, abs=0.02)


def test_menarche_as_published():
    """Probit of true current-status data: -11.8189 and 0.90782 on age, half reached at 13.019."""
    assert (len(AGES), len(TOTALS), len(REACHED)) == (25, 25, 25)
    median, spread = fitted(list(zip(AGES, TOTALS, REACHED)), (13.0, 1.0))
    assert median == pytest.approx(13.019, abs=0.001)
    assert 1 / spread == pytest.approx(0.90782, abs=2e-4)
    assert -median / spread == pytest.approx(-11.8189, abs=3e-3)


def test_monotone_fit_of_rotenone():
    """SciPy's isotonic regression, which takes no shape for granted, and the fitted curve are nowhere far apart."""
    groups = sorted(ROTENONE)
    shares = np.array([affected / total for _, total, affected in groups])
    steps = isotonic_regression(shares, weights=[total for _, total, _ in groups]).x
    assert steps == pytest.approx([0.12, 0.3333, 0.5217, 0.8571, 0.88], abs=1e-4)
    median, spread = fitted([(math.log(dose), total, affected) for dose, total, affected in ROTENONE], (1.5, 0.5))
    curve = [0.5 * (1 + math.erf((math.log(dose) - median) / spread / math.sqrt(2))) for dose, _, _ in groups]
    assert np.abs(steps - curve).max() < 0.08


@pytest.mark.parametrize(
    ("held", "slipped", "spread"),
    [((300, 350, 400), (450, 500), 0.0005), ((300, 350, 400), (380, 450, 500), 0.0943)],
)
def test_separated_data_have_no_largest_likelihood_and_the_posterior_does_not_need_one(held, slipped, spread):
    """All held below all slipped: SciPy gives a spread of nearly nought without a word. The grid stays what it is."""
    shape, _, _ = lognorm.fit(CensoredData(left=np.array(slipped, float), right=np.array(held, float)), floc=0)
    assert shape == pytest.approx(spread, abs=2e-3)
    parts = {"k": SpreadParts(0.078, 0.080)}
    loads = [(math.log(one / 420), one in slipped) for one in (*held, *slipped)]
    found = learn(
        [Installation(str(place), "k", "f", load, 0.084, down) for place, (load, down) in enumerate(loads)],
        {"k": "f"},
        parts,
    ).kits["k"]
    assert 0.02 < found.deviation < 0.111
    assert math.log(350 / 420) < found.mean < math.log(480 / 420)


def test_held_only_has_no_largest_likelihood_either():
    """SciPy says a median of 866 for parts that held 300, 350 and 400."""
    _, _, scale = lognorm.fit(CensoredData(right=np.array([300.0, 350.0, 400.0])), floc=0)
    assert scale > 500
    records = [Installation(str(load), "k", "f", math.log(load / 420), 0.084, False) for load in (300, 350, 400)]
    found = learn(records, {"k": "f"}, {"k": SpreadParts(0.078, 0.080)}).kits["k"]
    assert 0 < found.mean < 0.08
