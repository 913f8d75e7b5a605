"""Completions of everything not yet answered, and what they come to in one batch.

Callers are drawn who differ in everything not yet said; beside each stand a few who differ from that one in a single
answer, each question in its turn: one of the two says what stands while nobody has answered, the other something else.
So every pair shows what that answer alone does among callers who differ in everything else, and all callers together,
weighed, show how far the case is open. The draws depend on names only: the same answers and knowledge give the same
callers.
"""

import functools
import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from ..deciding.batch import Batched
from ..deciding.kit_columns import first_of_column
from ..deciding.plausible_draws import Band, band
from ..engine.disagreement import all_hold, holds
from ..engine.fact_columns import constant_columns
from ..errors import ConflictError

if TYPE_CHECKING:
    from ..deciding.answers import Known
    from ..deciding.decide import Decider
    from ..deciding.outcomes import Outcome
    from ..knowledge.model import Fact, Knowledge, Question, Record, Value
    from .state import State

#: Callers drawn. More tell small chances better and cost time at every prompt.
CALLERS = 120
#: Callers in a group: the first, and those who differ from it in one answer each.
GROUP = 3
#: Points at which a band is looked at to see how often its answers differ from what stands.
POINTS = 64


@dataclass(frozen=True)
class Callers:
    """``facts``: the open questions in order; row 0 is the case as it stands, rows 1 to N the callers.

    ``batched``: what was decided about them (lean, see `BatchDecider`); ``pairs``: fact -> (row, row) of callers who
    differ in it alone, the first saying what stands; ``odds``: fact -> share of callers who say something else than
    what stands; ``others``: fact -> rows that do; ``weights``: what each of rows 1 to N counts for among callers drawn
    as the bands say; ``given``, ``answered`` and ``missing``: the columns it was decided from.
    """

    facts: tuple
    bands: dict
    given: dict
    batched: Batched
    pairs: dict
    odds: dict
    others: dict
    weights: np.ndarray
    answered: dict
    missing: np.ndarray

    @property
    def outcomes(self) -> "list[Outcome]":
        """One Outcome for each row."""
        return self.batched.outcomes

    @functools.cached_property
    def elsewhere(self) -> np.ndarray:
        """Rows that come to another kit, or to none, than the case as it stands."""
        return np.array([outcome[:2] != self.outcomes[0][:2] for outcome in self.outcomes])

    def value(self, fact: str, row: int, knowledge: "Knowledge") -> Any:
        """The answer drawn for a fact in a row, canonical, or None for don't know."""
        values, known = self.given[fact]
        if not known[row]:
            return None
        element, word = values[row], knowledge.facts[fact]
        if word.kind == "choice" and word.choices:
            return word.choices[element]
        return bool(element) if word.kind == "flag" else float(element) if word.kind == "number" else str(element)


class CallerColumns(NamedTuple):
    """What is given and answered of a batch of callers, as the bulk evaluator takes it; ``missing``: (rows,)."""

    given: dict[str, Any]
    answered: dict[str, np.ndarray]
    missing: np.ndarray


