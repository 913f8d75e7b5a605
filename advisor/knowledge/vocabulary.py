"""From vocabulary.yaml to facts, figures and kit fields."""

from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

from ..frozen import frozen
from . import quantities
from .model import Fact, Figure, KitField, Unknown
from .near import did_you_mean
from .platform_fields import PLATFORM_PATHS, platform_path_known
from .plausible import with_plausible
from .sentences import joined
from .speech import read_speech

if TYPE_CHECKING:
    from .faults import Faults
    from .strict_yaml import Node

#: What every record has, in a form of its own.
EVERY_RECORD = ("id", "title", "fits", "invented")

#: Kit fields that every kit gets when it is loaded.
DERIVED_KIT_FIELDS = (
    KitField("several", "flag", "more than one disc"),
    KitField("cushioned", "flag", "cushioned disc"),
    KitField("friction_surfaces", "number", "friction surfaces", unit="1"),
)


@frozen
class Wanted:
    """A name and a unit to read a number for, with no sane range."""

    name: str
    unit: str


#: What a rule may ask of a fact without naming a value, and the test it is; these are no choices.
PLAIN_WORDS = {"known": "known", "not known": "absent", "answered": "answered", "not answered": "not_answered"}
WORD_OF = {test: word for word, test in PLAIN_WORDS.items()}
#: What stands beside the figure or field of a requirement; these are names of neither.
REQUIREMENT_WORDS = ("id", "level", "safety", "concern", "of_kits")


def flag(node: "Node", name: str, default: bool) -> bool:
    """A yes or no under ``name``."""
    return {"yes": True, "true": True, "no": False, "false": False}[node.get(name)] if name in node else default


class Declared(NamedTuple):
    """What the vocabulary declares, by name; kit and figure facts are among the facts; ``words``: sets of words."""

    facts: dict[str, Fact]
    figures: dict[str, Figure]
    kit_fields: dict[str, KitField]
    words: dict[str, tuple[str, ...]]


def read_vocabulary(root: "Node", faults: "Faults") -> Declared:
    """What the file's root node declares."""
    kit_fields, figures, facts = {}, {}, {}
    for name, entry in root["kit_fields"].items() if "kit_fields" in root else ():
        with faults.at(entry):
            kit_fields[name] = _kit_field(name, entry, faults)
    _check_paths(kit_fields, root, faults)
    for derived in DERIVED_KIT_FIELDS:
        if derived.name in kit_fields:
            faults.add(
                f"the kit field {derived.name} is worked out for every kit.",
                root["kit_fields"][derived.name].key,
                "Take it out.",
            )
        kit_fields[derived.name] = derived
    for name, entry in root["kit_fields"].items() if "kit_fields" in root else ():
        with faults.at(entry):
            kit_fields[name] = replace(kit_fields[name], of_kits=_of_kits(entry, kit_fields, faults))
    for name, entry in root["figures"].items() if "figures" in root else ():
        with faults.at(entry):
            unit = _unit(entry, faults)
            figures[name] = Figure(
                name,
                unit,
                entry.get("label"),
                _number(entry, "resolution", Wanted(name, unit)),
                entry.get("better", "neither"),
                _shown_as(entry, name, unit, faults),
                flag(entry, "always", False),
                tuple(str(node.value) for node in entry.many("eases_with")),
                entry.key,
            )
    word_sets = {
        name: tuple(str(text.value) for text in entry)
        for name, entry in (root["words"].items() if "words" in root else ())
    }
    for name, entry in root["facts"].items():
        with faults.at(entry):
            facts[name] = _fact(name, entry, kit_fields, word_sets, faults)
    for name, fact in facts.items():
        _check_declared(fact, facts, root["facts"][name], faults)
    for figure in figures.values():
        for other in figure.eases_with:
            if other not in facts:
                what = f"{figure.name}: the fact {other!r} is not in the vocabulary."
                faults.add(what, figure.position, did_you_mean(other, facts))
        _check_ordered(figure, figure.eases_with, facts, root["figures"][figure.name], faults)
    facts = with_plausible(facts, root, faults)
    for kit_field in kit_fields.values():
        _add(
            facts,
            Fact(
                f"kit_{kit_field.name}",
                kit_field.kind,
                kit_field.label,
                "kit",
                unit=kit_field.unit,
                choices=kit_field.choices,
                low=kit_field.low,
                high=kit_field.high,
                field=kit_field.name,
                shown_as=kit_field.shown_as,
                position=kit_field.position,
            ),
            root,
            faults,
        )
    for figure in figures.values():
        _add(
            facts,
            Fact(
                figure.name,
                "number",
                figure.label,
                "figure",
                unit=figure.unit,
                field=figure.name,
                shown_as=figure.shown_as,
                position=figure.position,
            ),
            root,
            faults,
        )
    _check_words(facts, figures, kit_fields, root, faults)
    return Declared(facts, figures, kit_fields, word_sets)


#: What is declared of derived facts only, and held by proof.
_PROVED = ("always", "rises_with", "falls_with", "never_for")


