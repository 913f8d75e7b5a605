"""Which question next: a pure function of the answers and the knowledge.

First relevance: a question counts only where, among the callers drawn, its answer alone changes the outcome: a pair of
them shows it, or taking the answer back from one who is sold another kit.
Then what it is expected to settle against the effort of answering it. That picks the topic; within a topic the order
of the questions file is kept. Questions marked safety that the car's record does not settle are asked whatever their
value; those of seldom cases only where an answer or the car's record points there, and there as soon as they change
anything at all. The interview stops by itself when nothing left is likely to change the outcome.
"""

import dataclasses
import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from ..deciding.outcomes import MORE_ANSWERS, NO_KIT, Outcome
from .names import CAR
from .sampling import GROUP, Callers, Sampler, must_be_asked, points
from .state import followers

if TYPE_CHECKING:
    from ..deciding.answers import Known
    from ..deciding.batch import Batched
    from ..knowledge.model import Record
    from .state import State

#: Least share of callers whose outcome an answer must change to be worth its question: one in three, judgement. What
#: is not asked stands among the assumptions of the advice.
LIKELY = 0.33
#: As `LIKELY`, for the pick alone, which weighs more than what goes in with it: one in twenty, judgement.
LIKELY_PICK = 0.05
#: The pick counts as settled when no more than this share of callers would be sold another kit: what the interview is
#: held to is that 97 of 100 keep the pick.
DOUBT = 0.03
#: How far what an answer does to the pick is read off its few pairs; the rest off all callers, who tell it better by
#: chance but see no two answers that cancel out.
OF_PAIRS = 0.3
#: Standard errors taken off what all callers tell, so that chance alone makes no question.
ERRORS = 1.0
#: Callers sold another kit whose answers are taken back one by one, where no question stands out and doubt is left.
LOOKED_AT = 3
#: What an answer is worth that changes only what goes in with the kit or what is to be warned of.
SETUP_WORTH = 0.35
#: Effort of an answer: known or not, go and look, measure.
EFFORT = {"memory": 1.0, "look": 1.5, "measure": 3.0}
#: Within the best topic the first question in order is asked whose worth is at least this share of the best one's.
NEAR_BEST = 0.3
#: No interview asks more by itself.
MOST_QUESTIONS = 24

NEEDED, SETTLES, SAFETY, GOING_ON, IN_ORDER = "needed", "settles", "safety", "going on", "in order"
FIRST, POINTED = "first", "something points there"


@dataclass(frozen=True, slots=True)
class Witness:
    """Two callers who differ in one answer and come to different outcomes: rows of the callers."""

    before: int
    after: int


@dataclass(frozen=True, slots=True)
class Candidate:
    """An open question: ``effect`` and ``pick_effect`` are shares of callers its answer alone changes.

    ``witness`` is None where no pair of callers drawn shows it.
    """

    fact: str
    effect: float
    pick_effect: float
    worth: float
    witness: Witness | None


