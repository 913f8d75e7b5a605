"""How sure: the probability of holding in each state, and what the seller's rating alone would have said."""

from ..knowledge.sentences import sentence
from .layout import block, table

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


def sureness(view):
    """{probabilities: [{figure, state, value}], rating: {...} or None, sentences: [...]} of the pick."""
    kit = view.kits[view.pick]
    known = [(name, state) for name, state in STATES if name in kit["figures"]]
    told = [{"figure": name, "state": state, "value": kit["figures"][name]} for name, state in known]
    rating = _rating(view)
    return {"probabilities": told, "rating": rating, "sentences": rating["sentences"] if rating else []}


def _rating(view):
    """What choosing by the seller's rating would have come to: the gentlest fitting kit rated for the torque."""
    demand = view.value(DEMAND)
    if demand is None:
        return None
    wording, own = view.wording, view.fields(view.pick).get(RATING)
    sentences = []
    if own is not None:
        computed = view.figure(view.pick, BEDDED)
        sentences.append(sentence(f"Its seller rates it at {wording.value(RATING, own)}"))
        if computed is not None:
            sentences.append(
                sentence(f"Worked out, it holds {wording.value(BEDDED, computed)} bedded in at new clamp load")
            )
    by_rating = next(
        (
            kit["id"]
            for kit in view.fitting()
            if (view.fields(kit["id"]).get(RATING) or 0) >= demand and _sold(view, kit)
        ),
        None,
    )
    verdict = None
    if by_rating is None:
        sentences.append(sentence(f"No kit for this car is rated for {wording.value(DEMAND, demand)}"))
    elif by_rating == view.pick:
        sentences.append("Going by ratings alone would have led to the same kit.")
    else:
        verdict = view.kits[by_rating]["verdict"]
        sentences.append(sentence(f"Going by ratings alone, {wording.title(by_rating)} would have been sold"))
        sentences += _fate(view, by_rating)
    return {"own": own, "demand": demand, "kit": by_rating, "verdict": verdict, "sentences": sentences}


def _sold(view, kit):
    """Whether it can be sold at all: it fails nothing of the topic fit."""
    return all(view.requirements[one["requirement"]]["topic"] != "fit" for one in kit["failed"])


def _fate(view, kit):
    held = view.kits[kit]
    if held["verdict"] == "failed":
        failed = view.requirements[held["failed"][0]["requirement"]]
        measure, entry = failed["measure"], held["failed"][0]
        needed = view.wording.needed(failed["compare"], measure, entry["needed"], entry["actual"])
        return [
            "It fails.",
            sentence(f"{view.wording.label(measure)}: {needed} is needed"),
            sentence(view.wording.has(measure, entry["actual"], entry["needed"], "it")),
        ]
    if held["verdict"] == "unjudged":
        return ["Too little is published about it to judge it."]
    return ["It would hold as well, but it is not the least that does the job."]


def sureness_lines(view, told, width, plain=None):
    """The data of `sureness` as lines."""
    rows = [[one["state"], view.wording.value(one["figure"], one["value"])] for one in told["probabilities"]]
    lines = ["", "How sure it is to hold", *table(["state", "holds in"], rows, width)] if rows else []
    words = plain.after(told["sentences"]) if plain else []
    return (
        lines + block("What the seller's rating would have said", [" ".join([*told["sentences"], *words])], width)
        if told["sentences"]
        else lines
    )
