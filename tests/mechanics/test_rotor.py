"""Spinning discs: handbook values, an integrated equilibrium as second route, masses and inertias of known parts."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy import integrate

from advisor.mechanics import rotor
from advisor.mechanics.argument_checks import MechanicsError

STEADY = settings(max_examples=30, deadline=None, derandomize=True)


def rad_s(rpm):
    return rpm * np.pi / 30


def test_steel_disc_and_ring_of_the_handbook():
    """Mechanical Engineer's Data Handbook, p. 15 formulas; values worked out apart: steel, 150 mm, 10 000 rpm."""
    assert rotor.ring_stress(density=7850, radius=0.15, speed=rad_s(10000)) == pytest.approx(193.7e6, rel=5e-4)
    solid = rotor.disc_stress(density=7850, poisson_ratio=0.3, outer_radius=0.15, inner_radius=0, speed=rad_s(10000))
    assert solid == pytest.approx(79.9e6, rel=1e-3)


# 300/40 mm discs: density, Poisson's ratio, strength [MPa], greatest stress [MPa] at 7000, 9000, 12 000 rpm, speeds
# [rpm] at which greatest and mean stress reach the strength; worked out apart from the library
DISCS = [
    ("grey iron", 7200, 0.26, 200, (71, 118, 209), 11730),
    ("ductile iron", 7100, 0.28, 450, (71, 117, 208), 17670),
    ("forged steel", 7850, 0.30, 700, (78, 130, 230), 20920),
    ("aluminium", 2700, 0.33, 290, (27, 45, 80), 22830),
]


@pytest.mark.parametrize("name, density, poisson, strength, stresses, at_peak", DISCS, ids=lambda v: str(v))
def test_wheels_of_four_metals(name, density, poisson, strength, stresses, at_peak):
    disc = dict(density=density, outer_radius=0.15, inner_radius=0.02)
    found = rotor.disc_stress(poisson_ratio=poisson, speed=rad_s(np.array([7000, 9000, 12000])), **disc)
    assert found / 1e6 == pytest.approx(stresses, abs=1.0)
    speed = rotor.speed_at_stress(stress_limit=strength * 1e6, poisson_ratio=poisson, **disc) * 30 / np.pi
    assert speed == pytest.approx(at_peak, rel=0.005)


def test_holes_bring_grey_iron_down_to_engine_speeds():
    disc = dict(stress_limit=200e6, density=7200, poisson_ratio=0.26, outer_radius=0.15, inner_radius=0.02)
    smooth = rotor.speed_at_stress(**disc)
    holed = rotor.speed_at_stress(stress_concentration=2.5, **disc)
    assert holed == pytest.approx(smooth / np.sqrt(2.5))
    assert holed * 30 / np.pi == pytest.approx(7420, rel=0.002)
    assert holed < rad_s(8000)


@STEADY
@given(inner_share=st.floats(0.05, 0.9), poisson=st.floats(0.1, 0.45))
def test_bored_disc_against_the_integrated_equilibrium(inner_share, poisson):
    """Equilibrium and compatibility integrated outward, free of radial stress at both edges; all scales one."""
    inner = inner_share

    def slope(r, state):
        radial, shift = state
        hoop = shift / r + poisson * radial
        return [(hoop - radial) / r - r, (1 - poisson**2) * radial - poisson * shift / r]

    def outer_radial(shift):
        solution = integrate.solve_ivp(slope, (inner, 1.0), [0.0, shift], rtol=1e-10, atol=1e-12)
        return solution.y[0, -1]

    # linear in the displacement at the bore: two shots give it
    zero, one = outer_radial(0.0), outer_radial(1.0)
    shift = -zero / (one - zero)
    found = rotor.disc_stress(density=1, poisson_ratio=poisson, outer_radius=1, inner_radius=inner, speed=1)
    assert found == pytest.approx(shift / inner, rel=1e-7)


def test_limits_of_the_bored_disc():
    steel = dict(density=7850, poisson_ratio=0.3, outer_radius=0.15, speed=1000.0)
    solid = rotor.disc_stress(inner_radius=0, **steel)
    pin_hole = rotor.disc_stress(inner_radius=1e-9, **steel)
    assert pin_hole == pytest.approx(2 * solid)
    thin = rotor.disc_stress(inner_radius=0.15 * (1 - 1e-9), **steel)
    assert thin == pytest.approx(rotor.ring_stress(density=7850, radius=0.15, speed=1000.0), rel=1e-6)
    both = rotor.disc_stress(inner_radius=np.array([0, 1e-9]), **steel)
    assert both == pytest.approx([solid, pin_hole])


