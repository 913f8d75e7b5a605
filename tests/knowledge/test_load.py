"""The small folder comes in whole: types, units, hashes, order, records, cases, rule tests."""

import pickle
import random
import shutil

import pytest

from advisor.errors import ErrorList, InputError
from advisor.knowledge import load, rule_tests, strict_yaml
from advisor.knowledge.case_model import Answer
from advisor.knowledge.model import STAGES, Conclusion, Condition, FactRef, Input, Item, Requirement, Unknown

from .broken_files import SMALL


@pytest.fixture(scope="module")
def small():
    return load.knowledge(SMALL / "rules")


def rule(knowledge, name):
    return next(one for one in knowledge.rules if one.id == name)


def calculation(knowledge, name):
    return next(one for one in (*knowledge.calculations, *knowledge.figure_calculations) if one.id == name)


def test_facts(small):
    torque = small.facts["engine_torque"]
    assert (torque.kind, torque.unit, torque.low, torque.high, torque.resolution) == (
        "number",
        "N m",
        20.0,
        3000.0,
        1.0,
    )
    assert (torque.source, torque.platform, torque.changeable, torque.if_unknown) == (
        "asked",
        "stock.torque",
        "costs",
        Unknown("leave"),
    )
    assert small.facts["torque_measured_at"].if_unknown == Unknown(
        "assume", value="estimated", others=("flywheel", "wheels"), basis="nobody measured it, judgement"
    )
    arc = small.facts["thrust_arc_deg"]
    assert (arc.choices, arc.if_unknown.value, arc.offered, arc.safety) == ((180.0, 360.0), 180.0, False, True)
    assert small.facts["warnings"].agreement == "list" and small.facts["warnings"].output
    assert list(small.facts)[:3] == ["engine_torque", "torque_measured_at", "main_use"]


def test_facts_about_the_kit_are_made(small):
    assert small.facts["kit_clamp_load"].source == "kit" and small.facts["kit_clamp_load"].unit == "N"
    assert small.facts["kit_several"].kind == "flag"
    assert small.facts["bedded_capacity_nm"].source == "figure"
    assert small.kit_fields["plate_mass_floater"].path == "plate_masses.floater"
    assert {"several", "cushioned", "friction_surfaces"} <= set(small.kit_fields)


def test_rules(small):
    half = rule(small, "half-thrust-face")
    assert (half.topic, half.stage) == ("thrust", "case")
    assert half.all == (Condition("thrust_arc_deg", "is", 180.0),)
    assert half.any == ((Condition("shift_speed_rpm", "above", 7000.0),), (Condition("main_use", "is", "drag_only"),))
    assert half.require == (
        Requirement(
            "half-face-clamp",
            "kit",
            "clamp_load",
            "at_most",
            FactRef("factory_clamp_load"),
            "N",
            "must",
            safety=True,
            rule="half-thrust-face",
        ),
        Requirement(
            "half-face-quiet",
            "kit",
            "hub",
            "in",
            ("sprung",),
            "",
            "should",
            concern="noise",
            of_kits=(("facing", ("organic",)),),
            rule="half-thrust-face",
        ),
    )
    assert half.conclude == (Conclusion("warnings", ("crank",)),)
    assert half.cautions[0].id == "half-thrust-face" and half.cautions[0].safety
    assert rule(small, "speed-limit").all[0].limit == (3000.0, 14000.0)
    assert half.position.line == 4 and half.all[0].position.line == 7


def test_table_rows_are_rules_that_share(small):
    row = rule(small, "demand-stated")
    assert (
        row.title == "Which torque counts"
        and row.because.startswith("The torque at the flywheel")
        and row.basis.kind == "judgement"
    )
    assert row.conclude == (Conclusion("demand_torque", FactRef("engine_torque")),)
    assert "demand" not in {one.id for one in small.rules}


def test_items(small):
    assert rule(small, "several-discs").items == (
        Item("several-discs-part", "part", "Two discs must line up.", "required", part="alignment_tool"),
        Item("measure-float", "measurement", "Measure the end float of the crankshaft."),
        Item("check-cover", "step", "Compare the clamp load of {kit_clamp_load} with the label.", "check"),
    )
    assert rule(small, "fitter").items == (Item("fitter", "fitted_by", "Let a workshop fit it.", who="professional"),)


def test_trade_lore_says_so(small):
    assert rule(small, "wheels-to-flywheel").basis.source == "common practice, no source"


