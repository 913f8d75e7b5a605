"""What the trade knows, held against the whole program; each check names its source or says that there is none.

Sources. [Bhandari] Design of Machine Elements, example 11.6. [Neale] The Tribology Handbook, table 7.4, facings for
automotive plate clutches. [Wilcock and Booser] Bearing Design and Application, 1957, thrust faces. [Army] US Army
TM 5-3820-256-24-4. [Heywood] Internal Combustion Engine Fundamentals, 1988, from memory. [ICAO] standard atmosphere,
from memory. Trade lore is marked: common practice, no source.
"""

import re
from math import erf, log, pi, sqrt

import pytest

from advisor.deciding.expectations import cautions, items
from advisor.deciding.neighbours import statuses
from advisor.deciding.verdicts import FAIL, PASS
from advisor.knowledge.case_model import Answer, Case
from advisor.knowledge.model import Record
from tests.rules.callers_of_calibration import compare
from tests.rules.shop import decider, knowledge, plain, shop


def case(car, origin="measured", **answers):
    return Case("trade", car, {name: Answer(value, origin) for name, value in answers.items()})


def judged(decision, kit, requirement):
    """PASS, FAIL or UNKNOWN of one requirement for one kit."""
    (checked,) = [one for one in decision.checks if one.requirement.id == requirement]
    return int(checked.status[0, decision.kits.index[kit]])


def with_kit(**fields):
    """The shop and one kit more, made from the hatchback's mild single."""
    base = next(kit for kit in shop().kits if kit.id == "orrin-240-s1")
    kit = Record("kit", "printed", {**base.fields, "fits": ("bramble-20t",), **fields})
    stock = type(shop())((*shop().kits, kit), shop().platforms, shop().parts)
    return decider(knowledge(), stock)


ROAD = {"main_use": "weekend_road", "sanctioned_racing": False, "torque_measured_at": "flywheel"}


# --- a printed clutch through the whole program: [Bhandari] example 11.6


BHANDARI = {
    "outer_diameter": 250.0, "inner_diameter": 175.0, "clamp_load": 7200.0, "worn_clamp_factor": 1.0,
    "facing": "organic", "facing_coverage": 1.0, "friction_surfaces": 2.0, "discs": 1.0,
}  # fmt: skip
# 535.5 N m by uniform wear with a friction of 0.35; ours is 0.33 for organic facings.
PRINTED = 535.5 * 0.33 / 0.35


def test_the_printed_clutch_holds_what_the_book_says():
    decision = with_kit(**BHANDARI).decide(case("bramble-20t", engine_torque=300.0, **ROAD))
    index = decision.kits.index["printed"]
    assert decision.figures.value("mean_radius_mm", 0, index) == pytest.approx(106.25)
    assert decision.figures.value("capacity_bedded_nm", 0, index) == pytest.approx(PRINTED, rel=2e-4)
    assert decision.figures.value("capacity_working_nm", 0, index) == pytest.approx(PRINTED, rel=2e-4)


@pytest.mark.parametrize("share, holds", [(0.995, True), (1.005, False)])
def test_the_printed_clutch_is_refused_just_above_what_it_holds(share, holds):
    # Weekend road use asks 1.15 times the torque, worn and warm.
    decision = with_kit(**BHANDARI).decide(case("bramble-20t", engine_torque=share * PRINTED / 1.15, **ROAD))
    assert (judged(decision, "printed", "holds-worn-and-warm") != FAIL) is holds


# --- thrust faces: [Wilcock and Booser], flat 75 and 150 psi, tapered land 200 and 500 psi


