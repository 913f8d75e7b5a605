"""Grip, dump, torsion and synchroniser: tables, numerical integration, and properties."""

import inspect

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy.integrate import solve_ivp
from scipy.linalg import eigh

from advisor.mechanics import driveline
from advisor.mechanics.argument_checks import MechanicsError

from . import generic

RPM = np.pi / 30
CAR = {
    "mass": (700, 3000),
    "weight_on_driven": (0.3, 0.7),
    "wheelbase": (2.2, 3.2),
    "cg_height": (0.4, 0.7),
    "tyre_friction": (0.5, 2.0),
    "driven_axle": ["rear", "front", "all"],
    "gravity": (9.7, 9.9),
}
CONE = {"friction_coefficient": (0.05, 0.2), "cone_radius": (0.02, 0.06), "cone_angle": (0.05, 0.3), "cones": [1, 2, 3]}
CAPS = {"clutch_cap": (100, 2000), "dump_peak": (100, 2000), "tyre_cap": (100, 2000)}
DAMPER = {"damper_stop_torque": (100, 1200), "demand_torque": (50, 900)}
CYLINDERS = {"cylinders": [3, 4, 6, 8], "strokes": [2, 4]}
GAP = {"reflected_inertia": (0.005, 0.1), "speed_difference": (10, 300)}

CASES = [
    (driveline.driven_axle_load, CAR, ()),
    (
        driveline.grip_limited_torque,
        {**CAR, "tyre_radius": (0.25, 0.45), "total_ratio": (3, 20), "efficiency": (0.6, 1)},
        (),
    ),
    (
        driveline.peak_torque_on_dump,
        {
            "engine_torque": (0, 700),
            "speed_drop": (0, 600),
            "stiffness": (10, 300),
            "engine_inertia": (0.05, 0.4),
            "vehicle_inertia": (0.2, 3),
        },
        (),
    ),
    (driveline.clutch_cap, {"capacity": (100, 1500), "static_over_dynamic": (1, 1.3), "shock_factor": (1, 2)}, ()),
    (driveline.gearbox_peak_torque, CAPS, ()),
    (
        driveline.disc_speed_on_down_shift,
        {"vehicle_speed": (0, 70), "tyre_radius": (0.25, 0.45), "gear_ratio": (0.6, 5), "final_drive": (2.5, 5)},
        (),
    ),
    (
        driveline.two_inertia_frequency,
        {"stiffness": (50, 3000), "first_inertia": (0.05, 0.4), "second_inertia": (0.003, 0.1)},
        (),
    ),
    (driveline.firing_frequency, {"speed": (50, 900), **CYLINDERS}, ()),
    (driveline.resonance_speed, {"frequency": (5, 100), **CYLINDERS}, ()),
    (driveline.damper_stop_share, DAMPER, ()),
    (driveline.cone_torque, {"force": (100, 1500), **CONE}, ()),
    (driveline.sleeve_force_for_torque, {"torque": (2, 60), **CONE}, ()),
    (
        driveline.synchroniser_inertia,
        {"gearbox_inertia": (0.002, 0.01), "disc_inertia": (0, 0.015), "gear_ratio": (0.6, 5)},
        (),
    ),
    (
        driveline.synchroniser_speed_difference,
        {"input_speed": (100, 800), "ratio_from": (0.6, 5), "ratio_to": (0.6, 5)},
        (),
    ),
    (
        driveline.synchroniser_time,
        {"cone_torque": (10, 60), **GAP, "drag_torque": (-4, 8), "shift": ["up", "down"]},
        ("drag_torque",),
    ),
    (
        driveline.synchroniser_time_ratio,
        {"gearbox_inertia": (0.001, 0.01), "disc_inertia": (0.002, 0.02), "factory_disc_inertia": (0.002, 0.02)},
        (),
    ),
    (driveline.synchroniser_energy, GAP, ()),
]
EACH = pytest.mark.parametrize("function, sample, signed", CASES, ids=[case[0].__name__ for case in CASES])


