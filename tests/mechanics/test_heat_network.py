"""Plate temperatures over a schedule: against step-by-step simulation, limits, properties and calibration."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy.integrate import solve_ivp
from scipy.linalg import expm

from advisor.mechanics import heat
from advisor.mechanics.argument_checks import MechanicsError
from advisor.mechanics.heat_network import (
    hottest_floater,
    hottest_flywheel,
    hottest_plate,
    hottest_pressure_plate,
    plate_before_skin,
    schedule_peaks,
    schedule_temperatures,
    schedule_times,
    skin_rise,
)

from . import generic

PHASES = [
    ("traffic_start_energy", "traffic_starts", "traffic_interval"),
    ("hill_start_energy", "hill_starts", "hill_interval"),
    ("launch_energy", "launches", "launch_interval"),
    ("shift_energy", "shifts", "shift_interval"),
]

KIT = {
    "discs": [1, 2, 3, 4],
    "flywheel_mass": (2, 10),
    "floater_mass": (0.7, 1.6),
    "pressure_plate_mass": (1.2, 3),
    "specific_heat": (450, 520),
    "facing_area": (0.008, 0.03),
    "facing_conductance": (100, 600),
    "air_heat_transfer": (20, 60),
    "flywheel_air_area": (0.03, 0.12),
    "floater_air_area": (0.01, 0.03),
    "pressure_plate_air_area": (0.03, 0.08),
    "flywheel_specific_heat": (450, 900),
}
SCHEDULE = {
    "traffic_start_energy": (5e3, 3e4),
    "traffic_starts": [0, 1, 5, 30],
    "traffic_interval": (5, 60),
    "hill_start_energy": (1e4, 6e4),
    "hill_starts": [0, 1, 3],
    "hill_interval": (10, 120),
    "launch_energy": (2e4, 2e5),
    "launches": [0, 1, 2],
    "launch_interval": (5, 1200),
    "shift_energy": (5e2, 2e4),
    "shifts": [0, 1, 12, 25],
    "shift_interval": (2, 20),
    "rounds": [1, 2, 4],
    "rest": (0, 1500),
    "staging_energy": (0, 3e4),
    "traffic_start_power": (1e4, 6e4),
    "hill_start_power": (1e4, 6e4),
    "launch_power": (4e4, 4e5),
    "shift_power": (4e4, 3e5),
    "hardest_launch_energy": (2e4, 1e5),
    "hardest_launch_power": (1e5, 7e5),
    "hardest_shift_energy": (5e3, 4e4),
    "hardest_shift_power": (5e4, 4e5),
}
ALL = {**KIT, **SCHEDULE, "air_temperature": (20, 110), "conductivity": (20, 60), "density": (7000, 7900)}


def one(sample, seed):
    return {name: np.asarray(value).item() for name, value in generic.some(sample, (), seed).items()}


def heat_of(a, energy):
    """Heat the plates get with each event: creeping to the line comes with every launch."""
    return a[energy] + (a["staging_energy"] if energy == "launch_energy" else 0.0)


def row_of_plates(a):
    """(capacities, losses to the air, matrix, heat shares) of one kit, written out anew for the check."""
    n = a["discs"] + 1
    fly_heat = a.get("flywheel_specific_heat") or a["specific_heat"]
    capacity = np.array(
        [a["flywheel_mass"] * fly_heat]
        + [a["floater_mass"] * a["specific_heat"]] * (n - 2)
        + [a["pressure_plate_mass"] * a["specific_heat"]]
    )
    loss = a["air_heat_transfer"] * np.array(
        [a["flywheel_air_area"]] + [a["floater_air_area"]] * (n - 2) + [a["pressure_plate_air_area"]]
    )
    link = a["facing_conductance"] * a["facing_area"]
    flow = np.diag(loss).astype(float)
    for i in range(n - 1):
        flow[i : i + 2, i : i + 2] += link * np.array([[1, -1], [-1, 1]])
    share = np.array([1] + [2] * (n - 2) + [1]) / (2 * a["discs"])
    return capacity, loss, -flow / capacity[:, None], share


def stepped(a, step_length=0.5):
    """Peaks by going through the schedule event by event in short steps, and on for long after it."""
    capacity, _, matrix, share = row_of_plates(a)
    rise, peak = np.zeros(len(capacity)), np.zeros(len(capacity))

    def pass_time(rise, peak, length):
        if length == 0:
            return rise, peak
        steps = int(np.ceil(length / step_length))
        step = expm(matrix * length / steps)
        for _ in range(steps):
            rise = step @ rise
            peak = np.maximum(peak, rise)
        return rise, peak

    for _ in range(a["rounds"]):
        for energy, count, interval in PHASES:
            for _ in range(a[count]):
                rise = rise + heat_of(a, energy) * share / capacity
                rise, peak = pass_time(rise, np.maximum(peak, rise), a[interval])
        rise, peak = pass_time(rise, peak, a["rest"])
    _, peak = pass_time(rise, peak, 4000.0)
    floater = max([0.0, *peak[1:-1]])
    return a["air_temperature"] + np.array([peak[0], floater, peak[-1], peak.max()])


def check_peaks(seed):
    """One random kit and schedule against stepping; the full run calls it for many seeds."""
    a = one(ALL, seed)
    peaks, steps = schedule_peaks(**a)[:4], stepped(a)
    # Steps can only miss a peak between them, and by little.
    assert (peaks >= steps - 1e-9 * abs(steps)).all()
    np.testing.assert_allclose(peaks, steps, atol=5e-3)


# 101, 174, 176: a plate that warms for a moment and then cools, its peak before the first sample.
@pytest.mark.parametrize("seed", [*range(5), 101, 174, 176])
def test_peaks_against_stepping_through_the_schedule(seed):
    check_peaks(seed)


def test_the_stepping_itself_against_a_general_integrator():
    a = {**one(ALL, 3), "discs": 3, "traffic_starts": 2, "hill_starts": 1, "launches": 1, "shifts": 3, "rounds": 1}
    capacity, _, matrix, share = row_of_plates(a)
    rise = np.zeros(4)
    for energy, count, interval in PHASES:
        for _ in range(a[count]):
            rise = rise + heat_of(a, energy) * share / capacity
            rise = solve_ivp(lambda t, x: matrix @ x, (0, a[interval]), rise, rtol=1e-10, atol=1e-10).y[:, -1]
    course = schedule_temperatures(points_per_interval=1, **{**a, "rest": 0})
    np.testing.assert_allclose(course[-1], a["air_temperature"] + rise, rtol=1e-8)


def test_a_heavy_flywheel_is_hottest_between_events():
    """The case that a look at the moments just after events would miss."""
    a = {
        **one(ALL, 1),
        "discs": 4,
        "flywheel_mass": 12.0,
        "floater_mass": 0.7,
        "facing_conductance": 110.0,
        "facing_area": 0.012,
        "launch_energy": 2e5,
        "launches": 2,
        "launch_interval": 900.0,
        "rounds": 1,
        "traffic_starts": 0,
        "hill_starts": 0,
        "shifts": 0,
    }
    after_events = schedule_temperatures(points_per_interval=1, **a)[1::2, 0].max()
    peaks = schedule_peaks(**a)
    assert peaks[0] > after_events + 2
    np.testing.assert_allclose(peaks[:4], stepped(a), atol=5e-3)


def test_a_falling_phase_keeps_the_peak_at_its_beginning():
    a = {
        **one(ALL, 2),
        "discs": 3,
        "launch_energy": 2e5,
        "launches": 1,
        "launch_interval": 20.0,
        "shift_energy": 1e3,
        "shifts": 120,
        "shift_interval": 6.0,
        "traffic_starts": 0,
        "hill_starts": 0,
        "rounds": 2,
    }
    np.testing.assert_allclose(schedule_peaks(**a)[:4], stepped(a), atol=5e-3)


def test_events_without_a_pause_add_up():
    a = {
        **one(ALL, 5),
        "traffic_starts": 0,
        "hill_starts": 0,
        "shifts": 0,
        "rounds": 1,
        "launches": 7,
        "launch_interval": 0.0,
        "rest": 0.0,
    }
    at_once = {**a, "launches": 1, "launch_energy": 7 * heat_of(a, "launch_energy"), "staging_energy": 0.0}
    np.testing.assert_allclose(schedule_peaks(**a)[:4], schedule_peaks(**at_once)[:4], rtol=1e-12)


def test_no_events_leave_the_air_temperature():
    kit = {name: value for name, value in one(ALL, 4).items() if name in KIT}
    assert schedule_peaks(air_temperature=77, **kit).tolist() == [77.0] * 5 + [0.0]


def test_a_single_disc_has_no_floater():
    a = {**one(ALL, 6), "discs": 1}
    assert hottest_floater(**a) == a["air_temperature"]
    # and does not ask for its mass
    del a["floater_mass"], a["floater_air_area"]
    assert hottest_floater(**a) == a["air_temperature"]


def test_one_lump_without_neighbours_is_the_closed_form():
    """Facings that do not conduct: each plate is the single lump of `repeated_peak_rise`."""
    a = dict(
        discs=2,
        flywheel_mass=6,
        floater_mass=1.3,
        pressure_plate_mass=2.5,
        specific_heat=500,
        facing_area=0.02,
        facing_conductance=1e-9,
        air_heat_transfer=40,
        flywheel_air_area=0.1,
        floater_air_area=0.03,
        pressure_plate_air_area=0.06,
        air_temperature=0,
    )
    peaks = schedule_peaks(launch_energy=4e4, launches=9, launch_interval=60, **a)
    for place, mass, area, part in ((0, 6, 0.1, 0.25), (1, 1.3, 0.03, 0.5), (2, 2.5, 0.06, 0.25)):
        tau = heat.cooling_time_constant(mass=mass, specific_heat=500, heat_transfer=40, area=area)
        rise = heat.temperature_rise(energy=4e4 * part, mass=mass, specific_heat=500)
        expected = generic.peak_after(rise=rise, interval=60, time_constant=tau, events=9)
        assert peaks[place] == pytest.approx(expected, rel=1e-9)


def test_one_block_when_the_facings_conduct_freely():
    a = dict(
        discs=3,
        flywheel_mass=6,
        floater_mass=1.3,
        pressure_plate_mass=2.5,
        specific_heat=500,
        facing_area=0.02,
        facing_conductance=1e7,
        air_heat_transfer=40,
        flywheel_air_area=0.1,
        floater_air_area=0.03,
        pressure_plate_air_area=0.06,
        air_temperature=0,
    )
    course = schedule_temperatures(launch_energy=4e4, launches=9, launch_interval=60, points_per_interval=1, **a)
    tau = 11.1 * 500 / (40 * 0.22)
    peak = generic.peak_after(rise=4e4 / (11.1 * 500), interval=60, time_constant=tau, events=9)
    np.testing.assert_allclose(course[-1], peak * np.exp(-60 / tau), rtol=1e-4)


@settings(max_examples=25, derandomize=True, deadline=None)
@given(st.integers(0, 10_000))
def test_heat_supplied_is_heat_stored_and_heat_lost(seed):
    """To 1e-9: the loss to the air is integrated exactly through the inverse of the network."""
    a = {**one(ALL, seed), "rest": 0.0, "rounds": 1}
    capacity, loss, matrix, _share = row_of_plates(a)
    course = schedule_temperatures(points_per_interval=1, **a) - a["air_temperature"]
    after, later = course[1::2], course[2::2]
    lost = -(loss @ np.linalg.solve(matrix, (after - later).T)).sum()
    supplied = sum(heat_of(a, energy) * a[count] for energy, count, _ in PHASES)
    assert capacity @ course[-1] + lost == pytest.approx(supplied, rel=1e-9, abs=1e-9)


def heights(a):
    """Hottest plates and hottest skin: the plate before the skin's event and the rise by it, together."""
    peaks = schedule_peaks(**a)
    return np.append(peaks[:4], peaks[4] + peaks[5])


