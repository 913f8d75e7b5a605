"""Completions of everything not yet answered, in one chain, and what they come to in one batch.

From each caller of the chain to the next one single answer changes, each question in its turn. So every step shows
what that answer alone does among callers who differ in everything else, and all callers together show how far the
case is open. The numbers depend on names only: the same answers and knowledge give the same chain.
"""

import hashlib
from dataclasses import dataclass

import numpy as np

from ..deciding.batch import BatchDecider
from . import bands

#: Callers in a chain. More tell small chances better and cost time at every prompt.
CALLERS = 256


@dataclass(frozen=True, slots=True)
class Chain:
    """``facts``: the open questions in order; row 0 is the case as it stands, rows 1 to N the callers.

    ``batched``: everything decided about them; ``steps``: fact -> rows at which that fact changed.
    """

    facts: tuple
    bands: dict
    given: dict
    batched: object
    steps: dict

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
    """Draws chains for one Decider."""

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

    def chain(self, state, platform, known):
        """The `Chain` for a State whose facts are `Known`."""
        facts = self.open_facts(state, known)
        found = self.bands_of(facts, known)
        count = self.callers if facts else 0
        rows = np.arange(1, count + 1)
        columns, steps = {}, {}
        for place, name in enumerate(facts):
            turns = np.maximum(0, (rows - place - 2) // len(facts) + 1) if len(facts) else rows
            columns[name] = draw(self.knowledge.facts[name], found[name], turns)
            steps[name] = rows[1:][np.diff(turns) > 0]
        given, answered, missing = self.columns(known, columns, count)
        return Chain(facts, found, given, self.batch.run_columns(given, answered, missing, platform), steps)

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


def draw(fact, band, turns, seed=""):
    """Coded (values, known) of a fact at the given turns of its own sequence of shares.

    The sequence steps by a third to two thirds of the whole each time, so that neighbours differ and the turns
    together cover the band evenly; start and step hang on the name alone.
    """
    start, step = _start_and_step(fact.name + seed)
    values, known = band.draw((start + step * turns) % 1.0)
    return bands.coded(fact, band, values, known)


def _start_and_step(name):
    parts = np.frombuffer(hashlib.sha256(name.encode()).digest()[:16], dtype=np.uint64) / 2.0**64
    return parts[0], 0.35 + 0.3 * parts[1]


def constant_columns(facts, values, rows):
    """Columns of facts that are the same in every row."""
    from ..engine.columns import kind_of

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
    from ..engine.columns import kind_of

    if held is not None:
        return held[0][:1]
    kind = kind_of(fact)
    if kind == "choice":
        return np.array([-1], dtype=np.int16)
    if kind == "text":
        return np.array([None], dtype=object)
    return np.array([False]) if kind == "flag" else np.array([np.nan])