@pytest.mark.parametrize(
    "psi, load_share, over_factory, arc, warned",
    [
        (150, 0.99, 1.40, 360.0, False),
        (150, 1.005, 1.40, 360.0, True),
        # Above the maximum stand most factory clutches: more than 1.25 times theirs is told, 1.10 on half a circle.
        # Both ratios are judgement.
        (150, 1.2, 1.24, 360.0, False),
        (150, 1.2, 1.26, 360.0, True),
        (150, 1.2, 1.09, 180.0, False),
        (150, 1.2, 1.11, 180.0, True),
    ],
)
def test_the_handbook_maximum_on_the_thrust_face_warns_on_either_side(psi, load_share, over_factory, arc, warned):
    car = next(one for one in shop().platforms if one.id == "bracken-30t").fields
    area = pi / 4 * (car["thrust_face.outer_diameter"] ** 2 - car["thrust_face.inner_diameter"] ** 2)
    area *= (1 - car["thrust_face.groove_share"]) * arc / 360
    maximum = psi * 6894.757e-6 * area  # N, with mm2
    base = next(kit for kit in shop().kits if kit.id == "orrin-270-s1")
    kit = Record("kit", "printed", {**base.fields, "release_load": maximum * load_share, "price": 1.0})
    used_to = {"release_load": maximum * load_share / over_factory}
    factory = (Record("kit", one.id, {**one.fields, **used_to}) for one in shop().kits if one.fields["factory"])
    stock = type(shop())((kit, *factory), shop().platforms, shop().parts)
    decision = decider(knowledge(), stock).decide(case("bracken-30t", engine_torque=460.0, thrust_arc_deg=arc, **ROAD))
    assert decision.kits.ids[decision.pick] == "printed"
    assert ("thrust-handbook" in cautions(decision)) is warned


def test_the_printed_pressures_of_thrust_faces_are_the_rules():
    """75, 150, 200 and 500 psi."""
    concluded = {
        (rule.id, one.fact): one.value for rule in knowledge().rules for one in rule.conclude if rule.topic == "thrust"
    }
    for rule, fact, psi in (
        ("thrust-pressure-flat", "thrust_pressure_typical", 75),
        ("thrust-pressure-flat", "thrust_pressure_maximum", 150),
        ("thrust-pressure-tapered", "thrust_pressure_typical", 200),
        ("thrust-pressure-tapered", "thrust_pressure_maximum", 500),
    ):
        assert concluded[rule, fact] == pytest.approx(psi * 6894.757e-6, abs=0.006)


@pytest.mark.parametrize("arc, ratio", [(180.0, 1.40), (360.0, 2.0)])
def test_a_crankshaft_stands_so_much_more_than_its_factory_clutch(arc, ratio):
    """Common practice, no source; the ratios are judgement."""
    for share, refused in ((0.995, False), (1.005, True)):
        stock = with_kit(spline="22 x 24 mm", release_load=1440.0 * ratio * share)
        decision = stock.decide(case("sedge-18", engine_torque=160.0, thrust_arc_deg=arc, **ROAD))
        assert (judged(decision, "printed", "thrust-load-known") == FAIL) is refused


# --- facings: [Neale] table 7.4


@pytest.mark.parametrize("facing, continuous, peak, pressure", [
    ("organic", 200.0, 350.0, 0.70),       # wound tape and yarn, road cars
    ("sintered_iron", 300.0, 500.0, 2.80),  # sintered metal
    ("ceramic", None, None, 1.40),         # cermet buttons: temperatures not listed
])  # fmt: skip
def test_facing_limits_are_the_printed_ones(facing, continuous, peak, pressure):
    numbers = knowledge().facings[facing].numbers
    assert numbers["pressure"] == pressure
    if continuous is not None:
        assert (numbers["continuous_temperature"], numbers["peak_temperature"]) == (continuous, peak)


@pytest.mark.parametrize("facing", sorted(knowledge().facings))
def test_a_facing_is_refused_at_a_printed_limit_or_past_what_an_uncertain_one_may_be_out(facing):
    """A limit read in print for this use stands; one that is judgement or contested has its spread added."""
    known = knowledge().facings[facing]
    for limit in ("continuous", "peak"):
        at, spread, refused = (known.numbers[f"{limit}_{name}"] for name in ("temperature", "spread", "refused"))
        assert spread > 0
        if known.bases[f"{limit}_refused"].kind == "published":
            assert refused == at and known.bases[f"{limit}_temperature"].kind == "published"
            assert not known.bases[f"{limit}_temperature"].caution
        else:
            assert refused == at + spread