@settings(max_examples=15, derandomize=True, deadline=None)
@given(st.integers(0, 10_000), st.floats(1.05, 2))
def test_more_heat_events_and_warmth_never_cool_a_plate(seed, more):
    a = one(ALL, seed)
    base, tiny = heights(a), 1e-9
    for name in (
        "traffic_start_energy",
        "launch_energy",
        "shift_energy",
        "staging_energy",
        "launch_power",
        "hardest_shift_energy",
        "air_temperature",
    ):
        assert (heights({**a, name: a[name] * more}) >= base - tiny).all()
    assert (heights({**a, "rounds": a["rounds"] + 1}) >= base - tiny).all()
    single = {**a, "rounds": 1}
    for name in ("traffic_starts", "shifts"):  # one more at the beginning, one more at the end
        assert (heights({**single, name: a[name] + 1}) >= heights(single) - tiny).all()
    for name in ("air_heat_transfer", "rest"):
        assert (heights({**a, name: a[name] * more}) <= base + tiny).all()


@settings(max_examples=20, derandomize=True, deadline=None)
@given(st.integers(0, 10_000))
def test_other_units_give_the_same_rise(seed):
    a = {**one(ALL, seed), "air_temperature": 0.0}
    units, _ = generic.units(schedule_peaks)
    factors = np.array([1.7, 0.6, 2.3, 1.4])
    scaled = {
        name: value
        if units[name] == "degC" or units[name] == "-"
        else value * float(np.prod(factors ** generic.dimensions(units[name])))
        for name, value in a.items()
    }
    np.testing.assert_allclose(schedule_peaks(**scaled), schedule_peaks(**a) * factors[3], rtol=1e-8)


