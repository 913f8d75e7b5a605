"""What stands on which sheet."""

import pytest

from advisor.deciding.decision_record import DecisionRecord
from advisor.reporting.sheets import sheet
from advisor.reporting.sheets.blocks import Bullets, Fold, Quoted, Table, plain, walk

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
    if isinstance(block, Fold):
        return [*block.title, *(part for held in block.blocks for part in _parts(held))]
    return block.text


def tables(blocks):
    """The tables among blocks, those folded away included."""
    found = []
    for block in blocks:
        found += tables(block.blocks) if isinstance(block, Fold) else [block] if isinstance(block, Table) else []
    return found


def sections(name, audience):
    """Ids of a sheet's sections, in order."""
    return [one.id for one in made.document(name, audience, drawn=False).sections]


@pytest.mark.parametrize("name", RECOMMENDED)
def test_what_a_customer_gets(name):
    assert sections(name, "customer") == [
        "pick",
        "price",
        "feel",
        "watch",
        "assumed",
        "next",
        *(["contradictions"] if made.record(name)["contradictions"] else []),
        "order",
        "bedding",
        "more",
    ]
    record, told = made.record(name), text(name, "customer")
    for one in record["setup"]["parts"]:
        assert one["level"] != "required" or one["title"] is None or one["title"] in told
    assert "bathroom scale" in told
    log = section(name, "customer", "bedding")
    assert log.count("________") >= 16


@pytest.mark.parametrize("name", RECOMMENDED)
def test_every_caution_stands_on_every_sheet(name):
    for audience in made.AUDIENCES:
        told = text(name, audience)
        for one in made.record(name)["cautions"]:
            assert one["text"] in told


@pytest.mark.parametrize("name", RECOMMENDED)
def test_every_piece_of_work_stands_once_on_the_fitters_sheet(name):
    record = made.record(name)
    said = [part.source for _, part in walk(made.document(name, "fitter", drawn=False)) if isinstance(part, Quoted)]
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
    told = section("not-on-file-measured", "customer", "more")
    assert matter and all(made.words().label(one["fact"]) in told for one in matter)
    assert section("not-on-file-measured", "customer", "assumed").count("yes, please tell us") == len(matter)


def test_what_is_to_be_mended_first_stands_first():
    record, told = made.record("slips-with-oil"), text("slips-with-oil", "customer")
    first = next(one["text"] for one in record["cautions"] if "oil reaches the facing" in one["text"])
    assert sections("slips-with-oil", "customer")[0] == "mend-first"
    assert told.count(first) == 1 and told.index(first) < told.index("What you get")
    assert "mend-first" not in sections("pack-over-stroke", "customer")


@pytest.mark.parametrize("name", RECOMMENDED)
def test_the_scales_of_feel_mark_this_clutch_and_the_most_that_is_accepted(name):
    record = made.record(name)
    figures = next(kit["figures"] for kit in record["kits"] if kit["id"] == record["pick"]["kit"])
    more = next(one for one in made.document(name, "customer", drawn=False).sections if one.id == "more")
    scales = {plain(block.caption).partition(",")[0]: block for block in tables(more.blocks)}
    for word, figure in (("Take-up", "take_up_class"), ("Noise", "noise_class")):
        marks = [plain(row[1]) for row in scales[word].rows]
        assert [place for place, mark in enumerate(marks) if "this clutch" in mark] == [figures[figure]]
        limits = [one["limit"] for one in record["requirements"] if one["measure"] == figure and one["level"] == "must"]
        accepted = [place for place, mark in enumerate(marks) if "the most you accept" in mark]
        assert accepted == ([min(limits)] if limits else [])


def test_a_customer_is_told_steps_of_a_scale_in_words():
    told = text("nothing-fits", "customer")
    assert "noise: at most nearly as quiet" in told and "noise class" not in told


@pytest.mark.parametrize("name", RECOMMENDED)
def test_a_part_asked_for_twice_is_one_part(name):
    """With every reason beside it, at the stricter level; the customer is not told that it may be needed as well."""
    record = made.record(name)
    levels = {}
    for one in record["setup"]["parts"]:
        levels.setdefault(one["part"] or one["id"], []).append(one["level"])
    for found in levels.values():
        assert found == sorted(found, key=("required", "check", "optional").index)
    parts = next(one for one in made.document(name, "fitter", drawn=False).sections if one.id == "parts")
    assert len(parts.blocks[1].rows) == 1 + len(levels)
    order = next(one for one in made.document(name, "customer", drawn=False).sections if one.id == "order")
    certain, *depend = [[plain(row[0]) for row in block.rows] for block in tables(order.blocks)]
    required = {one["title"] for one in record["setup"]["parts"] if one["level"] == "required" and one["title"]}
    assert required <= set(certain) and not required & {title for titles in depend for title in titles}
    titles = [*certain, *(title for titles in depend for title in titles)]
    assert len(titles) == len(set(titles))


