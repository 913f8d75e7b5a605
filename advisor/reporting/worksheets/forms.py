"""The fitter's worksheets: from readings to the figures that decide, every one by a function of the mechanics.

A worksheet takes readings by name, says which are missing, and gives lines (a figure, the function and formula it
came from) and verdicts against a limit. What the makers of car and clutch say comes before any limit here. What is
read for each stands in ``worksheets.yaml``, the limits in the rules' workshop.yaml (``Knowledge.workshop``).
"""

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ...errors import InputError
from ...knowledge import quantities, strict_yaml
from ...knowledge.near import did_you_mean
from ...knowledge.vocabulary import Wanted
from . import measured, release
from .working import Reading, Worked, Worksheet, stem

if TYPE_CHECKING:
    from ...knowledge.model import Limit

FILE = Path(__file__).parent / "worksheets.yaml"
SOLVERS = {
    "bearing-gap": release.bearing_gap,
    "pedal-stop": release.pedal_stop,
    "step-height": measured.step_height,
    "run-out": measured.run_out,
    "end-float": measured.end_float,
}


@lru_cache(maxsize=1)
def worksheets() -> dict[str, Worksheet]:
    """Name -> `Worksheet`."""
    by_name = {}
    for name, node in strict_yaml.load(FILE)["worksheets"].items():
        given = node.plain()
        readings = tuple(_reading(key, reading) for key, reading in given["readings"].items())
        by_name[name] = Worksheet(name, given["title"], readings, SOLVERS[name], tuple(given["cautions"]))
    return by_name


def _reading(name, given):
    default = given.get("default")
    if default is not None and not given.get("choices"):
        default = float(default)
    flags = {flag: given.get(flag) == "yes" for flag in ("optional", "many", "signed")}
    choices = tuple(given.get("choices", ()))
    unit = given.get("unit", "")
    most = None if choices else quantities.read(given["most"], unit)
    return Reading(
        name, unit, given["what"], given.get("how", ""), choices=choices, default=default, most=most, **flags
    )


def find(name: str) -> Worksheet:
    """The `Worksheet` of that name; InputError with the nearest name where there is none."""
    if name not in worksheets():
        remedy = did_you_mean(name, worksheets(), f"There are {', '.join(worksheets())}.")
        raise InputError(f"there is no worksheet {name!r}.", value=name, remedy=remedy)
    return worksheets()[name]


def work(name: str, texts: Mapping[str, str], limits: "Mapping[str, Limit]") -> Worked:
    """A `Worked` sheet from texts such as {"housing_to_bearing": "52.0 mm"}; ``limits``: those of the workshop.

    InputError names what is unknown, wrong or missing and how to mend it.
    """
    worksheet = find(name)
    worked = Worked(worksheet, read(name, texts), limits)
    worksheet.solve(worked)
    return worked


def as_texts(worked: Worked) -> dict[str, str]:
    """The readings as texts with their units, which `work` takes again."""
    texts = {}
    for name, value in sorted(worked.readings.items()):
        if value is not None:
            unit = worked.unit(name)
            number = value if isinstance(value, str) else f"{value:.9f}".rstrip("0").rstrip(".")
            texts[name] = number + (f" {unit}" if unit not in ("", "1") else "")
    return texts


def read(name: str, texts: Mapping[str, str]) -> dict[str, Any]:
    """Readings of a worksheet from a mapping of texts: numbers in the worksheet's units."""
    readings = find(name).readings
    known = {reading.name: reading for reading in readings}
    values = {}
    for key, text in texts.items():
        reading = known.get(key) or known.get(stem(key))
        if reading is None or reading.many == (key in known):
            takes = ", ".join(f"{each.name}_1, {each.name}_2 ..." if each.many else each.name for each in readings)
            raise InputError(f"the worksheet {name} takes no reading {key!r}.", value=key, remedy=f"It takes {takes}.")
        values[key] = _value(reading, key, text)
    for reading in readings:
        if reading.many or reading.name in values:
            continue
        if reading.default is not None:
            values[reading.name] = reading.default
        elif not reading.optional:
            raise missing(name, reading)
    return values


def _value(reading, key, text):
    if reading.choices:
        if text.strip() in reading.choices:
            return text.strip()
        raise InputError(
            f"{key}: {text!r} is not one of the choices.",
            value=text,
            remedy=f"Write one of {', '.join(reading.choices)}.",
        )
    value = quantities.read(text, Wanted(key, reading.unit))
    if value < 0 and not reading.signed:
        raise InputError(f"{key}: {text!r} is below zero.", value=text, remedy="Take the reading again.")
    if abs(value) > reading.most:
        most = quantities.show(reading.most, reading.unit)
        raise InputError(
            f"{key}: {text!r} is more than there can be ({reading.what}; at most {most}).",
            value=text,
            remedy="Check the number and its unit, then take the reading again.",
        )
    return value


def missing(worksheet: str, reading: Reading) -> InputError:
    """The InputError for a `Reading` that is still needed."""
    example = reading.choices[0] if reading.choices else f"12.5 {reading.unit}" if reading.unit != "1" else "2.5"
    return InputError(
        f"the worksheet {worksheet} still needs {reading.name} ({reading.what}).",
        value=reading.name,
        remedy=f"{reading.how} Then give {reading.name}='{example}'.".strip(),
    )
