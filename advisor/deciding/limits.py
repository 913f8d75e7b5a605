"""Limits of requirements and what a kit has against them, as the record holds them."""

from typing import TYPE_CHECKING, Any

from ..knowledge.model import FactRef, KitRef, Requirement
from .verdicts import UNKNOWN

if TYPE_CHECKING:
    from .decide import Decision
    from .verdicts import Checked


def plain(value: Any) -> Any:
    """Canonical values as JSON data."""
    return list(value) if isinstance(value, tuple) else value


def limit_of(decision: "Decision", requirement: Requirement, index: int | None = None) -> Any:
    """The limit of a requirement as JSON data: a value, a list (in, not_in, between), or {"kit": field}.

    With a kit's ``index`` a limit that is a kit field is resolved too.
    """

    def resolve(limit):
        if isinstance(limit, FactRef):
            return plain(decision.derivation.facts.get(limit.name))
        if isinstance(limit, KitRef):
            return {"kit": limit.name} if index is None else plain(decision.kits.kits[index].fields.get(limit.name))
        return plain(limit)

    if requirement.compare == "between":
        return [resolve(limit) for limit in requirement.limit]
    return resolve(requirement.limit)


def failure(decision: "Decision", checked: "Checked", index: int) -> dict[str, Any]:
    """One failed or unknown check of one kit: {requirement, needed, actual}.

    Of an unknown one also what it ``lacks``: {of: kit, car or caller, field} of whatever would have to be known.
    """
    requirement = checked.requirement
    if requirement.source == "kit":
        actual = plain(decision.kits.kits[index].fields.get(requirement.measure))
    else:
        # As it was read: of a must on safety what was estimated counts at its hardest end.
        number = checked.actual.number(0, index)
        actual = None if number is None else float(number)
    failed = {"requirement": requirement.id, "needed": limit_of(decision, requirement, index), "actual": actual}
    if checked.status[0, index] == UNKNOWN:
        fields: set[str] = set()
        asked: set[str] = set()
        gaps: set[str] = set()
        decision.producers.leaves_of_check(checked, index, asked, fields, gaps)
        # What people may answer as well is the car's own where it is on file: its record is what leaves it out.
        of_car = {name for name in asked if decision.platform is not None and decision.knowledge.facts[name].platform}
        owners = (("car", gaps | of_car), ("caller", asked - of_car), ("kit", fields))
        failed["lacks"] = [{"of": of, "field": name} for of, names in owners for name in sorted(names)]
    return failed
