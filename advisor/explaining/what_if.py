"""What if an answer were different: the case decided again, and what changes in pick, figures, set-up and cautions."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from ..deciding.advise import advise
from ..deciding.ladder import PRICE
from ..deciding.outcomes import MORE_ANSWERS
from ..deciding.smallest_changes import changed
from ..errors import InputError
from ..knowledge.case_model import Answer
from ..knowledge.given_answers import read_answer
from ..knowledge.near import did_you_mean
from ..knowledge.sentences import aloud, capital, count, joined, sentence
from .declined import declines, no_kit_lines
from .layout import block, paragraph, table, title_lines
from .worded import WordedRecord

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from ..deciding.decision_record import DecisionRecord
    from ..knowledge.case_model import Case
    from ..knowledge.model import Knowledge
    from .trade_words import PlainWords

#: Figures told of a pick, besides those a requirement limits; the rest stands in the data.
TOLD = (
    "capacity_working_nm",
    "holding_margin",
    "holding_probability",
    "pedal_force_n",
    "bearing_load_n",
    "noise_class",
    "take_up_class",
    PRICE,
)


def read_changes(texts: Iterable[str], knowledge: "Knowledge") -> dict[str, Any]:
    """fact -> new value from texts such as ``engine_torque=380 Nm``: an `Answer` if vague, None for "don't know".

    A fact may be named by its name or its label. InputError for what cannot be read.
    """
    asked = {name: fact for name, fact in knowledge.facts.items() if fact.source == "asked"}
    by_label = {fact.label.casefold(): name for name, fact in asked.items()}
    new_values = {}
    for text in texts:
        name, equals, raw = text.partition("=")
        name = name.strip().replace("-", "_")
        name = name if name in asked else by_label.get(name.replace("_", " ").casefold(), name)
        if not equals or not raw.strip():
            raise InputError(
                f"{text!r} is no change of an answer.",
                value=text,
                remedy="Write fact=value, as in engine_torque=380Nm.",
            )
        if name not in asked:
            raise InputError(
                f"{name!r} is not something the advisor asks.",
                value=text,
                remedy=did_you_mean(name, asked, ""),
            )
        if name in new_values:
            raise InputError(f"{name} is changed twice.", value=text, remedy="Change each answer once.")
        answer = read_answer(asked[name], raw.strip())
        new_values[name] = answer if answer is None or answer.low is not None else answer.value
    return new_values


class WhatIf(NamedTuple):
    """What changes, as data, and the records before and after."""

    difference: dict[str, Any]
    before: WordedRecord
    after: WordedRecord


def what_if(
    decider: "Decider",
    case: "Case",
    answers: Mapping[str, Any],
    system: str = "si",
    before: "DecisionRecord | None" = None,
) -> WhatIf:
    """A case decided with other ``answers``, as `read_changes` gives them.

    ``before``: the record of the case as it stands, where it is at hand.
    """
    before = before or advise(decider, case)
    after = advise(decider, changed(case, answers))
    old = WordedRecord(before, decider.shop.wording(decider.knowledge, system))
    new = WordedRecord(after, old.wording)
    return WhatIf(difference(old, new, answers), old, new)


def difference(old: WordedRecord, new: WordedRecord, answers: Mapping[str, Any]) -> dict[str, Any]:
    """What changes between two WordedRecords of one case, as data.

    {answers: [{fact, before, after}], outcome, pick, old_pick, figures, set_up: {added, removed}, cautions: {added,
    removed}, given_up, nothing, sentences}
    """
    data = {
        "answers": [
            {"fact": name, "before": _held(old, name), **_ends(old, name, "before"), **_after(value)}
            for name, value in sorted(answers.items())
        ],
        "outcome": {"before": old.record.outcome, "after": new.record.outcome},
        "pick": {"before": old.pick, "after": new.pick},
        "old_pick": _old_pick(old, new),
        "figures": _figures(old, new),
        "set_up": _lists(_items(old), _items(new)),
        "cautions": _lists(_cautions(old), _cautions(new)),
        "given_up": {"before": _given_up(old), "after": _given_up(new)},
        "asks": new.record.asks,
    }
    data["nothing"] = (
        data["outcome"]["before"] == data["outcome"]["after"]
        and old.pick == new.pick
        and not data["figures"]
        and not any(data[part][side] for part in ("set_up", "cautions") for side in ("added", "removed"))
        and data["given_up"]["before"] == data["given_up"]["after"]
    )
    data["sentences"] = _sentences(old, new, data)
    return data


def _held(worded, name):
    held = worded.record.facts.get(name)
    return None if held is None else held.value


def _after(value):
    """What an answer becomes, a value or an `Answer`: "after", and the ends of a vague one."""
    if not isinstance(value, Answer):
        return {"after": value}
    return (
        {"after": value.value} if value.low is None else {"after": value.value, "after_ends": [value.low, value.high]}
    )


def _ends(worded, name, side):
    answer = worded.record.case.answers.get(name)
    return {f"{side}_ends": [answer.low, answer.high]} if answer is not None and answer.vague else {}


def _old_pick(old, new):
    """How the pick of before fares now, where it is no longer the pick."""
    if old.pick is None or old.pick == new.pick or old.pick not in new.kits:
        return None
    held = new.kits[old.pick]
    return {
        "kit": old.pick,
        "verdict": held.verdict,
        "failed": [check.as_data() for check in held.failed],
        "concerns": list(held.concerns),
    }


def _figures(old, new):
    """Figures of the two picks that differ by their resolution or more: {figure, before, after}."""
    if old.pick is None or new.pick is None:
        return []
    figures = []
    for name, figure in old.knowledge.figures.items():
        before, other = old.record.figure(old.pick, name), new.record.figure(new.pick, name)
        if before is None and other is None:
            continue
        if before is None or other is None or abs(before - other) >= min(figure.resolution, 1e-6 + 0.001 * abs(before)):
            figures.append({"figure": name, "before": before, "after": other})
    return figures


def _items(worded):
    return {
        item.id: {
            "id": item.id,
            "kind": kind,
            "level": item.level,
            "text": item.text,
            "part": item.part,
            "title": item.title,
            "who": item.who,
        }
        for kind, item in worded.record.setup.items()
    }


def _cautions(worded):
    return {
        caution.id: {"id": caution.id, "text": caution.text, "safety": caution.safety}
        for caution in worded.record.cautions
    }


def _lists(before, after):
    """Entries that come and go; one whose level or part changes does both, one that only tells another number stays."""

    def same(name):
        keys = [key for key in before[name] if key != "text"]
        return all(before[name][key] == after[name][key] for key in keys)

    return {
        "added": [after[name] for name in sorted(after) if name not in before or not same(name)],
        "removed": [before[name] for name in sorted(before) if name not in after or not same(name)],
    }


def _given_up(worded):
    return [check.requirement for check in worded.record.pick.given_up] if worded.pick else []


def _sentences(old, new, data):
    wording = new.wording
    said = []
    for answer in data["answers"]:
        if answer["after"] == answer["before"] and answer.get("after_ends") == answer.get("before_ends"):
            said.append(sentence(f"{wording.label(answer['fact'])}: {_answer(wording, answer, 'after')}, as it is now"))
            continue
        after, before = (
            wording.pair(answer["fact"], answer["after"], answer["before"])
            if _numbers(answer)
            else (_answer(wording, answer, "after"), _answer(wording, answer, "before"))
        )
        said.append(sentence(f"{wording.label(answer['fact'])}: {after} instead of {before}"))
    if data["nothing"]:
        return [*said, "Nothing changes."]
    if new.record.outcome == MORE_ANSWERS:
        missing = joined([wording.label(name) for name in data["asks"][:3]])
        return [*said, "Then more answers are needed.", *([sentence(f"Ask for {missing}")] if missing else [])]
    if new.pick is None:
        return [
            *said,
            *(no_kit_lines(new.record) if declines(new.record) else ["Then no kit on file fits. Ask the shop lead."]),
        ]
    if old.pick is None:
        return [*said, sentence(f"Then {wording.title(new.pick)} is the pick")]
    if new.pick == old.pick:
        return [*said, sentence(f"The pick stays {wording.title(new.pick)}")]
    return [*said, sentence(f"The pick changes to {wording.title(new.pick)}"), *_fate(new, data["old_pick"])]


def _answer(wording, entry, side):
    value = entry[side]
    if value is None:
        return "no answer"
    ends = entry.get(f"{side}_ends")
    return wording.vague(entry["fact"], value, *ends) if ends else wording.value(entry["fact"], value)


def _numbers(entry):
    """Are both known exactly, so that they only have to be told apart?"""
    if "after_ends" in entry or "before_ends" in entry:
        return False
    return all(
        isinstance(value, (int, float)) and not isinstance(value, bool) for value in (entry["after"], entry["before"])
    )


def _fate(new, fate):
    title = new.wording.title(fate["kit"])
    if fate["failed"]:
        labels = [new.wording.label(new.requirements[check["requirement"]].measure) for check in fate["failed"][:2]]
        return [sentence(f"{title} then fails"), sentence(f"It fails on {joined(labels)}")]
    return [sentence(f"{title} would still do, but no longer stands first")]


def what_if_lines(
    new: WordedRecord, data: Mapping[str, Any], width: int = 80, plain: "PlainWords | None" = None
) -> list[str]:
    """The data of `what_if` as lines, in the words of the WordedRecord after."""
    wording = new.wording
    lines = [paragraph(data["sentences"], width)]
    if plain:
        words = plain.after(data["sentences"])
        lines += [paragraph(words, width, "  ")] if words else []
    limited = {posted.measure for posted in new.requirements.values()}
    shown = [
        figure
        for figure in data["figures"]
        if figure["figure"] in TOLD or (data["pick"]["before"] == data["pick"]["after"] and figure["figure"] in limited)
    ]
    rows = []
    for verdict in shown:
        before, after = (
            wording.pair(verdict["figure"], verdict["before"], verdict["after"])
            if None not in (verdict["before"], verdict["after"])
            else (
                wording.value(verdict["figure"], verdict["before"]),
                wording.value(verdict["figure"], verdict["after"]),
            )
        )
        rows.append([capital(wording.label(verdict["figure"])), before, after])
    if rows:
        lines += ["", *title_lines("Figures of the pick", width), *table(["figure", "before", "then"], rows, width)]
    hidden = len(data["figures"]) - len(shown)
    if hidden:
        lines.append(f"  and {count(hidden, 'more figure')} in the data.")
    for title, part, side in (
        ("Now goes with it", "set_up", "added"),
        ("No longer goes with it", "set_up", "removed"),
        ("New cautions", "cautions", "added"),
        ("Cautions that go", "cautions", "removed"),
    ):
        lines += block(title, [_entry(entry) for entry in data[part][side]], width)
    lines += block(
        "Given up then",
        [_wish(new, name) for name in data["given_up"]["after"] if name not in data["given_up"]["before"]],
        width,
    )
    return lines


def _entry(entry):
    title = f"{entry['title']}. " if entry.get("title") else ""
    level = {"check": "To be checked. ", "optional": "Worth having. "}.get(entry.get("level"), "")
    return f"{title}{level}{' '.join(aloud(entry['text']))}"


def _wish(worded, name):
    return sentence(worded.demand(next(check for check in worded.record.pick.given_up if check.requirement == name)))
