"""Torque and heat of a start on a hill: a worked table of five cars, an integration in time, what must never turn."""

import functools

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy.integrate import solve_ivp

from advisor.mechanics import engagement, engine
from advisor.mechanics.argument_checks import MechanicsError

from ..rules.shop import shop

STEADY = settings(max_examples=60, deadline=None, derandomize=True)
TORQUES = st.floats(20, 900)


@functools.cache
def car(name):
    return next(each.fields for each in shop().platforms if each.id == name)


def road(name, trailer, grade):
    """(inertia at the clutch, load torque) of a car of the shop with a trailer."""
    fields = car(name)
    train = dict(
        mass=fields["mass"] + trailer,
        tyre_radius=fields["tyre_radius"],
        total_ratio=fields["gear_ratios.0"] * fields["final_drive"],
    )
    load = engagement.load_torque(**train, efficiency=0.92, grade=grade, rolling_resistance=0.013)
    return engagement.vehicle_inertia(**train), load


# Worked out apart from the library, for cars like these: trailer kg, grade, rpm, what the engine gives (judgement),
# load N m | seconds, kJ. The driver wants 0.45 of the peak torque or 2.2 times the load.
STARTS = [
    ("bramble-20t", 0, 0.12, 1500, 160, 47, 1.5, 15),
    ("teasel-10t", 1100, 0.12, 1500, 87, 67, 8.2, 56),
    ("teasel-10t", 1100, 0.12, 1500, 78, 67, 14.7, 90),
    ("teasel-10t", 1100, 0.12, 2000, 145, 67, 2.8, 42),
    ("teasel-10t", 1100, 0.12, 2000, 123, 67, 3.9, 50),
    ("tansy-20d", 1800, 0.12, 1500, 256, 128, 3.0, 61),
    ("tansy-20d", 1800, 0.12, 1200, 160, 128, 9.8, 98),
    ("tansy-20d", 1800, 0.18, 1500, 256, 184, 5.4, 109),
    ("blackthorn-58", 1500, 0.12, 1500, 324, 171, 4.9, 124),
    ("blackthorn-58", 1500, 0.20, 1500, 324, 270, 13.9, 353),
]


def start(name, trailer, grade, speed, given_by_engine, reserve=1.01):
    inertia, load = road(name, trailer, grade)
    wanted = max(0.45 * car(name)["stock.torque"], 2.2 * load)
    torque = engagement.start_torque(
        wanted_torque=wanted, engine_torque=given_by_engine, load_torque=load, reserve=reserve
    )
    slip = dict(clutch_torque=torque, vehicle_inertia=inertia, engine_speed=speed * np.pi / 30, load_torque=load)
    return load, torque, engagement.launch_time_held(**slip), engagement.launch_energy_held(**slip) / 1e3


@pytest.mark.parametrize("name, trailer, grade, speed, engine_torque, load, seconds, heat", STARTS)
def test_starts_of_a_worked_table(name, trailer, grade, speed, engine_torque, load, seconds, heat):
    found = start(name, trailer, grade, speed, engine_torque)
    assert found[0] == pytest.approx(load, abs=0.6)
    # Near the limit half a newton metre of rounding in the table is a twentieth of what is left to pull away with.
    loose = 0.05 if engine_torque < 1.5 * load else 0.03
    assert found[2:] == pytest.approx((seconds, heat), rel=loose)


def test_what_the_engine_of_the_small_car_gives():
    shares = dict(peak_torque=145, factory_torque=145, gain_share=0.33)
    air = engine.altitude_factor(altitude=1000)
    assert engagement.engine_torque_at_start(torque_share=0.6, air_share=1, **shares) == pytest.approx(87)
    assert engagement.engine_torque_at_start(torque_share=0.6, air_share=air, **shares) == pytest.approx(78, abs=0.1)
    assert engagement.engine_torque_at_start(torque_share=0.85, air_share=1, **shares) == pytest.approx(123, abs=0.5)


