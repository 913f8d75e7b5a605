"""Face of a plate during one slip: two computations of other kinds, print for a steady flux, ends, and a schedule.

No printed number for a falling flux or for a plate of finite thickness was found; the table below is the same formulas
worked out elsewhere, and rests on the two computations as the code does.
"""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import minimize_scalar
from scipy.special import erfc

from advisor.mechanics import _slab, heat, heat_slab
from advisor.mechanics.heat_network import schedule_peaks

from .test_heat_network import ALL, PHASES, one, row_of_plates

# F, moment of the peak over the slip, highest u, u at the end, u under a steady flux (computed, no print source).
TABLE = [
    (0.01, 0.50000, 0.053192, 0.037613, 0.112838), (0.03, 0.50000, 0.092132, 0.065147, 0.195441),
    (0.10, 0.50000, 0.168209, 0.118943, 0.356826), (0.25, 0.50032, 0.265975, 0.189736, 0.566146),
    (0.40, 0.50661, 0.336943, 0.250655, 0.729423), (0.50, 0.51907, 0.378118, 0.292692, 0.831876),
    (0.60, 0.53997, 0.417213, 0.336402, 0.932790), (0.75, 0.58536, 0.475351, 0.404489, 1.083210),
    (0.90, 0.63737, 0.535609, 0.474660, 1.233305), (1.00, 0.66964, 0.577473, 0.522211, 1.333323),
    (1.20, 0.72264, 0.664773, 0.618517, 1.533332), (1.50, 0.77780, 0.801850, 0.764815, 1.833333),
    (2.00, 0.83333, 1.038889, 1.011111, 2.333333), (3.00, 0.88889, 1.525926, 1.507407, 3.333333),
    (5.00, 0.93333, 2.515556, 2.504444, 5.333333), (7.00, 0.95238, 3.511111, 3.503175, 7.333333),
    (10.0, 0.96667, 5.007778, 5.002222, 10.333333),
]  # fmt: skip
UNIT = dict(depth=1.0, conductivity=1.0, diffusivity=1.0)  # u itself, with tau as time and F as slip time
IRON = dict(conductivity=48.0, diffusivity=48 / (7200 * 500))


@pytest.mark.parametrize("fourier, moment, peak, end, steady", TABLE)
def test_against_the_table(fourier, moment, peak, end, steady):
    assert heat_slab.slab_peak_rise(flux_start=1, slip_time=fourier, **UNIT) == pytest.approx(peak, abs=1e-6)
    times = fourier * np.linspace(0, 1, 20001)
    course = heat_slab.slab_rise_falling_at(flux_start=1, time=times, slip_time=fourier, **UNIT)
    assert times[course.argmax()] / fourier == pytest.approx(moment, abs=1e-4)
    assert course.max() == pytest.approx(peak, abs=1e-6)
    assert course[-1] == pytest.approx(end, abs=1e-6)
    assert heat_slab.slab_rise_constant(flux=1, time=fourier, **UNIT) == pytest.approx(steady, abs=1e-6)


# Depth mm, W/m2, slip s, rise K: floaters and flywheels of five constructions (computed, no print source).
@pytest.mark.parametrize("depth, flux, time, kelvin", [
    (12, 1.11e6, 1.607, 56.94), (4.5, 2.18e6, 1.374, 109.86), (3, 5.41e6, 0.926, 251.10), (3, 8.42e6, 0.188, 147.75),
])  # fmt: skip
def test_with_units(depth, flux, time, kelvin):
    found = heat_slab.slab_peak_rise(flux_start=flux, slip_time=time, depth=depth / 1000, **IRON)
    assert found == pytest.approx(kelvin, abs=0.01)


# --- first computation of another kind: finite volumes and a general integrator


