"""Disc spring against its own energy, the slotted diaphragm against a worked synthetic cover and numerical routes.

Tables of the standard stand in tests/published.
"""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy import integrate

from advisor.mechanics import disc_spring
from advisor.mechanics.argument_checks import MechanicsError

STEADY = settings(max_examples=40, deadline=None, derandomize=True)

# A synthetic cover of about 240 mm: R, r, plate and pivot radius, fingers; not a real one.
LEVERS = dict(plate_radius=0.114, pivot_radius=0.0935)
RING = dict(ring_outer_radius=0.116, ring_inner_radius=0.092, thickness=2.70e-3, cone_height=4.70e-3)
FLAT = 4.70e-3 * (0.114 - 0.0935) / (0.116 - 0.092)  # the ring turns about itself as far as the plate moves
SET = 0.95 * FLAT
COVER = dict(set_deflection=SET, **LEVERS, **RING)
FINGERS = dict(
    finger_radius=0.026,
    window_radius=0.082,
    ring_inner_radius=0.092,
    thickness=2.70e-3,
    fingers=18,
    slot_width=3.3e-3,
    window_width=10e-3,
)
RATIO = disc_spring.release_ratio(finger_radius=0.026, **LEVERS)

springs = st.fixed_dictionaries(
    dict(
        outer_diameter=st.floats(0.1, 0.3),
        inner_diameter=st.floats(0.03, 0.09),
        thickness=st.floats(5e-4, 5e-3),
        cone_height=st.floats(3e-4, 8e-3),
    )
)


@STEADY
@given(spring=springs, part=st.floats(0.01, 2), flats=st.floats(1, 1.2))
def test_the_rate_is_the_slope_of_the_load(spring, part, flats):
    bent = part * spring["cone_height"]
    given_spring = dict(contact_flat_factor=flats, **spring)
    step = 1e-4 * spring["cone_height"]
    places = np.array([bent - step, bent - 2 * step])  # second-order difference from below, inside the validity
    at = disc_spring.load(deflection=bent, **given_spring)
    before, earlier = disc_spring.load(deflection=places, **given_spring)
    slope = (3 * at - 4 * before + earlier) / (2 * step)
    scale = disc_spring.rate(deflection=0, **given_spring)
    assert disc_spring.rate(deflection=bent, **given_spring) == pytest.approx(slope, rel=1e-5, abs=1e-5 * scale)


@STEADY
@given(thickness=st.floats(1e-3, 4e-3), steepness=st.floats(1.4143, 2.8))
def test_the_rate_is_zero_at_peak_and_valley(thickness, steepness):
    spring = dict(thickness=thickness, cone_height=steepness * thickness)
    ring = dict(outer_diameter=0.232, inner_diameter=0.184, **spring)
    places = np.array([disc_spring.peak_deflection(**spring), disc_spring.valley_deflection(**spring)])
    slopes = disc_spring.rate(deflection=places, **ring)
    assert np.all(np.abs(slopes) < 1e-9 * disc_spring.rate(deflection=0.0, **ring))
    loads = disc_spring.load(deflection=places, **ring)
    assert loads[0] >= disc_spring.flat_load(**ring) >= loads[1] > 0


def test_flat_springs_have_no_peak():
    with pytest.raises(MechanicsError, match=r"cone_height must be at least sqrt\(2\) times thickness"):
        disc_spring.peak_deflection(thickness=2e-3, cone_height=2.8e-3)


def test_load_goes_with_the_fourth_power_of_thickness_at_one_shape():
    """+5 % thickness at the same cone over thickness: +22 % load."""
    ring = dict(outer_diameter=0.232, inner_diameter=0.184)
    loads = [disc_spring.load(deflection=t, thickness=t, cone_height=1.7 * t, **ring) for t in (2e-3, 2.1e-3, 4e-3)]
    assert loads[1] / loads[0] == pytest.approx(1.05**4)
    assert loads[2] / loads[0] == pytest.approx(16)


def test_k1_of_a_thin_ring_keeps_its_digits():
    """With the ratio near one K1 tends to 6/pi times (ratio - 1)."""
    for excess in (1e-3, 1e-6, 1e-9):
        k1 = disc_spring.coefficient_k1(diameter_ratio=1 + excess)
        assert k1 == pytest.approx(6 / np.pi * excess, rel=3 * excess + 1e-6)


@pytest.mark.parametrize("ratio", [1, 0.8])
def test_a_ring_without_width_is_refused(ratio):
    with pytest.raises(MechanicsError, match="diameter_ratio must be above 1"):
        disc_spring.coefficient_k1(diameter_ratio=ratio)


