"""What a caller who has not been asked may turn out to say: a declared band for every question, each with a basis.

Bands serve only the choice of the next question and the remark how sure the standing pick is; no rule reads them.
A band comes, in this order, from the table below (for what has no assumed value), from the vocabulary's assumed
value with its low and high or its others, from the kits on file, or from the sane range.
"""

from dataclasses import dataclass

import numpy as np

from ..engine.columns import kind_of

#: Share of callers who answer a question that may be left open with "don't know"; the rest give a value.
DO_NOT_KNOW = 0.25
#: Share of callers whose answer is the assumed value itself.
COMMONEST = 0.5
#: The most an engine makes that somebody asks about, over what it made new.
TUNED_MOST = 2.0
#: How far torque and power of one engine keep in step when it is tuned.
IN_STEP = 0.1

_JUDGED = "judgement"


@dataclass(frozen=True, slots=True)
class Band:
    """How answers to one question are spread.

    ``values`` with ``weights`` for choices, flags, texts and numbers with choices; else ``low`` to ``high`` with
    ``common`` answered by a ``share``. ``none``: share of callers who do not know, where that leaves the fact open.
    """

    fact: str
    basis: str
    values: tuple = ()
    weights: tuple = ()
    low: float = 0.0
    high: float = 0.0
    common: float | None = None
    share: float = COMMONEST
    step: float = 0.0
    none: float = 0.0

    def draw(self, shares):
        """(values, known) for ``shares`` between 0 and 1 (one a caller): the quantiles of the band."""
        shares = np.asarray(shares, dtype=float)
        known = shares >= self.none
        inside = np.clip((shares - self.none) / (1.0 - self.none), 0.0, 1.0 - 1e-12)
        if self.values:
            edges = np.cumsum(self.weights) / sum(self.weights)
            return np.searchsorted(edges, inside, side="right").clip(0, len(self.values) - 1), known
        if self.common is None:
            found = self.low + inside * (self.high - self.low)
        else:
            # The common answer in the middle of the shares, so that the quantiles still rise with the values.
            rest = 1.0 - self.share
            below = rest * (self.common - self.low) / (self.high - self.low)
            spread = (self.high - self.low) / rest
            above = self.low + (inside - self.share) * spread
            found = np.where(
                inside < below, self.low + inside * spread, np.where(inside < below + self.share, self.common, above)
            )
        if self.step:
            found = np.clip(np.round(np.round(found / self.step) * self.step, 9), self.low, self.high)
        return found, known


