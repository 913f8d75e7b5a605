"""What a platform's record may hold, by dotted path."""

NUMBERS = {  # unit of every number of a platform that no fact reads; a fact's own unit comes first
    "mass": "kg",
    "weight_on_driven": "1",
    "wheelbase": "m",
    "cg_height": "m",
    "tyre_radius": "m",
    "gear_ratios": "1",
    "final_drive": "1",
    "gearbox_torque_rating": "N m",
    "gearbox_inertia": "kg m2",
    "stock.torque": "N m",
    "stock.torque_speed": "rpm",
    "stock.power": "kW",
    "stock.power_speed": "rpm",
    "engine.cylinders": "1",
    "engine.displacement": "cm3",
    "engine.redline_rpm": "rpm",
    "engine.idle_rpm": "rpm",
    "engine.inertia": "kg m2",
    "thrust_face.outer_diameter": "mm",
    "thrust_face.inner_diameter": "mm",
    "thrust_face.arc_deg": "deg",
    "thrust_face.groove_share": "1",
    "release.master_bore": "mm",
    "release.slave_bore": "mm",
    "release.slave_area": "mm2",
    "release.fork_ratio": "1",
    "release.pedal_ratio": "1",
    "release.pedal_travel": "mm",
    "release.free_travel": "mm",
    "flywheel.inertia": "kg m2",
    "flywheel.mass": "kg",
    "flywheel.outer_diameter": "mm",
    "flywheel.bore": "mm",
    "flywheel.engine_side_inertia": "kg m2",
    "flywheel.gearbox_side_inertia": "kg m2",
    "flywheel.spring_stiffness": "N m/rad",
    "motor.torque": "N m",
    "friction_diameter_max": "mm",
    "housing_depth": "mm",
}
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
