"""One batch of stored cases under the stored and the new rules: what a worker process does.

All cases of a batch share their stored knowledge and their car. Cases that no changed rule touches are left out; both
sets of rules go through the bulk evaluator for the others, the new one alone where the old side is what this program
told. What comes out differently is decided again by the engines.
"""

import dataclasses
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, NamedTuple, Self

import numpy as np

from ..deciding import outcomes
from ..deciding.consistency import Clashes
from ..deciding.decide import decider_of
from ..deciding.ladder import PRICE
from ..deciding.recording import record
from ..engine.plain import compile_plain
from ..errors import AdvisorError, InputError
from ..knowledge import load
from ..knowledge.sources import Content
from . import histories, kept_files, ringing, statements, stored_form
from .book import Casebook
from .carrying_over import carried_over
from .comparing import reasons_differ
from .difference import difference
from .impact_state import ASKS, LOST, NO_KIT, PICK, REASONS, UNCHANGED, Result
from .rule_changes import RuleChange, changes, in_play
from .sales import standing_sale
from .store import Place
from .untouched import Untouched

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from ..deciding.decision_record import DecisionRecord
    from ..knowledge.case_model import Case
    from ..knowledge.model import Knowledge
    from .entries import Entry

#: Stored rule sets, and sets of kits under the new rules, kept ready at a time.
KEPT = 2


class _InPlay(NamedTuple):
    """A decision and the entry and Case it is on; ``came``: names of changes in play; ``again``: by this program."""

    base: "Entry"
    decision: "Entry"
    case: "Case"
    came: list[str]
    again: bool


