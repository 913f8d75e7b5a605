"""Another stock: a kit fewer that was not picked, one more that is worse in every respect, other prices and stock."""

import random

from advisor.knowledge.model import Record

from .tally import Tally
from .world import answered

#: Kits removed or added for a run, each held against as many callers.
STOCKS = 12


def _groups(seeds, count):
    """The seeds in ``count`` groups."""
    seeds = list(seeds)
    return [seeds[place::count] for place in range(min(count, len(seeds)))]


def a_kit_fewer(world, seeds, stocks=STOCKS):
    """`Tally`: a kit that was not picked is taken off the shelf; factory clutches stay, cars name them."""
    tally = Tally()
    needed = {one.fields.get("stock.clutch") for one in world.platforms}
    spare = [kit for kit in world.kits if kit.id not in needed]
    groups = _groups(seeds, stocks)
    kits = [random.Random(f"fewer {number}").choice(spare) for number in range(len(groups))]
    callers = [_cases_where_it_counts(world, *pair) for pair in zip(kits, groups, strict=True)]
    for gone, cases, judged in zip(kits, callers, world.judged_in_groups(callers), strict=True):
        smaller = world.with_records(kits=[kit for kit in world.kits if kit is not gone])
        for before, after in zip(judged, smaller.judged(cases), strict=True):
            if before.pick == gone.id:
                tally.count("was the pick")
                continue
            tally.pairs += 1
            if _was_asked_for(world, smaller, before, after, gone.id):
                tally.count("no longer asked what only that kit hung on")
                continue
            _same_but(tally, f"without {gone.id}, {before.case.id}", before, after, gone.id)
    return tally


def _was_asked_for(world, smaller, before, after, gone):
    """Whether a question was open for that kit's sake alone: an answer lets it pass and no other; without it none
    passes whatever is answered, and nothing is left to ask.
    """
    if before.undecided or (before.outcome, after.outcome) != ("need_more_answers", "no_kit_fits"):
        return False
    let_pass = set()
    for name in world.decider.batch.asks(before.batched, before.row):
        cases = [answered(before.case, **{name: value}) for value in _answers_to(world, before, name)]
        if any(other.passes for other in smaller.judged(cases)):
            return False
        let_pass |= {kit for other in world.judged(cases) for kit in other.passes}
    return let_pass == {gone}


def _answers_to(world, judged, name):
    """Every choice of a fact, or the ends of what is assumed of a number."""
    fact = world.knowledge.facts[name]
    if fact.kind != "number":
        return list(fact.choices) or [True, False]
    (assumption,) = [one for one in judged.known.assumptions if one.fact == name]
    return [assumption.low, assumption.high] if assumption.low is not None else list(assumption.alternatives)


def _cases_where_it_counts(world, kit, seeds):
    """Callers, half of them on a car the kit is sold for."""
    cars = [name for name in kit.fields["fits"] if any(one.id == name for one in world.platforms)]
    return [world.caller(seed, cars[seed % len(cars)] if cars and seed % 2 else None) for seed in seeds]


def a_worse_kit_more(world, seeds, stocks=STOCKS):
    """`Tally`: a copy of a kit, heavier at the bearing, sooner hot, sooner burst, weaker once worn, dearer and not on
    the shelf.
    """
    tally = Tally()
    sold = [kit for kit in world.kits if not kit.fields["factory"]]
    groups = _groups(seeds, stocks)
    kits = [random.Random(f"more {number}").choice(sold) for number in range(len(groups))]
    callers = [_cases_where_it_counts(world, *pair) for pair in zip(kits, groups, strict=True)]
    for kit, cases, judged in zip(kits, callers, world.judged_in_groups(callers), strict=True):
        larger = world.with_records(kits=[*world.kits, worse(kit)])
        for before, after in zip(judged, larger.judged(cases), strict=True):
            tally.pairs += 1
            _same_but(tally, f"with a worse {kit.id}, {before.case.id}", before, after, worse(kit).id)
    return tally


def worse(kit):
    """The copy: nothing of it better, its id the last."""
    fields = dict(kit.fields)
    for name, factor in (
        ("release_load", 1.05), ("bearing_travel_needed", 1.02), ("bearing_travel_max", 0.98), ("max_speed_rpm", 0.95),
        ("plate_mass_flywheel_side", 0.95), ("plate_mass_floater", 0.95), ("plate_mass_pressure", 0.95),
        ("disc_inertia", 1.1), ("worn_clamp_factor", 0.97), ("price", 1.3),
        ("damper_stop_torque", 0.95), ("pack_depth", 1.01),
    ):  # fmt: skip
        if name in fields:
            fields[name] = fields[name] * factor
    fields["stock"], fields["lead_time_days"] = 0.0, 90.0
    if "id" in fields:
        fields["id"] = f"zz-worse-{kit.id}"
    return Record(kit.kind, f"zz-worse-{kit.id}", fields)


def _same_but(tally, where, before, after, kit):
    """Outcome, pick, set-up, every other kit's verdict, concerns and place as they were."""
    if before.undecided and after.undecided:
        tally.count("nothing decided")
        return
    if before.whole != after.whole:
        tally.wrong(f"{where}: {before.whole[:2]} becomes {after.whole[:2]}")
        return
    for mark in ("passes", "unjudged"):
        if before.among(mark) - {kit} != after.among(mark) - {kit}:
            tally.wrong(f"{where}: other kits' verdicts differ")
            return
    if [one for one in before.ladder if one != kit] != [one for one in after.ladder if one != kit]:
        tally.wrong(f"{where}: the ladder of the others differs")
        return
    if any(before.concerns(one) != after.concerns(one) for one in before.passes - {kit}):
        tally.wrong(f"{where}: others' concerns differ")
        return
    tally.count("nothing changed, the kit passed" if kit in before.passes | after.passes else "nothing changed")


def other_prices(world, seeds, stocks=STOCKS):
    """`Tally`: prices, stock and lead times drawn afresh; verdicts, and all concerns but the budget, stay."""
    tally = Tally()
    place = world.knowledge.order.concerns.index("budget")
    for number, group in enumerate(_groups(seeds, stocks)):
        pick = random.Random(f"prices {number}")
        kits = [
            Record(
                kit.kind,
                kit.id,
                {
                    **kit.fields,
                    "price": float(round(kit.fields["price"] * pick.uniform(0.3, 3))),
                    "stock": float(pick.randrange(5)),
                    "lead_time_days": float(pick.randrange(1, 60)),
                },
            )
            for kit in world.kits
        ]
        other = world.with_records(kits=kits)
        cases = [world.caller(seed) for seed in group]
        # Each side by itself: a batch leaves out what fits none of its callers, and what failed is compared too.
        for before, after in zip(world.judged(cases), other.judged(cases), strict=True):
            tally.pairs += 1
            where = f"prices {number}, {before.case.id}"
            for mark in ("passes", "failed", "unjudged"):
                if before.among(mark) != after.among(mark):
                    tally.wrong(f"{where}: {mark} differ")
                    break
            else:
                technical = {kit: _without(before.concerns(kit), place) for kit in before.passes}
                if technical != {kit: _without(after.concerns(kit), place) for kit in after.passes}:
                    tally.wrong(f"{where}: concerns differ")
                else:
                    tally.count("another pick by price" if before.pick != after.pick else "the same pick")
    return tally


def _without(concerns, place):
    return concerns[:place] + concerns[place + 1 :]