#: For facts without an assumed value: (low, high) in the fact's unit, or as a multiple of what the platform holds,
#: where it holds it; and why.
_SPANS = {
    "engine_torque": (
        "stock_torque",
        1.0,
        TUNED_MOST,
        (150.0, 600.0),
        "callers ask from the standard engine to twice its torque",
    ),
    "engine_power": ("stock_power", 1.0, TUNED_MOST, (80.0, 400.0), "as the torque"),
    "engine_power_speed_rpm": ("redline_rpm", 0.7, 0.95, (4500.0, 7500.0), "power peaks a little below the red line"),
    "boost_pressure": (None, 0, 0, (0.3, 1.8), "road turbo engines, standard to tuned"),
    "nitrous_power": (None, 0, 0, (0.0, 75.0), "one in twenty has it, and then a small shot"),
    "launch_speed_rpm": (
        "redline_rpm",
        0.35,
        0.75,
        (2000.0, 5500.0),
        "from a brisk start to a launch near the torque peak",
    ),
    "shift_speed_rpm": ("redline_rpm", 0.8, 1.05, (5500.0, 8500.0), "around the red line"),
    "displacement": (None, 0, 0, (1000.0, 4000.0), "passenger cars"),
    "towed_mass": (None, 0, 0, (0.0, 1800.0), "four in five none, else up to a braked trailer"),
    "budget": (None, 0, 0, (300.0, 2500.0), "from a standard clutch to a pack"),
    "gearbox_torque_rating": (
        "stock_torque",
        1.05,
        1.8,
        (250.0, 700.0),
        "gearboxes are chosen a little above their engine",
    ),
    "crank_end_float": (None, 0, 0, (0.06, 0.35), "new to worn, common practice, no source"),
    "nitrous_speed_rpm": (None, 0, 0, (2500.0, 4500.0), "from the lowest in use to well up the range"),
    "master_bore": (None, 0, 0, (15.0, 25.4), "clutch master cylinders of passenger cars"),
    "slave_bore": (None, 0, 0, (17.0, 27.0), "slave cylinders of passenger cars"),
    "slave_area": (None, 0, 0, (500.0, 1200.0), "concentric cylinders of passenger cars"),
    "fork_ratio": (None, 0, 0, (1.4, 2.2), "release forks of passenger cars"),
    "pedal_ratio": (None, 0, 0, (4.0, 7.0), "clutch pedals of passenger cars"),
    "pedal_travel": (None, 0, 0, (110.0, 170.0), "clutch pedals of passenger cars"),
    "motor_torque_added": (None, 0, 0, (50.0, 200.0), "from a belt motor to one on the crankshaft"),
    "cover_clamp_measured": (None, 0, 0, (4000.0, 10000.0), "covers of passenger cars"),
    "friction_diameter_max": (None, 0, 0, (180.0, 280.0), "flywheels of passenger cars"),
    "housing_depth": (None, 0, 0, (60.0, 130.0), "clutch housings of passenger cars"),
}
#: Share of callers who say what is usual where yes or no is asked and one of them is assumed, or is usual: judgement;
#: what is fitted to one car in two is not assumed away.
USUAL = 0.8
#: Share of callers who have none of these: 0 is their common answer.
_MOSTLY_NONE = {"nitrous_power": 0.95, "towed_mass": USUAL}
#: What is usual of yes or no that is left open, or taken at its worst, where nobody answers; and why.
_USUAL_FLAGS = {
    "oil_in_housing": (False, "most clutches asked about run dry"),
    "sanctioned_racing": (False, "most callers drive on the road or for themselves"),
    "held_by_launch_control": (False, "most launches are by foot"),
    "anti_lag": (False, "few turbo engines have it"),
    "converted_from_automatic": (False, "most manual cars were built so"),
    "cover_self_adjusts": (False, "most covers are plain"),
}
#: What is usual among choices that are left open, where they are asked at all; and why.
_USUAL_CHOICES = {
    "kind_of_vehicle": ("car", "a shop for car clutches is seldom asked for others"),
    "hybrid_drive": ("none", "few cars with a clutch pedal have a motor"),
    "cover_history": ("original", "most covers that stay are the car's own"),
}


def band(fact, known, kits):
    """The `Band` of an asked Fact, given the facts ``known`` now (name -> value) and the kits on file."""
    unknown = fact.if_unknown
    left = DO_NOT_KNOW if unknown is None or unknown.do == "leave" else 0.0
    if fact.kind == "flag":
        return _closed(fact, (False, True), unknown, left)
    if fact.choices and fact.kind in ("choice", "number"):
        return _closed(fact, tuple(fact.choices), unknown, left)
    if fact.kind != "number":
        texts = tuple(
            sorted({kit.fields[fact.name] for kit in kits if isinstance(kit.fields.get(fact.name), str)})
        ) or ("",)
        return Band(fact.name, "what the kits on file have, each as likely", texts, (1.0,) * len(texts), none=left)
    step = fact.resolution or 0.0
    if (
        unknown is not None
        and unknown.do == "assume"
        and unknown.low is not None
        and unknown.high is not None
        and unknown.low < unknown.high
    ):
        told = f"half say the assumed value, the rest spread from low to high; {unknown.basis}"
        return Band(fact.name, told, low=unknown.low, high=unknown.high, common=unknown.value, step=step, none=left)
    tuned = _tune(fact.name, known)
    if tuned is not None:
        (low, high), why = tuned
        return Band(
            fact.name, f"{why}, {_JUDGED}", low=_inside(low, fact), high=_inside(high, fact), step=step, none=left
        )
    if fact.name in _SPANS:
        scaled_by, least, most, span, why = _SPANS[fact.name]
        base = known.get(scaled_by) if scaled_by else None
        low, high = (least * base, most * base) if isinstance(base, float) else span
        low, high = _inside(low, fact), _inside(high, fact)
        few = {"common": 0.0, "share": _MOSTLY_NONE[fact.name]} if fact.name in _MOSTLY_NONE else {}
        scale = f"{least:g} to {most:g} times the {scaled_by.replace('_', ' ')}: " if isinstance(base, float) else ""
        return Band(fact.name, f"{scale}{why}, {_JUDGED}", low=low, high=high, step=step, none=left, **few)
    low, high = (0.0 if fact.low is None else fact.low), (1.0 if fact.high is None else fact.high)
    return Band(fact.name, "the whole sane range, nothing better is known", low=low, high=high, step=step, none=left)