@pytest.mark.parametrize("car", ["bracken-30t", "hornbeam-50"])
@pytest.mark.parametrize("outer, inner", [(200.0, 134.0), (184.0, 124.0)])
def test_a_sintered_triple_behind_a_thousand_newton_metres_on_slicks_is_not_refused_for_heat(car, outer, inner):
    """Three sintered discs of 184 or 200 mm on a drag strip: everyday practice (common practice, no source)."""
    shelf = next(kit for kit in shop().kits if kit.id == "halvane-200-r4-shared")
    of_ring = (outer**2 - inner**2) / (shelf.fields["outer_diameter"] ** 2 - shelf.fields["inner_diameter"] ** 2)
    masses = {name: shelf.fields[name] * of_ring for name in ("plate_mass_floater", "plate_mass_pressure")}
    kit = Record("kit", "triple", {**shelf.fields, **masses, "outer_diameter": outer, "inner_diameter": inner})
    stock = type(shop())((*shop().kits, kit), shop().platforms, shop().parts)
    decision = decider(knowledge(), stock).decide(
        case(car, engine_torque=1000.0, main_use="drag_only", torque_measured_at="flywheel", tyre_grip="drag_slick",
             sanctioned_racing=True, bedding_in_possible=False, launch_speed_rpm=5000.0)
    )  # fmt: skip
    for rule in ("plate-temperature", "skin-temperature", "floater-heat", "pressure-plate-heat"):
        assert judged(decision, "triple", rule) == PASS
    at = decision.kits.index["triple"]
    assert decision.figures.value("surface_over_peak_share", 0, at) < 1  # nor wished away, engine held or dumped


def test_an_organic_facing_is_refused_exactly_where_its_plates_pass_250_degrees():
    """200 C of [Neale] and the 50 C print disagrees by: either side of it, by the mass towed."""
    seen = set()
    for towed in range(250, 5000, 250):
        decision = plain().decide(
            case("bramble-20t", engine_torque=300.0, main_use="towing", torque_measured_at="flywheel",
                 towed_mass=float(towed), sanctioned_racing=False, hill_starts="often")
        )  # fmt: skip
        for kit in ("factory-bramble-20t", "orrin-230-t1-bramble", "orrin-240-s2"):
            hot = decision.figures.value("hottest_plate_c", 0, decision.kits.index[kit])
            refused = judged(decision, kit, "plate-temperature") == FAIL
            assert refused is (hot > 250)
            seen.add(refused)
    assert seen == {True, False}


def test_a_facing_is_refused_past_its_peak_temperature():
    """[Neale]: 350 C for organic facings; either side of it, by the launch speed."""
    seen = set()
    for speed in range(2000, 10001, 500):
        decision = plain().decide(
            case("sedge-18", engine_torque=200.0, main_use="street_and_drag", torque_measured_at="flywheel",
                 launch_speed_rpm=float(speed), sanctioned_racing=False)
        )  # fmt: skip
        skin = decision.figures.value("surface_temperature_c", 0, decision.kits.index["orrin-228-s1"])
        refused = judged(decision, "orrin-228-s1", "skin-temperature") == FAIL
        assert refused is (skin > 350)
        seen.add(refused)
    assert seen == {True, False}


# --- the pedal: 80 to 150 N in textbooks (from memory); 180 to 220 N accepted by most, above 250 N refused by most
# (common practice, no source)


def test_pedal_verdicts_follow_what_drivers_accept():
    found = []
    for ratio in range(30, 70, 4):
        for tolerance in ("light", "moderate", "heavy"):
            decision = plain().decide(
                case("bramble-20t", engine_torque=300.0, pedal_ratio=ratio / 10, pedal_tolerance=tolerance,
                     stop_and_go="some", **ROAD)
            )  # fmt: skip
            factory = decision.derivation.facts["factory_pedal_force"]
            for kit in ("factory-bramble-20t", "orrin-240-s2", "skelder-240-s9"):
                force = decision.figures.value("pedal_force_n", 0, decision.kits.index[kit])
                refused = judged(decision, kit, "pedal-force-limit") == FAIL
                found.append((tolerance, force, refused))
                if factory <= 125:
                    assert not (tolerance == "light" and force <= 150 and refused)
                    assert not (tolerance == "light" and force > 150 and not refused)
                if factory <= 180:
                    assert not (tolerance == "moderate" and force <= 220 and refused)
                    assert not (tolerance == "moderate" and force > 220 and not refused)
                    assert not (tolerance == "heavy" and force > 300 and not refused)
    for tolerance in ("light", "moderate", "heavy"):
        assert {refused for one, _, refused in found if one == tolerance} == {True, False}
    assert any(force > 250 and refused for tolerance, force, refused in found if tolerance == "moderate")


