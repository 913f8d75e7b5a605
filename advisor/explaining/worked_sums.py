"""One calculation worked through with its numbers: formula, what each letter stands for, numbers put in, result.

Nothing is computed again: the numbers are those the record holds, in the units the formula is written in.
"""

import inspect
import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from ..knowledge import functions
from ..knowledge.functions import describe
from ..knowledge.model import Calculation
from ..knowledge.quantities import convert, show

#: Digits of what goes into a sum: all that are held, so that a reader gets the result; and digits of the result.
DIGITS, RESULT_DIGITS = 9, 6
_WORD = re.compile(r"(?<![\w.])[a-z_][a-z0-9_]*(?![\w(])")
_MATHS = re.compile(r"[\w\s.+\-*/(),<=]+$")
_WHERE = re.compile(r"^(.*), where (\w+ is \w+(?: and \w+ is \w+)*)$")


@cache
def _defaults(function):
    signature = inspect.signature(functions.function(function))
    return {
        key: parameter.default
        for key, parameter in signature.parameters.items()
        if parameter.default is not parameter.empty
    }


def worked(step: Calculation, given: Mapping[str, tuple[Any, str]], result: Any) -> dict[str, Any]:
    """One Calculation with its numbers, as data.

    ``given``: keyword -> (value, unit it is in); ``result``: the value it gave, in the step's unit, or None.
    {title, function, formula, inputs: [{name, meaning, value, unit, text}], lines: [...], result: text}: ``lines``
    are those lines of the formula that are pure arithmetic, with the numbers put in.
    """
    doc = describe(step.function)
    inputs, texts = [], {}
    for keyword, (value, unit) in given.items():
        value, unit = _in_unit(value, unit, doc.keywords[keyword])
        text = _text(value, unit)
        texts[keyword] = text
        inputs.append({"name": keyword, "meaning": doc.meanings[keyword], "value": value, "unit": unit, "text": text})
    lines = _used([_WHERE.sub(r"\1", line) for line in doc.formula if _applies(line, given)], doc.result_name)
    return {
        "title": step.title,
        "function": step.function,
        "summary": doc.summary,
        "formula": [_spaced(line) for line in lines],
        "inputs": inputs,
        "lines": _substituted(lines, texts, _defaults(step.function)),
        "result_name": _spaced(doc.result_name),
        "result": None if result is None else _result(result, step),
        "references": list(doc.references),
    }


def _in_unit(value, unit, wanted):
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return value, ""
    if wanted == "any" or unit == "any":
        return float(value), unit if unit != "any" else "1"
    return float(f"{convert(float(value), unit or '1', wanted):.9g}"), wanted


def _text(value, unit):
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)):
        return "(" + ", ".join(show(float(member), "1", digits=DIGITS) for member in value) + ")"
    if not isinstance(value, (int, float)):
        return str(value).replace("_", " ")
    return show(value, unit or "1", digits=DIGITS)


def _result(value, step):
    text = show(value, step.unit, digits=RESULT_DIGITS)
    if "any" in (step.result_unit, step.unit) or step.result_unit == step.unit:
        return text
    there = convert(value, step.unit, step.result_unit)
    return f"{show(there, step.result_unit, digits=RESULT_DIGITS)} = {text}" if step.result_unit != "1" else text


def _applies(line, given):
    """Whether a line holds for the choices given: "..., where theory is uniform_wear" for that theory only."""
    match = _WHERE.match(line)
    conditions = (condition.split(" is ") for condition in match[2].split(" and ")) if match else ()
    return all(str(given[name][0]) == value for name, value in conditions if name in given)


def _used(lines, result):
    """The lines the result needs: not what only another choice would have needed. All where that cannot be told."""
    names = [line.partition(" = ")[0] for line in lines]
    if result not in names:
        return lines
    last = len(names) - 1 - names[::-1].index(result)
    needed, kept = {result}, []
    for name, line in reversed(list(zip(names[: last + 1], lines))):
        if not re.fullmatch(r"\w+", name) or name in needed:
            kept.append(line)
            needed |= set(_WORD.findall(line))
    return kept[::-1]


def _substituted(lines, texts, defaults):
    sums: list[str] = []
    put_in: set[str] = set()
    for line in lines:
        name, equals, right = line.partition(" = ")
        if not equals or not _MATHS.match(right):
            continue
        # An optional term nobody gave, such as a third part of a sum, is not there.
        for keyword, default in defaults.items():
            if keyword not in texts and not default:
                right = re.sub(rf" [+-] {keyword}\b(?![\w(])", "", right)
        words = {word for word in _WORD.findall(right) if word not in texts and defaults.get(word) is None}
        # What is neither given nor made by an earlier line is prose, or cannot be shown as a sum.
        if words - put_in - {"pi", "if", "else"}:
            continue
        put_in.add(name)
        sums.append(f"{_spaced(name)} = {_WORD.sub(lambda match: _put(match, texts, defaults), right)}")
    return sums


def _put(match, texts, defaults):
    word = match[0]
    text = texts.get(word) or (_text(defaults[word], "") if defaults.get(word) is not None else _spaced(word))
    raised = match.string[match.end() :].startswith("**")
    return f"({text})" if raised and (" " in text or text.startswith("-")) else text


def _spaced(text):
    return re.sub(r"(?<=[a-z0-9])_(?=[a-z0-9])", " ", text)
