"""A car and its owner as they are: the true value of every fact that may be asked, consistent among themselves."""

import random
from dataclasses import dataclass

from .engines import KW_PER_NM_RPM, air_share, engine, quarter_mile_speed
from .shares import choose, cut_lognormal, cut_normal, table

#: Fact of the car -> dotted path of the platform's record.
ON_FILE = {
    "displacement": "engine.displacement",
    "cylinders": "engine.cylinders",
    "aspiration": "engine.aspiration",
    "fuel": "engine.fuel",
    "driven_axle": "driven_axle",
    "first_gear_ratio": "gear_ratios.0",
    "final_drive": "final_drive",
    "gear_change": "gear_change",
    "gearbox_torque_rating": "gearbox_torque_rating",
    "thrust_arc_deg": "thrust_face.arc_deg",
    "release_actuation": "release.actuation",
    "release_action": "release.action",
    "release_bearing_face": "release.bearing_face",
    "master_bore": "release.master_bore",
    "slave_bore": "release.slave_bore",
    "slave_area": "release.slave_area",
    "fork_ratio": "release.fork_ratio",
    "pedal_ratio": "release.pedal_ratio",
    "pedal_travel": "release.pedal_travel",
    "flywheel_kind": "flywheel.kind",
    "flywheel_material": "flywheel.material",
    "friction_diameter_max": "friction_diameter_max",
    "housing_depth": "housing_depth",
    "spline": "spline",
    "bolt_pattern": "bolt_pattern",
    "cover_self_adjusts": "release.self_adjusting_cover",
    "hybrid_drive": "motor.place",
    "motor_torque_added": "motor.torque",
    "kind_of_vehicle": "vehicle",
}
#: What is true where a record that holds a car says nothing of it.
UNSAID = {
    "cover_self_adjusts": False,
    "hybrid_drive": "none",
    "kind_of_vehicle": "car",
    "converted_from_automatic": False,
    "gearbox_out": False,
}
#: Nobody here keeps half a clutch or knows of a weaker part behind the gearbox.
NEVER = ("cover_history", "cover_clamp_measured", "next_weakest_rating")
COMPETES = ("road_course", "drag_only", "street_and_drag", "drift", "rally")


@dataclass(frozen=True, slots=True)
class Truth:
    """One car with its owner.

    ``answers``: fact -> value in the vocabulary's unit (torque and power at the flywheel, as a test bed at
    ``torque_test_altitude`` shows them). ``none``: facts that do not apply: no trailer, no nitrous, no budget, no slip.
    ``loss``: share of torque and power that this car loses between flywheel and rollers.
    """

    seed: object
    platform: object
    engine: object
    answers: dict
    none: frozenset
    loss: float
    quarter_mile_constant: float

    @property
    def use(self):
        """What the car is used for."""
        return self.answers["main_use"]

    @property
    def wheel_torque(self):
        """Peak torque a roller shows [N m]."""
        return self.answers["engine_torque"] * (1 - self.loss)

    @property
    def wheel_power(self):
        """Peak power a roller shows [kW]."""
        return self.answers["engine_power"] * (1 - self.loss)


def group_of(fields):
    """What kind of car a platform is, by its record: hauler, all_drive, large, light, coupe or hatch."""
    if fields["engine.fuel"] == "diesel":
        return "hauler"
    if fields["driven_axle"] == "all":
        return "all_drive"
    if fields["engine.displacement"] >= 4000:
        return "large"
    if fields["driven_axle"] == "front":
        return "hatch"
    return "light" if fields["mass"] < 1200 else "coupe"


def truth(seed, platforms, *, platform=None):
    """The `Truth` of that seed, on one of ``platforms`` (records with ``id`` and ``fields``) or on that ``platform``
    id.
    """
    pick = random.Random(f"truth {seed}")
    drawn = pick.choice(platforms)
    car = drawn if platform is None else next(record for record in platforms if record.id == platform)
    fields, group = car.fields, group_of(car.fields)
    use = choose(pick, table()["uses"][group])
    motor = engine(pick, fields, table()["standard_engine"][use])
    answers = UNSAID | {name: fields[path] for name, path in ON_FILE.items() if path in fields}
    none = {*NEVER, *(name for name in ON_FILE if name not in answers)}
    answers.update({"main_use": use, "aspiration": motor.aspiration})
    constant = cut_normal(pick, table()["spreads"]["quarter_mile"])
    _car(pick, answers, fields, use)
    _engine(pick, answers, none, motor, use, constant)
    _driving(pick, answers, none, motor, group)
    _wishes(pick, answers, none, use)
    _present_clutch(pick, answers, none, motor)
    loss = cut_normal(pick, table()["spreads"][f"loss_{answers['driven_axle']}"])
    return Truth(seed, car, motor, answers, frozenset(none), loss, constant)


