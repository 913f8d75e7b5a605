"""How people speak of a fact: ``said:`` and ``heard:`` of the vocabulary, read and checked.

No phrase may stand under two choices of one fact; the same phrase under two facts is a remark, because who
listens will have to ask which was meant.
"""

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from . import quantities
from .model import Fact, Remark, Speech, Value
from .near import did_you_mean
from .spoken import SLIGHT, phrase

if TYPE_CHECKING:
    from .faults import Faults
    from .strict_yaml import Node

#: The word under ``units:`` for a number that is said without any unit.
BARE = "none"


def read_speech(
    name: str,
    kind: str,
    unit: str,
    choices: tuple[Value, ...],
    entry: "Node",
    word_sets: Mapping[str, tuple[str, ...]],
    faults: "Faults",
) -> Speech | None:
    """The Speech of one fact's entry, or None where nothing is written about it; ``word_sets`` by their names."""
    if "said" not in entry and "heard" not in entry:
        return None
    first: dict[Any, Any] = {}
    phrases, names = {}, ()
    if "said" in entry:
        said = entry["said"]
        with faults.at(said):
            if kind in ("choice", "flag", "list") or choices:
                phrases = _phrases_by_value(name, kind, choices, said, first, faults)
            else:
                names = _phrases(name, said, faults)
    if "heard" not in entry:
        return Speech(phrases, names=names)
    heard = entry["heard"]

    def words(part):
        return _phrases(name, heard[part], faults) if part in heard else ()

    def by_value(part, seen):
        return _phrases_by_value(name, kind, choices, heard[part], seen, faults) if part in heard else {}

    def yes(part):
        return heard.get(part) in ("yes", "true")

    with faults.at(heard):
        used = {
            word for part in ("loose", "points") if part in heard for word in _named(heard[part], word_sets, faults)
        }
        return Speech(
            phrases=phrases,
            answers=by_value("answers", first),
            names=(*names, *words("names")),
            unsettled=words("unsettled"),
            units=_units(name, kind, unit, heard["units"], faults) if "units" in heard else {},
            by_unit=yes("by_unit"),
            ahead=yes("ahead"),
            qualifies=heard.get("qualifies", ""),
            not_with=words("not_with"),
            alone=by_value("alone", first),
            loose=_loose(name, kind, choices, heard["loose"], first, faults) if "loose" in heard else {},
            anybody=yes("anybody"),
            points=words("points"),
            words={word: word_sets[word] for word in sorted(used)},
            implies=_implied(name, kind, choices, heard["implies"], faults) if "implies" in heard else {},
            lasting=yes("lasting"),
            fitted=yes("fitted"),
            wished=yes("wished"),
            habit=yes("habit"),
            needs=words("needs"),
            mainly=yes("mainly"),
            only=by_value("only", {}),
            unless=words("unless"),
            beside=_becomes(name, choices, heard["beside"], faults) if "beside" in heard else {},
            seldom=_becomes(name, choices, heard["seldom"], faults) if "seldom" in heard else {},
            near=words("near"),
            whole=words("whole"),
            plain=_plain(name, unit, heard["plain"], faults) if "plain" in heard else (),
            to_come=_chosen(name, choices, heard["to_come"], faults) if "to_come" in heard else (),
            elsewhere={
                other: _phrases(name, node, faults)
                for other, node in (heard["elsewhere"].items() if "elsewhere" in heard else ())
            },
        )


def elements(text: str) -> tuple[str, ...]:
    """The elements of a phrase of words in any order: its words, and the names of sets in braces.

    >>> elements("{bit} of {noise} fine")
    ('{bit}', 'of', '{noise}', 'fine')
    """
    return tuple(re.findall(r"\{\w+\}|[^\s{}]+", text))


def _named(node, word_sets, faults):
    """The names of sets in braces that stand in phrases; one that is not there is a fault."""
    lists = [entry for _, entry in node.items()] if isinstance(node.value, dict) else [node]
    for text in (phrase_node for several in lists for phrase_node in several):
        for element in elements(str(text.value)):
            if element.startswith("{"):
                if element[1:-1] in word_sets:
                    yield element[1:-1]
                else:
                    faults.add(f"{element} is no set of words.", text, did_you_mean(element[1:-1], list(word_sets)))


def _implied(name, kind, choices, node, faults):
    """Value -> ((fact, value), ...); yes and no are those of a flag."""
    known = ("yes", "no") if kind == "flag" else tuple(_choice_text(choice) for choice in choices)
    implied = {}
    for value, entry in node.items():
        if value not in known:
            faults.add(f"{name}: {value} is none of its choices.", entry.key, did_you_mean(value, known))
            continue
        implied[_value(kind, choices, known, value)] = tuple(
            (other, {"yes": True, "no": False}.get(str(said.value), str(said.value))) for other, said in entry.items()
        )
    return implied


