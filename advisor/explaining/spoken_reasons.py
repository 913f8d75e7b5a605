"""Reasons for the pick in words that can be read out on the telephone; every number in them stands in the record."""

from collections.abc import Callable
from typing import Any

from ..deciding.decision_record import KitCheck
from ..deciding.recorded_rules import PostedRequirement
from ..knowledge.sentences import aloud, sentence
from ..knowledge.wording import Wording
from .worded import WordedRecord

#: Share of the factory pedal force up to which a pedal is called so, the last without an end.
PEDAL = (
    (0.9, "lighter than with the factory clutch"),
    (1.05, "about as heavy as with the factory clutch"),
    (1.25, "somewhat heavier than with the factory clutch"),
    (1.6, "clearly heavier than with the factory clutch"),
    (float("inf"), "far heavier than with the factory clutch"),
)
#: Classes of take-up and noise in words that follow on "it takes up" and on "noise:".
TAKE_UP = {
    0: "as smoothly as a factory clutch",
    1: "smoothly, over less of the pedal than a factory clutch",
    2: "firmly; slow manoeuvring wants a practised foot",
    3: "abruptly; it may judder when you pull away",
    4: "almost like a switch; it is no pleasure in traffic",
}
NOISE = {
    0: "as quiet as a factory clutch",
    1: "nearly as quiet; a light rattle may be heard at idle",
    2: "a rattle at idle and some whine are to be expected",
    3: "loud: rattle at idle and gear noise in the car",
}
#: The same in a few words, from gentle to harsh.
IN_SHORT = {
    "take_up_class": ("as a factory clutch", "smooth over less pedal", "firm", "abrupt", "like a switch"),
    "noise_class": ("as quiet as a factory clutch", "a light rattle at idle", "rattle and some whine", "loud"),
}
CALLED = {"take_up_class": "take-up", "noise_class": "noise"}
HOLDS, PEDAL_FORCE, FACTORY_PEDAL = "holding_margin", "pedal_force_n", "factory_pedal_force"
LOAD_OVER_FACTORY = "bearing_load_over_factory"


def spoken_reasons(worded: WordedRecord) -> list[str]:
    """Sentences, what tells most first: what it holds, what decided against gentler kits, the pedal."""
    decided = [
        _spoken(worded, check)
        for check in worded.advised.because
        if worded.requirements[check.requirement].measure not in ("capacity_working_nm", PEDAL_FORCE)
        and check.requirement != "thrust-load-known"
    ]
    reasons_said = [holds(worded), *decided[:1], pedal(worded), _thrust(worded), *decided[1:]]
    return list(dict.fromkeys(reason for reason in reasons_said if reason))


def holds(worded: WordedRecord) -> str:
    """What it holds against what engine and use ask for; empty where that is not known."""
    margin = worded.record.figure(worded.picked, HOLDS)
    if margin is None:
        return ""
    more = margin_percent(margin)
    if more < 1:
        return "Worn and warm it holds just what this engine asks for in this use."
    return f"Worn and warm it holds {more} % more than this engine asks for in this use."


def margin_percent(margin: float) -> int:
    """What is held over what is required [-] as whole per cent more, rounded down: nobody is promised a tenth."""
    return int(100 * (margin - 1) + 1e-9)


def pedal(worded: WordedRecord) -> str:
    """How heavy the pedal gets against the factory clutch's; empty where its force is not known."""
    force: Any = worded.record.figure(worded.picked, PEDAL_FORCE)
    known: Any = worded.record.value(FACTORY_PEDAL)
    if force is None:
        return ""
    if not known:
        return f"The pedal takes {worded.wording.value(PEDAL_FORCE, force)} of push."
    return f"The pedal is {pedal_beside(force, known)}."


def pedal_beside(force: float, factory: float) -> str:
    """A pedal force against the factory clutch's, in words."""
    return next(words for most, words in PEDAL if force / factory <= most)


def _thrust(worded: WordedRecord):
    """What it loads the crankshaft with against the factory clutch."""
    over: Any = worded.record.figure(worded.picked, LOAD_OVER_FACTORY)
    if over is None:
        return ""
    if over <= 1.02:
        return "It loads the crankshaft's thrust face no more than the factory clutch does."
    much = worded.wording.value(LOAD_OVER_FACTORY, over)
    return f"It loads the crankshaft's thrust face {much} as much as the factory clutch."


def _share(what: str) -> Callable[[WordedRecord, PostedRequirement, KitCheck], str]:
    def told(worded: WordedRecord, posted: PostedRequirement, check: KitCheck) -> str:
        return f"{what} {worded.wording.value(posted.measure, check.actual)} of what its facing stands."

    return told


