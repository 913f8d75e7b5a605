"""What the pictures show, against the record and against figures worked out elsewhere."""

import re

import numpy as np
import pytest

from advisor.mechanics import heat_network, uncertainty
from advisor.reporting.pictures import kits, release, section, torque
from advisor.reporting.pictures.arguments import arguments
from advisor.reporting.sheets.blocks import Drawing, plain
from advisor.reporting.sheets.page import Page

from . import made

RECOMMENDED = [name for name in made.CASES if name not in ("answers-missing", "nothing-fits")]


def page(name):
    """A page of a shipped case."""
    return Page(made.record(name), made.words())


def figures(name, audience="lead"):
    """name -> Drawing of a sheet."""
    return {
        block.name: block
        for one in made.document(name, audience).sections
        for block in one.blocks
        if isinstance(block, Drawing)
    }


# `tests.full sheets` looks at all of them.
@pytest.mark.parametrize("name", [name for name in RECOMMENDED if name in (*made.OF_THE_LEAD, "concentric-conversion")])
def test_the_lead_gets_every_picture(name):
    found = figures(name)
    assert {"kits", "torque", "chain", "doubt", "heat", "reasons-a"} <= set(found)
    for one in found.values():
        assert len(plain(one.alt)) > 60 and one.title


@pytest.mark.parametrize("name", RECOMMENDED)
def test_the_course_of_the_temperatures_peaks_where_the_record_says(name):
    """Same inputs, same mechanics: the highest of the drawn course is the figure, samples between events aside."""
    one = page(name)
    course = heat_network.schedule_temperatures(
        points_per_interval=200, **arguments(one, "hottest_flywheel_c", one.pick_id)
    )
    peaks = {"hottest_flywheel_c": course[:, 0].max(), "hottest_pressure_plate_c": course[:, -1].max()}
    if course.shape[1] > 2:
        peaks["hottest_floater_c"] = course[:, 1:-1].max()
    for figure, peak in peaks.items():
        assert peak == pytest.approx(one.figure_value(figure), abs=0.5), figure


def test_where_the_doubt_comes_from():
    """A torque measured on the engine, an uprated organic pack: friction 59, clamp load 24, wear 12, demand 4 %.

    Worked out apart from the program from spreads 0.11, 0.07, 0.05 and 0.03 (judgement): squares over their sum.
    """
    one = page("pack-over-stroke")
    given = arguments(one, "capacity_spread", one.pick_id)
    parts = [given["first_spread"], given["second_spread"], given["third_spread"], one.fact_value("demand_spread")]
    assert parts == [0.11, 0.07, 0.05, 0.03] and given["fourth_spread"] == 0
    squares = np.square([0.11, 0.07, 0.05, 0.03])
    assert (100 * squares / squares.sum()).round().tolist() == [59, 24, 12, 4]
    whole = uncertainty.combined_spread(first_spread=one.figure_value("capacity_spread"), second_spread=0.03)
    assert whole == pytest.approx(np.sqrt(squares.sum()), rel=1e-6)
    drawn = torque.doubt(one)
    widths = bars(drawn.svg)
    assert widths / widths.sum() == pytest.approx(squares[[0, 1, 2, 3]] / squares.sum(), abs=0.002)


def bars(svg):
    """Widths of the bars of a picture, longest first; those of no width left out."""
    widths = []
    for path in re.findall(r'<path d="([^"]+)" clip-path', svg):
        x = [float(number) for number in re.findall(r"[ML] ([\d.]+) ", path)]
        if len(x) == 4 and max(x) - min(x) > 0.01:
            widths.append(max(x) - min(x))
    return np.array(sorted(widths, reverse=True))


def test_the_chain_is_drawn_to_scale():
    one = page("pack-over-stroke")
    values = sorted(
        (one.figure_value(name) if of_kit else one.fact_value(name) for _, name, of_kit in torque.LINKS),
        reverse=True,
    )
    widths = bars(torque.chain(one).svg)
    assert widths / widths[0] == pytest.approx(np.array(values) / values[0], abs=1e-3)


