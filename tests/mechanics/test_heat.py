"""Heat in plates and surfaces: against a finite-difference model of conduction, and properties."""

import inspect

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from advisor.mechanics import heat, heat_slab
from advisor.mechanics.argument_checks import MechanicsError

from . import generic

DISCS = {"discs": [1, 2, 3, 4]}
PLATE = {"mass": (0.7, 10), "specific_heat": (450, 900)}
EVENTS = {"rise": (1, 60), "interval": (5, 1200), "time_constant": (20, 1500)}
FACE = {"facing_area": (0.01, 0.2)}
METAL = {"depth": (0.002, 0.03), "conductivity": (20, 60), "diffusivity": (6e-6, 1.6e-5)}

CASES = [
    (heat.heat_share, DISCS, ()),
    (heat.floater_heat_share, DISCS, ()),
    (heat.temperature_rise, {"energy": (0, 2e5), **PLATE}, ()),
    (heat.energy_per_area, {"energy": (0, 2e5), **FACE}, ()),
    (heat.power_per_area, {"clutch_torque": (50, 900), "slip_speed": (0, 700), **FACE}, ()),
    (heat.cooling_time_constant, {**PLATE, "heat_transfer": (10, 80), "area": (0.01, 0.2)}, ()),
    (heat.surface_temperature, {"bulk_temperature": (20, 500), "rise": (0, 300)}, ("bulk_temperature",)),
    (heat.repeated_peak_rise, EVENTS, ()),
    (heat.launches_until, {**EVENTS, "allowed_rise": (0, 300), "most": [1, 50, 1000]}, ()),
    (heat.effusivity, {"conductivity": (0.3, 60), "density": (1500, 7900), "specific_heat": (400, 1300)}, ()),
    (heat.metal_heat_share, {"metal_effusivity": (5e3, 2e4), "facing_effusivity": (500, 7e3)}, ()),
    (heat.flash_rise, {"flux": (0, 4e6), "time": (0, 3), "effusivity": (5e3, 2e4)}, ()),
    (heat.flash_rise_falling, {"flux_start": (0, 4e6), "slip_time": (0, 3), "effusivity": (5e3, 2e4)}, ()),
    (
        heat.flash_rise_falling_at,
        {"flux_start": (0, 4e6), "time": (0, 1), "slip_time": (1, 3), "effusivity": (5e3, 2e4)},
        (),
    ),
    (heat_slab.slab_rise_constant, {"flux": (0, 4e6), "time": (0, 3), **METAL}, ()),
    (heat_slab.slab_rise_falling_at, {"flux_start": (0, 4e6), "time": (0, 1), "slip_time": (1, 3), **METAL}, ()),
    (heat_slab.slab_peak_rise, {"flux_start": (0, 4e6), "slip_time": (0, 3), **METAL}, ()),
]
EACH = pytest.mark.parametrize("function, sample, signed", CASES, ids=[case[0].__name__ for case in CASES])


def test_every_calculation_of_these_modules_is_checked_here():
    defined = {
        function
        for module in (heat, heat_slab)
        for name, function in vars(module).items()
        if inspect.isfunction(function) and function.__module__ == module.__name__ and not name.startswith("_")
    }
    assert defined == {case[0] for case in CASES}


@EACH
def test_other_units_give_the_same_answer(function, sample, signed):
    if "degC" in generic.units(function)[0].values():
        degrees_of_another_zero()
        return

    @settings(max_examples=20, derandomize=True, deadline=None)
    @given(generic.drawn(sample))
    def check(arguments):
        generic.check_dimensions(function, arguments)

    check()


def degrees_of_another_zero():
    """Temperatures in degC have no scale to change; another zero must shift the answer alone."""
    assert heat.surface_temperature(bulk_temperature=453.15, rise=85) == pytest.approx(
        heat.surface_temperature(bulk_temperature=180, rise=85) + 273.15, rel=1e-12
    )


@EACH
def test_arrays_give_what_their_elements_give(function, sample, signed):
    generic.check_arrays(function, sample)


@EACH
def test_bad_input_is_refused_by_name_and_element(function, sample, signed):
    generic.check_refusals(function, sample, signed)


def test_all_heat_is_shared_out():
    for discs in range(1, 9):
        total = 2 * heat.heat_share(discs=discs) + (discs - 1) * heat.floater_heat_share(discs=discs)
        assert total == pytest.approx(1, rel=1e-15)


# Independent route: one-dimensional conduction by finite differences.


def conducted(flux, duration, conductivity, density, specific_heat, depth, cells=600):
    """(surface rise over time, mean rise at the end, times) of a slab heated on one face, Crank-Nicolson."""
    from scipy.linalg import solve_banded

    width = depth / cells
    diffusivity = conductivity / (density * specific_heat)
    steps = 4000
    dt = duration / steps
    r = diffusivity * dt / width**2 / 2
    diagonal = np.full(cells, 1 + 2 * r)
    diagonal[[0, -1]] = 1 + r
    banded = np.zeros((3, cells))
    banded[0, 1:], banded[1], banded[2, :-1] = -r, diagonal, -r
    rise = np.zeros(cells)
    surface = np.zeros(steps + 1)
    for n in range(steps):
        q = flux((n + 0.5) * dt)
        right = rise.copy()
        right[1:-1] += r * (rise[2:] - 2 * rise[1:-1] + rise[:-2])
        right[0] += r * (rise[1] - rise[0]) + q * dt / (density * specific_heat * width)
        right[-1] += r * (rise[-2] - rise[-1])
        rise = solve_banded((1, 1), banded, right)
        surface[n + 1] = rise[0] + flux((n + 1) * dt) * width / 2 / conductivity
    return surface, rise.mean(), np.linspace(0, duration, steps + 1)