class Outlook:
    """How a case stands: the Outcome now, how open it is, and what to ask next.

    ``known`` and ``platform`` are None while the car is not named. ``question``: a fact, the car, or None where the
    interview stops by itself; ``reason`` says why it is asked. What comes out of callers drawn is worked out when it is
    first looked at: where an answer is needed anyhow nothing is drawn to choose it.
    """

    def __init__(
        self,
        chooser: "Chooser",
        state: "State",
        platform: "Record | None" = None,
        known: "Known | None" = None,
        question: str | None = None,
        reason: str = "",
    ) -> None:
        self._chooser, self._state = chooser, state
        self.platform, self.known = platform, known
        self.question, self.reason = question, reason

    @property
    def may_go_on(self) -> bool:
        """Once it has stopped by itself: would anything more be asked of who wants to go on?"""
        state, known = self._state, self.known
        if self.question is not None or known is None or known.declined or set(known.missing) & state.said.keys():
            return False
        onward = dataclasses.replace(state, onward=True, later=())
        return (bool(state.later) or not state.onward) and bool(self._chooser.sampler.open_facts(onward, known))

    @property
    def facts_known(self) -> "Known":
        """As ``known``, once the car is named."""
        assert self.known is not None, "the car is not named yet"
        return self.known

    @functools.cached_property
    def callers(self) -> Callers:
        """The `Callers` drawn, row 0 the case as it stands."""
        return self._chooser.sampler.draw(self._state, self.platform, self.facts_known)

    @functools.cached_property
    def candidates(self) -> "tuple[Candidate, ...]":
        """A `Candidate` for each open question, in the order of the questions."""
        return self._chooser.candidates(self.callers)

    @property
    def standing(self) -> Outcome:
        """The Outcome of the case as it stands."""
        return self.callers.outcomes[0]

    @functools.cached_property
    def doubt(self) -> float:
        """Share of callers who would be sold another kit than the standing pick."""
        weights, elsewhere = self.callers.weights, self.callers.elsewhere
        return float(weights[elsewhere[1:]].sum() / weights.sum()) if len(weights) else 0.0

    @property
    def coming(self) -> tuple[str, ...] | None:
        """Facts likely still to be asked for, in the order of the questions; None where it is too early to say."""
        if self.known is None or self.known.missing:
            return None
        facts, questions = self._chooser.knowledge.facts, self._chooser.knowledge.questions
        coming_facts = tuple(
            candidate.fact
            for candidate in self.candidates
            if candidate.fact == self.question
            or worth_asking(candidate)
            or facts[candidate.fact].safety
            or (candidate.witness is not None and questions[candidate.fact].pointed)
        )
        return coming_facts or ((self.question,) if self.question else ())

    @property
    def left(self) -> int | None:
        """How many questions are likely still to come, or None where it is too early to say."""
        return None if self.coming is None else len(self.coming)

    def in_full(self, *rows: int) -> "Batched":
        """The `Batched` of some of the callers with every check made."""
        return self._chooser.sampler.in_full(self.callers, rows, self.platform)

    def lacking(self) -> tuple[str, ...]:
        """Facts without which nothing is decided: unanswered ones, and the ways to a derived one that has no value."""
        missing_facts = list(self.facts_known.missing)
        for name, fact in self._chooser.knowledge.facts.items():
            if fact.needs_one_of and not self.callers.batched.derived.fact(name)[1][0]:
                missing_facts += [way for way in fact.needs_one_of if way not in missing_facts]
        return tuple(missing_facts)

    def figure(self, name: str) -> float | None:
        """A figure of the standing pick, or None."""
        if self.standing.pick is None:
            return None
        value = self.callers.batched.pick_figure(name)[0]
        return None if value != value else float(value)


