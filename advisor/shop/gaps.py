"""What to measure next: the numbers that are not on file, in the order of how many verdicts hang on them a minute of
measuring.

A verdict hangs on a number where a check of a kit cannot be made without it, or was made on what stands in for it; on
an estimate only where it is another at its low end than at its high one. What
hangs on several numbers is settled by all of them only, so the best few are chosen one after the other: each is the one
that takes most off what the rest still hangs on.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from ..deciding.decide import Decider
from ..deciding.settling_estimates import turned_by_estimates
from ..deciding.unknowns import behind_unknown, limits_of
from ..deciding.verdicts import NOT_ASKED
from ..errors import AdvisorError
from ..knowledge.case_model import Case
from ..knowledge.model import FactRef
from . import measuring

#: What a verdict counts by what the check is: on safety, another must, a wish.
WEIGHTS = {"safety": 3, "must": 2, "should": 1}


@dataclass(frozen=True, slots=True)
class Gap:
    """A number not on file: ``field`` of the record ``of`` (a kit's or a car's id).

    ``verdicts``: how many hang on it, weighed; ``cases``: in how many cases; ``minutes``: how long finding it takes;
    ``estimated``: an estimate stands in.
    """

    of: str
    field: str
    verdicts: int
    cases: int
    minutes: int
    estimated: bool = False


@dataclass(frozen=True, slots=True)
class Gaps:
    """``gaps`` by verdicts a minute; ``first``: the best few, in order; ``verdicts``: the weight of all that hang on
    something.
    """

    gaps: tuple[Gap, ...]
    first: tuple[Gap, ...]
    cases: int
    verdicts: int


def gaps_of(decider: Decider, cases: Iterable[Case], most: int = 5) -> Gaps:
    """The `Gaps` that decisions on these cases meet; cases that cannot be decided at all are passed over."""
    weights: Counter[tuple[str, str]] = Counter()
    in_cases: Counter[tuple[str, str]] = Counter()
    hanging: Counter[frozenset[tuple[str, str]]] = Counter()
    estimated: set[tuple[str, str]] = set()
    count = 0
    for case in cases:
        try:
            decision = decider.decide(case)
        except AdvisorError:
            continue
        count += 1
        here: set[tuple[str, str]] = set()
        if decision.figures is None or decision.passes is None or not len(decision.kits):
            continue
        levels = {checked.requirement.id: _weight(checked.requirement) for checked in decision.checks}
        for index, requirement, fields, gaps in behind_unknown(decision):
            keys = {(decision.kits.ids[index], name) for name in fields} | {(case.platform, name) for name in gaps}
            _add(keys, levels[requirement], weights, hanging)
            here |= keys
        turned = turned_by_estimates(decider, decision)
        for index, stand_ins in decision.stand_ins.items():
            kit = decision.kits.ids[index]
            for stands in stand_ins:
                key = (kit, stands.field)
                for requirement in stands.requirements:
                    if stands.kind != "estimate" or (kit, requirement, key) in turned:
                        _add({key}, levels[requirement], weights, hanging)
                        here |= {key}
                estimated |= {key} if stands.kind == "estimate" else set()
        for key, requirement, index in _factory_estimates(decision):
            kit = decision.kits.ids[index]
            if (kit, requirement, key) not in turned:
                continue
            own = {own for own in _own(decision, index, requirement) if (kit, requirement, own) in turned}
            _add({key, *own}, levels[requirement], weights, hanging)
            estimated.add(key)
            here.add(key)
        in_cases.update(here)
    minutes = {key: measuring.minutes(key[1], decider.knowledge) for key in weights}
    gaps_met = [
        Gap(*key, weight, in_cases[key], minutes[key], estimated=key in estimated) for key, weight in weights.items()
    ]
    gaps_met.sort(key=lambda gap: (-gap.verdicts / gap.minutes, -gap.cases, gap.of, gap.field))
    by_key = {(gap.of, gap.field): gap for gap in gaps_met}
    first = tuple(by_key[key] for key in _best(hanging, minutes, most))
    return Gaps(tuple(gaps_met), first, count, sum(hanging.values()))


def _factory_estimates(decision):
    """((factory clutch, field), id of a requirement, place of a kit) for every check whose limit rests on an estimate
    of the car's own clutch.
    """
    assumed = {assumption.fact for assumption in decision.known.assumptions}
    facts = decision.knowledge.facts
    guessed = {name for name in assumed if facts[name].source == "factory_kit"}
    if not guessed or not decision.known.factory_kit:
        return
    made_of = {name: firing for firing in decision.derivation.firings for name, _ in firing.concluded}
    for checked in decision.checks:
        for limit in limits_of(checked.requirement):
            for name in sorted(guessed & _behind(limit.name, made_of)) if isinstance(limit, FactRef) else ():
                for index in map(int, (decision.fits[0] & (checked.status[0] != NOT_ASKED)).nonzero()[0]):
                    yield (decision.known.factory_kit, facts[name].field), checked.requirement.id, index


def _behind(fact, made_of):
    seen, waiting = set(), [fact]
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting += [read for read, *_ in made_of[name].facts] if name in made_of else []
    return seen


def _own(decision, index, requirement):
    """What is estimated of a kit itself and enters the same check."""
    kit = decision.kits.ids[index]
    return {
        (kit, stand_in.field) for stand_in in decision.stand_ins.get(index, ()) if requirement in stand_in.requirements
    }


def _weight(requirement):
    return WEIGHTS["safety" if requirement.safety and requirement.level == "must" else requirement.level]


def _add(keys, weight, weights, hanging):
    if keys:
        hanging[frozenset(keys)] += weight
        for key in keys:
            weights[key] += weight


def _best(hanging, minutes, most):
    """The best few numbers, one after the other: each takes most a minute off what hangs on what is not chosen."""
    chosen: list[tuple[str, str]] = []
    every = sorted({key for keys in hanging for key in keys})
    for _ in range(min(most, len(every))):
        worth: Counter[tuple[str, str]] = Counter()
        for keys, weight in hanging.items():
            left = keys.difference(chosen)
            for key in left:
                # The last number that a verdict waits for counts whole, one of several in part.
                worth[key] += weight / len(left) / minutes[key]
        best = max(every, key=lambda key: (key not in chosen, worth[key]))
        if not worth[best]:
            break
        chosen.append(best)
    return chosen
