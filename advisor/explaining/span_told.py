"""The span of an advice in sentences: how often the pick does the job, both ends, and what would narrow it."""

from ..deciding.recorded_around import RecordedSpan
from ..knowledge.sentences import joined, sentence
from ..knowledge.wording import Wording


def span_sentences(span: RecordedSpan | None, wording: Wording, pick: str | None = None) -> list[str]:
    """Sentences on the `RecordedSpan` of a record (None: none); ``pick``: id of the recorded pick."""
    if span is None:
        return []
    gentle, careful = span.gentle_end, span.careful_end
    if not (careful.kit or careful.holds_in):
        return []  # no kit does the job however the open answers turn out: told as no kit fits
    if pick and gentle.kit == pick == careful.kit:
        return [
            f"Whatever the open answers turn out to be, it is this kit: it does the job in {_in(careful.holds_in)}."
        ]
    sentences = []
    if span.likely:
        sentences.append(f"As the open answers may turn out, this kit does the job in {_in(span.likely.holds_in)}.")
    sentences.append(_gentle(gentle, wording, pick))
    sentences.append(_careful(careful, wording, pick))
    narrows = narrowing(span, wording)
    if narrows:
        sentences.append(f"What would narrow it, in this order: {joined(narrows)}.")
        sentences.append(f"Neither end is ordered before the {narrows[0]} is known.")
    return sentences


def narrowing(span: RecordedSpan, wording: Wording) -> list[str]:
    """Labels of the facts whose answers would narrow the span, what settles most first."""
    return [wording.label(narrow.fact) for narrow in span.narrows]


def _gentle(end, wording: Wording, pick):
    if end.kit is None:
        return "Gentle end: none; no kit is the pick often enough to be named."
    name = "this kit" if end.kit == pick else f"{wording.title(end.kit)} ({end.kit})"
    text = f"Gentle end: {name}, the pick in {_in(end.picked_in)}"
    facts = [
        f"{wording.label(doubtful.fact)} {wording.value(doubtful.fact, doubtful.value)}"
        if doubtful.value is not None
        else f"another {wording.label(doubtful.fact)}"
        for doubtful in end.otherwise
    ]
    return sentence(f"{text}; there mostly with {joined(facts)}, which is not known" if facts else text)


def _careful(end, wording: Wording, pick):
    if end.kit is None:
        return sentence(
            f"Careful end: none does the job in 95 of 100; nearest is {wording.title(end.best)} ({end.best}), "
            f"in {_in(end.holds_in)}"
        )
    name = "this kit" if end.kit == pick else f"{wording.title(end.kit)} ({end.kit})"
    return sentence(f"Careful end: {name}, does the job in {_in(end.holds_in)}")


def _in(share):
    return f"{share} of 100"
