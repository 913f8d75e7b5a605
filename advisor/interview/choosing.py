"""Which question next: a pure function of the answers and the knowledge.

First relevance: a question counts only where, among the callers of the chain, its answer alone changes the outcome.
Then what it is expected to settle against the effort of answering it. That picks the topic; within a topic the order
of the questions file is kept. Questions marked safety that the car's record does not settle are asked whatever their
value. The interview stops by itself when nothing left is likely to change the outcome.
"""

from dataclasses import dataclass

from ..deciding.decide import MORE_ANSWERS
from .names import CAR

#: Least share of callers whose outcome an answer must change to be worth its question.
LIKELY = 0.10
#: As `LIKELY`, for the pick alone, which weighs more than what goes in with it.
LIKELY_PICK = 0.04
#: The pick counts as settled when no more than this share of callers would be sold another kit.
DOUBT = 0.015
#: What an answer is worth that changes only what goes in with the kit or what is to be warned of.
SETUP_WORTH = 0.35
#: Effort of an answer: known or not, go and look, measure.
EFFORT = {"memory": 1.0, "look": 1.5, "measure": 3.0}
#: Within the best topic the first question in order is asked whose worth is at least this share of the best one's.
NEAR_BEST = 0.3
#: No interview asks more by itself.
MOST_QUESTIONS = 24

NEEDED, SETTLES, SAFETY, GOING_ON, IN_ORDER = "needed", "settles", "safety", "going on", "in order"


@dataclass(frozen=True, slots=True)
class Witness:
    """Two callers who differ in one answer and come to different outcomes: rows of the chain."""

    before: int
    after: int


@dataclass(frozen=True, slots=True)
class Candidate:
    """An open question: ``effect`` and ``pick_effect`` are shares of callers its answer alone changes."""

    fact: str
    effect: float
    pick_effect: float
    worth: float
    witness: Witness | None


@dataclass(frozen=True)
class View:
    """How a case stands: the Outcome now, how open it is, and what to ask next.

    ``question``: a fact, the car, or None where the interview stops by itself; ``reason`` says why it is asked.
    ``doubt``: share of callers with another pick than now. ``left``: questions likely still to come.
    """

    known: object
    platform: object
    chain: object
    candidates: tuple
    question: str | None
    reason: str
    doubt: float
    left: int

    @property
    def standing(self):
        """The Outcome of the case as it stands."""
        return self.chain.outcomes[0] if self.chain else None

    def figure(self, name):
        """A figure of the standing pick, or None."""
        if self.chain is None or self.standing.pick is None:
            return None
        value = self.chain.batched.pick_figure(name)[0]
        return None if value != value else float(value)


class Chooser:
    """Chooses questions for one Decider; ``in_order`` asks every question in the order of the questions file."""

    def __init__(self, sampler, *, in_order=False):
        self.sampler = sampler
        self.decider = sampler.decider
        self.knowledge = sampler.knowledge
        self.in_order = in_order

    def view(self, state):
        """The `View` of a State."""
        if state.car is None:
            return View(None, None, None, (), CAR, NEEDED, 1.0, 0)
        platform, known = self.decider.gather(state.as_case())
        chain = self.sampler.chain(state, platform, known)
        candidates = self._candidates(chain)
        doubt = self._doubt(chain)
        question, reason = self._next(state, known, chain, candidates, doubt)
        left = sum(1 for one in candidates if worth_asking(one) or self.knowledge.facts[one.fact].safety)
        return View(known, platform, chain, candidates, question, reason, doubt, max(left, 1 if question else 0))

    # --- relevance and worth

    def _candidates(self, chain):
        found = []
        outcomes = chain.outcomes
        for name in chain.facts:
            steps = chain.steps[name]
            picks = [row for row in steps if outcomes[row][:2] != outcomes[row - 1][:2]]
            others = [row for row in steps if outcomes[row] != outcomes[row - 1] and row not in picks]
            count = max(1, len(steps))
            effect, pick_effect = (len(picks) + len(others)) / count, len(picks) / count
            effort = EFFORT[self.knowledge.questions[name].effort]
            worth = (pick_effect + SETUP_WORTH * (effect - pick_effect)) / effort
            row = (picks or others or [None])[0]
            found.append(Candidate(name, effect, pick_effect, worth, None if row is None else Witness(int(row) - 1, int(row))))
        return tuple(found)

    def _doubt(self, chain):
        outcomes = chain.outcomes
        others = sum(1 for one in outcomes[1:] if one[:2] != outcomes[0][:2])
        return others / max(1, len(outcomes) - 1)

    # --- the choice

    def _next(self, state, known, chain, candidates, doubt):
        waiting = [one for one in candidates if one.fact not in state.later]
        if self.in_order:
            return (waiting[0].fact, IN_ORDER) if waiting else (None, "")
        needed = self._needed(state, known, chain, candidates)
        if needed:
            return needed, NEEDED
        asked = len(state.said)
        if chain.outcomes[0].outcome != MORE_ANSWERS or any(worth_asking(one) for one in waiting):
            worthwhile = [one for one in waiting if worth_asking(one)]
            if worthwhile and asked < MOST_QUESTIONS and (doubt > DOUBT or any(one.effect >= LIKELY for one in worthwhile)):
                return self._from_best_topic(worthwhile), SETTLES
            relevant = [one for one in waiting if one.pick_effect > 0]
            if doubt > DOUBT and relevant and asked < MOST_QUESTIONS:
                return self._from_best_topic(relevant), SETTLES
        for one in waiting:
            if self.knowledge.facts[one.fact].safety:
                return one.fact, SAFETY
        if state.onward and waiting:
            relevant = [one for one in waiting if one.witness is not None]
            return (self._from_best_topic(relevant) if relevant else waiting[0].fact), GOING_ON
        return None, ""

    def _needed(self, state, known, chain, candidates):
        """The next question without whose answer nothing can be decided, or None.

        Where any one of several answers would do, the one that settles most for its effort.
        """
        open_now = [name for name in chain.facts if name not in state.later]
        for name in open_now:
            if name in known.missing:
                return name
        if chain.outcomes[0].outcome != MORE_ANSWERS:
            return None
        lacking = set()
        for name, fact in self.knowledge.facts.items():
            if fact.needs_one_of and not chain.batched.derived.fact(name)[1][0]:
                lacking |= set(fact.needs_one_of)
        ways = [one for one in candidates if one.fact in lacking and one.fact in open_now]
        return max(ways, key=lambda one: one.worth).fact if ways else None

    def _from_best_topic(self, candidates):
        questions = self.knowledge.questions
        best = max(candidates, key=lambda one: one.worth)
        return next(
            one.fact for one in candidates if questions[one.fact].topic == questions[best.fact].topic and one.worth >= NEAR_BEST * best.worth
        )


def worth_asking(candidate):
    """Is its answer alone likely enough to change the outcome, or the pick?"""
    return candidate.witness is not None and (candidate.effect >= LIKELY or candidate.pick_effect >= LIKELY_PICK)
