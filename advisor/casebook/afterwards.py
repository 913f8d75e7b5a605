"""What became of a clutch that was sold: who was asked, what was answered, what was complained of.

Each is an entry of its own on a sale; a later outcome corrects or withdraws an earlier one. Who came by himself is told
from who was asked, because slips come back to the counter and holds do not. No person's name stands in any of them.
"""

import datetime
import itertools
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..errors import InputError
from ..knowledge import quantities
from ..knowledge.near import did_you_mean
from . import entries, kept_files, shape, statements
from .entries import Entry, line
from .sales import Sale, day_of, kilometres, sales_of, sold_in, sold_on

if TYPE_CHECKING:
    from .book import Casebook
    from .store import Connection

KINDS = ("asking", "outcome", "complaint")
#: When buyers are asked: name -> days after the fitting, or the sale where no fitting is written down.
DUE_AFTER = {"bedded": 45, "year": 365}
#: In words.
RESULTS = {
    "held": "it holds",
    "slipped": "it slipped",
    "returned": "it came back",
    "sold_on": "the car was sold on",
    "not_known": "nobody could tell",
}
#: Results that answer whether it held; the others only answer that somebody was reached.
TELLING = ("held", "slipped")
#: Found causes of a slip that say something of the clutch's capacity; a slip of another cause is kept out.
CAPACITY_CAUSES = ("capacity_short", "demand_above_stated", "not_bedded")


@dataclass(frozen=True, slots=True)
class Aftermath:
    """One sale and what was heard of it: ``outcomes`` that stand, in order, and the ``askings``."""

    case: int
    sale: Sale
    outcomes: tuple[Entry, ...] = ()
    askings: tuple[Entry, ...] = ()

    @property
    def fitted_on(self) -> str:
        """The day it went in, else the day of the sale."""
        return self.sale.fitting.body["on"] if self.sale.fitting else self.sale.on

    @property
    def last(self) -> Entry | None:
        """The outcome last written down, or None."""
        return self.outcomes[-1] if self.outcomes else None

    def due(self, today: str) -> tuple[str, ...]:
        """Names of `DUE_AFTER` whose day has come and of which nothing is written down."""
        first = datetime.date.fromisoformat(self.fitted_on)
        heard = {entry.body["due"] for entry in self.askings}
        after = [entry.body["on"] for entry in self.outcomes]
        waiting = []
        for name, days in DUE_AFTER.items():
            day = (first + datetime.timedelta(days=days)).isoformat()
            if day <= today and name not in heard and not any(on >= day for on in after):
                waiting.append(name)
        return tuple(waiting)


def aftermaths(history: Iterable[Entry]) -> list[Aftermath]:
    """The sales of one case with what was heard of each."""
    history = list(history)
    standing: dict[int, Entry] = {}
    first: dict[int, int] = {}
    roots: dict[int, int] = {}
    for entry in history:
        if entry.kind == "sale":
            roots[entry.number] = roots.get(entry.body.get("corrects", entry.number), entry.number)
        elif entry.kind == "outcome":
            root = first.get(entry.body.get("corrects", entry.number), entry.number)
            first[entry.number] = root
            standing[root] = entry
    kept = [entry for entry in standing.values() if not entry.body.get("withdrawn")]
    askings = [entry for entry in history if entry.kind == "asking"]
    heard = []
    for sale in sales_of(history):
        root = roots[sale.entry.number]
        heard.append(
            Aftermath(
                sale.entry.case,
                sale,
                tuple(entry for entry in kept if roots.get(entry.body["of"]) == root),
                tuple(entry for entry in askings if roots.get(entry.body["of"]) == root),
            )
        )
    return heard


def every_aftermath(book: "Casebook") -> Iterator[Aftermath]:
    """Those of every case of a casebook, by case."""
    entries_by_case = list(book.entries_of(statements.SALES_AND_HEARD))
    for _, entries_of_case in itertools.groupby(entries_by_case, key=lambda entry: entry.case):
        yield from aftermaths(list(entries_of_case))


def latest_complaints(book: "Casebook", most: int) -> list[Entry]:
    """The complaints last kept with any case, the last first."""
    return list(book.entries_of(statements.LATEST_OF_KIND, ("complaint", statements.MOST, most)))


