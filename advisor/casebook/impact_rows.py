"""The rows of one batch of stored cases: what the new rules tell, by the bulk evaluator, held against what was told.

All cases of a batch share their stored knowledge and their car. Cases that no changed rule touches are left as told.
The others are decided by the new rules alone where it is known what came into play, and by both rules where not.
"""

import dataclasses
import functools
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from ..deciding import outcomes
from ..deciding.batch import pieces
from ..deciding.consistency import Clashes
from ..deciding.ladder import PRICE
from ..deciding.unknowns import needed
from ..engine.calculating import round_digits
from ..engine.fact_columns import Cases, some_of
from ..engine.plain import compile_plain
from ..errors import AdvisorError
from . import ringing, stored_form
from .carrying_over import carried_over
from .comparing import reasons_differ
from .impact_result import ASKS, BULK, LOST, NO_KIT, PICK, REASONS, SIDE, UNCHANGED, Result
from .rule_changes import RuleChange, in_play

if TYPE_CHECKING:
    from ..deciding.answers import Known
    from ..deciding.batch import Batched
    from ..deciding.decide import Decider
    from ..deciding.decision_record import DecisionRecord
    from ..knowledge.case_model import Case
    from ..knowledge.model import Record
    from .entries import Entry
    from .sales import Sale
    from .untouched import Played, Untouched

#: Cases decided together: few enough that the arrays of one stage are still at hand for the next, and enough that what
#: is done once for all of them does not count.
TOGETHER = 512


@dataclass(slots=True)
class StoredCase:
    """The ``decision`` on a ``case``, that case's ``number``, and the sale that stands, returned or not.

    ``came``: names of the changes in play, ``otherwise``: whether one may bear with another answer, ``again``: whether
    this program made it, and ``row``: its place in the columns of `Played`, once that is known (-1: it is not).
    """

    number: int
    decision: "Entry"
    case: "Case"
    sale: "Sale | None"
    came: list[str] = field(default_factory=list)
    otherwise: bool = False
    again: bool = False
    row: int = -1

    @property
    def told(self) -> list[Any]:
        """What the decision told, as `stored_form.outcome` gives it."""
        return [self.decision.body[name] for name in ("outcome", "pick", "required", "cautions")]

    @property
    def sold(self) -> str | None:
        """The kit that was sold and is still with its buyer."""
        return self.sale.kit if self.sale is not None and self.sale.returned is None else None

    def as_told(self) -> Result:
        """The `Result` where the new rules tell what was told."""
        body = self.decision.body
        return Result(
            self.decision.digest,
            self.number,
            UNCHANGED,
            body["currency"],
            price_old=body["price"],
            price_new=body["price"],
            margin_old=body["margin"],
            margin_new=body["margin"],
            in_play=self.came,
            told_on=self.decision.at[:10],
            sold=self.sold,
            sold_on=self.sale.on if self.sold and self.sale else None,
        )

    def lost(self, error: AdvisorError) -> Result:
        """The `Result` where it cannot be told what the new rules tell."""
        return dataclasses.replace(
            self.as_told(), kind=LOST, price_new=None, margin_new=None, in_play=[], why=str(error)
        )