class Worker:
    """Works through batches with one casebook and one new Knowledge: ``with Worker(place, new) as worker``.

    The casebook is opened by the first batch and closed at the end, or by `close` where other processes are to begin.
    """

    def __init__(self, place: Place, new: "Knowledge") -> None:
        self.place, self.new = place, new
        self._old: dict[str, Any] = {}
        self._new: dict[str, Any] = {}
        self._changes: dict[str, Any] = {}
        self._ready: tuple[str, Untouched] | None = None
        self._open_book: Casebook | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def work(self, knowledge: str, decisions: Iterable[tuple[int, int, str]]) -> list[Result]:
        """A `Result` for each decision of one stored knowledge and one car.

        ``decisions``: lists [case, entry number, digest], one of a case.
        """
        pairs, sales = [], {}
        for history, number, digest in self._histories(decisions):
            pairs.append(_pair(history, number, digest))
            sales[pairs[-1][0].case] = standing_sale(history)
        try:
            old, new = self.sides(knowledge)
        except AdvisorError as error:
            return [_lost(base, decision, error) for base, decision in pairs]
        results, to_decide, others = self._left_out(knowledge, pairs, sales)
        results += self._new_side(old, new, to_decide, sales)
        results += self._each(knowledge, old, new, others, sales)
        return [_with_sale(result, sales[result.number]) for result in results]

    def _left_out(self, knowledge, pairs, sales):
        """(results of cases that nothing touches, `_InPlay` for which the new side will do, the pairs for both)."""
        untouched = self._untouched(knowledge)
        results: list[Result] = []
        to_decide: list[_InPlay] = []
        others: list[Any] = []
        maybe: list[Any] = []
        for base, decision in pairs:
            case = stored_form.case_of(base.body["case"])
            (maybe if untouched.may_be(case) else others).append((base, decision, case))
        played = untouched.played([case for *_, case in maybe], maybe[0][2].platform if maybe else "")
        for row, (base, decision, case) in enumerate(maybe):
            if not played.sure[row]:
                others.append((base, decision, case))
                continue
            came, sale = [name for name, mask in played.masks.items() if mask[row]], sales[base.case]
            again = untouched.by_this_program(decision)
            # A clutch other than the pick might fail what the pick does not.
            other = sale is not None and sale.returned is None and sale.kit != decision.body["pick"]
            if came or other or not again or untouched.may_ask_otherwise(decision):
                to_decide.append(_InPlay(base, decision, case, came, again))
            else:
                results.append(_as_told(base, decision, came))
        return results, to_decide, others

    def _new_side(self, old, new, to_decide, sales):
        """Results of cases of which it is known what came into play: what the new rules tell against what was told."""
        if not to_decide:
            return []
        try:
            now = self._lean(new, to_decide)
            outcomes = [_outcome(outcome) for outcome in now.outcomes]
            # With the stored rules this program says the same: not the rules made the difference.
            unsure = [
                (row, each)
                for row, each in enumerate(to_decide)
                if not each.again and outcomes[row] != _told(each.decision)
            ]
            then = self._lean(old, [each for _, each in unsure]).outcomes if unsure else []
        except AdvisorError as error:
            if len(to_decide) == 1:
                return [_lost(to_decide[0].base, to_decide[0].decision, error)]
            return [result for each in to_decide for result in self._new_side(old, new, [each], sales)]
        alike = {row: _outcome(outcome) == outcomes[row] for (row, _), outcome in zip(unsure, then)}
        numbers = [now.pick_figure(name) for name in (PRICE, stored_form.MARGIN)]
        results = []
        for row, each in enumerate(to_decide):
            result, as_told = _as_told(each.base, each.decision, each.came), _told(each.decision)
            if outcomes[row] == as_told:
                result.kind = REASONS if each.came else UNCHANGED
                picked = now.picks[row] >= 0
                result.price_new, result.margin_new = (_number(of[row]) if picked else None for of in numbers)
            else:
                result.program = alike.get(row, False)
                result = self._decided(result, each.decision, each.case, new, as_told, outcomes[row])
            sale = sales[each.base.case]
            # In a lean batch a kit that fails any must counts as one that may fail one of safety.
            if sale is not None and sale.returned is None and not _passes(now, row, sale.kit):
                result.ring = ringing.reasons(new, each.case, sale.kit, self.book.record(each.decision))
            results.append(result)
        return results

    def _lean(self, decider, to_decide):
        platform, knowns = self._gathered(decider, [each.case for each in to_decide])
        return decider.batch.run(knowns, platform, lean=True)

    def _gathered(self, decider, cases):
        """(the car, `Known` facts of each case), contradictions that stop a case looked for in all of them at once."""
        platform = decider.shop.platform(cases[0].platform) if cases[0].platform else None
        for case in cases:
            decider.check(case)
        knowns = [decider.variant_of(case, platform) for case in cases]
        stopped = decider.batch.stopped(knowns)
        return platform, [
            decider.known_of(case, platform)
            if stop
            else known
            if known.clashes is not None
            else dataclasses.replace(decider.marked(known), clashes=Clashes())
            for case, known, stop in zip(cases, knowns, stopped)
        ]

    def _untouched(self, knowledge):
        """`Untouched` for the sides of a stored knowledge, whose last one is kept ready."""
        if self._ready is None or self._ready[0] != knowledge:
            self._ready = knowledge, Untouched(*self.sides(knowledge), self.changes_from(knowledge))
        return self._ready[1]

    def _each(self, knowledge, old, new, pairs, sales):
        """Results of cases decided on both sides."""
        if not pairs:
            return []
        results, ready = [], []
        try:
            carried = [carried_over(case, old.knowledge, new.knowledge) for *_, case in pairs]
            car, then = self._gathered(old, [case for *_, case in pairs])
            car_now, now = self._gathered(new, carried)
        except AdvisorError:
            # One that cannot be carried over: each by itself, so that the others are not lost with it.
            for base, decision, case in pairs:
                try:
                    then_told = old.gather(case)
                    case = carried_over(case, old.knowledge, new.knowledge)
                    ready.append((base, decision, case, then_told, new.gather(case)))
                except AdvisorError as error:
                    results.append(_lost(base, decision, error))
        else:
            for (base, decision, _), case, *sides in zip(pairs, carried, then, now):
                ready.append((base, decision, case, (car, sides[0]), (car_now, sides[1])))
        return results + self._batch(knowledge, old, new, ready, sales)

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
                f"case {number} has no decision.", remedy=f"Decide it first: advisor case decide {number}."
            )
        base, _ = self.stored(decision.number, decision.digest)
        old, new = self.sides(decision.knowledge or "")
        case = carried_over(stored_form.case_of(base.body["case"]), old.knowledge, new.knowledge)
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

    def stored(self, number: int, digest: str) -> "tuple[Entry, Entry]":
        """(the entry of the answers, that of the decision on them) of a decision by its number and digest."""
        return _pair(self._history(number), number, digest)

    def _history(self, number):
        """Every entry of the case that an entry belongs to."""
        return self.book.history(self.book.store.row(statements.CASE_OF_ENTRY, (number,))[0])

    def _histories(self, decisions):
        """(entries of the case, entry, digest) for each decision, many cases read and verified at once."""
        wanted = {case: (number, digest) for case, number, digest in decisions}
        for history in histories.of_cases(self.book.store, wanted):
            if history.wrong:
                self.book.history(history.case)  # tells what is wrong
            yield history.entries, *wanted[history.case]

    def sides(self, knowledge: str) -> "tuple[Decider, Decider]":
        """Deciders by the stored and by the new rules, both over the stored kits, platforms and parts."""
        if knowledge not in self._old:
            for kept in (self._old, self._new):
                while len(kept) >= KEPT:
                    kept.pop(next(iter(kept)))
            stored = self._files(knowledge)
            old = decider_of(kept_files.content(stored))
            with stored.laid_out() as sources:
                kits, platforms, parts = (
                    getattr(load, name)(getattr(sources, name), self.new) for name in ("kits", "platforms", "parts")
                )
                load.check_together(kits, platforms, parts)
            self._old[knowledge] = old
            self._new[knowledge] = decider_of(
                Content(self.new, kits, platforms, parts, old.shop.hashes, old.shop.about)
            )
        return self._old[knowledge], self._new[knowledge]

    def _files(self, knowledge):
        return kept_files.fetch(self.book.store, knowledge)

    def _batch(self, knowledge, old, new, ready, sales):
        if not ready:
            return []
        try:
            then, now = (
                decider.batch.run([prepared[place][1] for prepared in ready], ready[0][place][0])
                for decider, place in ((old, 3), (new, 4))
            )
        except AdvisorError as error:
            # One conflict stops a whole batch: each case by itself, so that the others are not lost with it.
            if len(ready) == 1:
                return [_lost(ready[0][0], ready[0][1], error)]
            return [result for prepared in ready for result in self._batch(knowledge, old, new, [prepared], sales)]
        rule_changes = self.changes_from(knowledge)
        masks = {change.name: in_play(change, (then, now)) for change in rule_changes if change.kind != "set-up rule"}
        self._set_up_in_play(rule_changes, masks, (old, new), (then, now))
        differs = reasons_differ(then, now)
        for change in rule_changes:
            if change.kind in ("rule", "set-up rule", "calculation"):
                differs |= masks[change.name]
        asks = np.array([prepared[3][1].missing != prepared[4][1].missing for prepared in ready])
        results = []
        for row, (base, decision, case, _, _) in enumerate(ready):
            came = [name for name, mask in masks.items() if mask[row]]
            sides = [_outcome(side.outcomes[row]) for side in (then, now)]
            numbers = [
                _number(now.pick_figure(name)[row]) if now.picks[row] >= 0 else None
                for name in (PRICE, stored_form.MARGIN)
            ]
            result = self._one(base, decision, case, new, sides, came, bool(differs[row] or asks[row]), numbers)
            sale = sales[base.case]
            if sale is not None and sale.returned is None and ringing.may_fail(now, row, sale.kit):
                result.ring = ringing.reasons(new, case, sale.kit, self.book.record(decision))
            results.append(result)
        return results

    def _set_up_in_play(self, rule_changes, masks, deciders, sides):
        """Adds the masks of changed set-up rules: fired for the pick of a case on either side."""
        wanted = [change for change in rule_changes if change.kind == "set-up rule"]
        if not wanted:
            return
        rows = sides[0].derived.rows
        masks.update({change.name: np.zeros(rows, dtype=bool) for change in wanted})
        for decider, side in zip(deciders, sides):
            chainer = compile_plain(decider.knowledge, "setup")
            for row in np.flatnonzero(side.picks >= 0):
                place = int(side.picks[row])
                facts = decider.setting_up.facts(
                    side.derived.facts(row), side.kits.kits[place], side.figures, row, place
                )
                derived = chainer.derive(facts, _answered(side, row))
                for change in wanted:
                    masks[change.name][row] |= change.id in derived.fired()

    def _one(self, base, decision, case, new, sides, came, differs, numbers):
        as_told = _told(decision)
        result = _as_told(base, decision, came)
        # With the stored rules this program says the same as with the new ones: not the rules made the difference.
        result.program = sides[0] == sides[1] != as_told
        if sides[1] == as_told:
            result.kind = REASONS if differs else UNCHANGED
            result.price_new, result.margin_new = numbers
            return result
        return self._decided(result, decision, case, new, as_told, sides[1])

    def _decided(self, result, decision, case, new, as_told, expected):
        """A case that comes out differently, by the engines: its class, prices, and both sides for showing."""
        before = self.book.record(decision)
        try:
            after = record(new.decide(case), [])
        except AdvisorError as error:
            return dataclasses.replace(result, kind=LOST, why=str(error))
        outcome = stored_form.outcome(after)
        if outcome != expected:
            why = f"the bulk evaluator says {expected[:2]} and the engines {outcome[:2]}: report this."
            return dataclasses.replace(result, kind=LOST, why=why)
        result.kind = _class(as_told, outcome)
        if not result.in_play and not result.program:
            result.in_play = self._untouched(decision.knowledge or "").in_play_with_another_answer(case)
        result.set_up = outcome[:2] == as_told[:2] and outcome[2:] != as_told[2:]
        figures = after.picked.figures if after.picked else {}
        result.price_new, result.margin_new = figures.get(PRICE), figures.get(stored_form.MARGIN)
        result.sides = {"old": brief(before), "new": brief(after), "difference": difference(before, after)}
        return result


