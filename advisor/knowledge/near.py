"""The nearest name: what somebody probably meant who wrote one that there is not."""

from collections.abc import Iterable
from typing import Any

#: Letters looked at: nobody's name for anything is longer.
LONGEST = 80


def nearest(text: object, names: Iterable, most: int = 1, alike: float = 0.6) -> list:
    """At most ``most`` of the names that resemble ``text``, the nearest first, whatever the case of their letters.

    ``alike``: how much of both must agree, 0 to 1.

    >>> nearest("Engine_Tork", ["engine_power", "engine_torque", "budget"])
    ['engine_torque']
    """
    import difflib  # only where somebody wrote what there is not

    folded: dict[str, Any] = {}
    for name in names:
        folded.setdefault(str(name).casefold(), name)
    close = difflib.get_close_matches(str(text)[:LONGEST].casefold(), folded, most, alike)
    return [folded[name] for name in close]


def did_you_mean(text: object, names: Iterable, otherwise: str | None = None) -> str:
    """A remedy: the nearest name, else ``otherwise``; where that is not given the whole short list."""
    names = list(names)
    near = nearest(text, names)
    if near:
        return f"Did you mean {near[0]}?"
    if otherwise is not None:
        return otherwise
    return f"Known are {', '.join(map(str, names))}." if 0 < len(names) <= 12 else "Check the spelling."


def nearest_are(text: object, names: Iterable, otherwise: str, alike: float = 0.6) -> str:
    """A remedy: the three nearest names, else ``otherwise``."""
    near = nearest(text, names, 3, alike)
    return f"Nearest: {', '.join(map(str, near))}." if near else otherwise
