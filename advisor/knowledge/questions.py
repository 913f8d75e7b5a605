"""From questions.yaml to questions, and to what is asked of the advice."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from .model import AskedBack, Fact, Question
from .near import did_you_mean
from .vocabulary import flag

if TYPE_CHECKING:
    from .conditions import ConditionReader
    from .faults import Faults
    from .strict_yaml import Node


def read_questions(
    root: "Node", facts: Mapping[str, Fact], faults: "Faults", reader: "ConditionReader"
) -> dict[str, Question]:
    """Questions by fact name; a question for a fact that is not asked is a fault.

    ``reader``: the ConditionReader of what points to a question, which reads answers and records only.
    """
    questions = {}
    asked = [fact.name for fact in facts.values() if fact.source == "asked"]
    for name, entry in root["questions"].items():
        if name not in facts:
            faults.add(
                f"this question is for the fact {name}, which is not in the vocabulary.",
                entry.key,
                did_you_mean(name, asked),
            )
        elif facts[name].source != "asked":
            faults.add(
                f"this question is for {name}, which nobody is asked (source {facts[name].source}).",
                entry.key,
                did_you_mean(name, asked),
            )
        else:
            both, any_ = reader.conditions([entry])
            unless, before = (_groups(entry, key, reader) for key in ("unless", "before_stopping"))
            options = _options(facts[name], entry, faults)
            for condition in (*both, *(member for group in (*any_, *unless, *before) for member in group)):
                if facts[condition.fact].source == "derived":
                    faults.add(
                        f"what points to a question is answered or on file; {condition.fact} is derived.",
                        condition.position,
                        "Name asked facts, or facts of the platform.",
                    )
            questions[name] = Question(
                name,
                entry.get("topic", ""),
                entry.get("plain"),
                entry.get("short", entry.get("plain")),
                entry.get("help", ""),
                entry.get("effort", "memory"),
                both,
                any_,
                flag(entry, "first", False),
                entry.get("wish", ""),
                unless,
                entry.get("by") == "fitter",
                options,
                before,
            )
    return questions


def _groups(entry, key, reader):
    """Groups of conditions of a question, one whole group being enough."""
    if key not in entry:
        return ()
    return tuple(
        tuple(condition for fact, asked in group.items() for condition in reader.asked(fact, asked))
        for group in entry[key]
    )


def _options(fact, entry, faults):
    """(choice, plain words) of a question's choices."""
    if "options" not in entry:
        return ()
    for choice, node in entry["options"].items():
        if choice not in fact.choices:
            faults.add(f"{fact.name}: {choice} is none of its choices.", node, did_you_mean(choice, fact.choices))
    return tuple(entry["options"].plain().items())


def read_asked_back(root: "Node") -> dict[str, AskedBack]:
    """What is asked of the advice (`AskedBack` by name); empty where the file says nothing of it."""
    entries = root["asked_back"].items() if "asked_back" in root else ()
    return {
        name: AskedBack(
            entry.get("about"),
            tuple(str(answer.value) for answer in entry["said"]),
            tuple(entry["classes"].plain().items()) if "classes" in entry else (),
        )
        for name, entry in entries
    }
