"""Callers: what of the truth somebody keeps and says, and the cases made from the whole truth and from what he said."""

import random
from dataclasses import dataclass

from advisor.errors import QuantityError
from advisor.knowledge.case_model import Answer, Case
from advisor.knowledge.given_answers import read_answer

from . import speech
from .saying import OWN_UNITS, Habit, Said, habit, say
from .shares import choose, table
from .truths import COMPETES, Truth, truth

#: Unit of the numbers that are said; canonical, as the vocabulary has them.
NATIVE = {
    "engine_torque": "N m",
    "engine_power": "kW",
    "engine_power_speed_rpm": "rpm",
    "shift_speed_rpm": "rpm",
    "launch_speed_rpm": "rpm",
    "nitrous_power": "kW",
    "nitrous_speed_rpm": "rpm",
    "boost_pressure": "bar",
    "displacement": "cm3",
    "vehicle_mass": "kg",
    "towed_mass": "kg",
    "torque_growth_percent": "%",
    "overboost_percent": "%",
    "torque_test_altitude": "m",
    "hill_grade": "%",
    "start_altitude": "m",
    "gearbox_torque_rating": "N m",
    "thrust_arc_deg": "deg",
    "crank_end_float": "mm",
    "tyre_radius": "m",
    **dict.fromkeys(("cylinders", "budget", "hard_launches_per_day", "first_gear_ratio", "final_drive"), "1"),
    **OWN_UNITS,
}
#: Routes that say the same fact, so that only one of them is said.
SUBJECT = {
    "power": "engine_power",
    "power_with_speed": "engine_power",
    "power_wheels": "engine_power",
    "torque_claimed": "engine_torque",
    "torque_flywheel": "engine_torque",
    "torque_wheels": "engine_torque",
    "standard": "engine_state",
    "changes": "engine_changes",
    "boost": "boost_pressure",
    "quarter_mile": "quarter_mile_speed",
    "nothing": "",
}


@dataclass(frozen=True, slots=True)
class Caller:
    """Somebody on the telephone. ``routes``: how he knows the torque; ``wanted``: how many answers he meant to keep."""

    truth: Truth
    habit: Habit
    routes: tuple[str, ...]
    wanted: int
    on_file: bool
    said: tuple[Said, ...]
    dont_know: tuple[str, ...]

    @property
    def id(self):
        """Name of his case."""
        return f"person-{self.truth.seed}"

    def answer(self, fact):
        """The `Said` of a fact, None where he did not say it."""
        return next((answer for answer in self.said if answer.fact == fact), None)

    def case(self, knowledge):
        """What he said as a Case; facts that this vocabulary has not are left out.

        Ranges and "about" stand in it as said where this vocabulary's reader takes them, else by what they say likely.
        """
        facts = knowledge.facts
        vague = takes_vague_answers(knowledge)
        answers = {
            answer.fact: read_answer(facts[answer.fact], answer.raw())
            if vague and answer.way != "exact"
            else Answer(answer.value, answer.origin)
            for answer in self.said
            if answer.fact in facts
        }
        unknown = tuple(sorted(name for name in self.dont_know if name in facts))
        return Case(self.id, self.truth.platform.id if self.on_file else "", answers, unknown)

    def full_case(self, knowledge):
        """The whole truth as a Case."""
        return full_case(self.truth, knowledge)

    def case_file(self):
        """What he said as the mapping that a case file holds, every fact of it."""
        content = {"case": self.id, "answers": {answer.fact: answer.raw() for answer in self.said}}
        content["answers"].update(dict.fromkeys(self.dont_know, "unknown"))
        return {**content, "platform": self.truth.platform.id} if self.on_file else content

    def utterances(self):
        """What he says, as `speech.Utterance`s, the same at every call."""
        return speech.utterances(self)


