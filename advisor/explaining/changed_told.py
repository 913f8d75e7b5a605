"""Answers on use, racing, speed or crankshaft that were others when a result was told, in sentences."""

from ..knowledge.sentences import sentence
from ..knowledge.wording import Wording
from .worded import WordedRecord


def changed_sentences(worded: WordedRecord) -> list[str]:
    """One sentence for each of a record's changed answers."""
    wording = worded.wording
    return [
        sentence(
            f"{wording.label(change.fact)}: {_answer(wording, change.fact, change.after)} now, "
            f"{_answer(wording, change.fact, change.before)} when a result was told"
        )
        for change in worded.record.case.changed
    ]


def _answer(wording: Wording, name, value):
    return "no answer" if value is None else wording.value(name, value)
