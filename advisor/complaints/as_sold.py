"""What is known of a clutch from the decision it was sold on, as facts of stage complaint.

What was only assumed at the sale is not known of it. Of the figures, those of the kit sold are facts too.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from ..deciding.decision_record import DecisionRecord, JudgedKit
from ..engine.calculating import round_digits
from ..knowledge.complaint_model import ComplaintKnowledge
from ..mechanics.uncertainty import holding_probability

#: Set-up items that stand for a pedal stop to be fitted.
STOP_ITEMS = ("pedal-stop",)
#: Spread taken for a torque measured on rollers after the sale, and for the one a clutch was sold on elsewhere.
MEASURED_SPREAD, TOLD_SPREAD = 0.06, 0.06
#: No cause is less likely than one slip in a thousand fittings.
LEAST_IN_HUNDRED = 0.1
#: Complaints in which the margin of the sale says how likely the clutch itself is too small.
OF_TORQUE = ("slips",)
#: The causes that the chance of holding speaks of.
CAPACITY, DEMAND, BEDDING = "capacity_short", "demand_above_stated", "not_bedded"
#: The answer that says that power was raised since.
BEGAN, AFTER_POWER = "began", "after_power"


@dataclass(frozen=True, slots=True)
class Sold:
    """A clutch as it was sold: ``facts`` of stage complaint known from the sale, and the ``kit`` (None: not sold here).

    ``demand``, ``demand_spread`` [N m, -]: the torque used at the sale; ``capacity``: state -> (median [N m], spread).
    """

    kit: str = ""
    facts: Mapping[str, object] = field(default_factory=dict)
    demand: float | None = None
    demand_spread: float = TOLD_SPREAD
    capacity: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    given_up: tuple[str, ...] = ()


#: A clutch that was not sold here.
NOT_SOLD_HERE = Sold()
#: State -> (figure of the median, figure of the spread).
_STATES = {
    "new": ("capacity_new_nm", "capacity_spread_new"),
    "bedded": ("capacity_bedded_nm", "capacity_spread"),
    "worn": ("capacity_working_nm", "capacity_spread"),
}


def sold_from(
    record: DecisionRecord,
    knowledge: ComplaintKnowledge,
    worksheets: Iterable[str] = (),
    *,
    kit: str = "",
    fields: Mapping[str, object] | None = None,
) -> Sold:
    """What the `DecisionRecord` of a sale says; ``worksheets``: those kept with the case.

    ``kit``: what was sold, where it is not the pick, with the ``fields`` of its record.
    """
    picked = record.kits.get(kit) if kit else record.picked
    if picked is None:
        return NOT_SOLD_HERE
    known = {
        name: fact.value
        for name, fact in record.facts.items()
        if fact.origin != "assumed" and name in knowledge.facts and _usable(fact.value)
    }
    fields = fields or record.records.get(picked.id, {})
    known |= {f"kit_{name}": value for name, value in fields.items() if f"kit_{name}" in knowledge.facts}
    known |= {name: value for name, value in picked.figures.items() if name in knowledge.facts}
    known |= _said_by(record, picked, fields, known, tuple(worksheets))
    demand = record.value("demand_torque")
    spread = record.value("demand_spread")
    return Sold(
        picked.id,
        {name: _canonical(value, knowledge.facts[name].kind) for name, value in sorted(known.items())},
        float(demand) if isinstance(demand, int | float) else None,
        float(spread) if isinstance(spread, int | float) else TOLD_SPREAD,
        {
            state: (picked.figures[median], picked.figures[spread_name])
            for state, (median, spread_name) in _STATES.items()
            if median in picked.figures and spread_name in picked.figures
        },
        tuple(caution.text for caution in record.cautions if caution.safety),
        tuple(check.requirement for check in record.pick.given_up) if record.pick else (),
    )


def _usable(value: object) -> bool:
    return isinstance(value, int | float | str | bool)


def _canonical(value: object, kind: str) -> object:
    return float(value) if kind == "number" and isinstance(value, int | float) else value


def _said_by(
    record: DecisionRecord,
    picked: JudgedKit,
    fields: Mapping[str, object],
    known: Mapping[str, object],
    worksheets: tuple[str, ...],
) -> dict[str, object]:
    """Symptoms that the sale answers."""
    said: dict[str, object] = {}
    discs = fields.get("discs")
    if isinstance(discs, int | float):
        said["clutch_discs"] = "several" if discs > 1 else "single"
    form, hub = fields.get("disc_form"), fields.get("hub")
    cushion = fields.get("cushion_travel")
    if hub in ("sprung", "solid"):
        said["hub_now"] = hub
    if form or hub:
        uncushioned = isinstance(cushion, int | float) and cushion < 0.25
        said["disc_now"] = "keen" if form == "paddle" or hub == "solid" or uncushioned else "gentle"
    wheel, factory = known.get("flywheel_kind"), known.get("factory_flywheel_kind")
    if wheel == "dual_mass":
        said["flywheel_now"] = "dual_mass"
    elif wheel == "single_mass" or fields.get("flywheel") == "included":
        said["flywheel_now"] = "solid_for_dual_mass" if factory == "dual_mass" else "single_mass"
    if fields.get("sold_as") in ("disc", "cover"):
        said["half_reused"] = "cover" if fields["sold_as"] == "disc" else "disc"
    advised = {item.id for _, item in record.setup.items()}
    if known.get("pedal_stop_fitted") is True:
        said["stop_as_sold"] = "fitted"
    elif advised & set(STOP_ITEMS):
        said["stop_as_sold"] = "advised_not_fitted"
    if fields.get("flywheel") == "included":
        said["wheel_work"] = "new"
    if known.get("bedding_in_possible") is False:
        said["bedded"] = "never"
    if worksheets:
        said["fitting_papers"] = "inside_limits"
    demand = known.get("demand_torque")
    if isinstance(demand, int | float):
        said["torque_sold_for"] = float(demand)
    return said


def prepared(symptoms: Mapping[str, object], sold: Sold) -> dict[str, float]:
    """What is worked out of what was sold and what is measured now, before the rules are asked."""
    prepared_facts: dict[str, float] = {}
    now, then = symptoms.get("torque_now"), symptoms.get("torque_sold_for", sold.demand)
    if isinstance(now, float) and isinstance(then, float):
        prepared_facts["torque_excess_spreads"] = round_digits(math.log(now / then) / sold.demand_spread)
    force, said = symptoms.get("pedal_force_now"), sold.facts.get("pedal_force_n")
    if isinstance(force, float) and isinstance(said, float):
        prepared_facts["pedal_force_ratio"] = round_digits(force / said)
    return prepared_facts


def state_of(symptoms: Mapping[str, object]) -> str:
    """The state the clutch was complained of in: new, bedded or worn."""
    distance, bedded = symptoms.get("km_since_fitting"), symptoms.get("bedded")
    if bedded in ("not_yet", "never") or (isinstance(distance, float) and distance < 800 and bedded != "done"):
        return "new"
    return "worn" if isinstance(distance, float) and distance > 40_000 else "bedded"


def raised_unmeasured(symptoms: Mapping[str, object]) -> bool:
    """Was power raised since the sale, and nobody measured what the engine makes now?"""
    return symptoms.get(BEGAN) == AFTER_POWER and not isinstance(symptoms.get("torque_now"), float)


@dataclass(frozen=True, slots=True)
class Margin:
    """What the margin of the sale says before any sign: the chance of ``holding`` in a ``state``, points by cause."""

    state: str
    holding: float
    demand: float
    points: Mapping[str, float]


def margin(complaint: str, symptoms: Mapping[str, object], sold: Sold) -> Margin | None:
    """Points for a clutch too small, an engine above what was said and a facing not bedded yet, from the chance that it
    slips: ten times the logarithm of slips in 100 fittings. None where the sale says nothing.

    Of the chance of slipping at the torque stated then, the clutch answers for as much as the doubt about its capacity
    makes of all doubt; all else, and what a torque measured since adds, is the engine's. What a fresh facing slips more
    than a bedded one would is the bedding's. Where power was raised since and nobody measured, the sale says nothing of
    the engine any more, and of the clutch only that it held what was asked of it then.
    """
    if complaint not in OF_TORQUE or sold.demand is None or not sold.capacity:
        return None
    state = state_of(symptoms)
    fresh = sold.capacity.get("new") if state == "new" else None
    capacity = sold.capacity.get("bedded" if fresh else state) or next(iter(sold.capacity.values()))
    now = symptoms.get("torque_now")
    then = _slips(capacity, sold.demand, sold.demand_spread)
    demand, spread = (now, MEASURED_SPREAD) if isinstance(now, float) else (sold.demand, sold.demand_spread)
    slips = _slips(capacity, demand, spread)
    of_clutch = capacity[1] ** 2 / (capacity[1] ** 2 + sold.demand_spread**2)
    in_hundred = {CAPACITY: 100 * then * of_clutch, DEMAND: 100 * (slips - then * of_clutch)}
    if raised_unmeasured(symptoms):
        del in_hundred[DEMAND]
    if fresh:
        slips_fresh = _slips(fresh, demand, spread)
        in_hundred[BEDDING] = 100 * (slips_fresh - slips)
        slips = slips_fresh
    points = {cause: round(10 * math.log10(max(count, LEAST_IN_HUNDRED)), 1) for cause, count in in_hundred.items()}
    return Margin(state, round_digits(1 - slips), demand, points)


def _slips(capacity: tuple[float, float], demand: float, spread: float) -> float:
    """The chance that a clutch of (median, spread) does not hold a torque known within a spread."""
    return 1 - float(
        holding_probability(
            capacity_median=capacity[0], capacity_spread=capacity[1], demand_median=demand, demand_spread=spread
        )
    )
