"""A signed table of experience, ``experience.yaml`` beside the kits: read, held against its own digest, and hashed.

It is written by ``advisor learn`` and never by hand: a table that says another thing than was signed is refused.
"""

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import field
from pathlib import Path
from typing import Any

from ..errors import InputError, Position
from ..frozen import frozen
from . import canonical, disk, shapes, strict_yaml
from .model import Facing, Record

FILE = "experience.yaml"
#: What a kit's record is given where experience speaks of it; no author writes these.
FACTOR, SPREAD = "experience_factor", "experience_spread"
#: In place of the spread, where only its facing's factor is known: how well that is known.
FACING_SPREAD = "experience_facing_spread"
#: Fields of a kit that are of the shop or the seller, not of what it is.
NOT_TECHNICAL = (
    "title",
    "price",
    "currency",
    "stock",
    "lead_time_days",
    "seller_rating",
    "discontinued",
    "invented",
    "fits",
    "maker",
    "note",
    FACTOR,
    SPREAD,
    FACING_SPREAD,
)
#: Shares of the variance of friction and of clamp load that a facing, and a kit, have in common (judgement). What is
#: left over is one installation's own; together they are today's whole spread: without outcomes nothing changes.
FACING_OF_FRICTION, KIT_OF_FRICTION, KIT_OF_CLAMP = 0.5, 0.2, 0.8


@frozen
class Factor:
    """What a computed capacity is taken times, and how well that is known: a spread common to all of its kind."""

    factor: float
    spread: float


@frozen
class Experience:
    """What was signed: Factor by kit (with the technical hash it was learned of), signer, day, digest of it all.

    ``facings``: Factor by facing, for kits of which nothing was heard; ``heard``: kits of which something was, used or
    not; ``figures``: facing to the hash of the figures it had when it was learned of.
    """

    kits: Mapping[str, Factor]
    technical: Mapping[str, str]
    signed_by: str
    signed_on: str
    digest: str
    facings: Mapping[str, Factor] = field(default_factory=dict)
    heard: frozenset[str] = frozenset()
    figures: Mapping[str, str] = field(default_factory=dict)


def path_beside(kits: str | Path) -> Path | None:
    """Where the table of a folder of kits stands, or None where there is none."""
    place = Path(kits)
    beside = place / FILE if place.is_dir() else place.with_name(FILE)
    return beside if place.is_dir() and beside.is_file() else None


def experience(kits: str | Path) -> Experience | None:
    """The signed table beside a folder of kits, or None; InputError where it is not what was signed."""
    path = path_beside(kits)
    if path is None:
        return None
    root = strict_yaml.load(path, error=InputError)
    shapes.check(root, "experience", InputError)
    data = _plain(root.plain())
    signed = data.pop("signed")
    if canonical.sha256(data) != signed["digest"]:
        raise InputError(
            "this table is not the one that was signed.",
            where=Position(str(path)),
            remedy="Write it anew: advisor learn --sign. It is never edited by hand.",
        )
    return Experience(
        _factors(data["kits"]),
        {kit: row["technical_sha256"] for kit, row in data["kits"].items() if "used" in row},
        signed["by"],
        signed["on"],
        signed["digest"],
        # Tables of before say nothing of a facing's figures: they were signed for their kits alone.
        _factors({name: row for name, row in data["facings"].items() if "facing_sha256" in row}),
        frozenset(kit for kit, row in data["kits"].items() if row["held"] + row["slipped"]),
        {name: row["facing_sha256"] for name, row in data["facings"].items() if "facing_sha256" in row},
    )


def _factors(rows: Mapping[str, Any]) -> dict[str, Factor]:
    used = {name: row["used"] for name, row in rows.items() if "used" in row}
    return {name: Factor(float(row["factor"]), float(row["spread"])) for name, row in used.items()}


def technical_sha256(fields: Mapping[str, object]) -> str:
    """What a kit is known by: a hash of its technical fields, whatever its price, stock and name."""
    return canonical.sha256({name: value for name, value in fields.items() if name not in NOT_TECHNICAL})


def facing_sha256(facing: Facing) -> str:
    """What the figures of a facing are known by: new ones make what was learned against the old ones void."""
    return canonical.sha256([dict(facing.numbers), [list(point) for point in facing.curve]])


def experienced(
    kits: Iterable[Record], signed: Experience, facings: Mapping[str, Facing] | None = None
) -> tuple[Record, ...]:
    """The records, those that experience speaks of with its factor and spread; a kit revised since is another.

    A kit of which nothing was heard takes what was learned of its facing. What was learned against figures that the
    facing (of ``facings``) no longer has is void.
    """
    void = {
        name
        for name, facing in (facings or {}).items()
        if signed.figures.get(name, "") not in ("", facing_sha256(facing))
    }
    with_factors = []
    for kit in kits:
        facing = str(kit.fields.get("facing"))
        factor, common = signed.kits.get(kit.id), signed.facings.get(facing)
        more: dict[str, float] = {}
        if facing in void:
            pass
        elif factor is not None and signed.technical[kit.id] == technical_sha256(kit.fields):
            more = {FACTOR: factor.factor, SPREAD: factor.spread}
        elif common is not None and kit.id not in signed.heard:
            more = {FACTOR: common.factor, FACING_SPREAD: common.spread}
        with_factors.append(dataclasses.replace(kit, fields={**kit.fields, **more}) if more else kit)
    return tuple(with_factors)


def _plain(value: Any) -> Any:
    """Data as it was before it was written: decimals as floats, yes and no as flags."""
    if isinstance(value, dict):
        return {name: _plain(part) for name, part in value.items()}
    if isinstance(value, list):
        return [_plain(part) for part in value]
    if value in ("yes", "no"):
        return value == "yes"
    return value if isinstance(value, str | int) else float(value)


def written(data: Mapping[str, Any], by: str, on: str) -> str:
    """A table as the text of its file, signed; ``data`` as `learning.experience_table` gives it."""
    lines = ["# What this shop's outcomes say of its kits; written by advisor learn, signed by a lead, not by hand."]
    signed = {"by": by, "on": on, "digest": canonical.sha256(data)}
    _write({**data, "signed": signed}, 0, lines)
    return "\n".join(lines) + "\n"


def _write(value: Mapping[str, Any], depth: int, lines: list[str]) -> None:
    for name, part in value.items():
        head = "  " * depth + f"{_text(name)}:"
        if isinstance(part, Mapping) and part:
            lines.append(head)
            _write(part, depth + 1, lines)
        elif isinstance(part, Mapping):
            lines.append(f"{head} {{}}")
        elif isinstance(part, list):
            lines.append(f"{head} [{', '.join(map(_scalar, part))}]")
        else:
            lines.append(f"{head} {_scalar(part)}")


def _scalar(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        text = f"{value:.10f}".rstrip("0")
        return text + "0" if text.endswith(".") else text
    return str(value) if isinstance(value, int) else _text(value)


def _text(value: str) -> str:
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'


def keep(path: str | Path, text: str, *, replace: bool) -> None:
    """Write the file of a table; an existing one only where told."""
    disk.may_write(path, replace=replace)
    disk.write(path, text, replace=replace)
