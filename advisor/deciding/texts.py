"""Texts: filling placeholders with values and units, wrapping so that a number keeps its unit, chances in words."""

import re
import textwrap

from ..knowledge.quantities import show_value

#: A number and its unit stay on one line.
_UNIT = re.compile(
    r"(?<=\d) (?=(?:N m|lb-ft|lbf|kN|N|mm2|mm|cm3|MPa|psi|kPa|bar|kW|hp|rpm|degC|degF|kg m2|kg|lb|km|mi|m|%|K|s|J|kJ|deg|EUR)\b|%)"
)
_UNIT_OF_TWO = re.compile(r"(?<=\xa0N) (?=m\b)|(?<=\xa0kg) (?=m2\b)")
PLACEHOLDER = re.compile(r"\{([a-z][a-z0-9_]*)\}")


def fill(template, values, words, system="si"):
    """``template`` with each {name} replaced by its value and unit, or "not known".

    ``values``: fact name -> canonical value; ``words``: fact name -> Fact; ``system``: si or trade.
    """
    return PLACEHOLDER.sub(lambda match: show_value(words[match[1]], values.get(match[1]), system), template)


def first_sentence(text):
    """The first sentence of a text, its full stop kept."""
    match = re.match(r".*?[.!?](?=\s+[A-Z]|$)", text, re.DOTALL)
    return match[0] if match else text


def tied(text):
    """``text`` with blanks that do not break between a number and its unit."""
    return _UNIT_OF_TWO.sub("\xa0", _UNIT.sub("\xa0", text))


def wrap(text, width, first="", rest=None):
    """``text`` wrapped to ``width`` with a prefix on the first line and an indent on the others."""
    rest = " " * len(first) if rest is None else rest
    text = tied(" ".join(text.split()))
    filled = textwrap.fill(text, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
    return filled.replace("\xa0", " ")


def kind_down(before_by):
    """What the next kit down is beside the pick, by what puts it first: only what a driver feels is gentler."""
    if before_by == "price":
        return "cheaper one that feels the same"
    return "one that feels the same" if before_by in ("stock", "capacity", "id") else "gentler one"


#: What puts the pick before a near equal, wishes aside.
BEHIND = {
    "clamp_load": "It stands behind by a step of clamp load, though they lie less than one apart.",
    "pedal_force": "It stands behind by a step of pedal force.",
    "price": "It stands behind because it costs more.",
    "stock": "It stands behind because it must be ordered.",
    "capacity": "It stands behind because it holds more than is needed.",
    "id": "Nothing else tells them apart.",
}


def why_behind(near):
    """Why a near equal of the record stands behind the pick, in a sentence."""
    if near["gives_up"]:
        given_up = [name.replace("_", " ") for name in near["gives_up"]]
        wishes = f"{', '.join(given_up[:-1])}{' and ' if given_up[1:] else ''}{given_up[-1]}"
        return f"It stands behind because it gives up what is wished about {wishes}."
    return BEHIND.get(near["behind_by"], "")


def in_stock(near, which):
    """Whether the pick or the near equal ("kit") of an entry is on the shelf, in words."""
    return "in stock" if near["stock"][which] else "to order"


def chance(probability):
    """A probability [-] in whole per cent, which is as fine as it is known: "93 %", "over 99 %", "under 1 %"."""
    whole = round(100 * probability)
    return "over 99 %" if whole == 100 and probability < 1 else "under 1 %" if whole == 0 else f"{whole} %"
