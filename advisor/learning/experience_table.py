"""A table of experience: what this shop's outcomes say of each kit and facing, and what of it may be used.

Nothing learns by itself: the table is a proposal that a lead signs. It refuses where too few answered, because slips
are reported and holds are not; a factor goes down freely and up only little, and never loosens a safety must.
"""

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from ..knowledge import canonical
from ..mechanics.uncertainty import holding_probability
from .heard import WEAR_SPREAD, Evidence, HeardOf, sources_in
from .posterior import NINE_TENTHS, OUTER_TENTH, Installation, Posterior, records_wanted
from .shared_error import learn_by_source
from .spreads import SpreadParts, spread_parts

SCHEMA = "least-clutch experience 1"
#: Answered share of a cohort below which nothing is learned, and from which silence hides too little to matter.
LEAST_ANSWERED, PLAINLY_ANSWERED = 0.60, 0.80
#: A kit is overrated where its factor lies below that with that probability (judgement).
OVERRATED_BELOW, OVERRATED_SURE = -0.08, 0.90
#: An upward factor: records of the kit, sources of torque, and the share of the common spread it may take.
UP_RECORDS, UP_SOURCES, UP_QUANTILE = 20, 2, 0.6745
#: A facing's own factor goes to kits of which nothing was heard: kits it must have been seen in.
FACING_KITS = 2
#: What is left for one installation and how well its demand was known, where a kit has no record yet.
USUAL_SPREAD = math.hypot(0.084, 0.06)
DIGITS = 4


@dataclass(frozen=True, slots=True)
class ExperienceRow:
    """What is heard of one kit, or of one facing (``kit`` empty). ``key``: what it is known by, a hash.

    ``factor`` and ``physics``: (5, 50, 95 %) of true over computed capacity, learned and without outcomes;
    ``overrated``: the chance that it holds 8 per cent less; ``noticed``: that chance is high enough, in the worst
    corner of silence too; ``wanted``: records more that would tell; ``used``: (factor, spread in common) or None.
    """

    kit: str
    key: str
    facing: str
    sold: int
    answered: int
    held: int
    slipped: int
    kept_out: Mapping[str, int]
    sources: int
    factor: tuple[float, float, float]
    physics: tuple[float, float, float]
    overrated: float
    noticed: bool
    wanted: int
    used: tuple[float, float] | None
    why_unused: str = ""

    @property
    def share(self) -> float:
        """Answered share."""
        return self.answered / self.sold if self.sold else 0.0


@dataclass(frozen=True, slots=True)
class ExperienceTable:
    """The proposal: ``cohorts`` (sold, answered, used), a row for each kit and facing, and what it rests on."""

    until: str
    cohorts: Mapping[str, tuple[int, int, bool]]
    kits: tuple[ExperienceRow, ...]
    facings: tuple[ExperienceRow, ...]
    records_sha256: str
    rules_sha256: str
    refused: str = ""

    def as_data(self) -> dict[str, Any]:
        """As JSON data; its digest is what a lead signs."""
        return {
            "schema": SCHEMA,
            "until": self.until,
            "cohorts": {
                name: {"sold": sold, "answered": answered, "used": used}
                for name, (sold, answered, used) in self.cohorts.items()
            },
            "kits": {row.kit: _row_data(row) for row in self.kits},
            "facings": {row.facing: _row_data(row) for row in self.facings},
            "records_sha256": self.records_sha256,
            "rules_sha256": self.rules_sha256,
        }

    @property
    def digest(self) -> str:
        """SHA-256 of the whole table."""
        return canonical.sha256(self.as_data())


def _row_data(row: ExperienceRow) -> dict[str, Any]:
    data: dict[str, Any] = {
        "facing": row.facing,
        "sold": row.sold,
        "answered": row.answered,
        "held": row.held,
        "slipped": row.slipped,
        "kept_out": dict(sorted(row.kept_out.items())),
        "sources": row.sources,
        "factor": list(row.factor),
        "physics": list(row.physics),
        "overrated": row.overrated,
        "noticed": row.noticed,
    }
    if row.key:
        data["technical_sha256" if row.kit else "facing_sha256"] = row.key
    if row.used is not None:
        data["used"] = {"factor": row.used[0], "spread": row.used[1]}
    return data


