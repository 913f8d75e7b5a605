"""How sure: the probability of holding in each state, and what the seller's rating alone would have said."""

from typing import Any

from ..deciding.decision_record import JudgedKit
from ..knowledge.sentences import sentence
from .layout import block, table
from .trade_words import PlainWords
from .worded import WordedRecord

#: Figures of the holding probability, in the order they are told, with the state of the clutch in words.
STATES = (
    ("holding_probability_new", "new, not bedded in"),
    ("holding_probability_bedded", "bedded in"),
    ("holding_probability_hot", "bedded in and hot"),
    ("holding_probability_worn", "worn"),
    ("holding_probability", "worn and warm"),
)
#: The torque a rating is held against, and the kit's torque it promises.
DEMAND, BEDDED, RATING = "demand_torque", "capacity_bedded_nm", "seller_rating"


def sureness(worded: WordedRecord) -> dict[str, Any]:
    """{probabilities: [{figure, state, value}], rating: {...} or None, sentences: [...]} of the pick."""
    kit = worded.kits[worded.picked]
    known = [(name, state) for name, state in STATES if name in kit.figures]
    probabilities = [{"figure": name, "state": state, "value": kit.figures[name]} for name, state in known]
    rating = _rating(worded)
    return {"probabilities": probabilities, "rating": rating, "sentences": rating["sentences"] if rating else []}


def _rating(worded: WordedRecord):
    """What choosing by the seller's rating would have come to: the gentlest fitting kit rated for the torque."""
    demand: Any = worded.record.value(DEMAND)
    if demand is None:
        return None
    wording, own = worded.wording, worded.fields(worded.picked).get(RATING)
    sentences = []
    if own is not None:
        computed = worded.record.figure(worded.picked, BEDDED)
        sentences.append(sentence(f"Its seller rates it at {wording.value(RATING, own)}"))
        if computed is not None:
            sentences.append(
                sentence(f"Worked out, it holds {wording.value(BEDDED, computed)} bedded in at new clamp load")
            )
    by_rating = next(
        (
            kit.id
            for kit in worded.record.fitting
            if (worded.fields(kit.id).get(RATING) or 0) >= demand and _sold(worded, kit)
        ),
        None,
    )
    verdict = None
    if by_rating is None:
        sentences.append(sentence(f"No kit for this car is rated for {wording.value(DEMAND, demand)}"))
    elif by_rating == worded.pick:
        sentences.append("Going by ratings alone would have led to the same kit.")
    else:
        verdict = worded.kits[by_rating].verdict
        sentences.append(sentence(f"Going by ratings alone, {wording.title(by_rating)} would have been sold"))
        sentences += _fate(worded, by_rating)
    return {"own": own, "demand": demand, "kit": by_rating, "verdict": verdict, "sentences": sentences}


def _sold(worded: WordedRecord, kit: JudgedKit):
    """Whether it can be sold at all: it fails nothing of the topic fit."""
    return all(worded.requirements[check.requirement].topic != "fit" for check in kit.failed)


def _fate(worded: WordedRecord, kit: str):
    held = worded.kits[kit]
    if held.verdict == "failed":
        check = held.failed[0]
        return [
            "It fails.",
            sentence(worded.demand(check)),
            sentence(worded.has(check, "it")),
        ]
    if held.verdict == "unjudged":
        return [sentence(f"It cannot be judged: {worded.lacking(held.unknown[0]) or 'too much about it is not known'}")]
    return ["It would hold as well, but it is not the least that does the job."]


def sureness_lines(
    worded: WordedRecord, data: dict[str, Any], width: int, plain: PlainWords | None = None
) -> list[str]:
    """The data of `sureness` as lines."""
    rows = [
        [probability["state"], worded.wording.value(probability["figure"], probability["value"])]
        for probability in data["probabilities"]
    ]
    lines = ["", "How sure it is to hold", *table(["state", "holds in"], rows, width)] if rows else []
    words = plain.after(data["sentences"]) if plain else []
    return (
        lines + block("What the seller's rating would have said", [" ".join([*data["sentences"], *words])], width)
        if data["sentences"]
        else lines
    )