def test_levers_of_the_synthetic_cover():
    assert pytest.approx(3.293, abs=5e-4) == RATIO
    assert pytest.approx(4.015e-3, abs=5e-7) == FLAT
    lever = 0.024 / 0.0205
    peak = disc_spring.peak_deflection(thickness=2.7e-3, cone_height=4.7e-3) / lever
    valley = disc_spring.valley_deflection(thickness=2.7e-3, cone_height=4.7e-3) / lever
    assert [peak * 1e3, valley * 1e3] == pytest.approx([2.66, 5.37], abs=6e-3)
    assert disc_spring.diaphragm_clamp(wear=SET - peak, **COVER) == pytest.approx(5758, abs=1)
    assert disc_spring.diaphragm_release_load(
        lift=valley - SET, wear=0, finger_radius=0.026, **COVER
    ) * RATIO == pytest.approx(4565, abs=1)


@pytest.mark.parametrize(
    "wear, clamp, relative, bearing",
    [
        (0, 5293, 1.000, 1608),
        (0.5, 5584, 1.055, 1696),
        (1.0, 5747, 1.086, 1746),
        (1.5, 5693, 1.076, 1729),
        (1.8, 5519, 1.043, 1676),
        (2.2, 5079, 0.959, 1543),
        (2.6, 4361, 0.824, 1324),
    ],
)
def test_clamp_and_release_load_against_wear(wear, clamp, relative, bearing):
    """The synthetic cover, worked out apart from the library."""
    found = disc_spring.diaphragm_clamp(wear=wear / 1e3, **COVER)
    assert found == pytest.approx(clamp, abs=1)
    assert found / disc_spring.diaphragm_clamp(wear=0, **COVER) == pytest.approx(relative, abs=6e-4)
    start = disc_spring.diaphragm_release_load(lift=0, wear=wear / 1e3, finger_radius=0.026, **COVER)
    assert start == pytest.approx(bearing, abs=1)
    assert start == pytest.approx(found / RATIO)


@pytest.mark.parametrize(
    "lift, load, geometric, bend, total",
    [
        (0.5, 1508, 1.65, 1.22, 2.86),
        (1.0, 1426, 3.29, 1.15, 4.44),
        (1.5, 1387, 4.94, 1.12, 6.06),
        (2.0, 1420, 6.59, 1.15, 7.73),
        (2.5, 1551, 8.23, 1.25, 9.48),
        (3.0, 1810, 9.88, 1.46, 11.34),
    ],
)
def test_release_load_and_travel_against_lift(lift, load, geometric, bend, total):
    """The synthetic cover, worked out apart from the library."""
    found = disc_spring.diaphragm_release_load(lift=lift / 1e3, wear=0, finger_radius=0.026, **COVER)
    assert found == pytest.approx(load, abs=1)
    bent = disc_spring.finger_bending(bearing_load=found, **FINGERS)
    assert lift * RATIO == pytest.approx(geometric, abs=6e-3)
    assert bent * 1e3 == pytest.approx(bend, abs=6e-3)
    assert lift * RATIO + bent * 1e3 == pytest.approx(total, abs=1.1e-2)


def test_finger_bending_against_the_integral_over_the_finger():
    """Moment load * (radius - tip) on the metal left at each radius, E I by the widths of the two zones."""
    f = FINGERS
    stiffness = 206e9 * f["thickness"] ** 3 / 12

    def metal(start, end, width):
        return 1 - width * f["fingers"] / (np.pi * (start + end))

    def part(start, end, width):
        def curvature(r):
            return (r - f["finger_radius"]) ** 2 / (stiffness * 2 * np.pi * r * metal(start, end, width))

        return integrate.quad(curvature, start, end)[0]

    bend = 1000 * (
        part(f["finger_radius"], f["window_radius"], f["slot_width"])
        + part(f["window_radius"], f["ring_inner_radius"], f["window_width"])
    )
    assert disc_spring.finger_bending(bearing_load=1000, **FINGERS) == pytest.approx(bend, rel=1e-9)


def test_a_diaphragm_is_the_ring_on_a_shorter_lever():
    """With plate and pivot at the ring's edges the lever is one and the cover is the plain spring."""
    plain = disc_spring.load(
        deflection=3e-3, outer_diameter=0.232, inner_diameter=0.184, thickness=2.7e-3, cone_height=4.7e-3
    )
    cover = disc_spring.diaphragm_clamp(wear=0, set_deflection=3e-3, plate_radius=0.116, pivot_radius=0.092, **RING)
    assert cover == pytest.approx(plain, rel=1e-12)


def test_textbook_one_line_form_agrees_for_thin_rings():
    """Wang Wangyu, Automobile Design (from memory): the form with ln(R/r), within 0.2 % at a ring ratio of 1.26."""
    big, small, plate, pivot, h, cone, lam = 0.116, 0.092, 0.114, 0.0935, 2.7e-3, 4.7e-3, SET
    k = (big - small) / (plate - pivot)
    force = (
        np.pi
        * 206e9
        * h
        * lam
        / (6 * (1 - 0.09))
        * np.log(big / small)
        / (plate - pivot) ** 2
        * ((cone - k * lam) * (cone - k * lam / 2) + h**2)
    )
    assert disc_spring.diaphragm_clamp(wear=0, **COVER) == pytest.approx(force, rel=2e-3)


