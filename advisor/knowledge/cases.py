"""From a case file to a Case."""

from decimal import Decimal

from ..errors import InputError
from . import quantities
from .faults import Faults, did_you_mean
from .model import Case
from .records import asked_of_case


def read_case(root, knowledge):
    """The Case of a file's root node; every answer read by the vocabulary.

    Raises ErrorList of InputError, each at its line.
    """
    faults = Faults(InputError)
    answers, unknown = {}, []
    allowed = [fact.name for fact in knowledge.facts.values() if asked_of_case(fact)]
    for name, node in root["answers"].items() if "answers" in root else ():
        fact = knowledge.facts.get(name)
        if fact is None or not asked_of_case(fact):
            why = f"is worked out here (source {fact.source})" if fact else "is not in the vocabulary"
            faults.add(f"the fact {name} {why}.", node.key, did_you_mean(name, allowed), name)
            continue
        with faults.at(node):
            answer = quantities.read_answer(fact, node.plain() if isinstance(node.value, (dict, list)) else node.value)
            if answer is None:
                unknown.append(name)
            else:
                answers[name] = answer
    faults.finish()
    platform = root.get("platform", "")
    return Case(
        id=root.get("case"),
        platform="" if platform == "none" else platform,
        answers=answers,
        unknown=tuple(sorted(unknown)),
        expect=_simple(root.get("expect")) if "expect" in root else None,
        note=root.get("note", ""),
    )


def _simple(value):
    """Plain values without decimals."""
    if isinstance(value, dict):
        return {key: _simple(member) for key, member in value.items()}
    if isinstance(value, list):
        return [_simple(member) for member in value]
    return float(value) if isinstance(value, Decimal) else value