# --- what the workshop is told: numbers in the texts against the reference


@pytest.mark.parametrize("rule, numbers", [
    ("bed-organic", (500, 800)),        # 300 to 500 miles: general articles, common practice, no source
    ("bed-blend", (500, 1000)),         # common practice, no source
    ("bed-ceramic", (150, 500)),        # 100 to 300 miles, common practice, no source
    ("bed-sintered", (20, 30)),         # engagements, common practice, no source
    ("run-out", (0.20,)),               # [Army]: 0.008 in at the bore
    ("disc-run-out", (0.5,)),           # factory service data, makers withheld
    ("end-float-before-and-after", (0.10,)),  # growth to act on, common practice, no source
])  # fmt: skip
def test_distances_and_limits_in_the_texts_are_the_reference_s(rule, numbers):
    (found,) = [one for one in knowledge().rules if one.id == rule]
    text = found.items[0].text.replace(",", "")
    assert [float(one) for one in re.findall(r"\d+(?:\.\d+)?", text)] == [float(one) for one in numbers]


def test_run_out_of_bore_is_the_army_manual_s():
    assert pytest.approx(0.008 * 25.4, abs=0.005) == 0.20


@pytest.mark.parametrize("end_float, caution", [
    (0.04, "end-float-small"), (0.05, None), (0.20, None), (0.24, None),
    (0.25, "end-float-growing"), (0.30, "end-float-growing"), (0.31, "end-float-large"), (0.35, "end-float-large"),
])  # fmt: skip
def test_end_float_is_judged_by_the_usual_limits(end_float, caution):
    """0.05 to 0.20 mm new, 0.25 to 0.35 mm the service limit: common practice, no source."""
    decision = plain().decide(case("gorse-25t", engine_state="standard", main_use="daily", crank_end_float=end_float))
    found = [one for one in cautions(decision) if one.startswith("end-float")]
    assert found == ([caution] if caution else [])


# --- torque by every route


TESTED_HIGH_UP = {"torque_measured_at": "flywheel", "torque_test_altitude": 1500.0}


@pytest.mark.parametrize("car, answers, torque", [
    # definition of power: 200 kW at 6,000 rpm is 318.3 N m; a tenth more below for a natural engine (judgement)
    ("hornbeam-50", {"engine_power": 200.0, "engine_power_speed_rpm": 6000.0}, 318.3 * 1.1),
    ("bracken-30t", {"engine_power": 200.0, "engine_power_speed_rpm": 6000.0}, 318.3 * 1.2),
    # [Heywood]: 10.5 bar on 2.0 l is 167 N m
    ("", {"displacement": 2000.0, "aspiration": "natural", "fuel": "petrol", "cylinders": 4.0}, 167.1),
    # definition of power: 75 kW at 2,500 rpm adds 286 N m, at 5,500 rpm 130 N m
    ("hornbeam-50", {"engine_state": "standard", "nitrous_power": 75.0, "nitrous_speed_rpm": 2500.0}, 440 + 286.5),
    ("hornbeam-50", {"engine_state": "standard", "nitrous_power": 75.0, "nitrous_speed_rpm": 5500.0}, 440 + 130.2),
    # [ICAO]: at 1,500 m a natural engine has 0.849 of its sea-level torque; a boosted one keeps its own
    ("sedge-18", {"engine_torque": 150.0, **TESTED_HIGH_UP}, 150 / 0.849),
    ("bracken-30t", {"engine_torque": 400.0, **TESTED_HIGH_UP}, 400.0),
    # losses to the rollers by driven axle: common practice, no source
    ("bramble-20t", {"engine_torque": 264.0, "torque_measured_at": "wheels"}, 264 / 0.88),
    ("hornbeam-50", {"engine_torque": 340.0, "torque_measured_at": "wheels"}, 340 / 0.85),
    ("gorse-25t", {"engine_torque": 320.0, "torque_measured_at": "wheels"}, 320 / 0.80),
    # uneven firing: judgement
    ("tansy-20d", {"engine_state": "standard"}, 320 * 1.08),
    ("teasel-10t", {"engine_state": "standard"}, 145 * 1.05),
])  # fmt: skip
def test_torque_comes_out_as_by_hand(car, answers, torque):
    given = {"main_use": "daily", **answers}
    derived = plain().derive("case", *_known(case(car, **given)))
    assert derived.facts["demand_torque"] == pytest.approx(torque, rel=2e-3)


