"""Words for the kits beside the pick on the ladder: one step down, and those that come near it."""

from ..deciding.decision_record import NearEqual
from ..knowledge.sentences import joined


def kind_down(before_by: str) -> str:
    """What the next kit down is beside the pick, by what puts it first: only what a driver feels is gentler."""
    if before_by == "price":
        return "cheaper one that feels the same"
    return "one that feels the same" if before_by in ("stock", "capacity", "id") else "gentler one"


#: What puts the pick before a near equal, wishes aside.
BEHIND = {
    "clamp_load": "It stands behind by a step of clamp load, though they lie less than one apart.",
    "pedal_force": "It stands behind by a step of pedal force.",
    "price": "It stands behind because it costs more.",
    "stock": "It stands behind because it must be ordered.",
    "capacity": "It stands behind because it holds more than is needed.",
    "id": "Nothing else tells them apart.",
}


def why_behind(near: NearEqual) -> str:
    """Why a `NearEqual` of the record stands behind the pick, in a sentence."""
    if near.gives_up:
        wishes = joined([name.replace("_", " ") for name in near.gives_up])
        return f"It stands behind because it gives up what is wished about {wishes}."
    return BEHIND.get(near.behind_by, "")


def in_stock(near: NearEqual, which: str) -> str:
    """Whether the pick or the near equal ("kit") of a `NearEqual` is on the shelf, in words."""
    return "in stock" if near.stock[which] else "to order"
