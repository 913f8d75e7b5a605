"""The shop's records read and recomputed by plain arithmetic, without any of the program's own code.

Every check returns complaints as (kit or part id, word) pairs, so that a test can ask for none, or for exactly the
records that are wrong on purpose. Formulas are those of any machine-design text; bands are named where they stand.
"""

import math
import re
from pathlib import Path

import yaml

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"

# Bedded friction medians: judgement, inside the ranges printed for dry clutch facings.
FRICTION = {
    "organic": 0.33,
    "aramid": 0.31,
    "carbon_organic": 0.35,
    "ceramic": 0.38,
    "sintered_iron": 0.33,
    "carbon_carbon": 0.36,
}
# Highest working pressure, MPa: organic, ceramic (cermet) and sintered from Neale (ed.), The Tribology Handbook,
# table 7.4; aramid, blend and carbon are judgement.
PRESSURE = {
    "organic": 0.70,
    "aramid": 0.70,
    "carbon_organic": 0.90,
    "ceramic": 1.40,
    "sintered_iron": 2.80,
    "carbon_carbon": 2.0,
}
PULSATION = {("diesel", 4): 1.08, ("petrol", 3): 1.05}  # judgement
RETURN_SPRING = 15.0  # N at the pedal, common practice, no source
EFFICIENCY = {"cable": 0.75, "hydraulic_fork": 0.85, "concentric": 0.85}  # from memory, Wang, Automobile Design

KIT_UNITS = {
    "outer_diameter": "mm",
    "inner_diameter": "mm",
    "damper_stop_torque": "N m",
    "damper_stiffness": "N m/deg",
    "cushion_travel": "mm",
    "clamp_load": "N",
    "release_load": "N",
    "bearing_travel_needed": "mm",
    "bearing_travel_max": "mm",
    "disc_inertia": "kg m2",
    "own_flywheel.outer_diameter": "mm",
    "own_flywheel.bore": "mm",
    "paddle_angle": "deg",
    "diaphragm.outer_diameter": "mm",
    "diaphragm.inner_diameter": "mm",
    "diaphragm.plate_diameter": "mm",
    "diaphragm.pivot_diameter": "mm",
    "diaphragm.thickness": "mm",
    "diaphragm.cone_height": "mm",
    "diaphragm.set_deflection": "mm",
    "engine_side_inertia": "kg m2",
    "pack_depth": "mm",
    "seller_rating": "N m",
    "plate_masses.flywheel_side": "kg",
    "plate_masses.floater": "kg",
    "plate_masses.pressure": "kg",
}
PLATFORM_UNITS = {
    "mass": "kg",
    "wheelbase": "mm",
    "cg_height": "mm",
    "tyre_radius": "mm",
    "gearbox_torque_rating": "N m",
    "gearbox_inertia": "kg m2",
    "engine.idle_rpm": "rpm",
    "stock.torque": "N m",
    "stock.torque_speed": "rpm",
    "stock.power": "kW",
    "stock.power_speed": "rpm",
    "engine.displacement": "l",
    "engine.inertia": "kg m2",
    "thrust_face.outer_diameter": "mm",
    "thrust_face.inner_diameter": "mm",
    "release.master_bore": "mm",
    "release.slave_bore": "mm",
    "release.slave_area": "mm2",
    "release.pedal_travel": "mm",
    "release.free_travel": "mm",
    "flywheel.inertia": "kg m2",
    "flywheel.mass": "kg",
    "flywheel.outer_diameter": "mm",
    "flywheel.bore": "mm",
    "flywheel.engine_side_inertia": "kg m2",
    "flywheel.gearbox_side_inertia": "kg m2",
    "flywheel.spring_stiffness": "N m/deg",
    "friction_diameter_max": "mm",
    "housing_depth": "mm",
}


class _PlainLoader(getattr(yaml, "CSafeLoader", yaml.SafeLoader)):
    """YAML in which yes and no stay text."""


_PlainLoader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in resolvers if not tag.endswith(":bool")]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def read(folder):
    """All records of ``scenarios/<folder>`` in file order."""
    records = []
    for path in sorted((SCENARIOS / folder).glob("*.yaml")):
        content = yaml.load(path.read_text(encoding="utf-8"), Loader=_PlainLoader)
        assert list(content) == [folder], f"{path.name} holds something besides {folder}"
        records += content[folder]
    return records


def at(record, path):
    """The value at a dotted path, or None."""
    for step in path.split("."):
        record = record.get(step) if isinstance(record, dict) else None
    return record