class Sampler:
    """Draws callers for one Decider."""

    def __init__(self, decider: "Decider", callers: int = CALLERS) -> None:
        self.decider = decider
        self.knowledge = decider.knowledge
        self.batch = decider.batch
        self.callers = callers

    def open_facts(self, state: "State", known: "Known", *, all_of_them: bool = False) -> tuple[str, ...]:
        """Questions neither answered (nor answered "don't know") nor settled by the platform, in their order.

        What nothing plausible is declared of, as things stand, is no question now, and what the fitter measures never
        is one. Those that nothing points to are left out, unless ``all_of_them`` are wanted or a caller who wants to
        go on has been asked everything else.
        """
        questions = self.knowledge.questions
        every = tuple(
            name
            for name, question in questions.items()
            if name in known.open and name not in state.said and not question.fitter
        )
        every = tuple(name for name, spread in self.bands_of(every, known).items() if spread is not None)
        if all_of_them:
            return every
        pointed = tuple(name for name in every if points(questions[name], known))
        return pointed or (every if state.onward else ())

    def bands_of(self, facts: Iterable[str], known: "Known") -> dict[str, Band | None]:
        """fact -> Band, from what is answered or on file; None where nothing declared applies."""
        settled = {name: value for name, value in known.facts.items() if known.origins[name] != "assumed"}
        return {name: band(self.knowledge.facts[name], settled, self.decider.shop.kits) for name in facts}

    def draw(self, state: "State", platform: "Record | None", known: "Known") -> "Callers":
        """The `Callers` for a State whose facts are `Known`."""
        facts = self.open_facts(state, known)
        bands = self.bands_of(facts, known)
        groups = self.callers // GROUP if facts else 0
        pairs: dict[str, Any] = {}
        columns, odds, others = {}, {}, {}
        weights = np.ones(groups * GROUP)
        # Row g * GROUP + v is variant v of group g; variant 0 is the group's own, the others change one fact each.
        group, variant = np.divmod(np.arange(groups * GROUP), GROUP)
        changed = np.where(variant > 0, (group * (GROUP - 1) + variant - 1) % max(1, len(facts)), -1)
        for place, name in enumerate(facts):
            fact, mine = self.knowledge.facts[name], changed == place
            drawn = draw(fact, bands[name], group, mine, known.facts.get(name))
            columns[name], other, odds[name] = (drawn.values, drawn.known), drawn.other, drawn.odds
            others[name] = np.concatenate([[False], other])
            if drawn.odds == 0.0:
                pairs[name] = []
                continue
            # Of a pair the one that was drawn comes up as often as the band says, the one beside it does not. A band
            # whose points all differ may still hold what stands, between two of them.
            share = min(drawn.odds, 1.0 - 0.5 / POINTS)
            weights[mine] = np.where(other[mine], share / (1.0 - share), (1.0 - share) / share)
            pairs[name] = [
                tuple(
                    sorted((int(row - variant[row]) + 1, int(row) + 1), key=lambda row_beside: others[name][row_beside])
                )
                for row in np.flatnonzero(mine)
            ]
        given, answered, missing = self.columns(known, columns, groups * GROUP)
        batched = self._decided(given, answered, missing, platform)
        return Callers(facts, bands, given, batched, pairs, odds, others, weights, answered, missing)

    def in_full(self, callers: "Callers", rows: Sequence[int], platform: "Record | None") -> Batched:
        """The `Batched` of some rows of `Callers` with every check made: of the callers drawn only picks are told."""
        given, answered, missing = _rows(callers, list(rows))
        return self.batch.run_columns(given, answered, missing, platform)

    def taken_back(
        self, callers: "Callers", answers: Iterable[tuple[str, int]], platform: "Record | None"
    ) -> "list[Outcome]":
        """An Outcome for each (fact, row) of ``answers``: that caller's, had it not been answered."""
        given, answered, missing = _rows(callers, [row for _, row in answers])
        for place, (name, _) in enumerate(answers):
            values, known = given[name]
            values[place], known[place] = callers.given[name][0][0], callers.given[name][1][0]
            answered[name][place] = False
        return self._decided(given, answered, missing, platform).outcomes

    def _decided(self, given, answered, missing, platform):
        """The batch decided. Callers whose answers the rules cannot agree on are taken to be the case as it stands.

        ConflictError where the rules cannot agree on that one.
        """
        try:
            return self.batch.run_columns(given, answered, missing, platform, lean=True)
        except ConflictError:
            conflicted = self.batch.case_stage.derive(given, answered, len(missing)).conflicted
            if conflicted[0] or not conflicted.any():
                raise
            for values, known in given.values():
                for array in (known, *(values.values() if isinstance(values, dict) else (values,))):
                    array[conflicted] = array[0]
            for array in (*answered.values(), missing):
                array[conflicted] = array[0]
            return self.batch.run_columns(given, answered, missing, platform, lean=True)

    def columns(self, known: "Known", drawn: Mapping[str, tuple[np.ndarray, np.ndarray]], count: int) -> CallerColumns:
        """The `CallerColumns` of row 0, the case as it stands, and ``count`` rows of ``drawn`` answers."""
        given, answered = constant_columns(self.knowledge.facts, known.facts, count + 1), {}
        for name in known.answered:
            answered[name] = np.ones(count + 1, dtype=bool)
        for name, (values, there) in drawn.items():
            held = given.get(name)
            fact = self.knowledge.facts[name]
            full = np.concatenate([first_of_column(fact, held), values])
            mask = np.concatenate([[held is not None], there])
            if held is not None:
                # Don't know in a drawn caller leaves the assumed value.
                full[1:][~there] = full[0]
                mask[1:] = True
            given[name] = (full, mask)
            answered[name] = np.concatenate([[False], there])
        missing = np.zeros(count + 1, dtype=bool)
        missing[0] = bool(known.missing)
        still = [name for name in known.missing if name not in drawn]
        missing[1:] = bool(still)
        return CallerColumns(given, answered, missing)


