"""More torque, mass, grip, launches or towed mass: never less to hold, never less heat at the same start, never a kit
from none.
"""

import random

from advisor.engine.calculating import compile_calculation

from .tally import Tally
from .world import answered

HOLDING = ("capacity_working_nm", "capacity_unbedded_nm")
#: What grows with the torque that moves the car off.
WIDENED = ("take_up_window_mm", "flat_window_mm")
GRIPS = ("economy", "summer", "semi_slick", "drag_slick")
FACTORS = (1.002, 1.02, 1.1, 1.5)


def _torque(pick, case, world):
    name = "engine_power" if "engine_power" in case.answers else "engine_torque"
    if name not in case.answers:
        car = world.platform(case)
        case = answered(
            case,
            engine_torque=float(round((car.fields["stock.torque"] if car else 220.0) * pick.uniform(1, 2))),
            engine_state=None,
        )
    return case, name, case.answers[name].value * pick.choice(FACTORS)


def _mass(pick, case, world):
    car = world.platform(case)
    mass = (
        case.answers["vehicle_mass"].value if "vehicle_mass" in case.answers else car.fields["mass"] if car else 1400.0
    )
    return answered(case, vehicle_mass=mass), "vehicle_mass", mass * pick.choice(FACTORS)


def _grip(pick, case, world):
    place = pick.randrange(3)
    return answered(case, tyre_grip=GRIPS[place]), "tyre_grip", GRIPS[place + 1]


def _launches(pick, case, world):
    number = float(pick.choice((0, 1, 3, 8)))
    return answered(case, hard_launches_per_day=number), "hard_launches_per_day", number + pick.choice((1, 5, 20))


def _towed(pick, case, world):
    mass = float(pick.choice((0, 300, 750, 1300)))
    return answered(case, towed_mass=mass), "towed_mass", mass + pick.choice((50, 250, 900))


MORE = {"torque": _torque, "mass": _mass, "grip": _grip, "launches": _launches, "towed mass": _towed}


def pairs(world, what, seeds):
    """(less, more) Judged of each seed."""
    less, more = [], []
    for seed in seeds:
        pick = random.Random(f"{what} {seed}")
        case, name, value = MORE[what](pick, world.caller(seed), world)
        fact = world.knowledge.facts[name]
        if fact.high is not None and value > fact.high:
            value = fact.high
        less.append(case)
        more.append(answered(case, **{name: value}))
    return zip(*world.judged_in_groups([less, more]), strict=True)


def more_load(world, what, seeds):
    """`Tally` of one kind of load."""
    tally, heat = Tally(), heat_measures(world.knowledge)
    for seed, (less, more) in zip(seeds, pairs(world, what, seeds), strict=True):
        tally.pairs += 1
        where = f"{what} {seed} ({less.case.id})"
        if less.undecided or more.undecided:
            _one_side(tally, where, less, more)
            continue
        _to_hold(tally, where, less, more)
        _heat(tally, where, less, more, world.knowledge)
        if what == "launches":
            _hotter(tally, where, less, more)
        _kit_from_none(tally, where, less, more, heat)
        if what == "torque":
            _weaker_pick(tally, where, less, more, heat)
    return tally


def _one_side(tally, where, less, more):
    """Nothing is decided of one side or of both; of one alone only where its answers cannot all be true."""
    if less.undecided and more.undecided:
        tally.count("nothing decided")
    elif (less if less.undecided else more).contradicted:
        tally.count("answers of one side contradict each other")
    else:
        tally.wrong(f"{where}: decided on one side only")


def heat_measures(knowledge):
    """Figures behind which a heat, a slip time or a rubbing power lies, all of which may fall as the clutch's torque
    rises.
    """
    steps = (*knowledge.calculations, *knowledge.figure_calculations)
    roots = {one.gives for one in steps if one.unit != "N m" and any(key == "clutch_torque" for key, _ in one.inputs)}
    reads = {
        one.gives: {source.name for _, given in one.inputs for source in (given.first_of or (given,))} for one in steps
    }

    def behind(name, seen):
        if name in roots:
            return True
        if name in seen:
            return False
        seen.add(name)
        return any(behind(one, seen) for one in reads.get(name, ()))

    return {name for name in knowledge.figures if behind(name, set())}


def _to_hold(tally, where, less, more):
    before, after = less.fact("required_torque"), more.fact("required_torque")
    if before is None and after is None:
        tally.count("no torque known on either side")
    elif before is None or after is None or after < before:
        tally.wrong(f"{where}: required torque {before} falls to {after}")
    before, after = (_needed(one) for one in (less, more))
    for name in before:
        if name not in after or after[name] < before[name]:
            tally.wrong(f"{where}: {name} asks {after.get(name)} after {before[name]}")


