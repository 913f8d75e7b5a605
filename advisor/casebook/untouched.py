"""Cases that no changed rule touches: what the new rules tell in them is what was told, and need not be worked out.

A rule or calculation of stage case that comes into play on neither side changes nothing: with the same answers the same
facts follow, the same is required, and the same program comes to the same. So most cases of most changes are done once
it is known which rules come into play, a fraction of the work of a decision. Whatever could bear otherwise (other
words, figures, facings, an order, a contradiction) leaves no case out. Neither is one left out that another program
decided, nor one without a pick: whether something is to be asked first also hangs on rules that would come into play
with another answer only.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ..deciding.answers import overlaid
from ..deciding.assumptions import taken_otherwise
from ..deciding.outcomes import RECOMMENDED
from ..engine.fact_columns import columns
from ..errors import AdvisorError
from ..knowledge.records import asked_of_case
from .program import fingerprint
from .rule_changes import fired

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from ..knowledge.case_model import Case
    from .entries import Entry
    from .rule_changes import RuleChange

#: Kinds of changes that come into play in some cases and mean nothing in the others.
KINDS = ("rule", "calculation")


@dataclass(frozen=True, slots=True)
class Played:
    """Of some cases: ``sure``, where it is known what came into play; ``masks``: change -> where it did; each (C,)."""

    sure: np.ndarray
    masks: dict[str, np.ndarray]


class Untouched:
    """Tells cases that no change touches, for one pair of rules: deciders by the old and by the new ones."""

    def __init__(self, old: "Decider", new: "Decider", changes: "Sequence[RuleChange]") -> None:
        self._sides = old, new
        self.changes = changes
        # What contradictions are found by is worked out before stage case, and is not seen in it.
        before = {
            calculation.id
            for side in self._sides
            for calculation in side.knowledge.calculations
            if calculation.stage != "case"
        }
        self.possible = all(change.kind in KINDS and change.id not in before for change in changes)
        self._asked = {name for name, fact in new.knowledge.facts.items() if asked_of_case(fact)}
        self._program = fingerprint()

    def may_be(self, case: "Case") -> bool:
        """Whether it can be told of a case what came into play without deciding it."""
        return self.possible and not case.insist and case.answers.keys() <= self._asked

    def by_this_program(self, decision: "Entry") -> bool:
        """Whether this very program made a decision, and so would make it again."""
        return decision.body["program"] == self._program

    def may_ask_otherwise(self, decision: "Entry") -> bool:
        """Whether rules that came into play nowhere may change what a decision told.

        Where no kit was picked, it is looked what another answer would give, by rules that only then come into play.
        """
        return bool(self.changes) and decision.body["outcome"] != RECOMMENDED

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

    def played(self, cases: "Sequence[Case]", platform: str) -> Played:
        """`Played` of cases of one car that may be left out."""
        old, _ = self._sides
        rows = len(cases)
        if not rows:
            return Played(np.zeros(0, dtype=bool), {})
        try:
            given, answered, odd = overlaid(old.bare(platform), cases, old.batch.case_stage.base.facts)
            then, now = (side.batch.case_stage.derive(given, answered, rows) for side in self._sides)
        except AdvisorError:
            return Played(np.zeros(rows, dtype=bool), {})
        masks = {change.name: fired(change, then) | fired(change, now) for change in self.changes}
        return Played(~(odd | then.conflicted | now.conflicted), masks)
