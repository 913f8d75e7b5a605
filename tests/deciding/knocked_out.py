"""The shipped shop, fields of its kits knocked out at random: how near the advice stays, whether safety gets easier."""

import dataclasses
import random

from advisor.deciding.advise import advise
from advisor.deciding.estimating import estimates_of
from advisor.knowledge import load

from ..callers import plain_decider_of
from ..conftest import ROOT

#: Share of the kits of one variant that lose something, and of the fields such a kit loses.
KITS, FIELDS = 0.5, 0.5
COUNTED = (
    "variants", "fields", "outside", "picks", "same", "within", "told", "measured", "easier", "unfit", "read",
    "listed", "free", "moved",
)  # fmt: skip


def variant(content, pick):
    """The content with fields knocked out, and how many."""
    names = sorted({one.field for one in content.knowledge.estimates})
    kits, lost = [], 0
    for kit in content.kits:
        gone = {name for name in names if name in kit.fields and pick.random() < FIELDS}
        if pick.random() >= KITS or kit.fields.get("sold_as", "kit") != "kit":
            gone = set()
        lost += len(gone)
        gone |= {"cushioned"} if "cushion_travel" in gone else set()
        kits.append(dataclasses.replace(kit, fields={k: v for k, v in kit.fields.items() if k not in gone}))
    return dataclasses.replace(content, kits=tuple(kits)), lost


def outside(content, poorer):
    """Fields knocked out, and those whose true value lies outside the ends of the estimate."""
    true = {kit.id: kit.fields for kit in content.kits}
    checked, out = 0, []
    for kit, put_in in estimates_of(poorer.kits, poorer.knowledge).items():
        for name, one in put_in.items():
            value = true[kit].get(name)
            if value is not None:
                checked += 1
                if not one.low <= value <= one.high:
                    out.append((kit, name))
    return checked, out


def _safety(record):
    """(kit, must on safety) -> whether the kit is refused or left unjudged by it; kits that fit the car."""
    safety = {name for name, one in record.requirements.items() if one.safety and one.level == "must"}
    return {
        (kit.id, name): name in {check.requirement for check in kit.refused_by}
        for kit in record.fitting
        for name in safety
    }


def compared(full, poor):
    """(the pick is the same, it lies within the span, musts on safety that got easier) of two records of one case."""
    before, now = _safety(full), _safety(poor)
    easier = [key for key, refused in before.items() if refused and now.get(key) is False]
    same = full.pick_id == poor.pick_id
    within = same
    if full.pick_id and not same and poor.span is not None:
        rank = {name: kit.gentleness for name, kit in poor.kits.items()}
        place = rank.get(full.pick_id)
        gentle, careful = poor.span.gentle_end, poor.span.careful_end
        low = rank.get(gentle.kit or gentle.best, 0)
        high = rank.get(careful.kit, len(rank)) if careful.kit else len(rank)
        within = place is not None and low <= place <= high
    return same, within, easier


def told(full, poor):
    """Whether what is told beside the pick leads to the pick of the whole shop.

    It lies between the ends of the span and the pick, whichever of these is gentlest (a wish may let the pick lie
    beyond an end), or an estimate of the pick names it as picked once that is measured.
    """
    rank = {name: kit.gentleness for name, kit in poor.kits.items()}
    ends = [poor.span.gentle_end, poor.span.careful_end] if poor.span else []
    shown = [rank[kit] for kit in (*(end.kit or end.best for end in ends), poor.pick_id) if kit in rank]
    if ends and ends[1].kit is None:
        shown.append(len(rank))
    settled = [stands.settles for stands in poor.picked.stand_ins if stands.settles] if poor.pick_id else []
    named = any(full.pick_id in settles.kits for settles in settled)
    return named or (bool(shown) and min(shown) <= rank[full.pick_id] <= max(shown))


def _measured_pick(content, poorer, kit_id, case):
    """The pick once all that was knocked out of one kit is known again."""
    true = next(kit for kit in content.kits if kit.id == kit_id)
    kits = tuple(true if kit.id == kit_id else kit for kit in poorer.kits)
    decision = plain_decider_of(dataclasses.replace(poorer, kits=kits)).decide(case)
    return None if decision.pick is None else decision.kits.ids[decision.pick]


def measured(content, count, seed=1, progress=lambda done: None):
    """Counts over ``count`` variants, each with a shipped case chosen at random, and what got easier.

    ``picks``: cases in which the whole shop has a pick; ``same``, ``within`` and ``told`` of them;
    ``measured``: picks that rest on
    an estimate; ``unfit``: picks that fail a must with the true figures. ``read``: estimates of picks that a must
    reads; ``listed``: those to be measured first; ``free``: picks that rest on estimates and need none measured, and
    ``moved``: those of them that are the pick no more once their true numbers are in.
    """
    decider = plain_decider_of(content)
    paths = sorted((ROOT / "scenarios" / "cases").glob("*.yaml"))
    cases = [load.case(path, content.knowledge) for path in paths]
    full, found = (
        {},
        dict.fromkeys(COUNTED, 0),
    )
    faults = []
    for number in range(count):
        pick = random.Random(f"knocked out {seed} {number}")
        case = pick.choice(cases)
        poorer, lost = variant(content, pick)
        if case.id not in full:
            full[case.id] = advise(decider, case, with_changes=False)
        record = advise(plain_decider_of(poorer), case, with_changes=False)
        same, within, easier = compared(full[case.id], record)
        found["variants"] += 1
        found["fields"] += lost
        _, out = outside(content, poorer)
        found["outside"] += len(out)
        if full[case.id].pick_id:
            found["picks"] += 1
            found["same"] += same
            found["within"] += within
            found["told"] += same or told(full[case.id], record)
        if record.pick_id:
            found["measured"] += any(one.estimated for one in record.picked.stand_ins)
            if found_estimates := [one for one in record.picked.stand_ins if one.estimated]:
                musts = {name for name, one in record.requirements.items() if one.level == "must"}
                listed = sum(one.measured_first(musts) for one in found_estimates)
                found["listed"] += listed
                found["read"] += sum(bool(musts & set(one.requirements)) for one in found_estimates)
                if not listed:
                    found["free"] += 1
                    found["moved"] += _measured_pick(content, poorer, record.pick_id, case) != record.pick_id
            truly = full[case.id].kits[record.pick_id]
            found["unfit"] += bool(truly.failed)
        found["easier"] += len(easier)
        faults += [(number, case.id, *one) for one in easier]
        progress(number)
    return found, faults
