"""The arguments a figure's mechanics function was called with, taken from the decision record and the kit's record.

For courses and shares that the record holds no numbers of: a plot draws them by the same functions from the same
inputs, and prints none of them.
"""

from typing import Any

from ...knowledge.quantities import convert
from ..sheets.page import Page


def arguments(page: Page, figure: str, kit: str) -> dict[str, Any] | None:
    """Keyword -> value in the function's unit, for one figure of one kit; None where an input is not known."""
    step = page.provenance.figure_steps[figure]
    wanted, values = dict(step.units), {}
    for keyword, given in step.inputs:
        used = page.provenance.input_used(given, kit)
        value, unit = page.provenance.input_value(used, kit), wanted.get(keyword, "any")
        if value is None:
            return None
        bare = not isinstance(value, float) or "any" in (unit, used.unit) or unit == used.unit
        values[keyword] = value if bare else convert(value, used.unit or "1", unit)
    return values
