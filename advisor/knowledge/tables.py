"""From facings.yaml, order.yaml and workshop.yaml to facings, concerns, tables over kit fields and limits."""

import itertools
from collections.abc import Mapping
from typing import Any

from . import quantities
from .faults import Faults
from .model import Basis, Facing, KitField, KitTable, Limit, Order, Step
from .near import did_you_mean
from .rules import read_basis
from .strict_yaml import Node
from .vocabulary import Wanted, flag
from .wording import value_text


def read_facings(root: Node, faults: Faults) -> dict[str, Facing]:
    """Facings by name. A property has one unit in all facings, the one of the first."""
    facings: dict[str, Facing] = {}
    units: dict[str, str] = {}
    for name, entry in root["facings"].items():
        with faults.at(entry):
            facings[name] = _facing(name, entry, units, faults)
    return facings


def _facing(name, entry, units, faults):
    numbers, own_units, bases, curve = {}, {}, {}, ()
    for key, node in entry.items():
        if key == "label":
            continue
        with faults.at(node):
            bases[key] = read_basis(node["basis"])
            if key == "curve":
                curve = _curve(name, node, faults)
                continue
            raw = node["value"].value
            with faults.placed(node["value"]):
                unit = units.setdefault(key, _unit_in(raw))
                numbers[key] = quantities.read(raw, Wanted(f"{name}.{key}", unit))
            own_units[key] = unit
    return Facing(name, entry.get("label"), numbers, own_units, curve, bases)


def read_workshop(root: Node, faults: Faults) -> dict[str, Limit]:
    """Limits of the workshop by name: lengths in mm, shares without a unit, no end below nought."""
    limits = {}
    for name, entry in root["limits"].items():
        unit = "1" if name.endswith("_share") else "mm"
        with faults.at(entry):
            ends = []
            for end in ("low", "high"):
                with faults.placed(entry[end]):
                    ends.append(quantities.read(entry[end].value, Wanted(f"{name}.{end}", unit)))
            if not 0 <= ends[0] <= ends[1]:
                faults.refuse(f"the ends of {name} do not rise from nought on.", entry, "Write the lower end as low.")
            limits[name] = Limit(name, ends[0], ends[1], unit, read_basis(entry["basis"]))
    return limits


def _unit_in(raw):
    """The unit written behind a number, "1" where there is none."""
    text = str(raw).strip()
    _, _, unit = text.partition(" ")
    return quantities.unit_of(unit.strip() or "1").name


def _curve(name, node, faults):
    points = []
    for point in node["points"]:
        temperature, factor = point.value
        points.append(
            (
                quantities.read(temperature.value, Wanted(f"{name}.curve", "degC")),
                quantities.read(factor.value, Wanted(f"{name}.curve", "1")),
            )
        )
    if any(left[0] >= right[0] for left, right in itertools.pairwise(points)):
        faults.refuse(
            f"the temperatures of the curve of {name} do not rise from point to point.",
            node["points"],
            "Put the points in order.",
        )
    if any(factor <= 0 for _, factor in points):
        faults.refuse(f"a factor of the curve of {name} is not above zero.", node["points"], "Correct it.")
    return tuple(points)


def read_order(root: Node, kit_fields: Mapping[str, KitField], faults: Faults) -> Order:
    """Concerns, tables and steps; rows that overlap or, where the table is complete, are missing are faults."""
    concerns = tuple(root.get("concerns"))
    for node in root["concerns"]:
        if concerns.count(node.value) > 1:
            faults.add(f"the concern {node.value} stands twice.", node, "Keep one.")
    tables = {}
    for name, entry in root["tables"].items() if "tables" in root else ():
        with faults.at(entry):
            tables[name] = _table(name, entry, kit_fields, faults)
    if "harshness" not in root.value.get("tables", ()):
        faults.add(
            "there is no table harshness.", root, "Write it under tables: by facing, disc_form, hub and cushioned."
        )
    steps = {}
    for name, entry in root["steps"].items():
        with faults.at(entry):
            steps[name] = _step(name, entry, faults)
    return Order(concerns, tables, steps)


