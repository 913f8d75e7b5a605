"""What each way of writing a condition, a requirement, a table or a group means in the rule model."""

import shutil

import pytest

from advisor.knowledge import load
from advisor.knowledge.model import Conclusion, Condition, FactRef, KitRef

from .broken_files import SMALL

FILE = """topic: written
stage: {stage}
rules:
  - id: written
    title: A rule
{lines}
    because: For a test.
    basis: {{kind: judgement}}
"""
TAKE_CARE = "    caution: {text: Take care.}"


def knowledge_of(tmp_path, *lines, stage="case"):
    """The small knowledge with a rule more, from lines put into a file of their own."""
    shutil.copytree(SMALL, tmp_path, dirs_exist_ok=True)
    text = FILE.format(stage=stage, lines="\n".join(lines))
    (tmp_path / f"rules/{stage}/written.yaml").write_text(text)
    return load.knowledge(tmp_path / "rules")


def rules(tmp_path, *lines, stage="case"):
    """The rules with the id written or beginning with row, by id."""
    return {one.id: one for one in knowledge_of(tmp_path, *lines, stage=stage).rules if one.topic == "written"}


@pytest.mark.parametrize(
    "written, meant",
    [
        ("main_use: daily", [("main_use", "is", "daily")]),
        ("main_use: [daily, drag_only]", [("main_use", "in", ("daily", "drag_only"))]),
        ("main_use: {not: daily}", [("main_use", "is_not", "daily")]),
        ("main_use: {not: [daily, drag_only]}", [("main_use", "not_in", ("daily", "drag_only"))]),
        ("bedding_in_possible: no", [("bedding_in_possible", "is", False)]),
        ("thrust_arc_deg: 180", [("thrust_arc_deg", "is", 180.0)]),
        ("thrust_arc_deg: {not: 180}", [("thrust_arc_deg", "in", (360.0,))]),
        ("engine_torque: known", [("engine_torque", "known", None)]),
        ("engine_torque: not known", [("engine_torque", "absent", None)]),
        ("engine_torque: answered", [("engine_torque", "answered", None)]),
        ("engine_torque: not answered", [("engine_torque", "not_answered", None)]),
        ('engine_torque: "not known"', [("engine_torque", "absent", None)]),
        ("engine_torque: {above: 0.4 kN m}", [("engine_torque", "above", 400.0)]),
        ("engine_torque: {at_most: demand_torque}", [("engine_torque", "at_most", FactRef("demand_torque"))]),
        ("engine_torque: {between: [100 N m, demand_torque]}",
         [("engine_torque", "between", (100.0, FactRef("demand_torque")))]),
        ("engine_torque: {at_least: 100 N m, below: demand_torque}",
         [("engine_torque", "at_least", 100.0), ("engine_torque", "below", FactRef("demand_torque"))]),
        ("warnings: {has: crank}", [("warnings", "has", "crank")]),
        ("warnings: not known", None),
    ],
)  # fmt: skip
def test_conditions(tmp_path, written, meant):
    if meant is None:
        with pytest.raises(load.ErrorList, match="not known is asked of warnings, which is not complete"):
            rules(tmp_path, f"    when: {{{written}}}", TAKE_CARE)
        return
    found = rules(tmp_path, f"    when: {{{written}}}", TAKE_CARE)["written"]
    assert found.all == tuple(Condition(*one) for one in meant) and found.any == ()


def test_conditions_keep_the_order_of_the_file_and_any_stands_beside(tmp_path):
    lines = (
        "    when:",
        "      main_use: daily",
        "      any:",
        "        - {engine_torque: known}",
        "        - {shift_speed_rpm: {above: 7000 rpm}}",
        "      thrust_arc_deg: 360",
        TAKE_CARE,
    )
    found = rules(tmp_path, *lines)["written"]
    assert [one.fact for one in found.all] == ["main_use", "thrust_arc_deg"]
    assert found.any == ((Condition("engine_torque", "known"),), (Condition("shift_speed_rpm", "above", 7000.0),))
    assert [one.position.line for one in found.conditions] == [7, 11, 9, 10]


def test_a_branch_is_a_mapping_of_all_that_must_hold(tmp_path):
    lines = (
        "    when:",
        "      any:",
        "        - {main_use: daily, shift_speed_rpm: {above: 6000 rpm, at_most: 7000 rpm}}",
        "        - main_use: drag_only",
        "          engine_torque: not known",
        "        - {thrust_arc_deg: 180}",
        TAKE_CARE,
    )
    found = rules(tmp_path, *lines)["written"]
    assert found.all == () and found.any == (
        (
            Condition("main_use", "is", "daily"),
            Condition("shift_speed_rpm", "above", 6000.0),
            Condition("shift_speed_rpm", "at_most", 7000.0),
        ),
        (Condition("main_use", "is", "drag_only"), Condition("engine_torque", "absent")),
        (Condition("thrust_arc_deg", "is", 180.0),),
    )
    assert [one.position.line for one in found.conditions] == [8, 8, 8, 9, 10, 11]


