"""What lies around a decision as JSON data: how far it may lie, wishes, near misses, close calls; parts of a record."""

from typing import TYPE_CHECKING, Any

from .around import Around
from .ladder import PRICE
from .limits import plain

if TYPE_CHECKING:
    from .decide import Decision


def around_part(decision: "Decision", around: Around) -> dict[str, Any]:
    """The parts of the record that come from an `Around`, by their names there."""
    return {
        "span": _span(decision, around.span),
        "wishes": [
            {
                "fact": wish.fact,
                "requirements": list(wish.requirements),
                "assumed": wish.assumed,
                "without": _beside(wish.without),
            }
            for wish in around.wishes
        ],
        "near_misses": [
            {
                "requirement": near_miss.requirement,
                "needed": near_miss.needed,
                "actual": near_miss.actual,
                "beside": _beside(near_miss.beside),
            }
            for near_miss in around.near_misses
        ],
        "close_calls": [
            {
                "fact": close_call.fact,
                "value": close_call.value,
                "at": close_call.at,
                "becomes": close_call.becomes,
                "low": close_call.low,
                "high": close_call.high,
            }
            for close_call in around.close_calls
        ],
    }


def _beside(beside):
    return {
        "kit": beside.kit,
        "differences": [dict(step) for step in beside.differences],
        "delivery": beside.delivery,
        "pick_delivery": beside.pick_delivery,
    }


def _saves(decision, span):
    """What the settling answer could save at most: from the pick, else the careful end, down to the gentle end."""
    careful = span.careful.price if span.careful.kit else None
    dearer = careful if decision.pick is None else decision.figures.value(PRICE, 0, decision.pick)
    if not span.narrows or span.gentle.kit is None or None in (dearer, span.gentle.price):
        return None
    saved = round(dearer - span.gentle.price, 2)
    return saved if saved > 0 else None


def _span(decision, span):
    if span is None:
        return None
    open_fit = {"fit_open": True} if span.fit_open else {}
    return open_fit | {
        "completions": span.completions,
        "discarded": span.discarded,
        "doubtful": list(span.doubtful),
        "readings": span.readings,
        "gentle_end": _end(span.gentle),
        "careful_end": _end(span.careful),
        "likely": None
        if span.likely is None
        else {key: _end(span.likely)[key] for key in ("kit", "picked_in", "holds_in", "suits_in")},
        "saves": _saves(decision, span),
        "narrows": [{"fact": narrow.fact, "from": narrow.before, "to": narrow.after} for narrow in span.narrows],
    }


def _end(end):
    return {
        "kit": end.kit,
        "best": end.best,
        "picked_in": end.picked_in,
        "holds_in": end.holds_in,
        "suits_in": end.suits_in,
        "price": end.price,
        "otherwise": [{"fact": fact, "value": plain(value), "share": share} for fact, value, share in end.otherwise],
    }
