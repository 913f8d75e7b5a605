"""One answer of a consistent caller changed so that two or three cannot all be true, by a stated size.

What may be planted stands in `relations` and `clashes`. A relation is pushed to 1 + tolerance + excess: the tolerance
is the largest honest errors of its facts together (`errors` in the table), the excess the size of the plant. A clash
has no size.
"""

import math
import random
from dataclasses import dataclass

from advisor.knowledge.case_model import Answer, Case

from .callers import caller
from .clashes import CLASHES
from .relations import RELATIONS, Relation, limit
from .shares import table

#: Every kind by its name.
KINDS = RELATIONS | CLASHES
#: Everything that says what the engine makes; of these a planted caller keeps only what the plant needs.
ENGINE = [
    "engine_state",
    "engine_changes",
    "engine_torque",
    "torque_measured_at",
    "engine_power",
    "power_measured_at",
    "engine_power_speed_rpm",
    "boost_pressure",
    "quarter_mile_speed",
    "nitrous_power",
    "nitrous_speed_rpm",
    "displacement",
    "overboost_percent",
    "torque_test_altitude",
]
#: One of these leads to the torque; a planted caller who has none of them says the torque as it is.
ROUTES = {"engine_state", "engine_torque", "engine_power", "boost_pressure"}
TRIES = 4000


@dataclass(frozen=True, slots=True)
class Planted:
    """A caller with one false answer. ``by``: ratio beyond 1, None for a clash; ``tolerance``: what of it is honest
    error.

    ``true_answers``: the same with the altered one as it really is. ``said``: the other things he said.
    """

    seed: object
    kind: str
    size: str
    facts: tuple[str, ...]
    altered: str
    by: float | None
    tolerance: float
    undersizes: bool
    truth: object
    answers: dict
    true_answers: dict
    said: tuple

    def case(self, knowledge):
        """His Case; facts that this vocabulary has not are left out."""
        return self._case(knowledge, self.answers, "planted")

    def true_case(self, knowledge):
        """The same with the false answer set right (left out where there is nothing to answer)."""
        return self._case(knowledge, self.true_answers, "mended")

    def possible(self, knowledge):
        """Has this vocabulary every fact that the contradiction is between?"""
        return all(fact in knowledge.facts for fact in self.facts)

    def _case(self, knowledge, planted, name):
        answers = {answer.fact: Answer(answer.value, answer.origin) for answer in self.said}
        answers.update({fact: Answer(value, "measured") for fact, value in planted.items()})
        answers = {fact: answer for fact, answer in answers.items() if fact in knowledge.facts}
        return Case(f"{name}-{self.kind}-{self.seed}", self.truth.platform.id, answers)


def planted(seed, platforms, *, kind=None, size=None):
    """The `Planted` of that seed; kinds and sizes go round with a whole number, so that counts are even."""
    kinds, sizes = tuple(KINDS), tuple(name for name in table()["contradiction_sizes"] if name != "basis")
    pick = random.Random(f"contradiction {seed}")
    kind = kind or (kinds[seed % len(kinds)] if isinstance(seed, int) else pick.choice(kinds))
    size = size or (sizes[seed // len(kinds) % len(sizes)] if isinstance(seed, int) else pick.choice(sizes))
    for attempt in range(TRIES):
        person = caller(f"{seed} {kind} {attempt}", platforms)
        true = person.truth
        if not KINDS[kind].needs(true):
            continue
        plant = _relation if isinstance(KINDS[kind], Relation) else _clash
        facts, altered, by, tolerance, undersizes, answers, true_answers = plant(pick, KINDS[kind], true, size).values()
        if by is not None and answers[altered] > limit("most_said").get(altered, math.inf):
            continue  # nobody would take such a figure down
        said = tuple(
            answer for answer in person.said if answer.fact not in (*ENGINE, *answers) and answer.way == "exact"
        )
        besides = {} if "main_use" in answers else {"main_use": true.use}
        if not ROUTES & set(answers):
            besides |= {"engine_torque": true.answers["engine_torque"], "torque_measured_at": "flywheel"}
        answers, true_answers = besides | answers, besides | true_answers
        name = size if by is not None else "clash"
        return Planted(seed, kind, name, facts, altered, by, tolerance, undersizes, true, answers, true_answers, said)
    raise LookupError(f"no caller in {TRIES} of whom {kind} could be said")


def _relation(pick, kind, true, size):
    honest = {fact: true.answers[fact] for fact in kind.facts} | kind.also(true)
    tolerance = kind.tolerance(honest)
    by = tolerance + pick.uniform(*table()["contradiction_sizes"][size])
    altered = _solved(
        lambda value: kind.ratio({**honest, kind.altered: value}, true), honest[kind.altered], kind.up, 1 + by
    )
    return {
        "facts": kind.facts,
        "altered": kind.altered,
        "by": by,
        "tolerance": tolerance,
        "undersizes": kind.undersizes,
        "answers": {**honest, kind.altered: altered},
        "true_answers": honest,
    }


def _solved(ratio, start, up, wanted):
    """The value on that side of ``start`` at which the rising (or falling) ``ratio`` is ``wanted``."""
    near, far = start, start * 1.5 + 0.1 if up else start / 1.5
    while ratio(far) < wanted:
        near, far = far, far * 1.5 if up else far / 1.5
    for _ in range(60):
        middle = (near + far) / 2
        near, far = (middle, far) if ratio(middle) < wanted else (near, middle)
    return float(f"{far:.9g}")


def _clash(pick, kind, true, size):
    answers = kind.answers(true)
    honest = {fact: true.answers[fact] for fact in answers if fact in true.answers}
    return {
        "facts": tuple(answers),
        "altered": kind.altered,
        "by": None,
        "tolerance": 0.0,
        "undersizes": kind.undersizes(true),
        "answers": answers,
        "true_answers": honest,
    }
