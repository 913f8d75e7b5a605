"""The properties of explanations as checks of one WordedRecord: each gives (how many were checked, list of faults)."""

import json

from advisor.explaining import why, why_not
from advisor.explaining.worded import WordedRecord

from .replay import Posting, decided_again


def worded_of(decider, record, system="si"):
    """The words of a record that went through JSON: nothing but what is stored may be used."""
    worded = WordedRecord(json.loads(json.dumps(record.data)), decider.shop.wording(decider.knowledge, system))
    worded.shop = decider.shop  # for deciding again, never for words
    return worded


def faithful(worded):
    """Only the cited rules on only the cited facts give the same pick, and the same verdict on every kit."""
    if not worded.kits:
        return 0, []
    behind = worded.provenance.behind_the_pick()
    again = decided_again(worded, behind)
    faults = []
    pick = again.kits.ids[again.pick] if again.pick is not None else None
    if pick != worded.pick:
        faults.append(f"picks {pick} instead of {worded.pick}")
    verdicts = {}
    for index, kit in enumerate(again.kits.ids):
        verdicts[kit] = (
            "picked"
            if kit == pick
            else "passes"
            if again.passes[0, index]
            else "failed"
            if again.failed[0, index]
            else "unjudged"
        )
    faults += [
        f"{kit} is {verdicts[kit]}, not {held.verdict}"
        for kit, held in worded.kits.items()
        if verdicts[kit] != held.verdict
    ]
    if worded.pick:
        order = [again.kits.ids[index] for index in again.order]
        held = sorted((kit for kit in worded.kits.values() if kit.place), key=lambda kit: kit.place)
        if order != [kit.id for kit in held]:
            faults.append("the ladder stands in another order")
    return 1, faults


def complete(worded):
    """Every fired rule that posts a requirement is cited, and every fact a cited rule or calculation read is cited."""
    if not worded.kits:
        return 0, []
    behind = worded.provenance.behind_the_pick()
    cited, faults = {*behind.rules, *behind.calculations}, []
    produced = {name for rule in cited for name in worded.record.fired[rule].concluded}
    for posted in worded.requirements.values():
        if posted.rule not in cited:
            faults.append(f"{posted.rule} posts {posted.id} and is not cited")
    for rule in cited:
        for name in worded.record.fired[rule].facts:
            if name not in behind.facts and name not in produced:
                faults.append(f"{rule} read {name}, which is not cited")
    return len(cited), faults


def minimal(worded):
    """The facts cited behind each requirement are enough to post it, and none of them can be left out."""
    count, faults = 0, []
    for name in worded.requirements:
        held = worded.provenance.of_requirement(name)
        posting = Posting(worded, name, held)
        if not posting.holds(held.facts):
            faults.append(f"{name} does not follow from {', '.join(held.facts)}")
        count += 1
        for left_out in held.facts:
            count += 1
            if posting.holds([fact for fact in held.facts if fact != left_out]):
                faults.append(f"{name} follows without {left_out}")
    return count, faults


_HOLDS = {
    "at_least": lambda actual, limit: actual >= limit,
    "at_most": lambda actual, limit: actual <= limit,
    "above": lambda actual, limit: actual > limit,
    "below": lambda actual, limit: actual < limit,
    "is": lambda actual, limit: actual == limit,
    "in": lambda actual, limit: actual in limit,
    "not_in": lambda actual, limit: actual not in limit,
    "between": lambda actual, limit: limit[0] <= actual <= limit[1],
}


def why_nots(worded):
    """Every kit has its reason: failed musts, safety first, each enough; one step of the ladder where it passes."""
    count, faults = 0, []
    places = {kit.id: kit.place for kit in worded.kits.values()}
    for kit, held in worded.kits.items():
        told = why_not.why_not(worded, kit)
        count += 1
        names = [one["requirement"] for one in told["failed"]]
        if names != [check.requirement for check in held.failed]:
            faults.append(f"{kit}: not every failed must is told")
        if [one["safety"] for one in told["failed"]] != sorted((one["safety"] for one in told["failed"]), reverse=True):
            faults.append(f"{kit}: safety does not stand first")
        for one in told["failed"]:
            posted = worded.requirements[one["requirement"]]
            if posted.level != "must" or _HOLDS[posted.compare](one["actual"], one["needed"]):
                faults.append(f"{kit}: {one['requirement']} holds, so it refuses nothing")
            if not one["answers"] and worded.rules[posted.rule].all:
                faults.append(f"{kit}: nothing stands behind {one['requirement']}")
        if held.verdict == "passes":
            step = told["step"]
            mine, other = why_not.ladder_key(worded, worded.pick), why_not.ladder_key(worded, kit)
            first = next((name for (name, one), (_, two) in zip(mine, other) if one != two), None)
            if step is None or step["step"] != first or not mine < other or places[kit] <= 1:
                faults.append(f"{kit}: the step {step and step['step']} did not decide")
            if "lost" in (step or {}) and not step["lost"]:
                faults.append(f"{kit}: no wish is named that it gives up")
        if held.verdict not in ("picked", "passes") and not (told["failed"] or told["unknown"]):
            faults.append(f"{kit}: refused without a reason")
        if not told["sentences"]:
            faults.append(f"{kit}: nothing is said")
    return count, faults


def stable(worded):
    """Asked twice, the second time on a record read again, every explanation has the same bytes."""

    def everything(one):
        told = [why.why(one, depth) for depth in why.DEPTHS] + [why_not.why_not(one, kit) for kit in one.kits]
        return json.dumps(told, sort_keys=True, ensure_ascii=False)

    again = WordedRecord(json.loads(json.dumps(worded.record.data, sort_keys=True)), worded.wording)
    return 1, [] if everything(worded) == everything(again) else ["two answers to one question differ"]


CHECKS = {"faithful": faithful, "complete": complete, "minimal": minimal, "why not": why_nots, "stable": stable}
