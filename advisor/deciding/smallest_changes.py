"""The smallest changes of answers that lead to a wanted outcome.

Only answers the caller can change are tried, and never those that describe use, speed, racing or the
crankshaft: the vocabulary says which. Many variants are decided at once. A choice takes each of its other
values; a number moves from where it stands towards an end of its sane range, and the step nearest to its
present value that works is found by halving, to one step of its resolution.
"""

from collections.abc import Collection
from itertools import combinations
from typing import TYPE_CHECKING, Any

from ..frozen import frozen
from .variants import MOST_VARIANTS, Tries, axis_of, changed, explore, nearer
from .verdicts import FAIL, UNKNOWN

if TYPE_CHECKING:
    from ..knowledge.model import Fact
    from ..knowledge.wording import Wording
    from .answers import Known
    from .decide import Decider, Decision
    from .outcomes import Outcome

#: Answers changed together at most; more is not a change but another car.
MOST_TOGETHER = 3
#: ChangeSet sets handed back at most, best first.
MOST_SETS = 8
#: Samples along a number before halving: alone, together with another answer, and where it alone changes nothing.
ALONE, TOGETHER, INERT = 24, 6, 2


@frozen
class ChangeSet:
    """Answers to change together: pairs (fact, value), and the outcome and pick they lead to."""

    answers: tuple
    outcome: str
    pick: str | None


def can_change(fact: "Fact") -> bool:
    """Whether a change of this fact may be offered to the caller."""
    return fact.source == "asked" and fact.offered and not fact.safety and fact.changeable != "cannot"


def smallest_changes(decider: "Decider", decision: "Decision", wanted: Collection[str] | None = None) -> "Search":
    """A `Search` that was run: change sets after which a kit of ``wanted`` (ids; None for any kit) is the pick.

    No proper subset of a set reaches that, nor does any of its numbers one step of its resolution nearer to its
    present value. One answer alone is tried first, then choices together, then a number with choices, then two
    numbers; larger sets with numbers only where no smaller set was found.
    """
    search = Search(decider, decision, wanted)
    if search.possible:
        search.alone()
        for size in range(2, MOST_TOGETHER + 1):
            search.choices_together(size)
            if not search.found:
                search.number_with_choices(size - 1)
        if not search.found:
            search.two_numbers()
        search.drop_what_is_not_least()
        search.drop_what_contradicts()
    return search