def test_pull_cover_clamps_the_same_and_releases_lighter():
    pull = {**COVER, "plate_radius": 0.0935, "pivot_radius": 0.114}
    assert disc_spring.diaphragm_clamp(wear=0, **pull) == disc_spring.diaphragm_clamp(wear=0, **COVER)
    loads = [
        disc_spring.diaphragm_release_load(lift=1e-3, wear=0, finger_radius=0.026, **cover) for cover in (pull, COVER)
    ]
    assert loads[0] / loads[1] == pytest.approx(20.5 / (114 - 26) / (20.5 / (93.5 - 26)))


def test_partly_released_the_bearing_load_grows_from_nothing_while_the_cushion_opens():
    travel, clamp = 0.8e-3, disc_spring.diaphragm_clamp(wear=0, **COVER)
    lift = np.linspace(0, 1.2e-3, 61)
    cushion = clamp * (np.maximum(0, travel - lift) / travel) ** 2.5
    bearing = disc_spring.diaphragm_release_load(lift=lift, wear=0, finger_radius=0.026, cushion_load=cushion, **COVER)
    assert bearing[0] == pytest.approx(0, abs=1e-6)
    rising = lift < 0.5 * travel
    assert np.all(np.diff(bearing[rising]) > 0)
    open_loads = disc_spring.diaphragm_release_load(lift=lift[lift >= travel], wear=0, finger_radius=0.026, **COVER)
    assert bearing[lift >= travel] == pytest.approx(open_loads)
    # "peaks about when the cushion is gone": the greatest load lies in the cushion's last half
    assert 0.5 * travel < lift[bearing.argmax()] <= travel


@STEADY
@given(wear=st.floats(0, 3.8e-3), lift=st.floats(0, 3e-3))
def test_release_load_falls_only_by_the_cushion(wear, lift):
    free = disc_spring.diaphragm_release_load(lift=lift, wear=wear, finger_radius=0.026, **COVER)
    pressed = disc_spring.diaphragm_release_load(lift=lift, wear=wear, finger_radius=0.026, cushion_load=500, **COVER)
    assert pressed == pytest.approx(max(0, free - 500 / RATIO), abs=1e-9)


@pytest.mark.parametrize(
    "change, argument",
    [
        (dict(wear=SET * 1.01), "wear"),
        (dict(wear=-1e-3), "wear"),
        (dict(pivot_radius=0.114), "pivot_radius"),
        (dict(pivot_radius=0.08), "pivot_radius"),
        (dict(plate_radius=0.12), "plate_radius"),
        (dict(ring_inner_radius=0.12), "ring_inner_radius"),
        (dict(thickness=0), "thickness"),
        (dict(poisson_ratio=0.5), "poisson_ratio"),
        (dict(youngs_modulus=-1), "youngs_modulus"),
    ],
)
def test_clamp_refuses(change, argument):
    with pytest.raises(MechanicsError) as caught:
        disc_spring.diaphragm_clamp(**{**COVER, "wear": 0, **change})
    assert caught.value.argument == argument


def test_release_refuses_to_press_the_ring_through():
    with pytest.raises(MechanicsError) as caught:
        disc_spring.diaphragm_release_load(lift=np.array([1e-3, 9e-3]), wear=0, finger_radius=0.026, **COVER)
    assert caught.value.argument == "lift" and caught.value.elements == ((1,),)


@pytest.mark.parametrize(
    "change, argument",
    [
        (dict(deflection=3e-3), "deflection"),
        (dict(deflection=-1e-6), "deflection"),
        (dict(inner_diameter=0.05), "inner_diameter"),
        (dict(cone_height=0), "cone_height"),
        (dict(contact_flat_factor=0.9), "contact_flat_factor"),
    ],
)
def test_load_refuses(change, argument):
    good = dict(deflection=1e-3, outer_diameter=0.05, inner_diameter=0.0254, thickness=2e-3, cone_height=1.4e-3)
    with pytest.raises(MechanicsError) as caught:
        disc_spring.load(**{**good, **change})
    assert caught.value.argument == argument


def test_slots_must_leave_metal():
    for name in ("slot_width", "window_width"):
        with pytest.raises(MechanicsError) as caught:
            disc_spring.finger_bending(bearing_load=1000, **{**FINGERS, name: 0.05})
        assert caught.value.argument == name


def test_estimate_of_the_peak_without_spring_geometry_lies_near_the_synthetic_cover():
    clamp = disc_spring.diaphragm_clamp(wear=0, **COVER)
    estimate = disc_spring.peak_release_load(clamp_load=clamp, release_ratio=RATIO, wear_rise=1.09, pivot_friction=0)
    worst = disc_spring.diaphragm_release_load(
        lift=0, wear=np.linspace(0, 2.6e-3, 261), finger_radius=0.026, **COVER
    ).max()
    assert estimate == pytest.approx(worst, rel=0.01)
