"""The casebook as people use it: cases begun, decided, noted, signed, forgotten; and how they are found again."""

import contextlib
import dataclasses
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Self

from ..deciding.answers import guarded
from ..deciding.case_part import case_part
from ..deciding.decision_record import DecisionRecord
from ..errors import InputError, StoreError
from ..knowledge.case_model import Case, ChangedAnswer
from ..knowledge.model import Knowledge
from . import counters, entries, finding, histories, kept_files, shape, statements, stored_form
from .entries import Entry, line, paragraph
from .forgetting import Forgotten, forget
from .places import opened
from .program import fingerprint
from .quotes import quoted
from .sales import Sale, standing_sale
from .store import Connection, Place, default_path

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from ..knowledge.sources import Sources
    from .kept_files import Files

#: Digits of the largest number that a case can have: numbers take 63 bits.
LONGEST_NUMBER = 18


class Casebook:
    """An open casebook. A case is a numbered history of entries; see `entries.KINDS`."""

    def __init__(self, place: Place | None = None, *, write: bool = True, counter: str = "") -> None:
        self.store = opened(place or default_path(), write=write)
        #: The name of the counter whose own casebook this is, where it is one: its cases are called by it.
        self.counter = counter
        self._counters: dict[str, str] | None = None
        self.passed_over: dict[int, str] = {}
        #: The number of the last entry that counts: cases are shown as they stood after it; None for all.
        self.as_of: int | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close it."""
        self.store.close()

    # --- writing

    def begin(
        self,
        case: Case,
        knowledge: "Files",
        *,
        by: str = "",
        name: str = "",
        phone: str = "",
        note: str = "",
        number: int | None = None,
    ) -> Entry:
        """Store a Case before it is decided; the Entry of kind answers.

        ``knowledge``: the Files it will be decided with. ``number``: the case these answers correct, else a new
        case. ``by``: who took the call; ``name`` and ``phone``: the caller's, kept apart and erasable.
        """
        by = line(by, "name of who took the call") if by else ""
        caller = _caller(name, phone)
        noted = paragraph(note, "note") if note else ""

        def write(connection: Connection) -> Entry:
            kept = kept_files.keep(connection, knowledge)
            body: dict[str, Any] = {"case": case_part(case)}
            if number is None:
                (place,) = connection.execute(statements.ADD_CASE).fetchone()
            else:
                self.must_exist(place := number)
                body["corrects"] = self._last(number, "answers").number
            begun = entries.append(connection, place, "answers", body, by=by, knowledge=kept)
            if caller:
                entries.append(connection, place, "person", {}, by=by, private=caller)
            if noted:
                entries.append(connection, place, "note", {}, by=by, private={"text": noted})
            return begun

        return self.store.transact(write)

    def decided(self, of: Entry, record: DecisionRecord, currency: str | None = None) -> Entry:
        """Store the `DecisionRecord` made of the Entry ``of`` (answers or reading); its Entry."""
        body = {"of": of.number, **stored_form.summary(record, currency), "program": fingerprint()}
        packed = stored_form.to_bytes(record)

        def write(connection: Connection) -> Entry:
            kept = entries.keep(connection, packed)
            return entries.append(connection, of.case, "decision", body, by=of.by, record=kept, knowledge=of.knowledge)

        return self.store.transact(write)

    def read_off(
        self, number: int, case: Case, readings: Sequence[str], knowledge: str | None, *, by: str = ""
    ) -> Entry:
        """Store a fitter's readings with the answers they make of the case; the Entry of kind reading.

        ``readings``: names; ``knowledge``: SHA-256 of the stored Files the case is decided with again.
        """
        by = line(by, "name of the fitter") if by else ""
        body = {"case": case_part(case), "readings": sorted(readings)}
        return self._add(number, "reading", body, by=by, knowledge=knowledge)

    def worked(self, number: int, worksheet: str, readings: Mapping[str, str], *, by: str = "") -> Entry:
        """Keep what was read for a worksheet, name to text with unit, with a case; the Entry of kind worksheet."""
        by = line(by, "name of who measured") if by else ""
        body = {"worksheet": worksheet, "readings": dict(readings)}
        return self._add(number, "worksheet", body, by=by)

    def worksheets(self, number: int) -> dict[str, Entry]:
        """Worksheet -> the last Entry of readings kept for it with a case."""
        return {entry.body["worksheet"]: entry for entry in self.history(number) if entry.kind == "worksheet"}

    def note(self, number: int, text: str, *, by: str = "") -> Entry:
        """Add a note to a case."""
        text, by = paragraph(text, "note"), line(by, "name of who notes") if by else ""
        return self._add(number, "note", {}, by=by, private={"text": text})

    def sign(
        self, number: int, *, by: str, objection: bool = False, text: str = "", decision_seen: str | None = None
    ) -> Entry:
        """A named lead signs off the standing decision of a case, or objects to it.

        ``decision_seen``: digest of the decision that was looked at; InputError where another one stands by now.
        """
        by, text = line(by, "name of the lead"), paragraph(text, "text") if text else ""
        if objection and not text:
            raise InputError("an objection says what is wrong.", remedy="Give the reason with --text.")

        def write(connection: Connection) -> Entry:
            self.must_exist(number)
            decision = self.to_be_signed(number)
            if decision_seen not in (None, decision.digest):
                raise InputError(
                    f"case {self.called(number)} was decided anew since it was looked at.",
                    remedy="Look at what stands now, then sign.",
                )
            body = {"of": decision.number, "decision": decision.digest, "text": text}
            return entries.append(connection, number, "objection" if objection else "sign_off", body, by=by)

        return self.store.transact(write)

    def to_be_signed(self, number: int) -> Entry:
        """The Entry of the decision that stands, to be signed; InputError where there is none."""
        decision = self.standing(number)[1]
        if decision is None:
            raise InputError(
                f"case {self.called(number)} has no decision to sign.",
                remedy=f"Decide it first: advisor case decide {self.called(number)}.",
            )
        return decision

    def forget(self, number: int, *, by: str = "", notes: bool = False, words: Sequence[str] = ()) -> Forgotten:
        """Erase the caller of a case, and all that looks like the caller; see `forgetting.forget`."""
        return forget(self, number, by=by, notes=notes, words=words)

    # --- reading

    def number_of(self, text: str) -> int:
        """The number of the case a person means: its number, here or at its counter (``WEST/12``), that of a quote, or
        its name where only one has it.
        """
        text = str(text).strip()
        if text.isascii() and text.isdigit():
            number = int(text) if len(text) <= LONGEST_NUMBER else -1
            self.must_exist(number, text)
            return number
        numbered = counters.number_of(self.store, text, self.counter)
        if numbered is not None:
            self.must_exist(numbered, text)
            return numbered
        quote = quoted(self, text)
        if quote is not None:
            return quote.case
        called = self.entries_of(statements.ANSWERS_CALLED, (text, text))
        numbers = sorted({entry.case for entry in called if _name_of(entry) == text})
        if len(numbers) == 1:
            return numbers[0]
        if not numbers:
            raise InputError(f"no case {text!r} is in the casebook.", value=text, remedy="See: advisor case list.")
        numbers_listed = ", ".join(map(self.called, numbers[:8])) + (" ..." if len(numbers) > 8 else "")
        raise InputError(
            f"{len(numbers)} cases are called {text!r}.", value=text, remedy=f"Give the number: {numbers_listed}."
        )

    def called(self, number: int) -> str:
        """A case as people call it: its number, with its counter where that began it in a casebook of its own."""
        if self._counters is None:
            self._counters = {counter.casebook: counter.name for counter in counters.every(self.store)}
        return counters.called(self.store, number, self._counters, self.counter)

    def every_entry(self) -> Iterator[Entry]:
        """Every Entry of every case, in the order they were written; not looked at for changes."""
        return self.entries_of(statements.EVERY_ENTRY)

    def history(self, number: int) -> list[Entry]:
        """Every Entry of a case in order; StoreError where one was changed since it was written."""
        self.must_exist(number)
        for history in histories.read(self.store, [number]):
            for entry in history.entries:
                if history.wrong and entry.number == history.at:
                    raise self.fault_of(entry, history.wrong)
            return self._upto(number, list(history.entries))
        return self._upto(number, [])

    def _upto(self, number, history):
        if self.as_of is None:
            return history
        then = [entry for entry in history if entry.number <= self.as_of]
        if not then:
            raise InputError(
                f"case {self.called(number)} begins with entry {history[0].number}.",
                value=self.as_of,
                remedy="Name that entry or a later one; see: advisor case show ID --json.",
            )
        return then

    def standing(self, number: int) -> tuple[Entry, Entry | None]:
        """(Entry of the answers or reading decided on, Entry of the decision or None), the latest of a case."""
        history = self.history(number)
        base = next((entry for entry in reversed(history) if entry.kind in ("answers", "reading")), None)
        if base is None:
            raise InputError(
                f"{number} is no case: {shape.ALONE.get(history[0].kind, 'something else')} stand under that number.",
                value=number,
                remedy="See: advisor case list.",
            )
        decision = next(
            (entry for entry in reversed(history) if entry.kind == "decision" and entry.body["of"] == base.number), None
        )
        return base, decision

    def decision_of(self, number: int) -> Entry:
        """The Entry of the standing decision of a case that has one."""
        decision = self.standing(number)[1]
        assert decision is not None, f"case {number} has no decision"
        return decision

    def sold(self, number: int) -> Entry | None:
        """The Entry of the decision last given on the caller's own answers, before any reading; or None."""
        history = self.history(number)
        asked = {entry.number for entry in history if entry.kind == "answers"}
        return next(
            (entry for entry in reversed(history) if entry.kind == "decision" and entry.body["of"] in asked), None
        )

    def told(self, number: int) -> Entry | None:
        """The Entry of the decision that was told and sold, whatever was read off the car since: that of the sale, else
        the last on the caller's own answers; or None.
        """
        sale = self.sale(number)
        if sale is None:
            return self.sold(number)
        return next(entry for entry in self.history(number) if entry.number == sale.entry.body["of"])

    def sale(self, number: int) -> Sale | None:
        """The `Sale` last made on a case and not withdrawn, or None: what was sold, fitted and came back."""
        return standing_sale(self.history(number))

    def record(self, entry: Entry) -> DecisionRecord:
        """The `DecisionRecord` of an Entry of kind decision."""
        body = entries.fetch(self.store, entry.record)
        record = stored_form.sound(body)
        if record is None:
            raise self.fault_of(entry, stored_form.NO_RECORD)
        wrong = stored_form.summary_fault(entry.body, record)
        if wrong:
            raise self.fault_of(entry, wrong)
        if record.case.id != entries.NAMELESS:
            return record
        row = self.store.row(statements.ENTRY_OF_NUMBER, (entry.body["of"],))
        base = entries.of_row(row) if row else None
        return stored_form.named(
            record, base.body["case"]["id"] if base and shape.fault(base) == "" else record.case.id
        )

    def files_of(self, entry: Entry) -> "Files":
        """The stored Files of an Entry."""
        return kept_files.fetch(self.store, entry.knowledge)

    def private_of(self, number: int) -> dict[int, dict[str, str]]:
        """Entry number -> what stands apart for it and is a person's: {name, phone} of a caller, {text} of a note,
        {reason, who} of a sale; who wrote it, the name of the case and the words of a signature are with the entry.
        """
        return finding.private_in(self.history(number))

    def overview(self, *, since: str | None = None, numbers: Iterable[int] | None = None) -> Iterator[dict[str, Any]]:
        """One dict for each case, by number or in the order of ``numbers``: number, begun, by, answers Entry, decision
        Entry (or None), signed, history (all its entries).

        ``told``: the Entry of the decision on the caller's own answers, before any reading, or None; ``sales``: the
        entries of sales, fittings and returns. A case that cannot be read stops nobody: it is passed over, and
        ``passed_over`` says why, by case.
        """
        self.passed_over = {}
        yield from finding.overview(self, numbers, since)

    def search(self, words: Sequence[str], *, people: bool = False) -> list[int]:
        """Numbers of the cases in which every word occurs: name, car, answers, outcome, kit, reasons.

        The caller's name and phone, and notes, are searched only with ``people``.
        """
        return sorted(self.search_newest(words, people=people))

    def search_newest(self, words: Sequence[str], *, people: bool = False, before: int | None = None) -> Iterator[int]:
        """As `search`, the newest first and one after the other; ``before``: only cases below that number."""
        return finding.search(self, words, people=people, before=before)

    # --- within

    def fault_of(self, entry: Entry, wrong: str) -> StoreError:
        """The StoreError that tells what is ``wrong`` with an Entry."""
        return self.store.fault(
            f"entry {entry.number} of case {entry.case} {wrong}.",
            "Run: advisor case check. Take the last backup, or what is sound with: advisor case salvage.",
        )

    def must_exist(self, number: int | None, as_typed: str | None = None) -> None:
        """InputError where there is no such case; ``as_typed``: how somebody named it."""
        if number is None or self.store.row(statements.CASE, (number,)) is None:
            raise InputError(
                f"there is no case {(as_typed or str(number))[:40]} in the casebook.",
                value=number,
                remedy="See: advisor case list.",
            )

    def entries_of(self, sql: str, values: Sequence[Any] = ()) -> Iterator[Entry]:
        """The Entries that a statement on the tables gives, not looked at for changes."""
        return (entries.of_row(row) for row in self.store.rows(sql, values))

    def _add(self, number: int, kind: str, body: dict[str, Any], **more: Any) -> Entry:
        """Add one entry to a case that exists; ``more`` as `entries.append` takes it."""

        def write(connection: Connection) -> Entry:
            self.must_exist(number)
            return entries.append(connection, number, kind, body, **more)

        return self.store.transact(write)

    def _last(self, number, kind):
        of_kind = list(self.entries_of(statements.ENTRIES_OF_KIND, (number, kind)))
        return of_kind[-1] if of_kind else None


