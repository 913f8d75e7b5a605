"""Answers that cannot all be true, in sentences: both readings, why, and what is done about it."""

from ..deciding.decision_record import RecordedContradiction
from ..knowledge.sentences import joined
from ..knowledge.wording import Wording


def contradiction_sentences(contradiction: RecordedContradiction, wording: Wording) -> list[str]:
    """A `RecordedContradiction` as sentences."""
    return [*contradiction.readings, contradiction.because, outcome_of(contradiction, wording)]


def outcome_of(contradiction: RecordedContradiction, wording: Wording) -> str:
    """What is done about a contradiction, in a sentence."""
    if contradiction.decided_by:
        taken = joined(
            [f"{wording.label(taken.fact)} {wording.value(taken.fact, taken.value)}" for taken in contradiction.harder]
        )
        return f"As was insisted on, the harder reading decides: {taken}."
    question = wording.knowledge.questions.get(contradiction.ask)
    asked = question.plain if question else wording.label(contradiction.ask)
    if contradiction.undersizes:
        return f"The clutch could come out too small, so nothing is sold over it. This settles it: {asked}"
    return f"Worth asking again: {asked}"
