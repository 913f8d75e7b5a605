"""A diagnosis as data: what was told, every posting and its weight, the conclusion, and the rules it rests on.

Same signs and same rules give the same bytes, ``made_by`` aside.
"""

from typing import Any

from .. import __version__
from ..knowledge.complaint_model import ComplaintKnowledge
from .diagnosis import FOUND, Diagnosis

SCHEMA = "least-clutch complaint 1"


def as_data(diagnosis: Diagnosis, knowledge: ComplaintKnowledge) -> dict[str, Any]:
    """The whole diagnosis as JSON data."""
    rules = {rule.id: rule for rule in knowledge.rules}
    derivation = diagnosis.agreed.derivation
    return {
        "schema": SCHEMA,
        "complaint": diagnosis.complaint,
        "told": dict(sorted(diagnosis.told.items())),
        "sold": {"kit": diagnosis.sold.kit or None, "margin": _margin(diagnosis)},
        "state": diagnosis.state,
        "cause": diagnosis.cause.id if diagnosis.cause else None,
        "confirmed": diagnosis.state == FOUND,
        "class": diagnosis.cause.kind if diagnosis.cause else None,
        "beside": diagnosis.beside.id if diagnosis.cause and diagnosis.beside else None,
        "likely": [standing.cause.id for standing in diagnosis.likely],
        "withheld": diagnosis.withheld,
        "cautions": [
            {"id": caution.id, "text": caution.text, "rule": rule.id}
            for rule in diagnosis.cautions
            for caution in rule.cautions
        ],
        "causes": [
            {
                "cause": standing.cause.id,
                "class": standing.cause.kind,
                "start": standing.start,
                "points": standing.total,
                "arguments": [
                    {"rule": weight.rule, "group": weight.group, "points": weight.points, "came": weight.came}
                    for weight in standing.weights
                ],
            }
            for standing in diagnosis.standings
        ],
        "postings": sorted(
            (
                {
                    "rule": name,
                    "cause": argument.cause,
                    "sign": argument.sign,
                    "points": argument.points,
                    "group": argument.group,
                }
                for name in derivation.fired()
                for argument in rules[name].argue
            ),
            key=lambda posting: (posting["rule"], posting["cause"]),
        ),
        "firings": [
            {
                "rule": firing.id,
                "rule_hash": rules[firing.id].hash,
                "facts": dict(firing.facts),
                "because": rules[firing.id].because,
                "basis": {"kind": rules[firing.id].basis.kind, "source": rules[firing.id].basis.source},
            }
            for firing in derivation.firings
        ],
        "next": [
            {"symptom": check.symptom.name, "bits": check.bits, "minutes": check.minutes, "how": check.symptom.how}
            for check in diagnosis.checks
        ],
        "knowledge": {"complaints_sha256": knowledge.sha256, "rules_sha256": knowledge.shop.sha256},
        "made_by": {"program": __version__, "engines_agreed": diagnosis.agreed.engines_agreed},
    }


def _margin(diagnosis: Diagnosis) -> dict[str, Any] | None:
    at_sale = diagnosis.at_sale
    if at_sale is None:
        return None
    return {
        "state": at_sale.state,
        "holding": at_sale.holding,
        "demand_nm": at_sale.demand,
        "points": dict(sorted(at_sale.points.items())),
    }
