"""Limits a fitter measures against where the makers say nothing else; read from ``sheets/limits.yaml``."""

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from ..knowledge import quantities, strict_yaml

FILE = Path(__file__).parent / "sheets" / "limits.yaml"


@dataclass(frozen=True, slots=True)
class Limit:
    """Ends ``low`` and ``high`` in ``unit``; ``basis`` says where they come from."""

    name: str
    low: float
    high: float
    unit: str
    basis: str


@lru_cache(maxsize=1)
def limits():
    """Name -> `Limit`."""
    found = {}
    for name, node in strict_yaml.load(FILE)["limits"].items():
        given = node.plain()
        unit = "mm" if isinstance(given["high"], str) else "1"
        low, high = (quantities.read(given[end], unit) for end in ("low", "high"))
        found[name] = Limit(name, low, high, unit, given["basis"])
    return found
