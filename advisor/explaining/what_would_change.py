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
    for one in search.best():
        told = described(one, search.tries.known, worded.wording)
        told["costs"] = [name for name in told["answers"] if facts[name].changeable == "costs"]
        told["sentences"] = change_sentences(worded, told)
        changes.append(told)
    told = {
        "kit": kit,
        "already": search.reached(search.now),
        "changes": changes,
        "cut_short": search.cut_short,
        "blocked": search.blocked.get(kit, []) if kit else [],
        "tried": search.tries.count,
    }
    told["sentences"] = _sentences(worded, told)
    return told


def _sentences(worded: WordedRecord, told):
    title = worded.wording.title(told["kit"]) if told["kit"] else "A kit"
    if told["already"]:
        return [sentence(f"{title} is the pick already")]
    if told["changes"]:
        number = len(told["changes"])
        ways = (
            "This would make it the pick."
            if number == 1
            else "Each of these would make it the pick."
            if told["kit"]
            else "Each of these would do."
        )
        return [sentence(f"{title} is not the pick now") if told["kit"] else "No kit fits now.", ways]
    if told["blocked"]:
        labels = list(
            dict.fromkeys(worded.wording.label(worded.requirements[name].measure) for name in told["blocked"])
        )
        return [
            sentence(f"No answer you could change makes {title} the pick"),
            sentence(f"What stands in its way: {joined(labels[:3])}"),
        ]
    what = (
        sentence(f"No change of up to {MOST_TOGETHER} answers was found that makes {title} the pick")
        if told["kit"]
        else (sentence(f"No change of up to {MOST_TOGETHER} answers was found that helps"))
    )
    return [what, "The search was cut short, so there may be one."] if told["cut_short"] else [what]


def what_would_change_lines(
    worded: WordedRecord, told: dict[str, Any], width: int = 80, plain: PlainWords | None = None
) -> list[str]:
    """The data of `what_would_change` as lines."""
    lines = [paragraph(told["sentences"], width)]
    for title, wanted in (("It costs nothing", False), ("It costs something", True)):
        entries = [" ".join(one["sentences"]) for one in told["changes"] if bool(one["costs"]) == wanted]
        lines += block(title, entries[:SHOWN], width)
    if plain:
        words = plain.after([text for one in told["changes"] for text in one["sentences"]])
        lines += ["", paragraph(words, width)] if words else []
    for name in told["blocked"] if not told["changes"] else ():
        lines += ["", paragraph(aloud(worded.because(worded.requirements[name].rule)), width, "  ")]
    return lines
