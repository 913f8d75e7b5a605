"""Handing over: what a counter wrote into its own casebook while the shop's was away comes into the shop's.

The counter's chain comes link by link (see `counters`), piece by piece, each piece whole or not at all, with an entry
of the shop's book that says how far the chain then stood. A hand-over that broke off, or is done twice, or by two
programs at once, therefore goes on where the shop's book says that the chain stands, and doubles nothing. What stands
in the shop's book already, since the counter's file was once taken over by `importing`, or holds cases that it took
over from elsewhere, is linked to and not written again.

A counter's file that stands otherwise than the shop's book remembers, or is shorter, was put back to an older copy; its
entries since would make a second history under the same numbers. It is refused.

Erased on either side is erased on both: first what was erased in the shop's book is erased in the counter's file, then
what the counter erased comes over with its entries, and what was written elsewhere about the same caller goes too.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from ..errors import InputError, StoreError
from . import counters, entries, importing, kept_files, seals, shape, signatures, statements, stored_form
from .check import erased
from .counters import Link
from .entries import Entry
from .forgetting import erase, named_in
from .quotes import KIND as QUOTE, counter_in_numbers

if TYPE_CHECKING:
    from .book import Casebook
    from .store import Connection

#: Entries handed over in one transaction: small enough that other counters wait for no more than a moment.
PIECE = 200


@dataclass(slots=True)
class HandedOver:
    """What a hand-over did, under the ``name`` of the counter.

    ``cases`` and ``entries`` that came over; ``known``: entries that stood there already. ``erased_here``,
    ``erased_there``: texts erased in the counter's file and in the shop's book since the other side had erased them.
    ``at_both``: cases, as the shop's book calls them, that went on in the shop's book as well: what came last counts.
    ``quotes``: numbers of quotes that the shop's book now holds twice. ``wiped``: whether erased texts are gone from
    the disk on both sides.
    """

    name: str
    cases: set[int] = field(default_factory=set)
    entries: int = 0
    known: int = 0
    erased_here: int = 0
    erased_there: int = 0
    at_both: list[str] = field(default_factory=list)
    quotes: list[str] = field(default_factory=list)
    wiped: bool = True


@dataclass(frozen=True, slots=True)
class _Piece:
    """What one transaction did: ``upto`` which entry of the counter; the rest as `HandedOver` counts it."""

    upto: int
    entries: int
    known: int
    cases: frozenset[int]
    erased: int


def hand_over(
    own: "Casebook", shop: "Casebook", counter: str, *, piece: int = PIECE, after: Callable[[int], Any] | None = None
) -> HandedOver:
    """Hand a counter's own casebook over to the shop's; both open to be written to.

    ``after``: called with the number of the last entry handed over, after each piece. InputError or StoreError where
    the counter's casebook cannot be handed over; what came over before stays.
    """
    name = _name_of(own, shop, counter)
    done = HandedOver(name)
    if not own.store.row(statements.HEAD)[1]:
        return done
    _introduce(own, shop, name)
    records = stored_form.Records(lambda name: entries.fetch(own.store, name))
    while True:
        done.erased_here += (erased_here := _erase_at_home(own, shop))
        if erased_here:
            done.wiped = own.store.wipe() and done.wiped
        before = done.entries + done.known
        erased_there = 0
        while (
            taken := shop.store.transact(lambda connection: _take(connection, own, shop, name, piece, records))
        ) is not None:
            done.cases |= taken.cases
            done.entries += taken.entries
            done.known += taken.known
            erased_there += taken.erased
            if after is not None:
                after(taken.upto)
        done.erased_there += erased_there
        if erased_there:
            done.wiped = shop.store.wipe() and done.wiped
        # What was erased over there just now may stand here in other entries: until neither side has anything to say.
        if done.entries + done.known == before:
            break
    _look_at(shop, done)
    return done


def waiting(own: "Casebook", shop: "Casebook") -> int:
    """How many cases of a counter's own casebook have something that was not handed over yet."""
    upto = 0
    if counters.has_any(shop.store):
        last = shop.store.row(statements.LAST_LINK, (_id(own),))
        upto = last[0] if last else 0
    return own.store.row(statements.CASES_SINCE_ENTRY, (upto,))[0]