def by_volumes(flux, duration, depth, conductivity, diffusivity, cells=300, at=None):
    """Solution of the conduction in cells that grow with depth; gives the face's rise at each time of ``at``."""
    edges = depth * np.linspace(0, 1, cells + 1) ** 1.7
    width, centre = np.diff(edges), (edges[1:] + edges[:-1]) / 2
    link = conductivity / np.diff(centre)
    capacity = width * conductivity / diffusivity

    def change(t, rise):
        flow = np.zeros(cells + 1)
        flow[0] = flux(t)
        flow[1:-1] = link * (rise[:-1] - rise[1:])
        return (flow[:-1] - flow[1:]) / capacity

    found = solve_ivp(change, (0, duration), np.zeros(cells), method="LSODA", lband=1, uband=1, t_eval=at,
                      rtol=1e-9, atol=1e-9 * flux(0) * depth / conductivity)  # fmt: skip
    face = found.y[0] + np.array([flux(t) for t in found.t]) * width[0] / 2 / conductivity
    return found, centre, face


@pytest.mark.parametrize("fourier", [0.05, 0.2, 0.4, 0.7, 1.0, 1.6, 2.5, 6.0])
def test_against_finite_volumes(fourier):
    at = fourier * np.linspace(0, 1, 801)
    _, _, face = by_volumes(lambda t: 1 - t / fourier, fourier, 1.0, 1.0, 1.0, at=at)
    course = heat_slab.slab_rise_falling_at(flux_start=1, time=at, slip_time=fourier, **UNIT)
    np.testing.assert_allclose(course[80:], face[80:], rtol=2e-4)
    assert heat_slab.slab_peak_rise(flux_start=1, slip_time=fourier, **UNIT) == pytest.approx(face.max(), rel=5e-5)


# --- second: the answer to a short burst of heat, summed over the slip by quadrature


def burst(tau):
    """Face after a burst at its own time: images for short, modes for long times."""
    if tau < 0.3:
        return sum(np.exp(-(m**2) / tau) for m in range(-5, 6)) / np.sqrt(np.pi * tau)
    return 1 + 2 * sum(np.exp(-((n * np.pi) ** 2) * tau) for n in range(1, 12))


def by_quadrature(tau, fourier):
    """Face at ``tau``: bursts of the falling flux; the root in time takes the singularity out."""
    return quad(lambda z: 2 * z * burst(z * z) * (1 - (tau - z * z) / fourier), 0, np.sqrt(tau), epsabs=1e-12)[0]


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.floats(0.02, 12))
def test_against_summed_bursts(fourier):
    found = minimize_scalar(lambda tau: -by_quadrature(tau, fourier), bounds=(fourier / 2, fourier), method="bounded",
                            options={"xatol": 1e-7 * fourier})  # fmt: skip
    assert heat_slab.slab_peak_rise(flux_start=1, slip_time=fourier, **UNIT) == pytest.approx(-found.fun, rel=2e-7)


# --- steady flux against print: Incropera and others, Fundamentals of Heat and Mass Transfer, ch. 5, example of p. 311
# (copper, 401 W/mK, 117e-6 m2/s, 3e5 W/m2 for 120 s from 20 C, as worked in an open textbook companion); the printed
# solution is that of Carslaw and Jaeger for a thick body.

COPPER = dict(conductivity=401.0, diffusivity=117e-6)


def printed(x, t, q, conductivity, diffusivity):
    root = np.sqrt(diffusivity * t)
    return 2 * q * root / np.sqrt(np.pi) / conductivity * np.exp(-((x / root / 2) ** 2)) - q * x / conductivity * erfc(
        x / root / 2
    )


def test_the_printed_example_and_the_finite_volumes_agree():
    """45.4 C at 150 mm after 120 s."""
    assert 20 + printed(0.150, 120, 3e5, **COPPER) == pytest.approx(45.4, abs=0.05)
    found, centre, _ = by_volumes(lambda t: 3e5, 120.0, 1.5, 401.0, 117e-6, at=[120.0])
    assert 20 + np.interp(0.150, centre, found.y[:, -1]) == pytest.approx(45.4, abs=0.05)


def test_a_thick_plate_is_the_printed_body():
    times = np.linspace(1, 120, 60)
    ours = heat_slab.slab_rise_constant(flux=3e5, time=times, depth=1.5, **COPPER)
    np.testing.assert_allclose(ours, printed(0.0, times, 3e5, **COPPER), rtol=1e-10)
    assert 20 + ours[-1] == pytest.approx(120.0, abs=0.1)  # the explicit grid of the print brackets it: 118.9, 125.2