def points(question: "Question", known: "Known") -> bool:
    """Does what is answered or on file point to a question, and nothing away from it?

    Always, where the question does not say what must.
    """

    def held(condition):
        return holds(condition, known.facts, known.facts, known.answered)

    pointed = all_hold(question, known.facts, known.facts, known.answered)
    return pointed and not any(all(map(held, group)) for group in question.unless)


def _rows(callers, rows):
    """(given, answered, missing) of some rows of `Callers`, safe to write to."""
    given = {}
    for name, (values, known) in callers.given.items():
        held = {member: flags[rows] for member, flags in values.items()} if isinstance(values, dict) else values[rows]
        given[name] = held, known[rows]
    return given, {name: held[rows] for name, held in callers.answered.items()}, callers.missing[rows]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A fact's coded ``values`` and ``known``, where it is ``other`` than what stands, and the share of callers so."""

    values: np.ndarray
    known: np.ndarray
    other: np.ndarray
    odds: float


def draw(fact: "Fact", band: Any, group: np.ndarray, changed: np.ndarray, standing: "Value | None" = None) -> "Drawn":
    """The `Drawn` of a fact for callers of the given groups.

    Where ``changed``, a caller who would say what is ``standing`` anyhow (None: nothing is) says something else, and
    one who would say something else leaves it unanswered. Over the groups the shares cover the band evenly, in an
    order that hangs on the fact's name alone.
    """
    heads = _heads(fact.name, band, standing, int(group.max(initial=-1)) + 1)
    values, known, other, places = (head[group] for head in heads)
    differing = _differing(band, standing)
    if len(differing):
        turned = np.flatnonzero(changed & ~other)
        values[turned], _ = band.draw(differing[(places[turned] * len(differing)).astype(int)])
        known[turned], known[changed & other] = True, False
        other = other ^ changed
    values, known = band.coded(fact, values, known)
    return Drawn(values, known, other, len(differing) / POINTS)


@functools.lru_cache(maxsize=1024)
def _heads(name, band, standing, count):
    """(values, known, other, which other answer) of the first of each of ``count`` groups; not to be written to.

    Where in the band they lie, and which other answer those beside them give, is spread evenly over 0 to 1.
    """
    rng = np.random.default_rng(int.from_bytes(hashlib.sha256(name.encode()).digest()[:8], "big"))
    shares = (rng.permutation(count) + rng.random(count)) / max(1, count)
    values, known = band.draw(shares)
    return values, known, _other(band, values, known, standing), rng.permutation(count) / max(1, count)


@functools.lru_cache(maxsize=512)
def _differing(band, standing):
    """Where in a band the answers are others than what stands: of `POINTS` points evenly over 0 to 1, those."""
    points = (np.arange(POINTS) + 0.5) / POINTS
    values, known = band.draw(points)
    return points[_other(band, values, known, standing)]


def _other(band, values, known, standing):
    """Where an answer drawn is another than what stands."""
    if standing is None:
        return known
    if not band.values:
        return known & (values != standing)
    return known & np.array([value != standing for value in band.values])[values]


def must_be_asked(question: "Question", known: "Known") -> bool:
    """Does an interview not end without this question, as things stand?"""
    return any(
        all(holds(condition, known.facts, known.facts, known.answered) for condition in group)
        for group in question.before_stopping
    )
