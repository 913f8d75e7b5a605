"""What facts may turn out to be: ``plausible:`` of vocabulary.yaml, read and checked."""

import dataclasses
from collections.abc import Mapping
from typing import TYPE_CHECKING

from ..frozen import frozen
from . import quantities
from .model import Fact, Plausible
from .near import did_you_mean

if TYPE_CHECKING:
    from .faults import Faults
    from .strict_yaml import Node

#: Sources of facts that may be unknown when a case is decided.
SOURCES = ("asked", "platform", "factory_kit")
#: In ``given``: the fact has a value, whichever.
KNOWN = "known"


@frozen
class _Plain:
    """A name to read a plain number for, with no sane range."""

    name: str
    unit: str = "1"


def with_plausible(facts: Mapping[str, Fact], root: "Node", faults: "Faults") -> dict[str, Fact]:
    """``facts`` (name -> Fact) with what each may turn out to be."""
    with_entries = dict(facts)
    for name, entry in root["facts"].items():
        if "plausible" not in entry or name not in facts:
            continue
        if facts[name].source not in SOURCES:
            faults.add(
                f"{name} is worked out here (source {facts[name].source}), so nobody need guess it.",
                entry["plausible"].key,
                "Take plausible out.",
            )
            continue
        read = []
        for node in entry["plausible"]:
            with faults.at(node):
                read.append(_entry(facts[name], node, facts, faults))
        with_entries[name] = dataclasses.replace(facts[name], plausible=tuple(read))
    return with_entries


def _entry(fact, node, facts, faults):
    given = []
    for name, values in node["given"].items() if "given" in node else ():
        other = _known(name, values.key, facts, faults)
        if [value.value for value in values] == [KNOWN]:
            given.append((name, ()))
        else:
            given.append((name, tuple(quantities.read_value(other, _text(other, value.value)) for value in values)))
    none = node.get("none", 0)
    kinds = [key for key in ("shares", "band", "from") if key in node]
    if len(kinds) > 1:
        faults.refuse(f"{fact.name}: {kinds[0]} and {kinds[1]} exclude each other.", node[kinds[1]].key, "Keep one.")
    if not kinds and "common" not in node and none < 100:
        faults.refuse(f"{fact.name}: nothing says what it may be.", node, "Write shares, band or common, or none: 100.")
    times, over = (
        tuple(_number(name_node.value, name_node, facts, faults) for name_node in node[key]) if key in node else ()
        for key in ("times", "over")
    )
    entry_read = Plausible(node.get("basis"), tuple(given), times=times, over=over, none=none, from_kits="from" in node)
    if "shares" in node:
        return dataclasses.replace(entry_read, shares=_shares(fact, node["shares"], faults))
    return _numbers(fact, node, entry_read, faults)


def _shares(fact, node, faults):
    if fact.kind != "flag" and not fact.choices:
        faults.refuse(f"{fact.name} has no choices that shares could be of.", node.key, "Write a band.")
    shares = tuple((quantities.read_value(fact, _text(fact, value)), share.value) for value, share in node.items())
    whole = sum(share for _, share in shares)
    if whole != 100:
        faults.refuse(f"{fact.name}: the shares add up to {whole}, not to 100.", node.key, "Make them 100 together.")
    return shares


def _numbers(fact, node, entry_read, faults):
    """The numbers of a band, with its common value."""
    for key in ("band", "common"):
        if key in node and (fact.kind != "number" or fact.choices):
            faults.refuse(f"{fact.name} is not a number that could lie anywhere.", node[key].key, "Write shares.")
    if ("common" in node) != ("share" in node):
        faults.refuse(f"{fact.name}: common and share go together.", node, "Write both, or neither.")
    share, common = node.get("share", 0), None
    if "common" in node:
        common = quantities.read_value(fact, node["common"].value)
        if ("band" in node) == (share == 100):
            what = "nothing is left for the band" if share == 100 else "nothing says what the others have"
            faults.refuse(f"{fact.name}: with a share of {share}, {what}.", node["share"], "Change share, or the band.")
    if "band" not in node:
        return dataclasses.replace(entry_read, common=common, share=share)
    wanted = _Plain(fact.name) if entry_read.times else fact
    low, likely, high = (quantities.read(value.value, wanted) for value in node["band"])
    if not low <= likely <= high or low == high:
        faults.refuse(f"{fact.name}: the band does not rise from low over likely to high.", node["band"], "Correct it.")
    return dataclasses.replace(entry_read, band=(low, likely, high), common=common, share=share)


def _text(fact, value):
    """A choice of a number is written without its unit."""
    return f"{value} {fact.unit}" if fact.kind == "number" and fact.unit != "1" else value


def _known(name, place, facts, faults):
    if name not in facts or facts[name].source not in SOURCES:
        names = [fact_name.name for fact_name in facts.values() if fact_name.source in SOURCES]
        faults.refuse(f"the fact {name!r} is none that is known beforehand.", place, did_you_mean(name, names))
    return facts[name]


def _number(name, place, facts, faults):
    if _known(name, place, facts, faults).kind != "number":
        faults.refuse(f"{name} is no number to count in.", place, "Name a number.")
    return name
