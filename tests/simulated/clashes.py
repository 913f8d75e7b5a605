"""Answers that exclude one another whatever their size."""

from collections.abc import Callable
from dataclasses import dataclass

from .relations import bench, boosted, standard


@dataclass(frozen=True, slots=True)
class Clash:
    """``answers`` (of a truth) exclude one another; ``altered`` is the false one. The rest as `Relation`."""

    answers: Callable
    altered: str
    undersizes: Callable
    needs: Callable


def _changed(true):
    return not true.engine.standard


def _use(*uses):
    return lambda true: true.use in uses


def _condition(state):
    return lambda true: true.answers["present_clutch_condition"] == state


def _on_file(path, value):
    return lambda true: true.platform.fields.get(path) == value


def _yes(true):
    return True


def _no(true):
    return False


def _other(*choices):
    """The first of ``choices`` that is not so on this car."""
    return lambda true, fact: next(choice for choice in choices if choice != true.answers[fact])


#: Every clash by its name.
CLASHES = {
    "boost-on-natural": Clash(
        lambda true: {"aspiration": "natural", "boost_pressure": 0.6},
        altered="boost_pressure",
        undersizes=_no,
        needs=lambda true: true.engine.aspiration == "natural",
    ),
    "natural-with-boost": Clash(
        lambda true: {"aspiration": "natural", "boost_pressure": true.engine.boost},
        altered="aspiration",
        undersizes=_yes,
        needs=boosted,
    ),
    "called-natural": Clash(
        lambda true: {"engine_state": "standard", "aspiration": "natural"},
        altered="aspiration",
        undersizes=_no,
        needs=lambda true: standard(true) and boosted(true),
    ),
    "overboost-on-natural": Clash(
        lambda true: {"aspiration": "natural", "overboost_percent": 8.0},
        altered="overboost_percent",
        undersizes=_no,
        needs=lambda true: true.engine.aspiration == "natural",
    ),
    "called-standard": Clash(
        lambda true: {"engine_state": "standard", "engine_torque": true.answers["engine_torque"], **bench(true)},
        altered="engine_state",
        undersizes=_yes,
        needs=lambda true: _changed(true) and true.engine.curve.torque > 1.15 * true.engine.factory.torque,
    ),
    "standard-with-changes": Clash(
        lambda true: {"engine_state": "standard", "engine_changes": true.engine.change},
        altered="engine_state",
        undersizes=_yes,
        needs=_changed,
    ),
    "standard-with-nitrous": Clash(
        lambda true: {"engine_state": "standard", "nitrous_power": true.answers["nitrous_power"]},
        altered="engine_state",
        undersizes=_yes,
        needs=lambda true: "nitrous_power" in true.answers,
    ),
    "nitrous-on-diesel": Clash(
        lambda true: {"fuel": "diesel", "nitrous_power": 55.0},
        altered="nitrous_power",
        undersizes=_no,
        needs=lambda true: true.engine.fuel == "diesel",
    ),
    "called-petrol": Clash(
        lambda true: {"engine_state": "standard", "fuel": "petrol"},
        altered="fuel",
        undersizes=_yes,
        needs=lambda true: standard(true) and true.engine.fuel == "diesel",
    ),
    "called-diesel": Clash(
        lambda true: {"engine_state": "standard", "fuel": "diesel"},
        altered="fuel",
        undersizes=_no,
        needs=lambda true: standard(true) and true.engine.fuel == "petrol",
    ),
    "other-cylinders": Clash(
        lambda true: {"engine_state": "standard", "cylinders": _other(4.0, 6.0)(true, "cylinders")},
        altered="cylinders",
        undersizes=lambda true: true.engine.cylinders == 3,
        needs=standard,
    ),
    "strip-only-in-traffic": Clash(
        lambda true: {"main_use": "drag_only", "stop_and_go": "daily"},
        altered="stop_and_go",
        undersizes=_no,
        needs=_use("drag_only"),
    ),
    "traffic-called-strip-only": Clash(
        lambda true: {"main_use": "drag_only", "stop_and_go": "daily"},
        altered="main_use",
        undersizes=_no,
        needs=lambda true: true.use == "daily" and true.answers["stop_and_go"] == "daily",
    ),
    "strip-only-without-launches": Clash(
        lambda true: {"main_use": "drag_only", "hard_launches_per_day": 0.0},
        altered="hard_launches_per_day",
        undersizes=_yes,
        needs=_use("drag_only"),
    ),
    "strip-slicks-in-traffic": Clash(
        lambda true: {"tyre_grip": "drag_slick", "stop_and_go": "daily"},
        altered="tyre_grip",
        undersizes=_no,
        needs=lambda true: true.answers["stop_and_go"] == "daily" and true.use == "daily",
    ),
    "trailer-on-the-strip": Clash(
        lambda true: {"main_use": "drag_only", "towed_mass": 1200.0},
        altered="towed_mass",
        undersizes=_no,
        needs=_use("drag_only"),
    ),
    "towing-nothing": Clash(
        lambda true: {"main_use": "towing", "towed_mass": 0.0},
        altered="towed_mass",
        undersizes=_yes,
        needs=_use("towing"),
    ),
    "launches-on-no-day": Clash(
        lambda true: {"hard_launches_per_day": true.answers["hard_launches_per_day"], "launch_days_per_year": 0.0},
        altered="launch_days_per_year",
        undersizes=_yes,
        needs=lambda true: true.answers["hard_launches_per_day"] > 0,
    ),
    "days-without-launches": Clash(
        lambda true: {"hard_launches_per_day": 0.0, "launch_days_per_year": true.answers["launch_days_per_year"]},
        altered="hard_launches_per_day",
        undersizes=_yes,
        needs=lambda true: true.answers["launch_days_per_year"] > 0,
    ),
    "sound-but-slips": Clash(
        lambda true: {"present_clutch_condition": "sound", "slip_when": true.answers["slip_when"]},
        altered="present_clutch_condition",
        undersizes=_yes,
        needs=_condition("slips"),
    ),
    "sound-but-noisy": Clash(
        lambda true: {"present_clutch_condition": "sound", "noise_when": true.answers["noise_when"]},
        altered="present_clutch_condition",
        undersizes=_no,
        needs=_condition("noisy"),
    ),
    "worn-out-half-kept": Clash(
        lambda true: {"present_clutch_condition": "worn_out", "kept_half": "disc"},
        altered="kept_half",
        undersizes=_yes,
        needs=_condition("worn_out"),
    ),
    "pumping-a-cable": Clash(
        lambda true: {"release_actuation": "cable", "pumping_helps": True},
        altered="pumping_helps",
        undersizes=_no,
        needs=lambda true: _on_file("release.actuation", "cable")(true) and _condition("drags")(true),
    ),
    "cylinder-on-a-cable": Clash(
        lambda true: {"release_actuation": "cable", "slave_bore": 20.64},
        altered="slave_bore",
        undersizes=_no,
        needs=_on_file("release.actuation", "cable"),
    ),
    "fork-on-a-concentric": Clash(
        lambda true: {"release_actuation": "concentric", "fork_ratio": 1.7},
        altered="fork_ratio",
        undersizes=_no,
        needs=_on_file("release.actuation", "concentric"),
    ),
    "concentric-bearing-on-a-cable": Clash(
        lambda true: {"release_actuation": "cable", "release_bearing_face": "concentric"},
        altered="release_bearing_face",
        undersizes=_no,
        needs=_on_file("release.actuation", "cable"),
    ),
    "clutchless-with-synchro": Clash(
        lambda true: {"gear_change": "synchro", "clutchless_shifts": True},
        altered="clutchless_shifts",
        undersizes=_no,
        needs=lambda true: true.answers["gear_change"] == "synchro",
    ),
    "dual-mass-of-aluminium": Clash(
        lambda true: {"flywheel_kind": "dual_mass", "flywheel_material": "aluminium"},
        altered="flywheel_material",
        undersizes=_no,
        needs=_on_file("flywheel.kind", "dual_mass"),
    ),
    "other-driven-axle": Clash(
        lambda true: {"driven_axle": _other("front", "rear")(true, "driven_axle")},
        altered="driven_axle",
        undersizes=_no,
        needs=lambda true: True,
    ),
    "half-face-called-full": Clash(
        lambda true: {"thrust_arc_deg": 360.0},
        altered="thrust_arc_deg",
        undersizes=_no,
        needs=_on_file("thrust_face.arc_deg", 180.0),
    ),
}