def test_steady_flux_in_a_thin_plate_against_finite_volumes():
    at = np.linspace(0.0, 2.0, 201)
    _, _, face = by_volumes(lambda t: 1e6, 2.0, 0.005, IRON["conductivity"], IRON["diffusivity"], at=at)
    ours = heat_slab.slab_rise_constant(flux=1e6, time=at, depth=0.005, **IRON)
    np.testing.assert_allclose(ours[10:], face[10:], rtol=1e-4)


# --- ends and shape


def test_it_meets_the_half_space_and_the_lumped_plate():
    e = heat.effusivity(conductivity=48, density=7200, specific_heat=500)
    half = heat.flash_rise_falling(flux_start=1e6, slip_time=0.8, effusivity=e)
    assert heat_slab.slab_peak_rise(flux_start=1e6, slip_time=0.8, depth=0.05, **IRON) == pytest.approx(half, rel=1e-12)
    lumped = heat.temperature_rise(energy=1e6 * 5 / 2, mass=7200 * 0.0005, specific_heat=500)  # one square metre
    assert heat_slab.slab_peak_rise(flux_start=1e6, slip_time=5, depth=0.0005, **IRON) == pytest.approx(
        lumped, rel=1e-4
    )


@settings(max_examples=200, derandomize=True, deadline=None)
@given(st.floats(0.001, 20), st.floats(1.0005, 2))
def test_no_step_and_no_way_back(fourier, more):
    """Longer slips and thinner plates are never cooler, and neither end is undercut."""
    u = heat_slab.slab_peak_rise(flux_start=1, slip_time=fourier, **UNIT)
    assert heat_slab.slab_peak_rise(flux_start=1, slip_time=fourier * more, **UNIT) > u
    assert u >= max(fourier / 2, 0.5319230 * np.sqrt(fourier)) * (1 - 1e-7)
    thinner = heat_slab.slab_peak_rise(flux_start=1, slip_time=fourier, depth=1 / more, conductivity=1, diffusivity=1)
    assert thinner >= u * (1 - 1e-9)


@pytest.mark.parametrize("seam", [0.1, 2.0])
def test_the_seams_do_not_show(seam):
    below, above = (heat_slab.slab_peak_rise(flux_start=1, slip_time=seam * f, **UNIT) for f in (1 - 1e-12, 1 + 1e-12))
    assert below == pytest.approx(above, abs=3e-8)


# --- the schedule: the skin is the plate before its event and the rise by that event alone


def stepped_skin(a):
    """(plate before, rise) of the hottest skin, plate by plate and event by event."""
    from scipy.linalg import expm

    capacity, _, matrix, share = row_of_plates(a)
    ring, heat_of_metal = a["facing_area"], a["density"] * a["specific_heat"]
    masses = np.array([a["flywheel_mass"]] + [a["floater_mass"] / 2] * (a["discs"] - 1) + [a["pressure_plate_mass"]])
    depths = masses / (a["density"] * ring)
    rise, best = np.zeros(len(capacity)), (-1.0, 0.0)
    for _ in range(a["rounds"]):
        for energy, count, interval in PHASES:
            kind = energy.removesuffix("_energy")
            slips = [(a[energy], a[f"{kind}_power"])]
            if f"hardest_{energy}" in a:
                slips.append((a[f"hardest_{energy}"], a[f"hardest_{kind}_power"]))
            staging = a["staging_energy"] if kind == "launch" else 0.0
            for _ in range(a[count]):
                before = rise + staging / (2 * a["discs"] * ring) / (heat_of_metal * depths)
                for joule, watt in slips:
                    face = heat_slab.slab_peak_rise(
                        flux_start=watt / (2 * a["discs"] * ring), slip_time=2 * joule / watt, depth=depths,
                        conductivity=a["conductivity"], diffusivity=a["conductivity"] / heat_of_metal,
                    )  # fmt: skip
                    at = int((before + face).argmax())
                    if before[at] + face[at] > sum(best):
                        best = (before[at], face[at])
                rise = rise + (a[energy] + staging) * share / capacity
                rise = expm(matrix * a[interval]) @ rise
        rise = expm(matrix * a["rest"]) @ rise
    return a["air_temperature"] + best[0], best[1]


