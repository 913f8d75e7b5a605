"""Friction faces against integrals over the face (SciPy), limits and monotone behaviour.

Printed examples stand in tests/published.
"""

import numpy as np
import pytest
from hypothesis import assume, given, settings, strategies as st
from scipy import integrate

from advisor.mechanics import friction, paddles
from advisor.mechanics.argument_checks import MechanicsError

WEAR, EVEN = "uniform_wear", "uniform_pressure"
STEADY = settings(max_examples=40, deadline=None, derandomize=True)
outers = st.floats(0.05, 0.2)
shares = st.floats(0.05, 0.95)


def pressure_by_radius(theory):
    """Pressure over a face but for its scale: even, or falling as one over radius once bedded."""
    return (lambda r: 1.0) if theory == EVEN else (lambda r: 1.0 / r)


@pytest.mark.parametrize("theory", friction.THEORIES)
@STEADY
@given(outer=outers, inner_share=shares)
def test_mean_radius_is_torque_over_force_of_the_integrals(theory, outer, inner_share):
    pressure, inner = pressure_by_radius(theory), outer * inner_share
    force, _ = integrate.quad(lambda r: pressure(r) * 2 * np.pi * r, inner, outer)
    moment, _ = integrate.quad(lambda r: pressure(r) * 2 * np.pi * r**2, inner, outer)
    found = friction.mean_radius(outer_radius=outer, inner_radius=inner, theory=theory)
    assert found == pytest.approx(moment / force, rel=1e-9)


@pytest.mark.parametrize("theory", friction.THEORIES)
@STEADY
@given(outer=outers, inner_share=shares, load=st.floats(500, 20000), coverage=st.floats(0.1, 1))
def test_pressure_carries_the_load(theory, outer, inner_share, load, coverage):
    inner = outer * inner_share
    peak = friction.peak_pressure(
        clamp_load=load, outer_radius=outer, inner_radius=inner, theory=theory, coverage=coverage
    )
    shape = pressure_by_radius(theory)
    carried, _ = integrate.quad(lambda r: coverage * peak * shape(r) / shape(inner) * 2 * np.pi * r, inner, outer)
    assert carried == pytest.approx(load, rel=1e-9)
    back = friction.clamp_load_for_peak_pressure(
        peak_pressure=peak, outer_radius=outer, inner_radius=inner, theory=theory, coverage=coverage
    )
    assert back == pytest.approx(load, rel=1e-12)


@pytest.mark.parametrize("theory", friction.THEORIES)
@given(radius=st.floats(0.06, 0.15), share=st.floats(0.02, 1.0))
@settings(max_examples=15, deadline=None, derandomize=True)
def test_round_buttons_against_the_integral_over_one(theory, radius, share):
    button = radius * share
    half = button / 2
    pressure = pressure_by_radius(theory)

    def over_button(power):
        """Integral of pressure times distance**power over the button, in polar coordinates of its own centre."""

        def at(angle, away):
            distance = np.sqrt(radius**2 + away**2 + 2 * radius * away * np.cos(angle))
            return pressure(distance) * distance**power * away

        return integrate.dblquad(at, 0, half, 0, 2 * np.pi, epsabs=0, epsrel=1e-9)[0]

    found = paddles.button_mean_radius(pitch_radius=radius, button_diameter=button, theory=theory)
    assert found == pytest.approx(over_button(1) / over_button(0), rel=1e-7)


@STEADY
@given(outer=outers, inner_share=shares, angle=st.floats(0.05, 1.0), count=st.integers(1, 6))
def test_sector_paddles_against_the_integral(outer, inner_share, angle, count):
    inner = outer * inner_share
    area, _ = integrate.quad(lambda r: count * angle * r, inner, outer)
    coverage = paddles.paddle_coverage(paddle_angle=angle, paddles=count)
    assert friction.facing_area(outer_radius=outer, inner_radius=inner, coverage=coverage) == pytest.approx(
        area, rel=1e-9
    )


def test_small_buttons_act_at_their_pitch_circle():
    found = paddles.button_mean_radius(pitch_radius=0.09, button_diameter=1e-6, theory=EVEN)
    assert found == pytest.approx(0.09, rel=1e-9)


def test_paddles_that_overlap_are_refused():
    with pytest.raises(MechanicsError, match="paddle_angle makes the paddles overlap"):
        paddles.paddle_coverage(paddle_angle=1.1, paddles=6)
    assert paddles.paddle_coverage(paddle_angle=2 * np.pi / 6, paddles=6) == 1.0