#: Measure -> a sentence from the requirement and what the pick has.
_SAID: dict[str, Callable[[WordedRecord, PostedRequirement, KitCheck], str]] = {
    "plate_over_continuous_share": _share("In lasting use its hottest plate comes to"),
    "plate_over_refused_share": _share("Its hottest plate comes to"),
    "skin_over_refused_share": _share("The hottest skin of its plates comes to"),
    "launch_energy_share": _share("One launch takes"),
    "capacity_unbedded_nm": lambda worded, posted, check: (
        f"It holds {worded.wording.beside(posted.measure, check.actual, check.needed)} even before it is bedded in;"
        f" {worded.wording.beside(posted.measure, check.needed, check.actual)} are needed."
    ),
    "holding_probability": lambda worded, posted, check: (
        f"The chance that it holds, worn and warm, is {worded.wording.value(posted.measure, check.actual)}."
    ),
    "damper_stop_share": lambda worded, posted, check: "Its hub springs do not reach their stops at this torque.",
    "spin_certificate": lambda worded, posted, check: "It carries the spin certificate that is asked for.",
    "bearing_travel_needed_mm": lambda worded, posted, check: (
        f"It releases within the {worded.wording.beside(posted.measure, check.needed, check.actual)}"
        " that this pedal gives the bearing."
    ),
    "bearing_load_n": lambda worded, posted, check: _thrust(worded),
}


def _spoken(worded: WordedRecord, check: KitCheck):
    posted = worded.requirements[check.requirement]
    if posted.measure in _SAID and check.actual is not None:
        return _SAID[posted.measure](worded, posted, check)
    said = aloud(worded.because(posted.rule))
    return sentence(said[0]) if said else ""


#: Measure -> what is said of a pick that misses a wish about it: {has} what it has, {needed} what is wished.
_MISSED: dict[str, str] = {
    "gearbox_peak_share": "A pedal let go at once sends {has} of its rating into the weakest part behind the engine",
    "plate_over_continuous_share": "In lasting use its hottest plate comes to {has} of what its facing stands",
    "hottest_floater_held_c": "Launch after launch its floating plate comes to {has}",
    "surface_over_peak_share": "The hottest skin of its plates comes to {has} of what its facing stands",
    "launch_energy_share": "One hard launch takes {has} of the heat its facing stands",
    "start_energy_j_mm2": "Every start puts {has} into its facing",
    "holding_probability": "The chance that it holds, worn and warm, is {has}",
    "pedal_force_n": "The pedal takes {has} of push",
    "bearing_load_n": "It loads the crankshaft's thrust face with {has}",
    "take_up_window_mm": "On a hill it takes up within {has} of the pedal's travel",
    "engine_side_inertia_share": "What turns with the engine is {has} of the factory's",
    "damper_stop_share": "This engine's torque is {has} of what stops its hub springs",
    "total_price": "It costs {has} in all",
    "likely_price": "With what is needed as a rule it comes to {has}",
    "synchroniser_time_over_factory": "The gears need {has} of the time that they need with the factory disc",
}

#: What a wish is about -> how that is called in a sentence.
ABOUT: dict[str, str] = {
    "budget": "the budget",
    "damper": "its hub springs",
    "gearbox": "the gearbox",
    "inertia": "turning mass",
    "life": "long life",
    "pedal": "the pedal",
    "take_up": "take-up",
    "thrust": "load on the crankshaft",
}


def wish_given_up(worded: WordedRecord, check: KitCheck) -> str:
    """A wish that the pick gives up, in a sentence."""
    posted = worded.requirements[check.requirement]
    actual: Any = check.actual
    if actual is None:
        return f"One thing cannot be promised: its {worded.wording.label(posted.measure)} is not known."
    if posted.measure == "noise_class":
        return f"It gives up a wish: {NOISE[int(actual)].split(':')[0]}, more than is welcome."
    if posted.measure == "take_up_class":
        return f"It gives up a wish: it takes up {TAKE_UP[int(actual)].split(';')[0]}."
    has, needed = worded.wording.pair(posted.measure, actual, check.needed)
    missed = _MISSED.get(posted.measure, f"Its {worded.wording.label(posted.measure)} is {{has}}").format(has=has)
    if posted.compare not in ("at_least", "at_most", "above", "below"):
        return sentence(missed)
    return f"{missed}, where {posted.compare.replace('_', ' ')} {needed} is wished."


def spoken_step(wording: Wording, figure: str, before: float, after: float) -> str:
    """From the pick's figure to another kit's: "pedal force +28.9 N", "noise: from loud to a light rattle at idle"."""
    if figure in IN_SHORT:
        return f"{CALLED[figure]}: from {class_in_short(figure, before)} to {class_in_short(figure, after)}"
    return f"{wording.label(figure)} {wording.step(figure, before, after)}"


def class_in_short(figure: str, value: float) -> str:
    """A class of noise or take-up in a few words."""
    words = IN_SHORT[figure]
    return words[min(int(value), len(words) - 1)]
