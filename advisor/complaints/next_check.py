"""What to ask or measure next: what separates the causes most for each minute it takes.

A check is tried on paper: for every answer it may have, the rules are asked again and the arguments weighed again; what
is then still open, weighed by how likely that answer is, is set against what is open now. A sign is seen with a cause
as often as its points say: 0.15 times odds of ten to the tenth of its points, at most 0.97. One step is looked ahead.
"""

import itertools
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from ..engine.plain import PlainEvaluator
from ..engine.rulebase import rule_base
from ..knowledge.complaint_model import COMPLAINED, ComplaintKnowledge, Symptom
from ..knowledge.model import COMPLAINT, FactRef
from .as_sold import Sold, margin, prepared
from .weighing import Standing, Weigher, bits, chances

#: How often a sign is seen where nothing points to it, and the most it ever is (judgement).
BASE_RATE, MOST, LEAST = 0.15, 0.97, 0.03
#: Below that many bits a minute the telephone has told what it can; below that many in all nothing is worth asking.
TELEPHONE_ENDS, NOTHING_GAINED = 0.03, 0.01


@dataclass(frozen=True, slots=True, eq=False)
class OpenCheck:
    """A symptom not known yet, what it would separate in ``bits``, and the ``minutes`` it takes."""

    symptom: Symptom
    bits: float
    minutes: float

    @property
    def worth(self) -> float:
        """Bits a minute."""
        return self.bits / self.minutes


