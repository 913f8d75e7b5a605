"""Thrust face against handbook figures; the film against an integrated Reynolds equation."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from advisor.mechanics import thrust
from advisor.mechanics.argument_checks import MechanicsError

STEADY = settings(max_examples=40, deadline=None, derandomize=True)
PSI = 6894.757293168  # exact definition, Pa

# outer and inner diameter [mm], arc, groove share, area [mm2], pressure [MPa] at 1000, 1600, 2500, 4000 N;
# worked out apart from the library
FACES = [
    (80, 60, 180, 0.15, 935, (1.07, 1.71, 2.67, 4.28)),
    (80, 60, 360, 0.15, 1869, (0.53, 0.86, 1.34, 2.14)),
    (95, 72, 180, 0.12, 1327, (0.75, 1.21, 1.88, 3.01)),
    (95, 72, 360, 0.12, 2655, (0.38, 0.60, 0.94, 1.51)),
    (110, 85, 360, 0.10, 3446, (0.29, 0.46, 0.73, 1.16)),
]


@pytest.mark.parametrize("outer, inner, arc, grooves, area, pressures", FACES)
def test_face_area_and_pressure(outer, inner, arc, grooves, area, pressures):
    found = thrust.face_area(outer_diameter=outer / 1e3, inner_diameter=inner / 1e3, arc_deg=arc, groove_share=grooves)
    assert found * 1e6 == pytest.approx(area, abs=0.6)
    at = thrust.face_pressure(thrust_load=np.array([1000, 1600, 2500, 4000]), face_area=found)
    assert at / 1e6 == pytest.approx(pressures, abs=6e-3)


def test_half_an_arc_carries_twice_the_pressure():
    face = dict(outer_diameter=0.095, inner_diameter=0.072, groove_share=0.12)
    full, half = (
        thrust.face_pressure(thrust_load=1600, face_area=thrust.face_area(arc_deg=arc, **face)) for arc in (360, 180)
    )
    assert half == pytest.approx(2 * full)


def test_handbook_limits_in_their_own_units():
    """Wilcock and Booser 1957: flat faces 75 psi typical and 150 psi maximum, 0.52 and 1.03 MPa."""
    area = thrust.face_area(outer_diameter=0.080, inner_diameter=0.060, arc_deg=360, groove_share=0.15)
    loads = thrust.handbook_load_limit(pressure_limit=np.array([75, 150]) * PSI, face_area=area)
    assert loads == pytest.approx([0.52e6 * area, 1.03e6 * area], rel=0.01)
    # A flat full flange of this size at 1600 N lies between the two, on half an arc over both.
    assert loads[0] < 1600 < loads[1]
    assert thrust.face_pressure(thrust_load=1600, face_area=area / 2) > 150 * PSI
    assert thrust.face_pressure(thrust_load=loads[1], face_area=area) == pytest.approx(150 * PSI)


@pytest.mark.parametrize(
    "call, argument",
    [
        (
            lambda: thrust.face_area(outer_diameter=0.08, inner_diameter=0.09, arc_deg=360, groove_share=0.1),
            "inner_diameter",
        ),
        (lambda: thrust.face_area(outer_diameter=0.08, inner_diameter=0.06, arc_deg=0, groove_share=0.1), "arc_deg"),
        (lambda: thrust.face_area(outer_diameter=0.08, inner_diameter=0.06, arc_deg=361, groove_share=0.1), "arc_deg"),
        (
            lambda: thrust.face_area(outer_diameter=0.08, inner_diameter=0.06, arc_deg=180, groove_share=1),
            "groove_share",
        ),
        (lambda: thrust.face_pressure(thrust_load=-1, face_area=1e-3), "thrust_load"),
        (lambda: thrust.face_pressure(thrust_load=1, face_area=0), "face_area"),
        (lambda: thrust.handbook_load_limit(pressure_limit=0, face_area=1e-3), "pressure_limit"),
    ],
)
def test_refusals(call, argument):
    with pytest.raises(MechanicsError) as caught:
        call()
    assert caught.value.argument == argument


@STEADY
@given(load=st.floats(0, 5000), more=st.floats(0, 5000))
def test_more_load_never_gives_less_pressure(load, more):
    assert thrust.face_pressure(thrust_load=load + more, face_area=1e-3) >= thrust.face_pressure(
        thrust_load=load, face_area=1e-3
    )
