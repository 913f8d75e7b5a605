"""Rates of what was heard, with intervals held against SciPy's."""

import xml.etree.ElementTree as ElementTree

import pytest
from scipy.stats import binomtest

from advisor.learning.rates import GroupRates, SoldAndHeard, all_rates, picture, rate, rates_by


@pytest.mark.parametrize(("count", "of"), [(0, 10), (1, 7), (5, 10), (30, 300), (12, 12)])
def test_intervals_are_wilsons(count, of):
    wanted = binomtest(count, of).proportion_ci(confidence_level=0.90, method="wilson")
    found = rate(count, of)
    assert (found.low, found.high) == (pytest.approx(wanted.low, abs=1e-12), pytest.approx(wanted.high, abs=1e-12))


def test_of_nothing_heard_anything_is_possible():
    assert (rate(0, 0).low, rate(0, 0).high, rate(0, 0).share) == (0.0, 1.0, 0.0)


def sales():
    def sale(kit, fitter, rules, answered=True, slipped=False, returned=False):
        return SoldAndHeard(kit, "organic", fitter, frozenset(rules), answered, slipped, returned)

    return [
        *[sale("good", "professional", {"always"}) for _ in range(8)],
        *[sale("good", "first_time", {"always", "wet"}, slipped=True) for _ in range(4)],
        sale("other", "professional", {"always"}, answered=False),
        sale("other", "professional", {"always", "wet"}, answered=False, returned=True),
    ]


def test_grouped_and_counted():
    everything = all_rates(sales())
    assert (everything.sold, everything.answered, everything.slips.count, everything.returns.count) == (14, 12, 4, 1)
    kits = {row.name: row for row in rates_by("kit", sales())}
    assert (kits["good"].slips.count, kits["good"].slips.of, kits["other"].slips.of) == (4, 12, 0)
    assert kits["other"].returns.count == 1
    fitters = {row.name: row.slips.share for row in rates_by("fitter", sales())}
    assert fitters == {"professional": 0.0, "first_time": 1.0}


def test_rules_behind_failures_come_first_and_those_behind_all_say_nothing():
    rules = [row.name for row in rates_by("rule", sales())]
    assert rules == ["wet"]


def test_the_picture_is_one_file_of_svg_the_same_every_time():
    rows = [GroupRates("kit <a>", 10, 9, rate(3, 9), rate(1, 10)), GroupRates("b", 2, 0, rate(0, 0), rate(0, 2))]
    text = picture("Outcomes & more", rows)
    assert text == picture("Outcomes & more", rows)
    root = ElementTree.fromstring(text)
    assert "kit <a>" in "".join(root.itertext())
    assert len([one for one in root.iter() if one.tag.endswith("circle")]) == 1
