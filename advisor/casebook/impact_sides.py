"""Both decisions of a row in full, by both engines, side by side: made for those that somebody looks at, and for a few
of each batch, to see whether the bulk evaluator told the same.
"""

import dataclasses
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from ..deciding.ladder import PRICE
from ..deciding.recording import record
from ..errors import AdvisorError
from . import stored_form
from .difference import difference
from .impact_result import ENGINES, LOST, SIDE, Result

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from ..deciding.decision_record import DecisionRecord
    from ..knowledge.case_model import Case

#: Of the cases of a batch that come out otherwise, the first and every so many after it are decided in full.
EVERY = 100


def sample(results: Sequence[Result]) -> list[Result]:
    """The rows of a batch that are decided in full: the same ones whoever works on it."""
    return sorted((result for result in results if result.new is not None), key=lambda result: result.number)[::EVERY]


def in_full(result: Result, as_stored: "DecisionRecord", new: "Decider", case: "Case") -> Result:
    """A row that comes out otherwise, with both decisions: ``as_stored``, and on ``case`` by the new rules.

    Where the engines do not come to what the row says, it becomes one that cannot be replayed, and says why.
    """
    try:
        now = record(new.decide(case), [])
    except AdvisorError as error:
        return _without(result, str(error))
    side = brief(now)
    by_bulk = (result.new or {}) | {"price": result.price_new, "margin": result.margin_new}
    by_engines = dict(zip(SIDE, [*stored_form.outcome(now), now.asks])) | {
        name: side[name] for name in ("price", "margin")
    }
    wrong = [name for name in by_engines if by_engines[name] != by_bulk[name]]
    if wrong:
        said, says = ({name: each[name] for name in wrong} for each in (by_bulk, by_engines))
        return _without(result, f"the bulk evaluator says {said} and the engines {says}: report this.")
    sides = {"old": brief(as_stored), "new": side, "difference": difference(as_stored, now)}
    return dataclasses.replace(result, sides=sides, worked_out=ENGINES)


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
