"""What of a decision stands whatever else is answered, in words: limits, kits that are out, and the pick itself."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..deciding.verdicts import FAIL, Checked
from ..knowledge.model import FactRef, KitRef, Knowledge, Requirement
from ..knowledge.rules import limits
from ..knowledge.sentences import count, joined, wrap
from .settled import Settled, Settler, pick_is_settled

if TYPE_CHECKING:
    from ..deciding.decide import Decision
    from ..knowledge.wording import Wording

#: Limits listed before the rest is only counted.
MOST_LIMITS = 12


@dataclass(frozen=True, slots=True)
class StandsForGood:
    """``musts``: those that stand, limits and all; ``open_musts``: measures with a must that still hangs on answers.

    ``out``: ids of kits that no answer brings back, of ``kits`` that fit by claim; ``conclusions``: rules that say what
    they say for good; ``undecided``: titles of those that no proof settled within its limit, counted as hanging on
    answers; ``pick``: is it proved that the pick stays?
    """

    musts: tuple[Requirement, ...]
    open_musts: tuple[str, ...]
    out: tuple[str, ...]
    kits: int
    conclusions: int
    undecided: tuple[str, ...]
    pick: bool


def standing(decision: "Decision", settled: Settled) -> StandsForGood:
    """The `StandsForGood` of a decision from what is settled of its case."""
    knowledge = decision.knowledge
    musts = [
        (rule, requirement)
        for rule in knowledge.rules
        if rule.stage == "case"
        for requirement in rule.require
        if requirement.level == "must"
    ]
    fire = [requirement for rule, requirement in musts if rule.id in settled.fires]
    stands = [requirement for requirement in fire if _limit_known(requirement, settled)]
    loose = [requirement for rule, requirement in musts if rule.id in settled.open]
    loose += [requirement for requirement in fire if not _limit_known(requirement, settled)]
    out: tuple[str, ...] = ()
    if decision.figures is not None:
        sure = {requirement.id for requirement in stands}
        figures = _settled_figures(knowledge, settled)
        failed = [check for check in decision.checks if check.requirement.id in sure and _measured(check, figures)]
        out = tuple(
            kit
            for place, kit in enumerate(decision.kits.ids)
            if any(check.status[0, place] == FAIL for check in failed)
        )
    return StandsForGood(
        tuple(sorted(stands, key=lambda requirement: (requirement.measure, requirement.id))),
        tuple(sorted({requirement.measure for requirement in loose})),
        out,
        len(decision.kits.ids),
        len(settled.fires),
        tuple(sorted(rule.title for rule in knowledge.rules if rule.id in settled.undecided)),
        decision.pick is not None and pick_is_settled(settled, knowledge),
    )


def _limit_known(requirement: Requirement, settled: Settled) -> bool:
    read = [limit.name for limit in limits(requirement.limit) if isinstance(limit, FactRef)]
    return all(settled.values.get(name) is not None for name in read)


def _measured(check: Checked, figures: "frozenset[str]") -> bool:
    """Is what a must is held against settled too? A field of the kit always is."""
    return check.requirement.source == "kit" or check.requirement.measure in figures


def _settled_figures(knowledge: Knowledge, settled: Settled) -> frozenset[str]:
    """Figures all of whose inputs, other figures among them, are settled."""
    known: set[str] = set()
    waiting = list(knowledge.figure_calculations)
    while True:
        ready = [each for each in waiting if _ready(each.inputs, known, settled)]
        if not ready:
            return frozenset(known)
        known |= {each.gives for each in ready}
        waiting = [each for each in waiting if each.gives not in known]


def _ready(inputs, known, settled):
    for _, given in inputs:
        for each in given.first_of or (given,):
            if each.source == "fact" and not settled.has(each.name):
                return False
            if each.source == "figure" and each.name not in known:
                return False
    return True


def standing_of(decision: "Decision", settler: Settler | None = None) -> StandsForGood:
    """The `StandsForGood` of a decision, proved now."""
    settler = settler or Settler(decision.knowledge)
    return standing(decision, settler.settled(decision.known))


def guarantee(stands: StandsForGood, kit: str) -> str:
    """Whether that the pick stays is proved, in one sentence; ``kit``: its title."""
    if stands.pick:
        return f"Proved: whatever else is answered, {kit} stays the advice."
    return (
        f"That is drawn from callers, not proved. Proved is, whatever else is answered: "
        f"{count(len(stands.musts), 'limit')} on kits stand, and {len(stands.out)} of {stands.kits} kits are out."
    )


def standing_lines(stands: StandsForGood, decision: "Decision", wording: "Wording", width: int) -> list[str]:
    """What stands, for people."""
    facts: Mapping[str, object] = decision.derivation.facts
    lines = [
        wrap(
            "What stands whatever else is answered (proved for every answer still open, the car as it is on file and "
            "no answer contradicting another):",
            width,
        )
    ]
    texts = list(dict.fromkeys(_limit_in_words(requirement, facts, wording) for requirement in stands.musts))
    lines += [wrap(text, width, "  ", "    ") for text in texts[:MOST_LIMITS]]
    if len(texts) > MOST_LIMITS:
        lines.append(f"  and {len(texts) - MOST_LIMITS} more limits")
    if not texts:
        lines.append("  no limit on a kit yet")
    lines.append(wrap(f"{len(stands.out)} of {stands.kits} kits are out, and no answer brings them back.", width, "  "))
    if stands.open_musts:
        lines.append("")
        lines.append(wrap(f"Still hangs on answers: {wording.labels(stands.open_musts, most=MOST_LIMITS)}.", width))
    if stands.undecided:
        titles = joined((f'"{title}"' for title in stands.undecided), most=MOST_LIMITS)
        lines.append(wrap(f"Not decided within the steps a proof is given, so taken as open: {titles}.", width))
    if decision.pick is not None:
        title = wording.title(decision.kits.ids[decision.pick])
        stays = f"Proved: {title} stays the advice." if stands.pick else f"That {title} stays the advice is not proved."
        lines.append(wrap(stays, width))
    return lines


def _limit_in_words(requirement: Requirement, facts: Mapping[str, object], wording: "Wording") -> str:
    limit: Any
    if isinstance(requirement.limit, KitRef):
        limit = {"kit": requirement.limit.name}
    else:
        read = tuple(facts.get(each.name) if isinstance(each, FactRef) else each for each in limits(requirement.limit))
        limit = read if isinstance(requirement.limit, tuple) else read[0]
    return wording.demand(requirement.compare, requirement.measure, limit)
