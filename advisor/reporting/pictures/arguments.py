"""The arguments a figure's mechanics function was called with, taken from the decision record and the kit's record.

For courses and shares that the record holds no numbers of: a plot draws them by the same functions from the same
inputs, and prints none of them.
"""

from ...deciding.columns import look_up
from ...knowledge.quantities import convert


def arguments(page, figure, kit):
    """Keyword -> value in the function's unit, for one figure of one kit; None where an input is not known."""
    knowledge = page.wording.knowledge
    calculation = next(one for one in knowledge.figure_calculations if one.gives == figure)
    wanted, found = dict(calculation.units), {}
    for keyword, given in calculation.inputs:
        value = _value(given, page, kit, wanted.get(keyword, "any"))
        if value is None:
            return None
        found[keyword] = value
    return found


def argument(page, figure, kit, keyword):
    """One argument of it, or None."""
    found = arguments(page, figure, kit)
    return None if found is None else found[keyword]


def _value(given, page, kit, unit):
    for one in given.first_of or (given,):
        value = _plain(one, page, kit)
        if value is not None:
            bare = isinstance(value, str) or "any" in (unit, one.unit) or unit == one.unit
            return value if bare else convert(value, one.unit or "1", unit)
    return None


def _plain(given, page, kit):
    knowledge, fields = page.wording.knowledge, page.wording.records[kit].fields
    if given.source in ("value", "choice"):
        return given.value
    if given.source == "fact":
        return page.fact_value(given.name)
    if given.source == "figure":
        return page.figure_value(given.name, kit)
    if given.source == "kit":
        return fields.get(given.name)
    if given.source == "facing":
        return knowledge.facings[fields["facing"]].numbers.get(given.name)
    return look_up(knowledge.order.tables[given.name], fields)