def _known(one):
    from advisor.deciding.answers import gather

    platform = shop().platform(one.platform) if one.platform else None
    known = gather(one, platform, {kit.id: kit for kit in shop().kits}, knowledge())
    return known.facts, known.answered


# --- how sure the holding is: normal distribution of the logarithms, by hand (math.erf)


#: Callers of whom one knowledge of the torque alone is told.
ALONE = {
    "engine_dynamometer": {"engine_torque": 400.0, "torque_measured_at": "flywheel"},
    "chassis_dynamometer": {"engine_torque": 340.0, "torque_measured_at": "wheels", "driven_axle": "rear"},
    "power_at_a_speed": {"engine_power": 220.0, "engine_power_speed_rpm": 6000.0, "power_measured_at": "flywheel"},
    "claim": {"engine_torque": 400.0, "torque_measured_at": "estimated"},
    "size": {"displacement": 4000.0, "aspiration": "natural", "fuel": "petrol", "cylinders": 8.0},
    "boost": {"displacement": 2000.0, "aspiration": "turbo", "fuel": "petrol", "cylinders": 4.0, "boost_pressure": 1.0},
}


@pytest.mark.parametrize("told, route, worn85, worn90", [
    ("engine_dynamometer", "engine_dynamometer", 1.16, 1.20),
    ("chassis_dynamometer", "chassis_dynamometer", 1.17, 1.22),
    ("power_at_a_speed", "power_at_a_speed", 1.19, 1.25), ("claim", "claim", 1.21, 1.27),
    ("size", "displacement_and_boost", 1.25, 1.31), ("boost", "displacement_and_boost", 1.25, 1.31),
])  # fmt: skip
def test_how_much_in_hand_each_knowledge_of_the_torque_asks(told, route, worn85, worn90):
    """Computed in a calibration, and here once more from the spread that is derived; no print source."""
    facts = plain().derive("case", *_known(case("", main_use="daily", **ALONE[told]))).facts
    assert facts["torque_route"] == route
    facing = knowledge().facings["organic"].numbers["bedded_spread"]
    both = sqrt(facing**2 + 0.07**2 + 0.05**2 + facts["demand_spread"] ** 2)
    for ratio, probability in ((worn85, 0.85), (worn90, 0.90)):
        found = (1 + erf(log(ratio) / both / sqrt(2))) / 2
        assert found == pytest.approx(probability, abs=0.012)


def test_the_size_of_a_boosted_engine_alone_says_less_than_with_its_boost():
    """Judgement, no source."""
    without = {name: value for name, value in ALONE["boost"].items() if name != "boost_pressure"}
    spreads = [
        plain().derive("case", *_known(case("", main_use="daily", **answers))).facts["demand_spread"]
        for answers in (ALONE["boost"], without)
    ]
    assert spreads[0] < spreads[1]


# --- the factory clutch of every car: anchors of a calibration over ten generic cars (computed, no print source)


# capacity over torque new, holds worn, pedal N, release N, thrust MPa, travel has and needs mm, J/mm2 flat, static
# capacity over the gearbox's rating.
ANCHORS = {
    "teasel-10t": (1.55, 0.99, 111, 1360, 0.97, 7.4, 6.3, 0.33, 1.41),
    "bramble-20t": (1.40, 0.98, 146, 1860, 1.09, 7.4, 7.2, 0.38, 1.34),
    "gorse-25t": (1.39, 0.97, 163, 1880, 1.07, 7.8, 7.5, 0.20, 1.32),
    "bracken-30t": (1.37, 0.98, 157, 1930, 0.92, 8.0, 7.8, 0.24, 1.25),
    "hornbeam-50": (1.33, 0.95, 169, 2170, 0.82, 8.6, 7.7, 0.28, 1.24),
    "tansy-20d": (1.53, 0.98, 145, 1850, 1.05, 7.8, 7.8, 0.25, 1.43),
    "sedge-18": (1.65, 1.00, 149, 1440, 1.98, 8.9, 6.2, 0.34, 1.36),
    "blackthorn-58": (1.45, 0.98, 172, 2330, 0.88, 7.5, 7.4, 0.42, 1.41),
}
GENTLE = {"pedal_tolerance": "light", "noise_tolerance": "quiet", "take_up_tolerance": "smooth", "stop_and_go": "daily"}


