"""The sums that decided, with every number that goes into them, so that a pocket calculator gets the same."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from ..knowledge.sentences import capital
from .layout import wrap
from .reason_nodes import trace
from .worked_sums import fixed_inputs

if TYPE_CHECKING:
    from .worded import WordedRecord

#: Figures that are worked through, and how far back: what they are made of, and what that is made of.
SHOWN, BACK = 4, 2


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
    return lines if figures else []


def _in_order(nodes: Mapping[str, Any], key: str, back: int = BACK) -> list[str]:
    """The figures that a figure is made of, each before what is made of it, and itself; ``back`` steps back."""
    made_of = [source for source in nodes[key]["from"] if nodes[source]["kind"] == "figure"] if back else []
    before = [other for source in made_of for other in _in_order(nodes, source, back - 1)]
    return list(dict.fromkeys([*before, key]))


def _sum(node: Mapping[str, Any], width: int) -> list[str]:
    why = node["why"] or {}
    if "formula" not in why:
        return []
    lines = [wrap(f"{why['title']}", width, "    ", "      ")]
    lines += [wrap(line, width, "      ", "        ") for line in why["formula"]]
    for given in (*why["inputs"], *fixed_inputs(why["function"], why["formula"], why["inputs"])):
        lines.append(wrap(f"{given['name']} = {given['text']} ({given['meaning']})", width, "      ", "        "))
    if why["result"] is not None:
        lines.append(wrap(f"{why['result_name']} = {why['result']}", width, "      ", "        "))
    return lines
