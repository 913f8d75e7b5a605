"""What one kit's checks came to in a decision, and which kits lie next to the pick on the ladder."""

from typing import TYPE_CHECKING, NamedTuple

from . import ladder
from .verdicts import FAIL, UNKNOWN, Checked

if TYPE_CHECKING:
    from .decide import Decision


class Statuses(NamedTuple):
    """The `Checked` of one kit that are failed or not known: musts, then shoulds."""

    failed: list[Checked]
    unknown: list[Checked]
    given_up: list[Checked]
    not_known: list[Checked]


def statuses(decision: "Decision", index: int) -> Statuses:
    """The `Statuses` of one kit."""
    by_status = Statuses([], [], [], [])
    for checked in decision.checks:
        status = checked.status[0, index]
        if status in (FAIL, UNKNOWN):
            place = (2 if checked.requirement.level == "should" else 0) + (status == UNKNOWN)
            by_status[place].append(checked)
    return by_status


def next_down(decision: "Decision") -> int | None:
    """Index of the nearest gentler kit that fits the car, or None."""
    if decision.pick is None:
        return None
    rank = decision.gentle_ranks[0]
    gentler = [
        index for index in range(len(decision.kits)) if rank[index] < rank[decision.pick] and decision.fits[0, index]
    ]
    return max(gentler, key=lambda index: rank[index], default=None)


def next_to(decision: "Decision", index: int) -> str:
    """The first member of the key without the concerns in which a kit and the pick differ, as in `ladder.MEMBERS`."""
    for name, key in zip(ladder.MEMBERS, decision.gentle_keys):
        if key[0, index] != key[0, decision.pick]:
            return name
    return ladder.MEMBERS[-1]


def near_equals(decision: "Decision") -> list[int]:
    """Indices of the kits that come near the pick, in the order of the ladder.

    They pass, are as harsh and have as many discs, lie less than one step of clamp load away, on whatever side of a
    step's edge, and are better in pedal force (by what a pedal is told in) or in total price.
    """
    if decision.pick is None:
        return []
    step = decision.knowledge.order.steps["clamp_load"]
    clamp, harsh = decision.kits.field("clamp_load"), decision.kits.table(ladder.HARSHNESS)
    discs = decision.kits.field("discs")

    pick = decision.pick

    def alike(index):
        return all(column.number(0, index) == column.number(0, pick) for column in (harsh, discs))

    def near(index):
        here, there = clamp.number(0, pick), clamp.number(0, index)
        return here is not None and there is not None and ladder.less_than_a_step(there, here, step)

    def better(index):
        finer = {ladder.PEDAL: decision.knowledge.figures[ladder.PEDAL].resolution, ladder.PRICE: 0.0}
        for name, least in finer.items():
            there, here = (decision.figures.value(name, 0, place) for place in (index, pick))
            if there is not None and (here is None or 0 < here - there >= least):
                return True
        return False

    return [index for index in decision.order[1:] if alike(index) and near(index) and better(index)]


def next_up(decision: "Decision") -> int | None:
    """Index of the next passing kit on the ladder with at least 10 % more bedded capacity, or None."""
    if decision.pick is None:
        return None
    capacity = decision.figures.column(ladder.CAPACITY)
    base = capacity.number(0, decision.pick)
    for index in decision.order[1:]:
        held = capacity.number(0, index)
        if base is not None and held is not None and held >= 1.1 * base:
            return index
    return None