IRON = dict(conductivity=50, density=7200, specific_heat=490)


def test_flash_under_constant_flux_against_finite_differences():
    surface, _, times = conducted(lambda t: 1e6, 1.0, depth=0.05, **IRON)
    e = heat.effusivity(**IRON)
    late = times >= 0.1
    np.testing.assert_allclose(heat.flash_rise(flux=1e6, time=times[late], effusivity=e), surface[late], rtol=5e-3)


def test_flash_under_falling_flux_against_finite_differences():
    surface, _, times = conducted(lambda t: 2e6 * (1 - t / 0.8), 0.8, depth=0.05, **IRON)
    e = heat.effusivity(**IRON)
    late = times >= 0.1
    found = heat.flash_rise_falling_at(flux_start=2e6, time=times[late], slip_time=0.8, effusivity=e)
    np.testing.assert_allclose(found, surface[late], rtol=5e-3, atol=0.2)
    assert heat.flash_rise_falling(flux_start=2e6, slip_time=0.8, effusivity=e) == pytest.approx(
        surface.max(), rel=5e-3
    )
    assert times[surface.argmax()] == pytest.approx(0.4, abs=0.01)


def test_lumped_rise_against_finite_differences():
    """A 12 mm plate: the mean is the lumped rise, and the surface meets it once heating has stopped a while."""
    area, depth = 0.0264, 0.012
    surface, mean, _ = conducted(lambda t: 1e6 if t < 1 else 0.0, 20.0, depth=depth, **IRON)
    lumped = heat.temperature_rise(energy=1e6 * area, mass=IRON["density"] * area * depth, specific_heat=490)
    assert mean == pytest.approx(lumped, rel=1e-9)
    assert surface[-1] == pytest.approx(lumped, rel=1e-2)


def test_metal_share_is_the_split_of_two_conducting_bodies():
    """Two half-spaces meeting with one surface temperature: the fluxes are as the effusivities."""
    e1, e2 = 13280.0, 1100.0
    part = heat.metal_heat_share(metal_effusivity=e1, facing_effusivity=e2)
    one = heat.flash_rise(flux=part * 1e6, time=0.7, effusivity=e1)
    other = heat.flash_rise(flux=(1 - part) * 1e6, time=0.7, effusivity=e2)
    assert one == pytest.approx(other, rel=1e-12)


# Repeated events, step by step.


@settings(max_examples=60, derandomize=True, deadline=None)
@given(generic.drawn(EVENTS), st.integers(1, 60))
def test_peak_after_events_against_stepping(a, events):
    level = 0.0
    for n in range(events):
        if n:
            level *= np.exp(-a["interval"] / a["time_constant"])
        level += a["rise"]
    assert generic.peak_after(events=events, **a) == pytest.approx(level, rel=1e-11)
    assert level <= heat.repeated_peak_rise(**a) * (1 + 1e-12)


@settings(max_examples=100, derandomize=True, deadline=None)
@given(generic.drawn(EVENTS), st.floats(0.1, 400))
def test_launches_until_is_the_last_number_within_the_limit(a, limit):
    number = heat.launches_until(allowed_rise=limit, most=200, **a)
    tight = 1 + 1e-9
    if number:
        assert generic.peak_after(events=number, **a) <= limit * tight
    if number < 200:
        assert generic.peak_after(events=number + 1, **a) > limit / tight
    else:
        assert generic.peak_after(events=200, **a) <= limit * tight


def test_launches_until_counts_a_limit_just_met():
    limit = generic.peak_after(rise=20, interval=60, time_constant=400, events=7)
    assert heat.launches_until(rise=20, interval=60, time_constant=400, allowed_rise=limit) == 7


@settings(max_examples=60, derandomize=True, deadline=None)
@given(generic.drawn(EVENTS), st.floats(1.01, 4))
def test_longer_pauses_and_faster_cooling_never_raise_the_peak(a, more):
    peak = heat.repeated_peak_rise(**a)
    assert heat.repeated_peak_rise(**{**a, "interval": a["interval"] * more}) <= peak
    assert heat.repeated_peak_rise(**{**a, "time_constant": a["time_constant"] * more}) >= peak
    assert heat.repeated_peak_rise(**{**a, "interval": 1e6}) == pytest.approx(a["rise"], rel=1e-12)


def test_time_after_the_slip_is_refused():
    with pytest.raises(MechanicsError, match="time must not be above slip_time"):
        heat.flash_rise_falling_at(flux_start=1e6, time=1.1, slip_time=1, effusivity=13e3)