def number(record, path):
    """The number in front of the unit, nan where the maker gives none."""
    value = at(record, path)
    if value is None:
        return math.nan
    return float(value.split()[0]) if isinstance(value, str) else float(value)


def wrong_units(records, units):
    """Ids and paths of quantities that are not a positive number with the expected unit."""
    return [
        (record["id"], path)
        for record in records
        for path, unit in units.items()
        if at(record, path) is not None and not re.fullmatch(rf"\d+(\.\d+)? {re.escape(unit)}", str(at(record, path)))
    ]


def ring_area(outer, inner):
    """Area of a ring, mm2 from mm."""
    return math.pi / 4 * (outer**2 - inner**2)


def ring_mass(density, outer, inner, thickness):
    """Mass of a ring, kg from kg/m3 and mm."""
    return density * ring_area(outer, inner) * thickness * 1e-9


def ring_inertia(mass, outer, inner):
    """Inertia of a ring about its axis, kg m2 from kg and mm: half the mass times the sum of both radii squared."""
    return mass / 2 * ((outer / 2000) ** 2 + (inner / 2000) ** 2)


# --- the car -----------------------------------------------------------------------------------------------------


def overall_ratio(platform):
    """Pedal to bearing: pedal lever, hydraulic areas, fork lever."""
    release = platform["release"]
    ratio = release["pedal_ratio"] * release.get("fork_ratio", 1.0)
    if release["actuation"] == "cable":
        return ratio
    master = math.pi / 4 * number(platform, "release.master_bore") ** 2
    slave = number(platform, "release.slave_area")
    if math.isnan(slave):
        slave = math.pi / 4 * number(platform, "release.slave_bore") ** 2
    return ratio * slave / master


def travel_available(platform):
    """Bearing travel the pedal gives, mm."""
    used = number(platform, "release.pedal_travel") - number(platform, "release.free_travel")
    return used / overall_ratio(platform)


def pedal_force(platform, bearing_load):
    """Force at the pedal, N."""
    return bearing_load / (overall_ratio(platform) * EFFICIENCY[platform["release"]["actuation"]]) + RETURN_SPRING


def thrust_area(platform):
    """Loaded area of the crankshaft's thrust face, mm2."""
    face = platform["thrust_face"]
    whole = ring_area(number(platform, "thrust_face.outer_diameter"), number(platform, "thrust_face.inner_diameter"))
    return whole * (1 - face["groove_share"]) * face["arc_deg"] / 360


def pulsation(platform):
    """How far the peaks of a rough engine stand above its mean torque."""
    return PULSATION.get((platform["engine"]["fuel"], platform["engine"]["cylinders"]), 1.0)


def flat_start_energy(platform):
    """Heat of one flat start, J: engine held at 2000 rpm, or 1500 for diesels and from 380 N m on; half the peak
    torque.

    E = Jv w^2/2 * Tc/(Tc - Tr), the energy of a slip against a constant load with the engine's speed held.
    """
    gearing = platform["gear_ratios"][0] * platform["final_drive"]
    radius = number(platform, "tyre_radius") / 1000
    torque = number(platform, "stock.torque")
    speed = 2000 - 500 * min(max((torque - 300) / 80, 0), 1)  # a ramp from 300 to 380 N m: judgement
    speed = (1500 if platform["engine"]["fuel"] == "diesel" else speed) * math.pi / 30
    load = number(platform, "mass") * 9.80665 * 0.013 * radius / (gearing * 0.92)
    inertia = number(platform, "mass") * (radius / gearing) ** 2
    return inertia * speed**2 / 2 * (torque / 2) / (torque / 2 - load)


# --- the kit -----------------------------------------------------------------------------------------------------


def capacity(kit, friction=None):
    """Torque a new, bedded clutch holds, N m: faces x friction x clamp load x mean radius by uniform wear."""
    mean_radius = (number(kit, "outer_diameter") + number(kit, "inner_diameter")) / 4000
    return 2 * kit["discs"] * (friction or FRICTION[kit["facing"]]) * number(kit, "clamp_load") * mean_radius


def diaphragm_load(kit, wear):
    """Clamp load of a measured diaphragm, N, by the disc-spring formula of Almen and Laszlo, in N and mm.

    The plate presses and the cover holds inside the ring's edges, so the ring bends further than the plate moves.
    """
    spring = {name: number(kit, f"diaphragm.{name}") for name in kit["diaphragm"]}
    outer, inner = spring["outer_diameter"] / 2, spring["inner_diameter"] / 2
    lever = (outer - inner) / abs(spring["plate_diameter"] - spring["pivot_diameter"]) * 2
    bent, thick, cone = lever * (spring["set_deflection"] - wear), spring["thickness"], spring["cone_height"]
    steel = math.pi * 206_000 * thick * bent / (6 * (1 - 0.3**2))
    return (
        lever * steel * math.log(outer / inner) / (outer - inner) ** 2 * ((cone - bent) * (cone - bent / 2) + thick**2)
    )


