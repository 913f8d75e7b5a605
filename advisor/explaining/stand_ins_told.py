"""What was taken where the record of a kit or of the car leaves something out, in sentences."""

from collections.abc import Iterable

from ..deciding.decision_record import DecisionRecord, JudgedKit, RecordedStandIn
from ..knowledge.sentences import joined, sentence
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
    """What has to be measured before a kit that passes may be ordered, and why, a sentence or two each."""
    return [
        " ".join(
            filter(None, (sentence(wording.label(stands.field)), stands.measure, it_settles(stands, record, wording)))
        )
        for stands in to_measure(kit, record)
    ]


def it_settles(stands: RecordedStandIn, record: DecisionRecord, wording: Wording) -> str:
    """The sentence on what an estimate settles; "" where the record does not say."""
    if stands.settles is None or not (stands.settles.musts or stands.settles.kits):
        return ""
    ends = f"{wording.value(stands.field, stands.low)} and {wording.value(stands.field, stands.high)}"
    labels = [wording.label(record.requirements[name].measure) for name in stands.settles.musts]
    turns = [f"whether it passes on {joined(list(dict.fromkeys(labels)))}"] if labels else []
    turns += [f"whether {joined([wording.title(kit) for kit in stands.settles.kits], 'or')} is picked instead"] * bool(
        stands.settles.kits
    )
    return sentence(f"Where it lies between {ends} settles {joined(turns)}")


def if_measured(kit: JudgedKit, record: DecisionRecord) -> list[str]:
    """The sentence that says so of a pass that rests on estimates; none where no must rests on one."""
    return [f"That stands {IF_MEASURED}."] if to_measure(kit, record) else []


def on_condition(praise: str, kit: JudgedKit, record: DecisionRecord) -> str:
    """What is said in praise of a kit, its closing mark last, with the condition where its musts rest on estimates."""
    return f"{praise[:-1]}, {IF_MEASURED}{praise[-1]}" if to_measure(kit, record) else praise


def to_measure(kit: JudgedKit, record: DecisionRecord) -> list[RecordedStandIn]:
    """The estimates of a kit on which it hangs whether it passes, or is picked."""
    musts = {name for name, requirement in record.requirements.items() if requirement.level == "must"}
    return [stands for stands in kit.stand_ins if stands.measured_first(musts)]


def _how(stands, wording: Wording):
    if stands.kind == "figure":
        return "worked out from what is on file"
    if stands.kind == "table":
        return "as such clutches usually have it"
    if stands.kind == "fact":
        return f"this car's {wording.label(stands.used)}"
    return "as is usual"
