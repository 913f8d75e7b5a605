"""The one place where a function of the mechanics is looked up by its name, and its docstring read as data."""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Mapping
from functools import cache
from types import ModuleType
from typing import Any

from ..errors import KnowledgeError
from ..frozen import frozen
from .near import did_you_mean
from .units import find

_HEADING = re.compile(r"^([A-Z][A-Za-z ]+)\n-{3,} *$", re.MULTILINE)
_ENTRY = re.compile(r"^(\w+(?:, \w+)*) : (.+)$")
_UNIT = re.compile(r"\[([^\[\]]+)\]\s*$")
_REFERENCE = re.compile(r"^\.\. \[(\d+)\] ", re.MULTILINE)


@frozen
class FunctionDoc:
    """One function of the mechanics library.

    ``keywords``: keyword -> unit name ("1" for [-], "any" for [any]). ``optional``: keywords with a default.
    ``texts``: keywords that take a text such as a theory's name. ``formula``: its lines.
    """

    name: str
    summary: str
    formula: tuple[str, ...]
    keywords: Mapping[str, str]
    optional: tuple[str, ...]
    texts: tuple[str, ...]
    meanings: Mapping[str, str]
    result_name: str
    result_unit: str
    references: tuple[str, ...]


#: Name by which a rule set kept with an older case may call a function -> where that function stands now.
RENAMED = {
    "arithmetic.amount_below": "earlier.amount_below",
    "diaphragm.peak_release_load": "disc_spring.peak_release_load",
    "diaphragm_wear.worn_clamp_factor": "disc_spring.worn_clamp_factor",
    "engagement.kick_energy": "earlier.kick_energy",
    "pedal.least_pedal_force": "release.least_pedal_force",
    "pedal.overstroke": "release.overstroke",
    "pedal.pedal_stop_position": "release.pedal_stop_position",
    "pedal.pedal_stop_room": "release.pedal_stop_room",
    "pedal.release_work": "release.release_work",
    "ramps.amount_along": "arithmetic.amount_along",
    "ramps.part_way": "arithmetic.part_way",
    "shifting.kick_energy_pulling": "engagement.kick_energy_pulling",
    "spreads.band_high": "uncertainty.band_high",
    "starting.engine_torque_at_start": "engagement.engine_torque_at_start",
    "starting.start_torque": "engagement.start_torque",
    "synchroniser.synchroniser_time_ratio": "driveline.synchroniser_time_ratio",
    "torsion.damper_stop_share": "driveline.damper_stop_share",
    "torsion.resonance_speed": "driveline.resonance_speed",
    "torsion.two_inertia_frequency": "driveline.two_inertia_frequency",
}
_LIBRARY = f"{__package__.rpartition('.')[0]}.mechanics"


@cache
def _module(name: str) -> ModuleType | None:
    if re.fullmatch(r"[a-z][a-z0-9_]*", name):
        try:
            return importlib.import_module(f"{_LIBRARY}.{name}")
        except ModuleNotFoundError:
            pass
    return None


def _is_calculation(module: ModuleType, name: str) -> bool:
    """Whether it is a function that the module itself defines; the input checks are no calculations."""
    value = getattr(module, name, None)
    return (
        inspect.isfunction(value)
        and not name.startswith("_")
        and value.__module__ == module.__name__ != f"{_LIBRARY}.argument_checks"
    )


def _calculations(module: ModuleType) -> list[str]:
    """Names of the calculations of a module of the library."""
    return [name for name in sorted(vars(module)) if _is_calculation(module, name)]


def names() -> tuple[str, ...]:
    """Every calculation as module.function, sorted."""
    modules = [info.name for info in pkgutil.iter_modules(importlib.import_module(_LIBRARY).__path__)]
    public = [name for name in sorted(modules) if not name.startswith("_")]
    modules_named = ((name, importlib.import_module(f"{_LIBRARY}.{name}")) for name in public)
    return tuple(f"{name}.{calculation}" for name, module in modules_named for calculation in _calculations(module))


