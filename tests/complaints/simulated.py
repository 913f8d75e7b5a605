"""Simulated faults: draw a complaint and a cause, answer what is asked as that cause would, and see what is found.

The chances of the answers are the rules' own (so this measures the dialog, not the rules' truth), bent: one told answer
in ten is unknown, one in twenty is wrong, and one measurement in fifty is. By the rules' own chances a measured sign
is seen in one of eight cars that lack its cause (`BLURRED`); fitters who measure see it in one of thirty (`SHARP`).
"""

import random
from dataclasses import dataclass

from advisor.complaints.as_sold import NOT_SOLD_HERE
from advisor.complaints.next_check import answer_chances

UNKNOWN, TOLD_WRONG, MEASURED_WRONG = 0.10, 0.05, 0.02
MOST_QUESTIONS = 40
#: How often a measured sign is seen where its cause is not: None as the rules have it.
BLURRED, SHARP = None, 0.03


@dataclass(frozen=True)
class Course:
    """How one simulated complaint went."""

    complaint: str
    cause: str
    kind: str
    state: str
    first: str
    first_kind: str
    place: int
    questions: int
    measurements: int
    minutes: float
    gearbox_out: bool


def drawn(rng, knowledge):
    """(complaint, Cause) as often as both come up by the points before any sign."""
    pairs = [
        (complaint, cause, 10 ** (points / 10))
        for cause in knowledge.causes.values()
        for complaint, points in cause.likely.items()
    ]
    complaint, cause, _ = rng.choices(pairs, weights=[weight for *_, weight in pairs])[0]
    return complaint, cause


def answered(rng, diagnoser, symptom, told, cause, false_sign):
    """The answer that the cause gives, or None where nobody could tell."""
    chooser = diagnoser.chooser
    answers = chooser.answers(symptom, told, NOT_SOLD_HERE)
    before = chooser._fired(told, NOT_SOLD_HERE)
    seen = [
        chooser.seen_with(chooser._fired({**told, symptom.name: value}, NOT_SOLD_HERE) - before, [cause.id])
        for value in answers
    ]
    if symptom.measured and false_sign is not None:
        for chance in seen:
            chance.update({name: min(share, false_sign) for name, share in chance.items() if share < 0.2})
        if all(seen) and len(seen) > 1 and max(chance[cause.id] for chance in seen) <= false_sign:
            seen = [{cause.id: 1 / len(seen)} for _ in seen]
    chances = [chance[cause.id] for chance in answer_chances(seen, {cause.id: 1.0})]
    if not symptom.measured and rng.random() < UNKNOWN:
        return None
    if rng.random() < (MEASURED_WRONG if symptom.measured else TOLD_WRONG):
        return rng.choice(answers)
    return rng.choices(answers, weights=chances)[0]


def course(diagnoser, seed, false_sign=SHARP):
    """One simulated complaint from the first question to its end."""
    rng = random.Random(seed)
    knowledge = diagnoser.knowledge
    complaint, cause = drawn(rng, knowledge)
    told, without, questions, measurements, minutes = {"complaint": complaint}, [], 1, 0, 1.0
    found = diagnoser.diagnose(told)
    while questions < MOST_QUESTIONS:
        waiting = [check for check in found.checks if check.symptom.first]
        if not waiting and found.state in ("found", "open"):
            break
        if not found.checks:
            break
        check = (waiting or found.checks)[0]
        value = answered(rng, diagnoser, check.symptom, told, cause, false_sign)
        if value is None:
            without.append(check.symptom.name)
        else:
            told[check.symptom.name] = value
        questions += 1
        measurements += check.symptom.measured
        minutes += check.minutes
        found = diagnoser.diagnose(told, without=without)
    names = [standing.cause.id for standing in found.standings]
    return Course(
        complaint,
        cause.id,
        cause.kind,
        found.state,
        names[0],
        found.standings[0].cause.kind,
        names.index(cause.id) + 1,
        questions,
        measurements,
        minutes,
        any(knowledge.symptoms[name].how == "bench" for name in told),
    )


def told_of(courses):
    """What came of many, in lines."""
    many = len(courses)
    found = [one for one in courses if one.state == "found"]
    right = [one for one in found if one.first == one.cause]
    minutes = sorted(one.minutes for one in courses)
    questions = sorted(one.questions - one.measurements for one in courses)
    measured = sorted(one.measurements for one in courses)
    lines = [
        f"{many} complaints: a cause named in {len(found) / many:.0%}, rightly in "
        f"{len(right) / max(len(found), 1):.0%} of those; left open honestly {1 - len(found) / many:.0%}",
        f"true cause first {sum(one.place == 1 for one in courses) / many:.0%}, among the first three "
        f"{sum(one.place <= 3 for one in courses) / many:.0%}; class right where named "
        f"{sum(one.first_kind == one.kind for one in found) / max(len(found), 1):.0%}",
        f"questions: median {questions[many // 2]}, nine in ten within {questions[int(many * 0.9)]}; measurements: "
        f"median {measured[many // 2]}, nine in ten within {measured[int(many * 0.9)]}",
        f"minutes: median {minutes[many // 2]:.0f}, nine in ten within {minutes[int(many * 0.9)]:.0f}; gearbox out in "
        f"{sum(one.gearbox_out for one in courses) / many:.0%}",
    ]
    for complaint in sorted({one.complaint for one in courses}):
        own = [one for one in courses if one.complaint == complaint]
        lines.append(
            f"  {complaint}: {len(own)}, first {sum(one.place == 1 for one in own) / len(own):.0%}, "
            f"median {sorted(one.questions for one in own)[len(own) // 2]} steps"
        )
    return lines
