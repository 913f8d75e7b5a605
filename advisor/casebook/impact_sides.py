"""What both engines make of a row: whether they come to the same, of a few rows of each batch; and both decisions in
full, side by side, of those that somebody looks at.
"""

import dataclasses
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from ..deciding.ladder import PRICE
from ..deciding.outcomes import outcome_of
from ..deciding.recording import record
from ..engine.calculating import round_digits
from ..errors import AdvisorError
from . import stored_form
from .difference import difference
from .impact_result import ENGINES, LOST, SIDE, Result

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from ..deciding.decision_record import DecisionRecord
    from ..knowledge.case_model import Case

#: Of the cases of a batch that come out otherwise, the first and every so many after it are decided by both engines.
EVERY = 100


def sample(results: Sequence[Result]) -> list[Result]:
    """The rows of a batch that both engines decide too: the same ones whoever works on it."""
    return sorted((result for result in results if result.new is not None), key=lambda result: result.number)[::EVERY]


def checked(result: Result, new: "Decider", case: "Case") -> Result:
    """A row of the bulk evaluator that both engines came to as well; else it cannot be replayed, and says why."""
    try:
        decision = new.decide(case)
    except AdvisorError as error:
        return _without(result, str(error))
    outcome = outcome_of(decision)
    by_engines = [
        outcome.outcome,
        outcome.pick,
        sorted(outcome.required),
        sorted(outcome.cautions),
        list(decision.asks),
    ]
    pick = decision.pick
    figures = [None if pick is None else decision.figures.value(name, 0, pick) for name in (PRICE, stored_form.MARGIN)]
    return _held_against(result, by_engines, [None if figure is None else round_digits(figure) for figure in figures])


def in_full(result: Result, as_stored: "DecisionRecord", new: "Decider", case: "Case") -> Result:
    """A row that comes out otherwise, with both decisions: ``as_stored``, and on ``case`` by the new rules.

    Where the engines do not come to what the row says, it becomes one that cannot be replayed, and says why.
    """
    try:
        now = record(new.decide(case), [])
    except AdvisorError as error:
        return _without(result, str(error))
    side = brief(now)
    whole = _held_against(result, [*stored_form.outcome(now), now.asks], [side["price"], side["margin"]])
    if whole.kind == LOST:
        return whole
    whole.sides = {"old": brief(as_stored), "new": side, "difference": difference(as_stored, now)}
    return whole


def _held_against(result, by_engines, figures):
    """A row by the bulk evaluator, held against what both engines come to."""
    bulk = result.new | dict(zip(_FIGURES, [result.price_new, result.margin_new]))
    engines = dict(zip((*SIDE, *_FIGURES), [*by_engines, *figures]))
    wrong = [name for name in engines if engines[name] != bulk[name]]
    if wrong:
        said, says = ({name: each[name] for name in wrong} for each in (bulk, engines))
        return _without(result, f"the bulk evaluator says {said} and the engines {says}: report this.")
    return dataclasses.replace(result, worked_out=ENGINES)


_FIGURES = ("price", "margin")


def _without(result, why):
    return dataclasses.replace(result, kind=LOST, why=why, new=None, old=None, price_new=None, margin_new=None)


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
