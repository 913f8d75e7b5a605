"""What each wish costs: the pick without it, and what that would change; and kits that miss one wish by a little.

A wish is an answer on comfort or the budget. Without it: the case with the most tolerant choice instead, which stands
last among the choices, or with no budget; that is decided in bulk. The figures of other kits are those of the recorded
decision, and what goes in with another kit is derived by the engines.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from ..frozen import frozen
from . import ladder
from .judging import WISHES_TOPIC
from .limits import limit_of
from .reasons import COMPARED
from .verdicts import FAIL, UNKNOWN

if TYPE_CHECKING:
    from .decide import Decider, Decision

#: How far a number may miss its limit and still miss it by a little: judgement; of a class, one.
LITTLE = 0.10
#: Far cheaper: a quarter less, judgement.
CHEAPER = 0.75
#: Kits that miss a wish by a little are shown, at most.
MOST_NEAR = 2


@frozen(slots=False)
class Beside:
    """A kit held against the pick: ``differences`` as in `reasons.COMPARED`; delivery in days, 0 on the shelf."""

    kit: str
    differences: tuple
    delivery: float | None
    pick_delivery: float | None


@frozen(slots=False)
class Wish:
    """The answer ``fact`` moved the pick through ``requirements`` (ids); ``assumed``: nobody answered it."""

    fact: str
    requirements: tuple
    assumed: bool
    without: Beside


@frozen(slots=False)
class WishMissed:
    """A kit that misses one requirement of a wish by a little and is far cheaper."""

    requirement: str
    needed: Any
    actual: float
    beside: Beside


class Wishes:
    """The wishes of one recommended `Decision`."""

    def __init__(self, decider: "Decider", decision: "Decision") -> None:
        self.decider, self.decision = decider, decision
        upstream = decider.upstream
        asked = [name for name, question in decision.knowledge.questions.items() if question.topic == WISHES_TOPIC]
        self.of_fact: dict[str, Any] = {}
        for checked in decision.checks:
            requirement = checked.requirement
            if requirement.safety or requirement.source != "figure":
                continue
            behind = upstream.of_requirement(requirement)
            for name in asked:
                if name in behind and name in decision.known.facts:
                    self.of_fact.setdefault(name, []).append(checked)
        self.totals: dict[str, Any] = {}

    def variants(self) -> "list[dict[str, Any]]":
        """Variants (fact -> value, see `around.picks`): the case without each wish, in the order of the questions."""
        known, facts = self.decision.known, self.decision.knowledge.facts
        most = {name: facts[name].choices[-1] if facts[name].choices else None for name in self.of_fact}
        return [{name: value} for name, value in most.items() if known.facts[name] != value]

    def moved(self, picks: Sequence[str | None]) -> "tuple[Wish, ...]":
        """A `Wish` for each that moved the pick; ``picks``: kits' ids, or None, of `variants`."""
        wishes = []
        for (name,), pick in zip(self.variants(), picks):
            other = None if pick is None else self.decision.kits.index[pick]
            if other is None or other == self.decision.pick:
                continue
            failed = [checked for checked in self.of_fact[name] if checked.status[0, other] in (FAIL, UNKNOWN)]
            ids = tuple(sorted(checked.requirement.id for checked in failed or self.of_fact[name]))
            assumed = self.decision.known.origins.get(name) == "assumed"
            wishes.append(Wish(name, ids, assumed, self._beside(other)))
        return tuple(wishes)

    def near_misses(self) -> "tuple[WishMissed, ...]":
        """`WishMissed`es, cheapest first."""
        decision, misses = self.decision, []
        own = self._total(decision.pick)
        if own is None:
            return ()
        wanted = {id(check) for checks in self.of_fact.values() for check in checks}
        concerns = decision.knowledge.order.concerns
        for index in range(len(decision.kits)):
            missed = [check for check in decision.checks if check.status[0, index] in (FAIL, UNKNOWN)]
            musts = [verdict for verdict in missed if verdict.requirement.level == "must"]
            # What the pick gives up as well is no miss of this kit.
            given = [
                verdict
                for verdict in missed
                if verdict.requirement.level == "should"
                and not decision.concerns[0, decision.pick, concerns.index(verdict.requirement.concern)]
            ]
            worse = [*musts, *given]
            measures = {verdict.requirement.measure for verdict in worse}
            if (
                not worse
                or len(measures) != 1
                or not all(id(verdict) in wanted for verdict in worse)
                or not decision.fits[0, index]
            ):
                continue
            hardest = musts[0] if musts else given[0]
            actual = decision.figures.value(hardest.requirement.measure, 0, index)
            if actual is None or not self._by_a_little(hardest, actual):
                continue
            total = self._total(index)
            if total is not None and total <= CHEAPER * own:
                misses.append(
                    (
                        total,
                        index,
                        WishMissed(
                            hardest.requirement.id,
                            limit_of(decision, hardest.requirement, index),
                            actual,
                            self._beside(index),
                        ),
                    )
                )
        return tuple(entry for _, _, entry in sorted(misses, key=lambda entry: entry[:2])[:MOST_NEAR])

    def _by_a_little(self, checked, actual):
        limit = checked.limits[0].values[0, 0]
        word = self.decision.knowledge.figures.get(checked.requirement.measure)
        if word is not None and word.shown_as == "class":
            return abs(actual - limit) <= 1.0
        return limit > 0 and abs(actual / limit - 1.0) <= LITTLE

    def _total(self, index):
        """The price of a kit with what must go with it."""
        if index not in self.totals:
            decision, kit = self.decision, self.decision.kits.kits[index]
            total = decision.figures.value(ladder.PRICE, 0, index)
            if total is None and kit.fields.get("price") is not None:
                setting_up = self.decider.setting_up
                facts = setting_up.facts(decision.derivation.facts, kit, decision.figures, 0, index)
                set_up = self.decider.derive("setup", facts, decision.known.answered.intersection(facts))
                price = setting_up.price(set_up, kit, decision.case.platform)
                total = price.certain if price is not None else None
            self.totals[index] = total
        return self.totals[index]

    def _beside(self, index):
        decision, differences = self.decision, []
        for name in COMPARED:
            here, there = (
                self._total(place) if name == ladder.PRICE else decision.figures.value(name, 0, place)
                for place in (decision.picked, index)
            )
            if here is not None and there is not None and here != there:
                differences.append(
                    {"figure": name, "pick": here, "kit": there, "difference": float(f"{there - here:.9g}")}
                )
        delivery, own = (_delivery(decision.kits.kits[place]) for place in (index, decision.picked))
        return Beside(decision.kits.ids[index], tuple(differences), delivery, own)


def _delivery(kit):
    """Days until a kit is there: 0 from the shelf, None where nobody knows."""
    return 0.0 if kit.fields.get("stock", 0.0) > 0 else kit.fields.get("lead_time_days")
