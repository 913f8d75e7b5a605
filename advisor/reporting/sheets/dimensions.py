"""Dimensions of the arrangement, by the capital letters of the drawn section."""

from .blocks import Blank, Table, table
from .page import Page


def arrangement(page: Page) -> str:
    """How the bearing is moved: pull, concentric, cable or hydraulic_fork; None where nobody knows."""
    if page.field_value("action") == "pull":
        return "pull"
    return page.fact_value("release_actuation")


def stop_is_the_floor(page: Page) -> bool:
    """Whether the pedal's own stop is where a stop would stand."""
    travel, stop = page.fact_value("pedal_travel"), page.figure_value("pedal_stop_mm")
    return None not in (travel, stop) and stop >= travel


def measure_rows(page: Page) -> Table:
    """A table: what to measure, where, the maker's figure, and a blank for the reading."""
    fields = page.fields(page.picked)
    rows = []
    listed: tuple[tuple[str, str, str | None], ...] = (
        ("A", "disc diameter over the facings, half of it drawn", "outer_diameter"),
        ("B", "inner diameter of the facing, half of it drawn", "inner_diameter"),
        ("C", "crankshaft flange to finger tips, clutch bolted up", "pack_depth"),
        ("D", "bearing face to finger tips, pedal up", None),
        ("E", "bearing travel at clean release", "bearing_travel_needed"),
        ("F", "most bearing travel", "bearing_travel_max"),
        ("G", "stack from flywheel face to the pressure plate's back", None),
    )
    if arrangement(page) == "concentric":
        listed += (
            ("H", "joint of block and housing to finger tips, clutch bolted up", None),
            ("J", "joint of block and housing to bearing face, piston fully back", None),
        )
    for letter, what, field in listed:
        if letter == "D" and fields["action"] == "pull":
            continue  # a pull bearing is locked into the fingers
        maker = (
            "-" if field is None else page.field(field) if fields.get(field) is not None else "not given, ask the maker"
        )
        rows.append((letter, what, maker, Blank(f"reading of {what}", "mm")))
    return table(
        "What to measure, and the maker's figure where there is one",
        ("letter", "where", "maker's figure", "measured"),
        rows,
    )