def _tune(name, known):
    """((low, high), why) of torque or power where the other one, or the state of the engine, already tells it."""
    pairs = {
        "engine_torque": ("stock_torque", "engine_power", "stock_power"),
        "engine_power": ("stock_power", "engine_torque", "stock_torque"),
    }
    if name not in pairs:
        return None
    own, other, others = (known.get(one) for one in pairs[name])
    if own is None:
        return None
    if known.get("engine_state") == "standard":
        return (0.95 * own, 1.05 * own), "a standard engine makes what it made new, within 5 %"
    if other is None or not others:
        return None
    ratio = other / others
    return ((1 - IN_STEP) * own * ratio, (1 + IN_STEP) * own * ratio), "torque and power are tuned in step, within 10 %"


def _inside(value, fact):
    low = value if fact.low is None else max(value, fact.low)
    return low if fact.high is None else min(low, fact.high)


def _closed(fact, values, unknown, left):
    """Choices: half of the callers say the assumed one, where there is one; the others as likely. Flags: `USUAL`."""
    if fact.name in _USUAL_FLAGS:
        usual, why = _USUAL_FLAGS[fact.name]
        weights = tuple(USUAL if value == usual else 1.0 - USUAL for value in values)
        told = f"four in five say {'yes' if usual else 'no'}: {why}, {_JUDGED}"
        return Band(fact.name, told, values, weights, none=left)
    if fact.name in _USUAL_CHOICES:
        usual, why = _USUAL_CHOICES[fact.name]
        rest = (1.0 - USUAL) / (len(values) - 1)
        weights = tuple(USUAL if value == usual else rest for value in values)
        return Band(fact.name, f"four in five say {usual}: {why}, {_JUDGED}", values, weights, none=left)
    others = tuple(unknown.others) if unknown is not None and unknown.do == "assume" and unknown.others else None
    if unknown is not None and unknown.do == "assume" and unknown.value in values:
        wanted = tuple(value for value in values if value == unknown.value or others is None or value in others)
        most, told = (USUAL, "four in five") if fact.kind == "flag" else (COMMONEST, "half")
        share = (1.0 - most) / max(1, len(wanted) - 1)
        weights = tuple(most if value == unknown.value else share for value in wanted)
        why = f"{told} say the assumed answer, the others as likely; {unknown.basis}"
        return Band(fact.name, why, wanted, weights, none=left)
    return Band(fact.name, f"each answer as likely, {_JUDGED}", values, (1.0,) * len(values), none=left)


def whole_range(fact, kits):
    """The `Band` over everything the vocabulary takes for a fact, evenly: for reports, never for choosing."""
    if fact.kind == "flag" or fact.choices:
        values = (False, True) if fact.kind == "flag" else tuple(fact.choices)
        return Band(fact.name, "everything the vocabulary takes", values, (1.0,) * len(values))
    if fact.kind != "number":
        return band(fact, {}, kits)
    return Band(
        fact.name,
        "everything the vocabulary takes",
        low=fact.low or 0.0,
        high=1.0 if fact.high is None else fact.high,
        step=fact.resolution or 0.0,
    )


def coded(fact, the_band, drawn, known):
    """Drawn values as the bulk evaluator takes them (see ``engine.columns``): (values, known)."""
    if not the_band.values:
        return np.where(known, drawn, np.nan), known
    kind = kind_of(fact)
    if kind == "choice":
        codes = np.array([fact.choices.index(value) for value in the_band.values], dtype=np.int16)
        return np.where(known, codes[drawn], -1).astype(np.int16), known
    if kind == "flag":
        return np.array(the_band.values, dtype=bool)[drawn] & known, known
    if kind == "number":
        return np.where(known, np.array(the_band.values, dtype=float)[drawn], np.nan), known
    texts = np.array(the_band.values, dtype=object)[drawn]
    return np.where(known, texts, None), known
