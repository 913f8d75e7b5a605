"""From a case file to a Case."""

import re
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import InputError
from . import given_answers, quantities, shapes, strict_yaml
from .case_model import ORIGINS, Case, ChangedAnswer
from .faults import Faults
from .model import Knowledge
from .near import did_you_mean
from .records import asked_of_case

if TYPE_CHECKING:
    from .strict_yaml import Node

_KEYS = {"case", "title", "platform", "answers", "note", "invented", "insist", "changed", "expect"}
_ID = re.compile("[a-z0-9]+(-[a-z0-9]+)*")
_NAME = re.compile("[a-z][a-z0-9_]*")


def case(path: Path | str, knowledge: Knowledge) -> Case:
    """The Case of a file.

    Raises InputError or ErrorList of it, each with file, line and column.
    """
    return _case(strict_yaml.load(path, error=InputError, nulls=("expect",)), knowledge)


def case_text(text: bytes, knowledge: Knowledge, name: str = "standard input") -> Case:
    """The Case in a text, as `case`; ``name`` stands for the file in messages."""
    return _case(strict_yaml.loads(text, name, error=InputError, nulls=("expect",)), knowledge)


def _case(root, knowledge):
    # A case that is plainly well formed does not need the schema library, whose import takes longer than deciding.
    if not _plainly_well_formed(root):
        shapes.check(root, "case", InputError)
    return read_case(root, knowledge)


def _plainly_well_formed(root):
    """Whether a case is of the one form nearly all have, so that its schema has nothing to say against it."""
    plain = root.plain()
    if (
        not isinstance(plain, dict)
        or not {"case", "answers"} <= set(plain) <= _KEYS
        or not isinstance(plain["answers"], dict)
    ):
        return False
    return (
        all(isinstance(plain[key], str) and _ID.fullmatch(plain[key]) for key in ("case", "platform") if key in plain)
        and all(isinstance(plain[key], str) and plain[key] for key in ("title", "note") if key in plain)
        and plain.get("invented", "yes") in ("yes", "no")
        and isinstance(plain.get("expect", {}), dict)
        and not {"insist", "changed"} & set(plain)
        and all(_NAME.fullmatch(name) and _plain_answer(value) for name, value in plain["answers"].items())
    )


def _plain_answer(value):
    if isinstance(value, dict):
        return (
            set(value) == {"value", "from"}
            and value["from"] in ORIGINS
            and not isinstance(value["value"], dict)
            and _plain_answer(value["value"])
        )
    return isinstance(value, (str, int, Decimal)) and not isinstance(value, bool)


def read_case(root: "Node", knowledge: Knowledge) -> Case:
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
            answer = given_answers.read_answer(
                fact, node.plain() if isinstance(node.value, (dict, list)) else node.value
            )
            if answer is None:
                unknown.append(name)
            else:
                answers[name] = answer
    changed = []
    for node in root.many("changed"):
        with faults.at(node):
            changed.append(_changed_answer(node, knowledge, allowed, faults))
    faults.finish()
    platform = root.get("platform", "")
    return Case(
        id=root.get("case"),
        platform="" if platform == "none" else platform,
        answers=answers,
        unknown=tuple(sorted(unknown)),
        insist=tuple(sorted(root.get("insist", ()))),
        expect=_simple(root.get("expect")) if "expect" in root else None,
        note=root.get("note", ""),
        changed=tuple(sorted(changed, key=lambda change: change.fact)),
    )


def _changed_answer(node, knowledge, allowed, faults):
    """An answer that was another one when a result was told; numbers stand in the fact's own unit."""
    name = node.get("fact")
    fact = knowledge.facts.get(name)
    if fact is None or not asked_of_case(fact):
        faults.refuse(f"the fact {name} is not something people answer.", node["fact"], did_you_mean(name, allowed))
    ends = []
    for end in ("before", "after"):
        raw = node[end].plain() if end in node else None
        if fact.kind == "number" and isinstance(raw, (int, Decimal)):
            raw = f"{raw} {fact.unit}"
        ends.append(None if raw is None else quantities.read_value(fact, raw))
    return ChangedAnswer(name, *ends)


def _simple(value):
    """Plain values without decimals."""
    if isinstance(value, dict):
        return {key: _simple(member) for key, member in value.items()}
    if isinstance(value, list):
        return [_simple(member) for member in value]
    return float(value) if isinstance(value, Decimal) else value