def _becomes(name, choices, node, faults):
    """Value -> value, both of them choices of the fact."""
    becomes = {}
    for value, entry in node.items():
        _check_choice(name, choices, str(value), entry.key, faults)
        _check_choice(name, choices, str(entry.value), entry, faults)
        becomes[str(value)] = str(entry.value)
    return becomes


def _chosen(name, choices, node, faults):
    """Values, each a choice of the fact."""
    for entry in node:
        _check_choice(name, choices, str(entry.value), entry, faults)
    return tuple(str(entry.value) for entry in node)


def _check_choice(name, choices, choice, node, faults):
    if choice not in choices:
        faults.add(f"{name}: {choice} is none of its choices.", node, did_you_mean(choice, list(choices)))


def _plain(name, unit, node, faults):
    """(unit, lowest, highest) of a number without a unit."""
    with faults.at(node):
        meant = quantities.unit_of(node.get("unit"))
        quantities.scale(meant.name, unit)  # refuses another dimension
        return meant.name, float(node.get("from")), float(node.get("to"))
    return ()


def _phrases(name, node, faults):
    if not isinstance(node.value, (list, tuple)):
        faults.refuse(f"{name}: the words of a number or text are a list.", node, "Write [word, other words].")
    return tuple(str(phrase_node.value) for phrase_node in node)


def _loose(name, kind, choices, node, first, faults):
    """Value -> words in any order; of one word alone nobody could tell what it is about."""
    for _, entry in node.items():
        for phrase_node in entry:
            if len({element for element in elements(str(phrase_node.value)) if element not in SLIGHT}) < 2:
                faults.add(
                    f"{name}: {str(phrase_node.value)!r} is one word that tells.", phrase_node, "Write two or more."
                )
    return _phrases_by_value(name, kind, choices, node, first, faults)


def _phrases_by_value(name, kind, choices, node, first, faults):
    """Value -> phrases; a phrase under two values of one fact is a fault. ``first``: phrase -> value, added to."""
    if not isinstance(node.value, dict):
        faults.refuse(f"{name}: what is said for it stands under each choice.", node, "Write {choice: [words]}.")
    phrases = {}
    known = ("yes", "no") if kind == "flag" else tuple(_choice_text(phrase_node) for phrase_node in choices)
    for value, entry in node.items():
        if value not in known:
            faults.add(f"{name}: {value} is none of its choices.", entry.key, did_you_mean(value, known))
            continue
        phrases[_value(kind, choices, known, value)] = tuple(str(phrase_node.value) for phrase_node in entry)
        for phrase_node in entry:
            text = str(phrase_node.value)
            folded = elements(text) if "{" in text else phrase(text)
            if first.setdefault(folded, value) != value:
                faults.add(
                    f"{name}: {str(phrase_node.value)!r} is said for {first[folded]} and for {value}.",
                    phrase_node,
                    "Keep it under one.",
                )
    return phrases


def _choice_text(choice):
    return f"{choice:g}" if isinstance(choice, float) else str(choice)


def _value(kind, choices, known, text):
    return text == "yes" if kind == "flag" else choices[known.index(text)]


def _units(name, kind, unit, node, faults):
    if kind != "number":
        faults.add(f"{name}: only a number has units.", node, "Take them out.")
        return {}
    units = {}
    for spelling, entry in node.items():
        with faults.placed(entry):
            meant = quantities.unit_of(str(entry.value))
            quantities.scale(meant.name, unit)  # refuses another dimension
            units["" if spelling == BARE else spelling.casefold()] = meant.name
    return units


def check_speech(facts: Mapping[str, Fact], faults: "Faults") -> list[Remark]:
    """Remarks on phrases said for two facts; faults where a fact qualifies what is no number that is asked."""
    first: dict[Any, Any] = {}
    remarks = []
    numbers = [fact.name for fact in facts.values() if fact.source == "asked" and fact.kind == "number"]
    for fact in facts.values():
        if fact.speech is None:
            continue
        if fact.speech.qualifies and fact.speech.qualifies not in numbers:
            faults.add(
                f"{fact.name} qualifies {fact.speech.qualifies}, which is no number that is asked.",
                fact.position,
                did_you_mean(fact.speech.qualifies, numbers),
            )
        for value, several in fact.speech.implies.items():
            for other_name, said in several:
                choices = facts[other_name].choices or (True, False) if other_name in facts else ()
                if said not in choices:
                    faults.add(
                        f"{fact.name}: {value} implies {other_name}: {said}, which is no answer.",
                        fact.position,
                        did_you_mean(other_name, list(facts)),
                    )
        for text in (said_phrase for several in fact.speech.phrases.values() for said_phrase in several):
            other = first.setdefault(phrase(text), fact)
            if other is not fact and not (fact.speech.qualifies and other.speech.qualifies):
                remarks.append(
                    Remark(
                        f"{text!r} is said for {other.name} and for {fact.name}: it will be asked which.", fact.position
                    )
                )
    return remarks
