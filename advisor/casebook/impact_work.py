"""One batch of stored cases under the stored and the new rules: what a worker process does.

It opens what a batch needs and keeps it ready: the casebook, deciders by the stored and by the new rules over the kits,
prices and cars of that day, what differs between the rules. The rows themselves are `impact_rows`'.
"""

import contextlib
import gc
from collections.abc import Iterable
from typing import TYPE_CHECKING, Self

from ..deciding.decide import decider_of
from ..deciding.recording import record
from ..errors import AdvisorError, InputError
from ..knowledge import canonical, load
from ..knowledge.sources import Content
from . import histories, impact_sides, kept_files, stored_form
from .book import Casebook
from .carrying_over import carried_over
from .impact_result import Result
from .impact_rows import BatchRows, StoredCase
from .rule_changes import RuleChange, changes
from .sales import standing_sale
from .store import Place
from .untouched import Untouched

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from ..deciding.decision_record import DecisionRecord
    from ..knowledge.model import Knowledge
    from .entries import Entry

#: Stored rule sets, and sets of kits under the new rules, kept ready at a time.
KEPT = 2


class Worker:
    """Works through batches with one casebook and one new Knowledge: ``with Worker(place, new) as worker``.

    The casebook is opened by the first batch and closed at the end, or by `close` where other processes are to begin.
    """

    def __init__(self, place: Place, new: "Knowledge") -> None:
        self.place, self.new = place, new
        self._sides: dict[str, tuple[Decider, Decider]] = {}
        self._changes: dict[str, tuple[RuleChange, ...]] = {}
        self._ready: tuple[str, BatchRows] | None = None
        self._open_book: Casebook | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def work(self, knowledge: str, decisions: Iterable[tuple[int, int, str]]) -> list[Result]:
        """A `Result` for each decision of one stored knowledge and one car.

        ``decisions``: lists [case, entry number, digest], one of a case.
        """
        with _uncollected():
            return self._worked(knowledge, decisions)

    def _worked(self, knowledge, decisions):
        cases = []
        for history, digest in self._histories(decisions):
            # Of the answers nothing is held but the case they make: there are thousands of them.
            base, decision = _pair(history, digest)
            case = stored_form.case_of(base.body["case"])
            cases.append(StoredCase(base.case, decision, case, standing_sale(history)))
        try:
            rows = self._rows(knowledge)
        except AdvisorError as error:
            return [case.lost(error) for case in cases]
        results = rows.of(cases)
        by_digest = {case.decision.digest: case for case in cases}
        checked = {
            result.digest: self._by_engines(result, by_digest[result.digest], *self.sides(knowledge))
            for result in impact_sides.sample(results)
        }
        return [checked.get(result.digest, result) for result in results]

    def _by_engines(self, result, stored, old, new):
        return impact_sides.checked(result, new, carried_over(stored.case, old.knowledge, new.knowledge))

    def in_full(self, result: Result) -> Result:
        """A row that comes out otherwise, with both decisions in full; itself where there is nothing to add."""
        if result.new is None or result.sides is not None:
            return result
        base, decision = self.entries_of(result)
        return impact_sides.in_full(result, self.book.record(decision), *self._by_new(base, decision))

    def _rows(self, knowledge):
        """`BatchRows` for the sides of a stored knowledge, whose last ones are kept ready."""
        if self._ready is None or self._ready[0] != knowledge:
            old, new = self.sides(knowledge)
            untouched = Untouched(old, new, self.changes_from(knowledge))
            self._ready = knowledge, BatchRows(old, new, untouched, lambda decision: self.book.record(decision))
        return self._ready[1]

    def changes_from(self, knowledge: str) -> tuple[RuleChange, ...]:
        """Every `RuleChange` from stored rules to the new ones; AdvisorError where those cannot be read."""
        if knowledge not in self._changes:
            self._changes[knowledge] = changes(kept_files.content(self._files(knowledge)).knowledge, self.new)
        return self._changes[knowledge]

    def both(self, number: int) -> "tuple[DecisionRecord, DecisionRecord]":
        """(record as stored, record by the new rules and both engines) of the decision last told in a case."""
        decision = self.book.sold(number)
        if decision is None:
            raise InputError(
                f"case {self.book.called(number)} has no decision.",
                remedy=f"Decide it first: advisor case decide {self.book.called(number)}.",
            )
        new, case = self._by_new(*_pair(self.book.history(number), decision.digest))
        return self.book.record(decision), record(new.decide(case), [])

    def close(self) -> None:
        """Close the casebook; the next batch opens it again."""
        if self._open_book is not None:
            self._open_book.close()
            self._open_book = None

    # --- within

    @property
    def book(self) -> Casebook:
        """The casebook, opened where it is not."""
        if self._open_book is None:
            self._open_book = Casebook(self.place, write=False)
        return self._open_book

    def entries_of(self, result: Result) -> "tuple[Entry, Entry]":
        """(the entry of the answers, that of the decision on them) that a row is about."""
        return _pair(self.book.history(result.number), result.digest)

    def _by_new(self, base, decision):
        """(the decider by the new rules, the case as it is told by them) of a stored decision."""
        old, new = self.sides(decision.knowledge or "")
        return new, carried_over(stored_form.case_of(base.body["case"]), old.knowledge, new.knowledge)

    def _histories(self, decisions):
        """(entries of the case, digest) for each decision, many cases read and verified at once."""
        wanted = {case: digest for case, _, digest in decisions}
        for history in histories.of_cases(self.book.store, wanted):
            if history.wrong:
                self.book.history(history.case)  # tells what is wrong
            yield history.entries, wanted[history.case]

    def sides(self, knowledge: str) -> "tuple[Decider, Decider]":
        """Deciders by the stored and by the new rules, both over the stored kits, platforms and parts."""
        if knowledge not in self._sides:
            while len(self._sides) >= KEPT:
                self._sides.pop(next(iter(self._sides)))
            stored = self._files(knowledge)
            old = decider_of(kept_files.content(stored))
            kits, platforms, parts = self._records(stored, old)
            new = decider_of(Content(self.new, kits, platforms, parts, old.shop.hashes, old.shop.about))
            self._sides[knowledge] = old, new
        return self._sides[knowledge]

    def _records(self, stored, old):
        """The stored kits, platforms and parts by the new rules: read anew only where those read them otherwise."""
        if _records_read_by(old.knowledge) == _records_read_by(self.new):
            return old.shop.kits, old.shop.platforms, old.shop.parts
        with stored.laid_out() as sources:
            kits, platforms, parts = (
                getattr(load, name)(getattr(sources, name), self.new) for name in ("kits", "platforms", "parts")
            )
            load.check_together(kits, platforms, parts)
        return kits, platforms, parts

    def _files(self, knowledge):
        return kept_files.fetch(self.book.store, knowledge)


def _records_read_by(knowledge):
    """What of some knowledge decides how records are read, as one text: their fields, facts and facings."""
    return canonical.text([getattr(knowledge, part) for part in ("kit_fields", "facts", "figures", "facings")])


@contextlib.contextmanager
def _uncollected():
    """Without looking for circles of objects meanwhile: a batch makes none to speak of, and a seventh of its time goes
    into looking through all that it holds.
    """
    enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if enabled:
            gc.enable()


def _pair(history, digest):
    """(the entry of the answers, that of the decision on them) of the decision of that digest."""
    decision = next(entry for entry in history if entry.digest == digest)
    return next(entry for entry in history if entry.number == decision.body["of"]), decision