@pytest.mark.parametrize("theory", friction.THEORIES)
def test_limits_of_the_mean_radius(theory):
    thin = friction.mean_radius(outer_radius=0.1, inner_radius=0.1 * (1 - 1e-9), theory=theory)
    assert thin == pytest.approx(0.1, rel=1e-8)
    solid = friction.mean_radius(outer_radius=0.1, inner_radius=0, theory=theory)
    assert solid == pytest.approx(0.1 / 2 if theory == WEAR else 0.1 * 2 / 3)


@STEADY
@given(outer=outers, inner_share=shares)
def test_new_faces_act_farther_out_than_bedded_ones(outer, inner_share):
    radii = [friction.mean_radius(outer_radius=outer, inner_radius=outer * inner_share, theory=t) for t in (WEAR, EVEN)]
    assert outer * inner_share < radii[0] < radii[1] < outer


@STEADY
@given(load=st.floats(100, 2e4), more=st.floats(1, 3), surfaces=st.integers(1, 8))
def test_more_clamp_friction_radius_or_surfaces_never_give_less_torque(load, more, surfaces):
    base = dict(friction_coefficient=0.3, clamp_load=load, mean_radius=0.1, friction_surfaces=surfaces)
    torque = friction.torque_capacity(**base)
    for name in ("friction_coefficient", "clamp_load", "mean_radius"):
        assert friction.torque_capacity(**{**base, name: base[name] * more}) >= torque
    assert friction.torque_capacity(**{**base, "friction_surfaces": surfaces + 1}) > torque
    back = friction.clamp_load_for_torque(
        torque=torque, friction_coefficient=0.3, mean_radius=0.1, friction_surfaces=surfaces
    )
    assert back == pytest.approx(load, rel=1e-12)


@pytest.mark.parametrize("theory", friction.THEORIES)
@STEADY
@given(torque=st.floats(20, 3000), ratio=st.floats(1.05, 6), pressure=st.floats(5e4, 2e6))
def test_sizing_inverts_capacity(theory, torque, ratio, pressure):
    design = dict(friction_coefficient=0.35, friction_surfaces=2)
    outer = friction.outer_radius_for_torque(
        torque=torque, peak_pressure=pressure, radius_ratio=ratio, theory=theory, **design
    )
    ring = dict(outer_radius=outer, inner_radius=outer / ratio, theory=theory)
    load = friction.clamp_load_for_peak_pressure(peak_pressure=pressure, **ring)
    held = friction.torque_capacity(clamp_load=load, mean_radius=friction.mean_radius(**ring), **design)
    assert held == pytest.approx(torque, rel=1e-9)


CURVES = np.array([[200, 300, 375], [20, 150, 400]], dtype=float)
FACTORS = np.array([[1, 0.8, 0.5], [0.95, 1, 1]])


@STEADY
@given(temperature=st.floats(-40, 900))
def test_curve_is_numpys_interpolation(temperature):
    found = friction.friction_at_temperature(
        friction_coefficient=np.array([0.33, 0.38]),
        temperature=temperature,
        curve_temperatures=CURVES,
        curve_factors=FACTORS,
    )
    expected = [mu * np.interp(temperature, *curve) for mu, *curve in zip((0.33, 0.38), CURVES, FACTORS)]
    assert found == pytest.approx(expected, rel=1e-12)


def test_curves_of_all_kits_and_temperatures_of_all_cases_in_one_call():
    temperatures = np.linspace(0, 600, 14).reshape(7, 2)
    found = friction.friction_at_temperature(
        friction_coefficient=np.array([0.33, 0.38]),
        temperature=temperatures,
        curve_temperatures=CURVES,
        curve_factors=FACTORS,
    )
    assert found.shape == (7, 2)
    for case, kit in np.ndindex(7, 2):
        alone = friction.friction_at_temperature(
            friction_coefficient=(0.33, 0.38)[kit],
            temperature=float(temperatures[case, kit]),
            curve_temperatures=CURVES[kit],
            curve_factors=FACTORS[kit],
        )
        assert found[case, kit] == alone
    column = friction.friction_at_temperature(
        friction_coefficient=0.33, temperature=temperatures[:, :1], curve_temperatures=CURVES, curve_factors=FACTORS
    )
    assert column.shape == (7, 2)