def _chance(pick, habit, use, otherwise=0.0):
    return pick.random() < table()["habits"][habit].get(use, otherwise)


def _car(pick, answers, fields, use):
    spreads = table()["spreads"]
    stripped = cut_normal(pick, spreads["stripped"]) if _chance(pick, "stripped", use) else 1.0
    answers["vehicle_mass"] = fields["mass"] * cut_normal(pick, spreads["mass"]) * stripped
    answers["tyre_radius"] = round(fields["tyre_radius"] * cut_normal(pick, spreads["tyre"]), 3)
    if _chance(pick, "gearbox_swapped", use):
        answers["first_gear_ratio"] = round(answers["first_gear_ratio"] * pick.uniform(0.9, 1.0), 2)
        answers["gearbox_torque_rating"] = 10.0 * round(answers["gearbox_torque_rating"] * pick.uniform(0.13, 0.17))
        answers["gear_change"] = "dog" if pick.random() < 0.4 else "synchro"
    answers["clutchless_shifts"] = answers["gear_change"] == "dog" and pick.random() < 0.5
    if fields["flywheel.kind"] == "single_mass" and _chance(pick, "lighter_flywheel", use):
        answers["flywheel_material"] = pick.choice(("steel", "aluminium"))
        answers["flywheel_inertia"] = fields["flywheel.inertia"] * pick.uniform(0.6, 0.8)
    answers["pedal_stop_fitted"] = _chance(pick, "pedal_stop", use)
    answers["self_adjuster"] = fields["release.actuation"] != "cable" or pick.random() < 0.3
    answers["crank_end_float"] = round(pick.uniform(0.08, 0.25), 2)


def _engine(pick, answers, none, motor, use, constant):
    high = 50.0 * pick.randint(4, 16) if pick.random() < table()["habits"]["tested_high_up"] else 0.0
    shown = motor.curve.scaled(air_share(high)) if motor.aspiration == "natural" else motor.curve
    answers.update(
        {
            "engine_state": "standard" if motor.standard else "modified",
            "engine_torque": shown.torque,
            "torque_measured_at": "flywheel",
            "engine_power": shown.power,
            "power_measured_at": "flywheel",
            "engine_power_speed_rpm": shown.power_speed,
            "torque_test_altitude": high,
            "quarter_mile_speed": quarter_mile_speed(shown.power, answers["vehicle_mass"], constant),
            "torque_growth_percent": 0.0,
            "overboost_percent": 0.0,
        }
    )
    if motor.standard:
        none.add("engine_changes")
    else:
        answers["engine_changes"] = motor.change
    if motor.aspiration == "natural":
        none.add("boost_pressure")
    else:
        answers["boost_pressure"] = motor.boost
        if not motor.standard and pick.random() < table()["habits"]["overboost"]:
            answers["overboost_percent"] = float(pick.randint(3, 10))
    if _chance(pick, "growth_planned", use):
        answers["torque_growth_percent"] = float(pick.choice((5, 10, 10, 15, 20, 30)))
    if motor.fuel == "petrol" and not motor.standard and _chance(pick, "nitrous", use):
        answers["nitrous_power"] = float(pick.choice((20, 35, 55, 75)))
        answers["nitrous_speed_rpm"] = 100.0 * round(pick.uniform(0.45, 0.65) * motor.curve.red_line / 100)
    else:
        none.update(("nitrous_power", "nitrous_speed_rpm"))


