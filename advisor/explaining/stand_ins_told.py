"""What was taken where the record of a kit or of the car leaves something out, in sentences."""

from collections.abc import Iterable

from ..deciding.decision_record import DecisionRecord, JudgedKit, RecordedStandIn
from ..knowledge.sentences import sentence
from ..knowledge.wording import Wording

#: What a pass that rests on estimates never goes without.
IF_MEASURED = "if it measures as it is estimated"


def stand_in_sentence(stands: RecordedStandIn, wording: Wording) -> str:
    """One stand-in: what is not on file, what was taken, and what that is."""
    label = wording.label(stands.field)
    if stands.of == "car":
        lacks = f"the record of this car lacks the {label}"
        if stands.kind == "rule":
            return sentence(f"{lacks}; a rule for such cars speaks in its place")
    else:
        lacks = f"{label}: the maker's figure is not on file"
    if stands.estimated:
        ends = f"{wording.value(stands.field, stands.low)} to {wording.value(stands.field, stands.high)}"
        return sentence(f"{lacks}; it is estimated at {wording.value(stands.field, stands.value)}, {ends}")
    return sentence(f"{lacks}; {wording.value(stands.field, stands.value)} was taken, {_how(stands, wording)}")


def stand_in_sentences(stand_ins: Iterable[RecordedStandIn], wording: Wording) -> list[str]:
    """One sentence each."""
    return list(dict.fromkeys(stand_in_sentence(stands, wording) for stands in stand_ins))


def measure_first(kit: JudgedKit, record: DecisionRecord, wording: Wording) -> list[str]:
    """What has to be measured before a kit that passes may be ordered, a sentence or two each: its musts rest on it."""
    return [f"{sentence(wording.label(stands.field))} {stands.measure}" for stands in to_measure(kit, record)]


def if_measured(kit: JudgedKit, record: DecisionRecord) -> list[str]:
    """The sentence that says so of a pass that rests on estimates; none where no must rests on one."""
    return [f"That stands {IF_MEASURED}."] if to_measure(kit, record) else []


def on_condition(praise: str, kit: JudgedKit, record: DecisionRecord) -> str:
    """What is said in praise of a kit, its closing mark last, with the condition where its musts rest on estimates."""
    return f"{praise[:-1]}, {IF_MEASURED}{praise[-1]}" if to_measure(kit, record) else praise


def to_measure(kit: JudgedKit, record: DecisionRecord) -> list[RecordedStandIn]:
    """The estimates that musts of a kit rest on."""
    return [
        stands
        for stands in kit.stand_ins
        if stands.estimated and any(record.requirements[name].level == "must" for name in stands.requirements)
    ]


def _how(stands, wording: Wording):
    if stands.kind == "figure":
        return "worked out from what is on file"
    if stands.kind == "table":
        return "as such clutches usually have it"
    if stands.kind == "fact":
        return f"this car's {wording.label(stands.used)}"
    return "as is usual"