def function(name: str) -> Callable[..., Any]:
    """The function of the mechanics that rules, worksheets and ``calculate`` call ``"module.function"``.

    A name of a rule set kept with an older case is found by `RENAMED`. Raises KnowledgeError where there is no such
    function, with the nearest name.
    """
    parts = RENAMED.get(str(name), str(name)).split(".")
    module = _module(parts[0]) if len(parts) == 2 else None
    if module is None:
        raise KnowledgeError(
            f"there is no function {name!r}.",
            value=name,
            remedy="Write module.function, such as friction.torque_capacity.",
        )
    if not _is_calculation(module, parts[1]):
        raise KnowledgeError(
            f"there is no function {name!r}.", value=name, remedy=did_you_mean(parts[1], _calculations(module))
        )
    return getattr(module, parts[1])


@cache
def describe(name: str) -> FunctionDoc:
    """The FunctionDoc of ``"module.function"``, under the name asked for.

    Raises KnowledgeError where there is no such function (with the nearest name) or its docstring lacks a unit.
    """
    calculation = function(name)
    return read_docstring(name, inspect.getdoc(calculation) or "", inspect.signature(calculation))


def read_docstring(name: str, text: str, signature: inspect.Signature) -> FunctionDoc:
    """A FunctionDoc from a cleaned docstring and the function's signature."""
    sections = _sections(text)
    entries = _entries(sections.get("Parameters", ""))
    results = _entries(sections.get("Returns", ""))
    keywords, texts, meanings = {}, [], {}
    for keyword in signature.parameters:
        if keyword not in entries:
            raise KnowledgeError(f"the docstring of {name} does not describe {keyword}.", value=name)
        kind, body = entries[keyword]
        keywords[keyword] = _unit(name, keyword, body)
        meanings[keyword] = _UNIT.sub("", body).rstrip(" ,")
        if kind.startswith(("str", "{", "text")):
            texts.append(keyword)
    if len(results) != 1:
        raise KnowledgeError(f"the docstring of {name} describes {len(results)} results instead of one.", value=name)
    ((result, (_, body)),) = results.items()
    return FunctionDoc(
        name=name,
        summary=text.split("\n\n")[0].replace("\n", " ").strip(),
        formula=tuple(line.strip() for line in sections.get("Formula", "").splitlines() if line.strip()),
        keywords=keywords,
        optional=tuple(
            key for key, parameter in signature.parameters.items() if parameter.default is not parameter.empty
        ),
        texts=tuple(texts),
        meanings=meanings,
        result_name=result,
        result_unit=_unit(name, result, body),
        references=_references(sections.get("References", "")),
    )


def _sections(text: str) -> dict[str, str]:
    pieces = _HEADING.split(text)
    return {heading.strip(): body.strip("\n") for heading, body in zip(pieces[1::2], pieces[2::2])}


def _entries(body: str) -> dict[str, tuple[str, str]]:
    """name -> (type, meaning) of a Parameters or Returns section."""
    entries: dict[str, tuple[str, str]] = {}
    current: list[str] = []
    for line in body.splitlines():
        match = _ENTRY.match(line)
        if match:
            current = match[1].split(", ")
            for name in current:
                entries[name] = (match[2], "")
        elif line.strip():
            for name in current:
                kind, meaning = entries[name]
                entries[name] = (kind, f"{meaning} {line.strip()}".strip())
    return entries


def _unit(function: str, name: str, body: str) -> str:
    match = _UNIT.search(body)
    if not match:
        raise KnowledgeError(
            f"the docstring of {function} gives no unit for {name}.",
            value=function,
            remedy="End its meaning with [unit].",
        )
    if match[1] == "any":
        return "any"
    unit = find(match[1])
    if unit is None:
        raise KnowledgeError(
            f"the docstring of {function} gives {name} in {match[1]!r}, which is no known unit.", value=function
        )
    return unit.name


def _references(body: str) -> tuple[str, ...]:
    pieces = _REFERENCE.split(body)
    numbered = tuple(" ".join(piece.split()) for piece in pieces[2::2])
    return numbered or tuple(filter(None, [" ".join(body.split())]))
