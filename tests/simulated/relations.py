"""Arithmetic between answers: a ratio of what they say to the most that is possible, above 1 where not all are true."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from .engines import HP_KW, KMH_PER_MPH, LB_KG, NM_PER_LITRE_BAR
from .saying import ERRORS
from .shares import table
from .truths import torque_over

#: Where a figure was measured sets its largest error.
PLACES = {"torque_measured_at": "engine_torque", "power_measured_at": "engine_power"}


@dataclass(frozen=True, slots=True)
class Relation:
    """``ratio`` (answers, truth) must not exceed 1; ``altered`` is changed ``up`` or down until it does.

    ``facts``: those that then cannot all be true. ``undersizes``: would the softer of the two readings ask less of the
    clutch than the truth does? ``needs``: for which truths. ``also``: answers besides the facts.
    """

    facts: tuple[str, ...]
    ratio: Callable
    altered: str
    up: bool
    undersizes: bool
    needs: Callable = lambda true: True
    also: Callable = lambda true: {}
    powers: tuple[tuple[str, int], ...] = ()

    def tolerance(self, answers):
        """The largest honest errors of these facts together, by the table; ``powers`` of a fact count its error so
        often.
        """
        errors, places, powers = table()["errors"], {fact: place for place, fact in PLACES.items()}, dict(self.powers)
        total = 0.0
        for fact in self.facts:
            place = answers.get(places[fact], "flywheel") if fact in places else ERRORS.get(fact)
            if place:
                total += powers.get(fact, 1) * errors[{"estimated": "claimed"}.get(place, place)]["most"]
        return total


# --- what is arithmetically possible -----------------------------------------------------------------


def limit(name):
    """A limit of the table."""
    return table()["limits"][name]


def _power_over_torque(said, true):
    return torque_over(said["engine_power"], said["engine_power_speed_rpm"]) / said["engine_torque"]


def _torque_over_power(said, true):
    return limit("least_power_torque") / _power_over_torque(said, true)


def _power_over_wheel_torque(said, true):
    return _power_over_torque(said, true) * (1 - limit("most_loss")[true.answers["driven_axle"]])


def _boost_end(said, true, end):
    pressure, charge = limit("natural_pressure")[true.engine.fuel][end], limit("charge")[end]
    return pressure * NM_PER_LITRE_BAR * true.engine.displacement / 1000 * (1 + said["boost_pressure"]) * charge


def _boost_over_torque(said, true):
    return _boost_end(said, true, 0) / said["engine_torque"]


def _torque_over_boost(said, true):
    return said["engine_torque"] / _boost_end(said, true, 1)


def _torque_over_factory(said, true):
    return said["engine_torque"] / true.engine.factory.torque / limit("standard_high")


def _factory_over_torque(said, true):
    return true.engine.factory.torque * limit("standard_low") / said["engine_torque"]


def _power_over_factory(said, true):
    return said["engine_power"] / true.engine.factory.power / limit("standard_high")


def _factory_over_power(said, true):
    return true.engine.factory.power * limit("standard_low") / said["engine_power"]


def _over_red_line(fact):
    return lambda said, true: said[fact] / true.engine.curve.red_line


def _quarter_mile_over_power(said, true):
    """Power that this speed and mass take at the best constant in print, over the power said."""
    speed = said["quarter_mile_speed"] / KMH_PER_MPH / limit("quarter_mile")
    return speed**3 * said["vehicle_mass"] / LB_KG * HP_KW / said["engine_power"]


def _quarter_mile_over_gearing(said, true):
    """Speed at the end over what the red line gives in top gear."""
    fields = true.platform.fields
    metres = 2 * math.pi * true.answers["tyre_radius"] / (fields["gear_ratios.top"] * true.answers["final_drive"])
    return said["quarter_mile_speed"] / (true.engine.curve.red_line * metres * 60 / 1000)


def _over_record(fact, path, name):
    return lambda said, true: said[fact] / true.platform.fields[path] / limit(name)[1]


def _under_record(fact, path, name):
    return lambda said, true: true.platform.fields[path] * limit(name)[0] / said[fact]


def _over_natural_pressure(said, true):
    litres = true.engine.displacement / 1000
    return said["engine_torque"] / (limit("most_natural_pressure") * NM_PER_LITRE_BAR * litres)


# --- for whom, and what is said besides ------------------------------------------------------------


def _low_down(true):
    return not true.answers["torque_test_altitude"]


def standard(true):
    """Has he a standard engine, tested near the sea?"""
    return true.engine.standard and _low_down(true)


def boosted(true):
    """Had the car a turbo from the factory?"""
    return true.platform.fields["engine.aspiration"] == "turbo"


def bench(true):
    """The torque was measured at the flywheel."""
    return {"torque_measured_at": "flywheel"}


def _state(true):
    return {"torque_measured_at": "flywheel", "power_measured_at": "flywheel"}


def _rollers_torque(true):
    return {"engine_torque": true.wheel_torque, "torque_measured_at": "wheels"}


def _rollers_power(true):
    return {"engine_power": true.wheel_power, "power_measured_at": "wheels", "torque_measured_at": "flywheel"}


_POWER = ("engine_torque", "engine_power", "engine_power_speed_rpm")
_BOOST = ("boost_pressure", "engine_torque")
_STRIP = ("quarter_mile_speed", "vehicle_mass", "engine_power")
#: Power goes with the third power of the speed.
_CUBE = (("quarter_mile_speed", 3),)
#: Every relation by its name.
RELATIONS = {
    "torque-below-power-over-speed": Relation(
        _POWER, _power_over_torque, "engine_torque", up=False, undersizes=True, also=_state
    ),
    "power-above-torque-times-speed": Relation(
        _POWER, _power_over_torque, "engine_power", up=True, undersizes=False, also=_state
    ),
    "power-at-too-low-a-speed": Relation(
        _POWER, _power_over_torque, "engine_power_speed_rpm", up=False, undersizes=False, also=_state
    ),
    "torque-far-above-power-over-speed": Relation(
        _POWER, _torque_over_power, "engine_torque", up=True, undersizes=False, also=_state
    ),
    "power-far-below-torque-times-speed": Relation(
        _POWER, _torque_over_power, "engine_power", up=False, undersizes=True, also=_state
    ),
    "power-at-too-high-a-speed": Relation(
        _POWER, _torque_over_power, "engine_power_speed_rpm", up=True, undersizes=True, also=_state
    ),
    "wheel-torque-below-power": Relation(
        _POWER, _power_over_wheel_torque, "engine_torque", up=False, undersizes=True, also=_rollers_torque
    ),
    "power-above-wheel-torque": Relation(
        _POWER, _power_over_wheel_torque, "engine_power", up=True, undersizes=False, also=_rollers_torque
    ),
    "wheel-power-above-torque": Relation(
        _POWER, _power_over_torque, "engine_power", up=True, undersizes=False, also=_rollers_power
    ),
    "torque-below-wheel-power": Relation(
        _POWER, _power_over_torque, "engine_torque", up=False, undersizes=True, also=_rollers_power
    ),
    "torque-below-boost": Relation(
        _BOOST, _boost_over_torque, "engine_torque", up=False, undersizes=True, needs=boosted, also=bench
    ),
    "boost-above-torque": Relation(
        _BOOST, _boost_over_torque, "boost_pressure", up=True, undersizes=False, needs=boosted, also=bench
    ),
    "torque-above-boost": Relation(
        _BOOST, _torque_over_boost, "engine_torque", up=True, undersizes=False, needs=boosted, also=bench
    ),
    "boost-below-torque": Relation(
        _BOOST,
        _torque_over_boost,
        "boost_pressure",
        up=False,
        undersizes=True,
        needs=lambda true: boosted(true) and true.engine.boost > 1.2,
        also=bench,
    ),
    "standard-torque-above-factory": Relation(
        ("engine_state", "engine_torque"),
        _torque_over_factory,
        "engine_torque",
        up=True,
        undersizes=False,
        needs=standard,
        also=bench,
    ),
    "standard-torque-below-factory": Relation(
        ("engine_state", "engine_torque"),
        _factory_over_torque,
        "engine_torque",
        up=False,
        undersizes=True,
        needs=standard,
        also=bench,
    ),
    "standard-power-above-factory": Relation(
        ("engine_state", "engine_power"),
        _power_over_factory,
        "engine_power",
        up=True,
        undersizes=False,
        needs=standard,
        also=_state,
    ),
    "standard-power-below-factory": Relation(
        ("engine_state", "engine_power"),
        _factory_over_power,
        "engine_power",
        up=False,
        undersizes=True,
        needs=standard,
        also=_state,
    ),
    "shift-above-red-line": Relation(
        ("engine_state", "shift_speed_rpm"),
        _over_red_line("shift_speed_rpm"),
        "shift_speed_rpm",
        up=True,
        undersizes=False,
        needs=standard,
    ),
    "launch-above-shift": Relation(
        ("launch_speed_rpm", "shift_speed_rpm"),
        lambda said, true: said["launch_speed_rpm"] / said["shift_speed_rpm"],
        "launch_speed_rpm",
        up=True,
        undersizes=False,
        needs=lambda true: "launch_speed_rpm" in true.answers,
    ),
    "power-speed-above-red-line": Relation(
        ("engine_state", "engine_power", "engine_power_speed_rpm"),
        _over_red_line("engine_power_speed_rpm"),
        "engine_power_speed_rpm",
        up=True,
        undersizes=True,
        needs=standard,
        also=lambda true: {"power_measured_at": "flywheel"},
    ),
    "nitrous-above-red-line": Relation(
        ("nitrous_speed_rpm",),
        _over_red_line("nitrous_speed_rpm"),
        "nitrous_speed_rpm",
        up=True,
        undersizes=True,
        needs=lambda true: "nitrous_power" in true.answers,
        also=lambda true: {
            fact: true.answers[fact] for fact in ("nitrous_power", "engine_torque", "torque_measured_at")
        },
    ),
    "power-below-quarter-mile": Relation(
        _STRIP, _quarter_mile_over_power, "engine_power", up=False, undersizes=True, also=_state, powers=_CUBE
    ),
    "quarter-mile-above-power": Relation(
        _STRIP, _quarter_mile_over_power, "quarter_mile_speed", up=True, undersizes=False, also=_state, powers=_CUBE
    ),
    "mass-above-quarter-mile": Relation(
        _STRIP, _quarter_mile_over_power, "vehicle_mass", up=True, undersizes=False, also=_state, powers=_CUBE
    ),
    "quarter-mile-above-gearing": Relation(
        ("engine_state", "quarter_mile_speed"),
        _quarter_mile_over_gearing,
        "quarter_mile_speed",
        up=True,
        undersizes=False,
        needs=standard,
    ),
    "mass-above-record": Relation(
        ("vehicle_mass",), _over_record("vehicle_mass", "mass", "mass"), "vehicle_mass", up=True, undersizes=False
    ),
    "mass-below-record": Relation(
        ("vehicle_mass",), _under_record("vehicle_mass", "mass", "mass"), "vehicle_mass", up=False, undersizes=True
    ),
    "trailer-above-car": Relation(
        ("towed_mass", "vehicle_mass"),
        lambda said, true: said["towed_mass"] / said["vehicle_mass"] / limit("trailer_over_car"),
        "towed_mass",
        up=True,
        undersizes=False,
        needs=lambda true: "towed_mass" in true.answers,
    ),
    "displacement-above-record": Relation(
        ("engine_state", "displacement"),
        _over_record("displacement", "engine.displacement", "displacement"),
        "displacement",
        up=True,
        undersizes=False,
        needs=standard,
    ),
    "displacement-below-record": Relation(
        ("engine_state", "displacement"),
        _under_record("displacement", "engine.displacement", "displacement"),
        "displacement",
        up=False,
        undersizes=False,
        needs=standard,
    ),
    "torque-above-natural-pressure": Relation(
        ("aspiration", "engine_torque"),
        _over_natural_pressure,
        "engine_torque",
        up=True,
        undersizes=False,
        needs=lambda true: true.engine.aspiration == "natural",
        also=bench,
    ),
    "tyre-above-record": Relation(
        ("tyre_radius",), _over_record("tyre_radius", "tyre_radius", "tyre"), "tyre_radius", up=True, undersizes=False
    ),
    "tyre-below-record": Relation(
        ("tyre_radius",), _under_record("tyre_radius", "tyre_radius", "tyre"), "tyre_radius", up=False, undersizes=True
    ),
}
