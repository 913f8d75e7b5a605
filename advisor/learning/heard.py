"""From a casebook to what may be learned from: one record an installation, and what is kept out, with the reason.

Learned is from cohorts alone, sales of one year whose time to be asked has come; never from complaints that came in,
because slips are reported and holds are not. A kit is known by what it is technically, not by its price or its name.
"""

import datetime
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from ..casebook import kept_files
from ..casebook.afterwards import CAPACITY_CAUSES, DUE_AFTER, TELLING, Aftermath, every_aftermath
from ..casebook.entries import Entry
from ..deciding.decision_record import DecisionRecord
from ..knowledge.experience import facing_sha256, technical_sha256
from ..knowledge.model import Facing
from .posterior import BOOKED_WRONG, BOOKED_WRONG_UNRECORDED, Installation
from .spreads import SpreadParts, spread_parts

if TYPE_CHECKING:
    from ..casebook.book import Casebook

#: How well a torque is known, by where it was measured: spreads of ln torque (judgement, as the case's own routes).
TORQUE_SPREAD = {"flywheel": 0.03, "wheels": 0.06, "estimated": 0.12}
#: The share of the variance of a named source's torques that they have in common, its bed's own error (judgement: what
#: one bed repeats to within a day or two is a good deal better than how far two beds differ).
SHARED_BY_SOURCE = 2 / 3
#: Spreads of wear, and of the clamp load of a kit whose own is not on record, as figures take them.
WEAR_SPREAD, SOLD_CLAMP_SPREAD = 0.05, 0.07


@dataclass(frozen=True, slots=True)
class HeardOf:
    """One sale: its kit (``key``: technical hash, ``kit``: id), ``cohort``, and the record it makes or why none.

    ``as_held``: the record it would make had it held at the torque it was sold for; for what silence could hide.
    ``figures``: hash of the figures its facing had when it was decided.
    """

    case: int
    kit: str
    key: str
    facing: str
    cohort: str
    answered: bool
    record: Installation | None
    kept_out: str
    as_held: Installation | None
    source: str
    parts: SpreadParts
    fitter: str = ""
    figures: str = ""


@dataclass(frozen=True, slots=True)
class Evidence:
    """Everything heard of the sales of a casebook that were to be asked about by a day."""

    until: str
    sales: tuple[HeardOf, ...]
    unread: tuple[str, ...] = field(default=())

    @property
    def cohorts(self) -> dict[str, tuple[int, int]]:
        """Cohort -> (sold, answered)."""
        by_cohort: dict[str, tuple[int, int]] = {}
        for sale in self.sales:
            sold, answered = by_cohort.get(sale.cohort, (0, 0))
            by_cohort[sale.cohort] = sold + 1, answered + sale.answered
        return dict(sorted(by_cohort.items()))


def evidence_of(book: "Casebook", until: str) -> Evidence:
    """What is heard of every sale whose first asking was due by a day, as YYYY-MM-DD."""
    sales, unread = [], []
    histories: dict[int, dict[int, Entry]] = {}
    contents = kept_files.Contents(book.store)
    for heard in every_aftermath(book):
        fitted = datetime.date.fromisoformat(heard.fitted_on)
        if (fitted + datetime.timedelta(days=DUE_AFTER["bedded"])).isoformat() > until:
            continue
        if heard.case not in histories:
            histories[heard.case] = {entry.number: entry for entry in book.history(heard.case)}
        entries = histories[heard.case]
        decision = entries[heard.sale.entry.body["of"]]
        content = contents.of(entries[decision.body["of"]])
        fields = {kit.id: kit.fields for kit in content.kits}.get(heard.sale.kit)
        facing = content.knowledge.facings.get(str(fields.get("facing"))) if fields else None
        if fields is None or facing is None:
            unread.append(f"case {heard.case}: {heard.sale.kit} is not in its knowledge")
            continue
        sales.append(_heard(heard, book.record(decision), fields, facing))
    return Evidence(until, _by_last_figures(sorted(sales, key=lambda sale: (sale.case, sale.kit))), tuple(unread))


def _by_last_figures(sales: list[HeardOf]) -> tuple[HeardOf, ...]:
    """Sales decided with other figures of their facing than the last one are kept out: that was another physics."""
    last = {sale.facing: sale.figures for sale in sales}
    return tuple(
        sale
        if sale.figures == last[sale.facing]
        else replace(sale, record=None, as_held=None, kept_out=sale.kept_out or "other figures of its facing then")
        for sale in sales
    )


