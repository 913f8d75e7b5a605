"""The span of an advice in sentences: how often the pick does the job, both ends, and what would narrow it."""

from collections.abc import Container, Sequence

from ..deciding.recorded_around import RecordedSpan
from ..knowledge.sentences import before_known, joined, sentence
from ..knowledge.wording import Wording


def span_sentences(
    span: RecordedSpan | None,
    wording: Wording,
    pick: str | None = None,
    answered: Container[str] = (),
    asks: Sequence[str] = (),
) -> list[str]:
    """Sentences on the `RecordedSpan` of a record (None: none).

    ``pick``: id of the recorded pick; ``answered``: facts that were answered, of which only an exact answer is wanted;
    ``asks``: what is asked before anything is told.
    """
    if span is None:
        return []
    gentle, careful = span.gentle_end, span.careful_end
    if not (careful.kit or careful.holds_in):
        return []  # no kit does the job however the open answers turn out: told as no kit fits
    if span.fit_open:
        return _kinds(span, wording)
    if pick and gentle.kit == pick == careful.kit:
        holds = _in(careful.holds_in)
        return [f"However the open answers are likely to turn out, it is this kit: it does the job in {holds}."]
    sentences = []
    if span.readings > 1:
        sentences.append("Both readings of the answers that contradict each other are counted, each as likely.")
    if span.likely:
        sentences.append(f"As the open answers may turn out, this kit does the job in {_in(span.likely.holds_in)}.")
    sentences.append(_gentle(gentle, wording, pick))
    sentences.append(_careful(careful, wording, pick))
    narrows = narrowing(span, wording, answered)
    if narrows:
        sentences.append(f"What would narrow it, in this order: {joined(narrows)}.")
    # What is asked first and what nothing is ordered before are one thing.
    awaited = [wording.label(name) for name in asked_in_order(asks, span)] or narrows
    if awaited:
        sentences.append(f"Neither end is ordered {before_known(awaited[0])}.")
    return sentences


def asked_in_order(asks: Sequence[str], span: RecordedSpan | None) -> list[str]:
    """The facts that are asked before anything is told, what settles most of the span first."""
    settles = [narrow.fact for narrow in span.narrows] if span else []
    return sorted(asks, key=lambda name: settles.index(name) if name in settles else len(settles))


def _kinds(span, wording):
    """What kind of clutch it comes to while what fits the car is not known."""
    gentle, careful = span.gentle_end, span.careful_end
    sentences = []
    if gentle.kit is not None:
        kind_text = f"At the gentle end it comes to {kind_of(wording, gentle.kit)}, in {_in(gentle.picked_in)}"
        sentences.append(sentence(kind_text))
    if careful.kit is not None:
        kind = kind_of(wording, careful.kit)
        sentences.append(f"At the careful end {kind} does the job in {_in(careful.holds_in)}.")
    else:
        kind = kind_of(wording, careful.best)
        sentences.append(
            f"At the careful end nothing does the job in 95 of 100; nearest is {kind}, in {_in(careful.holds_in)}."
        )
    narrows = narrowing(span, wording)
    if narrows:
        sentences.append(f"What would narrow it, in this order: {joined(narrows)}.")
    return [
        *sentences,
        "Which one fits, how it releases and what the crankshaft bears, the shop will look; nothing is ordered before.",
    ]


def kind_of(wording: Wording, kit: str) -> str:
    """A kit by its build alone: "one organic disc of 240 mm, 7.7 kN of clamp load"."""
    fields = wording.records[kit].fields
    discs = int(fields["discs"])
    number = {1: "one", 2: "two", 3: "three", 4: "four"}.get(discs, str(discs))
    facing, size, load = (wording.value(name, fields[name]) for name in ("facing", "outer_diameter", "clamp_load"))
    paddle = " paddle" if fields.get("disc_form") == "paddle" else ""
    return f"{number} {facing}{paddle} disc{'' if discs == 1 else 's'} of {size} with {load} of clamp load"


def narrowing(span: RecordedSpan, wording: Wording, answered: Container[str] = ()) -> list[str]:
    """Labels of the facts whose answers would narrow the span, what settles most first; exact where ``answered``."""
    return [("exact " if narrow.fact in answered else "") + wording.label(narrow.fact) for narrow in span.narrows]


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
            f"in {_in(end.holds_in)}{_suits(end)}"
        )
    name = "this kit" if end.kit == pick else f"{wording.title(end.kit)} ({end.kit})"
    return sentence(f"Careful end: {name}, does the job in {_in(end.holds_in)}{_suits(end)}")


def _suits(end):
    """In how many it also is what is put up with, where nobody said how much that is."""
    if end.suits_in is None or end.suits_in == end.holds_in:
        return ""
    return f", and is put up with in {end.suits_in}, as far as nobody has said how much noise, judder or pedal is"


def _in(share):
    return f"{share} of 100"