def _driving(pick, answers, none, motor, group):
    use, habits = answers["main_use"], table()["habits"]
    answers["stop_and_go"] = choose(pick, habits["stop_and_go"][use])
    answers["tyre_grip"] = choose(pick, habits["tyre_grip"][use])
    answers["hill_starts"] = "often" if _chance(pick, "hills_often", use) else "rare"
    answers["hill_grade"] = float(pick.randint(*habits["hill_grade"][answers["hill_starts"]]))
    answers["start_altitude"] = 100.0 * pick.randint(2, 10) if pick.random() < habits["lives_high_up"] else 0.0
    answers["sanctioned_racing"] = _chance(pick, "racing", use)
    answers["bedding_in_possible"] = _chance(pick, "can_bed_in", use)
    low, high = (0.93, 1.0) if use in COMPETES else (0.75, 0.95)
    answers["shift_speed_rpm"] = motor.curve.red_line * pick.uniform(low, high)
    if _chance(pick, "launches", use):
        answers["hard_launches_per_day"] = float(pick.randint(*habits["launches_a_day"][use]))
        answers["launch_days_per_year"] = float(pick.randint(*habits["launch_days"][use]))
        answers["launch_speed_rpm"] = max(answers["shift_speed_rpm"] * pick.uniform(0.4, 0.7), 1500.0)
    else:
        answers.update({"hard_launches_per_day": 0.0, "launch_days_per_year": 0.0})
        none.add("launch_speed_rpm")
    launches = answers["hard_launches_per_day"] > 0
    answers["held_by_launch_control"] = launches and not motor.standard and _chance(pick, "launch_control", use)
    answers["anti_lag"] = (
        answers["held_by_launch_control"] and motor.aspiration == "turbo" and pick.random() < habits["anti_lag"]
    )
    if use == "towing":
        answers["towed_mass"] = 50.0 * round(pick.uniform(750, 1.2 * answers["vehicle_mass"]) / 50)
    elif pick.random() < max(habits["small_trailer"].get(use, 0.0), habits["small_trailer"].get(group, 0.0)) and (
        use not in COMPETES
    ):
        answers["towed_mass"] = 50.0 * pick.randint(6, 15)
    else:
        none.add("towed_mass")


def _wishes(pick, answers, none, use):
    habits = table()["habits"]
    for name in ("pedal_tolerance", "noise_tolerance", "take_up_tolerance", "installer"):
        answers[name] = choose(pick, habits[name][use])
    if _chance(pick, "budget_named", use):
        answers["budget"] = 50.0 * round(cut_lognormal(pick, habits["budget_middle"][use], 0.4, 200, 8000) / 50)
    else:
        none.add("budget")


def _present_clutch(pick, answers, none, motor):
    ratio = motor.curve.torque / motor.factory.torque
    states = table()["present_clutch"]
    state = choose(
        pick, next((states[f"below_{limit}"] for limit in (1.05, 1.25, 1.45) if ratio < limit), states["above"])
    )
    answers.update({"present_clutch_condition": state, "kept_half": "none"})
    answers.update({"oil_in_housing": False, "pedal_free_play": True})
    answers["pedal_bite"] = pick.choice(("near_floor", "middle", "near_top"))
    follow = {"slip_when": "slips", "pumping_helps": "drags", "noise_when": "noisy"}
    none.update(name for name, cause in follow.items() if cause != state)
    if state == "slips":
        tuned = {"peak_torque_only": 0.7, "hot_only": 0.2, "any_load": 0.1}
        answers["slip_when"] = choose(pick, tuned if ratio > 1.05 else {"any_load": 0.6, "peak_torque_only": 0.4})
        answers["oil_in_housing"] = pick.random() < 0.08
    elif state == "drags":
        cable = answers["release_actuation"] == "cable"
        answers["pumping_helps"] = not cable and pick.random() < 0.4
        answers["pedal_bite"] = "near_floor"
    elif state == "noisy":
        answers["noise_when"] = pick.choice(("pedal_up", "pedal_just_down", "pedal_down_in_gear"))
    elif state == "worn_out":
        answers["pedal_bite"] = "near_top"
    elif state == "not_fitted":
        none.update(("pedal_bite", "pedal_free_play", "oil_in_housing"))
        for name in ("pedal_bite", "pedal_free_play", "oil_in_housing"):
            del answers[name]


def torque_over(power, speed):
    """Torque [N m] that a power [kW] at a speed [rpm] is."""
    return power / (speed * KW_PER_NM_RPM)