def test_arrays_of_cases_and_kits_give_what_each_gives_alone():
    kits = generic.some(KIT, (6,), 11)
    cases = generic.some({**SCHEDULE, "air_temperature": (20, 110)}, (4, 1), 12)
    both = schedule_peaks(**kits, **cases)
    assert both.shape == (4, 6, 6)
    for c in range(4):
        for k in range(6):
            alone = schedule_peaks(
                **{n: v[k].item() for n, v in kits.items()}, **{n: v[c, 0].item() for n, v in cases.items()}
            )
            np.testing.assert_allclose(both[c, k], alone, rtol=1e-9)
    parts = [hottest_flywheel, hottest_floater, hottest_pressure_plate, hottest_plate, plate_before_skin, skin_rise]
    for place, part in enumerate(parts):
        assert (part(**kits, **cases) == both[..., place]).all()
    assert isinstance(hottest_plate(**one(ALL, 1)), float)


def test_bad_input_is_refused_by_name_and_element():
    generic.check_refusals(hottest_plate, ALL, signed=("air_temperature",))
    a = {**one(ALL, 1), "discs": np.array([1, 2, 3]), "floater_mass": np.array([0.0, 1.0, 0.0])}
    with pytest.raises(MechanicsError) as caught:
        schedule_peaks(**a)
    assert caught.value.argument == "floater_mass"
    assert caught.value.elements == ((2,),)


