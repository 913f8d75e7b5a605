"""The complete derivation: every fact with where it came from, every firing, every requirement, every kit."""

from ...explaining.view import View
from ...knowledge.sentences import wrap


def derivation(made, wording, width=80):
    """The derivation of one decision record as text."""
    view = View(made, wording)
    lines = ["Facts"]
    for fact in made["facts"]:
        producer = f", firing {', '.join(str(number) for number in fact['producer'])}" if fact["producer"] else ""
        origin = fact["origin"].replace("_", " ")
        lines.append(wrap(f"{wording.label(fact['name'])}: {wording.value(fact['name'], fact['value'])} ({origin}{producer})", width, "  ", "    "))
    lines += ["", wrap("Rules and calculations, each after what it stands on", width)]
    for firing in made["firings"]:
        lines += _firing(firing, wording, width)
    lines += ["", "Requirements"]
    for one in made["requirements"]:
        level = one["level"] + (", safety" if one["safety"] else "") + (f", {one['concern']}" if one["concern"] else "")
        lines.append(wrap(f"{wording.label(one['measure'])}: {view.needed(one)} ({level}; {one['id']})", width, "  ", "    "))
    lines += ["", "Kits that fit the car, gentlest first"]
    for kit in view.fitting():
        lines += _kit(view, kit, width)
    others = [kit["id"] for kit in made["kits"] if not kit["fits"]]
    if others:
        lines += ["", wrap(f"Not for this car by their dimensions: {len(others)} kits.", width)]
    return "\n".join(lines) + "\n"


def _firing(firing, wording, width):
    read = "; ".join(f"{wording.label(name)} {wording.value(name, value)}" for name, value in firing["facts"].items())
    made = "; ".join(f"{wording.label(name)} {wording.value(name, value)}" for name, value in firing["concluded"].items())
    basis = firing["basis"]["kind"].replace("_", " ")
    if firing["basis"]["source"]:
        basis += f": {firing['basis']['source']}"
    if firing["basis"]["caution"]:
        basis += f" ({firing['basis']['caution']})"
    lines = [wrap(f"{firing['id']} {firing['rule']} ({firing['kind']}, {firing['stage']})", width, "  ", "    ")]
    lines.append(wrap(f"from {read}", width, "    ", "      "))
    if made:
        lines.append(wrap(f"gives {made}", width, "    ", "      "))
    if firing.get("reason"):
        lines.append(wrap(f"gives nothing: {firing['reason']}", width, "    ", "      "))
    lines.append(wrap(firing["because"], width, "    ", "      "))
    lines.append(wrap(f"Basis {basis}.", width, "    ", "      "))
    return lines


def _kit(view, kit, width):
    lines = [wrap(f"{kit['id']}: {kit['verdict']}" + (f", place {kit['place']}" if kit["place"] else ""), width, "  ", "    ")]
    for entry in kit["failed"] + kit["unknown"]:
        lines.append(wrap(view.failure(entry) + ".", width, "    ", "      "))
    for entry in kit["given_up"]:
        lines.append(wrap(f"gives up {entry['concern']}: {view.failure(entry)}.", width, "    ", "      "))
    return lines
