"""No kit fits: what cannot be had together, what would have to be given up for which kit, and what would help."""

from collections import Counter
from collections.abc import Mapping
from typing import Any

from ..deciding.outcomes import NO_KIT
from ..knowledge.sentences import sentence
from .declined import declines, no_kit_lines
from .layout import block, wrap
from .trade_words import PlainWords
from .worded import WordedRecord

SHOWN = 4


def no_fit(worded: WordedRecord) -> dict[str, Any] | None:
    """{conflicts, corrections, changes, dimensions} of a case no kit fits, each with sentences; None otherwise.

    ``dimensions``: where no kit fits the car at all, how many kits each dimension refuses.
    """
    held = worded.record.no_fit
    # Before the answers are there, nobody is told that nothing fits.
    if held is None or worded.record.outcome != NO_KIT:
        return None
    return {
        "kits_considered": held.kits_considered,
        "conflicts": [
            {"requirements": list(names), "sentences": [_demand(worded, name) for name in names]}
            for names in held.conflicts
        ],
        "corrections": [_correction(worded, correction) for correction in held.corrections],
        "changes": [{**change, "sentences": change_sentences(worded, change)} for change in held.changes],
        "dimensions": refusing_dimensions(worded),
        "ask_maker": [
            {
                "kit": question.kit,
                "field": question.field,
                "sentence": sentence(f"{worded.wording.title(question.kit)}: {worded.wording.label(question.field)}"),
            }
            for question in worded.record.ask_maker
        ],
        "not_on_file": [
            {"fact": name, "sentence": sentence(f"The record of this car lacks the {worded.wording.label(name)}")}
            for name in worded.record.not_on_file
        ],
    }


def _demand(worded: WordedRecord, name):
    posted = worded.requirements[name]
    label = worded.wording.label(posted.measure)
    if posted.kit_field:
        return sentence(
            f"{label}: {posted.compare.replace('_', ' ')} the kit's {worded.wording.label(posted.kit_field)}"
        )
    return sentence(f"{label}: {worded.needed(posted)}")


def _correction(worded: WordedRecord, correction):
    kit = worded.kits[correction.kits[0]]
    sentences = [sentence(f"{worded.wording.title(kit.id)} would do but for this")]
    for check in kit.refused_by:
        if check.requirement in correction.give_up:
            sentences.append(sentence(worded.demand(check)))
            sentences.append(sentence(worded.has(check)))
    return {"give_up": list(correction.give_up), "kits": list(correction.kits), "sentences": sentences}


def refusing_dimensions(worded: WordedRecord) -> list[dict[str, Any]]:
    """Where no kit fits the car at all, how many kits each dimension refuses: {requirement, kits, sentence}."""
    held = worded.record.no_fit
    if held is None or held.kits_considered or declines(worded.record):
        return []
    counts = Counter(
        check.requirement
        for kit in worded.kits.values()
        for check in kit.failed
        if worded.requirements[check.requirement].topic == "fit"
    )
    return [
        {
            "requirement": name,
            "kits": number,
            "sentence": _refuses(worded, worded.requirements[name], number),
        }
        for name, number in sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
    ]


def _refuses(worded: WordedRecord, posted, number: int):
    kits = "the one kit on file" if number == len(worded.kits) == 1 else f"{number} of {len(worded.kits)} kits"
    kits = f"all {number} kits" if number == len(worded.kits) > 1 else kits
    needed = worded.needed(posted)
    return sentence(f"{worded.wording.label(posted.measure)} refuses {kits}; this car needs {needed}")


def change_sentences(worded: WordedRecord, change: Mapping[str, Any]) -> list[str]:
    """A change of answers as sentences: each answer, then what comes of it."""
    sentences = []
    for name, value in change["answers"].items():
        after, before = worded.wording.pair(name, value, change["before"].get(name))
        sentences.append(sentence(f"{worded.wording.label(name)}: {after} instead of {before}"))
    return [
        *sentences,
        sentence(
            f"Then {worded.wording.title(change['pick'])} is the pick"
            if change["pick"]
            else "Then more answers are needed"
        ),
    ]


def no_fit_lines(
    worded: WordedRecord, no_fit_data: dict[str, Any], width: int, plain: PlainWords | None = None
) -> list[str]:
    """The data of `no_fit` as lines."""
    lines = [wrap(no_kit_line, width) for no_kit_line in no_kit_lines(worded.record)]
    for number, conflict in enumerate(no_fit_data["conflicts"][:SHOWN], 1):
        together = "These cannot be had together" if len(conflict["requirements"]) > 1 else "This cannot be had"
        lines += block(f"{together} ({number})", conflict["sentences"], width)
        lines += _explained(plain, conflict["sentences"], width)
    if len(no_fit_data["conflicts"]) > SHOWN:
        lines += ["", wrap(f"And {len(no_fit_data['conflicts']) - SHOWN} more.", width)]
    lines += block(
        "What refuses the kits", [dimension["sentence"] for dimension in no_fit_data["dimensions"][:SHOWN]], width
    )
    lines += block(
        "What would help", [" ".join(change["sentences"]) for change in no_fit_data["changes"][:SHOWN]], width
    )
    lines += block(
        "Nearest kits", [" ".join(correction["sentences"]) for correction in no_fit_data["corrections"][:SHOWN]], width
    )
    lines += block("Look up for this car", [field["sentence"] for field in no_fit_data["not_on_file"][:SHOWN]], width)
    return lines + block("Ask the maker", [field["sentence"] for field in no_fit_data["ask_maker"][:SHOWN]], width)


def _explained(plain: PlainWords | None, sentences, width: int):
    words = plain.after(sentences) if plain else []
    return [wrap(" ".join(words), width, "    ", "    ")] if words else []
