"""How often what was sold slipped or came back, by kit, facing, fitter and rule, each with its 90 % interval.

A rate is of what was heard: beside it stands how many answered, because who is content does not call.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ..casebook import kept_files
from ..casebook.afterwards import TELLING, every_aftermath

if TYPE_CHECKING:
    from ..casebook.book import Casebook

#: Of a normal distribution nine in ten lie within so many deviations.
NINE_IN_TEN = 1.6448536269514722
GROUPS = ("kit", "facing", "fitter", "rule")
NOT_WRITTEN = "not written down"
#: The share that should have answered before rates are believed; judgement, no source.
ENOUGH_HEARD = 0.6


@dataclass(frozen=True, slots=True)
class SoldAndHeard:
    """One sale: what it was, and what became of it; ``rules``: those that fired in the decision it was sold on."""

    kit: str
    facing: str
    fitter: str
    rules: frozenset[str]
    answered: bool
    slipped: bool
    returned: bool

    @property
    def failed(self) -> bool:
        """Did it slip or come back?"""
        return self.slipped or self.returned


@dataclass(frozen=True, slots=True)
class Rate:
    """``count`` of ``of``, with its interval."""

    count: int
    of: int
    low: float = field(default=0.0)
    high: float = field(default=1.0)

    @property
    def share(self) -> float:
        """Count over of."""
        return self.count / self.of if self.of else 0.0


@dataclass(frozen=True, slots=True)
class GroupRates:
    """What was heard of one kit, facing, fitter or rule."""

    name: str
    sold: int
    answered: int
    slips: Rate
    returns: Rate


def rate(count: int, of: int) -> Rate:
    """A share with its score interval (Wilson 1927): it stays within nought and one, and holds for few as well.

    >>> found = rate(0, 10)
    >>> round(found.low, 3), round(found.high, 3)
    (0.0, 0.213)
    """
    if of == 0:
        return Rate(0, 0)
    share, z = count / of, NINE_IN_TEN
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    half = z * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    return Rate(count, of, max(0.0, middle - half), min(1.0, middle + half))


def sold_and_heard(book: "Casebook") -> list[SoldAndHeard]:
    """Every sale of a casebook with what was heard of it."""
    sales_heard, contents = [], kept_files.Contents(book.store)
    for heard in every_aftermath(book):
        entries = {entry.number: entry for entry in book.history(heard.case)}
        decision = entries[heard.sale.entry.body["of"]]
        record = book.record(decision)
        kits = contents.of(entries[decision.body["of"]]).kits
        fields: Mapping[str, object] = next((kit.fields for kit in kits if kit.id == heard.sale.kit), {})
        results = {entry.body["result"] for entry in heard.outcomes}
        fitting = heard.sale.fitting
        sales_heard.append(
            SoldAndHeard(
                heard.sale.kit,
                str(fields.get("facing", NOT_WRITTEN)),
                str(fitting.body["fitter"] or NOT_WRITTEN) if fitting else NOT_WRITTEN,
                frozenset(firing.rule for firing in record.firings.values() if firing.kind == "rule"),
                bool(results & set(TELLING)),
                "slipped" in results,
                heard.sale.returned is not None or "returned" in results,
            )
        )
    return sales_heard


def rates_by(group: str, sales: Iterable[SoldAndHeard]) -> list[GroupRates]:
    """What was heard by one of GROUPS, the most sold first; for rules, those that part failures from the rest first."""
    sales = list(sales)
    members: dict[str, list[SoldAndHeard]] = {}
    for sale in sales:
        names = sorted(sale.rules) if group == "rule" else [str(getattr(sale, group))]
        for name in names:
            members.setdefault(name, []).append(sale)
    rates = [_rates(name, own) for name, own in members.items()]
    if group != "rule":
        return sorted(rates, key=lambda rate: (-rate.sold, rate.name))
    return sorted(
        (rate for rate in rates if rate.sold < len(sales)),
        key=lambda rate: (-max(rate.slips.low, rate.returns.low), rate.name),
    )


def all_rates(sales: Iterable[SoldAndHeard]) -> GroupRates:
    """What was heard of all together."""
    return _rates("all", list(sales))


def _rates(name: str, own: list[SoldAndHeard]) -> GroupRates:
    answered = [sale for sale in own if sale.answered]
    return GroupRates(
        name,
        len(own),
        len(answered),
        rate(sum(sale.slipped for sale in answered), len(answered)),
        rate(sum(sale.returned for sale in own), len(own)),
    )


def in_words(row: GroupRates) -> str:
    """What was heard, as a line."""
    slips, returns = row.slips, row.returns
    slipped = (
        f"slipped {slips.count} of {slips.of} that answered, {slips.share:.0%} ({slips.low:.0%} to {slips.high:.0%})"
        if slips.of
        else "nobody answered"
    )
    back = f"came back {returns.count}, {returns.share:.0%} ({returns.low:.0%} to {returns.high:.0%})"
    return f"{row.name}: {row.sold} sold; {slipped}; {back}"


def too_few_heard(everything: GroupRates) -> str:
    """What to say where so few answered that the rates mislead; else empty."""
    if everything.answered >= ENOUGH_HEARD * everything.sold:
        return ""
    return (
        f"Only {everything.answered} of {everything.sold} were heard of: slips are reported and holds are "
        "not, so these rates are too high. Ask: advisor case due."
    )


def picture(title: str, rows: Iterable[GroupRates]) -> str:
    """Slip rates as dots with their intervals: an SVG that is the same byte for byte, readable in grey."""
    from xml.sax.saxutils import escape

    rows = list(rows)
    left, width, step, top = 190, 300, 22, 46
    height = top + step * len(rows) + 34
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {left + width + 90} {height}" role="img" '
        f'font-family="DejaVu Sans, sans-serif" font-size="11">',
        f"<title>{escape(title)}</title>",
        f'<text x="10" y="18" font-size="13">{escape(title)}</text>',
        '<text x="10" y="34" fill="#595959">share slipped of those that answered, nine in ten intervals</text>',
    ]
    bottom = top + step * len(rows)
    for tenth in range(0, 11, 2):
        x = left + width * tenth / 10
        lines.append(f'<line x1="{x:.1f}" y1="{top}" x2="{x:.1f}" y2="{bottom}" stroke="#d9d9d9"/>')
        lines.append(f'<text x="{x:.1f}" y="{bottom + 16}" text-anchor="middle" fill="#595959">{tenth * 10} %</text>')
    for place, row in enumerate(rows):
        y = top + step * place + step / 2
        name = escape(row.name if len(row.name) <= 28 else row.name[:27] + "…")
        lines.append(f'<text x="{left - 8}" y="{y + 4:.1f}" text-anchor="end">{name}</text>')
        if row.slips.of:
            low, high, at = (left + width * part for part in (row.slips.low, row.slips.high, row.slips.share))
            lines.append(
                f'<line x1="{low:.1f}" y1="{y:.1f}" x2="{high:.1f}" y2="{y:.1f}" stroke="#000" stroke-width="2"/>'
            )
            lines.append(f'<circle cx="{at:.1f}" cy="{y:.1f}" r="4" fill="#000"/>')
        slip_text = f"{row.slips.count} of {row.slips.of}"
        lines.append(f'<text x="{left + width + 8}" y="{y + 4:.1f}" fill="#595959">{slip_text}</text>')
    return "\n".join([*lines, "</svg>"]) + "\n"
