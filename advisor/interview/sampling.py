"""Completions of everything not yet answered, and what they come to in one batch.

Callers are drawn who differ in everything not yet said; beside each stand a few who differ from that one in a single
answer, each question in its turn. So every pair shows what that answer alone does among callers who differ in
everything else, and all callers together show how far the case is open. The draws depend on names only: the same
answers and knowledge give the same callers.
"""

import hashlib
from dataclasses import dataclass

import numpy as np

from ..deciding.batch import BatchDecider
from ..engine.columns import kind_of
from ..errors import ConflictError
from . import bands

#: Callers drawn. More tell small chances better and cost time at every prompt.
CALLERS = 258
#: Callers in a group: the first, and those who differ from it in one answer each.
GROUP = 3


@dataclass(frozen=True, slots=True)
class Callers:
    """``facts``: the open questions in order; row 0 is the case as it stands, rows 1 to N the callers.

    ``batched``: what was decided about them (lean, see `BatchDecider`); ``pairs``: fact -> (row, row) of callers who
    differ in it alone; ``given``, ``answered`` and ``missing``: the columns it was decided from.
    """

    facts: tuple
    bands: dict
    given: dict
    batched: object
    pairs: dict
    answered: dict
    missing: np.ndarray

    @property
    def outcomes(self):
        """One Outcome for each row."""
        return self.batched.outcomes

    def value(self, fact, row, knowledge):
        """The answer drawn for a fact in a row, canonical, or None for don't know."""
        values, known = self.given[fact]
        if not known[row]:
            return None
        one, word = values[row], knowledge.facts[fact]
        if word.kind == "choice" and word.choices:
            return word.choices[one]
        return bool(one) if word.kind == "flag" else float(one) if word.kind == "number" else str(one)


class Sampler:
    """Draws callers for one Decider."""

    def __init__(self, decider, callers=CALLERS):
        self.decider = decider
        self.knowledge = decider.knowledge
        self.batch = BatchDecider(decider)
        self.callers = callers

    def open_facts(self, state, known):
        """Questions neither answered (nor answered "don't know") nor settled by the platform, in their order."""
        return tuple(name for name in self.knowledge.questions if name in known.open and name not in state.said)

    def bands_of(self, facts, known):
        """fact -> Band, from what is answered or on file."""
        settled = {name: value for name, value in known.facts.items() if known.origins[name] != "assumed"}
        return {name: bands.band(self.knowledge.facts[name], settled, self.decider.shop.kits) for name in facts}

    def draw(self, state, platform, known):
        """The `Callers` for a State whose facts are `Known`."""
        facts = self.open_facts(state, known)
        found = self.bands_of(facts, known)
        groups = self.callers // GROUP if facts else 0
        columns, pairs = {}, {}
        # Row g * GROUP + v is variant v of group g; variant 0 is the group's own, the others change one fact each.
        group, variant = np.divmod(np.arange(groups * GROUP), GROUP)
        changed = np.where(variant > 0, (group * (GROUP - 1) + variant - 1) % max(1, len(facts)), -1)
        for place, name in enumerate(facts):
            mine = changed == place
            columns[name] = draw(self.knowledge.facts[name], found[name], group, mine)
            rows = np.flatnonzero(mine)
            pairs[name] = [(int(row - variant[row]) + 1, int(row) + 1) for row in rows]
        given, answered, missing = self.columns(known, columns, groups * GROUP)
        batched = self._decided(given, answered, missing, platform)
        return Callers(facts, found, given, batched, pairs, answered, missing)

    def in_full(self, callers, rows, platform):
        """The `Batched` of some rows of `Callers` with every check made: of the callers drawn only picks are told."""
        rows = list(rows)
        given = {
            name: ({member: held[rows] for member, held in values.items()} if isinstance(values, dict) else values[rows], known[rows])
            for name, (values, known) in callers.given.items()
        }
        answered = {name: held[rows] for name, held in callers.answered.items()}
        return self.batch.run_columns(given, answered, callers.missing[rows], platform)

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

    def columns(self, known, drawn, count):
        """(given, answered, missing) for row 0, the case as it stands, and ``count`` rows of ``drawn`` answers."""
        given, answered = constant_columns(self.knowledge.facts, known.facts, count + 1), {}
        for name in known.answered:
            answered[name] = np.ones(count + 1, dtype=bool)
        for name, (values, there) in drawn.items():
            held = given.get(name)
            fact = self.knowledge.facts[name]
            full = np.concatenate([_one(fact, held), values])
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
        return given, answered, missing


def draw(fact, band, group, changed):
    """Coded (values, known) of a fact for callers of the given groups, moved half the band on where ``changed``.

    Over the groups the shares cover the band evenly, in an order that hangs on the fact's name alone.
    """
    count = int(group.max(initial=-1)) + 1
    rng = np.random.default_rng(int.from_bytes(hashlib.sha256(fact.name.encode()).digest()[:8], "big"))
    shares = (rng.permutation(count) + rng.random(count)) / max(1, count)
    values, known = band.draw((shares[group] + 0.5 * changed) % 1.0)
    return bands.coded(fact, band, values, known)


def constant_columns(facts, values, rows):
    """Columns of facts that are the same in every row."""
    found = {}
    for name, value in values.items():
        fact = facts[name]
        kind = kind_of(fact)
        known = np.ones(rows, dtype=bool)
        if kind == "list":
            found[name] = ({member: known.copy() for member in value}, known)
        elif kind == "choice":
            found[name] = (np.full(rows, fact.choices.index(value), dtype=np.int16), known)
        elif kind == "text":
            column = np.empty(rows, dtype=object)
            column[:] = value
            found[name] = (column, known)
        else:
            found[name] = (np.full(rows, value), known)
    return found


def _one(fact, held):
    """The first row of a column, or a filler where the fact has no value as the case stands."""
    if held is not None:
        return held[0][:1]
    kind = kind_of(fact)
    if kind == "choice":
        return np.array([-1], dtype=np.int16)
    if kind == "text":
        return np.array([None], dtype=object)
    return np.array([False]) if kind == "flag" else np.array([np.nan])
