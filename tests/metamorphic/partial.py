"""A record that leaves something out: nothing passes for it unless an assumption says so, and nobody is left without
being told.

Each caller is decided with the whole records and with one field (or two) taken out of every car, or out of every kit or
one kit in two. What must hold:
  - a kit that passes only without the field passes by an assumption that the record of the decision names, or by what
    the record says was taken in the field's place, for every must that turned;
  - no must of safety is passed that way, named or not;
  - no kit where there was one: the field is named, as an assumption, as a question, as not on file, or as to ask the
    maker.
"""

import dataclasses
import random

from advisor.knowledge.vocabulary import DERIVED_KIT_FIELDS, EVERY_RECORD

from .tally import Tally

#: Deciders over kits without a field, made for a run; each is held against as many callers.
STOCKS = 12
#: What no kit is read without, or what is worked out when it is read.
_ALWAYS = {*EVERY_RECORD, *(field.name for field in DERIVED_KIT_FIELDS)}


def platform_fields(world):
    """Dotted paths that some car's record holds and that may be left out."""
    paths = {path for platform in world.platforms for path in platform.fields}
    return sorted(paths - {*EVERY_RECORD, "note"})


def kit_fields(world):
    """Fields that some kit holds and that may be left out."""
    return sorted(
        name
        for name, field in world.knowledge.kit_fields.items()
        if not field.required and name not in _ALWAYS and any(name in kit.fields for kit in world.kits)
    )


def car_fields_left_out(world, seeds, *, at_once=1, paths=None):
    """`Tally`: each caller's car with ``at_once`` fields, of ``paths`` or of all, taken out of its record."""
    tally, paths = Tally(), paths or platform_fields(world)
    groups = {}
    for seed in seeds:
        pick = random.Random(f"car {at_once} {seed}")
        case = world.caller(seed, pick.choice(world.platforms).id)
        gone = paths[seed % len(paths)] if at_once == 1 else None
        groups.setdefault(tuple(sorted(pick.sample(paths, at_once))) if gone is None else (gone,), []).append(case)
    # Each caller as it is, all together, so that those of one car are decided at once.
    whole = {one.case.id: one for one in world.judged([case for cases in groups.values() for case in cases])}
    for gone, cases in sorted(groups.items()):

        def without(case, gone=gone):
            platform = world.platform(case)
            return dataclasses.replace(
                platform, fields={name: value for name, value in platform.fields.items() if name not in gone}
            )

        for left, right in zip([whole[case.id] for case in cases], world.judged(cases, without), strict=True):
            tally.pairs += 1
            _held(tally, world, left, right, "car without " + ", ".join(gone), _names_of_car(world, left, gone))
    return tally


def kit_fields_left_out(world, seeds, *, at_once=1, stocks=STOCKS):
    """`Tally`: ``at_once`` fields taken out of all kits, or out of half of them."""
    tally, names = Tally(), kit_fields(world)
    seeds = list(seeds)
    stocks = min(stocks, len(seeds))
    random.Random("taken out").shuffle(names)
    whole = dict(zip(seeds, world.judged([world.caller(seed) for seed in seeds]), strict=True))
    for number in range(stocks):
        pick = random.Random(f"sold {at_once} {number}")
        gone = {names[number % len(names)]} if at_once == 1 else set(pick.sample(names, at_once))
        half = pick.random() < 0.5
        kits = [
            kit if half and pick.random() < 0.5 else
            dataclasses.replace(kit, fields={name: value for name, value in kit.fields.items() if name not in gone})
            for kit in world.kits
        ]  # fmt: skip
        poorer = world.with_records(kits=kits)
        changed = {one.id for one, other in zip(world.kits, kits, strict=True) if one is not other}
        before = [whole[seed] for seed in seeds[number::stocks]]
        for left, right in zip(before, poorer.judged([one.case for one in before]), strict=True):
            tally.pairs += 1
            where = ("half the kits" if half else "kits") + " without " + ", ".join(sorted(gone))
            _held(tally, poorer, left, right, where, _names_of_kits(world, left, gone, changed))
    return tally


