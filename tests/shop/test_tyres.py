"""Rolling radius from the sidewall, against values worked out from the published formula and a fit to makers' data."""

import pytest

from advisor.errors import InputError
from advisor.shop.tyres import SPREAD, free_radius_mm, looks_like, rolling_radius_mm

#: Size, free radius and rolling radius, mm: rim x 25.4 / 2 + width x aspect / 100 (ISO 4000-1), and 3.05 / (2 pi) of
#: the outer diameter (ETRTO).
SIZES = [
    ("175/65 R14", 291.6, 283),
    ("195/65 R15", 317.3, 308),
    ("205/55 R16", 316.0, 307),
    ("225/45 R17", 317.2, 308),
    ("245/40 R18", 326.6, 317),
    ("275/40 R20", 364.0, 353),
]


@pytest.mark.parametrize("size, free, rolling", SIZES)
def test_radius_from_the_sidewall(size, free, rolling):
    assert free_radius_mm(size) == pytest.approx(free, abs=0.06)
    assert rolling_radius_mm(size) == rolling


def test_against_a_fit_to_two_makers_data():
    """295 mm for 245/35 R17, a published fit to two makers' data."""
    assert rolling_radius_mm("245/35 R17") == pytest.approx(295, rel=SPREAD)


@pytest.mark.parametrize("text", ["205/55R16 91V", "205/55 ZR 16", "P205/55R16", "205/55-16", "205/55 R 16"])
def test_ways_of_writing_one_size(text):
    assert looks_like(text) and rolling_radius_mm(text) == 307


@pytest.mark.parametrize("text", ["165 R 15", "305/95 R30", "105/30 R10", "tyre"])
def test_what_says_no_radius_is_refused(text):
    with pytest.raises(InputError):
        rolling_radius_mm(text)


@pytest.mark.parametrize("text", ["307 mm", "0.307", "16 in"])
def test_a_length_is_no_size(text):
    assert not looks_like(text)
