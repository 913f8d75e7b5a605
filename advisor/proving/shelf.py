"""Musts against kits: those that no kit can meet together, cars that nothing on the shelf fits, kits that fit nobody.

Only musts on what a kit's record says are asked here; those on figures need the mechanics, so of them only bounds that
cross are looked for.
"""

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from ..errors import AdvisorError
from ..knowledge.model import FactRef, KitRef, Record, Requirement, Rule
from ..knowledge.sentences import joined
from .admissible import DECLINED
from .callers import Shows
from .findings import OPEN, PROVED, Finding
from .problem import Problem
from .questions import NOT_SETTLED
from .regions import Regions

LOWER, UPPER = ("above", "at_least"), ("below", "at_most")
#: Quarrels told at most; each leaves out the ones before.
MOST = 10
#: Conceivable kits looked through at most.
MOST_KITS = 100_000

Must = tuple[Rule, Requirement]


def musts_on_fields(problem: Problem) -> list[Must]:
    """The musts on fields of kits, without those that are there to refuse every kit."""
    return [
        (rule, requirement)
        for posted in problem.musts().values()
        for rule, requirement in posted
        if requirement.source == "kit" and rule.topic != DECLINED
    ]


def prepare(problem: Problem) -> None:
    """Name every statement that the questions here ask, before the solver is made."""
    for _, requirement in musts_on_fields(problem):
        if isinstance(requirement.limit, FactRef):
            problem.regions.has(requirement.limit.name)
    for lower, upper in _pairs_of_bounds(problem):
        _crossing(problem.regions, lower[1].limit, upper[1].limit)


def quarrels(problem: Problem) -> Iterator[Finding]:
    """Callers for whom no conceivable kit meets all musts on its fields."""
    yield from _crossed_bounds(problem)
    musts = [must for must in musts_on_fields(problem) if _is_plain(must[1])]
    failing = {frozenset(_failed_by(kit, musts)) for kit in _conceivable(problem, musts)}
    if frozenset() in failing or not failing:
        return  # some kit meets whatever is posted
    under = problem.solver.fresh()
    fires = problem.regions.fires
    for rules in failing:
        problem.solver.also(-under, *[fires[rule] for rule in rules])
    for _ in range(MOST):
        if not problem.may(*problem.usual, under):
            return
        model = problem.solver.model()
        core = _smallest([rule.id for rule, _ in musts if fires[rule.id] in model], failing)
        caller, sure = problem.shown([*problem.usual, *[fires[rule] for rule in core]], _fire(problem, core))
        what = f"no kit there could ever be meets the musts of {joined(core)} together."
        if sure != "shown":
            sure, what = OPEN, f"is there a caller for whom {what[:-1]}? {NOT_SETTLED}."
        yield Finding(
            "musts that quarrel",
            sure,
            tuple(core),
            what,
            "Let the conditions of one exclude the other's, or soften one to a should.",
            caller,
            problem.by_id[core[0]].position,
        )
        problem.solver.also(-under, *[-fires[rule] for rule in core])


def _is_plain(requirement: Requirement) -> bool:
    """Is it about a choice, flag or text held against literals? Bounds and copies some kit always meets."""
    return requirement.compare in ("is", "in", "not_in") and not isinstance(requirement.limit, (FactRef, KitRef))


def _conceivable(problem: Problem, musts: Sequence[Must]) -> Iterable[Mapping[str, Any]]:
    """Every kit there could be, as far as the fields go that musts or their ``of_kits`` name; none where too many."""
    fields = {requirement.measure for _, requirement in musts}
    fields |= {name for _, requirement in musts for name, _ in requirement.of_kits}
    options, count = {}, 1
    for name in sorted(fields):
        field = problem.knowledge.kit_fields[name]
        named = {value for _, requirement in musts for value in _values_of(requirement, name)}
        options[name] = (
            [*field.choices, *sorted(named - set(field.choices), key=str)]
            if field.choices
            else ([False, True] if field.kind == "flag" else [*sorted(named, key=str), None])
        )
        count *= len(options[name])
    if count > MOST_KITS:
        return ()
    return (dict(zip(options, values)) for values in itertools.product(*options.values()))


def _values_of(requirement: Requirement, name: str) -> list:
    values = [value for field, listed in requirement.of_kits if field == name for value in listed]
    if requirement.measure == name:
        limit = requirement.limit
        values += list(limit) if isinstance(limit, tuple) else [limit]
    return values


def _failed_by(kit: Mapping[str, Any], musts: Iterable[Must]) -> Iterator[str]:
    """Ids of the rules whose must this kit fails."""
    for rule, requirement in musts:
        if fails(kit, requirement):
            yield rule.id


def fails(kit: Mapping[str, Any], requirement: Requirement) -> bool:
    """Does a kit whose fields are known fail a must held against literals?"""
    if any(kit.get(name) not in values for name, values in requirement.of_kits):
        return False
    value, limit = kit.get(requirement.measure), requirement.limit
    if requirement.compare == "is":
        return value != limit
    return (value in limit) == (requirement.compare == "not_in")


def _smallest(posted: list[str], failing: Iterable[frozenset[str]]) -> list[str]:
    """A smallest set of posted rules that leaves no kit: none of them can be spared."""
    core = sorted(set(posted))
    for rule in list(core):
        fewer = set(core) - {rule}
        if all(fewer & rules for rules in failing):
            core = sorted(fewer)
    return core


