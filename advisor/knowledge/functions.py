"""What the mechanics library says of itself: the docstrings, read as data."""

import importlib
import inspect
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Mapping

from ..errors import KnowledgeError
from .faults import did_you_mean
from .units import find

_HEADING = re.compile(r"^([A-Z][A-Za-z ]+)\n-{3,} *$", re.MULTILINE)
_ENTRY = re.compile(r"^(\w+(?:, \w+)*) : (.+)$")
_UNIT = re.compile(r"\[([^\[\]]+)\]\s*$")
_REFERENCE = re.compile(r"^\.\. \[(\d+)\] ", re.MULTILINE)


@dataclass(frozen=True, slots=True)
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


def _module(name):
    if re.fullmatch(r"[a-z][a-z0-9_]*", name):
        try:
            return importlib.import_module(f"{__package__.rpartition('.')[0]}.mechanics.{name}")
        except ModuleNotFoundError:
            pass
    return None


def _is_calculation(name, one):
    """Public functions of the library, also where a module hands on what a part of it defines; not its input checks."""
    package = f"{__package__.rpartition('.')[0]}.mechanics."
    return (
        inspect.isfunction(one)
        and not name.startswith("_")
        and one.__module__.startswith(package)
        and one.__module__ != f"{package}checks"
    )


def _public(name, function):
    """Whether it is a calculation: defined in the mechanics library or offered again by one of its modules."""
    package = f"{__package__.rpartition('.')[0]}.mechanics"
    return (
        not name.startswith("_")
        and inspect.isfunction(function)
        and function.__module__.startswith(f"{package}.")
        and function.__module__ != f"{package}.checks"
    )


@lru_cache(maxsize=None)
def describe(name):
    """The FunctionDoc of ``"module.function"``.

    Raises KnowledgeError where there is no such function (with the nearest name) or its docstring lacks a unit.
    """
    parts = str(name).split(".")
    module = _module(parts[0]) if len(parts) == 2 else None
    if module is None:
        raise KnowledgeError(
            f"there is no function {name!r}.",
            value=name,
            remedy="Write module.function, such as friction.torque_capacity.",
        )
    public = {key: one for key, one in vars(module).items() if _is_calculation(key, one)}
    if parts[1] not in public:
        raise KnowledgeError(f"there is no function {name!r}.", value=name, remedy=did_you_mean(parts[1], public))
    function = public[parts[1]]
    return read_docstring(name, inspect.getdoc(function) or "", inspect.signature(function))


def read_docstring(name, text, signature):
    """A FunctionDoc from a cleaned docstring and the function's signature."""
    sections = _sections(text)
    entries = _entries(sections.get("Parameters", ""))
    results = _entries(sections.get("Returns", ""))
    keywords, texts, meanings = {}, [], {}
    for keyword, parameter in signature.parameters.items():
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
        optional=tuple(key for key, one in signature.parameters.items() if one.default is not one.empty),
        texts=tuple(texts),
        meanings=meanings,
        result_name=result,
        result_unit=_unit(name, result, body),
        references=_references(sections.get("References", "")),
    )


def _sections(text):
    pieces = _HEADING.split(text)
    return {heading.strip(): body.strip("\n") for heading, body in zip(pieces[1::2], pieces[2::2])}


def _entries(body):
    """name -> (type, meaning) of a Parameters or Returns section."""
    entries, current = {}, ()
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


def _unit(function, name, body):
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


def _references(body):
    pieces = _REFERENCE.split(body)
    numbered = tuple(" ".join(piece.split()) for piece in pieces[2::2])
    return numbered or tuple(filter(None, [" ".join(body.split())]))
