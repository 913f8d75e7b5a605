"""Filling the placeholders of because-texts, cautions and items with values and units."""

import re

from ..knowledge.quantities import show_value

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
