"""From estimates.yaml to estimates: numbers of a kit that nobody prints, from those that are known."""

from typing import TYPE_CHECKING

from . import quantities
from .model import Estimate, KitField
from .near import did_you_mean
from .rules import read_basis
from .vocabulary import Wanted

if TYPE_CHECKING:
    from collections.abc import Mapping

    from .faults import Faults
    from .strict_yaml import Node

#: What decides whether a clutch fits and holds together: never estimated.
NEVER = ("max_speed_rpm", "spin_certificate", "spline", "bolt_pattern", "pack_depth")


def read_estimates(root: "Node", kit_fields: "Mapping[str, KitField]", faults: "Faults") -> tuple[Estimate, ...]:
    """The Estimates of the file's root node, in its order."""
    estimates: list[Estimate] = []
    for node in root["estimates"]:
        with faults.at(node):
            estimate = _estimate(node, kit_fields, faults)
            if any(earlier.id == estimate.id for earlier in estimates):
                faults.refuse(f"the estimate {estimate.id} stands a second time.", node["id"], "Give it another id.")
            estimates.append(estimate)
    return tuple(estimates)


def _estimate(node, kit_fields, faults):
    field = _number_field(node["field"], node.get("field"), kit_fields, faults)
    if field.name in NEVER:
        faults.refuse(
            f"{field.name} is never estimated: it decides whether a clutch fits and holds together.",
            node["field"],
            "Take it out; it is asked of the maker.",
        )
    values = {}
    for name in ("likely", "low", "high"):
        with faults.placed(node[name]):
            values[name] = quantities.read(node[name].value, Wanted(f"{field.name}.{name}", field.unit or "1"))
    if not values["low"] <= values["likely"] <= values["high"]:
        faults.refuse(f"low, likely and high of {field.name} do not rise.", node["likely"], "Put them in order.")
    powers, at = {}, {}
    for name, power in node["scaled"].items() if "scaled" in node else ():
        other = _number_field(power.key, name, kit_fields, faults)
        powers[name] = float(power.value)
        if "at" not in node or name not in node["at"]:
            faults.refuse(f"at says nothing of {name}.", node["scaled"], f"Write at: {{{name}: ...}}.")
        with faults.placed(node["at"][name]):
            at[name] = quantities.read(node["at"][name].value, Wanted(name, other.unit or "1"))
    return Estimate(
        id=node.get("id"),
        field=field.name,
        unit=field.unit,
        of_kits=tuple(
            (name, tuple(_value(kit_fields, name, value, faults) for value in values_))
            for name, values_ in (node["of_kits"].items() if "of_kits" in node else ())
        ),
        powers=tuple((name, power, at[name]) for name, power in powers.items()),
        **values,
        hardest=node.get("hardest"),
        hardest_of_factory=node.get("hardest_of_factory", ""),
        unless=tuple(member.value for member in node.many("unless")),
        measure=node.get("measure"),
        because=node.get("because"),
        basis=read_basis(node["basis"]),
    )


def _number_field(where, name, kit_fields, faults):
    field = kit_fields.get(name)
    if field is None or field.kind != "number":
        what = f"{name} is no field of a kit." if field is None else f"{name} is no number."
        faults.refuse(
            what,
            where,
            did_you_mean(name, [field.name for field in kit_fields.values() if field.kind == "number"], "Check it."),
        )
    return field


def _value(kit_fields, name, node, faults):
    field = kit_fields.get(name)
    if field is None:
        faults.refuse(f"{name} is no field of a kit.", node, did_you_mean(name, kit_fields))
    with faults.placed(node):
        return quantities.read_value(field, node.value if field.kind == "number" else str(node.value))
