"""Rules that decide nothing are few and named; the full count is a long one."""

from .counting import counts, fired_anywhere
from .shop import cases, decided, knowledge, shop

# Rules for records and answers that the shipped shop happens not to hold, with what they are there for.
DECIDE_NOTHING_HERE = {
    "thrust-load-handbook": "a large thrust face behind a very light factory clutch",
    "thrust-face-not-on-file": "a car whose factory clutch is on file but not its thrust face",
    "thrust-floor-none": "the same car, so that a limit can still be worked out",
    "flywheel-metal-ductile-iron": "a wheel so tough that no caller here comes near its bursting",
    "flywheel-metal-steel": "the same",
    "flywheel-metal-aluminium": "the same",
    "take-up-window-some": "a caller who stands some judder and would get a window under 6 mm without it",
    "start-facing": "a full-face disc a good deal smaller than the factory one",
    "start-facing-no-file": "the same on a car whose factory disc is not on file",
    "skin-past-peak": "a caller to whom no kit is left that keeps its skin below the peak in a held launch",
    "kept-cover-racing": "a disc alone whose seller claims a spin certificate",
    "motor-counted-before": "leaves the case open until the motor's torque is known; then the sum reads it itself",
    "plain-flywheel-hub-with-kit": "a kit with its own flywheel and a solid hub for the car with a dual-mass one",
    "changes-chip-natural": "a change that no customer in the shipped cases has made",
    "changes-chip-boosted-diesel": "a change that no customer in the shipped cases has made",
    "changes-chip-exhaust-natural": "a change that no customer in the shipped cases has made",
    "changes-chip-exhaust-boosted-petrol": "a change that no customer in the shipped cases has made",
    "changes-chip-exhaust-boosted-diesel": "a change that no customer in the shipped cases has made",
    "changes-breathing-natural": "a change that no customer in the shipped cases has made",
    "changes-breathing-boosted": "a change that no customer in the shipped cases has made",
    "changes-cams": "a change that no customer in the shipped cases has made",
    "changes-larger-turbo-diesel": "a change that no customer in the shipped cases has made",
    "changes-turbo": "a change that no customer in the shipped cases has made",
    "plain-flywheel-hub-fitted": "the same for a car whose dual-mass flywheel is gone",
}


def test_a_sample_of_the_rules_counts():
    # Rules on answers that cannot all be true are held by planted callers: shipped cases are consistent.
    deciding = [rule for rule in knowledge().rules if rule.stage != "consistency"]
    sample = {rule.id for rule in deciding[::200]} - set(DECIDE_NOTHING_HERE)
    found = counts(knowledge(), shop(), cases(), sample)
    assert len(found) >= 3 and all(found.values()), found


def test_the_named_rules_decide_nothing_here():
    found = counts(knowledge(), shop(), dict(list(cases().items())[::16]), set(DECIDE_NOTHING_HERE))
    assert set(found) == set(DECIDE_NOTHING_HERE) and not any(found.values())


def test_every_topic_has_rules_that_fire_in_some_case():
    topics = {rule.id: rule.topic for rule in knowledge().rules if rule.stage != "consistency"}
    fired = {name for case in cases() for name in fired_anywhere(decided(case))}
    assert {topics[name] for name in fired if name in topics} == set(topics.values())