def test_a_rule_whose_branches_ask_one_thing_each_keeps_the_hash_it_always_had(tmp_path):
    """Taken before a branch could ask more: cases kept with such rules are known again by it."""
    when = "    when: {main_use: daily, any: [{engine_torque: known}, {shift_speed_rpm: {above: 7000 rpm}}]}"
    assert (
        rules(tmp_path, when, TAKE_CARE)["written"].hash
        == "c1e15ba7eabb4148cde2dd6c7b8bc6768cd439ee4422776f7d18056b50b7f9cd"
    )
    wider = when.replace("known}", "known, thrust_arc_deg: 180}")
    (tmp_path / "wider").mkdir()
    assert (
        rules(tmp_path / "wider", wider, TAKE_CARE)["written"].hash
        != "c1e15ba7eabb4148cde2dd6c7b8bc6768cd439ee4422776f7d18056b50b7f9cd"
    )


def test_a_branch_that_asks_more_than_another_is_remarked_on(tmp_path):
    when = "    when: {any: [{main_use: daily}, {thrust_arc_deg: 180, main_use: daily}]}"
    remarks = knowledge_of(tmp_path, when, TAKE_CARE).remarks
    (said,) = [one for one in remarks if "branch" in one.what]
    assert said.what == "this branch of written holds only where that in line 6 does too, so it changes nothing."
    assert (said.position.line, said.position.column) == (6, 38)


def test_a_rule_without_when_always_fires(tmp_path):
    assert rules(tmp_path, TAKE_CARE)["written"].all == ()


@pytest.mark.parametrize(
    "written, meant",
    [
        ("clamp_load: {at_most: 5 kN}", ("kit", "clamp_load", "at_most", 5000.0)),
        ("clamp_load: {at_most: factory_clamp_load}", ("kit", "clamp_load", "at_most", FactRef("factory_clamp_load"))),
        ("clamp_load: {between: [1 kN, 5 kN]}", ("kit", "clamp_load", "between", (1000.0, 5000.0))),
        ("bedded_capacity_nm: {at_least: 1 N m}", ("figure", "bedded_capacity_nm", "at_least", 1.0)),
        ("hub: sprung", ("kit", "hub", "is", "sprung")),
        ("hub: [sprung]", ("kit", "hub", "in", ("sprung",))),
        ("facing: {not: [organic]}", ("kit", "facing", "not_in", ("organic",))),
        ("spline: {same_as: spline}", ("kit", "spline", "is", FactRef("spline"))),
        ("several: no", ("kit", "several", "is", False)),
    ],
)
def test_requirements(tmp_path, written, meant):
    (found,) = rules(tmp_path, f"    require: {{{written}, level: must}}")["written"].require
    assert (found.source, found.measure, found.compare, found.limit) == meant
    assert (found.level, found.safety, found.id) == ("must", False, "written")


def test_a_requirement_may_compare_with_the_same_kit(tmp_path):
    (found,) = rules(tmp_path, "    require: {discs: {at_most: {kit: friction_surfaces}}, level: must}")[
        "written"
    ].require
    assert found.limit == KitRef("friction_surfaces")


def test_a_table_is_read_row_by_row_and_shares_what_stands_above(tmp_path):
    lines = (
        "    when: {engine_torque: known}",
        "    table:",
        "      when: [main_use, shift_speed_rpm]",
        "      conclude: [warnings, wheel_torque_gain]",
        "      rows:",
        "        row-one: [daily, known, crank, 1.2]",
        "        row-two:",
        "          cells: [{not: daily}, {above: 3000 rpm, at_most: 7000 rpm}, [crank, heat], 1.3]",
        "          because: Of its own.",
    )
    found = rules(tmp_path, *lines)
    one, two = found["row-one"], found["row-two"]
    assert one.all == (
        Condition("engine_torque", "known"), Condition("main_use", "is", "daily"), Condition("shift_speed_rpm", "known")
    )  # fmt: skip
    assert one.conclude == (Conclusion("warnings", ("crank",)), Conclusion("wheel_torque_gain", 1.2))
    assert one.because == "For a test." and one.position.line == 11 and one.all[2].position.column == 26
    assert [(part.test, part.limit) for part in two.all[1:]] == [
        ("is_not", "daily"), ("above", 3000.0), ("at_most", 7000.0)
    ]  # fmt: skip
    assert two.conclude[0].value == ("crank", "heat") and two.because == "Of its own." and two.title == "A rule"


def test_a_group_shares_title_because_and_basis(tmp_path):
    lines = (
        "    when: {engine_torque: known}",
        "    group:",
        "      - {id: row-one, when: {main_use: daily}, caution: {text: Take care.}}",
        "      - id: row-two",
        "        because: Of its own.",
        "        require: {clamp_load: {at_most: 5 kN}, level: must}",
    )
    found = rules(tmp_path, *lines)
    assert [one.fact for one in found["row-one"].all] == ["engine_torque", "main_use"]
    assert found["row-one"].because == "For a test." and found["row-two"].because == "Of its own."
    assert found["row-two"].require[0].id == "row-two" and {one.title for one in found.values()} == {"A rule"}
