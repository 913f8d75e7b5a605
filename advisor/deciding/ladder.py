"""The ladder: from the gentlest kit to the harshest, and the pick.

Key of a passing kit: (failed concerns as 0/1 in their order, harshness class, discs, clamp load in steps a driver can
feel, pedal force in such steps, likely total price, on the shelf before to order, bedded capacity, id). Gentler means
earlier by the key without the concerns.

Steps are fixed and geometric (`rules/order.yaml`): step n reaches from start (1 + share)^n up to the next. So the order
is total and hangs on nothing else that is on sale. Values are rounded to nine digits, so an edge may come out a few
parts in a thousand million below itself: the number of steps is rounded to six places before its whole part is taken,
and a value that is an edge to nine digits belongs to the step it begins.

Likely total price: kit and parts that must go with it, as the record's total price has it. What is only to be checked
is left out: it hangs on what is found on the car, and is much the same whatever kit goes in. A kit that fails a must
has no set-up and so no total; where gentler kits are told its own price stands in.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from .verdicts import FAIL, UNKNOWN, Checked

if TYPE_CHECKING:
    from ..knowledge.model import Step
    from .figures import Figures
    from .kit_columns import KitColumns

HARSHNESS = "harshness"
CAPACITY = "capacity_bedded_nm"
PEDAL = "pedal_force_n"
PRICE, LIKELY_PRICE = "total_price", "likely_price"
#: The members of the key without the concerns, most important first.
MEMBERS = ("harshness", "discs", "clamp_load", "pedal_force", "price", "stock", "capacity", "id")


def failed_concerns(checks: Sequence[Checked], concerns: Sequence[str], shape: tuple[int, int]) -> np.ndarray:
    """Boolean (C, K, number of concerns): a should of that concern is failed or not known."""
    failed = np.zeros((*shape, len(concerns)), dtype=bool)
    for checked in checks:
        if checked.requirement.level == "should":
            place = concerns.index(checked.requirement.concern)
            failed[:, :, place] |= (checked.status == FAIL) | (checked.status == UNKNOWN)
    return failed


def _whole(column, shape):
    """Values with unknown as infinity, broadcast to (C, K)."""
    values = np.where(column.known, column.values, np.inf).astype(float)
    return np.broadcast_to(values, shape)


def steps_up(value: Any, step: "Step") -> Any:
    """How many steps of a `Step` a value stands above its start, of either sign and with its fraction.

    Rounded to six places; infinity for infinity. ``value`` above zero, float or array, in the step's unit.
    """
    return np.round(np.log(np.divide(value, step.start)) / np.log1p(step.share), 6)


def step_number(value: Any, step: "Step") -> Any:
    """The whole number of the `Step` a value stands on; infinity for infinity."""
    return np.floor(steps_up(value, step))


def less_than_a_step(value: float, other: float, step: "Step") -> bool:
    """Whether two values lie less than one `Step` apart, on whatever side of an edge they stand."""
    return bool(abs(steps_up(value, step) - steps_up(other, step)) < 1)


def gentleness_keys(kits: "KitColumns", figures: "Figures", shape: tuple[int, int]) -> list[np.ndarray]:
    """The key without the concerns: a list of (C, K) arrays as in `MEMBERS`; ids are the columns' order."""
    steps = kits.order.steps
    price, stock = _whole(kits.field("price"), shape), kits.field("stock")
    if PRICE in figures.columns:
        total = _whole(figures.column(PRICE), shape)
        price = np.where(np.isfinite(total), total, price)
    return [
        _whole(kits.table(HARSHNESS), shape),
        _whole(kits.field("discs"), shape),
        step_number(_whole(kits.field("clamp_load"), shape), steps["clamp_load"]),
        step_number(_whole(figures.column(PEDAL), shape), steps["pedal_force"]),
        price,
        np.broadcast_to(~(stock.known & (np.where(stock.known, stock.values, 0).astype(float) > 0)), shape).astype(
            float
        ),
        _whole(figures.column(CAPACITY), shape),
        np.broadcast_to(np.arange(shape[1], dtype=float), shape),
    ]


def ranks(keys: Sequence[np.ndarray]) -> np.ndarray:
    """Place of each kit in the order of ``keys`` (C, K): 0 is first."""
    order = np.lexsort(tuple(reversed(keys)), axis=-1)
    places = np.empty_like(order)
    np.put_along_axis(places, order, np.broadcast_to(np.arange(order.shape[1]), order.shape), axis=-1)
    return places


def concern_number(failed: np.ndarray) -> np.ndarray:
    """The concern vectors as one number each, first concern heaviest (C, K)."""
    weights = 2 ** np.arange(failed.shape[-1] - 1, -1, -1, dtype=np.int64)
    return (failed * weights).sum(axis=-1)


def picks(passes: np.ndarray, ladder_ranks: np.ndarray) -> np.ndarray:
    """Index of the pick for each case (C,), -1 where no kit passes."""
    best = np.where(passes, ladder_ranks, passes.shape[1]).argmin(axis=1)
    return np.where(passes.any(axis=1), best, -1)