def worn_factor(kit):
    """Clamp load left when worn: as stated, or by the diaphragm after 0.8 mm of wear on each face of a single."""
    if "diaphragm" not in kit:
        return kit["worn_clamp_factor"]
    return diaphragm_load(kit, 1.6) / diaphragm_load(kit, 0)


def worn_margin(kit, platform):
    """Worn, bedded capacity over the torque of the standard engine."""
    return capacity(kit) * worn_factor(kit) / (number(platform, "stock.torque") * pulsation(platform))


def facing_area(kit):
    """Friction area of all faces, mm2."""
    one = ring_area(number(kit, "outer_diameter"), number(kit, "inner_diameter")) * kit["facing_coverage"]
    return 2 * kit["discs"] * one


def peak_pressure(kit):
    """Pressure at the inner edge, MPa, where uniform wear puts the peak: F / (2 pi ri (ro - ri) coverage)."""
    outer, inner = number(kit, "outer_diameter") / 2, number(kit, "inner_diameter") / 2
    return number(kit, "clamp_load") / (2 * math.pi * inner * (outer - inner) * kit["facing_coverage"])


def disc_ring_inertia(kit):
    """Inertia of all bare friction rings, kg m2: two facings of 3.5 mm, or 2.6 mm of steel, or 6 mm of carbon."""
    density, thickness = {"sintered_iron": (7850, 2.6), "carbon_carbon": (1750, 6.0)}.get(kit["facing"], (1700, 7.0))
    outer, inner = number(kit, "outer_diameter"), number(kit, "inner_diameter")
    return kit["discs"] * ring_inertia(ring_mass(density, outer, inner, thickness), outer, inner)


def plate_ring_inertia(kit):
    """Inertia of pressure plate and floaters as rings of their stated mass, kg m2."""
    outer, inner = number(kit, "outer_diameter"), number(kit, "inner_diameter")
    mass = number(kit, "plate_masses.pressure")
    if kit["discs"] > 1:
        mass += (kit["discs"] - 1) * number(kit, "plate_masses.floater")
    return ring_inertia(mass, outer, inner)


