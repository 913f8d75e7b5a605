"""Wear and life: the calibration band, volume balance, monotone behaviour."""

import pytest
from hypothesis import given, settings, strategies as st

from advisor.mechanics import friction, wear
from advisor.mechanics.argument_checks import MechanicsError

STEADY = settings(max_examples=40, deadline=None, derandomize=True)
CUBIC_MM_PER_MJ = 1e-15  # mm3/MJ in m3/J


@STEADY
@given(specific=st.floats(5, 100), heat=st.floats(100, 2e5), area=st.floats(5e-3, 0.2), thickness=st.floats(1e-4, 3e-3))
def test_volume_worn_is_specific_wear_times_heat(specific, heat, area, thickness):
    each = wear.wear_per_engagement(specific_wear=specific * CUBIC_MM_PER_MJ, slip_energy=heat, friction_area=area)
    distance = wear.life_distance(wear_thickness=thickness, wear_per_engagement=each, engagements_per_distance=2e-3)
    count = distance * 2e-3
    assert count * heat * specific * CUBIC_MM_PER_MJ == pytest.approx(thickness * area, rel=1e-12)


def test_an_ordinary_organic_clutch_lives_an_ordinary_life():
    """At 21.5 mm3/MJ, by judgement, 0.8 mm a face of 240/155 faces last about 150 000 km.

    Common practice, no source: no specific wear of a dry facing could be read in print.
    """
    area = 2 * friction.facing_area(outer_radius=0.120, inner_radius=0.0775)
    each = wear.wear_per_engagement(specific_wear=21.5e-15, slip_energy=9000, friction_area=area)
    life = wear.life_distance(wear_thickness=0.8e-3, wear_per_engagement=each, engagements_per_distance=1.5e-3)
    assert 130e6 < life < 170e6


@STEADY
@given(heat=st.floats(100, 1e5), more=st.floats(1, 5))
def test_more_heat_never_lengthens_life(heat, more):
    lives = []
    for slip_energy in (heat, heat * more):
        each = wear.wear_per_engagement(specific_wear=2e-14, slip_energy=slip_energy, friction_area=0.05)
        lives.append(wear.life_distance(wear_thickness=0.8e-3, wear_per_engagement=each, engagements_per_distance=1e-3))
    assert lives[1] <= lives[0]


def test_no_heat_no_wear_and_no_thickness_no_life():
    assert wear.wear_per_engagement(specific_wear=2e-14, slip_energy=0, friction_area=0.05) == 0
    assert wear.life_distance(wear_thickness=0, wear_per_engagement=1e-9, engagements_per_distance=1e-3) == 0


@pytest.mark.parametrize(
    "call, argument",
    [
        (lambda: wear.wear_per_engagement(specific_wear=0, slip_energy=1, friction_area=1), "specific_wear"),
        (lambda: wear.wear_per_engagement(specific_wear=1, slip_energy=-1, friction_area=1), "slip_energy"),
        (lambda: wear.wear_per_engagement(specific_wear=1, slip_energy=1, friction_area=0), "friction_area"),
        (
            lambda: wear.life_distance(wear_thickness=1e-3, wear_per_engagement=0, engagements_per_distance=1),
            "wear_per_engagement",
        ),
        (
            lambda: wear.life_distance(wear_thickness=1e-3, wear_per_engagement=1e-9, engagements_per_distance=0),
            "engagements_per_distance",
        ),
    ],
)
def test_refusals(call, argument):
    with pytest.raises(MechanicsError) as caught:
        call()
    assert caught.value.argument == argument
