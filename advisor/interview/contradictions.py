"""Answers that cannot be true together: pointed out with both sides, never settled here."""

import math
from dataclasses import dataclass

from ..mechanics.engine import torque_from_power

#: How far a stated power and torque may be out of step before it is said: roundings and one roller to the next.
TOLERANCE = 0.03
#: More peak torque over torque at peak power than any road engine has; a turbo diesel reaches about 1.6.
MOST_RISE = 2.0
#: A standard engine's torque differs from the record by no more than this.
STANDARD = 0.10


@dataclass(frozen=True, slots=True)
class Contradiction:
    """``facts`` that cannot be true together, and the sentence with both sides and what to do."""

    facts: tuple
    text: str


def find(state, known, wording):
    """All `Contradiction`s among the answers of a State whose facts are `Known`, in a fixed order."""
    told = _Told(state, known, wording)
    found = [one for check in _CHECKS for one in check(told)]
    return tuple(one for one in found if any(name in state.said for name in one.facts))


class _Told:
    def __init__(self, state, known, wording):
        self.state, self.known, self.wording = state, known, wording

    def get(self, name):
        """An answer or what the car's record holds; None for what is assumed or not known."""
        if self.known.origins.get(name, "assumed") == "assumed":
            return None
        return self.known.facts.get(name)

    def shown(self, name, value):
        return self.wording.value(name, value)


def _denials(told):
    for denial in told.known.denials:
        name = denial.fact
        label = told.wording.label(name)
        yield Contradiction(
            (name,),
            f"The car on file has {told.shown(name, denial.platform)} ({label}), "
            f"the answer is {told.shown(name, denial.answer)}. "
            f"The answer counts. If the car is as built: change {name}.",
        )


def _power_and_torque(told):
    power, speed, torque = told.get("engine_power"), told.get("engine_power_speed_rpm"), told.get("engine_torque")
    if None in (power, speed, torque):
        return
    at_peak = torque_from_power(power=power * 1000.0, speed=speed * math.pi / 30.0)
    names = ("engine_torque", "engine_power", "engine_power_speed_rpm")
    sides = (
        f"{told.shown('engine_power', power)} at {told.shown('engine_power_speed_rpm', speed)} is "
        f"{told.shown('engine_torque', at_peak)} at that speed; "
        f"the torque said is {told.shown('engine_torque', torque)}."
    )
    # Rollers read less than the engine makes: a torque at the wheels lies below it by what the drive loses.
    lost = 0.25 if told.get("torque_measured_at") == "wheels" else 0.0
    if torque < at_peak * (1.0 - TOLERANCE - lost):
        yield Contradiction(names, f"{sides} The peak cannot be lower than that. Change one of {', '.join(names)}.")
    elif torque > at_peak * MOST_RISE:
        yield Contradiction(
            names, f"{sides} No road engine's peak stands that far above it. Change one of {', '.join(names)}."
        )


def _standard_engine(told):
    if told.get("engine_state") != "standard":
        return
    for name, stock in (("engine_torque", "stock_torque"), ("engine_power", "stock_power")):
        said, new = told.get(name), told.get(stock)
        if said is None or new is None:
            continue
        low = 1.0 - STANDARD - (0.25 if told.get("torque_measured_at") == "wheels" else 0.0)
        if not low * new <= said <= (1.0 + STANDARD) * new:
            yield Contradiction(
                ("engine_state", name),
                f"A standard engine of this car makes {told.shown(stock, new)}, "
                f"the answer is {told.shown(name, said)}. "
                f"Change engine_state or {name}.",
            )


def _speeds(told):
    red_line = told.get("redline_rpm")
    for name in ("engine_power_speed_rpm", "shift_speed_rpm", "launch_speed_rpm", "nitrous_speed_rpm"):
        said = told.get(name)
        if said is not None and red_line is not None and name in told.state.said and said > 1.15 * red_line:
            yield Contradiction(
                (name,),
                f"{told.shown(name, said)} ({told.wording.label(name)}) is far above the red line on file, "
                f"{told.shown('redline_rpm', red_line)}. If the engine is not rebuilt for it: change {name}.",
            )
    launch, shift = told.get("launch_speed_rpm"), told.get("shift_speed_rpm")
    if launch is not None and shift is not None and launch > shift:
        yield Contradiction(
            ("launch_speed_rpm", "shift_speed_rpm"),
            f"It launches at {told.shown('launch_speed_rpm', launch)} "
            f"but changes gear at {told.shown('shift_speed_rpm', shift)}. "
            "Change launch_speed_rpm or shift_speed_rpm.",
        )


def _use(told):
    if told.get("main_use") == "drag_only" and told.get("stop_and_go") == "daily":
        yield Contradiction(
            ("main_use", "stop_and_go"),
            "Used for drag racing only, but in stop-and-go traffic daily. Change main_use or stop_and_go.",
        )
    if told.get("main_use") == "towing" and told.get("towed_mass") == 0.0:
        yield Contradiction(
            ("main_use", "towed_mass"), "Used for towing, but the trailer has no mass. Change main_use or towed_mass."
        )


_CHECKS = (_power_and_torque, _standard_engine, _speeds, _use, _denials)
