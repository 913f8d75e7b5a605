"""A case as JSON data: the ``case`` part of a record, and of an entry of the casebook."""

from typing import Any

from ..knowledge.case_model import Case
from .limits import plain


def case_part(case: Case) -> dict[str, Any]:
    """What `decision_record.recorded_case` reads."""
    answers = {name: _answer(answer) for name, answer in sorted(case.answers.items())}
    return {
        "id": case.id,
        "platform": case.platform or None,
        "answers": answers,
        "unknown": sorted(case.unknown),
        "changed": [
            {"fact": change.fact, "before": plain(change.before), "after": plain(change.after)}
            for change in case.changed
        ],
        "insist": sorted(case.insist),
    }


def _answer(answer):
    ends = {} if answer.low is None else {"low": answer.low, "high": answer.high}
    return {"value": plain(answer.value), "from": answer.origin, **ends}
