"""Changing an answer, what hangs on it, and the case file."""

import functools
import tempfile
from pathlib import Path

import pytest

from advisor.interview import case_file
from advisor.interview.state import Said, State, followers
from advisor.knowledge import load
from tests.conftest import ROOT
from tests.each import each

from . import shop


@functools.cache
def follows():
    """Fact -> facts whose answers hang on it."""
    return followers(shop.knowledge())


def said(name, raw):
    (one,) = shop.reader().answers(name, raw)
    return one


def test_what_hangs_on_what_is_read_off_the_rules():
    assert "engine_power_speed_rpm" in follows()["engine_power"]
    assert "torque_measured_at" in follows()["engine_torque"]
    assert "engine_torque" not in follows().get("engine_power", ())
    assert "spline" in follows()["car"] and "main_use" not in follows()["car"]
    for name, others in follows().items():
        assert name not in others


def test_a_changed_answer_drops_only_what_hung_on_it_and_offers_it_again():
    state = State("x", car="bramble-20t")
    state = state.with_answers(
        [said("engine_torque", "430 Nm"), said("torque_measured_at", "wheels"), said("main_use", "daily")], follows()
    )
    changed = state.with_answers([said("engine_torque", "400 Nm")], follows())
    assert set(changed.said) == {"engine_torque", "main_use"}
    assert changed.former["torque_measured_at"].value == "wheels"
    again = changed.with_answers([changed.former["torque_measured_at"]], follows())
    assert again.said["torque_measured_at"].value == "wheels" and not again.former


def test_the_same_answer_again_drops_nothing():
    state = State("x", car="bramble-20t").with_answers(
        [said("engine_torque", "430 Nm"), said("torque_measured_at", "wheels")], follows()
    )
    assert state.with_answers([said("engine_torque", "430 N m")], follows()).said.keys() == state.said.keys()


def test_both_halves_said_anew_are_both_kept():
    state = State("x", car="bramble-20t").with_answers(
        shop.reader().read("engine_power = 300 hp at 6500 rpm", None), follows()
    )
    state = state.with_answers(shop.reader().read("engine_power = 350 hp at 6800 rpm", None), follows())
    assert state.said["engine_power_speed_rpm"].value == 6800.0 and not state.former


def test_another_car_keeps_what_was_said_about_the_use():
    state = State("x", car="bramble-20t").with_answers(
        [said("main_use", "daily"), said("master_bore", "17.46 mm")], follows()
    )
    other = state.with_answers([Said("car", "sedge", "sedge-18")], follows())
    assert set(other.said) == {"main_use"} and set(other.former) == {"master_bore"}


def test_one_who_does_not_know_leaves_nothing_to_offer():
    state = State("x", car="bramble-20t").with_answers(
        [said("engine_torque", "430 Nm"), said("torque_measured_at", "?")], follows()
    )
    assert not state.with_answers([said("engine_torque", "400 Nm")], follows()).former


@each(lambda: [(path.stem, path) for path in sorted((ROOT / "scenarios" / "cases").glob("*.yaml"))])
def test_a_shipped_case_written_out_is_the_same_case(place):
    with tempfile.TemporaryDirectory() as folder:
        written_out_and_back(place, Path(folder, "again.yaml"))


def written_out_and_back(place, again):
    state = case_file.read(place, shop.knowledge())
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
        State("x", car="bramble-20t").with_answers(told, follows()),
        State("x", car="bramble-20t").with_answers(told[::-1], follows()),
    )
    assert list(one.said) != list(other.said)
    assert one.as_case() == other.as_case()
