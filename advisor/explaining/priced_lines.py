"""What a kit is bought with, line by line: what is certain, what depends on what is found, and what it comes to.

Each part stands there once, whatever asks for it: a part that must be bought is not told again among those that may be
needed. Sums are those of the record's own prices, rounded to cents.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from ..deciding.recorded_setup import SetUpItem
from ..frozen import frozen
from ..knowledge.sentences import joined
from ..knowledge.wording import Wording
from .worded import WordedRecord


@frozen
class PricedLine:
    """One thing to buy. ``part``: id of a kit or part on file, or None; ``price`` None where none is on file.

    ``days``: until it is there, 0 from the shelf, None not known; ``why``: what the record says about it; ``likely``:
    it depends on what is found, and is needed as a rule.
    """

    kind: str
    title: str
    part: str | None
    price: float | None
    days: float | None
    why: str = ""
    likely: bool = False


@frozen
class PricedLines:
    """What a kit is bought with: ``certain`` lines, those that ``depend`` on what is found, and their currency."""

    certain: tuple[PricedLine, ...]
    depend: tuple[PricedLine, ...]
    currency: str

    @property
    def total(self) -> float | None:
        """What is certain comes to this; None where the kit has no price."""
        return None if self.certain[0].price is None else _sum(self.certain)

    @property
    def expected(self) -> float | None:
        """What it likely comes to: what is certain and what is needed as a rule."""
        return None if self.total is None else _sum((*self.certain, *(line for line in self.depend if line.likely)))

    @property
    def most(self) -> float | None:
        """What it comes to where everything that depends is needed as well."""
        return None if self.total is None else _sum((*self.certain, *self.depend))

    @property
    def days(self) -> float | None:
        """Days until all that is certain is there; None where one of them is not known."""
        known = [line.days for line in self.certain]
        return None if None in known else max(day for day in known if day is not None)

    @property
    def late(self) -> tuple[PricedLine, ...]:
        """Lines that are certain and not on the shelf."""
        return tuple(line for line in self.certain if line.days != 0)


def _sum(lines: Sequence[PricedLine]):
    return round(sum(line.price for line in lines if line.price is not None), 2)


def priced_lines(worded: WordedRecord) -> PricedLines:
    """The `PricedLines` of the pick."""
    pick = worded.picked
    certain = [kit_line(worded.wording, pick)]
    setup = worded.record.setup.parts
    for item in setup:
        if item.level == "required" and not _held(item, certain):
            certain.append(_of_item(item, worded.wording))
    depend: list[PricedLine] = []
    for item in setup:
        if item.level == "check" and not _held(item, [*certain, *depend]):
            depend.append(_of_item(item, worded.wording))
    return PricedLines(tuple(certain), tuple(depend), currency(worded.wording, pick))


def lines_of(worded: WordedRecord, kit: str) -> PricedLines:
    """The `PricedLines` of any passing kit, as far as the record holds them: what is certain."""
    if kit == worded.pick:
        return priced_lines(worded)
    certain = [kit_line(worded.wording, kit)]
    for added in worded.kits[kit].adds:
        kind = _kind(added.part, worded.wording) or added.item.replace("-", " ")
        if any((line.part == added.part and added.part) or line.kind == kind for line in certain):
            continue
        title = worded.wording.title(added.part) if added.part else kind
        days = delivery(_fields(added.part, worded.wording)) if added.part else None
        certain.append(PricedLine(kind, title, added.part, added.price, days))
    return PricedLines(tuple(certain), (), currency(worded.wording, kit))


def kit_line(wording: Wording, kit: str) -> PricedLine:
    """The line of a kit itself."""
    fields = _fields(kit, wording)
    return PricedLine("kit", wording.title(kit), kit, fields.get("price"), delivery(fields))


def currency(wording: Wording, kit: str) -> str:
    """The currency of a kit's price."""
    return str(_fields(kit, wording).get("currency") or wording.currency)


def delivery(fields: Mapping[str, Any]) -> float | None:
    """Days until something on file is there: 0 from the shelf, None where nobody says."""
    if (fields.get("stock") or 0) > 0:
        return 0.0
    days = fields.get("lead_time_days")
    return None if days is None else float(days)


def there(days: float | None) -> str:
    """A delivery in words: "on the shelf", "there in 9 days"."""
    if days is None:
        return "to be ordered, days not known"
    return "on the shelf" if days == 0 else f"there in {days:.0f} days"


def all_there(lines: PricedLines) -> str:
    """The delivery of all that is certain, and what it waits for."""
    if not lines.late:
        return "all on the shelf" if len(lines.certain) > 1 else "on the shelf"
    waits = joined([line.kind if line.kind != "kit" else "kit" for line in lines.late])
    if lines.days is None:
        unknown = joined([line.kind for line in lines.late if line.days is None])
        return f"to be ordered: {waits} (ask how long: {unknown})"
    return f"there in {lines.days:.0f} days (the {waits})"


def _held(item: SetUpItem, lines: Sequence[PricedLine]):
    """Whether a part stands among the lines: itself, or another of its kind."""
    kind = item.kind.replace("_", " ")
    return any((item.part is not None and line.part == item.part) or line.kind == kind for line in lines)


def _of_item(item: SetUpItem, wording: Wording):
    kind = item.kind.replace("_", " ")
    fields: Mapping[str, Any] = _fields(item.part, wording) if item.part else {}
    days = delivery({**fields, "stock": item.stock}) if item.part else None
    return PricedLine(kind, item.title or kind, item.part, item.price, days, item.text, item.likely)


def sums_told(lines: PricedLines, wording: Wording) -> str:
    """What it comes to, in words: "319.00 EUR for certain, likely 379.50 EUR, at most 437.50 EUR".

    "its price is not known" where the kit has none.
    """
    if lines.total is None or lines.expected is None or lines.most is None:
        return "its price is not known"
    total, expected, most = (wording.money(part, lines.currency) for part in (lines.total, lines.expected, lines.most))
    unpriced = any(line.price is None for line in lines.depend)
    if lines.most == lines.total:
        return f"{total} in all" + (", what may turn up still to be priced" if unpriced else "")
    if lines.expected == lines.total:
        return f"{total} in all, up to {most} with what may turn up"
    beyond = f", at most {most}" if lines.most > lines.expected else ""
    return f"{total} for certain, likely {expected}{beyond}"


def _kind(part: str | None, wording: Wording):
    return str(_fields(part, wording).get("kind", "")).replace("_", " ") if part else ""


def _fields(record_id: str | None, wording: Wording) -> Mapping[str, Any]:
    record = wording.records.get(record_id) if record_id else None
    return record.fields if record is not None else {}
