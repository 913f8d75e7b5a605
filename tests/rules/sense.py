"""What must hold over the whole program for any caller: each check gives a list of what went against sense."""

import dataclasses
import random
from decimal import Decimal
from math import floor, log

from advisor.deciding.decide import Decider, Shop
from advisor.deciding.verdicts import FAIL, NOT_ASKED, PASS
from advisor.engine.plain import compile_plain
from advisor.knowledge.case_model import Answer
from advisor.knowledge.given_answers import read_answer
from advisor.knowledge.model import STAGES, Record
from tests.callers import caller

from .shop import decider

#: From the narrowest to the widest.
TOLERANCES = {
    "pedal_tolerance": ("light", "moderate", "heavy"),
    "noise_tolerance": ("quiet", "some", "any"),
    "take_up_tolerance": ("smooth", "some_judder", "any"),
}
HOLDING = ("capacity_working_nm", "capacity_unbedded_nm")
# Exact factors, so that the same quantity can be written in either unit without rounding.
UNITS = {
    "N m": (("kgf m", "9.80665"), ("kN m", "1000"), ("N mm", "0.001")),
    "kW": (("W", "0.001"), ("PS", "0.73549875")),
    "mm": (("in", "25.4"), ("cm", "10"), ("m", "1000")),
    "kg": (("lb", "0.45359237"), ("t", "1000")),
    "m": (("mm", "0.001"), ("ft", "0.3048")),
    "bar": (("kPa", "0.01"), ("MPa", "10")),
    "cm3": (("l", "1000"),),
    "rpm": (),
}


class World:
    """Knowledge and shop with the plain chainer, and what `callers.caller` reads of them."""

    def __init__(self, knowledge, shop):
        self.knowledge, self.shop = knowledge, shop
        self.kits, self.platforms = shop.kits, shop.platforms
        self.decider = decider(knowledge, shop)
        self.engines = {stage: compile_plain(knowledge, stage) for stage in STAGES}

    def case(self, seed):
        """A random caller; asked for torque where the seed gave another route, so that it can be raised."""
        return caller(seed, self)

    def with_kits(self, kits):
        """The same Decider over another stock."""
        stock = Shop(tuple(kits), self.shop.platforms, self.shop.parts)
        return Decider(
            self.knowledge, stock, lambda stage, facts, answered: self.engines[stage].derive(facts, answered)
        )


def answered(case, **values):
    """The case with other answers."""
    return dataclasses.replace(
        case, answers={**case.answers, **{name: Answer(value) for name, value in values.items()}}
    )


def more_torque(world, seed):
    """No kit that failed holding passes it with more torque."""
    pick = random.Random(f"torque {seed}")
    case = world.case(seed)
    if "engine_torque" not in case.answers:
        stock = next((one.fields["stock.torque"] for one in world.platforms if one.id == case.platform), 200.0)
        case = answered(case, engine_torque=float(round(stock * pick.uniform(1, 2))))
    torque = case.answers["engine_torque"].value
    less, more = case, answered(case, engine_torque=torque * pick.choice((1.002, 1.02, 1.1, 1.5)))
    return _turned(world.decider.decide(less), world.decider.decide(more), HOLDING, pairs=((FAIL, PASS),))


def more_tolerance(world, seed):
    """A kit that met every requirement on a measure meets them all with more tolerance."""
    pick = random.Random(f"tolerance {seed}")
    name = pick.choice(sorted(TOLERANCES))
    place = pick.randrange(2)
    case = world.case(seed)
    narrow = answered(case, **{name: TOLERANCES[name][place]})
    wide = answered(case, **{name: TOLERANCES[name][place + 1]})
    one, other = world.decider.decide(narrow), world.decider.decide(wide)
    wrong = []
    before, after = _verdicts(one), _verdicts(other)
    for key in sorted(set(before) & set(after)):
        lost = before[key][0] & after[key][1]
        wrong += [f"{name} {wide.answers[name].value}: {kit} no longer meets {key}" for kit in sorted(lost)]
    return wrong


def _verdicts(decision):
    """(measure, level) -> (kits known to meet every such requirement, kits that fail one).

    A kit's total price is known only once its musts are met, so unknown is neither.
    """
    found = {}
    for checked in decision.checks if decision.figures is not None else ():
        by_kit = list(zip(decision.kits.ids, checked.status[0], strict=True))
        key = (checked.requirement.measure, checked.requirement.level)
        meets, fails = found.get(key, (set(decision.kits.ids), set()))
        found[key] = (
            meets & {kit for kit, status in by_kit if status in (PASS, NOT_ASKED)},
            fails | {kit for kit, status in by_kit if status == FAIL},
        )
    return found