def _step(name, entry, faults):
    """Both steps are of forces, in N."""
    with faults.placed(entry["share"]):
        share = quantities.read(entry["share"].value, Wanted(f"{name}.share", "1"))
    with faults.placed(entry["start"]):
        start = quantities.read(entry["start"].value, Wanted(f"{name}.start", "N"))
    if not 0 < share <= 1:
        faults.refuse(
            f"the step of {name} is not between nought and the whole.", entry["share"], "Write a share, as 0.10."
        )
    if not start > 0:
        faults.refuse(f"the steps of {name} do not start above nought.", entry["start"], "Write a force, as 100 N.")
    return Step(name, share, start, "N", entry.get("because"), read_basis(entry["basis"]))


def _table(name, entry, kit_fields, faults):
    by = tuple(entry.get("by"))
    for node in entry["by"]:
        if node.value not in kit_fields:
            faults.refuse(
                f"the kit field {node.value!r} is not in the vocabulary.", node, did_you_mean(node.value, kit_fields)
            )
    rows, places, unit, before = [], [], None, len(faults.errors)
    for row in entry["rows"]:
        with faults.at(row):
            unit = unit or _unit_in(row["value"].value)
            keys = tuple((field, _values(kit_fields[field], row[field], faults)) for field in by if field in row)
            for field, node in row.items():
                if field not in by and field not in ("id", "value"):
                    faults.refuse(f"the table {name} is not by {field}.", node.key, did_you_mean(field, by))
            rows.append(
                (row.get("id"), keys, quantities.read(row["value"].value, Wanted(f"{name}.{row.get('id')}", unit)))
            )
            places.append(row)
    _check_disjoint(name, rows, places, faults)
    complete = flag(entry, "complete", name == "harshness")
    if complete and len(faults.errors) == before:
        _check_complete(name, by, rows, entry, kit_fields, faults)
    basis = read_basis(entry["basis"]) if "basis" in entry else Basis("judgement")
    return KitTable(name, by, tuple(rows), entry.get("because", ""), basis, complete, unit or "1")


def _values(field, node, faults):
    values = []
    for member in node:
        value: Any = None
        with faults.placed(member):
            if field.kind == "number":
                value = quantities.read(member.value, Wanted(field.name, field.unit))
            else:
                value = quantities.read_value(
                    field, member.value if isinstance(member.value, str) else str(member.value)
                )
        if value is None:
            faults.refuse(f"unknown is no value of {field.name}.", member, "Write a value.")
        values.append(value)
    return tuple(values)


def _check_disjoint(name, rows, places, faults):
    for (first, second), (_, place) in zip(itertools.combinations(rows, 2), itertools.combinations(places, 2)):
        conditions, other = dict(first[1]), dict(second[1])
        if all(set(conditions[field]) & set(other[field]) for field in conditions.keys() & other.keys()):
            faults.add(
                f"the rows {first[0]} and {second[0]} of the table {name} overlap.",
                place,
                "Let every combination stand in one row only.",
            )


def _check_complete(name, by, rows, entry, kit_fields, faults):
    domains = []
    for field in by:
        domain = (False, True) if kit_fields[field].kind == "flag" else kit_fields[field].choices
        if not domain:
            faults.refuse(
                f"the table {name} cannot be complete: {field} has no closed list of values.",
                entry["by"],
                f"Take out complete, or {field}.",
            )
        domains.append(domain)
    missing = []
    for combination in itertools.product(*domains):
        kit = dict(zip(by, combination))
        if not any(all(kit[field] in values for field, values in keys) for _, keys, _ in rows):
            missing.append(", ".join(f"{field} {value_text(kit_fields[field], value)}" for field, value in kit.items()))
    if missing:
        more = f" and {len(missing) - 1} more" if len(missing) > 1 else ""
        faults.add(f"the table {name} has no row for {missing[0]}{more}.", entry["rows"].key, "Add a row.")
