"""Arguments weighed once, outside the engines: what each cause has for and against it.

A cause starts from how often it stands behind such a complaint, shifted by what is known of the sale. Of the arguments
of one group only the strongest counts for it, so that two wordings of one observation are not two witnesses. Where a
sign was seen, a cause that it says nothing of loses a point; where it was asked for and not found, the causes it is
typical of lose three, or twelve where it was measured. Sums and maxima do not depend on any order.
"""

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from ..engine.rulebase import read_by, read_by_all
from ..knowledge.complaint_model import COMPLAINED, Cause, ComplaintKnowledge, ComplaintRule, Symptom
from ..knowledge.model import WITHOUT_VALUE
from .as_sold import Margin

#: Groups of this name shift what is likely before any sign: they say nothing of causes they do not name.
SOLD_GROUP = "sold_"
TYPICAL, MEASURED_TYPICAL = 6.0, 8.0
UNNAMED, NOT_FOUND, NOT_FOUND_MEASURED = -1.0, -3.0, -12.0
#: A cause that far ahead of the next leads; one that near the first is likely; a measured argument so strong rules out.
LEADS, LIKELY, RULES_OUT = 10.0, 10.0, -12.0


@dataclass(frozen=True, slots=True)
class Weight:
    """One argument that counts for a cause: the ``rule`` behind it and how it came about.

    ``came``: seen (its sign was found), unnamed (a sign was found that says nothing of it) or missing (a sign typical
    of it was asked for and not found).
    """

    points: float
    group: str
    rule: str
    came: str


@dataclass(frozen=True, slots=True)
class Standing:
    """How a cause stands: ``start`` points before any sign, the ``weights`` that count, and the ``total``."""

    cause: Cause
    start: float
    weights: tuple[Weight, ...]
    total: float

    @property
    def shown_against(self) -> Weight | None:
        """The strongest argument that was measured or known of the sale and rules it out, or None."""
        against = [weight for weight in self.weights if weight.points <= RULES_OUT]
        return min(against, key=lambda weight: (weight.points, weight.rule), default=None)

    @property
    def supports(self) -> tuple[Weight, ...]:
        """What was found that speaks for it, the strongest first."""
        speaking_for = [weight for weight in self.weights if weight.points > 0]
        return tuple(sorted(speaking_for, key=lambda weight: (-weight.points, weight.rule)))


@dataclass(frozen=True, slots=True)
class _MayMiss:
    """A rule whose sign may be asked for and not found: once ``always`` and one branch of ``either`` are known."""

    rule: str
    always: frozenset[str]
    either: tuple[tuple[str, ...], ...]
    missing: list[tuple[str, Weight]]

    def asked_for(self, known: frozenset[str]) -> bool:
        """Was its sign asked for, all that it takes being known?"""
        return self.always <= known and (not self.either or any(known.issuperset(branch) for branch in self.either))


class Weigher:
    """Weighs what rules argue; holds what does not change between one set of signs and the next."""

    def __init__(self, knowledge: ComplaintKnowledge) -> None:
        self.knowledge = knowledge
        self.rules = {rule.id: rule for rule in knowledge.rules if rule.argue}
        self._asks = {rule.id: _asked(rule, knowledge.symptoms) for rule in self.rules.values()}
        self._missing = {
            rule.id: [
                (
                    argument.cause,
                    Weight(
                        NOT_FOUND_MEASURED if argument.points >= MEASURED_TYPICAL else NOT_FOUND,
                        argument.group,
                        rule.id,
                        "missing",
                    ),
                )
                for argument in rule.argue
                if argument.sign == "for" and argument.points >= TYPICAL
            ]
            for rule in self.rules.values()
            if not rule.argue[0].group.startswith(SOLD_GROUP)
        }
        self._seen = {
            rule.id: {
                argument.cause: Weight(argument.weight, argument.group, rule.id, "seen") for argument in rule.argue
            }
            for rule in self.rules.values()
        }
        self._unnamed = {
            rule.id: Weight(UNNAMED, rule.argue[0].group, rule.id, "unnamed")
            for rule in self.rules.values()
            if not rule.argue[0].group.startswith(SOLD_GROUP) and any(argument.sign == "for" for argument in rule.argue)
        }
        self._suspects = {
            complaint: knowledge.suspects(str(complaint)) for complaint in knowledge.symptoms[COMPLAINED].fact.choices
        }
        self._missing_of = {complaint: self._that_may_miss(complaint) for complaint in self._suspects}

    def _that_may_miss(self, complaint: object) -> list[_MayMiss]:
        """The rules whose sign may be asked for and missed, with what that says of causes of a complaint."""
        suspects = {cause.id for cause in self._suspects[complaint]}
        rules = []
        for rule, missing in self._missing.items():
            always, either, complaints = self._asks[rule]
            of_suspects = [(cause, weight) for cause, weight in missing if cause in suspects]
            if of_suspects and (always or either) and (complaints is None or complaint in complaints):
                rules.append(_MayMiss(rule, frozenset(always), either, of_suspects))
        return rules

    def weigh(
        self, complaint: str, fired: Collection[str], known: Collection[str], at_sale: Margin | None = None
    ) -> tuple[Standing, ...]:
        """Every cause that can make the complaint, the likeliest first.

        ``fired``: ids of the rules that fired; ``known``: names of the facts that have a value.
        """
        suspects = self._suspects[complaint]
        counted: dict[str, dict[str, list[Weight]]] = {cause.id: {} for cause in suspects}
        for rule in self.rules:
            if rule not in fired:
                continue
            seen, unnamed = self._seen[rule], self._unnamed.get(rule)
            for cause, groups in counted.items():
                weight = seen.get(cause, unnamed)
                if weight is not None:
                    groups.setdefault(weight.group, []).append(weight)
        known_facts = frozenset(known)
        for sign in self._missing_of[complaint]:
            if sign.rule not in fired and sign.asked_for(known_facts):
                for cause, weight in sign.missing:
                    # An answer that speaks for the cause cannot at once be the lack of another answer that would.
                    if all(weight_before.points <= 0 for weight_before in counted[cause].get(weight.group, ())):
                        counted[cause].setdefault(weight.group, []).append(weight)
        standings = [_standing(cause, complaint, counted[cause.id], at_sale) for cause in suspects]
        return tuple(sorted(standings, key=lambda standing: -standing.total))