@pytest.mark.parametrize(
    "name, there, not_there",
    [
        ("pack-over-stroke", {"bearing_play", "slave_bore"}, {"housing_to_bearing", "slave_area", "cushion_travel"}),
        ("concentric-conversion", {"housing_to_bearing", "slave_area"}, {"bearing_play", "slave_bore"}),
        ("rally-saloon", {"slave_bore"}, {"housing_to_bearing", "bearing_play", "slave_area"}),
    ],
)
def test_the_worksheets_ask_for_what_this_arrangement_has(name, there, not_there):
    asked = {
        plain(row[0]).removesuffix(" (several)")
        for one in made.document(name, "fitter", drawn=False).sections
        if one.id.startswith("sheet-")
        for block in one.blocks
        if isinstance(block, Table) and plain(block.caption) == "Readings"
        for row in block.rows
    }
    assert there <= asked and not not_there & asked


def test_a_pull_bearing_has_no_gap_to_measure():
    assert "sheet-bearing-gap" not in sections("rally-saloon", "fitter")
    assert "bearing face to finger tips" not in text("rally-saloon", "fitter")
    assert "bearing face to finger tips" in text("pack-over-stroke", "fitter")


def test_readings_kept_with_the_case_fill_the_worksheet():
    from advisor.reporting.worksheets import forms

    worked = forms.work("end-float", {"before": "0.12 mm", "after": "0.25 mm"}, made.content().knowledge.workshop)
    told = " ".join(sheet.sheet(made.record("pack-over-stroke"), made.words(), "fitter", worked=(worked,)).split())
    assert "growth of the end float" in told and "0.13 mm" in told
    assert "stop driving it and have the thrust bearing looked at" in told


@pytest.mark.parametrize("width", [40, 80])
def test_the_text_keeps_to_its_columns(width):
    for audience in made.AUDIENCES:
        lines = sheet.sheet(made.record("pack-over-stroke"), made.words(), audience, width=width).splitlines()
        long = [line for line in lines if len(line) > width and " " in line.strip().removeprefix("- ").strip()]
        assert long == []


def test_a_customers_sheet_tells_fitters_cautions_apart():
    """What is for the fitter alone stands folded away; what a buyer must know first stands open."""
    for name in RECOMMENDED:
        watch = next(one for one in made.document(name, "customer", drawn=False).sections if one.id == "watch")
        opened = [
            part.text for block in watch.blocks if isinstance(block, Bullets) for item in block.items for part in item
        ]
        held = {one["text"]: one for one in made.record(name)["cautions"]}
        assert all(held[text]["audience"] != "fitter" for text in opened if text in held)
        first = [one["text"] for one in held.values() if one["safety"] and one["weight"] == "before_buying"]
        assert all(text in opened for text in first)


def test_three_assumptions_stand_open_those_that_matter_first():
    record = made.record("not-on-file-measured")
    assumed = next(
        one for one in made.document("not-on-file-measured", "customer", drawn=False).sections if one.id == "assumed"
    )
    opened, folded = assumed.blocks
    assert len(opened.rows) == 3 and isinstance(folded, Fold)
    matter = [plain(row[2]) for row in opened.rows]
    assert matter == sorted(matter, key=lambda text: text != "yes, please tell us")
    assert len(folded.blocks[0].items) == len(record["assumptions"]) - 3


def test_what_is_still_needed_says_how_to_find_it():
    questions = made.content().knowledge.questions
    told = section("answers-missing", "customer", "questions")
    for fact in made.record("answers-missing")["asks"]:
        assert questions[fact].plain in told and questions[fact].help in told
    assert questions["engine_torque"].help


def test_whatever_may_have_to_be_asked_says_how_to_find_it():
    """What stops a decision or is taken at its worst, and every way to the torque."""
    knowledge = made.content().knowledge
    routes = ("engine_power", "engine_power_speed_rpm", "boost_pressure", "displacement", "quarter_mile_speed")
    wanted = [
        name
        for name in knowledge.questions
        if name in routes or knowledge.facts[name].if_unknown.do in ("stop", "worst")
    ]
    assert len(wanted) > 8
    assert [name for name in wanted if not knowledge.questions[name].help] == []


def test_a_sheet_says_whom_to_ring():
    for name in ("pack-over-stroke", "answers-missing", "nothing-fits"):
        told = " ".join(sheet.sheet(made.record(name), made.words(), "customer", about=made.SHOP).split())
        assert "Demonstration shop, 1 Invented Lane, 000 000 000" in told


def test_before_bedding_in_is_said_to_be_too_little_only_where_it_is():
    too_little = {}
    for name in RECOMMENDED:
        record = DecisionRecord(made.record(name))
        new = record.figure(record.pick.kit, "capacity_new_nm")
        too_little[name] = new < record.value("required_torque")
        assert ("Full torque while it is new" in text(name, "customer")) == too_little[name], name
        assert ("Even before it is bedded in it holds" in text(name, "customer")) != too_little[name], name
    assert {True, False} == set(too_little.values())


def test_what_decided_is_told_as_needed_accepted_or_wished_as_it_was_posted():
    told, words = text("mild-street-tune", "lead"), made.words()
    record = DecisionRecord(made.record("mild-street-tune"))
    for check in record.pick.because:
        posted = record.requirements[check.requirement]
        demand = words.demand(posted.compare, posted.measure, check.needed, check.actual, posted.level)
        assert f"{demand}, it has " in told, demand
    assert " is accepted, it has " in told and " is needed, it has " in told
