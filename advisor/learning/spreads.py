"""Today's uncertainty of a capacity taken apart: what a facing shares, what a kit shares, and the rest.

    facing^2 = 0.5 friction^2 ;   kit^2 = 0.8 clamp^2 + 0.2 friction^2 ;   the rest: what the whole leaves

The shares are judgement; the sum is exact, so that without outcomes nothing changes.
"""

import math
from dataclasses import dataclass

from ..knowledge.experience import FACING_OF_FRICTION, KIT_OF_CLAMP, KIT_OF_FRICTION


@dataclass(frozen=True, slots=True)
class SpreadParts:
    """Standard deviations of ln capacity: common to a ``facing``, and to a ``kit``."""

    facing: float
    kit: float

    @property
    def common(self) -> float:
        """What all installations of a kit have in common."""
        return math.hypot(self.facing, self.kit)

    def installation(self, whole: float) -> float:
        """What is left for one installation of a whole spread; ValueError where the parts exceed it."""
        rest = whole**2 - self.facing**2 - self.kit**2
        if rest <= 0:
            raise ValueError(f"a whole spread of {whole} is less than its parts")
        return math.sqrt(rest)


def spread_parts(friction: float, clamp: float) -> SpreadParts:
    """The parts of a capacity whose friction and clamp load are known within these spreads.

    >>> parts = spread_parts(0.11, 0.07)
    >>> round(parts.facing, 3), round(parts.kit, 3), round(parts.installation(math.hypot(0.11, 0.07, 0.05)), 3)
    (0.078, 0.08, 0.084)
    """
    facing = math.sqrt(FACING_OF_FRICTION) * friction
    kit = math.sqrt(KIT_OF_CLAMP * clamp**2 + KIT_OF_FRICTION * friction**2)
    return SpreadParts(facing, kit)