def test_the_stop_is_drawn_where_the_pedal_rests_on_it():
    """By the lever, worked apart: (stop less free travel) over the ratio, less what is lost on the way."""
    one = page("pack-over-stroke")
    stop = one.figure_value("pedal_stop_mm") - one.fact_value("free_travel_used")
    wanted = stop * (1 - one.fact_value("stroke_loss")) / one.fact_value("overall_ratio")
    svg = release.release(one).svg
    # Upright lines within the frame, in the order drawn: three across its whole height, then the stop's, which is
    # shorter.
    upright = re.findall(r'<path d="M ([\d.]+) [\d.]+\s+L \1 ([\d.]+)\s*" clip-path', svg)
    (clean, top), (most, _), (_, _), (at_stop, stop_top) = [(float(x), float(y)) for x, y in upright]
    assert stop_top > top
    needed, allowed = one.figure_value("bearing_travel_needed_mm"), one.field_value("bearing_travel_max")
    drawn = needed + (at_stop - clean) * (allowed - needed) / (most - clean)
    assert drawn == pytest.approx(wanted, rel=1e-4)
    assert needed < wanted <= allowed
    assert "stop, to begin from" in svg
    assert "stop, to begin from" not in release.release(page("not-on-file-measured")).svg


@pytest.mark.parametrize("name", [*RECOMMENDED, "nothing-fits", "race-pack-on-road"])
def test_no_letter_in_the_plane_covers_another(name):
    svg = kits.plane(page(name)).svg
    at = [
        (float(x), float(y))
        for x, y in re.findall(r'<text[^>]* x="([\d.]+)" y="([\d.]+)"[^>]*>[A-Z]</text>', svg)
        or re.findall(r'translate\(([\d.]+) ([\d.]+)\)"[^>]*>[A-Z]</text>', svg)
    ]
    assert len(at) == len(re.findall(r">[A-Z]</text>", svg))
    for place, (x, y) in enumerate(at):
        assert all(abs(x - a) > 5 or abs(y - b) > 7 for a, b in at[:place])


def test_over_stroke_is_hatched_only_where_there_is_any():
    assert "over-stroke" in release.release(page("pack-over-stroke")).svg
    assert page("stock-tired-clutch").figure_value("over_stroke_mm") == 0
    assert "over-stroke" not in release.release(page("stock-tired-clutch")).svg


@pytest.mark.parametrize("name", [*RECOMMENDED, "nothing-fits"])
def test_every_kit_that_fits_stands_in_the_plane(name):
    one = page(name)
    fitting = [kit for kit in one.record.fitting if {"holding_margin", "pedal_force_n"} <= kit.figures.keys()]
    svg = kits.plane(one).svg
    letters = re.findall(r">([A-Z])</text>", svg)
    failed = [kit for kit in fitting if kit.verdict == "failed"]
    assert len(letters) == len(failed)
    assert sorted(letters) == sorted(kits.why(one, kit)[0] for kit in failed)
    assert not any(kits.why(one, kit)[0] == "O" for kit in failed), "a reason without a letter of its own"


@pytest.mark.parametrize("name", RECOMMENDED)
def test_the_section_shows_the_kit(name):
    one = page(name)
    svg = section.section_drawing(one)[0].svg
    discs = int(one.field_value("discs"))
    faces = re.findall(r'height="([\d.]+)" fill="url\(#section-facing\)"', svg)
    plates = re.findall(r'fill="url\(#section-plate\)"', svg)
    assert len(faces) == 2 * discs
    # Floaters, pressure plate, release bearing.
    assert len(plates) == discs - 1 + 2
    outer, inner = one.field_value("outer_diameter"), one.field_value("inner_diameter")
    assert float(faces[0]) / section.RADIUS == pytest.approx(1 - inner / outer, abs=0.002)
    springs = len(re.findall(r'rx="4"', svg))
    assert springs == (discs if one.field_value("hub") == "sprung" else 0)


def test_a_pull_clutch_is_drawn_pulled():
    one = page("rally-saloon")
    assert one.field_value("action") == "pull"
    assert "pulls the fingers" in plain(section.section_drawing(one)[0].alt)
    assert "pushes the fingers" in plain(section.section_drawing(page("mild-street-tune"))[0].alt)


def test_nitrous_stands_on_top_of_the_flat_demand():
    """Power over speed: the added torque at twice the speed is half."""
    one = page("nitrous-low")
    svg = torque.torque(one)
    assert svg is not None and one.fact_value("nitrous_torque") > 0
    flat = torque.torque(page("pack-over-stroke")).svg
    assert len(svg.svg) > len(flat)
