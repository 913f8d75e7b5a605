"""What came of an advice: the kit that was sold, when and by whom it was fitted, and that it came back.

Each is an entry of its own beside the decision, which stays what was told. A later entry of the same kind corrects or
withdraws an earlier one; nothing is changed.
"""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..deciding.outcomes import IN_WORDS
from ..errors import InputError, QuantityError
from ..knowledge import quantities
from ..knowledge.near import did_you_mean
from . import entries, shape
from .entries import Entry, day_said, line, paragraph

if TYPE_CHECKING:
    from .book import Casebook
    from .store import Connection

#: Kinds of entries that tell of a sale.
KINDS = ("sale", "fitting", "return")
#: Who may have fitted a kit: the choices of the fact ``installer``.
FITTERS = ("professional", "experienced_home", "first_time")
#: No car has more behind it; a kilometre reading above is a slip of the finger.
MOST_KM = 3_000_000
LONGEST_REASON = 2_000


@dataclass(frozen=True, slots=True)
class Sale:
    """One sale as it now stands: the entries that count, later ones having corrected earlier ones.

    ``entry``: of kind sale; ``fitting`` and ``returned``: entries of those kinds, or None.
    """

    entry: Entry
    fitting: Entry | None = None
    returned: Entry | None = None

    @property
    def kit(self) -> str:
        """Id of the kit sold."""
        return self.entry.body["kit"]

    @property
    def as_advised(self) -> bool:
        """Whether it is the pick of the decision it was sold on."""
        return self.entry.body["as_advised"]

    @property
    def on(self) -> str:
        """The day of the sale."""
        return self.entry.body["on"]


def sales_of(history: Iterable[Entry]) -> list[Sale]:
    """The sales of a case as they now stand, in the order in which they were made; those withdrawn are left out.

    ``history``: entries of the case in order; of other kinds they are passed over.
    """
    first: dict[int, int] = {}  # entry -> the entry that it corrects in the end
    standing: dict[int, Entry] = {}  # that first entry -> the last of its line
    about: dict[int, int | None] = {}  # first entry of a fitting or return -> first entry of its sale
    for entry in history:
        if entry.kind not in KINDS:
            continue
        root = first.get(entry.body.get("corrects", entry.number), entry.number)
        first[entry.number] = root
        standing[root] = entry
        if entry.kind != "sale":
            about[root] = first.get(entry.body["of"])  # of no sale: a fault that `shape` tells of
    sales = []
    for root, entry in standing.items():
        if entry.kind == "sale" and not _withdrawn(entry):
            later = [
                standing[sale_number]
                for sale_number, sale in about.items()
                if sale == root and not _withdrawn(standing[sale_number])
            ]
            sales.append(Sale(entry, _last(later, "fitting"), _last(later, "return")))
    return sales


def _withdrawn(entry):
    return entry.body.get("withdrawn", False)


def _last(later: Sequence[Entry], kind):
    return next((entry for entry in reversed(later) if entry.kind == kind), None)


def standing_sale(history: Iterable[Entry]) -> Sale | None:
    """The sale last made and not withdrawn, returned or not; None where nothing was sold."""
    sales = sales_of(history)
    return sales[-1] if sales else None


def sell(book: "Casebook", number: int, kit: str, *, on: str | None = None, reason: str = "", by: str = "") -> Entry:
    """Write down that ``kit`` was sold on the standing decision of a case; the Entry.

    A kit other than the pick, and a sale that replaces one which did not come back, say why in ``reason``.
    ``on``: the day, today where it is None.
    """
    before = standing_sale(book.history(number))
    replaced = before if before is not None and before.returned is None else None
    # What replaces a sale was sold on the same advice, whatever has been read off the car since.
    decision = _decision(book, number, replaced)
    record = book.record(decision)
    if kit not in record.kits:
        raise InputError(
            f"case {book.called(number)} was decided without a kit {kit!r}.",
            value=kit,
            remedy=did_you_mean(kit, sorted(record.kits), "See the kits with: advisor shop kits."),
        )
    body: dict[str, Any] = {
        "of": decision.number,
        "decision": decision.digest,
        "kit": kit,
        "as_advised": kit == record.pick_id,
        "on": day_of(on),
    }
    if replaced is not None:
        if not reason:
            raise InputError(
                f"case {book.called(number)} has {replaced.kit} as sold on {replaced.on}.",
                value=kit,
                remedy="Say with --reason what was wrong with that, or first: advisor case returned.",
            )
        body["corrects"] = replaced.entry.number
    if not body["as_advised"] and not reason:
        advised = record.pick_id or f"the advice ({IN_WORDS[record.outcome]})"
        raise InputError(f"{kit} is not {advised}.", value=kit, remedy="Say why it was sold with --reason.")
    return _write(book, number, "sale", body, {"reason": reason}, by)