def test_course_of_one_kit():
    a = one(ALL, 9)
    times, course = schedule_times(points_per_interval=30, **a), schedule_temperatures(points_per_interval=30, **a)
    assert course.shape == (len(times), a["discs"] + 1)
    assert (np.diff(times) >= 0).all()
    peaks = schedule_peaks(**a)
    assert course.max() == pytest.approx(peaks[3], rel=1e-12)
    assert (course[:, 0] <= peaks[0] + 1e-9).all()
    assert (course[:, -1] <= peaks[2] + 1e-9).all()
    with pytest.raises(MechanicsError, match="flywheel_mass must be a single number"):
        schedule_temperatures(**{**a, "flywheel_mass": np.array([5.0, 6.0])})


# Calibration: what factory clutches on ordinary cars must come to.

SINGLE = dict(discs=1, specific_heat=500, facing_conductance=110, air_heat_transfer=40, air_temperature=80)
FACTORY_COLUMNS = (
    "facing_area",
    "flywheel_mass",
    "pressure_plate_mass",
    "flywheel_air_area",
    "pressure_plate_air_area",
    "traffic_start_energy",
    "hill_start_energy",
)
FACTORY = {
    car: dict(zip(FACTORY_COLUMNS, row, strict=True))
    for car, row in {
        "small": (0.017, 7.0, 1.9, 0.08, 0.04, 10500.0, 20400.0),
        "middle": (0.0236, 9.0, 2.4, 0.1, 0.05, 14000.0, 23000.0),
        "large": (0.04, 14.0, 4.0, 0.14, 0.07, 21000.0, 35000.0),
    }.items()
}


@pytest.mark.parametrize("car", FACTORY)
def test_factory_clutches_in_traffic_stay_where_practice_has_them(car):
    """Thirty starts at 25 s, five on a 12 % hill: hottest plate 126 to 184 degC on ten invented factory cars.

    Computed, not published: a calibration by ordinary cars, energies 0.2 to 0.4 and 0.3 to 0.8 J/mm2.
    """
    a = {**SINGLE, **FACTORY[car]}
    both_faces = 2 * a["facing_area"] * 1e6
    assert 0.20 <= a["traffic_start_energy"] / both_faces <= 0.42
    hottest = hottest_plate(traffic_starts=30, traffic_interval=25, hill_starts=5, hill_interval=25, **a)
    assert 126 <= hottest <= 184


@pytest.mark.parametrize(
    "mass, area, conductance", [(1.3, 0.0264, 110), (1.1, 0.0155, 150), (0.8, 0.0104, 550), (1.5, 0.0150, 110)]
)
def test_floaters_lie_closer_to_their_neighbours_than_to_the_air(mass, area, conductance):
    """25 to 190 s to the neighbours, 500 to 1200 s to the air (computed by the same calibration)."""
    near = mass * 480 / (2 * conductance * area)
    air = heat.cooling_time_constant(mass=mass, specific_heat=480, heat_transfer=40, area=0.02)
    assert 25 <= near <= 230
    assert 450 <= air <= 1200
    alone = heat.repeated_peak_rise(rise=20, interval=25, time_constant=air)
    coupled = schedule_peaks(
        discs=2,
        flywheel_mass=8,
        floater_mass=mass,
        pressure_plate_mass=2.2,
        specific_heat=480,
        facing_area=area,
        facing_conductance=conductance,
        air_heat_transfer=40,
        flywheel_air_area=0.09,
        floater_air_area=0.02,
        pressure_plate_air_area=0.05,
        air_temperature=0,
        launch_energy=20 * 2 * mass * 480,
        launches=60,
        launch_interval=25,
    )
    assert coupled[1] < 0.85 * alone
