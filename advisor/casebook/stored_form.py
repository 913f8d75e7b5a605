"""The decision record as bytes, and what of it the history keeps at hand for lists and comparisons."""

import functools
import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

from ..deciding.decision_record import SCHEMA, DecisionRecord, recorded_case
from ..knowledge.case_model import Answer, Case
from .entries import NAMELESS

if TYPE_CHECKING:
    from .entries import Entry

#: Records whose summaries are kept at hand while many decisions are held against theirs.
RECORDS = 4096
PRICE = "total_price"
MARGIN = "holding_margin"


def to_bytes(record: DecisionRecord) -> bytes:
    """The record as stored: canonical JSON in UTF-8, without the name of its case, which stands apart."""
    return _bytes(named(record, NAMELESS).data)


def named(record: DecisionRecord, name: str) -> DecisionRecord:
    """The record of a case of another name."""
    return DecisionRecord.of({**record.data, "case": {**record.data["case"], "id": name}})


def _bytes(data):
    return json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()


def decided_bytes(record: DecisionRecord, *aside: str) -> bytes:
    """The bytes that a replay must give again: all but who made it and when; ``aside``: further parts to leave out."""
    return _bytes({name: part for name, part in record.data.items() if name not in ("made_by", *aside)})


def outcome(record: DecisionRecord) -> list:
    """[outcome, pick, required set-up ids, safety caution ids]: what a change is measured by, as JSON data."""
    required = [item.id for _, item in record.setup.items() if item.level == "required"]
    cautions = [caution.id for caution in record.cautions if caution.safety]
    return [record.outcome, record.pick_id, sorted(required), sorted(cautions)]


def summary(record: DecisionRecord, currency: str | None = None) -> dict:
    """What the entry of a decision says about its record; ``currency`` of the pick's price."""
    kit = record.picked
    figures = kit.figures if kit else {}
    outcome_name, pick, required, cautions = outcome(record)
    return {
        "outcome": outcome_name,
        "pick": pick,
        "required": required,
        "cautions": cautions,
        "asks": record.asks,
        "price": figures.get(PRICE),
        "currency": currency if kit else None,
        "margin": figures.get(MARGIN),
        "invented": record.case.invented,
    }


def case_of(stored: dict) -> Case:
    """The Case from the ``case`` part of a record or of an entry."""
    if stored.keys() <= _PLAIN_CASE and not stored.get("changed"):
        # As `recorded_case` reads it; most are like this, and a run over a casebook reads every one.
        answers = {}
        for name, answer in stored["answers"].items():
            value = answer["value"]
            if type(value) in _CHOSEN and len(answer) == 2:
                answers[name] = _chosen(value, answer["from"])
            else:
                value = tuple(value) if type(value) is list else value
                answers[name] = Answer(value, answer["from"], answer.get("low"), answer.get("high"))
        unknown, insist = (tuple(sorted(stored.get(name) or ())) for name in ("unknown", "insist"))
        return Case(stored["id"], stored["platform"] or "", answers, unknown, insist)
    return recorded_case(stored).as_case()


#: An answer that is a choice or a flag, as many callers give it.
_chosen = functools.lru_cache(4096)(Answer)
_CHOSEN = (str, bool)


_PLAIN_CASE = {"id", "platform", "unknown", "answers", "insist", "changed"}


#: What is wrong with bytes that are no decision record.
NO_RECORD = "has a decision record that is none"


def sound(body: bytes) -> DecisionRecord | None:
    """The record of stored bytes, or None where they are none."""
    try:
        record = DecisionRecord.of(json.loads(body))
        if record.schema == SCHEMA:
            summary(record)
            return record
    except Exception:
        # Whatever its parts are of instead of what they should be.
        pass
    return None


def fault(body: bytes) -> str:
    """What is wrong with the bytes of a stored decision record, in words; "" where nothing is."""
    return "" if sound(body) else NO_RECORD


class SaidByRecord(NamedTuple):
    """What a record says that the entry of its decision must say too: its summary, and the currencies of its parts."""

    summary: dict[str, Any]
    currencies: frozenset[str]


def said(record: DecisionRecord) -> SaidByRecord:
    """`SaidByRecord` of a record."""
    others = {item.currency for _, item in record.setup.items() if item.price is not None and item.currency}
    return SaidByRecord(summary(record), frozenset(others))


def said_fault(entry_says: dict, record: SaidByRecord) -> str:
    """How what the entry of a decision says differs from what its record says, in words; "" where it does not."""
    true = record.summary | ({"currency": entry_says.get("currency")} if record.summary["pick"] else {})
    wrong = sorted(name for name in true if entry_says.get(name) != true[name])
    if entry_says.get("currency") and record.currencies and entry_says["currency"] not in record.currencies:
        wrong.append("currency")
    return f"says something else than its decision record about {', '.join(wrong)}" if wrong else ""


class Records:
    """Holds decisions against their stored records; each record is read once, for cases decided alike share one.

    ``body_of``: the bytes stored under a name, None where what is wrong with them is told of elsewhere.
    """

    def __init__(self, body_of: Callable[[str], bytes | None]) -> None:
        self._body_of = body_of
        self._told = functools.lru_cache(RECORDS)(self._read)

    def fault(self, entry: "Entry") -> str:
        """What is wrong between the entry of a decision and its record, in words; "" where nothing is, or for another
        kind of entry.
        """
        if entry.kind != "decision" or not entry.record:
            return ""
        wrong, record = self._told(entry.record)
        return wrong if record is None else said_fault(entry.body, record)

    def _read(self, name):
        """(what is wrong with the record of that name itself, what it says or None)."""
        body = self._body_of(name)
        record = None if body is None else sound(body)
        if record is None:
            return ("" if body is None else NO_RECORD), None
        return "", said(record)


def summary_fault(entry_says: dict, record: DecisionRecord) -> str:
    """As `said_fault`, from the record itself."""
    return said_fault(entry_says, said(record))
