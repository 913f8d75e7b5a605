"""What stands on which sheet."""

import pytest

from advisor.reporting import sheet
from advisor.reporting.sheet_blocks import Bullets, Said, Table, plain, walk

from . import made

RECOMMENDED = [name for name in made.CASES if name not in ("answers-missing", "nothing-fits")]


def text(name, audience):
    """The plain text with its lines joined."""
    return " ".join(sheet.sheet(made.record(name), made.words(), audience).split())


def section(name, audience, which):
    """The text of one section."""
    one = next(one for one in made.document(name, audience, drawn=False).sections if one.id == which)
    return " ".join(plain([part]) for block in one.blocks for part in _parts(block))


def _parts(block):
    if isinstance(block, Bullets):
        return [part for item in block.items for part in item]
    if isinstance(block, Table):
        return [part for row in block.rows for cell in row for part in cell]
    return block.text


def sections(name, audience):
    """Ids of a sheet's sections, in order."""
    return [one.id for one in made.document(name, audience, drawn=False).sections]


@pytest.mark.parametrize("name", RECOMMENDED)
def test_what_a_customer_gets(name):
    assert sections(name, "customer") == [
        "pick",
        "price",
        "feel",
        "stands",
        "bedding",
        "assumed",
        "changes",
        "steps",
        "given-up",
        "cautions",
    ]
    record, told = made.record(name), text(name, "customer")
    for one in record["setup"]["parts"]:
        assert one["level"] != "required" or one["title"] is None or one["title"] in told
    assert "bathroom scale" in told
    log = section(name, "customer", "bedding")
    assert log.count("________") >= 32


@pytest.mark.parametrize("name", RECOMMENDED)
def test_every_caution_stands_on_every_sheet(name):
    for audience in made.AUDIENCES:
        told = text(name, audience)
        for one in made.record(name)["cautions"]:
            assert one["text"] in told


@pytest.mark.parametrize("name", RECOMMENDED)
def test_every_piece_of_work_stands_once_on_the_fitters_sheet(name):
    record = made.record(name)
    said = [part.source for _, part in walk(made.document(name, "fitter", drawn=False)) if isinstance(part, Said)]
    for kind in ("parts", "measurements", "steps", "bedding_in", "fitted_by"):
        for place in range(len(record["setup"][kind])):
            assert said.count(f"record/setup/{kind}/{place}/text") == 1, (kind, place)


def test_the_work_is_in_order():
    order = [
        "who",
        "cautions",
        "parts",
        "section",
        "before",
        "out",
        "fitting",
        "bearing",
        "bleed",
        "pedal",
        "first-start",
        "bedding",
        "stroke",
    ]
    assert sections("pack-over-stroke", "fitter")[: len(order)] == order
    assert "bleed" in sections("concentric-conversion", "fitter")
    for phase, words in (
        ("before", "end float"),
        ("out", "run-out"),
        ("fitting", "cover bolts"),
        ("bleed", "hard from the first stroke"),
        ("pedal", "start switch"),
        ("first-start", "plane of the clutch"),
        ("bedding", "after bedding in"),
    ):
        assert words in section("pack-over-stroke", "fitter", phase), phase


def test_the_bearing_is_measured_by_its_kind():
    assert "piston fully back" in section("concentric-conversion", "fitter", "bearing")
    assert "free play" in section("pack-over-stroke", "fitter", "bearing") and "piston" not in section(
        "pack-over-stroke", "fitter", "bearing"
    )


@pytest.mark.parametrize("name", RECOMMENDED)
def test_the_makers_come_first_and_the_start_switch_stays(name):
    told = text(name, "fitter")
    assert "come before this sheet, torques included" in told
    assert "never bridge it" in told
    for word in ("bypass", "defeat", "disable", "disconnect the switch"):
        assert word not in told.lower()


def test_what_the_lead_files_holds_every_firing_fact_and_requirement():
    record, told = made.record("pack-over-stroke"), made.html("pack-over-stroke", "lead")
    assert all(f">{one['rule']}</span>" in told for one in record["firings"])
    assert all(f'data-said="label/{one["name"]}"' in told for one in record["facts"])
    assert all(f">{one['id']}</span>" in told for one in record["requirements"])
    assert all(one["id"] in told for one in record["kits"] if one["fits"])
    assert all(value in told for value in record["knowledge"].values())
    # No time of day or date: the same case gives the same sheet tomorrow.
    assert record["made_by"]["date"] not in told


def test_too_few_answers_and_no_kit_are_said_plainly():
    told = text("answers-missing", "customer")
    assert "Please tell us" in told and "How much torque does the engine make now?" in told
    told = text("nothing-fits", "customer")
    assert "Why none fits" in told and "shop lead" in told and "do not buy a stronger one on chance" in told
    for name in ("answers-missing", "nothing-fits"):
        assert "there is no clutch to fit" in text(name, "fitter")


def test_a_factory_clutch_that_is_enough_is_said_to_be():
    told = text("stock-tired-clutch", "customer")
    assert "You do not need a stronger one." in told


def test_assumptions_that_matter_are_asked_about():
    record = made.record("not-on-file-measured")
    matter = [one for one in record["assumptions"] if one["matters"]]
    told = section("not-on-file-measured", "customer", "changes")
    assert matter and all(made.words().label(one["fact"]) in told for one in matter)
    assert section("not-on-file-measured", "customer", "assumed").count("yes, please tell us") == len(matter)


def test_readings_kept_with_the_case_fill_the_worksheet():
    from advisor.reporting import worksheets

    worked = worksheets.work(
        "end-float", {"before": "0.12 mm", "after": "0.25 mm"}, made.content().knowledge.workshop
    )
    told = " ".join(sheet.sheet(made.record("pack-over-stroke"), made.words(), "fitter", worked=(worked,)).split())
    assert "growth of the end float" in told and "0.13 mm" in told
    assert "stop driving it and have the thrust bearing looked at" in told


@pytest.mark.parametrize("width", [40, 80])
def test_the_text_keeps_to_its_columns(width):
    for audience in made.AUDIENCES:
        lines = sheet.sheet(made.record("pack-over-stroke"), made.words(), audience, width=width).splitlines()
        long = [line for line in lines if len(line) > width and " " in line.strip().removeprefix("- ").strip()]
        assert long == []