def caller(seed, platforms, *, platform=None):
    """The `Caller` of that seed."""
    person = truth(seed, platforms, platform=platform)
    pick = random.Random(f"caller of {seed}")
    manner = habit(pick)
    wanted = int(choose(pick, table()["answers_kept"]["shares"]))
    on_file = pick.random() < table()["on_file"]["share"]
    said = {}
    if pick.random() < table()["main_use_said"]["share"]:
        said["main_use"] = Said("main_use", person.use)
    routes = [choose(pick, _routes(person))]
    if pick.random() < table()["second_route"]["share"]:
        rest = {name: share for name, share in _routes(person).items() if SUBJECT[name] not in ("", SUBJECT[routes[0]])}
        routes.append(choose(pick, rest))
    for name in routes:
        for answer in _route(pick, name, person, manner):
            if len(said) < wanted:
                said.setdefault(answer.fact, answer)
    rest = _rest(person, said)
    while len(said) < wanted:
        fact = choose(pick, rest)
        del rest[fact]
        said[fact] = say(pick, fact, person.answers[fact], NATIVE.get(fact), manner)
    # Nobody is in doubt whether he has a trailer or nitrous.
    unasked = set(table()["weights"]["known"]) - set(said) - {"towed_mass", "nitrous_power"}
    dont_know = pick.sample(sorted(unasked), int(choose(pick, table()["dont_know"]["shares"])))
    return Caller(person, manner, tuple(routes), wanted, on_file, tuple(said.values()), tuple(sorted(dont_know)))


def full_case(person, knowledge):
    """A Case with the true value of every fact of a `Truth` that this vocabulary has, all of them measured."""
    answers = {name: Answer(value, "measured") for name, value in person.answers.items() if name in knowledge.facts}
    return Case(f"truth-{person.seed}", person.platform.id, answers)


def takes_vague_answers(knowledge):
    """Does this vocabulary's reader take ranges and "about"?"""
    try:
        for text in ("400 to 450 N m", "about 400 N m"):
            read_answer(knowledge.facts["engine_torque"], text)
    except QuantityError:
        return False
    return True


def _routes(person):
    kind = "standard" if person.engine.standard else "competes" if person.use in COMPETES else "road"
    shares = dict(table()["routes"][kind])
    if "boost_pressure" in person.none:
        shares.pop("boost", None)
    return shares


def _rest(person, said):
    skipped = {"torque_test_altitude", "overboost_percent"} if "engine_torque" not in said else set()
    weights = {
        fact: weight
        for fact, weight in table()["weights"]["known"].items()
        if fact in person.answers and fact not in said and fact not in skipped
    }
    if person.use == "towing" and "towed_mass" in weights:
        weights["towed_mass"] *= 2
    return weights


def _route(pick, name, person, manner):
    """The answers of one route, what matters first."""
    true, with_figure = person.answers, table()["said_with_the_figure"]

    def often(share):
        return pick.random() < with_figure[share]

    def figure(fact, value, misread, origin, ways):
        return say(pick, fact, value, NATIVE[fact], manner, misread=misread, ways=ways, origin=origin)

    state = Said("engine_state", true["engine_state"])
    said = []
    if name in ("standard", "changes"):
        said.append(state)
        if name == "changes":
            said.append(Said("engine_changes", true["engine_changes"]))
        return said
    if name == "boost":
        said.append(figure("boost_pressure", true["boost_pressure"], "boost", "stated", "remembered"))
    elif name == "quarter_mile":
        said.append(figure("quarter_mile_speed", true["quarter_mile_speed"], "quarter_mile", "stated", "measured"))
        if often("mass_with_quarter_mile"):
            said.append(say(pick, "vehicle_mass", true["vehicle_mass"], "kg", manner))
    elif name != "nothing":
        said += _figures(name, person, often, figure)
    if name != "nothing" and often("standard_with_figure" if person.engine.standard else "changed_with_figure"):
        said.append(state)
    return said


def _figures(name, person, often, figure):
    fact, true = SUBJECT[name], person.answers[SUBJECT[name]]
    place = "torque_measured_at" if fact == "engine_torque" else "power_measured_at"
    if name.endswith("wheels"):
        shown = person.wheel_torque if fact == "engine_torque" else person.wheel_power
        said = [figure(fact, shown, "wheels", "measured", "measured")]
        if often("measured_at_wheels"):
            said.append(Said(place, "wheels"))
        return said
    if name == "torque_claimed" or (name == "power" and not person.engine.standard):
        said = [figure(fact, true, "claimed", "stated", "remembered")]
        if often("claimed"):
            said.append(Said(place, "estimated"))
        return said
    said = [figure(fact, true, "flywheel", "looked_up" if person.engine.standard else "measured", "measured")]
    if name == "power_with_speed":
        speed = person.answers["engine_power_speed_rpm"]
        said.append(figure("engine_power_speed_rpm", speed, "speed", said[0].origin, "measured"))
    if often("measured_at_flywheel"):
        said.append(Said(place, "flywheel"))
    return said
