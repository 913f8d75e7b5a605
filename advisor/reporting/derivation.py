"""The complete derivation: every fact with where it came from, every firing, every requirement, every kit."""

from .words import wrap


def derivation(made, words, width=80):
    """The derivation of one decision record as text."""
    lines = ["Facts"]
    for fact in made["facts"]:
        producer = f", firing {', '.join(str(number) for number in fact['producer'])}" if fact["producer"] else ""
        origin = fact["origin"].replace("_", " ")
        lines.append(wrap(f"{words.label(fact['name'])}: {words.value(fact['name'], fact['value'])} ({origin}{producer})", width, "  ", "    "))
    lines += ["", wrap("Rules and calculations, each after what it stands on", width)]
    for firing in made["firings"]:
        lines += _firing(firing, words, width)
    lines += ["", "Requirements"]
    for one in made["requirements"]:
        level = one["level"] + (", safety" if one["safety"] else "") + (f", {one['concern']}" if one["concern"] else "")
        limit = words.needed(one, one["limit"]) if not isinstance(one["limit"], dict) else f"the kit's {words.label(one['limit']['kit'])}"
        lines.append(wrap(f"{words.label(one['measure'])}: {limit} ({level}; {one['id']})", width, "  ", "    "))
    lines += ["", "Kits that fit the car, gentlest first"]
    for kit in sorted((kit for kit in made["kits"] if kit["fits"]), key=lambda kit: kit["gentleness"]):
        lines += _kit(made, kit, words, width)
    others = [kit["id"] for kit in made["kits"] if not kit["fits"]]
    if others:
        lines += ["", wrap(f"Not for this car by their dimensions: {len(others)} kits.", width)]
    return "\n".join(lines) + "\n"


def _firing(firing, words, width):
    read = "; ".join(f"{words.label(name)} {words.value(name, value)}" for name, value in firing["facts"].items())
    made = "; ".join(f"{words.label(name)} {words.value(name, value)}" for name, value in firing["concluded"].items())
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


def _kit(made, kit, words, width):
    lines = [wrap(f"{kit['id']}: {kit['verdict']}" + (f", place {kit['place']}" if kit["place"] else ""), width, "  ", "    ")]
    for entry in kit["failed"] + kit["unknown"]:
        lines.append(wrap(words.failure(made, entry) + ".", width, "    ", "      "))
    for entry in kit["given_up"]:
        lines.append(wrap(f"gives up {entry['concern']}: {words.failure(made, entry)}.", width, "    ", "      "))
    return lines
