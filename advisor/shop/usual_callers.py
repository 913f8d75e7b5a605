"""Callers a car usually has, where no casebook tells of real ones: every main use, from standard to far more torque."""

from ..knowledge.case_model import Answer, Case
from ..knowledge.model import Knowledge, Record, Value

#: Torque now over the factory's, and how a caller bears noise and take-up: who asks for more bears more.
STEPS = (1.0, 1.15, 1.3, 1.5, 1.75, 2.1)
MILD = {"pedal_tolerance": "moderate", "noise_tolerance": "quiet", "take_up_tolerance": "smooth"}
WILD = {"pedal_tolerance": "heavy", "noise_tolerance": "any", "take_up_tolerance": "any"}


def usual_callers(car: Record, knowledge: Knowledge) -> list[Case]:
    """The Cases of a car; none where its torque is not on file."""
    torque = car.fields.get("stock.torque")
    if not isinstance(torque, (int, float)):
        return []
    fact = knowledge.facts["engine_torque"]
    cases = []
    for use in knowledge.facts["main_use"].choices:
        for step in STEPS:
            for name, manners in (("mild", MILD), ("wild", WILD)):
                answers: dict[str, Value] = {"main_use": use, "torque_measured_at": "flywheel"}
                answers |= {"engine_state": "standard" if step == 1.0 else "modified"}
                answers |= {key: value for key, value in manners.items() if value in knowledge.facts[key].choices}
                now = float(f"{torque * step:.3g}")
                if fact.low is not None and fact.high is not None and fact.low <= now <= fact.high:
                    answers["engine_torque"] = now
                stated = {key: Answer(value, "stated") for key, value in answers.items() if key in knowledge.facts}
                cases.append(Case(f"{car.id}-{use}-{step:g}-{name}".replace("_", "-").replace(".", ""), car.id, stated))
    return cases