def _needed(judged):
    """Requirement id -> limit, of the musts on what is held."""
    return {
        one.requirement.id: one.limits[0].number(judged.row, 0)
        for one in judged.batched.checks
        if one.requirement.measure in HOLDING and one.requirement.level == "must" and judged.posted(one.requirement)
    }


def _heat(tally, where, less, more, knowledge):
    """Heat with the clutch's torque held at what it was on the side of less."""
    for calculation in knowledge.calculations:
        held = [given.name for key, given in calculation.inputs if given.source == "fact" and key == "clutch_torque"]
        if calculation.unit != "J" or not held:
            continue  # what is worked out from such a heat follows it
        run = compile_calculation(calculation)
        facts = {name: more.fact(name) for name in run.reads}
        facts.update({name: less.fact(name) for name in held})
        before, after = less.fact(calculation.gives), None
        if None not in facts.values():
            after, _ = run(facts)
        if before is None or after is None:
            tally.count("no start at that torque" if before is not None else "no heat known before")
        elif after < before:
            tally.wrong(f"{where}: {calculation.gives} {before} falls to {after}")


def _hotter(tally, where, less, more):
    for name in ("hottest_plate_c", "surface_temperature_c"):
        for kit in set(less.known_kits) & set(more.known_kits):
            before, after = less.figure(name, kit), more.figure(name, kit)
            # A schedule settles to a steady state, and the last digits of a sum may go either way.
            if before is not None and after is not None and after < before - 1e-6 * abs(before):
                tally.wrong(f"{where}: {name} of {kit} falls from {before} to {after}")


def _kit_from_none(tally, where, less, more, heat):
    """No kit passing with less and one with more: only as heat fell, or as a heavier car widens the take-up."""
    if less.passes or not more.passes:
        return
    for kit in sorted(more.passes):
        turned = turned_round(less, more, kit)
        left = {one for one in turned if one.measure not in heat and one.measure not in WIDENED}
        if left or not turned:
            tally.wrong(f"{where}: {kit} passes where none did, by {sorted(one.id for one in left)}")
            return
    wider = any(one.measure in WIDENED for one in turned)
    tally.count("a kit from none, " + ("moving off takes more of the pedal" if wider else "heat alone fell"))


def turned_round(less, more, kit, levels=("must",)):
    """Requirements that a kit did not meet with less and meets, or is not asked, with more."""
    before, after = less.statuses(kit), more.statuses(kit)
    return {
        one
        for one, status in before.items()
        if one.level in levels
        and status in ("fails", "unknown")
        and after.get(one, "not asked") in ("meets", "not asked")
    }


def _weaker_pick(tally, where, less, more, heat):
    """A pick that holds less, at more torque: only where it clears something that has a name."""
    if less.pick is None or more.pick is None or less.pick == more.pick:
        return
    before, after = (one.figure("capacity_bedded_nm", one.pick) for one in (less, more))
    if after >= before:
        return
    if less.pick not in more.passes:
        lost = [
            one.id
            for one, status in more.statuses(less.pick).items()
            if one.level == "must" and status in ("fails", "unknown")
        ]
        tally.count(f"holds less, the other fails {sorted(lost)[0]}")
    elif more.concerns(more.pick) < more.concerns(less.pick):
        tally.count("holds less, clears " + first_cleared(more, less.pick, more.pick))
    elif _by_heat_alone(less, more, heat):
        tally.count("holds less, heat alone fell")
    elif lost_on_the_way(less, more):
        # The key knows a concern as met or given up: once the stronger kit gives it up too, nothing speaks for it.
        tally.count(f"holds less, {lost_on_the_way(less, more)} that spoke for the other is now given up by both")
    else:
        tally.wrong(f"{where}: {more.pick} ({after:.0f} N m) instead of {less.pick} ({before:.0f} N m)")


def _by_heat_alone(less, more, heat):
    turned = turned_round(less, more, more.pick, ("must", "should"))
    return bool(turned) and all(one.measure in heat for one in turned)


def lost_on_the_way(less, more):
    """Name of the first concern that put the one pick before the other with less, and that both give up with more; or
    ''.
    """
    if more.pick not in less.passes:
        return ""
    stronger = zip(
        less.concerns(less.pick), less.concerns(more.pick), more.concerns(less.pick), more.concerns(more.pick)
    )
    for name, (own, others, own_then, others_then) in zip(less.concern_names, stronger):
        if own != others:
            return name if (own, others, own_then, others_then) == (0, 1, 1, 1) else ""
    return ""


def first_cleared(judged, old, new):
    """Name of the first concern that the one gives up and the other does not."""
    for name, given_up, kept in zip(judged.concern_names, judged.concerns(old), judged.concerns(new)):
        if given_up and not kept:
            return name
    return "nothing"
