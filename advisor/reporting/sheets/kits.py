"""The kits that fit the car, as a table, each with the first reason it fails."""

from ...deciding.decision_record import JudgedKit
from .blocks import Parts, Table, table
from .page import Page

#: Measure of the first failed must -> (letter in the plane, words of the key); the first that matches counts.
WHY = (
    ("H", "does not hold", ("capacity", "holding")),
    ("C", "too much for the crankshaft", ("bearing_load", "thrust")),
    ("T", "too hot", ("hottest", "plate_over", "surface", "launch_energy", "start_energy", "facing_pressure")),
    ("N", "too noisy", ("noise",)),
    ("U", "take-up too abrupt", ("take_up",)),
    ("P", "pedal too heavy", ("pedal",)),
    ("R", "does not release, or its stop finds no room", ("bearing_travel", "release_reserve", "lift")),
    ("S", "not tested, or not made, for this speed", ("speed", "burst", "spin", "max_speed", "flywheel")),
    ("F", "facing not for this use", ("facing",)),
    ("G", "gearbox or inertia", ("gearbox", "inertia", "damper")),
)
OTHER = ("O", "another reason")


def why(page: Page, kit: JudgedKit) -> tuple[str, str] | None:
    """(letter, words) for why a kit fails, by its first failed or unknown must, safety first."""
    for check in kit.refused_by:
        measure = page.record.requirements[check.requirement].measure
        for letter, words, names in WHY:
            if measure.startswith(names):
                return letter, words
        return OTHER
    return None


def kits_table(page: Page) -> Table:
    """The kits that fit the car, gentlest first: verdict and the first reason."""
    rows = []
    for kit in page.record.fitting:
        place = page.kit_index(kit.id)
        reason: Parts = "-"
        if kit.refused_by:
            reason = page.failure(kit.refused_by[0], "kits", place, "failed" if kit.failed else "unknown", 0)
        letter = why(page, kit)
        verdict = kit.verdict + (f" ({letter[0]})" if letter else "")
        rows.append(
            (
                page.name(kit.id, "kits", place, "id"),
                verdict,
                page.value("holding_margin", kit.figures.get("holding_margin"), f"figure/{kit.id}/holding_margin"),
                page.value("pedal_force_n", kit.figures.get("pedal_force_n"), f"figure/{kit.id}/pedal_force_n"),
                reason,
            )
        )
    return table(
        "Kits that fit the car, gentlest first",
        ("kit", "verdict", "held over required", "pedal force", "first reason"),
        rows,
    )
