"""The properties of explanations as checks of one View: each gives (how many were checked, list of faults)."""

import json

from advisor.explaining import support, why, why_not
from advisor.explaining.view import View

from .replay import Posting, decided_again


def view_of(decider, made, system="si"):
    """A View of a record that went through JSON: nothing but what is stored may be used."""
    view = View(json.loads(json.dumps(made)), decider.shop.wording(decider.knowledge, system))
    view.shop = decider.shop  # for deciding again, never for words
    return view


def faithful(view):
    """Only the cited rules on only the cited facts give the same pick, and the same verdict on every kit."""
    if not view.made["kits"]:
        return 0, []
    behind = support.behind_the_pick(view)
    again = decided_again(view, behind)
    faults = []
    pick = again.kits.ids[again.pick] if again.pick is not None else None
    if pick != view.pick:
        faults.append(f"picks {pick} instead of {view.pick}")
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
        f"{kit} is {verdicts[kit]}, not {one['verdict']}"
        for kit, one in view.kits.items()
        if verdicts[kit] != one["verdict"]
    ]
    if view.pick:
        order = [again.kits.ids[index] for index in again.order]
        held = sorted((one for one in view.kits.values() if one["place"]), key=lambda one: one["place"])
        if order != [one["id"] for one in held]:
            faults.append("the ladder stands in another order")
    return 1, faults


def complete(view):
    """Every fired rule that posts a requirement is cited, and every fact a cited rule or calculation read is cited."""
    if not view.made["kits"]:
        return 0, []
    behind = support.behind_the_pick(view)
    cited, faults = {*behind.rules, *behind.calculations}, []
    produced = {name for rule in cited for name in view.fired[rule]["concluded"]}
    for one in view.made["requirements"]:
        if one["rule"] not in cited:
            faults.append(f"{one['rule']} posts {one['id']} and is not cited")
    for rule in cited:
        for name in view.fired[rule]["facts"]:
            if name not in behind.facts and name not in produced:
                faults.append(f"{rule} read {name}, which is not cited")
    return len(cited), faults


def minimal(view):
    """The facts cited behind each requirement are enough to post it, and none of them can be left out."""
    count, faults = 0, []
    for name in view.requirements:
        held = support.of_requirement(view, name)
        posting = Posting(view, name, held)
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


def why_nots(view):
    """Every kit has its reason: failed musts, safety first, each enough; one step of the ladder where it passes."""
    count, faults = 0, []
    places = {one["id"]: one["place"] for one in view.kits.values()}
    for kit, held in view.kits.items():
        told = why_not.why_not(view, kit)
        count += 1
        names = [one["requirement"] for one in told["failed"]]
        if names != [one["requirement"] for one in held["failed"]]:
            faults.append(f"{kit}: not every failed must is told")
        if [one["safety"] for one in told["failed"]] != sorted(
            (one["safety"] for one in told["failed"]), reverse=True
        ):
            faults.append(f"{kit}: safety does not stand first")
        for one in told["failed"]:
            requirement = view.requirements[one["requirement"]]
            if requirement["level"] != "must" or _HOLDS[requirement["compare"]](one["actual"], one["needed"]):
                faults.append(f"{kit}: {one['requirement']} holds, so it refuses nothing")
            if not one["answers"] and view.rules[requirement["rule"]].all:
                faults.append(f"{kit}: nothing stands behind {one['requirement']}")
        if held["verdict"] == "passes":
            step = told["step"]
            mine, other = why_not.ladder_key(view, view.pick), why_not.ladder_key(view, kit)
            first = next((name for (name, one), (_, two) in zip(mine, other) if one != two), None)
            if step is None or step["step"] != first or not mine < other or places[kit] <= 1:
                faults.append(f"{kit}: the step {step and step['step']} did not decide")
            if "lost" in (step or {}) and not step["lost"]:
                faults.append(f"{kit}: no wish is named that it gives up")
        if held["verdict"] not in ("picked", "passes") and not (told["failed"] or told["unknown"]):
            faults.append(f"{kit}: refused without a reason")
        if not told["sentences"]:
            faults.append(f"{kit}: nothing is said")
    return count, faults


def stable(view):
    """Asked twice, the second time on a record read again, every explanation has the same bytes."""

    def everything(one):
        told = [why.why(one, depth) for depth in why.DEPTHS] + [why_not.why_not(one, kit) for kit in one.kits]
        return json.dumps(told, sort_keys=True, ensure_ascii=False)

    again = View(json.loads(json.dumps(view.made, sort_keys=True)), view.wording)
    return 1, [] if everything(view) == everything(again) else ["two answers to one question differ"]


CHECKS = {"faithful": faithful, "complete": complete, "minimal": minimal, "why not": why_nots, "stable": stable}
