"""Which changed rules account for a changed pick: sets of changes that give it by themselves, none of them idle.

A set accounts for the pick of a case where the stored rules with those changes alone come to what the new rules come
to, and no part of the set does. Every set is tried on the cases themselves, smaller ones first, so that what is told
is exact; where there are too many changes to try, that is said instead.
"""

import dataclasses
from collections.abc import Iterable, Sequence
from itertools import combinations
from typing import TYPE_CHECKING, Any

from ..deciding.decide import decider_of
from ..errors import AdvisorError
from ..knowledge import canonical
from ..knowledge.model import Knowledge
from ..knowledge.sources import Content
from . import stored_form
from .carrying_over import carried_over
from .rule_changes import KIND_OF_STAGE, RuleChange

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from .impact_result import Result
    from .impact_work import Worker

#: Sets of changes tried for the cases of one car and one stored knowledge.
MOST_SETS = 100


@dataclasses.dataclass(frozen=True, slots=True)
class ChangeUnit:
    """Changes that are one: a rule and the shipped one that it stands in the place of; any other by itself."""

    name: str
    changes: tuple[RuleChange, ...]


@dataclasses.dataclass(frozen=True, slots=True)
class Attributed:
    """What accounts for one case: ``sets`` of names of units, each least; ``whole``: no set was left untried."""

    case: int
    sets: tuple[tuple[str, ...], ...]
    whole: bool

    @property
    def sentence(self) -> str:
        """ "by rule pedal-light alone; or by rule a with rule b" """
        if not self.sets:
            return "" if not self.whole else "by the program or the words of the rules, not by any entry alone"
        accounts = [f"by {names[0]} alone" if len(names) == 1 else f"by {' with '.join(names)}" for names in self.sets]
        return "; or ".join(accounts) + ("" if self.whole else "; larger sets were not tried")


def units(changes: Iterable[RuleChange], old: Knowledge, new: Knowledge) -> list[ChangeUnit]:
    """The changes to be told apart. Words that are new are not among them: by themselves they decide nothing."""
    left = {change.name: change for change in changes if not (change.kind in _WORDS and change.how != "edited")}
    kinds = {rule.id: KIND_OF_STAGE[rule.stage] for rule in (*old.rules, *new.rules)}
    listed = []
    pairs = [*new.replaced.items(), *((of, by) for by, of in old.replaced.items())]
    for by, of in pairs:
        names = [f"{kinds[name]} {name}" for name in (by, of) if name in kinds]
        both = [left[name] for name in names if name in left]
        if len(both) == 2:
            listed.append(ChangeUnit(names[0], tuple(both)))
            for name in names:
                del left[name]
    listed += [ChangeUnit(change.name, (change,)) for change in left.values()]
    return sorted(listed, key=lambda unit: unit.name)


_WORDS = ("fact", "kit field")


def between(old: Knowledge, new: Knowledge, chosen: Sequence[RuleChange]) -> Knowledge:
    """The old `Knowledge` with some of the changes to the new one, every new word among its words."""
    rules = {rule.id: rule for rule in old.rules}
    calculations = {calculation.id: calculation for calculation in old.calculations}
    figure_calculations = {calculation.gives: calculation for calculation in old.figure_calculations}
    estimates = {estimate.id: estimate for estimate in old.estimates}
    facts, figures = {**new.facts, **old.facts}, {**new.figures, **old.figures}
    fields = {**new.kit_fields, **old.kit_fields}
    facings, tables, steps = dict(old.facings), dict(old.order.tables), dict(old.order.steps)
    concerns = old.order.concerns
    new_rules = {rule.id: rule for rule in new.rules}
    held: dict[str, tuple[dict[str, Any], Any]] = {
        **dict.fromkeys(KIND_OF_STAGE.values(), (rules, new_rules)),
        "calculation": (calculations, {each.id: each for each in new.calculations}),
        "figure": (figure_calculations, {each.gives: each for each in new.figure_calculations}),
        "estimate": (estimates, {each.id: each for each in new.estimates}),
        "fact": (facts, new.facts),
        "facing": (facings, new.facings),
        "table": (tables, new.order.tables),
        "step": (steps, new.order.steps),
    }
    for change in chosen:
        if change.kind == "concerns":
            concerns = new.order.concerns
        elif change.kind == "kit field":
            if change.id in new.kit_fields:
                fields[change.id] = new.kit_fields[change.id]
            if change.id in new.figures:
                figures[change.id] = new.figures[change.id]
            for name in (change.id, f"kit_{change.id}"):
                if name in new.facts:
                    facts[name] = new.facts[name]
        else:
            entries, of_new = held[change.kind]
            entries.pop(change.id, None)
            if change.id in of_new:
                entries[change.id] = of_new[change.id]
    return dataclasses.replace(
        old,
        rules=tuple(rules.values()),
        calculations=tuple(calculations.values()),
        figure_calculations=tuple(figure_calculations.values()),
        estimates=tuple(estimates.values()),
        facts=facts,
        figures=figures,
        kit_fields=fields,
        facings=facings,
        order=dataclasses.replace(old.order, concerns=concerns, tables=tables, steps=steps),
        sha256=canonical.sha256([old.sha256, new.sha256, sorted(change.name for change in chosen)]),
    )


