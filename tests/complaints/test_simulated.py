"""A few simulated faults in the ordinary run; thousands by `python -m tests.full complaints`."""

from .shop import diagnoser
from .simulated import MOST_QUESTIONS, course, told_of

SEEDS = 6


def test_simulated_faults_are_mostly_found():
    courses = [course(diagnoser(), seed) for seed in range(SEEDS)]
    print("\n" + "\n".join(told_of(courses)))
    found = [one for one in courses if one.state == "found"]
    # The long count names a cause in half of them, rightly in three of four of those, and has the true cause among the
    # first three in more than four of five; half a dozen scatter widely around that.
    assert found
    assert sum(one.first == one.cause for one in found) >= len(found) // 2
    assert sum(one.place <= 3 for one in courses) >= SEEDS // 2
    # The course is cut off there: whoever comes so far was never told an end.
    assert max(one.questions for one in courses) < MOST_QUESTIONS