def experience_table(evidence: Evidence, rules_sha256: str) -> ExperienceTable:
    """The table that the evidence gives; ``refused`` says why there is none."""
    cohorts = {
        name: (sold, answered, answered >= LEAST_ANSWERED * sold) for name, (sold, answered) in evidence.cohorts.items()
    }
    used = [sale for sale in evidence.sales if cohorts[sale.cohort][2]]
    records = [record for sale in used if (record := _keyed(sale, sale.record)) is not None]
    sha256 = canonical.sha256(
        [[getattr(record_key, name) for name in Installation.__slots__] for record_key in sorted(records)]
    )
    bare = ExperienceTable(evidence.until, cohorts, (), (), sha256, rules_sha256)
    if not records:
        return replace(bare, refused=_why_not(evidence, cohorts))
    by_key: dict[str, list[HeardOf]] = {}
    for sale in used:
        by_key.setdefault(sale.key, []).append(sale)
    kits = {key: sales[0].facing for key, sales in by_key.items()}
    parts = {key: sales[0].parts for key, sales in by_key.items()}
    learned = learn_by_source(records, kits, parts)
    silent = [record for sale in used if not sale.answered and (record := _keyed(sale, sale.as_held)) is not None]
    corner = learn_by_source([*records, *silent], kits, parts) if silent else learned
    share = sum(sale.answered for sale in used) / len(used)
    rows = [
        _row(sales, learned.kits[key], corner.kits[key], parts[key], share, kit=sales[-1].kit, key=key)
        for key, sales in by_key.items()
    ]
    of_facing: dict[str, list[HeardOf]] = {}
    for sale in used:
        of_facing.setdefault(sale.facing, []).append(sale)
    facing_rows = [
        _of_kits(
            _row(
                sales,
                learned.facings[facing],
                corner.facings[facing],
                _facing_parts(sales),
                share,
                key=sales[-1].figures,
            ),
            sales,
        )
        for facing, sales in sorted(of_facing.items())
    ]
    return replace(bare, kits=tuple(sorted(rows, key=lambda row: (row.kit, row.key))), facings=tuple(facing_rows))


def _of_kits(row: ExperienceRow, sales: list[HeardOf]) -> ExperienceRow:
    """A facing's row; not used where what is seen of the facing may be one kit's own."""
    if row.used is None or len({sale.key for sale in sales if sale.record is not None}) >= FACING_KITS:
        return row
    return replace(row, used=None, why_unused=f"seen in fewer than {FACING_KITS} kits")


def _facing_parts(sales: list[HeardOf]) -> SpreadParts:
    return SpreadParts(sales[0].parts.facing, 0.0)


def _keyed(sale: HeardOf, record: Installation | None) -> Installation | None:
    """A record under the key of its kit, so that a revised kit under its old id is another."""
    if record is None:
        return None
    return replace(record, kit=sale.key, facing=sale.facing)


def _why_not(evidence: Evidence, cohorts: Mapping[str, tuple[int, int, bool]]) -> str:
    if not evidence.sales:
        return "no sale is old enough to be asked about"
    low = [name for name, (_, _, used) in cohorts.items() if not used]
    if low:
        return (
            f"fewer than {LEAST_ANSWERED:.0%} answered of those sold in {', '.join(low)}: slips are reported and holds "
            "are not, so what came in by itself says nothing"
        )
    return "nothing that was answered tells of the clutch"