def keep(
    path: Place | None,
    decider: "Decider",
    case: Case,
    knowledge: "Files",
    *,
    sources: "Sources | None" = None,
    book: "Casebook | None" = None,
    **who: Any,
) -> tuple[int, DecisionRecord]:
    """Decide a Case and keep it: (case number, `DecisionRecord`).

    The answers are on disk before any engine runs. ``knowledge``: the Files taken before the decider was opened,
    and ``sources`` where they lie, looked at again so that what is stored is what decides. ``who``: see `begin`.
    """
    with contextlib.ExitStack() as stack:
        book = book or stack.enter_context(Casebook(path))
        if who.get("number") is not None:
            case = marked(book, who["number"], case, decider.knowledge)
        if sources is not None:
            knowledge.unchanged_in(sources)
        begun = book.begin(case, knowledge, **who)
        record = decide(decider, case)
        book.decided(begun, record, currency_of(decider, record))
    return begun.case, record


def marked(book: "Casebook", number: int, case: Case, knowledge: Knowledge) -> Case:
    """A Case that corrects case ``number``, with the guarded answers that were others when a result was told."""
    decision = book.standing(number)[1]
    if decision is None:
        return case
    old = book.record(decision).case
    changed = {change.fact: change for change in old.as_case().changed}
    for name in guarded(knowledge):
        before, after = (side.answers[name].value if name in side.answers else None for side in (old, case))
        if name in changed:
            before = changed[name].before
        if before != after:
            changed[name] = ChangedAnswer(name, before, after)
        else:
            changed.pop(name, None)
    return dataclasses.replace(case, changed=tuple(changed[name] for name in sorted(changed)))


def decide(decider: "Decider", case: Case) -> DecisionRecord:
    """The `DecisionRecord` of a Case: the one way records come about here."""
    from ..deciding.advise import advise

    return advise(decider, case)


def currency_of(decider: "Decider", record: DecisionRecord) -> str | None:
    """The currency of the pick's price, or None."""
    return next((kit.fields.get("currency") for kit in decider.shop.kits if kit.id == record.pick_id), None)


def _name_of(entry):
    case = entry.body.get("case")
    return case.get("id") if isinstance(case, dict) else None


def _caller(name, phone):
    caller = {}
    if name:
        caller["name"] = line(name, "caller's name")
    if phone:
        caller["phone"] = line(phone, "caller's phone number", 40)
    return caller
