"""Random callers: realistic answers on a random car, some left open. The same seed gives the same caller."""

import collections
import random

from advisor.deciding.assumptions import judged, tried
from advisor.deciding.decide import Decider, Shop
from advisor.engine.plain import compile_plain
from advisor.knowledge.case_model import Answer, Case
from advisor.knowledge.model import STAGES

#: Answered by nearly everybody; the others by a third.
USUAL = ("main_use", "stop_and_go", "pedal_tolerance", "noise_tolerance", "take_up_tolerance", "tyre_grip")
#: Facts of the car itself: seldom answered differently from what is on file.
SELDOM = 0.04
#: What the trade meets now and then: said by one caller in forty each, and drawn apart, so that the others stay as they
#: are.
NOW_AND_THEN = (
    "kind_of_vehicle",
    "converted_from_automatic",
    "hybrid_drive",
    "motor_torque_added",
    "held_by_launch_control",
    "anti_lag",
    "cover_history",
    "cover_clamp_measured",
    "cover_self_adjusts",
)
RARE = 0.025


def plain_decider_of(content):
    """A Decider with the plain chainer alone."""
    engines = _Engines.of(content.knowledge)
    bases = {stage: engine.base for stage, engine in engines.by_stage.items()}
    return Decider(content.knowledge, Shop.of(content), engines.derive, bases=bases)


def assumptions_judged(decider, decision):
    """As `assumptions.judged`, all that is tried decided in a batch of its own."""
    others = [other for _, other in tried(decision.known)]
    return judged(decision, decider.outcomes(decision.case, decision.platform, others))


class _Engines:
    """The plain chainer over each stage of a knowledge; the last few are kept, as most tests change the stock only."""

    def __init__(self, knowledge):
        self.knowledge = knowledge
        self.by_stage = {stage: compile_plain(knowledge, stage) for stage in STAGES}

    def derive(self, stage, facts, answered):
        return self.by_stage[stage].derive(facts, answered)

    @classmethod
    def of(cls, knowledge):
        kept = next((engines for engines in _KEPT if engines.knowledge is knowledge), None)
        if kept is None:
            kept = cls(knowledge)
            _KEPT.append(kept)
        return kept


_KEPT = collections.deque(maxlen=3)


def picked(decider, case):
    """Id of the kit a case comes to, or None; what would be asked first, where there is none, is not looked for."""
    decision = decided_alone(decider, case)
    return None if decision.pick is None else decision.kits.ids[decision.pick]


def decided_alone(decider, case):
    """The Decision of a case as it stands; what would be asked first, where no kit fits, is not looked for."""
    platform, known = decider.gather(case)
    return decider.decide_known(case, platform, known, ask_first=False)


def caller(seed, content, platform=None):
    """One Case. ``platform``: an id, or None for a random one; one caller in twenty has no car on file."""
    pick = random.Random(f"caller {seed}")
    car = next((one for one in content.platforms if one.id == platform), None) or pick.choice(content.platforms)
    on_file = platform is not None or pick.random() < 0.95
    answers = {}
    for name, fact in content.knowledge.facts.items():
        if fact.source != "asked" or name in NOW_AND_THEN:
            continue
        chance = 0.95 if name in USUAL else SELDOM if fact.platform and on_file else 0.3
        if pick.random() > chance:
            continue
        value = _value(pick, name, fact, car)
        if value is not None:
            answers[name] = Answer(value, pick.choice(("stated", "measured", "looked_up")))
    route = pick.random()
    stock = car.fields["stock.torque"]
    for name in (
        "engine_state",
        "engine_torque",
        "engine_power",
        "boost_pressure",
        "nitrous_power",
        "engine_power_speed_rpm",
    ):
        answers.pop(name, None)
    if route < 0.15:
        answers["engine_state"] = Answer("standard")
    elif route < 0.8:
        answers["engine_torque"] = Answer(float(round(stock * pick.uniform(0.9, 2.4))))
    elif route < 0.9:
        answers["engine_power"] = Answer(float(round(car.fields["stock.power"] * pick.uniform(0.9, 2.4))))
        answers["engine_power_speed_rpm"] = Answer(float(round(car.fields["engine.redline_rpm"] * 0.9)))
    elif route < 0.95:
        answers["boost_pressure"] = Answer(round(pick.uniform(0.2, 2.0), 2))
    if pick.random() < 0.05:
        answers["nitrous_power"] = Answer(float(pick.choice((30, 55, 75))))
    apart = random.Random(f"now and then {seed}")
    for name in NOW_AND_THEN:
        if apart.random() < RARE:
            answers[name] = Answer(_value(apart, name, content.knowledge.facts[name], car), "stated")
    unknown = [
        name
        for name, fact in content.knowledge.facts.items()
        if fact.source == "asked" and name not in answers and name not in NOW_AND_THEN
    ]
    asked = tuple(sorted(name for name in unknown if pick.random() < 0.1))
    return Case(f"caller-{seed}", car.id if on_file else "", dict(answers), asked)


def _value(pick, name, fact, car):
    if fact.kind == "text":
        return car.fields.get(fact.platform)
    if fact.kind == "list":
        return None
    if fact.choices:
        return pick.choice(fact.choices)
    if fact.kind == "flag":
        return pick.random() < 0.5
    on_file = car.fields.get(fact.platform) if fact.platform else None
    if on_file is not None:
        return float(f"{min(max(on_file * pick.uniform(0.85, 1.15), fact.low), fact.high):.6g}")
    unknown = fact.if_unknown
    if unknown is not None and unknown.low is not None:
        low, high = unknown.low, unknown.high
    else:
        low, high = fact.low, fact.low + (fact.high - fact.low) / 3
    step = fact.resolution or 1.0
    return float(f"{min(max(round(pick.uniform(low, high) / step) * step, fact.low), fact.high):.9g}")