class CheckChooser:
    """Weighs every question that is open; the plain chainer derives what an answer would bring."""

    def __init__(self, knowledge: ComplaintKnowledge, weigher: Weigher | None = None) -> None:
        self.knowledge = knowledge
        self.weigher = weigher or Weigher(knowledge)
        self._engine = PlainEvaluator(rule_base(knowledge, COMPLAINT))
        self._limits = _limits(knowledge)
        self._argued = {
            rule.id: {argument.cause: argument.weight for argument in rule.argue} for rule in knowledge.rules
        }

    def checks(
        self, symptoms: Mapping[str, object], sold: Sold, *, without: Collection[str] = ()
    ) -> tuple[OpenCheck, ...]:
        """Every open check that separates enough, the one most worth its minutes first; safety questions always.

        ``without``: symptoms that nobody could tell.
        """
        complaint = str(symptoms[COMPLAINED])
        known = {**sold.facts, **symptoms}
        fired_now = self._fired(symptoms, sold)
        now = self._weighed(complaint, symptoms, sold, fired_now)
        if len(now) < 2:
            return ()
        shares = chances(now)
        open_now = bits(shares.values())
        out = any(self.knowledge.symptoms[name].how == "bench" for name in symptoms if name in self.knowledge.symptoms)
        open_checks = []
        for symptom in self.knowledge.symptoms.values():
            if symptom.name in known or symptom.name in without or complaint not in symptom.of:
                continue
            gain = open_now - self._open_after(symptom, symptoms, sold, shares, fired_now)
            if gain >= NOTHING_GAINED or symptom.first:
                minutes = symptom.minutes
                if symptom.how == "bench" and not out:
                    minutes += self.knowledge.gearbox_out_minutes
                open_checks.append(OpenCheck(symptom, round(max(gain, 0.0), 4), minutes))
        return tuple(sorted(open_checks, key=lambda check: -check.worth))

    def _weighed(
        self, complaint: str, symptoms: Mapping[str, object], sold: Sold, fired: Collection[str]
    ) -> tuple[Standing, ...]:
        facts = self.facts(symptoms, sold)
        return self.weigher.weigh(complaint, fired, facts, margin(complaint, symptoms, sold))

    @staticmethod
    def facts(symptoms: Mapping[str, object], sold: Sold) -> dict[str, object]:
        """All that is known, as the engines take it; what is told now goes before what was known at the sale."""
        return {**sold.facts, **symptoms, **prepared(symptoms, sold)}

    def _fired(self, symptoms: Mapping[str, object], sold: Sold) -> set[str]:
        return self._engine.derive(self.facts(symptoms, sold)).fired()  # type: ignore[arg-type]

    def _open_after(
        self,
        symptom: Symptom,
        symptoms: Mapping[str, object],
        sold: Sold,
        shares: Mapping[str, float],
        fired_now: Collection[str],
    ) -> float:
        """What is still open once the symptom is known, over its likely answers."""
        answers = self.answers(symptom, symptoms, sold)
        if len(answers) < 2:
            return bits(shares.values())
        seen: list[dict[str, float]] = []
        after = []
        complaint = str(symptoms[COMPLAINED])
        # Answers of which no rule makes anything else leave the same open: each such kind is weighed once.
        weighed: dict[tuple[frozenset[str], frozenset[str], tuple[tuple[str, float], ...]], float] = {}
        for value in answers:
            then = {**symptoms, symptom.name: value}
            facts = self.facts(then, sold)
            fired = self._engine.derive(facts).fired()  # type: ignore[arg-type]
            seen.append(self.seen_with(fired - set(fired_now), shares))
            at_sale = margin(complaint, then, sold)
            kind = frozenset(fired), frozenset(facts), tuple(at_sale.points.items()) if at_sale else ()
            if kind not in weighed:
                weighed[kind] = bits(chances(self.weigher.weigh(complaint, fired, facts, at_sale)).values())
            after.append(weighed[kind])
        likely = answer_chances(seen, shares)
        return sum(
            sum(shares[cause] * chance[cause] for cause in shares) * still_open
            for chance, still_open in zip(likely, after)
        )

    def seen_with(self, rules: Collection[str], causes: Iterable[str]) -> dict[str, float]:
        """Cause -> how often the signs of those rules are seen with it; empty where no rule sees anything."""
        arguing = [self._argued[rule] for rule in rules if self._argued.get(rule)]
        if not arguing:
            return {}
        by_cause = {}
        for cause in causes:
            points = max((argued_rule.get(cause, -1.0) for argued_rule in arguing), key=abs)
            by_cause[cause] = min(MOST, BASE_RATE * 10 ** (points / 10))
        return by_cause

    def answers(self, symptom: Symptom, symptoms: Mapping[str, object], sold: Sold) -> tuple[object, ...]:
        """The answers to try: all choices, yes and no, or numbers to both sides of what rules compare with."""
        fact = symptom.fact
        if fact.kind == "choice":
            return fact.choices
        if fact.kind == "flag":
            return (True, False)
        limits = [limit for limit in self._limits.get(symptom.name, ()) if not isinstance(limit, str)]
        facts = self.facts(symptoms, sold)
        for name in self._limits.get(symptom.name, ()):
            value = facts.get(name) if isinstance(name, str) else None
            if isinstance(value, float):
                limits.append(value)
        sold_for = symptoms.get("torque_sold_for", sold.demand)
        if symptom.name == "torque_now" and isinstance(sold_for, float):
            return (sold_for, sold_for * 1.25)
        force = sold.facts.get("pedal_force_n")
        if symptom.name == "pedal_force_now" and isinstance(force, float):
            return (force, force * 1.3)
        edges = sorted(set(limits))
        if not edges:
            return ()
        between = [(low + high) / 2 for low, high in itertools.pairwise(edges)]
        tried = [edges[0] * 0.5, *between, edges[-1] * 1.5]
        low, high = fact.low, fact.high
        return tuple(value for value in tried if (low is None or value >= low) and (high is None or value <= high))


def answer_chances(seen: list[dict[str, float]], shares: Mapping[str, float]) -> list[dict[str, float]]:
    """For each answer, cause -> its chance; answers no rule sees share what the others leave."""
    silent = [index for index, chance in enumerate(seen) if not chance]
    chances: list[dict[str, float]] = [{} for _ in seen]
    for cause in shares:
        total = sum(chance[cause] for chance in seen if chance)
        rest = max(LEAST, 1 - total) if silent else 0.0
        for index, chance in enumerate(seen):
            part = chance[cause] if chance else rest / len(silent)
            chances[index][cause] = part / (total + rest)
    return chances


def _limits(knowledge: ComplaintKnowledge) -> dict[str, list[float | str]]:
    """Symptom -> the numbers, or names of facts, that rules compare it with."""
    by_symptom: dict[str, list[float | str]] = {}
    for rule in knowledge.rules:
        for condition in rule.conditions:
            limits = condition.limit if isinstance(condition.limit, tuple) else (condition.limit,)
            for limit in limits:
                if isinstance(limit, FactRef):
                    by_symptom.setdefault(condition.fact, []).append(limit.name)
                elif isinstance(limit, float):
                    by_symptom.setdefault(condition.fact, []).append(limit)
    return by_symptom