def _turned(one, other, measures, pairs):
    if one.figures is None or other.figures is None:
        return []
    late = {checked.requirement.id: checked for checked in other.checks}
    wrong = []
    for checked in one.checks:
        if checked.requirement.measure in measures and checked.requirement.id in late:
            for kit, status, then in zip(
                one.kits.ids, checked.status[0], late[checked.requirement.id].status[0], strict=True
            ):
                if (status, then) in pairs:
                    wrong.append(f"{checked.requirement.id}: {kit} turned with more torque")
    return wrong


def ladder_key(decision, index):
    """The ladder key of a kit, written from the design and not from the ladder's own code."""
    fields = decision.kits.kits[index].fields
    value = decision.figures.value
    infinite = float("inf")
    price, pedal = value("total_price", 0, index), value("pedal_force_n", 0, index)

    def step(force, start):
        # Steps of a tenth; far from an edge or on it, nine digits settle it.
        return infinite if force is None else floor(round(log(force / start, 1.1), 6))

    return (
        tuple(bool(one) for one in decision.concerns[0, index]),
        value("harshness_class", 0, index),
        fields["discs"],
        step(fields["clamp_load"], 1000),
        step(pedal, 100),
        fields["price"] if price is None else price,
        not fields.get("stock"),
        value("capacity_bedded_nm", 0, index) or infinite,
        fields.get("id", decision.kits.ids[index]),
    )


def more_kits(world, seed):
    """A larger stock never has a pick with a worse ladder key."""
    pick = random.Random(f"kits {seed}")
    case = world.case(seed)
    needed = {one.fields["stock.clutch"] for one in world.platforms}
    kept = [kit for kit in world.kits if kit.id in needed or pick.random() < 0.5]
    small, large = world.with_kits(kept).decide(case), world.decider.decide(case)
    if small.pick is None:
        return []
    if large.pick is None:
        return [f"{small.kits.ids[small.pick]} is picked from the small stock, nothing from the large one"]
    if ladder_key(large, large.pick) > ladder_key(small, small.pick):
        return [f"{large.kits.ids[large.pick]} stands behind {small.kits.ids[small.pick]}"]
    return []


def other_units(world, seed):
    """The same quantities in other units give the same facts, verdicts and pick."""
    pick = random.Random(f"units {seed}")
    case = world.case(seed)
    one, other, written = {}, {}, 0
    for name, answer in case.answers.items():
        fact = world.knowledge.facts[name]
        choices = UNITS.get(fact.unit, ()) if fact.kind == "number" and not fact.choices else ()
        if not choices:
            one[name] = other[name] = answer
            continue
        unit, factor = pick.choice(choices)
        amount = Decimal(repr(round(answer.value / float(factor), 3)))
        exact = f"{amount * Decimal(factor):f}"
        if not fact.low <= float(exact) <= fact.high:
            one[name] = other[name] = answer
            continue
        one[name] = read_answer(fact, f"{exact} {fact.unit}")
        other[name] = read_answer(fact, f"{amount:f} {unit}")
        written += 1
    left, right = (world.decider.decide(dataclasses.replace(case, answers=answers)) for answers in (one, other))
    wrong = [] if left.derivation.facts == right.derivation.facts else ["the facts differ"]
    if (left.outcome, left.order) != (right.outcome, right.order):
        wrong.append("the outcome differs")
    return wrong


def ratings_count_for_nothing(world, seed):
    """Other ratings on the boxes leave every verdict and the whole ladder as they were."""
    pick = random.Random(f"ratings {seed}")
    boasting = [
        Record(kit.kind, kit.id, {**kit.fields, "seller_rating": float(pick.randrange(20, 5000))}) for kit in world.kits
    ]
    case = world.case(seed)
    one, other = world.decider.decide(case), world.with_kits(boasting).decide(case)
    wrong = [] if (one.outcome, one.order) == (other.outcome, other.order) else ["outcome or ladder differ"]
    if one.figures is not None and not ((one.passes == other.passes).all() and (one.unjudged == other.unjudged).all()):
        wrong.append("a verdict differs")
    return wrong


ALL = {
    "more torque, no kit that failed holding passes": more_torque,
    "more tolerance, nothing that passed fails": more_tolerance,
    "more kits, no worse pick": more_kits,
    "other units, same facts and pick": other_units,
    "other ratings, same verdicts": ratings_count_for_nothing,
}
