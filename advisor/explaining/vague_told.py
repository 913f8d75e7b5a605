"""Answers given as a range or as "about", in sentences: what was taken, and what it could be."""

from ..knowledge.sentences import sentence
from .worded import WordedRecord


def vague_sentences(worded: WordedRecord) -> list[str]:
    """One sentence for each: "Engine torque: taken as 425 N m, could be 400 to 450 N m." """
    wording, case = worded.wording, worded.record.case
    return [
        sentence(f"{wording.label(name)}: taken as {wording.vague(name, answer.value, answer.low, answer.high)}")
        for name, answer in case.answers.items()
        if answer.vague
    ]