class Chooser:
    """Chooses questions for one Decider; ``in_order`` asks every question in the order of the questions file."""

    def __init__(self, sampler: Sampler, *, in_order: bool = False) -> None:
        self.sampler = sampler
        self.decider = sampler.decider
        self.knowledge = sampler.knowledge
        self.in_order = in_order

    @functools.cached_property
    def follows(self) -> dict[str, list[str]]:
        """Fact -> facts whose answers hang on it."""
        return followers(self.knowledge)

    def view(self, state: "State") -> "Outlook":
        """The `Outlook` of a State."""
        if state.car is None:
            return Outlook(self, state, question=CAR, reason=NEEDED)
        platform, known = self.decider.gather(state.as_case())
        view = Outlook(self, state, platform, known)
        view.question, view.reason = self._next(state, view)
        return view

    # --- relevance and worth

    def candidates(self, callers: Callers) -> "tuple[Candidate, ...]":
        """What each open question's answer alone does among `Callers`."""
        weighed, outcomes = [], callers.outcomes
        for name in callers.facts:
            pairs, odds = callers.pairs[name], callers.odds[name]
            differ = [pair for pair in pairs if outcomes[pair[0]] != outcomes[pair[1]]]
            picks = [pair for pair in differ if outcomes[pair[0]][:2] != outcomes[pair[1]][:2]]
            count = max(1, len(pairs))
            seen = odds * len(picks) / count
            turned = odds * _turned(callers, name)
            pick_effect = OF_PAIRS * seen + (1.0 - OF_PAIRS) * turned
            effect = max(odds * len(differ) / count, pick_effect)
            effort = EFFORT[self.knowledge.questions[name].effort]
            worth = (pick_effect + SETUP_WORTH * (effect - pick_effect)) / effort
            pair = (picks or differ or [None])[0]
            weighed.append(Candidate(name, effect, pick_effect, worth, pair and Witness(*pair)))
        return tuple(weighed)

    # --- the choice

    def _next(self, state, view):
        if view.known.declined:
            return None, ""
        for name in view.known.clashes.asks if view.known.clashes else ():
            if name not in state.later:
                return name, NEEDED
        open_now = self.sampler.open_facts(state, view.known, all_of_them=self.in_order)
        waiting = [name for name in open_now if name not in state.later]
        if self.in_order:
            return (waiting[0], IN_ORDER) if waiting else (None, "")
        first = self._first_in_the_file(state, view, waiting) if not state.onward else None
        if first is not None:
            return first
        for name in waiting:
            if name in view.known.missing:
                return name, NEEDED
        if view.known.missing:
            return None, ""
        candidates = [candidate for candidate in view.candidates if candidate.fact in waiting]
        if view.standing.outcome == MORE_ANSWERS:
            way = self._way_to_what_lacks(state, view, candidates)
            if way is not None:
                return way, NEEDED
            if not state.onward and all(outcome.outcome == MORE_ANSWERS for outcome in view.callers.outcomes):
                # Whatever else is said, nothing can be decided: no more questions for nothing.
                return None, ""
        return (
            self._first_of_all(view, candidates)
            or self._settling(state, view, candidates)
            or self._before_stopping(view, candidates)
            or self._other(state, view, candidates)
        )

    def _first_in_the_file(self, state, view, waiting):
        """(fact, reason) of the first of the questions that go before all others, or None.

        Where all is there that a decision takes, only one that may change it; where what it takes was asked for and is
        not known, only what else it takes.
        """
        names = [name for name in waiting if self.knowledge.questions[name].first]
        if view.known.missing and all(name in state.said for name in view.known.missing):
            lacking = view.lacking()
            names = [name for name in names if name in lacking]
        if not names:
            return None
        if view.known.missing:
            return names[0], NEEDED if names[0] in view.known.missing else FIRST
        if view.standing.outcome == MORE_ANSWERS:
            lacking = view.lacking()
            for name in names:
                if name in lacking:
                    return name, NEEDED
        telling = {candidate.fact for candidate in view.candidates if candidate.witness is not None}
        return next(((name, FIRST) for name in names if name in telling), None)

    def _first_of_all(self, view, candidates):
        """(fact, reason) of what was taken at its worst where no kit fits: asked before that is told. None else."""
        if view.standing.outcome != NO_KIT:
            return None
        worst = [
            candidate
            for candidate in candidates
            if (rule := self.knowledge.facts[candidate.fact].if_unknown) and rule.do == "worst"
        ]
        worst.sort(key=lambda candidate: (candidate.witness is None, not self.knowledge.facts[candidate.fact].safety))
        return (worst[0].fact, SAFETY) if worst else None

    def _before_stopping(self, view, candidates):
        """(fact, reason) of a question without which no interview ends, as things stand, or None."""
        for candidate in candidates:
            if must_be_asked(self.knowledge.questions[candidate.fact], view.known):
                return candidate.fact, NEEDED
        return None

    def _way_to_what_lacks(self, state, view, candidates):
        """Where something derived is lacking that any one of several answers tells: the best of those, or None.

        To who does not know the best one, they come in their order.
        """
        lacking = view.lacking()
        ways = [candidate for candidate in candidates if candidate.fact in lacking]
        if any(name in state.said for name in lacking):
            return ways[0].fact if ways else None
        ways = [way for way in ways if way.witness is not None]
        return max(ways, key=lambda way: way.worth).fact if ways else None

    def _settling(self, state, view, candidates):
        """(fact, reason) of the question that settles most, or None where the case is settled well enough."""
        if len(state.said) >= MOST_QUESTIONS:
            return None
        questions = self.knowledge.questions
        candidates = [candidate for candidate in candidates if points(questions[candidate.fact], view.known)]
        settling = [candidate for candidate in candidates if worth_asking(candidate)]
        if not settling or (view.doubt <= DOUBT and not any(candidate.effect >= LIKELY for candidate in settling)):
            settling = self._behind(view, candidates) if view.doubt > DOUBT else []
        return (self._from_best_topic(settling), SETTLES) if settling else None

    def _behind(self, view, candidates):
        """Questions whose answers send a few of the callers to another kit; their worth is how often.

        Each answer of theirs that differs from what stands is taken back in its turn.
        """
        callers = view.callers
        rows = np.flatnonzero(callers.elsewhere)
        # One of a group, because its others differ from it in one answer only.
        rows = rows[np.unique((rows - 1) // GROUP, return_index=True)[1]][:LOOKED_AT]
        tried = [
            (candidate.fact, int(row))
            for row in rows
            for candidate in candidates
            if callers.others[candidate.fact][row]
        ]
        counts: dict[str, Any] = {}
        for (name, row), outcome in zip(tried, self.sampler.taken_back(callers, tried, view.platform) if tried else ()):
            if outcome[:2] != callers.outcomes[row][:2]:
                counts[name] = counts.get(name, 0) + 1
        return [
            dataclasses.replace(
                candidate, worth=counts[candidate.fact] / EFFORT[self.knowledge.questions[candidate.fact].effort]
            )
            for candidate in candidates
            if candidate.fact in counts
        ]

    def _other(self, state, view, candidates):
        """Questions of safety, those something points to, and what is left for a caller who wants to go on."""
        for open_question in candidates:
            if self.knowledge.facts[open_question.fact].safety:
                return open_question.fact, SAFETY
        for other in candidates if not state.onward else ():
            if self.knowledge.questions[other.fact].pointed and other.witness is not None:
                return other.fact, POINTED
        if state.onward and candidates:
            relevant = [open_question for open_question in candidates if open_question.witness is not None]
            return (self._from_best_topic(relevant) if relevant else candidates[0].fact), GOING_ON
        return None, ""

    def _from_best_topic(self, candidates):
        questions = self.knowledge.questions
        best = max(candidates, key=lambda candidate: candidate.worth)
        return next(
            candidate.fact
            for candidate in candidates
            if questions[candidate.fact].topic == questions[best.fact].topic
            and candidate.worth >= NEAR_BEST * best.worth
        )


def _turned(callers, name):
    """How much more often another kit is sold where a fact is other than what stands: over all callers.

    Less what chance alone may do, 0 at least.
    """
    other, weights, elsewhere = callers.others[name][1:], callers.weights, callers.elsewhere[1:]
    here, there = weights[~other].sum(), weights[other].sum()
    if not here or not there:
        return 0.0
    more = weights[other & elsewhere].sum() / there - weights[~other & elsewhere].sum() / here
    share = weights[elsewhere].sum() / weights.sum()
    return max(0.0, float(more - ERRORS * np.sqrt(share * (1.0 - share) * (1.0 / here + 1.0 / there))))


def worth_asking(candidate: "Candidate") -> bool:
    """Is its answer alone likely enough to change the outcome, or the pick?"""
    return candidate.witness is not None and (candidate.effect >= LIKELY or candidate.pick_effect >= LIKELY_PICK)