def _id(book):
    return book.store.row(statements.HEAD)[0]


# --- before anything is written


def _name_of(own, shop, counter):
    """The counter's name as it begins its numbers; InputError where this is not to be handed over under that name."""
    name = counter_in_numbers(counter)
    if not name:
        raise InputError(
            "a counter without a name cannot hand over: its numbers would be those of others.",
            value=counter,
            remedy='Give it one of letters and digits, of its own, in shop.toml: counter = "WEST".',
        )
    if _id(own) == _id(shop):
        raise InputError(
            "this is the shop's casebook itself.",
            value=str(own.store.place),
            remedy="Name the counter's own with own_casebook in shop.toml, and the shop's with casebook.",
        )
    if counters.every(own.store):
        raise InputError(
            "other counters handed over to this casebook: it is a shop's, not a counter's own.",
            value=str(own.store.place),
            remedy="Take its cases over with: advisor case import.",
        )
    for known in counters.every(shop.store):
        if known.casebook == _id(own) and known.name != name:
            # What people were told of is under the name of then.
            return known.name
        if known.casebook != _id(own) and known.name == name:
            raise InputError(
                f"another casebook was handed over under the name {name}; its numbers are {name}/1 and on.",
                value=counter,
                remedy="Give this counter a name of its own in shop.toml. Where its file was lost and begun anew, that"
                f' is a new name too: counter = "{name}-2".',
            )
    return name


def _introduce(own, shop, name):
    """The entry of the shop's book by which a counter's chain begins, where it is met first."""
    casebook = _id(own)

    def write(connection: "Connection") -> None:
        if connection.execute(statements.LAST_LINK, (casebook,)).fetchone() is not None:
            return
        (case,) = connection.execute(statements.ADD_CASE).fetchone()
        entry = _tell(connection, case, name, casebook, 0, None)
        Link(casebook, 0, 0, casebook, entry.number, said=name).keep(connection)

    if shop.store.row(statements.LAST_LINK, (casebook,)) is None:
        shop.store.transact(write)


def _tell(connection, case, name, casebook, count, digest):
    body = {"counter": name, "casebook": casebook, "entries": count, "digest": digest}
    return entries.append(connection, case, "hand_over", body)


# --- a piece


def _take(connection, own, shop, name, piece, records):
    """Take over the next entries of a counter; a `_Piece`, or None where nothing is left."""
    casebook = _id(own)
    number, digest = connection.execute(statements.LAST_LINK, (casebook,)).fetchone()
    _same_chain(own, name, number, digest)
    rows = list(own.store.rows(statements.SOME_ENTRIES_AFTER, (number, piece)))
    if not rows:
        return None
    coming = _Coming(connection, own, casebook, records)
    for entry in map(entries.of_row, rows):
        coming.check(entry, number + 1, digest)
        coming.take(entry, digest)
        number, digest = entry.number, entry.digest
    (tells,) = (case for book, _, _, case in connection.execute(statements.COUNTERS) if book == casebook)
    erased_texts = coming.erase(shop)
    _tell(connection, tells, name, casebook, number, digest)
    for case in sorted(coming.cases):
        _sound(shop, case)
    return _Piece(number, coming.added, coming.known, frozenset(coming.cases), erased_texts)


def _same_chain(own, name, number, digest):
    """StoreError unless a counter's casebook holds the entry that was handed over last, or nothing was yet."""
    if not number:
        return
    row = own.store.row(statements.DIGEST_OF_ENTRY, (number,))
    if row is not None and row[0] == digest:
        return
    how = (
        "ends before it: it is an older copy, put back"
        if row is None
        else "holds another in its place: an older copy was put back and written to since"
    )
    raise own.store.fault(
        f"entry {number} of {name} was handed over, and this casebook {how}. Handed over, two histories would stand"
        f" under the numbers of {name}.",
        "Put the newest copy of this file back if there is one. Otherwise: advisor case import FILE takes what was"
        " written since the copy into the shop's casebook; then move this file away and give the counter a new name"
        " (counter in shop.toml), under which it begins a new one.",
    )


