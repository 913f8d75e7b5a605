"""The sums that decided, with every number that goes into them, so that a pocket calculator gets the same."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from ..knowledge.sentences import capital
from .layout import wrap
from .reason_nodes import trace

if TYPE_CHECKING:
    from .worded import WordedRecord

#: Figures that are worked through, and how far back: what they are made of, and what that is made of.
SHOWN, BACK = 4, 2
#: What is said of a figure that no pocket calculator gets, and of a look-up between points.
NO_SUM = "worked out step by step, no sum for a pocket calculator; its inputs: advisor case why ID --depth 3"
BETWEEN = "interp(at, points, factors): the factor at that place, in a straight line between the points."


def deciding_sums_lines(worded: "WordedRecord", width: int) -> list[str]:
    """The figures of the pick that decided, each with what was needed, its formula, and all that goes into it.

    A figure that another one is made of is worked through before it, once.
    """
    if worded.pick is None or worded.record.pick is None:
        return []
    names = [check.requirement for check in worded.record.pick.because]
    figures = [name for name in names if worded.requirements[name].source == "figure"][:SHOWN]
    lines, done = ["The figures that decided, worked through"], set[str]()
    for name in figures:
        nodes = trace(worded, worded.pick, [name])
        requirement = nodes[f"requirement:{name}"]
        measure = requirement["from"][0]
        head = f"{capital(requirement['label'])}: {nodes[measure]['text']}, needed {requirement['text']}"
        lines.append(wrap(head, width, "  ", "    "))
        for key in _in_order(nodes, measure):
            if key not in done:
                done.add(key)
                lines += _sum(nodes[key], width)
    if any("interp(" in line for line in lines):
        lines.append(wrap(BETWEEN, width, "  ", "    "))
    return lines if figures else []


def _in_order(nodes: Mapping[str, Any], key: str, back: int = BACK) -> list[str]:
    """The figures that a figure is made of, each before what is made of it, and itself; ``back`` steps back."""
    made_of = [source for source in nodes[key]["from"] if nodes[source]["kind"] == "figure"] if back else []
    before = [other for source in made_of for other in _in_order(nodes, source, back - 1)]
    return list(dict.fromkeys([*before, key]))


def _sum(node: Mapping[str, Any], width: int) -> list[str]:
    """One calculation: its formula, the numbers put in, the result; of one that is no sum the result alone."""
    why = node["why"] or {}
    if "formula" not in why or why["result"] is None:
        return []
    lines = [wrap(f"{why['title']}", width, "    ", "      ")]
    result = f"{why['result_name']} = {why['result']}"
    if not why["lines"] or why["lines"][-1].partition(" = ")[0] != why["result_name"]:
        return [*lines, wrap(f"{result}; {NO_SUM}", width, "      ", "        ")]
    formulas = {line.partition(" = ")[0]: line for line in why["formula"]}
    for line in why["lines"]:
        # "scaled = value * factor" says no more than its numbers do.
        formula = line if why["function"].startswith("arithmetic.") else formulas.get(line.partition(" = ")[0], line)
        lines += [wrap(text, width, "      ", "        ") for text in dict.fromkeys((formula, line))]
    return [*lines, wrap(result, width, "      ", "        ")]
