"""Changing an answer, what hangs on it, and the case file."""

import pytest

from advisor.interview import case_file
from advisor.interview.state import Said, State, followers
from advisor.knowledge import load
from tests.conftest import ROOT

from . import shop

FOLLOWS = followers(shop.knowledge())


def said(name, raw):
    (one,) = shop.reader().answers(name, raw)
    return one


def test_what_hangs_on_what_is_read_off_the_rules():
    assert "engine_power_speed_rpm" in FOLLOWS["engine_power"]
    assert "torque_measured_at" in FOLLOWS["engine_torque"]
    assert "engine_torque" not in FOLLOWS.get("engine_power", ())
    assert "spline" in FOLLOWS["car"] and "main_use" not in FOLLOWS["car"]
    for name, others in FOLLOWS.items():
        assert name not in others


def test_a_changed_answer_drops_only_what_hung_on_it_and_offers_it_again():
    state = State("x", car="bramble-20t")
    state = state.with_answers(
        [said("engine_torque", "430 Nm"), said("torque_measured_at", "wheels"), said("main_use", "daily")], FOLLOWS
    )
    changed = state.with_answers([said("engine_torque", "400 Nm")], FOLLOWS)
    assert set(changed.said) == {"engine_torque", "main_use"}
    assert changed.former["torque_measured_at"].value == "wheels"
    again = changed.with_answers([changed.former["torque_measured_at"]], FOLLOWS)
    assert again.said["torque_measured_at"].value == "wheels" and not again.former


def test_the_same_answer_again_drops_nothing():
    state = State("x", car="bramble-20t").with_answers(
        [said("engine_torque", "430 Nm"), said("torque_measured_at", "wheels")], FOLLOWS
    )
    assert state.with_answers([said("engine_torque", "430 N m")], FOLLOWS).said.keys() == state.said.keys()


def test_both_halves_said_anew_are_both_kept():
    state = State("x", car="bramble-20t").with_answers(
        shop.reader().read("engine_power = 300 hp at 6500 rpm", None), FOLLOWS
    )
    state = state.with_answers(shop.reader().read("engine_power = 350 hp at 6800 rpm", None), FOLLOWS)
    assert state.said["engine_power_speed_rpm"].value == 6800.0 and not state.former


def test_another_car_keeps_what_was_said_about_the_use():
    state = State("x", car="bramble-20t").with_answers(
        [said("main_use", "daily"), said("master_bore", "17.46 mm")], FOLLOWS
    )
    other = state.with_answers([Said("car", "sedge", "sedge-18")], FOLLOWS)
    assert set(other.said) == {"main_use"} and set(other.former) == {"master_bore"}


def test_one_who_does_not_know_leaves_nothing_to_offer():
    state = State("x", car="bramble-20t").with_answers(
        [said("engine_torque", "430 Nm"), said("torque_measured_at", "?")], FOLLOWS
    )
    assert not state.with_answers([said("engine_torque", "400 Nm")], FOLLOWS).former


@pytest.mark.parametrize("place", sorted((ROOT / "scenarios" / "cases").glob("*.yaml")), ids=lambda path: path.stem)
def test_a_shipped_case_written_out_is_the_same_case(place, tmp_path):
    state = case_file.read(place, shop.knowledge())
    again = tmp_path / "again.yaml"
    again.write_text(case_file.write(state), encoding="utf-8")
    one, other = load.case(place, shop.knowledge()), load.case(again, shop.knowledge())
    assert (one.answers, one.unknown, one.platform, one.note, one.expect) == (
        other.answers,
        other.unknown,
        other.platform,
        other.note,
        other.expect,
    )
    assert case_file.read(again, shop.knowledge()) == state


def test_ends_beside_the_value_are_written_out_again(tmp_path):
    place = tmp_path / "one.yaml"
    place.write_text(
        "case: x\nplatform: bramble-20t\nanswers:\n"
        "  engine_torque: {value: 430 Nm, low: 400 Nm, high: 470 Nm}\n"
        "  shift_speed_rpm: {value: about 6500, from: measured}\n"
    )
    state = case_file.read(place, shop.knowledge())
    again = tmp_path / "again.yaml"
    again.write_text(case_file.write(state), encoding="utf-8")
    assert load.case(again, shop.knowledge()).answers == load.case(place, shop.knowledge()).answers
    assert case_file.read(again, shop.knowledge()) == state


@pytest.mark.parametrize(
    "text",
    [
        "23 x 26 mm",
        "'",
        '"',
        "\\",
        "yes",
        "null",
        "~",
        "08",
        "1:30",
        "0x1F",
        "2024-01-01",
        "a: b",
        "# c",
        "- x",
        "é½",
        "*a",
        "{x",
        "%",
        "@",
    ],
)
def test_any_text_survives_the_case_file(text, tmp_path):
    state = State("x", car="", said={"spline": Said("spline", text, text)}, about={"note": text})
    path = tmp_path / "case.yaml"
    path.write_text(case_file.write(state), encoding="utf-8")
    back = case_file.read(path, shop.knowledge())
    assert back.said["spline"].value == text and back.about["note"] == text


def test_order_of_telling_is_kept_and_means_nothing():
    told = [said("main_use", "daily"), said("engine_torque", "430 Nm"), said("noise_tolerance", "?")]
    one, other = (
        State("x", car="bramble-20t").with_answers(told, FOLLOWS),
        State("x", car="bramble-20t").with_answers(told[::-1], FOLLOWS),
    )
    assert list(one.said) != list(other.said)
    assert one.as_case() == other.as_case()