def write_outcome(
    book: "Casebook",
    number: int,
    result: str,
    *,
    came: str = "",
    on: str | None = None,
    torque: str | None = None,
    torque_at: str | None = None,
    km: str | None = None,
    state: str = "bedded",
    fitting: str = "not_recorded",
    cause: str | None = None,
    source: str | None = None,
    correct: bool = False,
    by: str = "",
) -> Entry:
    """Write down what became of the clutch sold on a case; the Entry.

    ``torque``: the hardest load it held or the load it slipped at, measured ``torque_at`` (one of `shape.TORQUE_AT`);
    ``came``: asked or himself, by default asked where an asking stands that nobody answered; ``source``: whose figure
    the torque is, as "rollers 2"; ``cause``: what a slip was found to come from; ``correct``: it replaces the last.
    """
    if result not in RESULTS:
        raise InputError(f"{result!r} is no outcome.", value=result, remedy=did_you_mean(result, RESULTS))
    history = list(book.history(number))
    sale = sold_in(history, book.called(number))
    heard = next(aftermath for aftermath in aftermaths(history) if aftermath.sale.entry.number == sale.entry.number)
    open_askings = _open_askings(heard)
    read = _torque(torque)
    if (read is None) != (torque_at is None):
        raise InputError(
            "a torque and where it was measured go together.",
            value=torque,
            remedy=f"Give --torque and --torque-at, one of {', '.join(shape.TORQUE_AT)}.",
        )
    body: dict[str, Any] = {
        "of": sale.entry.number,
        "result": result,
        "on": day_of(on, sale),
        "came": came or ("asked" if open_askings else "himself"),
        "asked": open_askings[-1].body["on"] if open_askings else None,
        "torque": read,
        "torque_at": torque_at,
        "km": kilometres(km, sale.fitting),
        "state": state,
        "fitting": fitting,
        "cause": cause,
        "source": line(source, "name of whose figure it is")[:60] if source else None,
    }
    if correct:
        if heard.last is None:
            raise InputError(
                f"case {book.called(number)} has no outcome to correct.", value=number, remedy="Leave --correct out."
            )
        body |= {"corrects": heard.last.number, "came": came or heard.last.body["came"]}
        body["asked"] = heard.last.body["asked"]
    by = line(by, "name of who writes it") if by else ""
    return book.store.transact(lambda connection: entries.append(connection, number, "outcome", body, by=by))


def _open_askings(heard: Aftermath) -> list[Entry]:
    """Askings after which nothing was written down."""
    last = heard.last.number if heard.last else 0
    return [entry for entry in heard.askings if entry.number > last]


def write_asking(book: "Casebook", number: int, due: str, *, on: str | None = None, by: str = "") -> Entry:
    """Write down that the buyer was asked; the Entry."""
    sale = sold_on(book, number)
    if due not in DUE_AFTER:
        raise InputError(f"nobody is asked {due!r}.", value=due, remedy=did_you_mean(due, DUE_AFTER))
    body = {"of": sale.entry.number, "on": day_of(on, sale), "due": due}
    by = line(by, "name of who asked") if by else ""
    return book.store.transact(lambda connection: entries.append(connection, number, "asking", body, by=by))


def write_complaint(
    book: "Casebook",
    number: int,
    *,
    signs: Mapping[str, object],
    unknown: Iterable[str],
    state: str,
    cause: str | None,
    likely: Iterable[str],
    cautions: Iterable[str],
    rules: str,
    knowledge: kept_files.Files,
    by: str = "",
) -> Entry:
    """Keep what was told of a complaint, what came of it, and the rules of the day; the Entry.

    ``rules``: SHA-256 of the rules on complaints; ``knowledge``: the Files they were read from.
    """
    _, decision = book.standing(number)
    body: dict[str, Any] = {
        "told": {name: list(value) if isinstance(value, tuple) else value for name, value in signs.items()},
        "unknown": sorted(unknown),
        "state": state,
        "cause": cause,
        "likely": list(likely),
        "cautions": sorted(cautions),
        "rules": rules,
    }
    if decision is not None:
        body["of"] = decision.number
    who = line(by, "name of who took the complaint") if by else ""

    def write(connection: "Connection") -> Entry:
        book.must_exist(number)
        kept = kept_files.keep(connection, knowledge)
        return entries.append(connection, number, "complaint", body, by=who, knowledge=kept)

    return book.store.transact(write)


def last_complaint(history: Iterable[Entry]) -> Entry | None:
    """The complaint last kept with a case, or None."""
    complaints = [entry for entry in history if entry.kind == "complaint"]
    return complaints[-1] if complaints else None


def in_words(entry: Entry) -> str:
    """One line for a timeline."""
    body = entry.body
    if entry.kind == "asking":
        when = "after bedding in" if body["due"] == "bedded" else "after a year"
        return f"the buyer was asked {when}, on {body['on']}"
    if entry.kind == "complaint":
        sign_text = f"{len(body['told'])} signs told"
        sure = "found" if body["state"] == "found" else "likely"
        came = f"{sure}: {body['cause'].replace('_', ' ')}" if body["cause"] else f"not told yet, {body['state']}"
        return f"complaint ({body['told'].get('complaint', 'unsaid')}), {sign_text}; {came}"
    torque = f" at {body['torque']:.0f} N m ({body['torque_at']})" if body["torque"] is not None else ""
    km = f", {body['km']:.0f} km" if body["km"] is not None else ""
    came = "asked" if body["came"] == "asked" else "came by himself"
    cause = f", cause {body['cause'].replace('_', ' ')}" if body["cause"] else ""
    head = "withdrawn: " if body.get("withdrawn") else "corrected: " if "corrects" in body else ""
    return f"{head}{RESULTS[body['result']]}{torque}{km}{cause} ({came}, {body['on']})"


def _torque(text: str | None) -> float | None:
    if text is None:
        return None
    value = quantities.read(text, "N m")
    if not 20 <= value <= 3000:
        raise InputError(f"{text!r} is no torque of an engine.", value=text, remedy="Give it as 430 Nm.")
    return value