def kit_complaints(kit, platforms):
    """Everything about one kit that does not hang together, as a set of words."""
    found = set()
    fits = [platforms[name] for name in kit["fits"]]
    discs, single = kit["discs"], kit["discs"] == 1
    outer, inner, clamp = number(kit, "outer_diameter"), number(kit, "inner_diameter"), number(kit, "clamp_load")
    ratio, release = number(kit, "release_ratio"), number(kit, "release_load")
    needed, stop = number(kit, "bearing_travel_needed"), number(kit, "bearing_travel_max")

    def check(word, holds):
        if not holds:
            found.add(word)

    # Facing widths of car clutches: inner over outer diameter 0.53 to 0.75 (from memory, Wang, Automobile Design).
    check("radii", 0.53 <= inner / outer <= 0.75)
    form = (kit["disc_form"], kit.get("paddles"))
    bands = {("full_face", None): (0.80, 1.0), ("paddle", 6): (0.45, 0.65), ("paddle", 4): (0.35, 0.55)}
    coverage = bands.get(form, (2, 2))
    check("coverage", coverage[0] <= kit["facing_coverage"] <= coverage[1])
    check("pressure", peak_pressure(kit) <= PRESSURE[kit["facing"]])
    check("clamp", 3500 <= clamp <= 15000)  # common practice, no source
    check("worn", 0.84 <= worn_factor(kit) <= 0.96)  # judgement
    # Cushion: 0.6 to 1.2 mm for passenger discs, 0 to 0.3 without a cushion (from memory); thin ones between.
    check("cushion", 0 <= number(kit, "cushion_travel") <= 1.2)
    check("solid and cushioned", kit["hub"] == "sprung" or number(kit, "cushion_travel") == 0)

    if "diaphragm" in kit:  # the record's clamp load lies within the tolerance of a cover, 5 %, of its spring's
        check("diaphragm", single and abs(diaphragm_load(kit, 0) / clamp - 1) <= 0.05)
    missing = [math.isnan(value) for value in (ratio, release, needed, stop)]
    check("no release data", not any(missing))
    if not any(missing):
        # Lever ratio of push covers 2.3 to 4.5 (Wang, Automobile Design, read in excerpt); pull covers and packs up to
        # 5 (from memory).
        top = 4.5 if kit["action"] == "push" and single else 5.0
        check("release ratio", 2.3 <= ratio <= top)
        # Worn peak 1.05 to 1.10 of new clamp over ratio, pivot friction 5 to 10 % (computed and common practice).
        check("release load", 1.05 * 1.03 <= release * ratio / clamp <= 1.10 * 1.10)
        gaps = (0.35, 0.35) if single else (0.25, 0.30)
        bend = ((1.5, 1.5) if kit["action"] == "push" else (0.9, 0.9)) if single else (0.9, 1.2)
        low, high = ((2 * discs * g + discs * number(kit, "cushion_travel")) * ratio + b for g, b in zip(gaps, bend))
        check("travel needed", low - 0.06 <= needed <= high + 0.06)
        check("travel limit", needed + 0.5 <= stop <= needed + 8.5)

    # A whole 240 mm sprung disc is 0.005 to 0.008 kg m2 (common practice), twice its bare facings.
    low, high = {
        ("paddle", "sprung"): (1.4, 2.2),
        ("paddle", "solid"): (1.0, 1.7),
        ("full_face", "solid"): (0.9, 1.6),
    }.get((kit["disc_form"], kit["hub"]), (1.6, 2.6))
    check("disc inertia", low <= number(kit, "disc_inertia") / disc_ring_inertia(kit) <= high)
    plates, whole = plate_ring_inertia(kit), number(kit, "engine_side_inertia")
    for platform in fits:
        if kit["flywheel"] == "reuse":
            # Pressure plate rings leave out the pressing and the spring: about as much again.
            check("engine-side inertia", 1.3 <= (whole - number(platform, "flywheel.inertia")) / plates <= 2.6)
        else:
            circle = float(kit["bolt_pattern"].split()[-2])
            flywheel = ring_inertia(number(kit, "plate_masses.flywheel_side"), circle + 16, 60)
            check("engine-side inertia", 1.0 <= whole / (flywheel + plates) <= 1.6)
    check("floater", single == ("floater" not in kit["plate_masses"]))
    density = 1750 if kit["facing"] == "carbon_carbon" else 7850
    if not single:
        thickness = number(kit, "plate_masses.floater") / ring_mass(density, outer, inner, 1.0)
        check("floater", 5.5 <= thickness <= 10)
    thickness = number(kit, "plate_masses.pressure") / ring_mass(7200 if density > 2000 else 1750, outer, inner, 1.0)
    check("pressure plate", 8 <= thickness <= (23 if density > 2000 else 35))

    # Crank flange to finger tips: flywheel, cover and diaphragm, then discs and floaters between them.
    low, high = 20 + 32 + 3 * discs + 5 * (discs - 1), 46 + 40 + 8 * discs + 9 * (discs - 1)
    check("stack", low <= number(kit, "pack_depth") <= high)

    stop_torque = number(kit, "damper_stop_torque")
    check("damper on a solid hub", kit["hub"] == "sprung" or math.isnan(stop_torque))
    if kit["factory"] == "yes":
        torque = number(fits[0], "stock.torque")  # 1.5 to 2.0 (from memory, Wang)
        check("damper", 1.5 <= stop_torque / torque <= 2.0)
    elif not math.isnan(stop_torque):
        held = capacity(kit) * worn_factor(kit) / 1.2  # 1.3 at least (common practice)
        check("damper", 1.3 * 0.95 <= stop_torque / held <= 2.0)
    # A claim more than two spreads (0.11 to 0.13) above the new, bedded median cannot be right.
    check("rating", 0.6 <= number(kit, "seller_rating") / capacity(kit) <= 1.25)

    for platform in fits:
        check("spline", kit["spline"] == platform["spline"])
        check("bolt pattern", kit["bolt_pattern"] == platform["bolt_pattern"])
        check("action", kit["action"] == platform["release"]["action"])
        check("too deep", number(kit, "pack_depth") <= number(platform, "housing_depth"))
        check("too large", kit["flywheel"] != "reuse" or outer <= number(platform, "friction_diameter_max"))
        check("too little travel", math.isnan(needed) or needed <= travel_available(platform))
        check("speed", kit["max_speed_rpm"] >= platform["engine"]["redline_rpm"])
        check(
            "flywheel kept",
            kit["flywheel"] != "reuse"
            or number(kit, "plate_masses.flywheel_side") == number(platform, "flywheel.mass"),
        )
    return found