def test_calculations(small):
    assert calculation(small, "torque-to-hold").units == (("factor", "1"), ("value", "any"))
    capacity = calculation(small, "capacity-when-bedded")
    assert dict(capacity.inputs)["friction_coefficient"] == Input(
        "first_of", first_of=(Input("figure", "hot_friction", unit="1"), Input("facing", "bedded_median", unit="1"))
    )
    assert (capacity.stage, capacity.gives, capacity.unit, capacity.result_unit) == (
        "kit",
        "bedded_capacity_nm",
        "N m",
        "N m",
    )
    radius = calculation(small, "radius-of-friction")
    assert dict(radius.inputs)["outer_radius"].unit == "mm" and dict(radius.units)["outer_radius"] == "m"
    assert dict(radius.inputs)["theory"] == Input("choice", value="uniform_wear", unit="1")
    hot = dict(calculation(small, "friction-when-hot").inputs)
    assert (
        hot["curve_temperatures"] == Input("facing", "curve_temperatures", unit="degC")
        and hot["temperature"].value == 250.0
    )


def test_facings_and_tables(small):
    ceramic = small.facings["ceramic"]
    assert ceramic.units["continuous_temperature"] == "degC"
    # 482 degF is 250 degC: the first facing decides the unit.
    assert ceramic.numbers["continuous_temperature"] == pytest.approx(250.0, abs=1e-9)
    assert small.facings["organic"].curve == ((20.0, 1.0), (250.0, 0.95), (350.0, 0.7))
    harshness = small.order.tables["harshness"]
    assert (
        harshness.by == ("facing", "disc_form", "hub", "cushioned")
        and harshness.complete
        and harshness.rows[0][2] == 0.0
    )
    assert harshness.rows[0][1] == (
        ("facing", ("organic",)),
        ("disc_form", ("full_face",)),
        ("hub", ("sprung",)),
        ("cushioned", (True,)),
    )


def test_it_pickles(small):
    assert pickle.loads(pickle.dumps(small)) == small


def test_remarks_name_what_is_idle(small):
    assert [remark.what for remark in small.remarks] == [
        f"spare_{one} is never concluded and never read." for one in ("torque", "length", "choice")
    ]


def test_two_rules_that_may_both_conclude_are_remarked(tmp_path):
    shutil.copytree(SMALL / "rules", tmp_path, dirs_exist_ok=True)
    path = tmp_path / "case/demand.yaml"
    path.write_text(path.read_text().replace("{not: daily}", "{not: drag_only}"))
    remarks = [remark for remark in load.knowledge(tmp_path).remarks if "both" in remark.what]
    assert [(remark.what, remark.position.line, remark.until_proved) for remark in remarks] == [
        ("use-daily and use-other may both conclude use_factor, which one rule alone may conclude.", 31, True)
    ]


def shuffled(folder, seed):
    """The small folder with files renamed, lists of rules in another order, other spacing, quotes and units."""
    chance = random.Random(seed)
    for stage in STAGES:
        for number, path in enumerate(sorted((folder / stage).glob("*.yaml"))):
            if path.name.endswith(".tests.yaml"):
                continue
            head, _, body = path.read_text().partition("rules:\n")
            rules = ["  - id:" + part for part in body.split("  - id:")[1:]] if "\n      - id:" not in body else [body]
            chance.shuffle(rules)
            text = f"# moved\n{head}rules:\n" + "".join(rules)
            path.unlink()
            (folder / stage / f"{chance.random()}-{number}.yaml").write_text(
                text.replace("7000 rpm", '"7000  r/min"').replace("500 N m", "0.5 kNm")
            )


@pytest.mark.parametrize("seed", range(3))
def test_the_hash_is_of_the_content(small, tmp_path, seed):
    shutil.copytree(SMALL / "rules", tmp_path, dirs_exist_ok=True)
    shuffled(tmp_path, seed)
    moved = load.knowledge(tmp_path)
    assert [one.id for one in moved.rules] != [one.id for one in small.rules] or seed
    assert moved.sha256 == small.sha256
    assert {one.id: one.hash for one in moved.rules} == {one.id: one.hash for one in small.rules}


@pytest.mark.parametrize(
    "file, old, new",
    [
        ("case/thrust.yaml", "7000 rpm", "7001 rpm"),
        ("case/demand.yaml", "1.25]", "1.26]"),
        ("order.yaml", "thrust, heat", "heat, thrust"),
        ("facings.yaml", "0.33", "0.34"),
        ("workshop.yaml", "low: 3 mm", "low: 3.1 mm"),
        ("questions.yaml", "Torque?", "How much?"),
        ("calculations.yaml", "250 degC", "260 degC"),
        ("vocabulary.yaml", "label: main use of the car", "label: main use"),
        ("case/thrust.yaml", "It must not burst.", "It must never burst."),
    ],
)
def test_any_change_changes_the_hash(small, tmp_path, file, old, new):
    shutil.copytree(SMALL / "rules", tmp_path, dirs_exist_ok=True)
    text = (tmp_path / file).read_text()
    assert old in text
    (tmp_path / file).write_text(text.replace(old, new, 1))
    assert load.knowledge(tmp_path).sha256 != small.sha256