def attribute(worker: "Worker", results: Sequence["Result"], most: int = MOST_SETS) -> dict[int, Attributed]:
    """Case -> `Attributed` of the results whose pick or outcome is another."""
    groups: dict[tuple[str, str], list[tuple[Any, Any, Result]]] = {}
    for result in results:
        if result.new is not None:
            decision = worker.book.sold(result.number)
            if decision is None or decision.digest != result.digest:
                continue
            base, decision = worker.entries_of(result)
            car = base.body["case"]["platform"] or ""
            groups.setdefault((decision.knowledge or "", car), []).append((base, decision, result))
    by_case: dict[int, Attributed] = {}
    for (knowledge, _), members in sorted(groups.items(), key=lambda group: group[0]):
        by_case |= _group(worker, knowledge, members, most)
    return by_case


def _group(worker, knowledge, members, most):
    old, new = worker.sides(knowledge)
    listed = units(worker.changes_from(knowledge), old.knowledge, new.knowledge)
    in_play = {name for _, _, result in members for name in result.in_play}
    # What came into play in none of these cases is tried alone; larger sets are of what did.
    playing = [unit for unit in listed if any(change.name in in_play for change in unit.changes)]
    cases = {result.number: stored_form.case_of(base.body["case"]) for base, _, result in members}
    wanted = {result.number: (result.new["outcome"], result.new["pick"]) for _, _, result in members}
    sets_by_case: dict[int, list[frozenset[str]]] = {number: [] for number in cases}
    tried, whole = 0, True
    for size in range(max(len(playing), 1) + 1):
        among = listed if size <= 1 else playing
        for chosen in combinations(among, size):
            names = frozenset(unit.name for unit in chosen)
            open_cases = [number for number, sets in sets_by_case.items() if not any(held <= names for held in sets)]
            if not open_cases:
                continue
            if tried >= most:
                whole = False
                break
            tried += 1
            for number in _as_new(old, new, chosen, {number: cases[number] for number in open_cases}, wanted):
                sets_by_case[number].append(names)
        if not whole:
            break
    return {
        number: Attributed(
            number,
            tuple(sorted((tuple(sorted(names)) for names in sets if names), key=lambda names: (len(names), names))),
            whole,
        )
        for number, sets in sets_by_case.items()
    }


def _as_new(old: "Decider", new: "Decider", chosen, cases, wanted):
    """The cases that come out as by the new rules under the old ones with some changes."""
    changed = [change for unit in chosen for change in unit.changes]
    shop = new.shop
    try:
        knowledge = between(old.knowledge, new.knowledge, changed)
        decider = decider_of(Content(knowledge, shop.kits, shop.platforms, shop.parts, shop.hashes, shop.about))
    except (AdvisorError, KeyError):  # these changes do not stand without others
        return []
    gathered, platform = [], None
    for number, case in cases.items():
        try:
            platform, known = decider.gather(carried_over(case, old.knowledge, knowledge))
        except AdvisorError:
            continue
        gathered.append((number, known))
    if not gathered:
        return []
    outcomes = _outcomes(decider, [known for _, known in gathered], platform)
    return [
        number
        for (number, _), outcome in zip(gathered, outcomes)
        if outcome is not None and (outcome.outcome, outcome.pick) == wanted[number]
    ]


def _outcomes(decider, knowns, platform):
    """An Outcome for each, None where the rules cannot be brought together in that case."""
    try:
        return decider.batch.outcomes(knowns, platform)
    except AdvisorError:
        if len(knowns) == 1:
            return [None]
        return [outcome for known in knowns for outcome in _outcomes(decider, [known], platform)]
