"""The worksheets on a fitter's sheet: what to read, what is on file already, and what was worked out from readings."""

from collections.abc import Iterator, Sequence

from ..worksheets.forms import worksheets
from ..worksheets.working import Worked
from .blocks import Blank, Block, Number, Parts, Quoted, Section, bullets, paragraph, section, table
from .dimensions import arrangement
from .page import Page

#: Reading of a worksheet -> fact of the case that holds it.
KNOWN_READINGS = {
    "pedal-stop": (
        ("pedal_travel", "fact", "pedal_travel"),
        ("free_travel", "fact", "pedal_free_travel"),
        ("pedal_ratio", "fact", "pedal_ratio"),
        ("master_bore", "fact", "master_bore"),
        ("slave_bore", "fact", "slave_bore"),
        ("slave_area", "fact", "slave_area"),
        ("fork_ratio", "fact", "fork_ratio"),
        ("bearing_travel_needed", "kit", "bearing_travel_needed"),
        ("bearing_travel_max", "kit", "bearing_travel_max"),
        ("bearing_load", "kit", "release_load"),
        ("discs", "kit", "discs"),
        ("cushion_travel", "kit", "cushion_travel"),
        ("release_ratio", "kit", "release_ratio"),
    ),
    "bearing-gap": (
        ("fork_ratio", "fact", "fork_ratio"),
        ("release_ratio", "kit", "release_ratio"),
        ("bearing_travel_needed", "kit", "bearing_travel_needed"),
    ),
    "run-out": (("diameter", "kit", "outer_diameter"),),
    "end-float": (("before", "fact", "crank_end_float"),),
    "step-height": (),
}
#: (worksheet, how the bearing is moved) -> readings that have no meaning there.
HOUSING = ("housing_to_bearing", "block_to_fingers", "spacer_thickness", "bearing_stroke_max", "bearing_travel_needed")
FORK = ("bearing_play", "fork_ratio")
MEANINGLESS = {
    ("bearing-gap", "concentric"): FORK,
    ("bearing-gap", "hydraulic_fork"): HOUSING,
    ("bearing-gap", "cable"): HOUSING,
    ("pedal-stop", "concentric"): ("slave_bore", "fork_ratio"),
    ("pedal-stop", "hydraulic_fork"): ("slave_area",),
    ("pedal-stop", "cable"): ("master_bore", "slave_bore", "slave_area"),
}
#: What stands in for the maker's bearing travel at clean release, and is left out where that is on file.
FOR_TRAVEL = ("discs", "gap", "cushion_travel", "release_ratio", "finger_bend")
#: Reading -> its letter on the drawing.
LETTERS = {"housing_to_bearing": "J", "block_to_fingers": "H", "bearing_travel_needed": "E", "bearing_travel_max": "F"}


def readings(page: Page, worked: Sequence[Worked] = ()) -> Iterator[Section]:
    """A section for every worksheet that applies; ``worked`` ones are filled in."""
    done = {sheet.name: sheet for sheet in worked}
    for name, sheet in worksheets().items():
        if name == "step-height" and page.field_value("flywheel") == "included":
            continue
        # A pull bearing is locked into the fingers: there is no gap.
        if name == "bearing-gap" and arrangement(page) == "pull":
            continue
        yield section(f"sheet-{name}", ("Worksheet: ", words(name, sheet.title)), *_sheet(page, sheet, done.get(name)))


def words(name: str, text: str) -> Quoted:
    """A worksheet's own words."""
    return Quoted(text, f"worksheet/{name}")


def _filed(page: Page, name, reading):
    """What is on file for a reading: never what is only assumed."""
    for mine, kind, source in KNOWN_READINGS[name]:
        if mine != reading.name:
            continue
        if kind == "kit" and page.field_value(source) is not None:
            return page.field(source)
        if kind == "fact" and page.fact_value(source) is not None and page.record.facts[source].origin != "assumed":
            return page.fact(source)
    return "-"


def _sheet(page: Page, sheet, worked):
    left_out = MEANINGLESS.get((sheet.name, page.fact_value("release_actuation")), ())
    if sheet.name == "pedal-stop" and page.field_value("bearing_travel_needed") is not None:
        left_out += FOR_TRAVEL
    rows = [
        (
            (words(sheet.name, reading.name), " (several)" if reading.many else ""),
            _asked(sheet.name, reading),
            _filed(page, sheet.name, reading),
            _taken(page, reading, worked),
        )
        for reading in sheet.readings
        # What was measured all the same is shown.
        if reading.name not in left_out or (worked is not None and worked.has(reading.name))
    ]
    blocks: list[Block] = [table("Readings", ("reading", "what and how", "on file", "measured"), rows)]
    if worked:
        blocks += _worked(page, worked)
    else:
        blocks.append(
            paragraph(
                "Work it out with: advisor worksheet ",
                words(sheet.name, sheet.name),
                " and each reading as NAME=VALUE.",
                kind="note",
            )
        )
    return [*blocks, bullets([words(sheet.name, caution) for caution in sheet.cautions])]


def _asked(name, reading):
    """What a reading is, its letter on the drawing, how it is taken, and whether it can be left out."""
    letter = f" ({LETTERS[reading.name]} on the drawing)" if reading.name in LETTERS else ""
    choices = [part for choice in reading.choices for part in (", ", words(name, choice))][1:]
    if reading.default is not None:
        level = " Left out, the usual is taken."
    else:
        level = " If known." if reading.optional else " Needed."
    how = (" ", words(name, reading.how)) if reading.how else ""
    return (words(name, reading.what), letter, ": " if choices else "", choices, ".", how, level)


def _taken(page: Page, reading, worked):
    unit = "" if reading.unit == "1" else reading.unit
    if worked is None:
        return Blank(reading.what, unit)
    parts: list[Parts] = []
    for name, value in sorted(worked.readings.items()):
        mine = name == reading.name or (reading.many and name.startswith(f"{reading.name}_"))
        if not mine or value is None:
            continue
        source = f"reading/{worked.name}/{name}"
        piece = (
            Quoted(value, source)
            if isinstance(value, str)
            else Number(page.wording.number(value, reading.unit), value, reading.unit, source)
        )
        parts += ["; " if parts else "", piece]
    return tuple(parts) or "-"


def _worked(page: Page, worked):
    rows = [
        (
            line.label,
            Number(
                page.wording.number(line.value, line.unit),
                line.value,
                line.unit,
                f"reading/{worked.name}/{line.name}",
            ),
            words(worked.name, "; ".join(line.formula)),
        )
        for line in worked.lines
    ]
    verdicts = []
    for verdict in worked.verdicts:
        basis = (" (", words(worked.name, verdict.basis), ")") if verdict.basis else ""
        verdicts.append((f"{verdict.state}: ", Quoted(verdict.words, f"reading/{worked.name}/verdict"), basis))
    return [
        table("Worked out from the readings", ("what", "value", "formula"), rows) if rows else None,
        bullets(verdicts),
    ]