def _row(
    sales: list[HeardOf],
    learned: Posterior,
    corner: Posterior,
    parts: SpreadParts,
    share: float,
    *,
    kit: str = "",
    key: str = "",
) -> ExperienceRow:
    records = [sale.record for sale in sales if sale.record is not None]
    plain = share >= PLAINLY_ANSWERED
    shown = [learned] if plain else [learned, corner]
    low = min(posterior.quantile(0.05) for posterior in shown)
    high = max(posterior.quantile(0.95) for posterior in shown)
    overrated = learned.below(OVERRATED_BELOW)
    noticed = overrated >= OVERRATED_SURE and (plain or corner.below(OVERRATED_BELOW) >= OVERRATED_SURE)
    used, why_unused = _used(records, learned, corner, parts, plain, sources_in(sales), share)
    loads = [record.load for record in records] or [0.0]
    spreads = [record.spread for record in records] or [USUAL_SPREAD]
    return ExperienceRow(
        kit,
        key,
        sales[0].facing,
        len(sales),
        sum(sale.answered for sale in sales),
        sum(not record.slipped for record in records),
        sum(record.slipped for record in records),
        Counter(sale.kept_out for sale in sales if sale.kept_out and sale.answered),
        sources_in(sales),
        (_shown(low), _shown(learned.quantile(0.5)), _shown(high)),
        (_shown(-NINE_TENTHS * parts.common), 1.0, _shown(NINE_TENTHS * parts.common)),
        round(overrated, DIGITS),
        noticed,
        records_wanted(learned.deviation, sum(loads) / len(loads), sum(spreads) / len(spreads)),
        used,
        why_unused,
    )


def _shown(value: float) -> float:
    return round(math.exp(value), DIGITS)


def _used(
    records: list[Installation],
    learned: Posterior,
    corner: Posterior,
    parts: SpreadParts,
    plain: bool,
    sources: int,
    share: float,
) -> tuple[tuple[float, float] | None, str]:
    """((factor, spread of what is common), "") as it may be used, or (None, why not)."""
    if not records:
        return None, "no record of its own"
    if learned.at_the_edge > OUTER_TENTH:
        return None, "what it did lies beyond what was thought possible: look at its records"
    mean, deviation = learned.mean, learned.deviation
    if mean > 0:
        if share < PLAINLY_ANSWERED:
            return None, f"upward only where {PLAINLY_ANSWERED:.0%} answered"
        if len(records) < UP_RECORDS or sources < UP_SOURCES:
            return None, f"upward only on {UP_RECORDS} records from {UP_SOURCES} sources of torque"
        mean = min(mean, UP_QUANTILE * parts.common)
    elif not plain:
        if corner.mean >= 0:
            return None, "downward only where it stands though every silent buyer were content"
        # Between the two the milder: silence may hide holds.
        mean, deviation = (corner.mean, corner.deviation) if corner.mean > mean else (mean, deviation)
    return (_shown(mean), round(deviation, DIGITS)), ""


@dataclass(frozen=True, slots=True)
class PastCase:
    """What a stored decision said of the kit sold on it: figures, and what was asked of it."""

    case: int
    kit: str
    figures: Mapping[str, float]
    required: float
    wished: float | None
    demand: float
    demand_spread: float
    friction: float
    facing: str = ""


def would_change(table: ExperienceTable, past: Iterable[PastCase]) -> list[tuple[PastCase, str]]:
    """Past cases that the table would change, each with what."""
    rows = {row.kit: row for row in table.kits if row.held + row.slipped}
    facings = {row.facing: row for row in table.facings}
    changes = []
    for case in past:
        row = rows.get(case.kit, facings.get(case.facing))
        working, whole = case.figures.get("capacity_working_nm"), case.figures.get("capacity_spread")
        if row is None or row.used is None or working is None or whole is None:
            continue
        factor, common = row.used
        if working >= case.required > working * min(factor, 1.0):
            changes.append((case, "it would no longer count as holding"))
            continue
        clamp = math.sqrt(max(whole**2 - case.friction**2 - WEAR_SPREAD**2, 1e-6))
        parts = spread_parts(case.friction, clamp)
        # Of a facing alone the kit's own part stays as it was.
        common = common if row.kit else math.hypot(common, parts.kit)
        spread = math.hypot(parts.installation(whole), common)
        then, now = (
            float(
                holding_probability(
                    capacity_median=working * times,
                    capacity_spread=of,
                    demand_median=case.demand,
                    demand_spread=case.demand_spread,
                )
            )
            for times, of in ((1.0, whole), (factor, spread))
        )
        if case.wished is not None and (then >= case.wished) != (now >= case.wished):
            changes.append((case, f"its chance of holding goes from {then:.0%} to {now:.0%}"))
    return changes
