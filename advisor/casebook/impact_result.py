"""A row of an impact run: what the new rules would have told in one stored case, and how that was worked out."""

import dataclasses
import json
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

UNCHANGED, REASONS, PICK, NO_KIT, ASKS, LOST = (
    "unchanged",
    "same pick, other reasons",
    "other pick",
    "newly no kit",
    "newly needs an answer",
    "cannot be replayed",
)
CLASSES = (UNCHANGED, REASONS, PICK, NO_KIT, ASKS, LOST)

#: How a row was worked out: told as it was since no change touches it; by the bulk evaluator; by both engines as well,
#: which told the same.
AS_TOLD, BULK, ENGINES = "no change touches it", "bulk evaluator", "both engines"

#: What a row says of either side of a case that comes out otherwise.
SIDE = ("outcome", "pick", "required", "cautions", "asks")


@dataclass
class Result:
    """What the new rules would have told in one stored case: a row of a run.

    ``digest``: of the decision it is about. ``set_up``: only parts, steps or cautions differ. ``program``: the stored
    rules give it too, so the program made the difference. Prices in ``currency``, margins as ratios; None where there
    is none. ``in_play``: names of the changes that came into play; where none did and yet it comes out differently,
    those that would with another answer. ``why``: of a case that cannot be replayed. ``old`` and ``new``: where it
    comes out differently, `SIDE` as told and under the new rules. ``worked_out``: `AS_TOLD`, `BULK` or
    `ENGINES`. ``sides``: both decisions in full and their difference, once somebody has looked (`impact_sides`).
    ``told_on``: the day of the decision. ``sold``: the kit sold and not returned, on the day ``sold_on``; ``ring``: the
    safety musts that it fails under the new rules, as `ringing.reasons` has them.
    """

    digest: str
    number: int
    kind: str
    currency: str | None = None
    set_up: bool = False
    program: bool = False
    price_old: float | None = None
    price_new: float | None = None
    margin_old: float | None = None
    margin_new: float | None = None
    in_play: list[str] = field(default_factory=list)
    why: str = ""
    old: dict[str, Any] | None = None
    new: dict[str, Any] | None = None
    worked_out: str = AS_TOLD
    sides: dict[str, Any] | None = None
    told_on: str = ""
    sold: str | None = None
    sold_on: str | None = None
    ring: dict[str, Any] = field(default_factory=dict)

    def plain(self) -> dict:
        """As JSON data."""
        data = {name: getattr(self, name) for name in COLUMNS}
        return data | {"class": data.pop("kind"), "decision": data.pop("digest")}

    def row(self) -> list:
        """Values in the order of the fields, as they are stored."""
        stored: dict[str, Any] = {name: int(getattr(self, name)) for name in _FLAGS}
        stored |= {name: _as_json(getattr(self, name)) for name in _DATA}
        stored["sides"] = _packed(self.sides)
        return [stored[name] if name in stored else getattr(self, name) for name in COLUMNS]

    @classmethod
    def of_row(cls, row: Iterable) -> "Result":
        """The result of a stored row."""
        stored = dict(zip(COLUMNS, row))
        stored |= {name: bool(stored[name]) for name in _FLAGS}
        stored |= {name: json.loads(stored[name]) for name in _DATA}
        return cls(**stored | {"sides": _unpacked(stored["sides"])})


COLUMNS = tuple(part.name for part in dataclasses.fields(Result))
_FLAGS = ("set_up", "program")
#: Columns that hold JSON; the difference of two records, which is long, is packed.
_DATA = ("in_play", "old", "new", "ring")


def _as_json(data: Any) -> str:
    return json.dumps(data) if data else _NOTHING[type(data)]


#: What most rows hold there.
_NOTHING = {type(None): "null", list: "[]", dict: "{}"}


def _packed(data: Mapping[str, Any] | None) -> bytes | None:
    return None if data is None else zlib.compress(json.dumps(data, ensure_ascii=False).encode())


def _unpacked(body: bytes | None) -> dict[str, Any] | None:
    return None if body is None else json.loads(zlib.decompress(body))
