"""The worksheets on a fitter's sheet: what to read, what is on file already, and what was worked out from readings."""

from ..knowledge.quantities import show
from .sheet_blocks import Blank, Number, Said, bullets, paragraph, section, table
from .worksheets import worksheets

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
    ),
    "bearing-gap": (
        ("release_ratio", "kit", "release_ratio"),
        ("bearing_travel_needed", "kit", "bearing_travel_needed"),
    ),
    "run-out": (("diameter", "kit", "outer_diameter"),),
    "end-float": (("before", "fact", "crank_end_float"),),
    "step-height": (),
}


def readings(page, worked=()):
    """A section for every worksheet that applies; ``worked`` ones are filled in."""
    done = {one.name: one for one in worked}
    for name, one in worksheets().items():
        if name == "step-height" and page.field_value("flywheel") == "included":
            continue
        yield section(f"sheet-{name}", ("Worksheet: ", words(name, one.title)), *_sheet(page, one, done.get(name)))


def words(name, text):
    """A worksheet's own words."""
    return Said(text, f"worksheet/{name}")


def _filed(page, name, reading):
    """What is on file for a reading: never what is only assumed."""
    for mine, kind, source in KNOWN_READINGS[name]:
        if mine != reading.name:
            continue
        if kind == "kit" and page.field_value(source) is not None:
            return page.field(source)
        if kind == "fact" and page.fact_value(source) is not None and page.facts[source]["origin"] != "assumed":
            return page.fact(source)
    return "-"


def _sheet(page, one, worked):
    rows = [
        (
            words(one.name, reading.name + (" (several)" if reading.many else "")),
            (words(one.name, reading.what), ". ", words(one.name, reading.how)),
            _filed(page, one.name, reading),
            _taken(page, reading, worked),
        )
        for reading in one.readings
    ]
    blocks = [table("Readings", ("reading", "what and how", "on file", "measured"), rows)]
    if worked:
        blocks += _worked(page, worked)
    else:
        blocks.append(
            paragraph(
                "Work it out with: advisor worksheet ",
                words(one.name, one.name),
                " and each reading as NAME=VALUE.",
                kind="note",
            )
        )
    return [*blocks, bullets([words(one.name, caution) for caution in one.cautions])]


def _taken(page, reading, worked):
    unit = "" if reading.unit == "1" else reading.unit
    if worked is None:
        return Blank(reading.what, unit)
    parts = []
    for name, value in sorted(worked.readings.items()):
        mine = name == reading.name or (reading.many and name.startswith(f"{reading.name}_"))
        if not mine or value is None:
            continue
        source = f"reading/{worked.name}/{name}"
        piece = (
            Said(value, source)
            if isinstance(value, str)
            else Number(show(value, reading.unit, page.words.system), value, reading.unit, source)
        )
        parts += ["; " if parts else "", piece]
    return tuple(parts) or "-"


def _worked(page, worked):
    rows = [
        (
            line.label,
            Number(
                show(line.value, line.unit, page.words.system),
                line.value,
                line.unit,
                f"reading/{worked.name}/{line.name}",
            ),
            words(worked.name, "; ".join(line.formula)),
        )
        for line in worked.lines
    ]
    told = []
    for one in worked.verdicts:
        basis = (" (", words(worked.name, one.basis), ")") if one.basis else ""
        told.append((f"{one.state}: ", Said(one.words, f"reading/{worked.name}/verdict"), basis))
    return [table("Worked out from the readings", ("what", "value", "formula"), rows) if rows else None, bullets(told)]