def test_every_calculation_of_these_modules_is_checked_here():
    defined = {
        function
        for module in (driveline,)
        for name, function in vars(module).items()
        if inspect.isfunction(function) and function.__module__ == module.__name__ and not name.startswith("_")
    }
    assert defined == {case[0] for case in CASES}


@EACH
def test_other_units_give_the_same_answer(function, sample, signed):
    @settings(max_examples=15, derandomize=True, deadline=None)
    @given(generic.drawn(sample))
    def check(arguments):
        generic.check_dimensions(function, arguments)

    check()


@EACH
def test_arrays_give_what_their_elements_give(function, sample, signed):
    generic.check_arrays(function, sample)


@EACH
def test_bad_input_is_refused_by_name_and_element(function, sample, signed):
    generic.check_refusals(function, sample, signed)


# Grip: torque at the clutch by tyre friction; first 3.5, final 4.1, efficiency 0.92, centre of gravity height over
# wheelbase 0.2. Derived with the weight transfer of Gillespie (from memory).
GRIP = [(0.9, 190, 133, 332), (1.1, 244, 157, 405), (1.5, 370, 201, 553), (2.2, 679, 266, 811)]


@pytest.mark.parametrize("friction, rear, front, every", GRIP)
def test_grip_table(friction, rear, front, every):
    shared = dict(tyre_friction=friction, wheelbase=2.5, cg_height=0.5, total_ratio=3.5 * 4.1, efficiency=0.92)
    found = [
        driveline.grip_limited_torque(driven_axle="rear", mass=1500, weight_on_driven=0.5, tyre_radius=0.31, **shared),
        driveline.grip_limited_torque(driven_axle="front", mass=1300, weight_on_driven=0.6, tyre_radius=0.30, **shared),
        driveline.grip_limited_torque(driven_axle="all", mass=1600, weight_on_driven=0.5, tyre_radius=0.31, **shared),
    ]
    assert found == pytest.approx([rear, front, every], abs=0.8)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.floats(0.3, 0.7), st.floats(0.1, 0.3), st.floats(0.3, 2.5), st.sampled_from(["rear", "front"]))
def test_axle_load_is_the_fixed_point_of_weight_transfer(part, height, friction, axle):
    """Load and acceleration set each other; iterate instead of solving."""
    load = part
    for _ in range(400):
        shift = friction * load * height
        load = min(part + shift, 1.0) if axle == "rear" else part - shift
    found = driveline.driven_axle_load(
        mass=1000,
        weight_on_driven=part,
        wheelbase=1,
        cg_height=height,
        tyre_friction=friction,
        driven_axle=axle,
        gravity=10,
    )
    assert found / 10_000 == pytest.approx(load, rel=1e-6)


def test_wheels_in_the_air_carry_no_more_than_the_car():
    a = dict(mass=1000, weight_on_driven=0.6, wheelbase=2.5, cg_height=0.5, driven_axle="rear", gravity=10)
    assert driveline.driven_axle_load(tyre_friction=2.5, **a) == 10_000
    with pytest.raises(MechanicsError, match="times cg_height"):
        driveline.driven_axle_load(tyre_friction=5, **{**a, "cg_height": 0.55})


# Dump: engine 0.2, vehicle 0.74 kg m2; derived for 1000, 3000, 5000 rpm.
DUMP = [(30, (228, 683, 1138)), (60, (322, 966, 1609)), (200, (588, 1763, 2938))]


@pytest.mark.parametrize("stiffness, peaks", DUMP)
def test_dump_table(stiffness, peaks):
    found = driveline.peak_torque_on_dump(
        engine_torque=0,
        speed_drop=np.array([1000, 3000, 5000]) * RPM,
        stiffness=stiffness,
        engine_inertia=0.2,
        vehicle_inertia=0.74,
    )
    np.testing.assert_allclose(found, peaks, rtol=2.5e-3)


