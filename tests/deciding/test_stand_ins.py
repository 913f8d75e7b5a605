"""What was taken where a record leaves a field out: named for each kit and for the car, with what rests on it."""

import dataclasses

import pytest

from advisor.deciding.advise import advise
from advisor.deciding.decision_record import DecisionRecord
from advisor.explaining.stand_ins_told import stand_in_sentence
from advisor.explaining.why import why, why_lines
from advisor.explaining.why_not import why_not, why_not_lines
from advisor.explaining.worded import WordedRecord
from advisor.knowledge import load
from advisor.reporting.screens.screen import screen
from advisor.reporting.sheets.sheet import sheet
from tests.callers import plain_decider_of
from tests.conftest import ROOT


def decider_without(content, *, kit=(), car=()):
    """A Decider over records that leave these fields out."""

    def poorer(record, gone):
        return dataclasses.replace(
            record, fields={name: value for name, value in record.fields.items() if name not in gone}
        )

    return plain_decider_of(
        dataclasses.replace(
            content,
            kits=tuple(poorer(one, kit) for one in content.kits),
            platforms=tuple(poorer(one, car) for one in content.platforms),
        )
    )


@pytest.fixture(scope="module")
def case(content):
    return load.case(ROOT / "scenarios" / "cases" / "mild-street-tune.yaml", content.knowledge)


def test_nothing_stands_in_where_the_records_are_whole(plain_decider, case):
    record = advise(plain_decider, case)
    assert record.picked.stand_ins == () and record.stand_ins == ()


def test_a_maker_who_names_no_worn_clamp_load_is_named_with_every_kit(content, case):
    record = advise(decider_without(content, kit=("worn_clamp_factor",)), case)
    told = {kit.id: [one for one in kit.stand_ins if one.field == "worn_clamp_factor"] for kit in record.fitting}
    assert told and all(len(stands) == 1 for stands in told.values())
    for kit, (stands,) in told.items():
        fields = next(one.fields for one in content.kits if one.id == kit)
        if "diaphragm_thickness" in fields:
            assert (stands.kind, stands.used) == ("figure", "diaphragm_worn_factor")
            continue
        # The likely value of the estimate, looked up here by hand: 0.93 factory, 0.86 packs, 0.90 all others.
        which, expected = (
            ("factory", 0.93) if fields["factory"] else ("pack", 0.86) if fields["discs"] > 1 else ("single", 0.90)
        )
        assert (stands.kind, stands.used, stands.value) == ("estimate", f"estimate-worn-{which}", expected)
        assert stands.low < expected < stands.high and stands.measure and "capacity_worn_nm" in stands.figures
        assert (stands.basis.kind, stands.of) == ("judgement", "kit")
        assert "holds-worn-and-warm" in stands.requirements
        # Nothing that does not read the clamp load at the end of wear rests on it.
        assert not {"pedal-force-limit", "fits-spline", "noise-some-must"} & set(stands.requirements)


def test_a_field_that_does_not_apply_is_not_left_out(plain_decider, case):
    """A single disc has no floater, and a kit that takes the car's flywheel has none of its own."""
    record = advise(plain_decider, case)
    named = {stands.field for kit in record.fitting for stands in kit.stand_ins}
    assert not {"plate_mass_floater", "own_flywheel_material", "own_flywheel_bore"} & named
    singles = [kit for kit in plain_decider.shop.kits if kit.fields["discs"] == 1]
    assert singles and all("plate_mass_floater" not in kit.fields for kit in singles)


def test_what_the_record_of_the_car_lacks_is_named_once(content, case):
    record = advise(decider_without(content, car=("gearbox_inertia", "stock.torque")), case)
    told = {(stands.field, stands.used): stands for stands in record.stand_ins}
    assert set(told) >= {
        ("gearbox_inertia", ""),
        ("stock_torque", "start-speed-no-file"),
        ("stock_torque", "tune-from-nothing"),
    }
    gearbox, start = told["gearbox_inertia", ""], told["stock_torque", "start-speed-no-file"]
    assert (gearbox.of, gearbox.kind, gearbox.value) == ("car", "value", 0.0025)
    assert (start.of, start.kind, start.value, start.unit) == ("car", "rule", 2000.0, "rpm")


def test_a_car_that_is_not_on_file_has_no_record_that_lacks_something(content, plain_decider):
    case = load.case(ROOT / "scenarios" / "cases" / "not-on-file-measured.yaml", content.knowledge)
    assert advise(plain_decider, case).stand_ins == ()


def test_they_are_told_on_the_screen_in_why_in_why_not_and_to_the_lead(content, case):
    decider = decider_without(content, kit=("worn_clamp_factor",))
    record = advise(decider, case)
    wording = decider.shop.wording(content.knowledge)
    worded = WordedRecord(record, wording)
    sentence = stand_in_sentence(record.picked.stand_ins[0], wording)
    assert sentence.startswith("Clamp load left when worn: the maker's figure is not on file;")
    for text in (
        screen(record, wording, 2000),
        "\n".join(why_lines(worded, why(worded), 2000)),
        "\n".join(why_not_lines(worded, why_not(worded, record.next_down.kit), 2000)),
    ):
        assert "the maker's figure is not on file" in text
    lead = sheet(record, wording, "lead", width=2000)
    assert "Taken where a record is silent" in lead and "estimate estimate-worn" in lead


def test_a_record_from_before_is_read_without(plain_decider, case):
    data = dict(advise(plain_decider, case).data)
    del data["stand_ins"]
    data["kits"] = [{name: value for name, value in kit.items() if name != "stand_ins"} for kit in data["kits"]]
    record = DecisionRecord.of(data)
    assert record.stand_ins == () and record.picked.stand_ins == ()
