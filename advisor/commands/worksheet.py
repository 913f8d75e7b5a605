"""Works out what a fitter measured: the bearing's gap, the pedal stop, the flywheel's step, run-out, end float.

Without readings it shows what to measure and how. Readings are numbers with their unit, NAME=VALUE; several of one
kind are numbered (reading_1, reading_2).

example:
  advisor worksheet bearing-gap
  advisor worksheet bearing-gap housing_to_bearing='52.0 mm' block_to_fingers='49.5 mm' spacer_thickness='0.8 mm'
  advisor worksheet run-out where=housing-bore reading_1='0.10 mm' reading_2='-0.05 mm' --json
"""

from argparse import ArgumentParser, Namespace
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from ..errors import InputError
from . import opening

if TYPE_CHECKING:
    from ..reporting.worksheets.working import Worked, Worksheet


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument(
        "worksheet", metavar="WORKSHEET", help="bearing-gap, pedal-stop, step-height, run-out or end-float"
    )
    parser.add_argument("readings", metavar="NAME=VALUE", nargs="*", help="what was measured")
    parser.add_argument("--case-id", metavar="ID", help="keep the readings with this case of the casebook")
    parser.add_argument("--casebook", metavar="PLACE", help="the casebook, where it is not the usual one")
    parser.add_argument("--by", metavar="NAME", default="", help="who measured")
    opening.add_output(parser)
    opening.add_sources(parser)


def run(arguments: Namespace) -> int:
    """The exit code: 0 whatever the readings say; whether they are within their limits is in what is shown."""
    from ..reporting.worksheets import forms

    worksheet = forms.find(arguments.worksheet)
    if not arguments.readings:
        if arguments.case_id:
            raise InputError("there are no readings to keep.", remedy="Give them as NAME=VALUE.")
        _say(arguments, form(worksheet), lambda: "\n".join(form_lines(worksheet, opening.width())))
        return 0
    limits = opening.open_content(arguments).knowledge.workshop
    worked = forms.work(worksheet.name, texts(arguments.readings), limits)
    if arguments.case_id:
        with opening.book_of(arguments) as book:
            book.worked(book.number_of(arguments.case_id), worked.name, forms.as_texts(worked), by=arguments.by)
    _say(arguments, worked.as_data(), lambda: "\n".join(lines(worked, arguments.units, opening.width())))
    return 0


def _say(arguments, data, text):
    if arguments.json:
        import json

        opening.say_json(json.dumps(data, indent=2, sort_keys=True, ensure_ascii=False))
    else:
        opening.say(text())


def texts(pairs: Iterable[str]) -> dict[str, str]:
    """{"name": "12.5 mm"} from NAME=VALUE texts; each given once."""
    by_name = {}
    for text in pairs:
        name, equals, value = text.partition("=")
        if not equals or not name.strip() or not value.strip():
            raise InputError(f"{text!r} is not NAME=VALUE.", value=text, remedy="Write it like before='0.12 mm'.")
        if name.strip() in by_name:
            raise InputError(
                f"{name.strip()} is given twice.",
                value=text,
                remedy="Give it once; number several: reading_1, reading_2.",
            )
        by_name[name.strip()] = value
    return by_name


def form(worksheet: "Worksheet") -> dict[str, Any]:
    """What is to be read, as JSON data."""
    return {
        "worksheet": worksheet.name,
        "title": worksheet.title,
        "cautions": list(worksheet.cautions),
        "readings": [
            {
                "name": reading.name,
                "unit": reading.unit,
                "what": reading.what,
                "how": reading.how,
                "needed": not reading.optional and reading.default is None,
                "default": reading.default,
                "choices": list(reading.choices),
                "several": reading.many,
            }
            for reading in worksheet.readings
        ],
    }


def form_lines(worksheet: "Worksheet", width: int) -> list[str]:
    """What is to be read, as lines."""
    from ..knowledge.sentences import wrap

    form_text = [wrap(f"{worksheet.name}: {worksheet.title}", width), ""]
    form_text += [wrap(caution, width) for caution in worksheet.cautions] + ["", "Readings"]
    for reading in worksheet.readings:
        name = f"{reading.name}_1, {reading.name}_2 ..." if reading.many else reading.name
        kind = " or ".join(reading.choices) if reading.choices else reading.unit if reading.unit != "1" else "number"
        level = (
            "if known"
            if reading.optional
            else f"else {reading.default:g}"
            if isinstance(reading.default, float)
            else f"else {reading.default}"
            if reading.default
            else "needed"
        )
        form_text.append(wrap(f"{name} ({kind}; {level}): {reading.what}. {reading.how}", width, "  ", "    "))
    return form_text


def lines(worked: "Worked", units: str, width: int) -> list[str]:
    """A worked sheet as lines: what was worked out, by which formula, and whether it is within its limit."""
    from ..knowledge.quantities import show
    from ..knowledge.sentences import wrap

    sheet_text = [wrap(worked.worksheet.title, width), "", "Worked out"]
    for line in worked.lines:
        sheet_text.append(wrap(f"{line.label}: {show(line.value, line.unit, units)}", width, "  ", "    "))
        sheet_text += [wrap(formula, width, "      ", "        ") for formula in line.formula]
    sheet_text += ["", "Against the limits"]
    for verdict in worked.verdicts:
        basis = f" ({verdict.basis})" if verdict.basis else ""
        sheet_text.append(wrap(f"{verdict.state}: {verdict.words}{basis}", width, "  ", "    "))
    return [*sheet_text, "", *(wrap(caution, width) for caution in worked.worksheet.cautions)]