def test_dump_peak_against_integration():
    """Two inertias on a spring, one of them still: the spring torque at its highest."""
    k, first, second, drop = 60.0, 0.2, 0.74, 300.0
    solved = solve_ivp(
        lambda t, x: [x[1] - x[2], -k * x[0] / first, k * x[0] / second],
        (0, 0.5),
        [0, drop, 0],
        rtol=1e-10,
        atol=1e-10,
        max_step=1e-3,
    )
    found = driveline.peak_torque_on_dump(
        engine_torque=0, speed_drop=drop, stiffness=k, engine_inertia=first, vehicle_inertia=second
    )
    assert found == pytest.approx(k * solved.y[0].max(), rel=1e-4)


def test_the_least_cap_decides():
    assert driveline.gearbox_peak_torque(clutch_cap=900, dump_peak=700, tyre_cap=[300, 800]).tolist() == [300, 700]
    # A 3000 rpm dump with a 500 N m clutch is capped at 750 to 1000 N m (common practice, no source).
    assert driveline.clutch_cap(capacity=500, static_over_dynamic=1, shock_factor=[1.5, 2.0]).tolist() == [750, 1000]


def test_facing_throw_off_speed():
    """Disc speed on a down-shift, v / (2 pi r) * gear * final * 60 in rpm."""
    v, r, gear, final = 44.4, 0.31, 3.5, 4.1
    found = driveline.disc_speed_on_down_shift(vehicle_speed=v, tyre_radius=r, gear_ratio=gear, final_drive=final)
    assert found / RPM == pytest.approx(v / (2 * np.pi * r) * gear * final * 60, rel=1e-12)


# Resonance: J1, J2, k in N m/deg; Hz; rpm for 4, 6 and 8 cylinders (derived).
RESONANCE = [
    (0.20, 0.012, 15, 43.9, 1316, 877, 658),
    (0.20, 0.012, 8, 32.0, 961, 640, 480),
    (0.20, 0.012, 30, 62.0, 1860, 1240, 930),
    (0.20, 0.006, 15, 61.1, 1834, 1223, 917),
    (0.20, 0.012, 1.0, 11.3, 340, 226, 170),
    (0.11, 0.065, 8, 16.9, 506, 337, 253),
]


@pytest.mark.parametrize("first, second, stiffness, hertz, four, six, eight", RESONANCE)
def test_resonance_table(first, second, stiffness, hertz, four, six, eight):
    k = stiffness * 180 / np.pi
    found = driveline.two_inertia_frequency(stiffness=k, first_inertia=first, second_inertia=second)
    assert found == pytest.approx(hertz, abs=0.06)
    speeds = driveline.resonance_speed(frequency=found, cylinders=np.array([4, 6, 8])) / RPM
    np.testing.assert_allclose(speeds, [four, six, eight], atol=1)
    # Independent route: eigenvalues of stiffness and inertia matrices.
    values = eigh(k * np.array([[1, -1], [-1, 1]]), np.diag([first, second]), eigvals_only=True)
    assert found == pytest.approx(np.sqrt(values[1]) / (2 * np.pi), rel=1e-10)


@pytest.mark.parametrize("cylinders, hertz", [(4, 26.7), (6, 40.0), (8, 53.3), (3, 20.0)])
def test_firing_at_800_rpm(cylinders, hertz):
    assert driveline.firing_frequency(speed=800 * RPM, cylinders=cylinders) == pytest.approx(hertz, abs=0.04)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.floats(5, 100), st.sampled_from([2, 3, 4, 6, 8]), st.sampled_from([2, 4]))
def test_firing_and_resonance_are_inverse(frequency, cylinders, strokes):
    speed = driveline.resonance_speed(frequency=frequency, cylinders=cylinders, strokes=strokes)
    assert driveline.firing_frequency(speed=speed, cylinders=cylinders, strokes=strokes) == pytest.approx(frequency)


