"""What would have to change for a kit to be the pick: the smallest changes of answers, or why none helps."""

from typing import Any

from ..deciding.decide import Decider, Decision
from ..deciding.smallest_changes import MOST_TOGETHER, described, smallest_changes
from ..knowledge.sentences import aloud, joined, sentence
from .layout import block, paragraph
from .no_fit import change_sentences
from .trade_words import PlainWords
from .worded import WordedRecord

SHOWN = 4


def what_would_change(
    worded: WordedRecord, decider: Decider, decision: Decision, kit: str | None = None
) -> dict[str, Any]:
    """{kit, already, changes, blocked, cut_short, sentences} for ``kit`` (any kit, where None) to be the pick.

    ``blocked``: musts the kit fails that no answer offered for change bears on. Each change: {answers, before, outcome,
    pick, costs: [facts whose change costs something], sentences}.
    """
    search = smallest_changes(decider, decision, None if kit is None else (kit,))
    facts = decider.knowledge.facts
    changes = []
    for change_set in search.best():
        data = described(change_set, search.tries.known, worded.wording)
        data["costs"] = [name for name in data["answers"] if facts[name].changeable == "costs"]
        data["sentences"] = change_sentences(worded, data)
        changes.append(data)
    data = {
        "kit": kit,
        "already": search.reached(search.now),
        "changes": changes,
        "cut_short": search.cut_short,
        "blocked": search.blocked.get(kit, []) if kit else [],
        "tried": search.tries.count,
    }
    data["sentences"] = _sentences(worded, data)
    return data


def _sentences(worded: WordedRecord, data):
    title = worded.wording.title(data["kit"]) if data["kit"] else "A kit"
    if data["already"]:
        return [sentence(f"{title} is the pick already")]
    if data["changes"]:
        number = len(data["changes"])
        ways = (
            "This would make it the pick."
            if number == 1
            else "Each of these would make it the pick."
            if data["kit"]
            else "Each of these would do."
        )
        return [sentence(f"{title} is not the pick now") if data["kit"] else "No kit fits now.", ways]
    if data["blocked"]:
        labels = list(
            dict.fromkeys(worded.wording.label(worded.requirements[name].measure) for name in data["blocked"])
        )
        return [
            sentence(f"No answer you could change makes {title} the pick"),
            sentence(f"What stands in its way: {joined(labels[:3])}"),
        ]
    what = (
        sentence(f"No change of up to {MOST_TOGETHER} answers was found that makes {title} the pick")
        if data["kit"]
        else (sentence(f"No change of up to {MOST_TOGETHER} answers was found that helps"))
    )
    return [what, "The search was cut short, so there may be one."] if data["cut_short"] else [what]


def what_would_change_lines(
    worded: WordedRecord, data: dict[str, Any], width: int = 80, plain: PlainWords | None = None
) -> list[str]:
    """The data of `what_would_change` as lines."""
    lines = [paragraph(data["sentences"], width)]
    for title, wanted in (("It costs nothing", False), ("It costs something", True)):
        entries = [" ".join(change["sentences"]) for change in data["changes"] if bool(change["costs"]) == wanted]
        lines += block(title, entries[:SHOWN], width)
    if plain:
        words = plain.after([text for change in data["changes"] for text in change["sentences"]])
        lines += ["", paragraph(words, width)] if words else []
    for name in data["blocked"] if not data["changes"] else ():
        lines += ["", paragraph(aloud(worded.because(worded.requirements[name].rule)), width, "  ")]
    return lines
