"""Cases that no changed rule touches: what the new rules tell in them is what was told, and need not be worked out.

A rule or calculation of stage case that comes into play on neither side changes nothing: with the same answers the same
facts follow, the same is required, and the same program comes to the same. So most cases of most changes are done once
it is known which rules come into play, a fraction of the work of a decision. Whatever could bear otherwise (other
words, figures, facings, an order, a contradiction and what finds it) leaves no case out, and neither is one left out
that another program decided.

Where no kit was picked it also counts whether something is to be asked first, which is looked for with other answers,
and what would have to be known, which is looked for in the rules themselves, whether they hold or not. Such a case is
left out only where no change touches either.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from ..deciding.answers import overlaid
from ..deciding.assumptions import taken_otherwise, worst_taken_otherwise
from ..deciding.outcomes import RECOMMENDED
from ..deciding.upstream import Upstream, read_by_rule, reads_of
from ..engine.fact_columns import Cases, Flags, columns, each_tried
from ..engine.rulebase import copied_by
from ..errors import AdvisorError
from ..knowledge.records import asked_of_case
from .program import fingerprint
from .rule_changes import fired

if TYPE_CHECKING:
    from ..deciding.answers import Assumption
    from ..deciding.decide import Decider
    from ..engine.bulk import BulkDerivation
    from ..knowledge.case_model import Case
    from ..knowledge.model import Calculation, Rule
    from .entries import Entry
    from .rule_changes import RuleChange

#: Kinds of changes that come into play in some cases and mean nothing in the others.
KINDS = ("rule", "calculation")


@dataclass(frozen=True, slots=True)
class Played:
    """Of some cases: ``sure``, where it is known what came into play; ``masks``: change -> where it did; each (C,).

    ``open_to_others``: where a change would come into play with another answer, or what would have to be known might be
    told otherwise; it matters where no kit was picked. ``cases``: their facts as columns, where anything is sure.
    """

    sure: np.ndarray
    masks: dict[str, np.ndarray]
    open_to_others: np.ndarray
    cases: Cases | None = None


class Untouched:
    """Tells cases that no change touches, for one pair of rules: deciders by the old and by the new ones."""

    def __init__(self, old: "Decider", new: "Decider", changes: "Sequence[RuleChange]") -> None:
        self._sides = old, new
        self.changes = changes
        pairs = [tuple(_entry(side, change) for side in self._sides) for change in changes if change.kind in KINDS]
        # What contradictions are found by is worked out before stage case, and is not seen in it.
        self.possible = len(pairs) == len(changes) and all(
            entry is None or entry.stage == "case" for pair in pairs for entry in pair
        )
        self._asked = {name for name, fact in new.knowledge.facts.items() if asked_of_case(fact)}
        self._program = fingerprint()
        if self.possible:
            #: Where a change comes into play by the same facts on either side and none has before it, it does on both.
            self._alike = all(_comes_in_by(before) == _comes_in_by(after) for before, after in pairs)
            self._settles_alike = all(_settles(before) == _settles(after) for before, after in pairs)
            self._behind = frozenset().union(
                *(_behind(side, entry) for pair in pairs for side, entry in zip(self._sides, pair) if entry)
            )

    def may_be(self, case: "Case") -> bool:
        """Whether it can be told of a case what came into play without deciding it."""
        return self.possible and not case.insist and case.answers.keys() <= self._asked

    def by_this_program(self, decision: "Entry") -> bool:
        """Whether this very program made a decision, and so would make it again."""
        return decision.body["program"] == self._program

    def in_play_with_another_answer(self, case: "Case") -> list[str]:
        """Names of the changes that come into play where something taken at its worst is answered otherwise."""
        names: set[str] = set()
        for side in self._sides if self.possible else ():
            _, known = side.gather(case)
            others = [other for _, other in taken_otherwise(known, side.knowledge)]
            stage = side.batch.case_stage
            given, answered = columns(stage.base.facts, [(other.facts, other.answered) for other in others])
            derived = stage.derive(given, answered, len(others))
            names |= {change.name for change in self.changes if fired(change, derived).any()}
        return [change.name for change in self.changes if change.name in names]

    def played(self, cases: "Sequence[Case]", decisions: "Sequence[Entry]", platform: str) -> Played:
        """`Played` of cases of one car that may be left out, and of what was told in them."""
        old, new = self._sides
        rows = len(cases)
        none = np.zeros(rows, dtype=bool)
        if not rows:
            return Played(none, {}, none)
        bare = old.bare(platform)
        try:
            given, answered, odd = overlaid(bare, cases, old.batch.case_stage.base.facts)
            now = new.batch.case_stage.derive(given, answered, rows)
            masks, conflicted = self._fired(now), odd | now.conflicted
            if not self._alike or (len(self.changes) > 1 and _any(masks, rows).any()):
                then = old.batch.case_stage.derive(given, answered, rows)
                masks = {name: mask | also for (name, mask), also in zip(masks.items(), self._fired(then).values())}
                conflicted |= then.conflicted
            without = np.array([decision.body["outcome"] != RECOMMENDED for decision in decisions], dtype=bool)
            for name in bare.missing:  # without it nothing is decided, whatever else is answered
                without &= np.array([name in case.answers for case in cases], dtype=bool)
            without &= ~(conflicted | _any(masks, rows))
            if not self._settles_alike:
                return Played(~conflicted, masks, without, Cases(given, answered, rows))
            otherwise = self._with_others(bare.assumptions, without, Cases(given, answered, rows))
        except AdvisorError:
            return Played(none, {}, none)
        return Played(~conflicted, masks, otherwise, Cases(given, answered, rows))

    def _with_others(self, assumptions: "Iterable[Assumption]", among: Flags, cases: Cases) -> np.ndarray:
        """Where, ``among`` some, a change comes into play with another answer to what is taken at its worst."""
        old, new = self._sides
        otherwise = np.zeros(cases.rows, dtype=bool)
        facts = new.batch.case_stage.base.facts
        trials = [
            trial for trial in worst_taken_otherwise(assumptions, facts, among, cases) if trial.fact in self._behind
        ]
        if not trials:
            return otherwise
        others = each_tried(facts, cases, trials)
        every = np.concatenate([trial.rows for trial in trials])
        for side in (new,) if self._alike else (old, new):
            derived = side.batch.case_stage.derive(others.columns, others.answered, others.rows)
            touched = _any(self._fired(derived), others.rows) | derived.conflicted
            otherwise[every[touched]] = True
        return otherwise

    def _fired(self, derived: "BulkDerivation") -> dict[str, np.ndarray]:
        return {change.name: fired(change, derived) for change in self.changes}


def _any(masks, rows):
    return np.logical_or.reduce(list(masks.values())) if masks else np.zeros(rows, dtype=bool)


# --- what is changed


def _entry(decider: "Decider", change: "RuleChange") -> "Rule | Calculation | None":
    knowledge = decider.knowledge
    if change.kind == "rule":
        return decider.rules.get(change.id)
    return next((calculation for calculation in knowledge.calculations if calculation.id == change.id), None)


def _comes_in_by(entry: Any) -> Any:
    """What decides whether a rule holds or a calculation has its inputs."""
    if entry is None:
        return None
    return (entry.all, entry.any, copied_by(entry)) if hasattr(entry, "conclude") else (entry.gives, entry.inputs)


def _settles(entry: Any) -> Any:
    """What `deciding.unknowns` reads of a rule or calculation whether it comes into play or not."""
    if entry is None or not hasattr(entry, "conclude"):
        return _comes_in_by(entry)
    concluded = tuple(sorted(conclusion.fact for conclusion in entry.conclude))
    return (concluded, _comes_in_by(entry)) if concluded else None


def _behind(decider: "Decider", entry: Any) -> frozenset[str]:
    """Every fact that may decide whether a rule or calculation comes into play."""
    upstream = Upstream(decider.knowledge)
    reads = read_by_rule(entry) if hasattr(entry, "conclude") else reads_of(entry, "fact")
    return frozenset().union(*(upstream.of_fact(name) for name in reads))