@pytest.mark.parametrize("car", ANCHORS)
def test_the_factory_clutch_is_picked_on_its_car_and_stands_at_its_anchor(car):
    decision = plain().decide(case(car, main_use="daily", engine_state="standard", sanctioned_racing=False, **GENTLE))
    assert decision.kits.ids[decision.pick] == f"factory-{car}"
    assert [one for found in statuses(decision, decision.pick) for one in found] == []
    assert not {"thrust-handbook", "gearbox-overloaded", "no-longer-the-fuse"} & set(cautions(decision))

    def figure(name):
        return decision.figures.value(name, 0, decision.pick)

    facts = decision.derivation.facts
    found = (
        figure("capacity_bedded_nm") / facts["stock_torque"], figure("holding_probability"), figure("pedal_force_n"),
        figure("bearing_load_n"), figure("thrust_pressure_mpa"), facts["bearing_travel_available"],
        figure("bearing_travel_needed_mm"), figure("start_energy_j_mm2"), figure("static_over_gearbox"),
    )  # fmt: skip
    within = (0.02, 0.012, 1, 5, 0.015, 0.05, 0.05, 0.015, 0.02)
    for one, anchor, most in zip(found, ANCHORS[car], within, strict=True):
        assert one == pytest.approx(anchor, abs=most)
    assert 120 <= figure("hottest_plate_c") <= 200  # 126 to 184 C in the calibration; 197 on the heavy saloon here
    assert (
        15 <= figure("take_up_window_mm") <= 33
    )  # 15 to 30 in the calibration; a heavy saloon on a tall first gear more
    assert 6 <= figure("flat_window_mm") <= 17  # about 10 mm, computed; no print gives it


@pytest.mark.parametrize("car", ANCHORS)
def test_drifting_overheats_every_factory_clutch(car):
    """205 to 312 C in the calibration (computed, no print source)."""
    decision = plain().decide(case(car, main_use="drift", engine_state="standard", sanctioned_racing=False))
    hot = decision.figures.value("hottest_plate_c", 0, decision.kits.index[f"factory-{car}"])
    assert 195 <= hot <= 312


def test_picks_agree_with_the_calibration_s():
    """23 rows of five torques that this shop's cars can stand for. 130 of the 140 were called right by judgement."""
    cells = compare(plain(), shop().platforms)
    same = [found in wanted for _, found, wanted in cells]
    nearly = [found in wanted or _class(found) == _class(wanted[0]) for _, found, wanted in cells]
    assert len(cells) == 115
    assert sum(same) >= 84, [cell for cell, right in zip(cells, same, strict=True) if not right]
    assert sum(nearly) >= 95


HARSH = {
    **dict.fromkeys(("S0", "S1", "S2", "S4", "S5"), 0),
    **dict.fromkeys(("S3", "T1", "T2", "T3", "T4", "T5", "T9", "TX"), 1),
    **dict.fromkeys(("S6", "S7"), 2),
    **dict.fromkeys(("T6", "T8"), 3),
    **dict.fromkeys(("S8", "S9", "T7", "C1"), 4),
    **dict.fromkeys(("R1", "R2", "R3", "R4", "R5"), 5),
    "none": None,
}


def _class(code):
    return HARSH[code]


def test_the_standard_car_s_sheet_alarms_nobody():
    """No measurement of thrust, no pedal stop, no professional for the factory clutch on its car."""
    for car in ANCHORS:
        decision = plain().decide(case(car, main_use="daily", engine_state="standard", sanctioned_racing=False))
        assert not {"end-float-before-and-after", "pedal-stop", "run-out", "who-fits-pack"} & set(items(decision))