def _fire(problem: Problem, rules: Iterable[str]) -> Shows:
    wanted = set(rules)
    return lambda caller, came: (
        not isinstance(came, AdvisorError) and wanted <= came.fired() and not problem.runs.undecided(caller, came)
    )


def _pairs_of_bounds(problem: Problem) -> Iterator[tuple[Must, Must]]:
    """Pairs (lower, upper) of musts on one measure that hold of every kit."""
    for posted in problem.musts().values():
        bounds = [must for must in posted if not must[1].of_kits and not isinstance(must[1].limit, KitRef)]
        for lower, upper in itertools.product(bounds, repeat=2):
            if lower[1].compare in LOWER and upper[1].compare in UPPER:
                yield lower, upper


def _crossing(regions: Regions, low: Any, high: Any) -> int:
    """The statement that a lower limit lies above an upper one."""
    if isinstance(low, FactRef) and isinstance(high, FactRef):
        return -regions.true if low == high else regions.all_of([
            regions.has(low.name), regions.has(high.name), regions.compared(low.name, high.name)[2]
        ])  # fmt: skip
    if isinstance(low, FactRef):
        return regions.all_of([regions.has(low.name), regions.bound(low.name, "above", high)])
    if isinstance(high, FactRef):
        return regions.all_of([regions.has(high.name), regions.bound(high.name, "below", low)])
    return regions.true if low > high else -regions.true


def _crossed_bounds(problem: Problem) -> Iterator[Finding]:
    for lower, upper in _pairs_of_bounds(problem):
        rules = [lower[0].id, upper[0].id]
        crossing = _crossing(problem.regions, lower[1].limit, upper[1].limit)
        both = [problem.regions.fires[rule] for rule in rules]
        if not problem.may(*problem.usual, *both, crossing):
            continue
        caller, sure = problem.shown([*problem.usual, *both, crossing], _cross(problem, lower, upper))
        if sure == PROVED:
            continue
        measure = lower[1].measure
        what = f"{joined(rules)} ask more of {measure} than they allow, so no kit meets both."
        if sure == OPEN:
            what = f"do {joined(rules)} ask more of {measure} than they allow for some caller? {NOT_SETTLED}."
        remedy = "Mend one of the limits."
        yield Finding("musts that quarrel", sure, tuple(rules), what, remedy, caller, lower[0].position)


def _cross(problem: Problem, lower: Must, upper: Must) -> Shows:
    fire = _fire(problem, [lower[0].id, upper[0].id])

    def shows(caller, came):
        if not fire(caller, came):
            return False
        low, high = (
            came.facts.get(must[1].limit.name) if isinstance(must[1].limit, FactRef) else must[1].limit
            for must in (lower, upper)
        )
        return low is not None and high is not None and low > high

    return shows


def thin_shelf(problem: Problem, kits: Sequence[Record], platforms: Sequence[Record]) -> Iterator[Finding]:
    """Cars for which nothing on the shelf can pass, whatever the caller says, and kits that pass for no car."""
    musts = [must for must in musts_on_fields(problem) if must[1].compare in ("is", "in", "not_in")]
    on_sale = [kit for kit in kits if not kit.fields.get("discontinued")]
    passes_somewhere: set[str] = set()
    for platform in platforms:
        pinned = _pinned(problem, platform)
        passing = [kit.id for kit in on_sale if _may_pass(problem, kit, musts, pinned)]
        passes_somewhere |= set(passing)
        if not passing:
            what = f"no kit on the shelf can pass for {platform.id}, whatever its caller says."
            remedy = "Look at its record, or stock a kit for it."
            yield Finding("empty shelf", PROVED, (platform.id,), what, remedy, position=platform.position)
    for kit in on_sale:
        if platforms and kit.id not in passes_somewhere and not _may_pass(problem, kit, musts, []):
            what = f"the kit {kit.id} can pass for no caller, so it is never sold."
            yield Finding(
                "kit that never passes", PROVED, (kit.id,), what, "Look at its record.", position=kit.position
            )


def _pinned(problem: Problem, platform: Record) -> list[int]:
    """A car as it stands on record, what callers may answer otherwise left open."""
    regions, literals = problem.regions, [problem.doors.on_file]
    for name, fact in regions.facts.items():
        if fact.source == "platform" and fact.kind != "number" and fact.platform in platform.fields:
            literals += [regions.has(name), problem.admission.recorded(fact)]
            literals += regions.placed(name, platform.fields[fact.platform])
    return literals


def _may_pass(problem: Problem, kit: Record, musts: Iterable[Must], pinned: list[int]) -> bool:
    """Can some caller with this car be sold this kit, as far as its fields go?"""
    regions, literals = problem.regions, [*problem.usual, *pinned]
    for rule, requirement in musts:
        limit, value = requirement.limit, kit.fields.get(requirement.measure)
        if value is None or isinstance(limit, KitRef):
            continue
        if any(kit.fields.get(name) not in values for name, values in requirement.of_kits):
            continue
        fires = regions.fires[rule.id]
        if not isinstance(limit, FactRef):
            literals += [-fires] if fails(kit.fields, requirement) else []
        elif value in regions.facts[limit.name].choices and not problem.may(
            *literals, regions.value(limit.name, value)
        ):
            literals.append(-fires)
    return problem.may(*literals)
