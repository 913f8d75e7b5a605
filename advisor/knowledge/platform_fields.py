"""What a platform's record may hold, by dotted path."""

from typing import NamedTuple


class PlatformNumber(NamedTuple):
    """A number of a platform's record: its ``unit`` and the sane range, ``low`` to ``high`` in it; judgement."""

    unit: str
    low: float
    high: float


#: Every number of a platform. Where a fact reads it the record is in the fact's own unit.
NUMBERS = {
    "mass": PlatformNumber("kg", 300, 6000),
    "weight_on_driven": PlatformNumber("1", 0.2, 1),
    "wheelbase": PlatformNumber("m", 1, 6),
    "cg_height": PlatformNumber("m", 0.2, 1.5),
    "tyre_radius": PlatformNumber("m", 0.2, 0.6),
    "gear_ratios": PlatformNumber("1", 0.3, 8),
    "final_drive": PlatformNumber("1", 1, 8),
    "gearbox_torque_rating": PlatformNumber("N m", 50, 3000),
    "gearbox_inertia": PlatformNumber("kg m2", 0.0002, 0.05),
    "stock.torque": PlatformNumber("N m", 20, 2000),
    "stock.torque_speed": PlatformNumber("rpm", 500, 14000),
    "stock.power": PlatformNumber("kW", 10, 1000),
    "stock.power_speed": PlatformNumber("rpm", 1000, 15000),
    "engine.cylinders": PlatformNumber("1", 1, 16),
    "engine.displacement": PlatformNumber("cm3", 300, 12000),
    "engine.redline_rpm": PlatformNumber("rpm", 2000, 15000),
    "engine.idle_rpm": PlatformNumber("rpm", 400, 2000),
    "engine.inertia": PlatformNumber("kg m2", 0.01, 1),
    "thrust_face.outer_diameter": PlatformNumber("mm", 30, 250),
    "thrust_face.inner_diameter": PlatformNumber("mm", 20, 220),
    "thrust_face.arc_deg": PlatformNumber("deg", 180, 360),
    "thrust_face.groove_share": PlatformNumber("1", 0, 0.6),
    "release.master_bore": PlatformNumber("mm", 10, 40),
    "release.slave_bore": PlatformNumber("mm", 10, 60),
    "release.slave_area": PlatformNumber("mm2", 200, 3000),
    "release.fork_ratio": PlatformNumber("1", 1, 4),
    "release.pedal_ratio": PlatformNumber("1", 2, 12),
    "release.pedal_travel": PlatformNumber("mm", 60, 260),
    "release.free_travel": PlatformNumber("mm", 0, 60),
    "flywheel.inertia": PlatformNumber("kg m2", 0.01, 1.5),
    "flywheel.mass": PlatformNumber("kg", 1, 60),
    "flywheel.outer_diameter": PlatformNumber("mm", 120, 500),
    "flywheel.bore": PlatformNumber("mm", 10, 200),
    "flywheel.engine_side_inertia": PlatformNumber("kg m2", 0.01, 0.6),
    "flywheel.gearbox_side_inertia": PlatformNumber("kg m2", 0.005, 0.6),
    "flywheel.spring_stiffness": PlatformNumber("N m/rad", 25, 6000),
    "motor.torque": PlatformNumber("N m", 5, 600),
    "friction_diameter_max": PlatformNumber("mm", 100, 450),
    "housing_depth": PlatformNumber("mm", 20, 300),
}
#: Pairs (inner, outer) of diameters, the first of which must be the smaller.
INSIDE = (
    ("thrust_face.inner_diameter", "thrust_face.outer_diameter"),
    ("flywheel.bore", "flywheel.outer_diameter"),
)
CHOICES = {
    "vehicle": ("car", "motorcycle", "heavy_lorry"),
    "motor.place": ("none", "before_clutch", "after_clutch"),
    "driven_axle": ("front", "rear", "all"),
    "gear_change": ("synchro", "dog"),
    "engine.aspiration": ("natural", "turbo", "supercharged"),
    "engine.fuel": ("petrol", "diesel"),
    "thrust_face.face": ("flat", "tapered"),
    "release.action": ("push", "pull"),
    "release.actuation": ("cable", "hydraulic_fork", "concentric"),
    "release.bearing_face": ("flat", "curved", "concentric"),
    "flywheel.kind": ("single_mass", "dual_mass"),
    "flywheel.material": ("grey_iron", "ductile_iron", "steel", "aluminium"),
}
#: The last of the gear ratios, whatever their number.
TOP_GEAR = "gear_ratios.top"
TEXTS = ("id", "title", "stock.clutch", "spline", "bolt_pattern", "note")
FLAGS = ("invented", "release.self_adjusting_cover")
PLATFORM_PATHS = tuple(NUMBERS) + tuple(CHOICES) + TEXTS + FLAGS


def platform_path_known(path: str) -> bool:
    """Can a fact be read from this path of a platform record?"""
    head, _, index = path.rpartition(".")
    return path in (*PLATFORM_PATHS, TOP_GEAR) or (index.isdigit() and head == "gear_ratios")