def _names_of_car(world, judged, gone):
    """What would name the fields of a car: facts that read them, and kit fields of a factory clutch no longer named."""
    facts = {fact.name for fact in world.knowledge.facts.values() if fact.platform in gone}
    if "stock.clutch" in gone:
        facts |= {fact.name for fact in world.knowledge.facts.values() if fact.source == "factory_kit"}
    return facts, set(), set()


def _names_of_kits(world, judged, gone, changed):
    """What would name the fields of kits: the kit and its field, or the car's own facts of its factory clutch."""
    facts = {
        fact.name for fact in world.knowledge.facts.values() if fact.source == "factory_kit" and fact.field in gone
    }
    return facts, gone, changed


def _held(tally, world, before, after, where, names):
    facts, fields, changed = names
    where = f"{where}, {before.case.id}"
    if before.undecided:
        tally.count("nothing decided before")
        return
    more = set() if after.undecided else after.passes - before.passes
    assumed = ((after.assumed() - before.assumed()) | (after.silent() - before.silent())) & facts
    for kit in sorted(more):
        turned = _turned(before, after, kit)
        if any(one.safety for one in turned):
            tally.wrong(f"{where}: {kit} passes {sorted(one.id for one in turned if one.safety)}, a must of safety")
            return
        if not assumed and not _stood_in(after, kit, turned, fields, changed):
            tally.wrong(f"{where}: {kit} passes {sorted(one.id for one in turned)}, nothing assumed says why")
            return
    if more:
        tally.count("more pass by " + ("an assumption in the record" if assumed else "what the record says was taken"))
    if after.pick is None and before.pick is not None:
        named = _how_named(world, after, facts, fields, changed)
        if not named:
            tally.wrong(f"{where}: {after.outcome}, and nothing names it")
            return
        tally.count(f"{after.outcome}, named as {named}")
    elif not more:
        tally.count("another pick, no more pass" if before.pick != after.pick else "the same pick")


def _stood_in(after, kit, turned, fields, changed):
    """Whether every must that turned rests on what the record names as taken for a field that was left out."""
    if kit not in changed:
        return False
    named = {name for stands in after.stand_ins(kit) if stands.field in fields for name in stands.requirements}
    return {one.id for one in turned} <= named


def _turned(before, after, kit):
    """Musts that a kit did not meet with the whole record and does not miss without."""
    then = after.statuses(kit)
    return [
        one
        for one, status in before.statuses(kit).items()
        if one.level == "must" and status in ("fails", "unknown") and then.get(one) not in ("fails", "unknown")
    ]


def _how_named(world, judged, facts, fields, changed):
    """How a decision without a kit names what was taken out, or ''."""
    if facts & judged.assumed():
        return "an assumption"
    if judged.undecided:
        asked = {*judged.known.missing, *_routes(world, judged)}
        return "a question" if facts & asked else ""
    batch = world.decider.batch
    lacking = batch.lacking(judged.batched, judged.row)
    if facts & set(batch.asks(judged.batched, judged.row)):
        return "a question"
    if any(field in fields and kit in changed for kit, field in batch.ask_maker(judged.batched, judged.row)):
        return "to ask the maker"
    if facts & {*lacking.not_on_file, *batch.taken_careful(judged.batched, judged.row)}:
        return "not on file"
    return ""


def _routes(world, judged):
    """The facts asked for where a derived fact that needs one of several has none."""
    for name, fact in world.knowledge.facts.items():
        if fact.needs_one_of and not judged.batched.derived.fact(name)[1][judged.row]:
            yield from fact.needs_one_of
            # A route that takes more than one answer is named by any of them, or by what the car's record gives for it.
            yield from (one for one in ("stock_torque", "displacement", "stock_power") if one in world.knowledge.facts)