# Synchroniser: 1-2 up-shift from 6000 rpm, 3.5 to 2.0, 600 N, 0.10, 33 mm, 6.5 degrees, gearbox 0.004 kg m2 and the
# disc; time without drag and with 2 N m at the input (4 at the gear), energy. Derived.
SYNCHRO = [
    (0.002, 0.024, 0.185, 0.150, 218),
    (0.004, 0.032, 0.246, 0.200, 290),
    (0.008, 0.048, 0.369, 0.301, 435),
    (0.012, 0.064, 0.493, 0.401, 580),
]


@pytest.mark.parametrize("disc, inertia, time, with_drag, energy", SYNCHRO)
def test_synchroniser_table(disc, inertia, time, with_drag, energy):
    cone = driveline.cone_torque(force=600, friction_coefficient=0.10, cone_radius=0.033, cone_angle=np.radians(6.5))
    assert cone == pytest.approx(17.5, abs=0.02)
    gap = driveline.synchroniser_speed_difference(input_speed=6000 * RPM, ratio_from=3.5, ratio_to=2.0)
    assert gap == pytest.approx(134.6, abs=0.05)
    found = driveline.synchroniser_inertia(gearbox_inertia=0.004, disc_inertia=disc, gear_ratio=2.0)
    assert found == pytest.approx(inertia, rel=1e-12)
    given_ = dict(cone_torque=cone, reflected_inertia=found, speed_difference=gap)
    assert driveline.synchroniser_time(**given_) == pytest.approx(time, abs=8e-4)
    assert driveline.synchroniser_time(drag_torque=4, **given_) == pytest.approx(with_drag, abs=8e-4)
    heat = driveline.synchroniser_energy(reflected_inertia=found, speed_difference=gap)
    assert heat == pytest.approx(energy, rel=3e-3)


def test_force_for_a_fifth_of_a_second():
    """1108 N with a disc of 0.008 kg m2 (derived)."""
    gap = driveline.synchroniser_speed_difference(input_speed=6000 * RPM, ratio_from=3.5, ratio_to=2.0)
    force = driveline.sleeve_force_for_torque(
        torque=0.048 * gap / 0.2, friction_coefficient=0.10, cone_radius=0.033, cone_angle=np.radians(6.5)
    )
    assert force == pytest.approx(1108, abs=1)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(generic.drawn({"force": (100, 1500), **CONE}))
def test_cone_torque_and_force_are_inverse(a):
    torque = driveline.cone_torque(**a)
    rest = {name: value for name, value in a.items() if name != "force"}
    assert driveline.sleeve_force_for_torque(torque=torque, **rest) == pytest.approx(a["force"], rel=1e-12)


def test_drag_that_eats_the_cone_torque_is_refused_by_element():
    with pytest.raises(MechanicsError, match="never ends") as caught:
        driveline.synchroniser_time(
            cone_torque=np.array([20.0, 3.0]), reflected_inertia=0.03, speed_difference=100, drag_torque=4, shift="down"
        )
    assert caught.value.argument == "cone_torque"
    assert caught.value.elements == ((1,),)
    # The same torque does end an up-shift: drag helps there.
    assert driveline.synchroniser_time(cone_torque=3, reflected_inertia=0.03, speed_difference=100, drag_torque=4) > 0


def test_a_damper_that_stops_at_1_3_times_the_demand():
    a = dict(damper_stop_torque=520, demand_torque=400)
    assert driveline.damper_stop_share(**a) == pytest.approx(1 / 1.3, rel=1e-15)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(
    generic.drawn({k: v for k, v in CAR.items() if k != "driven_axle"}),
    st.sampled_from(["rear", "front", "all"]),
    st.floats(1.01, 1.2),
)
def test_more_grip_and_shorter_gearing(a, axle, more):
    shared = dict(driven_axle=axle, tyre_radius=0.31, efficiency=0.92)
    torque = driveline.grip_limited_torque(total_ratio=14, **shared, **a)
    assert driveline.grip_limited_torque(total_ratio=14 * more, **shared, **a) < torque
    grippier = {**a, "tyre_friction": a["tyre_friction"] * more}
    assert driveline.grip_limited_torque(total_ratio=14, **shared, **grippier) > torque