def _check_declared(fact, facts, entry, faults):
    """What is declared for the proofs must be said of a derived fact, and of other facts that there are."""
    for word in _PROVED:
        if word not in entry:
            continue
        if fact.source != "derived" or (word.endswith("_with") and fact.kind != "number"):
            kind = "numbers" if word.endswith("_with") else "facts"
            faults.add(f"{fact.name}: {word} is said of derived {kind} only.", entry[word], "Take it out.")
    for other in (*fact.rises_with, *fact.falls_with, *(name for name, _ in fact.never_for)):
        if other not in facts:
            faults.add(
                f"{fact.name}: the fact {other!r} is not in the vocabulary.", entry.key, did_you_mean(other, facts)
            )
    for other, values in fact.never_for:
        for value in values if other in facts else ():
            if value not in facts[other].choices:
                faults.add(f"{fact.name}: {other} has no choice {value}.", entry["never_for"], "Name one it has.")
    _check_ordered(fact, (*fact.rises_with, *fact.falls_with), facts, entry, faults)


def _check_ordered(word, others, facts, entry, faults):
    """What something rises, falls or eases with must be a number or choice that people answer."""
    for other in others:
        if other in facts and (facts[other].source != "asked" or facts[other].kind not in ("number", "choice")):
            faults.add(
                f"{word.name}: {other} is no number or choice that people answer.", entry.key, "Name one that is."
            )


def _check_words(facts, figures, kit_fields, root, faults):
    """What stands bare in a rule must mean one thing: a choice, a fact, a figure, a field or a word of the language."""
    for name, fact in facts.items():
        if fact.source == "kit":
            continue
        for choice in fact.choices:
            if isinstance(choice, str) and (choice in facts or choice in PLAIN_WORDS):
                what = "is also the name of a fact" if choice in facts else "is what rules ask of any fact"
                faults.add(f"{name}: the choice {choice} {what}.", fact.position, "Give the choice another name.")
    for name in ("any", *REQUIREMENT_WORDS):
        for kind, words in (("fact", facts), ("figure", figures), ("kit field", kit_fields)):
            if name in words and name not in EVERY_RECORD and (name == "any") == (kind == "fact"):
                faults.add(
                    f"{name} is a word of the rules and no name for a {kind}.",
                    words[name].position,
                    f"Give the {kind} another name.",
                )
    for name in figures.keys() & kit_fields.keys():
        faults.add(
            f"{name} is the name of a figure and of a kit field.", figures[name].position, "Give one another name."
        )


def _check_paths(kit_fields, root, faults):
    """Two fields may not stand in one place of the record, nor where every record has something of its own."""
    first: dict[str, Any] = {}
    for name, field in kit_fields.items():
        place = root["kit_fields"][name].key
        taken = next((place for place in (name, field.path) if place in EVERY_RECORD), None)
        if taken:
            faults.add(f"every record has {taken} without being told.", place, "Take it out, or name it apart.")
        elif field.path in first:
            faults.add(f"the kit fields {first[field.path]} and {name} both stand at {field.path}.", place, "Keep one.")
        first.setdefault(field.path, name)


def _add(facts, fact, root, faults):
    if fact.name in facts:
        faults.add(
            f"{fact.name} is the name of a fact, but it also stands for something about the kit.",
            root["facts"][fact.name].key,
            "Give the fact another name.",
        )
    facts[fact.name] = fact


def _unit(entry, faults):
    with faults.placed(entry["unit"]):
        return quantities.unit_of(entry.get("unit")).name


def _shown_as(entry, name, unit, faults):
    """How a plain number is shown; a fault on anything that has a unit, which says it already."""
    shown = entry.get("shown_as", "")
    if shown and unit != "1":
        faults.add(
            f"{name}: shown_as is for plain numbers, unit 1.", entry["shown_as"], "Take it out: the unit says it."
        )
    return shown


def _kind(entry, faults):
    """kind, unit and choices, which facts and kit fields share."""
    kind = entry.get("kind")
    unit = _unit(entry, faults) if kind == "number" else ""
    choices: tuple[Any, ...] = ()
    if "choices" in entry:
        wanted = Wanted("choices", unit)
        choices = tuple(
            (
                quantities.read(node.value, wanted)
                if kind == "number" and unit == "1"
                else _choice_number(node, wanted)
                if kind == "number"
                else str(node.value)
            )
            for node in entry["choices"]
        )
    return kind, unit, choices


def _choice_number(node, wanted):
    bare = isinstance(node.value, str)
    return quantities.read(node.value if bare else f"{node.value} {wanted.unit}", wanted)


def _range(entry, name, unit, faults):
    if "range" not in entry:
        return None, None
    with faults.placed(entry["range"]):
        low, high = (quantities.read(node.value, Wanted(name, unit)) for node in entry["range"])
    if low >= high:
        faults.add(f"{name}: the range is empty.", entry["range"], "Write the lower end first.")
    return low, high


def _number(entry, key, wanted):
    return quantities.read(entry[key].value, wanted) if key in entry else None


