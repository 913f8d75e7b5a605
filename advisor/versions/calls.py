"""Whom to ring when rules change or a kit is withdrawn, and who would be told something else: two lists.

Names and phone numbers are read out of the casebook, where they stand erasable, only for whoever asks for people; they
are kept nowhere else.
"""

import csv
import dataclasses
import datetime
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..casebook.attributing import Attributed
from ..casebook.impact_result import ASKS, NO_KIT, PICK, Result
from ..deciding.outcomes import IN_WORDS
from ..knowledge.sentences import capital, joined, lower_first
from ..knowledge.signs import cell

if TYPE_CHECKING:
    from ..casebook.book import Casebook

#: What stands where nobody wrote a name or number down, and where it was erased.
NOT_THERE = "not written down"
COLUMNS = ("list", "case", "date", "name", "phone", "car", "kit", "becomes", "why", "say")


@dataclass(frozen=True, slots=True)
class Call:
    """A buyer to be rung.

    ``called``: what people call the case; ``on``: the day of the sale; ``reasons``: what the kit fails, in words;
    ``say``: what to say.

    ``known``: all of it was known when the kit was sold. ``becomes``: what would be sold today, where that is something
    else, and ``why``: the changed rules that account for that. ``name`` and ``phone``: None where nobody asked for
    people.
    """

    case: int
    called: str
    on: str
    kit: str
    car: str
    reasons: tuple[str, ...]
    say: str
    known: bool = False
    becomes: str = ""
    why: str = ""
    name: str | None = None
    phone: str | None = None


@dataclass(frozen=True, slots=True)
class Otherwise:
    """A caller who would be told something else: ``on``: the day of the sale, or of the advice where nothing was sold.

    ``why``: the changed rules that account for it, in words.
    """

    case: int
    called: str
    on: str
    sold: bool
    was: str
    becomes: str
    why: str
    price: float | None = None
    name: str | None = None
    phone: str | None = None


@dataclass(frozen=True, slots=True)
class Lists:
    """Both lists: to ``ring`` first, then those told ``otherwise``."""

    ring: tuple[Call, ...]
    otherwise: tuple[Otherwise, ...]

    def data(self) -> dict[str, list[dict[str, Any]]]:
        """As JSON data."""
        return {
            "ring": [dataclasses.asdict(call) for call in self.ring],
            "otherwise": [dataclasses.asdict(other) for other in self.otherwise],
        }


def caller(book: "Casebook", number: int, people: bool) -> tuple[str | None, str | None]:
    """(name, phone) of the caller of a case, the last ones written down; None where people were not asked for."""
    if not people:
        return None, None
    kept = list(book.private_of(number).values())
    name, phone = (
        next((entry[part] for entry in reversed(kept) if part in entry), NOT_THERE) for part in ("name", "phone")
    )
    return name, phone


def spoken_day(day: str) -> str:
    """ "2 March 2026" """
    on = datetime.date.fromisoformat(day)
    return f"{on.day} {on.strftime('%B')} {on.year}"


def ring_words(result: Result) -> tuple[tuple[str, ...], str, bool]:
    """(what the kit fails in words, what to say, whether all of it was known at the sale) of a result to ring."""
    reasons = result.ring["reasons"]
    fails = tuple(
        f"{capital(reason['demand'])}, {reason['has']}" + (" (known at the sale)" if reason["already"] else "")
        for reason in reasons
    )
    whose = f" for your {result.ring['car']}" if result.ring["car"] else ""
    on = spoken_day(result.sold_on) if result.sold_on else "that day"
    more = "" if len(reasons) == 1 else f" There are {len(reasons)} such points in all."
    say = (
        f"On {on} we sold you the {result.ring['kit']}{whose}. We have changed one of our safety limits since, and it "
        f"no longer meets it: {lower_first(reasons[0]['demand'])}, {reasons[0]['has']}. {reasons[0]['because']}{more} "
        "Please drive it gently and bring the car in, so that we can measure it and put it right. The maker's "
        "instructions go before ours."
    )
    return fails, say, all(reason["already"] for reason in reasons)


def of_impact(
    book: "Casebook",
    ring: Sequence[Result],
    others: Sequence[Result],
    attributed: Mapping[int, Attributed],
    *,
    people: bool,
) -> Lists:
    """The `Lists` of a run: results to ring, and results that come out otherwise."""
    calls = []
    for result in ring:
        reasons, say, known = ring_words(result)
        becomes = _told(result.new) if result.new else ""
        calls.append(
            Call(
                result.number,
                book.called(result.number),
                result.sold_on or "",
                result.ring["kit"],
                result.ring["car"],
                reasons,
                say,
                known,
                becomes,
                attributed[result.number].sentence if result.number in attributed else "",
                *caller(book, result.number, people),
            )
        )
    ringing = {call.case for call in calls}
    rest = [
        Otherwise(
            result.number,
            book.called(result.number),
            result.sold_on or result.told_on,
            result.sold is not None,
            _told(result.old),
            _told(result.new),
            attributed[result.number].sentence if result.number in attributed else "",
            None
            if result.price_new is None or result.price_old is None
            else round(result.price_new - result.price_old, 2),
            *caller(book, result.number, people),
        )
        for result in others
        if result.number not in ringing
    ]
    rest.sort(key=lambda other: (not other.sold, other.on, other.case))
    calls.sort(key=lambda call: (call.known, call.on, call.case))
    return Lists(tuple(calls), tuple(rest))


def _told(side):
    if side["pick"]:
        return side["pick"]
    asks = f": asks for {joined((name.replace('_', ' ') for name in side['asks']), most=3)}" if side["asks"] else ""
    return IN_WORDS[side["outcome"]] + asks


#: Classes of results that come out otherwise.
OTHERWISE = (PICK, NO_KIT, ASKS)


def rows(lists: Lists) -> list[dict[str, Any]]:
    """Both lists as rows of `COLUMNS`."""
    listed: list[dict[str, Any]] = []
    for call in lists.ring:
        row = dict.fromkeys(COLUMNS, "") | {
            "list": "ring",
            "case": call.called,
            "date": call.on,
            "car": call.car,
            "kit": call.kit,
            "becomes": call.becomes,
            "why": "; ".join(call.reasons),
            "say": call.say,
        }
        listed.append(row | {"name": call.name or "", "phone": call.phone or ""})
    for other in lists.otherwise:
        row = dict.fromkeys(COLUMNS, "") | {
            "list": "sold, now otherwise" if other.sold else "told, now otherwise",
            "case": other.called,
            "date": other.on,
            "kit": other.was,
            "becomes": other.becomes,
            "why": other.why,
        }
        listed.append(row | {"name": other.name or "", "phone": other.phone or ""})
    return listed


def csv_text(lists: Lists, *, people: bool) -> str:
    """Both lists as CSV; name and phone are columns only where people were asked for."""
    names = [name for name in COLUMNS if people or name not in ("name", "phone")]
    out = io.StringIO()
    writer = csv.DictWriter(out, names, extrasaction="ignore", lineterminator="\r\n")
    writer.writeheader()
    for row in rows(lists):
        writer.writerow({name: cell(value) if isinstance(value, str) else value for name, value in row.items()})
    return out.getvalue()
