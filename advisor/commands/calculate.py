"""Uses one calculation of the mechanics alone. Quantities carry their units; nothing is evaluated.

example:
  advisor calculate torque_capacity friction_coefficient=0.33 "clamp_load=6180 N" "mean_radius=100 mm" \
      friction_surfaces=2 --show
  advisor calculate --list
"""

import json
from argparse import ArgumentParser, Namespace

from ..errors import InputError
from . import opening


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("name", nargs="?", metavar="NAME", help="function, or module.function")
    parser.add_argument("values", nargs="*", metavar="KEY=VALUE", help="arguments with units")
    parser.add_argument("--list", action="store_true", help="every calculation in one line")
    parser.add_argument("--show", action="store_true", help="formula, numbers put in, validity and source")
    parser.add_argument("--in", dest="wanted", metavar="UNIT", help="unit of the result")
    opening.add_output(parser)


def run(arguments: Namespace) -> int:
    """The exit code: 0, or 2 for bad input."""
    if arguments.list:
        return _list(arguments)
    if not arguments.name:
        raise InputError("no calculation is named.", remedy="Name one; advisor calculate --list shows them all.")
    name, document = _find(arguments.name)
    given, shown = _read(document, arguments.values)
    result, unit = _result(name, document, given, arguments.wanted)
    if arguments.json:
        data = {"function": name, "arguments": shown, "result": result, "unit": unit, "formula": list(document.formula)}
        opening.say_json(json.dumps(data, indent=2, sort_keys=True, ensure_ascii=False))
        return 0
    from ..knowledge.quantities import show

    system = "si" if arguments.wanted else arguments.units
    opening.say(f"{document.result_name.replace('_', ' ')}: {show(result, unit, system, 4)}")
    if arguments.show:
        opening.say(_working(document, given, result, unit))
    return 0


def _documents():
    """FunctionDoc of every calculation by its full name."""
    from ..knowledge.functions import describe, names

    return {name: describe(name) for name in names()}


def _list(arguments):
    documents = _documents()
    if arguments.json:
        rows = [
            {
                "function": name,
                "summary": document.summary,
                "arguments": dict(document.keywords),
                "gives": document.result_name,
                "unit": document.result_unit,
            }
            for name, document in documents.items()
        ]
        opening.say_json(json.dumps(rows, indent=2, sort_keys=True, ensure_ascii=False))
        return 0
    from ..knowledge.sentences import wrap

    for name, document in documents.items():
        opening.say(wrap(f"{name}: {document.summary}", opening.width(), "", "    "))
    return 0


def _find(name):
    from ..errors import KnowledgeError
    from ..knowledge.functions import describe

    if "." in name:
        try:
            return name, describe(name)
        except KnowledgeError as error:
            raise InputError(error.what, value=name, remedy=error.remedy) from None
    documents = _documents()
    matches = [full for full in documents if full.partition(".")[2] == name]
    if len(matches) == 1:
        return matches[0], documents[matches[0]]
    if matches:
        raise InputError(f"{name} stands in several modules.", value=name, remedy=f"Write one of {', '.join(matches)}.")
    from ..knowledge.near import nearest_are

    names = [full.partition(".")[2] for full in documents]
    raise InputError(
        f"there is no calculation {name!r}.",
        value=name,
        remedy=nearest_are(name, names, "advisor calculate --list shows them all."),
    )


def _read(document, values):
    """(arguments in the function's units, the same as shown back), each given once and known."""
    from ..knowledge import quantities
    from ..knowledge.near import did_you_mean
    from ..knowledge.vocabulary import Wanted

    given, shown = {}, {}
    any_unit = None
    for text in values:
        key, equals, value = text.partition("=")
        key = key.strip()
        if not equals:
            raise InputError(f"{text!r} is not KEY=VALUE.", value=text, remedy="Write it like clamp_load='6180 N'.")
        if key not in document.keywords:
            raise InputError(
                f"{document.name} takes no {key!r}.",
                value=key,
                remedy=did_you_mean(key, document.keywords, f"It takes {', '.join(document.keywords)}."),
            )
        if key in given:
            raise InputError(f"{key} is given twice.", value=text, remedy="Give it once.")
        unit = document.keywords[key]
        if key in document.texts:
            given[key] = shown[key] = value.strip()
            continue
        if unit == "any":
            unit = any_unit = any_unit or _unit_of(value)
        given[key] = quantities.read(value, Wanted(key, unit))
        shown[key] = {"value": given[key], "unit": unit}
    missing = [key for key in document.keywords if key not in given and key not in document.optional]
    if missing:
        wanted = ", ".join(f"{key} ({document.meanings[key]}; {document.keywords[key]})" for key in missing)
        raise InputError(f"{document.name} still needs {len(missing)} argument(s).", remedy=f"Give {wanted}.")
    return given, shown


def _unit_of(value):
    from ..knowledge import quantities

    _, _, unit = value.strip().partition(" ")
    return quantities.unit_of(unit or "1").name


def _result(name, document, given, wanted):
    from ..knowledge import functions, quantities
    from ..mechanics.argument_checks import MechanicsError

    try:
        value = functions.function(name)(**given)
    except MechanicsError as error:
        raise InputError(
            f"{error.argument} {error.reason} (got {error.value!r}).",
            value=error.value,
            remedy="advisor calculate NAME --show tells what each argument is.",
        ) from None
    if not isinstance(value, float):
        raise InputError(
            f"{name} gives several numbers at once.", remedy="Use it from Python; the command shows single results."
        )
    unit = document.result_unit
    if unit == "any":
        return value, "1"
    if wanted:
        target = quantities.unit_of(wanted)
        if target.dimension != quantities.unit_of(unit).dimension:
            raise InputError(
                f"the result is in {unit}, which does not go into {wanted}.",
                value=wanted,
                remedy=f"Use a unit like {unit}.",
            )
        return quantities.convert(value, unit, target.name), target.name
    return value, unit


def _working(document, given, result, unit):
    """Formula, the same with numbers, and the source."""
    import re

    from ..knowledge.quantities import show

    lines = ["formula"]
    lines += [f"  {line}" for line in document.formula]
    lines.append("with the numbers put in (SI)")
    for line in document.formula:
        put = re.sub(
            r"[A-Za-z_]\w*",
            lambda match: f"{given[match[0]]:.6g}" if isinstance(given.get(match[0]), float) else match[0],
            line,
        )
        lines.append(f"  {put}")
    lines.append("arguments")
    for key, value in given.items():
        shown_value = (
            show(value, document.keywords[key], "si", 6)
            if isinstance(value, float) and document.keywords[key] != "any"
            else value
        )
        lines.append(f"  {key} = {shown_value}   {document.meanings[key]}")
    lines.append(f"result {document.result_name} = {show(result, unit, 'si', 6)}")
    lines.append("source")
    lines += [f"  {reference}" for reference in document.references]
    return "\n".join(lines)