def _kit_field(name, entry, faults):
    kind, unit, choices = _kind(entry, faults)
    low, high = _range(entry, name, unit, faults)
    return KitField(
        name,
        kind,
        entry.get("label", name.replace("_", " ")),
        unit=unit,
        choices=choices,
        low=low,
        high=high,
        required=flag(entry, "required", False),
        path=entry.get("path", name),
        shown_as=_shown_as(entry, name, unit, faults),
        dimensions=flag(entry, "dimensions", False),
        always=flag(entry, "always", False),
        position=entry.key,
    )


def _of_kits(entry, kit_fields, faults):
    """Pairs (field, values) of the kits that a kit field applies to."""
    pairs = []
    for field, values in entry["of_kits"].items() if "of_kits" in entry else ():
        if field not in kit_fields:
            faults.refuse(
                f"the kit field {field!r} is not in the vocabulary.", values.key, did_you_mean(field, kit_fields)
            )
        with faults.placed(values):
            pairs.append((field, tuple(quantities.read_value(kit_fields[field], value.plain()) for value in values)))
    return tuple(pairs)


def _fact(name, entry, kit_fields, word_sets, faults):
    kind, unit, choices = _kind(entry, faults)
    low, high = _range(entry, name, unit, faults)
    source = entry.get("source")
    fact = Fact(
        name,
        kind,
        entry.get("label"),
        source,
        unit=unit,
        choices=choices,
        low=low,
        high=high,
        resolution=_number(entry, "resolution", Wanted(name, unit)),
        agreement=entry.get("agreement", "list" if kind == "list" else "one_rule"),
        changeable=entry.get("changeable", "cannot"),
        offered=flag(entry, "offered", True),
        safety=flag(entry, "safety", False),
        platform=entry.get("platform", ""),
        field=entry.get("field", ""),
        output=flag(entry, "output", False),
        needs_one_of=tuple(str(node.value) for node in entry["needs_one_of"]) if "needs_one_of" in entry else (),
        shown_as=_shown_as(entry, name, unit, faults),
        speech=read_speech(name, kind, unit, choices, entry, word_sets, faults),
        dimensions=flag(entry, "dimensions", False),
        always=flag(entry, "always", False),
        rises_with=tuple(str(node.value) for node in entry.many("rises_with")),
        falls_with=tuple(str(node.value) for node in entry.many("falls_with")),
        never_for=tuple(
            (other, tuple(str(node.value) for node in values))
            for other, values in (entry["never_for"].items() if "never_for" in entry else ())
        ),
        position=entry.key,
    )
    if fact.platform and not platform_path_known(fact.platform):
        faults.add(
            f"{name}: a platform's record has no {fact.platform}.",
            entry["platform"],
            did_you_mean(fact.platform, PLATFORM_PATHS),
        )
    if source == "factory_kit":
        _check_factory_field(fact, entry, kit_fields, faults)
    if "if_unknown" in entry:
        with faults.at(entry["if_unknown"]):
            unknown = _unknown(fact, entry["if_unknown"], faults)
            fact = replace(fact, if_unknown=unknown)
    return fact


def _check_factory_field(fact, entry, kit_fields, faults):
    kit_field = kit_fields.get(fact.field)
    if kit_field is None:
        faults.add(
            f"{fact.name}: the kit field {fact.field} is not known.",
            entry["field"],
            did_you_mean(fact.field, kit_fields),
        )
    elif (kit_field.kind, kit_field.unit) != (fact.kind, fact.unit):
        ours, theirs = (f"{declared.kind} {declared.unit}".strip() for declared in (fact, kit_field))
        faults.add(
            f"{fact.name} is a {ours}, but the kit field {fact.field} is a {theirs}.",
            entry["field"],
            "Declare both alike.",
        )


def _unknown(fact, entry, faults):
    do = entry.get("do")
    if do in ("stop", "leave"):
        return Unknown(do)
    read = {key: quantities.read_value(fact, entry[key].value) for key in ("value", "low", "high") if key in entry}
    others = tuple(quantities.read_value(fact, node.value) for node in entry["others"]) if "others" in entry else ()
    missing = next((key for key in read if read[key] is None), None)
    if missing or None in others:
        faults.refuse(f"{fact.name}: what is assumed cannot itself be unknown.", entry, "Write a value.")
    if do == "assume":
        bounds = fact.kind == "number" and not fact.choices
        lacking = [key for key in (("low", "high") if bounds else ("others",)) if key not in entry]
        if lacking:
            faults.refuse(
                f"{fact.name}: an assumed {'number' if bounds else fact.kind} needs {joined(lacking)}.",
                entry,
                "They say what else it could be.",
            )
        if bounds and not read["low"] <= read["value"] <= read["high"]:
            faults.refuse(
                f"{fact.name}: the assumed value does not lie from low to high.",
                entry["value"],
                "Correct one of the three.",
            )
        if read["value"] in others:
            faults.refuse(
                f"{fact.name}: the assumed value also stands among the others.",
                entry["others"],
                "Take it out of others.",
            )
    return Unknown(
        do, value=read["value"], low=read.get("low"), high=read.get("high"), others=others, basis=entry.get("basis", "")
    )
