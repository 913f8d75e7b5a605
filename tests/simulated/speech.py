"""Spoken English for what a caller says: one or several facts to a phrase, numbers as digits or in words.

The phrases are everyday ones. Each `Utterance` carries the answers in it, so that whatever takes down speech can be
held against them.
"""

import random
from dataclasses import dataclass

from .saying import plain
from .shares import table

ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
TENS = ["-", "-", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
#: How units are said, one of these.
SPOKEN_UNITS = {
    "N m": ("newton metres", "Nm"),
    "lb-ft": ("foot-pounds", "pound feet", "lb-ft"),
    "kgf m": ("kgm", "mkg"),
    "kW": ("kilowatts", "kW"),
    "PS": ("PS", "metric horsepower"),
    "hp": ("horsepower", "hp", "horse", "brake horse"),
    "rpm": ("rpm", "revs"),
    "bar": ("bar",),
    "psi": ("psi", "pounds"),
    "kg": ("kilos", "kg"),
    "lb": ("pounds", "lbs"),
    "km/h": ("kilometres an hour", "km/h"),
    "mph": ("miles an hour", "mph"),
    "cm3": ("cc",),
    "l": ("litre",),
    "%": ("per cent", "percent"),
    "m": ("metres",),
    "mm": ("millimetres", "mm"),
    "deg": ("degrees",),
    "1": ("",),
}
#: Phrases for numbers; {n} is the figure with its unit.
NUMBERS = {
    "engine_torque": ("it makes {n}", "torque is {n}", "we're at {n}", "it's got {n} of torque"),
    "engine_power": ("it's got {n}", "power is {n}", "it makes {n}"),
    "engine_power_speed_rpm": ("peak power at {n}", "the power's at {n}"),
    "boost_pressure": ("it runs {n} of boost", "boost is {n}"),
    "quarter_mile_speed": ("it crosses the quarter mile at {n}", "traps {n} on the quarter"),
    "displacement": ("it's a {n} engine", "{n} engine"),
    "cylinders": ("{n} cylinders",),
    "nitrous_power": ("there's a {n} shot of nitrous on it", "nitrous, {n} shot"),
    "nitrous_speed_rpm": ("the nitrous comes in at {n}",),
    "shift_speed_rpm": ("I change up at {n}", "shift at {n}"),
    "launch_speed_rpm": ("I launch at {n}", "launches from {n}"),
    "hard_launches_per_day": ("{n} hard launches on a day", "I do {n} launches when I'm out"),
    "launch_days_per_year": ("{n} days a year", "I'm at it {n} days in the year"),
    "vehicle_mass": ("it weighs {n} with me in it", "the car's {n} with the driver"),
    "towed_mass": ("the trailer is {n}", "it pulls {n}", "tows a caravan of {n}"),
    "budget": ("I've got {n} to spend", "it mustn't cost more than {n}", "budget's {n}"),
    "torque_growth_percent": ("I want {n} more later", "another {n} is planned"),
    "overboost_percent": ("it overboosts by {n}",),
    "torque_test_altitude": ("it was measured {n} up",),
    "hill_grade": ("the steepest hill is {n}",),
    "start_altitude": ("we live {n} up",),
    "gearbox_torque_rating": ("the gearbox is good for {n}",),
    "thrust_arc_deg": ("the thrust face is {n}",),
    "crank_end_float": ("end float is {n}",),
    "tyre_radius": ("the tyre's rolling radius is {n}",),
    "first_gear_ratio": ("first gear is {n}",),
    "final_drive": ("the final drive is {n}",),
}
#: Phrases where the number is nought.
NOUGHT = {
    "hard_launches_per_day": ("no hard launches", "I never launch it"),
    "launch_days_per_year": ("never on a strip", "not one day a year"),
    "torque_growth_percent": ("that's all it'll ever make", "nothing more planned"),
    "overboost_percent": ("it doesn't overboost",),
    "start_altitude": ("we're down by the sea",),
    "torque_test_altitude": ("measured down at sea level",),
}
ROUGHLY = ("about {n}", "around {n}", "roughly {n}", "{n} or so")
SPANS = ("{low} to {high}", "between {low} and {high}", "somewhere from {low} to {high}")
#: Phrases for choices and yes or no.
CHOICES = {
    "main_use": {
        "daily": ("it's my daily driver", "I drive it to work every day", "just the school run and the shops"),
        "weekend_road": ("it's a weekend car", "Sunday drives mostly", "it only comes out at the weekend"),
        "road_course": ("it's for track days", "I do trackdays with it", "it's a circuit car"),
        "drag_only": ("it only does the strip", "drag strip only, comes on a trailer"),
        "street_and_drag": ("street car that goes to the strip", "I drive it on the road and drag it now and then"),
        "drift": ("it's a drift car", "I go drifting with it"),
        "towing": ("it tows", "it's for towing mostly", "it pulls the caravan"),
        "rally": ("it's a rally car", "stages, gravel and tarmac"),
    },
    "engine_state": {
        "standard": ("the engine's standard", "bone stock", "engine has never been touched"),
        "modified": ("it's been tuned", "the engine isn't standard any more", "it's modified"),
    },
    "engine_changes": {
        "chip": ("it's chipped", "it's had a remap"),
        "chip_exhaust": ("it's got a remap and an exhaust", "stage 2, chip and exhaust"),
        "larger_turbo": ("it's got a bigger turbo on",),
        "breathing": ("filter and exhaust, that's all", "it's got an exhaust and a filter"),
        "cams": ("it's got cams and a worked head",),
        "supercharger": ("somebody put a supercharger on it",),
        "turbo": ("it's been turbo converted",),
    },
    "torque_measured_at": {
        "flywheel": ("that's at the flywheel", "at the crank"),
        "wheels": ("at the wheels", "that was on the rollers"),
        "estimated": ("so the tuner says", "nobody measured it"),
    },
    "power_measured_at": {
        "flywheel": ("at the crank", "that's crank power"),
        "wheels": ("at the wheels", "on the rolling road"),
        "estimated": ("so they told me", "nobody's had it on a dyno"),
    },
    "aspiration": {
        "natural": ("no turbo", "naturally aspirated"),
        "turbo": ("it's a turbo", "it's turbocharged"),
        "supercharged": ("it's supercharged", "it's got a blower"),
    },
    "fuel": {"petrol": ("it's a petrol",), "diesel": ("it's a diesel",)},
    "stop_and_go": {
        "none": ("no traffic to speak of", "never in traffic"),
        "some": ("a bit of town driving", "some traffic"),
        "daily": ("stuck in traffic every day", "stop and go every morning"),
    },
    "hill_starts": {"rare": ("it's flat round here",), "often": ("I live on a hill", "steep hills everywhere here")},
    "tyre_grip": {
        "economy": ("cheap tyres", "ordinary eco tyres"),
        "summer": ("normal summer tyres", "good road tyres"),
        "semi_slick": ("semi slicks", "track tyres"),
        "drag_slick": ("slicks, drag ones", "drag slicks"),
    },
    "pedal_tolerance": {
        "light": ("the pedal must stay light", "my wife drives it too, so nothing heavy"),
        "moderate": ("a bit heavier is fine", "the pedal can be a bit firmer"),
        "heavy": ("I don't mind a heavy pedal", "heavy pedal's no problem"),
    },
    "noise_tolerance": {
        "quiet": ("it has to be quiet", "no rattling please"),
        "some": ("a bit of noise is all right", "some rattle I can live with"),
        "any": ("noise doesn't matter", "it can rattle all it likes"),
    },
    "take_up_tolerance": {
        "smooth": ("it must pull away smoothly", "no juddering"),
        "some_judder": ("a little judder I can take",),
        "any": ("it can bite like a switch", "I don't care if it grabs"),
    },
    "installer": {
        "professional": ("my garage does it", "a workshop fits it"),
        "experienced_home": ("I fit it myself, I've done a few", "doing it at home, not my first"),
        "first_time": ("I'm fitting it myself, first time", "never done one before but I'll have a go"),
    },
    "sanctioned_racing": {
        True: ("I race it, with a licence", "there's scrutineering"),
        False: ("no racing", "I don't enter races"),
    },
    "bedding_in_possible": {
        True: ("I can run it in gently",),
        False: ("there's no time to run it in", "it goes straight to the event"),
    },
    "present_clutch_condition": {
        "sound": ("the old clutch is fine", "nothing wrong with the clutch that's in it"),
        "slips": ("the clutch slips", "it's slipping now"),
        "drags": ("it won't disengage properly", "the clutch drags"),
        "judders": ("it judders when I pull away",),
        "noisy": ("the clutch makes a noise",),
        "worn_out": ("the clutch is worn out", "it's finished, two hundred thousand on it"),
        "not_fitted": ("there's no clutch in it at the moment",),
    },
    "slip_when": {
        "peak_torque_only": ("only when I give it everything", "in the mid range at full throttle"),
        "any_load": ("it slips all the time",),
        "hot_only": ("only once it's hot",),
    },
    "noise_when": {
        "pedal_up": ("with the pedal up, in neutral",),
        "pedal_just_down": ("as soon as I touch the pedal",),
        "pedal_down_in_gear": ("with the pedal down and a gear in",),
    },
    "pumping_helps": {True: ("pumping the pedal helps",), False: ("pumping makes no difference",)},
    "pedal_bite": {
        "near_floor": ("it bites right at the floor",),
        "middle": ("it bites in the middle",),
        "near_top": ("it bites at the very top",),
    },
    "pedal_free_play": {True: ("there's some free play",), False: ("there's no free play at all",)},
    "oil_in_housing": {True: ("there's oil dripping from the bell housing",), False: ("no oil underneath",)},
    "flywheel_kind": {"single_mass": ("solid flywheel",), "dual_mass": ("it's got a dual mass",)},
    "flywheel_material": {
        "grey_iron": ("ordinary cast iron flywheel",),
        "ductile_iron": ("ductile iron flywheel",),
        "steel": ("steel flywheel",),
        "aluminium": ("aluminium flywheel",),
    },
    "driven_axle": {"front": ("front wheel drive",), "rear": ("rear wheel drive",), "all": ("four wheel drive",)},
    "gear_change": {"synchro": ("normal gearbox", "synchro box"), "dog": ("it's got a dog box",)},
    "release_actuation": {
        "cable": ("the clutch is on a cable",),
        "hydraulic_fork": ("hydraulic with a fork",),
        "concentric": ("the slave cylinder's round the shaft",),
    },
    "pedal_stop_fitted": {True: ("there's a pedal stop",), False: ("no pedal stop",)},
    "clutchless_shifts": {True: ("I shift without the clutch",), False: ("I always use the clutch",)},
    "held_by_launch_control": {True: ("it's got launch control",), False: ("no launch control",)},
    "anti_lag": {True: ("it's got anti-lag",), False: ("no anti-lag",)},
    "cover_self_adjusts": {True: ("the cover adjusts itself",), False: ("ordinary cover, not a self-adjusting one",)},
    "converted_from_automatic": {True: ("it was an automatic once",), False: ("it's always been a manual",)},
    "hybrid_drive": {
        "none": ("no electric motor",),
        "before_clutch": ("it's a hybrid, motor on the crank",),
        "after_clutch": ("it's a hybrid, motor on the axle",),
    },
    "gearbox_out": {True: ("the gearbox is out",), False: ("the gearbox is still in",)},
    "self_adjuster": {True: ("it adjusts itself",), False: ("you have to adjust it by hand",)},
}
#: Said in the same breath as the fact before it.
WITH = {
    "torque_measured_at": "engine_torque",
    "power_measured_at": "engine_power",
    "slip_when": "present_clutch_condition",
}
TOGETHER = 0.3


@dataclass(frozen=True, slots=True)
class Utterance:
    """A spoken phrase and the answers (`Said`) that are in it."""

    text: str
    said: tuple


def in_words(number):
    """A number below a hundred thousand in words, to two decimals.

    >>> in_words(380), in_words(6500), in_words(1.35), in_words(21)
    ('three hundred and eighty', 'six thousand five hundred', 'one point three five', 'twenty-one')
    """
    whole, _, decimals = plain(round(number, 2)).partition(".")
    words = _whole(int(whole))
    return f"{words} point {' '.join(ONES[int(digit)] for digit in decimals)}" if decimals else words


def _whole(number):
    if number < 20:
        return ONES[number]
    if number < 100:
        return TENS[number // 10] + (f"-{ONES[number % 10]}" if number % 10 else "")
    size, name = (1000, "thousand") if number >= 1000 else (100, "hundred")
    rest = number % size
    joint = " and " if 0 < rest < 100 else " "
    return f"{_whole(number // size)} {name}" + (f"{joint}{_whole(rest)}" if rest else "")


def phrase(pick, answer, *, measured=False):
    """How somebody says one `Said`; None for what nobody says in a sentence. ``measured``: what went before was."""
    if answer.fact in CHOICES:
        phrases = CHOICES[answer.fact][answer.value]
        return pick.choice((*phrases, "on the engine dyno") if measured and answer.value == "flywheel" else phrases)
    if answer.fact not in NUMBERS:
        return None
    if not answer.value and answer.fact in NOUGHT:
        return pick.choice(NOUGHT[answer.fact])
    words = pick.random() < table()["in_words"]["share"]
    numbers = [in_words(number) if words and number < 100_000 else plain(number) for number in answer.figures]
    unit = pick.choice(SPOKEN_UNITS[answer.unit])
    if answer.way == "range":
        figure = pick.choice(SPANS).format(low=numbers[0], high=numbers[1])
    else:
        figure = numbers[0]
    figure = f"{figure} {unit}".strip()
    if answer.way == "about":
        figure = pick.choice(ROUGHLY).format(n=figure)
    return pick.choice(NUMBERS[answer.fact]).format(n=figure)


def utterances(caller):
    """All that a caller says, main use and engine first, two or three facts sometimes in one breath."""
    pick = random.Random(f"speech of {caller.truth.seed}")
    spoken = []
    for answer in caller.said:
        measured = bool(spoken) and spoken[-1].said[-1].origin == "measured"
        text = phrase(pick, answer, measured=measured)
        if text is None:
            continue
        joined = spoken and (
            spoken[-1].said[-1].fact == WITH.get(answer.fact) or (len(spoken[-1].said) < 3 and pick.random() < TOGETHER)
        )
        if joined:
            spoken[-1] = Utterance(f"{spoken[-1].text}, {text}", (*spoken[-1].said, answer))
        else:
            spoken.append(Utterance(text, (answer,)))
    return tuple(spoken)