@STEADY
@given(stress=st.floats(1e7, 1e9), inner_share=st.floats(0, 0.9), raised=st.floats(1, 4))
def test_speed_at_stress_inverts_the_stress(stress, inner_share, raised):
    disc = dict(density=7200, poisson_ratio=0.26, outer_radius=0.14, inner_radius=0.14 * inner_share)
    speed = rotor.speed_at_stress(stress_limit=stress, stress_concentration=raised, **disc)
    assert raised * rotor.disc_stress(speed=speed, **disc) == pytest.approx(stress, rel=1e-12)


# outer, inner diameter, thickness [mm], density, mass [kg], inertia [kg m2]; worked out apart from the library
PARTS = [
    ("facings 180/125", 180, 125, 7.0, 1700, 0.16, 0.00094),
    ("facings 240/155", 240, 155, 7.0, 1700, 0.31, 0.00320),
    ("facings 280/165", 280, 165, 7.0, 1700, 0.48, 0.00631),
    ("steel disc 200", 200, 0, 2.6, 7850, 0.64, 0.0032),
    ("iron flywheel", 280, 40, 22, 7200, 9.6, 0.096),
    ("steel flywheel", 280, 40, 14, 7850, 6.6, 0.066),
    ("aluminium flywheel", 280, 40, 18, 2700, 3.0, 0.030),
    ("iron pressure plate", 245, 150, 12, 7200, 2.5, 0.026),
    ("steel floater", 215, 130, 7, 7850, 1.27, 0.0100),
]


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part[0])
def test_mass_and_inertia_of_parts(part):
    _, outer, inner, thickness, density, mass, inertia = part
    size = dict(outer_radius=outer / 2e3, inner_radius=inner / 2e3)
    weight = rotor.ring_mass(density=density, thickness=thickness / 1e3, **size)
    assert weight == pytest.approx(mass, rel=0.025)
    found = rotor.ring_inertia(mass=weight, **size)
    assert found == pytest.approx(inertia, rel=0.025)
    assert found == pytest.approx(rotor.disc_inertia(density=density, thickness=thickness / 1e3, **size))
    integral, _ = integrate.quad(lambda r: density * thickness / 1e3 * 2 * np.pi * r**3, inner / 2e3, outer / 2e3)
    assert found == pytest.approx(integral, rel=1e-9)


def test_inertia_goes_with_the_fourth_power_of_diameter():
    found = [rotor.disc_inertia(density=7200, outer_radius=d / 2, inner_radius=0, thickness=0.01) for d in (0.2, 0.24)]
    assert found[1] / found[0] == pytest.approx(2.07, abs=5e-3)


def test_what_is_at_stake():
    """A figure worked out apart: 0.15 kg m2 at 8000 rpm."""
    assert rotor.rotor_energy(inertia=0.15, speed=rad_s(8000)) == pytest.approx(52.6e3, rel=1e-3)


@pytest.mark.parametrize(
    "call, argument",
    [
        (
            lambda: rotor.disc_stress(density=7850, poisson_ratio=0.3, outer_radius=0.1, inner_radius=0.1, speed=1),
            "inner_radius",
        ),
        (
            lambda: rotor.disc_stress(density=7850, poisson_ratio=0.6, outer_radius=0.1, inner_radius=0, speed=1),
            "poisson_ratio",
        ),
        (lambda: rotor.ring_stress(density=0, radius=0.1, speed=1), "density"),
        (lambda: rotor.ring_stress(density=1, radius=0.1, speed=-1), "speed"),
        (
            lambda: rotor.speed_at_stress(
                stress_limit=1e8,
                density=7200,
                poisson_ratio=0.3,
                outer_radius=0.1,
                inner_radius=0,
                stress_concentration=0.9,
            ),
            "stress_concentration",
        ),
        (lambda: rotor.ring_mass(density=1, outer_radius=0.1, inner_radius=0.2, thickness=1), "inner_radius"),
        (lambda: rotor.ring_mass(density=1, outer_radius=0.1, inner_radius=0, thickness=0), "thickness"),
        (lambda: rotor.rotor_energy(inertia=0, speed=1), "inertia"),
    ],
)
def test_refusals(call, argument):
    with pytest.raises(MechanicsError) as caught:
        call()
    assert caught.value.argument == argument