def test_a_filled_up_curve_changes_nothing():
    plain = dict(friction_coefficient=0.33, temperature=np.linspace(0, 500, 51))
    short = friction.friction_at_temperature(curve_temperatures=[200, 300], curve_factors=[1, 0.8], **plain)
    filled = friction.friction_at_temperature(curve_temperatures=[200, 300, 301], curve_factors=[1, 0.8, 0.8], **plain)
    assert np.array_equal(short, filled)


@STEADY
@given(cold=st.floats(0, 300), span=st.floats(0, 400))
def test_lowest_friction_is_the_least_met_on_the_way(cold, span):
    curve = dict(curve_temperatures=[20, 150, 400, 500, 600], curve_factors=[0.95, 1, 0.97, 0.9, 0.75])
    found = friction.lowest_friction(
        friction_coefficient=0.38, cold_temperature=cold, hot_temperature=cold + span, **curve
    )
    way = np.unique(
        np.append(
            np.linspace(cold, cold + span, 201), [t for t in curve["curve_temperatures"] if cold <= t <= cold + span]
        )
    )
    met = friction.friction_at_temperature(friction_coefficient=0.38, temperature=way, **curve)
    assert found == pytest.approx(met.min(), rel=1e-12)
    ends = [
        friction.friction_at_temperature(friction_coefficient=0.38, temperature=t, **curve) for t in (cold, cold + span)
    ]
    assert found <= min(ends) + 1e-15
    assume(span > 0)
    # This curve rises and then falls, so the least stands at an end: the lower of cold and hot.
    assert found == pytest.approx(min(ends), rel=1e-12)


@pytest.mark.parametrize(
    "curve, argument",
    [
        (dict(curve_temperatures=[300, 200], curve_factors=[1, 1]), "curve_temperatures"),
        (dict(curve_temperatures=[200, 200], curve_factors=[1, 1]), "curve_temperatures"),
        (dict(curve_temperatures=[], curve_factors=[]), "curve_temperatures"),
        (dict(curve_temperatures=200, curve_factors=1), "curve_temperatures"),
        (dict(curve_temperatures=[200, 300], curve_factors=[1]), "curve_factors"),
        (dict(curve_temperatures=[200, 300], curve_factors=[1, 0]), "curve_factors"),
        (dict(curve_temperatures=[200, float("nan")], curve_factors=[1, 1]), "curve_temperatures"),
    ],
)
def test_a_broken_curve_is_refused_by_name(curve, argument):
    with pytest.raises(MechanicsError) as caught:
        friction.friction_at_temperature(friction_coefficient=0.33, temperature=100, **curve)
    assert caught.value.argument == argument


@pytest.mark.parametrize(
    "change, argument",
    [
        (dict(clamp_load=0), "clamp_load"),
        (dict(clamp_load=-1), "clamp_load"),
        (dict(friction_coefficient=0), "friction_coefficient"),
        (dict(mean_radius=-0.1), "mean_radius"),
        (dict(friction_surfaces=0), "friction_surfaces"),
        (dict(friction_surfaces=1.5), "friction_surfaces"),
        (dict(friction_surfaces=66), "friction_surfaces"),
    ],
)
def test_capacity_refuses(change, argument):
    good = dict(friction_coefficient=0.3, clamp_load=5000, mean_radius=0.1, friction_surfaces=2)
    with pytest.raises(MechanicsError) as caught:
        friction.torque_capacity(**{**good, **change})
    assert caught.value.argument == argument


@pytest.mark.parametrize(
    "outer, inner, argument",
    [
        (-0.1, 0.05, "outer_radius"),
        (0.1, -0.05, "inner_radius"),
        (0.1, 0.1, "inner_radius"),
        (0.1, 0.12, "inner_radius"),
    ],
)
def test_rings_refuse(outer, inner, argument):
    for calculation in (
        friction.facing_area,
        lambda **ring: friction.mean_radius(theory=EVEN, **ring),
        lambda **ring: friction.peak_pressure(clamp_load=1, theory=WEAR, **ring),
    ):
        with pytest.raises(MechanicsError) as caught:
            calculation(outer_radius=outer, inner_radius=inner)
        assert caught.value.argument == argument


def test_a_bedded_full_disc_has_no_peak_pressure():
    with pytest.raises(MechanicsError, match="inner_radius must be above zero"):
        friction.peak_pressure(clamp_load=1000, outer_radius=0.1, inner_radius=0, theory=WEAR)
    assert friction.peak_pressure(clamp_load=1000, outer_radius=0.1, inner_radius=0, theory=EVEN) > 0
