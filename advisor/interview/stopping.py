"""What is said where the interview stops by itself: why nothing more is asked, and what that leaves open."""

from typing import TYPE_CHECKING

from ..deciding.outcomes import MORE_ANSWERS
from ..explaining.span_told import span_sentences
from ..knowledge.sentences import joined, wrap
from . import next_question
from .how_it_stands import in_hundred

if TYPE_CHECKING:
    from ..deciding.decision_record import DecisionRecord
    from ..deciding.span import Span
    from .next_question import Outlook
    from .prompts import Teller
    from .state import State


def stopped(
    teller: "Teller",
    view: "Outlook",
    state: "State",
    width: int,
    undecided: "DecisionRecord | None" = None,
    doubtful: "Span | None" = None,
    guarantee: str = "",
) -> str:
    """Why nothing more is asked.

    ``undecided``: the record where nothing can be decided; ``doubtful``: the `Span` of the advice given;
    ``guarantee``: says whether it is proved that the advice stays.
    """
    known = view.facts_known
    stopping = [sentence for sentence in known.clashes.clashes if sentence.stops] if known.clashes else []
    if stopping:
        names = joined(list(dict.fromkeys(sentence.contradiction.settle for sentence in stopping)))
        ids = joined([sentence.id for sentence in stopping], "or insist")
        return wrap(
            f"Nothing is sold while these answers contradict each other: change {names}, "
            f"or take another of them back. The harder reading decides by: insist {ids}.",
            width,
        )
    span = undecided.span if undecided else None
    if view.standing.outcome == MORE_ANSWERS and teller.shop_looks(view):
        return "\n".join(_fitment(teller, width, span))
    if view.standing.outcome == MORE_ANSWERS:
        lines = [wrap("No kit can be picked with what is known, and all that would help has been asked.", width)]
        for name in (undecided.asks if undecided else view.lacking())[:1]:
            question = teller.knowledge.questions[name]
            lines.append(wrap(f"Find out: {question.plain} {question.help}", width))
        lines += [
            wrap(sentence, width, "  ", "    ")
            for sentence in span_sentences(span, teller.wording, None, state.said, undecided.asks if undecided else ())
        ]
        return "\n".join(lines)
    why_stopped = "Nothing left to ask is likely to change the advice"
    elsewhere = view.doubt
    if doubtful is not None and doubtful.narrows:
        # The advice will say so too: nothing is called settled here that is asked for there. What nobody could answer
        # is not asked again, but callers who said the same differ in it.
        names = teller.wording.labels([narrow.fact for narrow in doubtful.narrows], most=3)
        why_stopped = f"Nothing more is asked for now, though {names} would settle it"
        if doubtful.likely is not None:
            elsewhere = 1.0 - doubtful.likely.picked_in / 100.0
    if len(state.said) >= next_question.MOST_QUESTIONS:
        why_stopped = f"That is {len(state.said)} answers; it stops here"
    why_stopped += f": {in_hundred(elsewhere)} in 100 callers who said the same would be sold another kit."
    why_stopped += f" {guarantee}" if guarantee else ""
    lines = [wrap(why_stopped, width), teller.assumed(view, width, in_short=True)]
    measured = [
        name
        for name, question in teller.knowledge.questions.items()
        if question.fitter
        and name in view.facts_known.open
        and name not in state.said
        and teller.knowledge.facts[name].safety
    ]
    if measured:
        lines.append(wrap(f"For the fitter to measure: {teller.wording.labels(measured)}.", width))
    if state.later:
        lines.append(wrap(f"Put off: {teller.put_off(state)}.", width))
    on = "more goes on asking" if view.may_go_on else "every question has been asked"
    lines.append(wrap(f"done gives the advice; {on}; any answer can still be changed.", width))
    return "\n".join(lines)


def _fitment(teller, width, span):
    lines = [
        wrap(
            "What fits this car the shop will look at and measure: the gearbox shaft, the flywheel and the room "
            "around the clutch. Nothing has to be taken apart for this call.",
            width,
        )
    ]
    lines += [wrap(span_sentence, width, "  ", "    ") for span_sentence in span_sentences(span, teller.wording)]
    lines.append(wrap("done ends it; any answer can still be changed or added.", width))
    return lines
