"""Callers of a calibration over ten generic cars, on the eight cars of the invented shop, and what was picked there.

Codes: S0 factory; S1, S2 organic single +25, +50 % clamp load; S4, S5 the same in carbon-organic; S6, S7 six paddles;
S8, S9 four paddles, solid; T1, T2, T5, TX organic twins; T3, T4 carbon-organic twins; T6, T7, T8 ceramic twins;
T9 organic triple; R1 to R5 sintered packs. Source: a numeric prototype, tuned until a practitioner would agree with
the picks (judgement, no print source).
"""

import itertools
import re

from advisor.knowledge.case_model import Answer, Case

STEPS = (1.0, 1.3, 1.6, 2.0, 2.8)

# Car, use, picks at 1.0, 1.3, 1.6, 2.0 and 2.8 times the factory torque; after a slash what a practitioner would
# rather.
PICKS = """
teasel-10t     daily           S0 S1 S2    T5 T8
teasel-10t     road_course     S0 S1 S2/S5 T8 T8
teasel-10t     rally           S4 S4 S5    T8 T8
bramble-20t    daily           S0 S1 T1    T3 none
bramble-20t    road_course     S0 S4 S5    T3 T7
bramble-20t    street_and_drag S0 S4 S5    T3 none
gorse-25t      daily           S0 S1 T4    T3 none
gorse-25t      street_and_drag S0 S4 T4/S7 T3 none
gorse-25t      rally           S4 S4 T3/S6/S7/T6 T3 R4
bracken-30t    daily           S0 S1 T3    T9 T9
bracken-30t    drift           S4 S5 S7    T6 R5
bracken-30t    drag_only       S6 S6 S7    T6 R4
hornbeam-50    daily           S0 S4 TX    T9 none
hornbeam-50    road_course     S0 S4 T6    R4/TX R5
hornbeam-50    drag_only       S6 S6 T6    R4 R5
tansy-20d      daily           S0 S1 T1    T3 none
tansy-20d      towing          S0 S1 T4/T2 T3 none
sedge-18       weekend_road    S0 S0 S4    T5 T8
sedge-18       road_course     S0 S1 S4    T5 T8
sedge-18       drift           S1 S4 S4    T8 T8
blackthorn-58  weekend_road    S0 S1 T3    TX none
blackthorn-58  street_and_drag S4/S0 S4 T3 TX none
blackthorn-58  drag_only       S6 S6 T6    T7 R4
"""

# pedal, noise, take-up, stop-and-go: as the use suggests.
WISHES = {
    "daily": ("moderate", "some", "smooth", "daily"),
    "towing": ("moderate", "some", "smooth", "some"),
    "weekend_road": ("moderate", "some", "some_judder", "some"),
    "road_course": ("heavy", "any", "any", "none"),
    "rally": ("heavy", "any", "any", "none"),
    "drift": ("heavy", "any", "any", "none"),
    "street_and_drag": ("heavy", "some", "some_judder", "some"),
    "drag_only": ("heavy", "any", "any", "none"),
}
TYRES = {"road_course": "semi_slick", "rally": "semi_slick", "street_and_drag": "semi_slick", "drag_only": "drag_slick"}
LOSS = {"front": 0.12, "rear": 0.15, "all": 0.20}


def callers(platforms):
    """(Case, picks of the calibration, first the prototype's own) for every cell of the table."""
    cars = {one.id: one.fields for one in platforms}
    for line in PICKS.split("\n"):
        if not line:
            continue
        car, use, *cells = line.split()
        for times, cell in zip(STEPS, cells, strict=True):
            yield _case(car, cars[car], use, times), tuple(cell.split("/"))


def _case(car, fields, use, times):
    pedal, noise, take_up, traffic = WISHES[use]
    answers = {
        "main_use": use,
        "engine_torque": fields["stock.torque"] * times * (1 - LOSS[fields["driven_axle"]]),
        "torque_measured_at": "wheels",
        "pedal_tolerance": pedal,
        "noise_tolerance": noise,
        "take_up_tolerance": take_up,
        "stop_and_go": traffic,
        "sanctioned_racing": False,
        "tyre_grip": TYRES.get(use, "summer"),
    }
    if use == "drag_only":
        answers["bedding_in_possible"] = False
    if use == "towing":
        answers["towed_mass"] = 1500.0
    return Case(f"{car}-{use}-{times}", car, {name: Answer(value) for name, value in answers.items()})


def code(kit):
    """The calibration's code of the id of a pick, or of None."""
    if kit is None:
        return "none"
    return "S0" if kit.startswith("factory") else re.search(r"-(t\d|tx|s\d|c\d|r\d)", kit).group(1).upper()


def compare(decider, platforms):
    """(case id, found, wanted picks) for every cell; those of one car are decided together, as they stand."""
    cells = []
    for _, group in itertools.groupby(callers(platforms), lambda cell: cell[0].platform):
        cases, wanted = zip(*group)
        gathered = [decider.gather(case) for case in cases]
        outcomes = decider.batch.outcomes([known for _, known in gathered], gathered[0][0], ask_first=False)
        cells += zip((case.id for case in cases), (code(outcome.pick) for outcome in outcomes), wanted, strict=True)
    return cells
