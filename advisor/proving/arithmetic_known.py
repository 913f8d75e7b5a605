"""What proofs with arithmetic know of the calculations: some written out, of others which way they go.

A calculation that stands in neither list may give anything that is not negative.
"""

from collections.abc import Callable, Mapping
from typing import Any

from ..knowledge.model import Calculation
from ..knowledge.quantities import scale

#: Functions whose formula is written out over the real numbers; ``larger`` is the solver's own maximum.
Formula = Callable[[Mapping[str, Any], Callable[[Any, Any], Any]], Any]
FORMULAS: dict[str, Formula] = {
    "arithmetic.total": lambda given, larger: sum(given.values()),
    "arithmetic.difference": lambda given, larger: given["first"] - given["second"],
    "arithmetic.larger": lambda given, larger: larger(given["first"], given["second"]),
    "arithmetic.scaled": lambda given, larger: given["value"] * given["factor"],
    "arithmetic.scaled_with_floor": lambda given, larger: larger(given["value"] * given["factor"], given["floor"]),
    "arithmetic.grown_by_percent": lambda given, larger: given["value"] * (1 + given["percent"] / 100),
}
#: Keywords whose product a formula holds: where two of them are facts it is left free, for products are slow.
PRODUCTS = ("value", "factor", "percent")
#: Function -> keyword -> +1 where the result never falls as the argument grows, -1 where it never rises. Written from
#: the formulas; `tests/proving` holds each against the function by sampling.
DIRECTIONS: dict[str, dict[str, int]] = {
    "arithmetic.difference": {"first": 1, "second": -1},
    "arithmetic.larger": {"first": 1, "second": 1},
    "arithmetic.total": dict.fromkeys(("first", "second", "third", "fourth", "fifth", "sixth"), 1),
    "arithmetic.scaled": {"value": 1, "factor": 1},
    "arithmetic.scaled_with_floor": {"value": 1, "factor": 1, "floor": 1},
    "arithmetic.grown_by_percent": {"value": 1, "percent": 1},
    "driveline.grip_limited_torque": {"mass": 1, "tyre_friction": 1, "tyre_radius": 1, "total_ratio": -1},
    "driveline.disc_speed_on_down_shift": {"gear_ratio": 1, "final_drive": 1, "tyre_radius": -1},
    "driveline.two_inertia_frequency": {"stiffness": 1, "first_inertia": -1, "second_inertia": -1},
    "engagement.engine_torque_at_start": {"factory_torque": 1, "peak_torque": 1, "air_share": 1, "torque_share": 1},
    "engagement.load_torque": {"mass": 1, "tyre_radius": 1, "total_ratio": -1, "grade": 1},
    "engagement.move_off_torque": {"mass": 1, "tyre_radius": 1, "total_ratio": -1, "grade": 1},
    "engagement.start_torque": {"wanted_torque": 1, "engine_torque": 1, "load_torque": 1},
    "engagement.vehicle_inertia": {"mass": 1, "tyre_radius": 1, "total_ratio": -1},
    "engine.altitude_factor": {"altitude": -1},
    "engine.boosted_torque": {"natural_torque": 1, "pressure_ratio": 1},
    "engine.flywheel_from_wheels": {"wheel_torque": 1, "loss_share": 1},
    "engine.flywheel_power_from_wheels": {"wheel_power": 1, "loss_share": 1},
    "engine.nitrous_torque": {"power": 1, "speed": -1},
    "engine.peak_torque_from_power": {"power": 1, "power_speed": -1, "torque_rise": 1},
    "engine.power_from_torque": {"torque": 1, "speed": 1},
    "engine.pressure_ratio": {"boost": 1},
    "engine.sea_level_torque": {"torque": 1, "altitude_factor": -1},
    "engine.torque_from_bmep": {"displacement": 1, "mean_pressure": 1},
    "engine_routes.quarter_mile_power": {"mass": 1, "end_speed": 1},
    "engine_routes.torque_in_step": {"power": 1, "stock_power": -1, "stock_torque": 1},
    "friction.facing_area": {"outer_radius": 1, "inner_radius": -1, "coverage": 1},
    "heat.energy_per_area": {"energy": 1, "facing_area": -1},
    "hydraulics.bore_area": {"bore": 1},
    "hydraulics.hydraulic_ratio": {"slave_area": 1, "master_area": -1},
    "hydraulics.hydraulic_ratio_of_bores": {"slave_bore": 1, "master_bore": -1},
    "release.bearing_travel": {"pedal_travel": 1, "free_travel": -1, "loss_share": -1, "overall_ratio": -1},
    "release.overall_ratio": {"fork_ratio": 1, "hydraulic_ratio": 1, "pedal_ratio": 1},
    "release.pedal_force": {"bearing_load": 1, "overall_ratio": -1, "efficiency": -1},
    "uncertainty.pooled_median": {"first_median": 1, "second_median": 1},
    "rotor.speed_at_stress": {"stress_limit": 1, "density": -1, "outer_radius": -1},
    "thrust.face_area": {"outer_diameter": 1, "inner_diameter": -1, "arc_deg": 1, "groove_share": -1},
    "thrust.handbook_load_limit": {"face_area": 1, "pressure_limit": 1},
}
#: Functions that give a negative number where their arguments ask for it.
OF_EITHER_SIGN = ("arithmetic.difference", "arithmetic.part_way", "arithmetic.total", "arithmetic.scaled")


def formula_of(calculation: Calculation, *, products: bool = True) -> Formula | None:
    """The formula of a calculation, or None where it is not written out or a unit is converted on the way.

    ``products``: also where two facts are multiplied with each other.
    """
    formula = FORMULAS.get(calculation.function)
    inputs = dict(calculation.inputs)
    if formula is None or any(given.source not in ("fact", "value") for given in inputs.values()):
        return None
    facts = [keyword for keyword in PRODUCTS if keyword in inputs and inputs[keyword].source == "fact"]
    if len(facts) > 1 and not products:
        return None
    return formula if all(_as_it_is(*units) for units in _conversions(calculation)) else None


def _conversions(calculation):
    wanted = dict(calculation.units)
    yield calculation.result_unit, calculation.unit
    for keyword, given in calculation.inputs:
        yield given.unit or "any", wanted.get(keyword, "any")


def _as_it_is(source: str, target: str) -> bool:
    """Does a number stay what it is between two units?"""
    if "any" in (source, target) or source == target:
        return True
    return tuple(scale(source, target)) == (1.0, 1.0, 0.0)


def directions_of(calculation: Calculation) -> Mapping[str, int]:
    """Fact -> +1 or -1 for the facts a calculation goes one way with; one that stands in two arguments is left out."""
    ways = DIRECTIONS.get(calculation.function, {})
    by_name: dict[str, int] = {}
    for keyword, given in calculation.inputs:
        if given.source == "fact":
            way = ways.get(keyword, 0)
            by_name[given.name] = way if by_name.get(given.name, way) == way else 0
    return {name: way for name, way in by_name.items() if way}
