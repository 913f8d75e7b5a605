"""What signed experience does to figures: it lowers what must hold, moves the chance of holding, and loosens nothing.

Where less capacity is the danger, a factor below one lowers the capacity that must hold; one above never raises it, so
no factor turns a must from failed to passed. Where more capacity is the danger, the larger of computed and experienced
counts. The chance of holding takes the factor, and of its spread what is common to all of a kit's installations is
replaced by how well the factor is known. Of a kit of which nothing was heard only the facing's factor is known: what
is the kit's own stays as wide as it was. Without signed experience nothing here changes a bit.
"""

from typing import TYPE_CHECKING, Any

import numpy as np

from ..knowledge.experience import FACING_OF_FRICTION, FACING_SPREAD, FACTOR, KIT_OF_CLAMP, KIT_OF_FRICTION, SPREAD
from .kit_columns import Column, KitColumns

if TYPE_CHECKING:
    from ..knowledge.model import Calculation

#: Figures that must hold: less is the danger.
MUST_HOLD = ("capacity_working_nm", "capacity_unbedded_nm")
#: Figures in which more capacity is the danger.
MAY_NOT_EXCEED = ("clutch_cap_nm", "static_capacity_nm", "capacity_high_nm")
CHANCE = "uncertainty.holding_probability"


def adjusted_figure(name: str, column: Column, kits: KitColumns) -> Column:
    """A figure as experience has it."""
    if name not in (*MUST_HOLD, *MAY_NOT_EXCEED):
        return column
    factor = _factor(kits)
    if factor is None:
        return column
    limit = np.minimum if name in MUST_HOLD else np.maximum
    return Column(column.values * limit(factor, 1.0), column.known)


def adjusted_inputs(calculation: "Calculation", columns: dict[str, Any], kits: KitColumns) -> dict[str, Any]:
    """The inputs of a chance of holding as experience has them; those of any other calculation as they are."""
    factor = _factor(kits) if calculation.function == CHANCE else None
    if factor is None:
        return columns
    source = dict(calculation.inputs)["capacity_median"].name
    # What must hold was lowered already; here it takes what is left of the factor.
    left = np.maximum(factor, 1.0) if source in MUST_HOLD else factor
    median, spread = columns["capacity_median"], columns["capacity_spread"]
    known, learned = _known(kits)
    rest = np.maximum(spread.values**2 - _common(kits) ** 2, 0.0)
    return {
        **columns,
        "capacity_median": Column(median.values * left, median.known),
        "capacity_spread": Column(np.where(known, np.sqrt(rest + learned**2), spread.values), spread.known),
    }


def _factor(kits):
    """Factors (1, K), one where experience says nothing; None where it says nothing of any kit."""

    def build():
        column = kits.field(FACTOR)
        if not column.known.any():
            return None
        return np.where(column.known, column.values, 1.0).astype(float)

    return kits.keep("factors of experience", build)


def _known(kits):
    """(whether experience says how well a kit's factor is known, how well)."""
    own, of_facing = kits.field(SPREAD), kits.field(FACING_SPREAD)
    spread = np.where(own.known, _numbers(own), np.hypot(_numbers(of_facing), _common(kits, facing=0.0)))
    return own.known | of_facing.known, spread


def _common(kits, facing=FACING_OF_FRICTION):
    """What the whole spread holds in common to all installations of a kit, before any outcome."""
    friction, clamp = kits.facing("bedded_spread"), kits.table("clamp_spread")
    both = np.where(friction.known & clamp.known, 1.0, 0.0)
    common = (facing + KIT_OF_FRICTION) * _numbers(friction) ** 2 + KIT_OF_CLAMP * _numbers(clamp) ** 2
    return both * np.sqrt(common)


def _numbers(column):
    return np.where(column.known, column.values, 0.0).astype(float)
