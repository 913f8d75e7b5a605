"""A stored case under other rules: its answers in the other vocabulary, its kits and prices those of its day."""

import dataclasses

from ..errors import AdvisorError, InputError
from ..knowledge import quantities
from ..knowledge.case_model import Answer, Case
from ..knowledge.model import Knowledge
from ..knowledge.records import asked_of_case


def carried_over(case: Case, old: Knowledge, new: Knowledge) -> Case:
    """The Case with its answers in the words of another Knowledge.

    InputError where an answer has no place there; nothing is ever guessed. A "don't know" about something that is
    no longer asked is dropped.
    """
    answers = {name: _answer(name, answer, old, new) for name, answer in case.answers.items()}
    return dataclasses.replace(case, answers=answers, unknown=tuple(name for name in case.unknown if _asked(name, new)))


def _answer(name, answer, old, new):
    ends = (None if end is None else _value(name, end, old, new) for end in (answer.low, answer.high))
    return Answer(_value(name, answer.value, old, new), answer.origin, *ends)


def _asked(name, knowledge):
    fact = knowledge.facts.get(name)
    return fact is not None and asked_of_case(fact)


def _value(name, value, old, new):
    if not _asked(name, new):
        raise InputError(f"the new rules do not ask for {name}, which was answered.")
    before, after = old.facts[name], new.facts[name]
    if before.kind != after.kind:
        raise InputError(f"{name} was a {before.kind} and is a {after.kind} in the new rules.")
    if after.kind == "number":
        if before.unit != after.unit:
            try:
                value = quantities.convert(value, before.unit, after.unit)
            except (AdvisorError, ValueError, KeyError) as error:
                raise InputError(f"{name} was in {before.unit} and is in {after.unit} in the new rules.") from error
        if (after.low is not None and value < after.low) or (after.high is not None and value > after.high):
            raise InputError(f"{name} {value:.6g} {after.unit} is outside the range of the new rules.")
    members = value if isinstance(value, tuple) else (value,)
    if after.choices and any(member not in after.choices for member in members):
        raise InputError(f"{name} {', '.join(str(member) for member in members)} is no choice of the new rules.")
    return value