def _pair(history, number, digest):
    """(the entry of the answers, that of the decision on them)."""
    decision = next(entry for entry in history if entry.number == number and entry.digest == digest)
    return next(entry for entry in history if entry.number == decision.body["of"]), decision


def _told(decision):
    """What a decision told, as `stored_form.outcome` gives it."""
    return [decision.body[name] for name in ("outcome", "pick", "required", "cautions")]


def _as_told(base, decision, came):
    """The `Result` of a case in which the new rules tell what was told; ``came``: names of the changes in play."""
    body = decision.body
    return Result(
        decision.digest,
        base.case,
        UNCHANGED,
        body["currency"],
        price_old=body["price"],
        price_new=body["price"],
        margin_old=body["margin"],
        margin_new=body["margin"],
        in_play=came,
    )


def _passes(now, row, kit):
    return not now.missing[row] and kit in now.kits.ids and bool(now.passes[row, now.kits.ids.index(kit)])


def _with_sale(result, sale):
    if sale is not None and sale.returned is None:
        result.sold, result.sold_on = sale.kit, sale.on
    return result


def brief(record: "DecisionRecord") -> dict[str, Any]:
    """What a reader needs to see first of a `DecisionRecord`."""
    kit = record.picked
    figures = kit.figures if kit else {}
    return {
        "outcome": record.outcome,
        "pick": kit.id if kit else None,
        "price": figures.get(PRICE),
        "margin": figures.get(stored_form.MARGIN),
        "because": [check.sentence for check in record.pick.because] if record.pick else [],
        "given_up": [check.requirement for check in record.pick.given_up] if record.pick else [],
        "asks": record.asks,
        "conflicts": list(record.no_fit.conflicts) if record.no_fit else [],
    }


def _number(value):
    return None if np.isnan(value) else float(value)


def _class(as_told, outcome):
    if outcome[0] != as_told[0] and outcome[0] == outcomes.MORE_ANSWERS:
        return ASKS
    if outcome[0] != as_told[0] and outcome[0] == outcomes.NO_KIT:
        return NO_KIT
    return PICK if outcome[1] != as_told[1] else REASONS


def _outcome(outcome):
    """A bulk Outcome as `stored_form.outcome` gives it."""
    return [outcome[0], outcome[1], sorted(outcome[2]), sorted(outcome[3])]


def _lost(base, decision, error):
    as_told = _as_told(base, decision, [])
    return dataclasses.replace(as_told, kind=LOST, price_new=None, margin_new=None, why=str(error))


def _answered(side, row):
    return frozenset(name for name, mask in side.derived.answered.items() if mask[row])