class Search:
    """One search. ``found``: Changes; ``blocked``: kit id -> failed musts that no answer offered for change bears on.

    ``cut_short``: whether variants were left out because there were too many.
    """

    def __init__(self, decider: "Decider", decision: "Decision", wanted: Collection[str] | None) -> None:
        self.tries = Tries(decider, decision.case)
        self.wanted = None if wanted is None else frozenset(wanted)
        self.found: list[ChangeSet] = []
        self.alone_at: dict[tuple[str, bool], int | None] = {}
        self.cut_short = False
        self.options: dict[str, Any] = {}
        self.axes: list[Any] = []
        self._offer()
        self.blocked: dict[str, Any] = {}
        self._needs: list[Any] = []
        self._look_at_kits(decider, decision)
        # A kit that fails nothing needs nothing in particular: then no variant can be left out beforehand.
        self.possible = bool(self._needs) and not self.reached(self.now)

    def _offer(self):
        for name, fact in self.tries.decider.knowledge.facts.items():
            present: Any = self.tries.known.facts.get(name)
            if not can_change(fact) or present is None:
                continue
            if fact.kind == "flag":
                self.options[name] = [not present]
            elif fact.choices:
                self.options[name] = _by_distance(fact.choices, present)
            elif fact.kind == "number":
                self.axes += [axis for up in (False, True) if (axis := axis_of(fact, present, up)).last]
        self.tries.run([frozenset()])
        self.now = self.tries.outcome(frozenset())

    def _look_at_kits(self, decider, decision):
        upstream = decider.upstream
        offered = {*self.options, *(axis.fact.name for axis in self.axes)}
        bearing = {}
        for index, kit in enumerate(decision.kits.ids if decision.checks else ()):
            if self.wanted is not None and kit not in self.wanted:
                continue
            needs = []
            for checked in decision.checks:
                requirement = checked.requirement
                if requirement.level == "must" and checked.status[0, index] in (FAIL, UNKNOWN):
                    if requirement.id not in bearing:
                        bearing[requirement.id] = upstream.of_requirement(requirement) & offered
                    needs.append(bearing[requirement.id])
                    if not bearing[requirement.id]:
                        self.blocked.setdefault(kit, []).append(requirement.id)
            if kit not in self.blocked:
                self._needs.append(needs)

    def reached(self, outcome: "Outcome") -> bool:
        """Whether an outcome is what is wanted."""
        return outcome.pick is not None if self.wanted is None else outcome.pick in self.wanted

    def _may(self, names):
        """Whether changing these answers bears on everything some wanted kit fails."""
        return any(all(need & names for need in needs) for needs in self._needs)

    def _minimal(self, variant):
        return not any(frozenset(change_set.answers) <= variant for change_set in self.found)

    def _keep(self, variant):
        outcome = self.tries.outcome(variant)
        self.found.append(ChangeSet(tuple(sorted(variant, key=lambda pair: pair[0])), outcome.outcome, outcome.pick))

    def _room(self, variants):
        """As many of ``variants`` as may still be tried."""
        room = max(0, MOST_VARIANTS - self.tries.count)
        self.cut_short |= len(variants) > room
        return variants[:room]

    def alone(self) -> None:
        """One answer at a time."""
        self._try_choices(1)
        axes = [axis for axis in self.axes if self._may({axis.fact.name})]
        explore(self.tries, self.reached, axes, lambda axis: ALONE)
        for axis in axes:
            step = axis.hit()
            self.alone_at[axis.fact.name, axis.up] = step
            if step is not None:
                self._keep(axis.variant(step))

    def choices_together(self, size: int) -> None:
        """Several choices at once, none of whose parts reaches the goal."""
        self._try_choices(size)

    def _try_choices(self, size):
        variants = []
        for names in combinations(sorted(self.options), size):
            if self._may(set(names)):
                variants += [variant for variant in _products(names, self.options) if self._minimal(variant)]
        variants = self._room(variants)
        self.tries.run(variants)
        for variant in variants:
            if self.reached(self.tries.outcome(variant)):
                self._keep(variant)

    def number_with_choices(self, size: int) -> None:
        """One number together with ``size`` choices."""
        axes = []
        for names in combinations(sorted(self.options), size):
            for axis in self.axes:
                if self._may({axis.fact.name, *names}):
                    axes += [axis_of(axis.fact, axis.start, axis.up, fixed) for fixed in _products(names, self.options)]
        inert = {(axis.fact.name, axis.up) for axis in self.axes if len(set(axis.seen.values())) < 2}
        count = {True: INERT, False: TOGETHER}
        axes = axes[: len(self._room(range(TOGETHER * len(axes)))) // TOGETHER]
        explore(self.tries, self.reached, axes, lambda axis: count[(axis.fact.name, axis.up) in inert])
        for axis in axes:
            step = axis.hit()
            if step is not None and self._minimal(axis.variant(step)):
                self._keep(axis.variant(step))

    def two_numbers(self) -> None:
        """Two numbers: one as far as it goes, the other as far as needed, then the first back as far as it may.

        All pairs take each of the three steps together, so that a step costs a few batches and not a few a pair.
        """
        pairs = [
            pair
            for axis, other in combinations(self.axes, 2)
            if axis.fact.name != other.fact.name and self._may({axis.fact.name, other.fact.name})
            for pair in ((axis, other), (other, axis))
        ]
        pairs = pairs[: len(self._room(range(TOGETHER * len(pairs)))) // TOGETHER]
        steps = self._nearest([(follow, lead.variant(lead.last), follow.last) for lead, follow in pairs])
        ahead = [(lead, follow, step) for (lead, follow), step in zip(pairs, steps) if step is not None]
        backs = self._nearest([(lead, follow.variant(step), lead.last) for lead, follow, step in ahead])
        there = [(*lead, back) for lead, back in zip(ahead, backs) if back is not None]
        again = self._nearest([(follow, lead.variant(back), step) for lead, follow, step, back in there])
        for (lead, follow, step, back), nearest in zip(there, again):
            variant = lead.variant(back) | follow.variant(step)
            if nearest == step and self._minimal(variant):
                self._keep(variant)

    def _nearest(self, wanted):
        """For each (axis, answers changed as well, last step to look at): the nearest step that reaches the goal."""
        axes = [axis_of(axis.fact, axis.start, axis.up, fixed, last) for axis, fixed, last in wanted]
        explore(self.tries, self.reached, axes, lambda _: TOGETHER)
        return [axis.hit() for axis in axes]

    def drop_what_is_not_least(self) -> None:
        """Leave out sets of which a part is enough, or a number need not go so far."""
        lesser = {change.answers: self._lesser(change) for change in self.found}
        self.tries.run([variant for variants in lesser.values() for variant in variants])
        self.found = [
            change
            for change in self.found
            if not any(self.reached(self.tries.outcome(variant)) for variant in lesser[change.answers])
        ]

    def drop_what_contradicts(self) -> None:
        """Leave out sets that nobody could truly answer: tyres a sixth smaller than on file, say."""

        def clashing(case):
            _, known = self.tries.decider.gather(case)
            return {clash.id for clash in known.clashes.clashes} if known.clashes else set()

        case = self.tries.case
        if self.found:
            now = clashing(case)
            self.found = [
                change_set for change_set in self.found if clashing(changed(case, dict(change_set.answers))) <= now
            ]

    def _lesser(self, change):
        """Every proper part of a set, and the set with each number one step nearer to its present value."""
        variants = [
            frozenset(part) for size in range(1, len(change.answers)) for part in combinations(change.answers, size)
        ]
        for name, value in change.answers:
            step_nearer = nearer(self.tries.decider.knowledge.facts[name], self.tries.known.facts[name], value)
            if step_nearer is not None:
                variants.append(frozenset({*change.answers, (name, step_nearer)} - {(name, value)}))
        return variants

    def best(self) -> "list[ChangeSet]":
        """The sets found, best first: fewest answers, then fewest that cost something, then nearest.

        For each set of facts the nearest values only; what costs nothing is always told.
        """
        facts = self.tries.decider.knowledge.facts
        kept: dict[frozenset[str], ChangeSet] = {}
        for change in sorted(self.found, key=self._rank):
            kept.setdefault(frozenset(name for name, _ in change.answers), change)
        ranked = sorted(kept.values(), key=self._rank)
        first = ranked[:MOST_SETS]
        free = [
            change_set
            for change_set in ranked
            if all(facts[name].changeable == "free" for name, _ in change_set.answers)
        ]
        return first if not free or any(change_set in first for change_set in free) else [*first[:-1], free[0]]

    def _rank(self, change):
        facts, known = self.tries.decider.knowledge.facts, self.tries.known.facts
        costs = sum(facts[name].changeable == "costs" for name, _ in change.answers)
        distance = sum(_distance(facts[name], known[name], value) for name, value in change.answers)
        return len(change.answers), costs, round(distance, 9), str(change.answers)


def _by_distance(choices, present):
    place = choices.index(present) if present in choices else 0
    return sorted(
        (choice for choice in choices if choice != present),
        key=lambda choice: (abs(choices.index(choice) - place), choice),
    )


def _distance(fact, present, value):
    if fact.kind == "number" and not fact.choices:
        return abs(value - present) / max(abs(present), abs(value))
    if fact.choices and present in fact.choices:
        return abs(fact.choices.index(value) - fact.choices.index(present)) / len(fact.choices)
    return 0.5


def _products(names, options):
    """Every way to give each name one of its options, as variants."""
    variants: list[Any] = [frozenset()]
    for name in names:
        variants = [variant | {(name, value)} for variant in variants for value in options[name]]
    return variants


def described(change: "ChangeSet", known: "Known", wording: "Wording") -> dict[str, Any]:
    """A ChangeSet as data for the record: {sentence, answers, before, outcome, pick}.

    ``known``: the present `Known`; ``wording``: a `Wording` with the kits' titles.
    """
    answer_texts = [
        f"{wording.label(name)}: {wording.value(name, value)} instead of {wording.value(name, known.facts[name])}"
        for name, value in change.answers
    ]
    sentence = "; ".join(answer_texts)
    end = f"Then {wording.title(change.pick)} is the pick." if change.pick else "Then more answers are needed."
    return {
        "sentence": f"{sentence[:1].upper()}{sentence[1:]}. {end}",
        "answers": dict(change.answers),
        "before": {name: known.facts[name] for name, _ in change.answers},
        "outcome": change.outcome,
        "pick": change.pick,
    }


def changes_for_a_kit(decider: "Decider", decision: "Decision") -> list[dict[str, Any]]:
    """For a case no kit fits: `described` smallest changes after which some kit does."""
    search = smallest_changes(decider, decision)
    return [described(change_set, search.tries.known, decision.wording) for change_set in search.best()]


__all__ = [
    "ChangeSet",
    "Search",
    "can_change",
    "changed",
    "changes_for_a_kit",
    "described",
    "nearer",
    "smallest_changes",
]
