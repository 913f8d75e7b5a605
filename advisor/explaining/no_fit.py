"""No kit fits: what cannot be had together, what would have to be given up for which kit, and what would help."""

from collections import Counter

from ..deciding.decide import NO_KIT
from ..knowledge.sentences import sentence
from .declined import declines, no_kit_lines
from .layout import block, wrap

SHOWN = 4


def no_fit(view):
    """{conflicts, corrections, changes, dimensions} of a case no kit fits, each with sentences; None otherwise.

    ``dimensions``: where no kit fits the car at all, how many kits each dimension refuses.
    """
    held = view.made["no_fit"]
    # Before the answers are there, nobody is told that nothing fits.
    if held is None or view.made["outcome"] != NO_KIT:
        return None
    return {
        "kits_considered": held["kits_considered"],
        "conflicts": [
            {"requirements": one, "sentences": [_demand(view, name) for name in one]} for one in held["conflicts"]
        ],
        "corrections": [_correction(view, one) for one in held["corrections"]],
        "changes": [{**one, "sentences": change_sentences(view, one)} for one in held["changes"]],
        "dimensions": [] if held["kits_considered"] or declines(view.made) else _dimensions(view),
        "ask_maker": [
            {**one, "sentence": sentence(f"{view.wording.title(one['kit'])}: {view.wording.label(one['field'])}")}
            for one in view.made["ask_maker"]
        ],
        "not_on_file": [
            {"fact": name, "sentence": sentence(f"The record of this car lacks the {view.wording.label(name)}")}
            for name in view.made["not_on_file"]
        ],
    }


def _demand(view, name):
    one = view.requirements[name]
    label = view.wording.label(one["measure"])
    if isinstance(one["limit"], dict):
        return sentence(
            f"{label}: {one['compare'].replace('_', ' ')} the kit's {view.wording.label(one['limit']['kit'])}"
        )
    return sentence(f"{label}: {view.wording.needed(one['compare'], one['measure'], one['limit'])}")


def _correction(view, one):
    kit = view.kits[one["kits"][0]]
    failed = [entry for entry in kit["failed"] + kit["unknown"] if entry["requirement"] in one["give_up"]]
    told = []
    for entry in failed:
        requirement = view.requirements[entry["requirement"]]
        needed = view.wording.needed(requirement["compare"], requirement["measure"], entry["needed"], entry["actual"])
        told.append(sentence(f"{view.wording.label(requirement['measure'])}: {needed} is needed"))
        told.append(sentence(view.wording.has(requirement["measure"], entry["actual"], entry["needed"])))
    return {**one, "sentences": [sentence(f"{view.wording.title(kit['id'])} would do but for this"), *told]}


def _dimensions(view):
    counts = Counter(
        entry["requirement"]
        for kit in view.made["kits"]
        for entry in kit["failed"]
        if view.requirements[entry["requirement"]]["topic"] == "fit"
    )
    return [
        {
            "requirement": name,
            "kits": number,
            "sentence": sentence(f"{view.wording.label(view.requirements[name]['measure'])} refuses {number} kits"),
        }
        for name, number in sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
    ]


def change_sentences(view, change):
    """A change of answers as sentences: each answer, then what comes of it."""
    told = [
        sentence(
            f"{view.wording.label(name)}: {view.wording.pair(name, value, change['before'].get(name))[0]} instead of "
            f"{view.wording.pair(name, value, change['before'].get(name))[1]}"
        )
        for name, value in change["answers"].items()
    ]
    return [
        *told,
        sentence(
            f"Then {view.wording.title(change['pick'])} is the pick"
            if change["pick"]
            else "Then more answers are needed"
        ),
    ]


def no_fit_lines(view, told, width, plain=None):
    """The data of `no_fit` as lines."""
    lines = [wrap(one, width) for one in no_kit_lines(view.made)]
    for number, conflict in enumerate(told["conflicts"][:SHOWN], 1):
        together = "These cannot be had together" if len(conflict["requirements"]) > 1 else "This cannot be had"
        lines += block(f"{together} ({number})", conflict["sentences"], width)
        lines += _explained(plain, conflict["sentences"], width)
    if len(told["conflicts"]) > SHOWN:
        lines += ["", wrap(f"And {len(told['conflicts']) - SHOWN} more.", width)]
    lines += block("What refuses the kits", [one["sentence"] for one in told["dimensions"][:SHOWN]], width)
    lines += block("What would help", [" ".join(one["sentences"]) for one in told["changes"][:SHOWN]], width)
    lines += block("Nearest kits", [" ".join(one["sentences"]) for one in told["corrections"][:SHOWN]], width)
    lines += block("Look up for this car", [one["sentence"] for one in told["not_on_file"][:SHOWN]], width)
    return lines + block("Ask the maker", [one["sentence"] for one in told["ask_maker"][:SHOWN]], width)


def _explained(plain, sentences, width):
    words = plain.after(sentences) if plain else []
    return [wrap(" ".join(words), width, "    ", "    ")] if words else []
