"""Thrust face against handbook figures; the film against an integrated Reynolds equation."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, optimize

from advisor.mechanics import thrust, thrust_film
from advisor.mechanics.checks import MechanicsError

STEADY = settings(max_examples=40, deadline=None, derandomize=True)
PSI = 6894.757293168  # exact definition, Pa

# outer and inner diameter [mm], arc, groove share, area [mm2], pressure [MPa] at 1000, 1600, 2500, 4000 N;
# worked out apart from the library
FACES = [
    (80, 60, 180, 0.15, 935, (1.07, 1.71, 2.67, 4.28)), (80, 60, 360, 0.15, 1869, (0.53, 0.86, 1.34, 2.14)),
    (95, 72, 180, 0.12, 1327, (0.75, 1.21, 1.88, 3.01)), (95, 72, 360, 0.12, 2655, (0.38, 0.60, 0.94, 1.51)),
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
    full, half = (thrust.face_pressure(thrust_load=1600, face_area=thrust.face_area(arc_deg=arc, **face))
                  for arc in (360, 180))
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


@pytest.mark.parametrize("outer, inner, load", [(80, 60, 840), (95, 72, 1152)])
def test_grooved_washer_of_the_tribology_handbook(outer, inner, load):
    """Neale, section A15: W = 0.3 (D**2 - d**2) with millimetres, which is 0.38 MPa on the whole ring."""
    found = thrust.grooved_washer_load_limit(outer_diameter=outer / 1e3, inner_diameter=inner / 1e3)
    assert found == pytest.approx(load, rel=1e-3)
    ring = thrust.face_area(outer_diameter=outer / 1e3, inner_diameter=inner / 1e3, arc_deg=360, groove_share=0)
    assert found / ring == pytest.approx(0.38e6, rel=0.01)
    assert found / ring == pytest.approx(55 * PSI, rel=0.01)


def test_power_loss_speed_and_pv():
    """Neale, section A15: H = 70e-6 n dm W; 1600 N, 3000 rpm, 70 mm give 392 W, a friction of about 0.02."""
    speed = 3000 * np.pi / 30
    heat = thrust.washer_power_loss(thrust_load=1600, mean_diameter=0.070, speed=speed)
    assert heat == pytest.approx(70e-6 * 50 * 70 * 1600)
    rubbing = thrust.sliding_speed(outer_diameter=0.080, inner_diameter=0.060, speed=speed)
    assert heat / (1600 * rubbing) == pytest.approx(0.022, abs=5e-4)
    area = thrust.face_area(outer_diameter=0.080, inner_diameter=0.060, arc_deg=360, groove_share=0.15)
    product = thrust.pressure_speed(face_pressure=1600 / area, sliding_speed=rubbing)
    assert product / 1e6 == pytest.approx(9.4, abs=0.05)


def reynolds_load(gap_ratio):
    """Load coefficient of a plane slider by integrating the Reynolds equation twice, all scales one."""
    def film(x):
        return gap_ratio + (1 - gap_ratio) * x  # from inlet to outlet
    # dp/dx = 6 (h - h0) / h**3 with h0 such that the pressure is back to zero at the outlet
    def pressure_gradient(x, h0):
        return 6 * (film(x) - h0) / film(x) ** 3
    h0 = optimize.brentq(lambda h: integrate.quad(lambda x: pressure_gradient(x, h), 0, 1)[0], 1, gap_ratio)
    # load = integral of p dx = -integral of x dp/dx dx
    return -integrate.quad(lambda x: x * pressure_gradient(x, h0), 0, 1)[0]


@pytest.mark.parametrize("gap_ratio", [1.05, 1.2, 2.0, 2.19, 4.0, 10.0])
def test_incline_coefficient_against_the_integrated_reynolds_equation(gap_ratio):
    assert thrust_film.incline_coefficient(gap_ratio=gap_ratio) == pytest.approx(reynolds_load(gap_ratio), rel=1e-6)


def test_best_incline_and_parallel_faces():
    """Greatest coefficient 0.1602 at a ratio of 2.19 (from memory); none at all for parallel faces."""
    best = optimize.minimize_scalar(lambda k: -thrust_film.incline_coefficient(gap_ratio=k), bounds=(1.1, 5),
                                    method="bounded")
    assert best.x == pytest.approx(2.19, abs=0.01)
    assert -best.fun == pytest.approx(0.1602, abs=5e-5)
    assert thrust_film.incline_coefficient(gap_ratio=1) == 0
    tiny = thrust_film.incline_coefficient(gap_ratio=1 + 1e-7)
    assert tiny == pytest.approx(0.5e-7, rel=1e-3)  # 6/(k-1)**2 * (k-1)**3/12: no digits lost


PAD = dict(viscosity=0.01, pad_length=0.03, pad_width=0.01, gap_ratio=2, leakage_factor=0.3)


@STEADY
@given(load=st.floats(50, 5000), speed=st.floats(0.5, 20), load_ratio=st.floats(0.3, 3), speed_ratio=st.floats(0.1, 3))
def test_film_left_is_the_ratio_of_two_films(load, speed, load_ratio, speed_ratio):
    known = thrust_film.film_thickness(thrust_load=load, sliding_speed=speed, **PAD)
    other = thrust_film.film_thickness(thrust_load=load * load_ratio, sliding_speed=speed * speed_ratio, **PAD)
    left = thrust_film.film_left(load_ratio=load_ratio, speed_ratio=speed_ratio)
    assert other / known == pytest.approx(left, rel=1e-12)


def test_idle_with_the_pedal_down_is_the_worst_case():
    speeds = np.array([800, 1500, 3000, 6000]) * np.pi / 30
    rubbing = thrust.sliding_speed(outer_diameter=0.080, inner_diameter=0.060, speed=speeds)
    films = thrust_film.film_thickness(thrust_load=1600, sliding_speed=rubbing, **PAD)
    assert films.argmin() == 0
    assert films[0] / films[2] == pytest.approx(np.sqrt(800 / 3000))


@pytest.mark.parametrize("call, argument", [
    (lambda: thrust.face_area(outer_diameter=0.08, inner_diameter=0.09, arc_deg=360, groove_share=0.1),
     "inner_diameter"),
    (lambda: thrust.face_area(outer_diameter=0.08, inner_diameter=0.06, arc_deg=0, groove_share=0.1), "arc_deg"),
    (lambda: thrust.face_area(outer_diameter=0.08, inner_diameter=0.06, arc_deg=361, groove_share=0.1), "arc_deg"),
    (lambda: thrust.face_area(outer_diameter=0.08, inner_diameter=0.06, arc_deg=180, groove_share=1), "groove_share"),
    (lambda: thrust.face_pressure(thrust_load=-1, face_area=1e-3), "thrust_load"),
    (lambda: thrust.face_pressure(thrust_load=1, face_area=0), "face_area"),
    (lambda: thrust.handbook_load_limit(pressure_limit=0, face_area=1e-3), "pressure_limit"),
    (lambda: thrust.sliding_speed(outer_diameter=0.08, inner_diameter=0.06, speed=-1), "speed"),
    (lambda: thrust_film.incline_coefficient(gap_ratio=0.99), "gap_ratio"),
    (lambda: thrust_film.film_thickness(thrust_load=100, sliding_speed=1, **{**PAD, "gap_ratio": 1}), "gap_ratio"),
    (lambda: thrust_film.film_thickness(thrust_load=100, sliding_speed=0, **PAD), "sliding_speed"),
    (lambda: thrust_film.film_left(load_ratio=0, speed_ratio=1), "load_ratio"),
])
def test_refusals(call, argument):
    with pytest.raises(MechanicsError) as caught:
        call()
    assert caught.value.argument == argument


@STEADY
@given(load=st.floats(0, 5000), more=st.floats(0, 5000))
def test_more_load_never_gives_less_pressure(load, more):
    assert (thrust.face_pressure(thrust_load=load + more, face_area=1e-3)
            >= thrust.face_pressure(thrust_load=load, face_area=1e-3))