def test_kits(small):
    kits = load.kits(SMALL / "scenarios/kits", small)
    assert [kit.id for kit in kits] == ["factory-fern", "twin-fern"]
    twin = kits[1].fields
    assert (twin["several"], twin["cushioned"], twin["friction_surfaces"]) == (True, False, 4.0)
    assert twin["outer_diameter"] == 184.15 and twin["clamp_load"] == pytest.approx(8896.443230521)
    assert twin["plate_mass_floater"] == 1.9 and twin["fits"] == ("fern-16",) and twin["invented"] is True
    assert "seller_rating" not in twin
    assert kits[0].fields["cushioned"] is True and kits[0].fields["price"] == 189.5
    assert load.kits(SMALL / "scenarios/kits/some.yaml", small) == kits
    assert load.records_sha256(kits) == load.records_sha256(kits[::-1]) != load.records_sha256(kits[:1])


def test_platforms_and_parts(small):
    (fern,) = load.platforms(SMALL / "scenarios/platforms", small)
    assert (
        fern.fields["gear_ratios.0"] == 3.5
        and fern.fields["stock.torque"] == 150.0
        and fern.fields["thrust_face.arc_deg"] == 180.0
    )
    assert fern.fields["stock.clutch"] == "factory-fern" and fern.fields["spline"] == "21 x 24 mm"
    (part,) = load.parts(SMALL / "scenarios/parts", small)
    assert (part.kind, part.fields["kind"], part.fields["price"]) == ("part", "alignment_tool", 19.9)
    load.check_together(load.kits(SMALL / "scenarios/kits", small), (fern,), (part,))


def test_a_platform_number_comes_in_the_unit_of_the_fact_that_reads_it(small, tmp_path):
    path = tmp_path / "car.yaml"
    path.write_text(
        "platforms:\n  - {id: car, title: Car, invented: yes, stock: {torque: 100 lb-ft}, wheelbase: 2500 mm,\n"
        "     thrust_face: {outer_diameter: 0.07 m}}\n"
    )
    (car,) = load.platforms(path, small)
    assert car.fields["stock.torque"] == pytest.approx(135.58179483314)
    assert car.fields["thrust_face.outer_diameter"] == 70.0 and car.fields["wheelbase"] == 2.5


def test_case(small):
    case = load.case(SMALL / "scenarios/cases/tuned.yaml", small)
    assert (case.id, case.platform, case.unknown) == ("tuned-fern", "fern-16", ("thrust_arc_deg",))
    assert case.answers["engine_torque"] == Answer(pytest.approx(257.60541018297), "measured")
    assert case.answers["bedding_in_possible"] == Answer(True, "stated")
    assert case.expect == {"outcome": "recommended", "pick": "twin-fern", "next_up": None}


def test_a_platform_field_may_be_answered_and_no_platform_named(small, tmp_path):
    path = tmp_path / "case.yaml"
    path.write_text("case: one\nplatform: none\nanswers: {spline: 22 x 25 mm, main_use: don't know}\n")
    case = load.case(path, small)
    assert case.platform == "" and case.answers["spline"].value == "22 x 25 mm" and case.unknown == ("main_use",)


def test_records_of_a_large_shop_are_read(small, tmp_path):
    """Kit lists may be larger than rule files: 3,000 kits, more than 512 kB."""
    text = (SMALL / "scenarios/kits/some.yaml").read_text()
    record = text.split("  - id: twin-fern\n")[1]
    path = tmp_path / "many.yaml"
    path.write_text("kits:\n" + "".join(f"  - id: kit-{number}\n{record}" for number in range(3000)))
    assert path.stat().st_size > strict_yaml.KNOWLEDGE_LIMIT
    assert len(load.kits(path, small)) == 3000


def test_several_broken_records_are_reported_together(small, tmp_path):
    text = (SMALL / "scenarios/kits/some.yaml").read_text()
    path = tmp_path / "kits.yaml"
    path.write_text(text.replace("5000 N", "5000 kg").replace("2000 lbf", "2000 bananas"))
    with pytest.raises(ErrorList) as caught:
        load.kits(path, small)
    assert [error.where.line for error in caught.value.errors] == [13, 32]
    assert all(isinstance(error, InputError) for error in caught.value.errors)


def test_rule_tests(small):
    wheels, estimated = rule_tests.read_folder(SMALL / "rules", small)
    assert (wheels.topic, wheels.stage, wheels.given["engine_torque"]) == ("demand", "case", 400.0)
    assert wheels.requirements == ("hold-the-torque",) and wheels.items is None
    assert wheels.fired == ("wheels-to-flywheel", "demand-wheels", "use-daily")
    assert estimated.expect == {"use_factor": 1.5, "wheel_torque_gain": None}
    assert estimated.answered == frozenset({"engine_torque", "torque_measured_at", "main_use"})
    never_fire, never_silent = rule_tests.untested(small, (wheels, estimated))
    assert "hold-the-torque" in never_fire and "use-daily" not in never_fire
    assert "use-daily" in never_silent and "use-other" not in never_silent