def test_share_of_a_boosted_six():
    """Full-load curve of a 3.0 litre six of 450 N m, from a vehicle-simulation tutorial: 306 N m at 1000 rpm, 385 at
    2020. Straight between them 0.77 of the peak at 1500; the share used there for the first second of throttle is
    0.55, the careful side, and 0.85 at 2000 rpm is the curve's own."""
    speeds, torques = (1000, 2020), (306, 385)
    assert np.interp(1500, speeds, torques) / 450 == pytest.approx(0.77, abs=0.01)
    assert np.interp(2000, speeds, torques) / 450 == pytest.approx(0.85, abs=0.01)


@STEADY
@given(load=st.floats(20, 200), over=st.floats(1.05, 4), inertia=st.floats(0.3, 3), speed=st.floats(120, 230))
def test_heat_of_a_start_against_an_integration_in_time(load, over, inertia, speed):
    torque = load * over

    def slipping(_, state):
        turning, _ = state
        return [(torque - load) / inertia, torque * (speed - turning)]

    def together(_, state):
        return speed - state[0]

    together.terminal = True
    run = solve_ivp(slipping, (0, 1e4), [0, 0], events=together, rtol=1e-9, atol=1e-9, max_step=5)
    slip = dict(clutch_torque=torque, vehicle_inertia=inertia, engine_speed=speed, load_torque=load)
    assert engagement.launch_time_held(**slip) == pytest.approx(run.t_events[0][0], rel=1e-6)
    assert engagement.launch_energy_held(**slip) == pytest.approx(run.y_events[0][0][1], rel=1e-5)


def heat(wanted, engine_torque, load, inertia=1.0):
    torque = engagement.start_torque(
        wanted_torque=max(wanted, 2.2 * load), engine_torque=engine_torque, load_torque=load, reserve=1.25
    )
    return engagement.launch_energy_held(
        clutch_torque=torque, vehicle_inertia=inertia, engine_speed=157, load_torque=load
    )


@STEADY
@given(wanted=TORQUES, engine_torque=TORQUES, load=st.floats(5, 900), more=st.floats(1, 3))
def test_more_load_and_a_weaker_engine_never_make_a_cooler_start(wanted, engine_torque, load, more):
    """Past the point where the engine cannot start it as well: no division by nearly nothing, and no drop."""
    here = heat(wanted, engine_torque, load)
    assert here <= 0.5 * 157**2 * 5 * (1 + 1e-9)
    assert heat(wanted, engine_torque, load * more) >= here * (1 - 1e-9)
    assert heat(wanted, engine_torque / more, load) >= here * (1 - 1e-9)
    assert heat(wanted, engine_torque, load * (1 + 1e-7)) == pytest.approx(here, rel=1e-5)


@STEADY
@given(peak=TORQUES, factory=TORQUES, share=st.floats(0.2, 1), gain=st.floats(0, 1), more=st.floats(1, 3))
def test_a_stronger_engine_never_gives_less_at_the_start(peak, factory, share, gain, more):
    base = dict(factory_torque=factory, torque_share=share, gain_share=gain, air_share=0.9)
    here = engagement.engine_torque_at_start(peak_torque=peak, **base)
    assert here <= engagement.engine_torque_at_start(peak_torque=peak * more, **base) * (1 + 1e-12)
    assert here <= 0.9 * share * peak * (1 + 1e-12)
    assert engagement.engine_torque_at_start(peak_torque=factory, **base) == pytest.approx(0.9 * share * factory)


@pytest.mark.parametrize(
    "call, argument",
    [
        (
            lambda: engagement.start_torque(wanted_torque=100, engine_torque=0, load_torque=50, reserve=1.25),
            "engine_torque",
        ),
        (lambda: engagement.start_torque(wanted_torque=100, engine_torque=90, load_torque=50, reserve=1), "reserve"),
        (
            lambda: engagement.engine_torque_at_start(
                peak_torque=100, factory_torque=100, torque_share=1.2, gain_share=0, air_share=1
            ),
            "torque_share",
        ),
        (
            lambda: engagement.engine_torque_at_start(
                peak_torque=100, factory_torque=100, torque_share=1, gain_share=1.5, air_share=1
            ),
            "gain_share",
        ),
    ],
)
def test_refusals(call, argument):
    with pytest.raises(MechanicsError) as caught:
        call()
    assert caught.value.argument == argument