def _asked(
    rule: ComplaintRule, symptoms: Mapping[str, Symptom]
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...], frozenset[object] | None]:
    """(symptoms that every way to it reads, symptoms that each branch of any reads, complaints it is about or None).

    Nothing of a rule that reads something else, such as a figure of the sale: a number between two limits is not a sign
    that was missed, and rules say what they make of it.
    """
    complaints: frozenset[object] | None = None
    always: list[str] = []
    for condition in rule.all:
        if condition.fact == COMPLAINED and condition.test in ("is", "in"):
            limits = condition.limit if isinstance(condition.limit, tuple) else (condition.limit,)
            complaints = frozenset(limits)
        elif condition.fact == COMPLAINED and condition.test == "not_in":
            excluded = condition.limit if isinstance(condition.limit, tuple) else (condition.limit,)
            complaints = frozenset(symptoms[COMPLAINED].fact.choices) - frozenset(excluded)
        elif condition.fact != COMPLAINED and condition.test not in WITHOUT_VALUE:
            always += read_by(condition)
    if not all(name in symptoms for name in always):
        return (), (), complaints
    either = tuple(names for names in map(read_by_all, rule.any) if names)
    return tuple(always), tuple(names for names in either if all(name in symptoms for name in names)), complaints


def _standing(cause: Cause, complaint: str, groups: Mapping[str, list[Weight]], at_sale: Margin | None) -> Standing:
    start = cause.likely[complaint]
    if at_sale is not None and cause.id in at_sale.points:
        start = at_sale.points[cause.id]
    counting: list[Weight] = []
    for group in sorted(groups):
        weights = groups[group]
        counting += weights if len(weights) == 1 else strongest(weights)
    return Standing(cause, start, tuple(counting), round(start + sum([weight.points for weight in counting]), 1))


def strongest(weights: Iterable[Weight]) -> tuple[Weight, ...]:
    """The strongest argument of one group; none where equally strong ones contradict each other."""
    weights = tuple(weights)
    if len(weights) == 1:
        return weights
    most = max([abs(weight.points) for weight in weights])
    strong = [weight for weight in weights if abs(weight.points) == most]
    if len({weight.points > 0 for weight in strong}) > 1:
        return ()
    return (strong[0] if len(strong) == 1 else min(strong, key=lambda weight: weight.rule),)


def chances(standings: Iterable[Standing]) -> dict[str, float]:
    """Cause -> its share, one cause being behind the complaint."""
    standings = tuple(standings)
    most = max(standing.total for standing in standings)
    odds = {standing.cause.id: 10 ** ((standing.total - most) / 10) for standing in standings}
    total = sum(odds.values())
    return {cause: value / total for cause, value in odds.items()}


def bits(shares: Iterable[float]) -> float:
    """What is still open, in yes-or-no questions."""
    return -sum(share * math.log2(share) for share in shares if share > 0)