def fit(
    book: "Casebook",
    number: int,
    *,
    on: str | None = None,
    km: str | None = None,
    fitter: str | None = None,
    who: str = "",
    by: str = "",
) -> Entry:
    """Write down when, by whom and at what kilometres the kit sold was fitted; the Entry.

    ``km``: the reading of the car, in kilometres or with its unit; ``fitter``: one of `FITTERS`; ``who``: the name,
    kept apart and erasable.
    """
    if fitter is not None and fitter not in FITTERS:
        raise InputError(
            f"{fitter!r} is not who fits a clutch.", value=fitter, remedy=f"Write one of: {', '.join(FITTERS)}."
        )
    sale = sold_on(book, number)
    body = {"of": sale.entry.number, "on": day_of(on, sale), "fitter": fitter, "km": kilometres(km)}
    return _write(book, number, "fitting", _corrected(body, sale.fitting), {"who": who}, by)


def take_back(
    book: "Casebook", number: int, *, reason: str, on: str | None = None, km: str | None = None, by: str = ""
) -> Entry:
    """Write down that the kit sold came back, when, at what kilometres and why; the Entry."""
    if not reason:
        raise InputError("a return says why.", remedy="Give the reason with --reason.")
    sale = sold_on(book, number)
    body = {"of": sale.entry.number, "on": day_of(on, sale), "km": kilometres(km, sale.fitting)}
    return _write(book, number, "return", _corrected(body, sale.returned), {"reason": reason}, by)


def withdraw(book: "Casebook", number: int, kind: str, *, reason: str, by: str = "") -> Entry:
    """Take back what the standing entry of a kind of `KINDS` says: it never happened; the Entry that says so."""
    if not reason:
        raise InputError("what was written down is withdrawn with a reason.", remedy="Give it with --reason.")
    sale = sold_on(book, number)
    wrong = {"sale": sale.entry, "fitting": sale.fitting, "return": sale.returned}[kind]
    if wrong is None:
        raise InputError(
            f"case {book.called(number)} has no {kind} to withdraw.",
            value=number,
            remedy=f"See: advisor case show {book.called(number)}.",
        )
    body = {name: part for name, part in wrong.body.items() if name != "taken_over"}
    return _write(book, number, kind, {**body, "corrects": wrong.number, "withdrawn": True}, {"reason": reason}, by)


def _decision(book, number, replaced):
    if replaced is not None:
        return next(entry for entry in book.history(number) if entry.number == replaced.entry.body["of"])
    _, decision = book.standing(number)
    if decision is None:
        raise InputError(
            f"case {book.called(number)} has no decision to sell on.",
            remedy=f"Decide it first: advisor case decide {book.called(number)}.",
        )
    return decision


def sold_on(book: "Casebook", number: int) -> Sale:
    """The standing `Sale` of a case, asked for only where something was sold: InputError where nothing was."""
    return sold_in(book.history(number), book.called(number))


def sold_in(history: Iterable[Entry], called: str) -> Sale:
    """As `sold_on`, from the history of the case ``called`` so."""
    sale = standing_sale(history)
    if sale is None:
        raise InputError(
            f"nothing was sold on case {called}.", value=called, remedy=f"First: advisor case sold {called} --kit KIT."
        )
    return sale


def _corrected(body, before):
    return body if before is None else {**body, "corrects": before.number}


def day_of(text: str | None, sale: Sale | None = None) -> str:
    """A day in words of a person as YYYY-MM-DD, today where it is None; neither to come nor before the sale."""
    today = datetime.date.today().isoformat()
    if text is None:
        return today if sale is None else max(today, sale.on)
    day = day_said(text)
    if day > today:
        raise InputError(f"{day} is still to come.", value=text, remedy="Write it down when it has happened.")
    if day < shape.EARLIEST[:10]:
        raise InputError(f"{day} is before this program was.", value=text, remedy="Look at the date again.")
    if sale is not None and day < sale.on:
        raise InputError(
            f"{day} is before the sale: the kit was sold on {sale.on}.", value=text, remedy="Look at the date again."
        )
    return day


def kilometres(text: str | None, fitting: Entry | None = None) -> float | None:
    """A reading of the car in kilometres, bare or with its unit; None where there is none.

    ``fitting``: the Entry before which it cannot have been read.
    """
    if text is None:
        return None
    try:
        km = quantities.read(f"{text} km" if text.strip().isdigit() else text, "km")
    except QuantityError as error:
        raise InputError(
            f"{text!r} is no reading in kilometres.", value=text, remedy="Write it as 84000 or 84000 km."
        ) from error
    if not 0 <= km <= MOST_KM:
        fault = "more than a car has" if km > 0 else "less than none"
        raise InputError(f"{text!r} is {fault}.", value=text, remedy="Read the kilometres again.")
    fitted = fitting.body["km"] if fitting else None
    if fitted is not None and km < fitted:
        raise InputError(
            f"the car had {fitted:.0f} km when it was fitted.", value=text, remedy="Read the kilometres again."
        )
    return km


def _write(book, number, kind, body, private, by):
    by = line(by, "name of who writes it down") if by else ""
    kept = {}
    if private.get("reason"):
        kept["reason"] = paragraph(private["reason"], "reason", LONGEST_REASON)
    if private.get("who"):
        kept["who"] = line(private["who"], "name of who fitted it")

    def write(connection: "Connection") -> Entry:
        book.must_exist(number)
        return entries.append(connection, number, kind, body, by=by, private=kept)

    return book.store.transact(write)