def _heard(heard: Aftermath, record: DecisionRecord, fields: Mapping[str, Any], facing: Facing) -> HeardOf:
    friction = facing.numbers["bedded_spread"]
    figures = record.kits[heard.sale.kit].figures
    whole = figures.get("capacity_spread")
    fade = figures.get("fade_spread", 0.0)
    clamp = math.sqrt(max(whole**2 - friction**2 - WEAR_SPREAD**2 - fade**2, 1e-6)) if whole else SOLD_CLAMP_SPREAD
    parts = spread_parts(friction, clamp)
    telling = [entry for entry in heard.outcomes if entry.body["result"] in TELLING]
    heard_of, reason = _record(heard, telling, record, figures, parts)
    return HeardOf(
        heard.case,
        heard.sale.kit,
        technical_sha256(fields),
        str(fields["facing"]),
        heard.fitted_on[:4],
        bool(telling),
        heard_of,
        reason,
        _installation(heard, None, record, figures, parts),
        (telling[-1].body["source"] or "") if telling else "",
        parts,
        (heard.sale.fitting.body["fitter"] or "") if heard.sale.fitting else "",
        facing_sha256(facing),
    )


def _record(
    heard: Aftermath,
    telling: list[Entry],
    record: DecisionRecord,
    figures: Mapping[str, float],
    parts: SpreadParts,
) -> tuple[Installation | None, str]:
    """(the record an installation makes, or None; why none)."""
    if not telling:
        return None, "not answered"
    last = telling[-1]
    if any(entry.body["fitting"] == "known_bad" for entry in telling):
        return None, "fitting known bad"
    if last.body["result"] == "slipped":
        if last.body["cause"] is None:
            return None, "slipped, cause not found"
        if last.body["cause"] not in CAPACITY_CAUSES:
            return None, f"slipped from {last.body['cause'].replace('_', ' ')}"
        if last.body["cause"] == "demand_above_stated" and last.body["torque"] is None:
            return None, "slipped above the torque stated, nobody measured it"
    installed = _installation(heard, last, record, figures, parts)
    if installed is None:
        return None, "its load or its capacity cannot be worked out"
    loads = [
        installation.load
        for entry in telling[:-1]
        if entry.body["result"] == "held"
        for installation in (_installation(heard, entry, record, figures, parts),)
        if installation is not None and installation.load < installed.load
    ]
    return (replace(installed, held_before=max(loads)) if installed.slipped and loads else installed), ""


def _installation(
    heard: Aftermath,
    outcome: Entry | None,
    record: DecisionRecord,
    figures: Mapping[str, float],
    parts: SpreadParts,
) -> Installation | None:
    """The record of one outcome; of None, that it held at what it was sold for."""
    body = outcome.body if outcome is not None else None
    state = body["state"] if body else "bedded"
    if body and body["cause"] == "not_bedded":
        state = "new"
    capacity, whole = _capacity(heard, body, figures, state)
    demand, spread = _demand(body, record)
    if not capacity or not whole or not demand or whole**2 <= parts.common**2:
        return None
    wrong = BOOKED_WRONG if body and body["fitting"] == "measured" else BOOKED_WRONG_UNRECORDED
    source = (body["source"] or "") if body and body["torque"] is not None else ""
    return Installation(
        f"{heard.case:09d}-{heard.sale.entry.digest[:16]}",
        heard.sale.kit,
        "",
        math.log(demand / capacity),
        math.hypot(parts.installation(whole), spread),
        bool(body and body["result"] == "slipped"),
        wrong,
        source=source,
        shared=spread * math.sqrt(SHARED_BY_SOURCE) if source else 0.0,
    )


def _capacity(
    heard: Aftermath, body: Mapping[str, Any] | None, figures: Mapping[str, float], state: str
) -> tuple[float | None, float | None]:
    """(computed median in the state it was tried in, its whole spread)."""
    if state == "new":
        return figures.get("capacity_new_nm"), figures.get("capacity_spread_new")
    whole = figures.get("capacity_spread")
    if state == "hot":
        return figures.get("capacity_working_nm"), whole
    new, worn, life = (figures.get(name) for name in ("capacity_bedded_nm", "capacity_worn_nm", "life_km"))
    if new is None or worn is None:
        return new, whole
    fitted = heard.sale.fitting.body["km"] if heard.sale.fitting else None
    run = body["km"] - fitted if body and body["km"] is not None and fitted is not None else None
    # Where nobody read the kilometres it is taken half way through its life.
    share = min(max(run / life, 0.0), 1.0) if run is not None and life else 0.5
    return new + share * (worn - new), whole


def _demand(body: Mapping[str, Any] | None, record: DecisionRecord) -> tuple[float | None, float]:
    """(torque asked of it [N m], its spread): as measured since, else as stated at the sale."""
    if body and body["torque"] is not None:
        torque, at = body["torque"], body["torque_at"]
        loss = record.value("wheel_loss_share")
        if at == "wheels" and isinstance(loss, int | float):
            torque = torque / (1 - loss)
        return torque, TORQUE_SPREAD[at]
    stated, spread = record.value("demand_torque"), record.value("demand_spread")
    return (
        float(stated) if isinstance(stated, int | float) else None,
        float(spread) if isinstance(spread, int | float) else TORQUE_SPREAD["estimated"],
    )


def sources_in(sales: Iterable[HeardOf]) -> int:
    """How many sources of torque stand behind records: named ones, and each unnamed case for itself."""
    return len({sale.source or f"case {sale.case}" for sale in sales if sale.record is not None})