class BatchRows:
    """Makes rows with one pair of rules: deciders by the ``old`` and the ``new`` ones over kits of their day.

    ``record_of``: reads the stored record of a decision.
    """

    def __init__(
        self, old: "Decider", new: "Decider", untouched: "Untouched", record_of: "Callable[[Entry], DecisionRecord]"
    ) -> None:
        self.old, self.new, self.untouched, self._record_of = old, new, untouched, record_of

    def of(self, cases: Sequence[StoredCase]) -> list[Result]:
        """A `Result` for each case of one car, in their order."""
        results: dict[str, Result] = {}
        played = self._played(cases)
        in_play, to_decide, others = [], [], []
        for case in cases:
            if case.row < 0:
                others.append(case)
            elif self._stays(case):
                results[case.decision.digest] = case.as_told()
            # Whether ranges contradict each other is asked of every mix of their ends, case by case.
            elif any(answer.low is not None for answer in case.case.answers.values()):
                to_decide.append(case)
            else:
                in_play.append(case)
        by_columns = functools.partial(self._by_columns, played)
        for some, rows_of in ((in_play, by_columns), (to_decide, self._by_new), (others, self._by_both)):
            for piece in pieces(len(some), TOGETHER):
                results |= {result.digest: result for result in self._each_if_need_be(rows_of, some[piece])}
        return [results[case.decision.digest] for case in cases]

    # --- which way a case goes

    def _played(self, cases: Sequence[StoredCase]) -> "Played":
        """What came into play; noted in the cases of which it is known, which then have a row."""
        maybe = [case for case in cases if self.untouched.may_be(case.case)]
        played = self.untouched.played(
            [case.case for case in maybe],
            [case.decision for case in maybe],
            maybe[0].case.platform if maybe else "",
        )
        for row, case in enumerate(maybe):
            if not played.sure[row]:
                continue
            case.came = [name for name, mask in played.masks.items() if mask[row]]
            case.otherwise = bool(played.open_to_others[row])
            case.again = self.untouched.by_this_program(case.decision)
            case.row = row
        return played

    def _stays(self, case):
        # A clutch other than the pick might fail what the pick does not.
        other = case.sold is not None and case.sold != case.decision.body["pick"]
        return not (case.came or other or not case.again or case.otherwise)

    def _each_if_need_be(self, rows_of, cases):
        """Rows of a batch; where one case stops it all, of each half, so that the others are not lost with it."""
        try:
            return rows_of(cases)
        except AdvisorError as error:
            if len(cases) == 1:
                return [cases[0].lost(error)]
            half = len(cases) // 2
            return [result for part in (cases[:half], cases[half:]) for result in self._each_if_need_be(rows_of, part)]

    # --- decided by the new rules

    def _by_columns(self, played, cases):
        """Rows of cases whose facts are there as columns already."""
        batch = self.new.batch
        car = self.new.shop.platform(cases[0].case.platform) if cases[0].case.platform else None
        given = some_of(played.cases, np.array([case.row for case in cases]))
        bare, none = self.new.bare(cases[0].case.platform), np.zeros(len(cases), dtype=bool)
        said = {
            name: (values, _both(known, given.answered.get(name, none)))
            if bare.origins.get(name) == "assumed"
            else (values, known)
            for name, (values, known) in given.columns.items()
        }
        missing = none | batch.consistency.stopping(said, given.answered, len(cases)).any(axis=0)
        for name in bare.missing:
            missing |= np.array([name not in case.case.answers for case in cases], dtype=bool)

        def decided(cases: Cases, missing: np.ndarray, *, lean: bool) -> "Batched":
            return batch.run_columns(cases.columns, cases.answered, missing, car, lean=lean)

        now = decided(given, missing, lean=True)
        now.ask_first = batch.look_for_first_in(now, given, bare.assumptions, car)
        return self._against_told(
            cases, now, lambda rows: decided(some_of(given, np.array(rows)), missing[rows], lean=False)
        )

    def _by_new(self, cases):
        """Rows of cases of which it is known what came into play."""
        car, knowns = _gathered(self.new, [case.case for case in cases])
        now = self.new.batch.run(knowns, car, lean=True)
        return self._against_told(
            cases, now, lambda rows: self.new.batch.run([knowns[row] for row in rows], car, ask_first=False)
        )

    def _against_told(self, cases, now, whole_of):
        """Rows of a lean batch by the new rules, each held against what was told.

        ``whole_of``: decides some of the cases, by their rows, not lean.
        """
        comes_to = [_outcome(outcome) for outcome in now.outcomes]
        # With the stored rules this program says the same: not the rules made the difference.
        unsure = [row for row, case in enumerate(cases) if not case.again and comes_to[row] != case.told]
        then: dict[int, list[Any]] = {}
        if unsure:
            car_then, knowns_then = _gathered(self.old, [cases[row].case for row in unsure])
            lean = self.old.batch.run(knowns_then, car_then, lean=True)
            then = dict(zip(unsure, map(_outcome, lean.outcomes)))
        results, figures = [], _figures_of_picks(now)
        for row, case in enumerate(cases):
            result = self._row(case, now, row, figures)
            if result.kind == UNCHANGED and case.came:
                result.kind = REASONS
            result.program = then.get(row) == comes_to[row] != case.told
            results.append(result)
        # Of a kit that failed one must a lean batch does not tell which others it fails.
        doubtful = [row for row, case in enumerate(cases) if case.sold is not None and not _passes(now, row, case.sold)]
        if doubtful:
            whole = whole_of(doubtful)
            for place, row in enumerate(doubtful):
                self._ring(results[row], cases[row], whole, place)
        return self._named(cases, results)

    def _by_both(self, cases):
        """Rows of cases decided by both rules, to see what came into play."""
        carried = [
            dataclasses.replace(case, case=carried_over(case.case, self.old.knowledge, self.new.knowledge))
            for case in cases
        ]
        car_then, knowns_then = _gathered(self.old, [case.case for case in cases])
        car, knowns = _gathered(self.new, [case.case for case in carried])
        then, now = self.old.batch.run(knowns_then, car_then), self.new.batch.run(knowns, car)
        masks, differs = self._in_play(then, now)
        results, figures = [], _figures_of_picks(now)
        for row, case in enumerate(carried):
            case.came = [name for name, mask in masks.items() if mask[row]]
            result = self._row(case, now, row, figures)
            if result.kind == UNCHANGED and (differs[row] or knowns_then[row].missing != knowns[row].missing):
                result.kind = REASONS
            result.program = _outcome(then.outcomes[row]) == _outcome(now.outcomes[row]) != case.told
            if case.sold is not None:
                self._ring(result, case, now, row)
            results.append(result)
        return self._named(carried, results)

    def _in_play(self, then, now):
        """({change: mask of the cases it came into play in}, mask of the cases with other reasons)."""
        rule_changes = self.untouched.changes
        masks = {change.name: in_play(change, (then, now)) for change in rule_changes if change.kind != "set-up rule"}
        masks |= self._set_up_in_play([change for change in rule_changes if change.kind == "set-up rule"], then, now)
        differs = reasons_differ(then, now)
        for change in rule_changes:
            if change.kind in ("rule", "set-up rule", "calculation"):
                differs |= masks[change.name]
        return masks, differs

    def _set_up_in_play(self, wanted: list[RuleChange], then, now):
        """The masks of changed set-up rules: fired for the pick of a case on either side."""
        masks = {change.name: np.zeros(then.derived.rows, dtype=bool) for change in wanted}
        for decider, side in ((self.old, then), (self.new, now)) if wanted else ():
            chainer = compile_plain(decider.knowledge, "setup")
            for row in map(int, np.flatnonzero(side.picks >= 0)):
                place = int(side.picks[row])
                facts = decider.setting_up.facts(
                    side.derived.facts(row), side.kits.kits[place], side.figures, row, place
                )
                derived = chainer.derive(facts, _answered(side, row))
                for change in wanted:
                    masks[change.name][row] |= change.id in derived.fired()
        return masks

    # --- one row

    def _row(self, case: StoredCase, now: "Batched", row: int, figures: Sequence[np.ndarray]) -> Result:
        """A case by the new rules, held against what was told; ``figures``: price and margin of each case's pick."""
        result, comes_to = case.as_told(), _outcome(now.outcomes[row])
        result.worked_out = BULK
        picked = now.picks[row] >= 0
        result.price_new, result.margin_new = (_number(of_picks[row]) if picked else None for of_picks in figures)
        if comes_to == case.told:
            return result
        asks = []
        if comes_to[0] == outcomes.MORE_ANSWERS:
            _, (known,) = _gathered(self.new, [case.case])
            missing = () if known.declined else needed(self.new.knowledge, known.missing, now.derived.facts(row))
            asks = list(missing or self.new.batch.asks(now, row))
        body = case.decision.body
        result.kind = _class(case.told, comes_to)
        result.set_up = comes_to[:2] == case.told[:2]
        result.old = {name: body[name] for name in SIDE}
        result.new = dict(zip(SIDE, [*comes_to, asks]))
        return result

    def _named(self, cases, results):
        """The rows, each that comes out otherwise with the changes that account for it."""
        for case, result in zip(cases, results):
            if result.new is not None and not result.in_play and not result.program:
                result.in_play = self.untouched.in_play_with_another_answer(case.case)
        return results

    def _ring(self, result, case, now, row):
        if ringing.may_fail(now, row, case.sold):
            result.ring = ringing.reasons(self.new, case.case, case.sold, self._record_of(case.decision))


def _gathered(decider: "Decider", cases: "Iterable[Case]") -> "tuple[Record | None, list[Known]]":
    """(the car, `Known` facts of each case), contradictions that stop a case looked for in all of them at once."""
    cases = list(cases)
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


def _both(known, answered):
    return answered if known is None else known & answered


def _figures_of_picks(now):
    return [now.pick_figure(name) for name in (PRICE, stored_form.MARGIN)]


def _passes(now, row, kit):
    return not now.missing[row] and kit in now.kits.ids and bool(now.passes[row, now.kits.ids.index(kit)])


def _number(value):
    return None if np.isnan(value) else round_digits(float(value))


def _class(as_told, comes_to):
    if comes_to[0] != as_told[0] and comes_to[0] == outcomes.MORE_ANSWERS:
        return ASKS
    if comes_to[0] != as_told[0] and comes_to[0] == outcomes.NO_KIT:
        return NO_KIT
    return PICK if comes_to[1] != as_told[1] else REASONS


def _outcome(outcome):
    """A bulk Outcome as `stored_form.outcome` gives it."""
    return [outcome[0], outcome[1], sorted(outcome[2]), sorted(outcome[3])]


def _answered(side, row):
    return frozenset(name for name, mask in side.derived.answered.items() if mask[row])