class _Coming:
    """The entries of a piece, as they are taken over."""

    def __init__(self, connection: "Connection", own: "Casebook", casebook: str, records: stored_form.Records) -> None:
        self.connection, self.own, self.casebook, self._records = connection, own, casebook, records
        self.added = self.known = 0
        self.cases: set[int] = set()
        #: Parts that are erased with the counter: case here -> (entry here, part).
        self.gone: dict[int, set[tuple[int, str]]] = {}
        self._key = seals.key_here()

    def check(self, entry: Entry, number: int, previous: str) -> None:
        """StoreError unless an entry is whole, as it was written and the next of its chain."""
        rows = list(self.own.store.rows(statements.APART_OF_ENTRY, (entry.number,)))
        wrong = shape.fault(entry) or ("" if entry.sound() else "was changed after it was written")
        if not wrong and (entry.number, entry.previous) != (number, previous):
            wrong = "does not follow on the entry before it"
        if not wrong and entry.kind in shape.ALONE:
            wrong = f"belongs to {shape.ALONE[entry.kind]}, not to a case"
        wrong = (
            wrong or entries.apart_fault(entry.sealed, rows) or self._seal_fault(entry) or self._records.fault(entry)
        )
        if wrong:
            raise StoreError(
                f"entry {entry.number} of case {entry.case} {wrong}; nothing from there on was handed over.",
                where=self.own.store.fault("").where,
                remedy=f"See all faults with: advisor case check --casebook {self.own.store.place} Take what is sound"
                f" into the shop's casebook with: advisor case salvage {self.own.store.place}",
            )

    def _seal_fault(self, entry):
        seal = self.own.store.row(statements.SEAL_OF_ENTRY, (entry.number,))
        if seal is None or self._key is None or seal[0] != self._key.id:
            return ""
        return self._key.fault(self.casebook, entry.digest, seal[1])

    def take(self, entry: Entry, previous: str) -> None:
        """Write one entry into the shop's book, or link it to what stands there for it already."""
        key, mac = self.own.store.row(statements.SEAL_OF_ENTRY, (entry.number,)) or (None, None)
        link = Link(self.casebook, entry.number, entry.case, entry.digest, 0, key=key, mac=mac)
        held = importing.place_of(self.connection, entry)
        if held is not None:
            self.known += 1
            said: str | None = entries.content(entry)
            here, case = held
        else:
            self.added += 1
            case = self._case(entry)
            copied = self._copy(entry, case)
            here = copied.number
            said = counters.said_of(self.connection, copied, self.casebook, link, previous)
            said = None if said == entries.content(entry) else entries.content(entry)
            self.cases.add(case)
        Link(self.casebook, link.number, link.case, link.digest, here, said, key, mac).keep(self.connection)
        importing.stands_for(self.connection, entry, here)
        for part in entry.gone:
            self.gone.setdefault(case, set()).add((here, part))

    def _case(self, entry):
        """The case here that a case of the counter is."""
        row = self.connection.execute(statements.CASE_OF_LINK, (self.casebook, entry.case)).fetchone()
        return row[0] if row else self.connection.execute(statements.ADD_CASE).fetchone()[0]

    def _copy(self, entry, case):
        if entry.record and self.connection.execute(statements.HAS_CONTENT, (entry.record,)).fetchone() is None:
            entries.keep(self.connection, entries.fetch(self.own.store, entry.record))
        kept_files.bring(self.connection, self.own.store, entry.knowledge)
        _, bare = entry.bare()
        body, gone = importing.in_numbers_here(entry, bare, _PlacesHere(self.connection, self.casebook))
        body["taken_over"] = importing.taken_over(self.connection, self.casebook, entry, body.get("of"))
        for number, part in gone:
            self.gone.setdefault(case, set()).add((number, "" if part is None else part))
        apart = list(self.own.store.rows(statements.APART_OF_ENTRY, (entry.number,)))
        return entries.append_as_sealed(self.connection, case, entry, body, apart)

    def erase(self, shop: "Casebook") -> int:
        """Erase in the shop's book what the counter erased, and what looks like the same callers; how many texts.

        Whatever came without its text has its tombstone afterwards, though the counter's own comes in a later piece.
        """
        count = 0
        for case, gone in sorted(self.gone.items()):
            history = list(shop.entries_of(statements.ENTRIES_OF_CASE, (case,)))
            tombstones = {named for entry in history if entry.kind == "forgotten" for named in erased(entry.body)}
            bare = sorted(
                (entry.number, part)
                for entry in history
                for part in entry.gone
                if not {(entry.number, part), (entry.number, None)} & tombstones
            )
            if any(named_in(entry, gone) for entry in history):
                count += len(erase(self.connection, history, also=gone).erased)
            if bare:
                parts = [{"entry": number, "part": part} for number, part in bare]
                body = {"entries": sorted({number for number, _ in bare}), "parts": parts}
                entries.append(self.connection, case, "forgotten", body)
        return count


