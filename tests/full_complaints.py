"""Complaints: simulated faults by the hundred, with fitters who measure well and signs as blurred as points say."""

from .complaints.shop import cases, diagnosed, diagnoser
from .complaints.simulated import BLURRED, SHARP, course, told_of

FAULTS = 400


def rows():
    """Rows for tests/full.py."""
    classes = {}
    for name, case in cases().items():
        found = diagnosed(name)
        right, total = classes.get(case["class"], (0, 0))
        classes[case["class"]] = right + (found.standings[0].cause.id == case["first"]), total + 1
    told = ", ".join(f"{kind} {right} of {total}" for kind, (right, total) in sorted(classes.items()))
    yield "cases with their cause first, by class", len(cases()), told
    for name, false_sign in (("fitters who measure well", SHARP), ("signs blurred as the points say", BLURRED)):
        courses = [course(diagnoser(), seed, false_sign) for seed in range(FAULTS)]
        yield from ((f"simulated faults, {name}", FAULTS, line.strip()) for line in told_of(courses))