@pytest.mark.parametrize("seed", range(12))
def test_skin_against_stepping_through_the_schedule(seed):
    a = {**one(ALL, seed), "flywheel_specific_heat": None}
    if not a["traffic_starts"] + a["hill_starts"] + a["launches"] + a["shifts"]:
        a["launches"] = 1
    before, face = stepped_skin({**a, "flywheel_specific_heat": a["specific_heat"]})
    peaks = schedule_peaks(**a)
    assert peaks[4] + peaks[5] == pytest.approx(before + face, abs=1e-6)
    assert peaks[4] == pytest.approx(before, abs=1e-6)


def test_three_launches_against_conduction_through_the_whole_of_them():
    """One floater of 6 mm between two discs, no loss: three slips 60 s apart in one run of finite volumes."""
    area, energy, power = 0.0236, 60e3, 120e3
    plate = dict(discs=2, flywheel_mass=9.0, floater_mass=7200 * area * 0.006, pressure_plate_mass=3.0,
                 specific_heat=500.0, facing_area=area, facing_conductance=1e-9, air_heat_transfer=1e-9,
                 flywheel_air_area=0.1, floater_air_area=0.02, pressure_plate_air_area=0.06,
                 air_temperature=50.0)  # fmt: skip
    peaks = schedule_peaks(launch_energy=energy, launches=3, launch_interval=60.0, launch_power=power, **plate)
    flux, slip = power / (4 * area), 2 * energy / power

    def heating(t):
        since = t % 60.0
        return flux * (1 - since / slip) if since < slip else 0.0

    at = np.concatenate([np.linspace(n * 60, n * 60 + slip, 400) for n in range(3)])
    face, level = [], 0.0
    for _ in range(3):  # the plate evens out between the slips, so each runs on from an even plate
        _, _, course = by_volumes(heating, slip, 0.003, IRON["conductivity"], IRON["diffusivity"], at=at[:400])
        face.append(level + course.max())
        level += energy / 2 / (plate["floater_mass"] * 500)
    assert peaks[4] + peaks[5] == pytest.approx(50 + max(face), rel=1e-4)
    assert peaks[3] < peaks[4] + peaks[5] < peaks[3] + 30


def exact_peak(fourier):
    """u_max of each F, by halving on F * c'(tau) = c(tau): c' by images for short times, by its series for others."""
    low, high = fourier / 2, fourier
    for _ in range(50):
        middle = (low + high) / 2
        images = sum(np.exp(-(m**2) / middle) for m in range(-3, 4)) / np.sqrt(np.pi * middle)
        series = 1 + 2 * sum(np.exp(-((n * np.pi) ** 2) * middle) for n in range(1, 6))
        warming = fourier * np.where(middle < 0.2, images, series) > _slab.steady(middle)[0]
        low, high = np.where(warming, middle, low), np.where(warming, high, middle)
    course, integral = _slab.steady(low)
    return course - integral / fourier


def test_the_polynomial_that_is_written_down_is_the_one_through_exact_points():
    """By NumPy's interpolation and evaluation, neither of which the program uses."""
    ends = np.log([0.1, 2.0])
    through = np.polynomial.Chebyshev.interpolate(
        lambda logarithms: exact_peak(np.exp(logarithms)) / np.exp(logarithms / 2), len(_slab.BETWEEN) - 1, ends
    )
    assert through.coef == pytest.approx(_slab.BETWEEN, abs=1e-13)
    at = np.linspace(*ends, 301)
    assert _slab.between(at) == pytest.approx(np.polynomial.Chebyshev(_slab.BETWEEN, ends)(at), abs=1e-15)
    assert _slab.peak_share(np.exp(at)) == pytest.approx(exact_peak(np.exp(at)), rel=1e-8)
