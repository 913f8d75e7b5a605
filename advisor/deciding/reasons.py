"""Why the pick, why not one down, what one up brings: the entries of the record that compare kits."""

from typing import TYPE_CHECKING, Any

from ..knowledge.sentences import first_sentence
from . import ladder
from .decide import Decision
from .limits import failure
from .neighbours import next_to, statuses
from .verdicts import FAIL, Checked

if TYPE_CHECKING:
    from ..knowledge.model import Requirement

#: Figures in which going up is told.
COMPARED = ("capacity_working_nm", "pedal_force_n", "noise_class", "take_up_class", "bearing_load_n", "total_price")
#: Figures in which a near equal is told.
NEAR = (ladder.PEDAL, ladder.PRICE, "capacity_working_nm", "holding_probability")
#: Requirements shown for a pick where no gentler kit was refused: what it holds, what it loads, what it asks of the
#: foot.
ALWAYS = ("capacity_working_nm", "bearing_load_n", "pedal_force_n")
SHOWN = 3


def because(decision: Decision, requirement: "Requirement") -> str:
    """The because-text of a requirement's rule, filled."""
    return decision.wording.fill(decision.rules[requirement.rule].because, decision.derivation.facts)


def decisive(decision: Decision) -> list[Checked]:
    """The checks that decided the pick: one for each group of gentler kits they refuse, the widest first.

    A gentler kit is refused by a failed must, or by a failed should the pick does not give up as well.
    """
    refused = {}
    rank, own = decision.gentle_ranks[0], decision.concerns[0, decision.pick]
    concerns = decision.knowledge.order.concerns
    for index in range(len(decision.kits)):
        if rank[index] >= rank[decision.pick] or not decision.fits[0, index]:
            continue
        failed, unknown, given_up, not_known = statuses(decision, index)
        lost = [
            lost_check for lost_check in given_up + not_known if not own[concerns.index(lost_check.requirement.concern)]
        ]
        refused[index] = list(failed + unknown or lost)
    chosen = []
    while any(refused.values()):
        counts: dict[str, Any] = {}
        for checks in refused.values():
            for checked in checks:
                counts[checked.requirement.id] = counts.get(checked.requirement.id, 0) + 1
        best = min(counts, key=lambda name: (-counts[name], name))
        chosen.append(next(lost_check for lost_check in decision.checks if lost_check.requirement.id == best))
        refused = {
            index: checks
            for index, checks in refused.items()
            if best not in [lost_check.requirement.id for lost_check in checks]
        }
    for measure in ALWAYS:
        for lost_check in decision.checks:
            known = [other.requirement.measure for other in chosen]
            if (
                lost_check.requirement.level == "must"
                and lost_check.requirement.measure == measure
                and measure not in known
            ):
                chosen.append(lost_check)
    return chosen


def pick(decision: Decision) -> dict[str, Any] | None:
    """{kit, because, given_up} of the pick, or None."""
    if decision.pick is None:
        return None
    index = decision.pick
    _, _, given_up, not_known = statuses(decision, index)
    shown = decisive(decision)[:SHOWN]
    return {
        "kit": decision.kits.ids[index],
        "because": [
            {**failure(decision, verdict, index), "sentence": first_sentence(because(decision, verdict.requirement))}
            for verdict in shown
        ],
        "given_up": [
            {
                **failure(decision, verdict, index),
                "concern": verdict.requirement.concern,
                "known": bool(verdict.status[0, index] == FAIL),
                "sentence": first_sentence(because(decision, verdict.requirement)),
            }
            for verdict in sorted([*given_up, *not_known], key=lambda verdict: verdict.requirement.id)
        ],
    }


def down(decision: Decision, index: int | None) -> dict[str, Any] | None:
    """{kit, before_by, fails} of the nearest gentler kit, or None; ``before_by``: what puts it before the pick."""
    if index is None:
        return None
    failed, unknown, given_up, not_known = statuses(decision, index)
    shown = failed + unknown or given_up + not_known
    shown.sort(key=lambda verdict: (not verdict.requirement.safety, verdict.requirement.id))
    return {
        "kit": decision.kits.ids[index],
        "before_by": next_to(decision, index),
        "fails": [
            {
                **failure(decision, verdict, index),
                "level": verdict.requirement.level,
                "known": bool(verdict.status[0, index] == FAIL),
                "sentence": first_sentence(because(decision, verdict.requirement)),
            }
            for verdict in shown
        ],
    }


def up(decision: Decision, index: int | None) -> dict[str, Any] | None:
    """{kit, adds} of the next kit up: figure, value of the pick, value there, difference; or None."""
    if index is None:
        return None
    return {"kit": decision.kits.ids[index], "adds": _differences(decision, index, COMPARED)}


def _differences(decision, index, names):
    differing = []
    for name in names:
        here, there = decision.figures.value(name, 0, decision.pick), decision.figures.value(name, 0, index)
        if here is not None and there is not None and here != there:
            differing.append({"figure": name, "pick": here, "kit": there, "difference": float(f"{there - here:.9g}")})
    return differing


def near(decision: Decision, index: int) -> dict[str, Any]:
    """{kit, behind_by, gives_up, differences, stock} of a near equal of the pick.

    ``behind_by``: the concern, or the member of the ladder's key, that puts the pick first; ``gives_up``: concerns it
    gives up and the pick does not; ``stock``: whether pick and kit are on the shelf.
    """
    concerns = decision.knowledge.order.concerns
    mine, other = decision.concerns[0, decision.pick], decision.concerns[0, index]
    lost = [name for name, here, there in zip(concerns, mine, other) if there and not here]
    return {
        "kit": decision.kits.ids[index],
        "behind_by": next(
            (name for name, here, there in zip(concerns, mine, other) if here != there), next_to(decision, index)
        ),
        "gives_up": lost,
        "differences": _differences(decision, index, NEAR),
        "stock": {
            name: bool(decision.kits.kits[place].fields.get("stock", 0.0) > 0)
            for name, place in (("pick", decision.picked), ("kit", index))
        },
    }