class _PlacesHere(dict[int, int]):
    """Number of an entry of a counter -> its number here, looked up when it is asked for."""

    def __init__(self, connection: "Connection", casebook: str) -> None:
        super().__init__()
        self._connection, self._casebook = connection, casebook

    def __missing__(self, number: int) -> int:
        row = self._connection.execute(statements.ENTRY_OF_LINK, (self._casebook, number)).fetchone()
        if row is None:
            raise InputError(f"entry {number} of the counter is named and was not handed over.")
        return row[0]


def _sound(shop, case):
    """StoreError unless the entries of a case go together, the counter's and those of here."""
    history = list(shop.entries_of(statements.ENTRIES_OF_CASE, (case,)))
    by_number = {entry.number: entry for entry in history}
    wrong = next((f"entry {entry.number} {why}" for entry, why in shape.history_faults(history)), "")
    wrong = wrong or next(
        (f"entry {entry.number} {why}" for entry in history if (why := signatures.fault(entry, by_number))), ""
    )
    if wrong:
        raise shop.store.fault(
            f"what comes over does not go together in case {case}: {wrong}.",
            "Nothing of it was handed over. Check both casebooks: advisor case check.",
        )


# --- what was erased in the shop's book


def _erase_at_home(own, shop):
    """Erase in a counter's casebook what was erased of it in the shop's; how many texts."""
    gone: dict[int, set[tuple[int, str]]] = {}
    for number, case, part in shop.store.rows(statements.ERASED_OF_COUNTER, (_id(own),)):
        gone.setdefault(case, set()).add((number, part))
    return sum(_erase(own, case, parts) for case, parts in gone.items())


def _erase(own, case, gone):
    def stands() -> list[Entry]:
        history = list(own.entries_of(statements.ENTRIES_OF_CASE, (case,)))
        return history if any(named_in(entry, gone) for entry in history) else []

    def write(connection: "Connection") -> int:
        history = stands()
        return len(erase(connection, history, also=gone).erased) if history else 0

    return own.store.transact(write) if stands() else 0


# --- what people should look at


def _look_at(shop, done):
    """Put into ``done`` the cases that went on at both places, and the quotes whose numbers stand twice."""
    for case in sorted(done.cases):
        history = list(shop.entries_of(statements.ENTRIES_OF_CASE, (case,)))
        origins = {_from(entry) for entry in history if entry.kind != "forgotten"}
        if len(origins) > 1:
            done.at_both.append(shop.called(case))
    if any(entry.kind == QUOTE for case in done.cases for entry in _of(shop, case)):
        numbers: dict[str, int] = {}
        for entry in shop.entries_of(statements.QUOTES):
            number = str(entry.body.get("quote", ""))
            numbers[number] = numbers.get(number, 0) + 1
        done.quotes = sorted(number for number, times in numbers.items() if times > 1)


def _of(shop, case) -> Iterable[Entry]:
    return shop.entries_of(statements.ENTRIES_OF_KIND, (case, QUOTE))


def _from(entry):
    return entry.body.get("taken_over", {}).get("casebook", "")
