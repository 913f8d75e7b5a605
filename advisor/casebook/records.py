"""The decision record as bytes, and what of it the history keeps at hand for lists and comparisons."""

import json

from ..knowledge.model import Answer, Case

PRICE = "total_price"
MARGIN = "holding_margin"


def to_bytes(made):
    """The record as stored: canonical JSON in UTF-8."""
    return json.dumps(made, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()


def decided_bytes(made):
    """The bytes that a replay must give again: all but who made it and when."""
    return to_bytes({name: part for name, part in made.items() if name != "made_by"})


def picked(made):
    """The kit entry of the pick, or None."""
    return next((kit for kit in made["kits"] if kit["verdict"] == "picked"), None)


def outcome(made):
    """[outcome, pick, required set-up ids, safety caution ids]: what a change is measured by, as JSON data."""
    required = [one["id"] for part in made["setup"].values() for one in part if one["level"] == "required"]
    cautions = [one["id"] for one in made["cautions"] if one["safety"]]
    return [made["outcome"], made["pick"]["kit"] if made["pick"] else None, sorted(required), sorted(cautions)]


def summary(made, currency=None):
    """What the entry of a decision says about its record; ``currency`` of the pick's price."""
    kit = picked(made)
    figures = kit["figures"] if kit else {}
    told, pick, required, cautions = outcome(made)
    return {
        "outcome": told,
        "pick": pick,
        "required": required,
        "cautions": cautions,
        "asks": made["asks"],
        "price": figures.get(PRICE),
        "currency": currency if kit else None,
        "margin": figures.get(MARGIN),
        "invented": made["case"]["invented"],
    }


def case_of(stored):
    """The Case from the ``case`` part of a record."""
    answers = {name: Answer(_value(one["value"]), one["from"]) for name, one in stored["answers"].items()}
    return Case(stored["id"], stored["platform"] or "", answers, tuple(sorted(stored["unknown"])))


def part_of(case):
    """The stored form of a Case: what `case_of` takes."""
    return {
        "id": case.id,
        "platform": case.platform or None,
        "unknown": sorted(case.unknown),
        "answers": {
            name: {"value": list(one.value) if isinstance(one.value, tuple) else one.value, "from": one.origin}
            for name, one in sorted(case.answers.items())
        },
    }


def _value(value):
    return tuple(value) if isinstance(value, list) else value
