"""Completions of a case: everything doubtful in it drawn together, a stated number of times.

The sequence is fixed and unseeded: for each fact the places 0 to 1 are spread evenly over its band, in an order that
hangs on its name alone. So the same answers and knowledge give the same completions, and one more answer moves no other
fact. Facts are drawn in the order of the vocabulary, each as the answers and what is drawn before it say.

The torque is doubtful too where it is claimed, comes from rollers or is worked out: then the torque at the flywheel is
drawn about what the routes give, and counts there as measured, so that `demand_spread` keeps what a test bed is out by
and doubt is not counted twice. What is told as a range, or roughly, is drawn between its ends, and what its
source is out by on top. The recorded decision takes it at its likely value: its `demand_spread` is that of the source
alone, for the width of the range is told by the span. (A range of a twelfth adds half a per cent to a probability of
holding near its limit.)
"""

import functools
import hashlib
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from ..engine.bulk import BulkEvaluator
from ..engine.fact_columns import constant_columns, kind_of
from ..frozen import frozen
from .kit_columns import first_of_column
from .plausible_draws import Band, band_of, declared

if TYPE_CHECKING:
    from .answers import Known
    from .decide import Decider

#: Completions of a case.
COUNT = 160
#: The torque that is answered, where it was measured, the torque that all routes lead to, and how well it is known.
TORQUE, MEASURED_AT, FLYWHEEL, BASE, SPREAD = (
    "engine_torque",
    "torque_measured_at",
    "flywheel",
    "base_torque",
    "demand_spread",
)
#: What, only guessed, tells nothing of the torque beside what was told of it: no second source disagrees with a claim
#: because a completion takes the engine for standard.
ENGINE_STATE = ("engine_state", "engine_changes")
#: Told with a power, and never without one.
POWER_SPEED = "engine_power_speed_rpm"
#: What the torque of a test bed is out by all the same.
BED_SPREAD = 0.03


@frozen(slots=False)
class Completions:
    """``given``, ``answered``, ``missing``: what the bulk evaluator takes, a row for each completion.

    ``drawn``: fact -> (values, known) of everything doubtful, coded as in ``given``.
    """

    given: dict
    answered: dict
    missing: np.ndarray
    drawn: dict


@functools.lru_cache(maxsize=4096)
def places(name: str, count: int) -> np.ndarray:
    """Where in a band each of ``count`` completions lies: 0 to 1, spread evenly; not to be written to."""
    digest = hashlib.shake_256(name.encode()).digest(8 * count)
    order = np.argsort(np.frombuffer(digest, dtype=">u8"), kind="stable")
    spots = np.empty(count)
    spots[order] = (np.arange(count) + 0.5) / count
    spots.flags.writeable = False
    return spots


class Completer:
    """Draws the completions of cases of one Decider."""

    def __init__(self, decider: "Decider", count: int = COUNT) -> None:
        self.knowledge, self.kits, self.count = decider.knowledge, decider.shop.kits, count
        self.columns = decider.kits
        base = decider.bases.get("case")
        self.routes: frozenset[str] = frozenset()
        if BASE in self.knowledge.facts:
            upstream = decider.upstream
            behind = upstream.of_fact(BASE) | upstream.of_fact(SPREAD)
            self.routes = frozenset(name for name in behind if self.knowledge.facts[name].source == "derived")
            #: Other ways to the torque than by answering it, which are not drawn because the torque is.
            self.ways = frozenset(
                name
                for name in self.knowledge.facts[BASE].needs_one_of
                if (unknown := self.knowledge.facts[name].if_unknown) is not None
                and unknown.do == "leave"
                and not self._decides_bands(name)
            ) | {POWER_SPEED}
            self._torque_stage = BulkEvaluator(self.knowledge, "case", base, giving=self.routes)

    def _decides_bands(self, name):
        """Does what other facts may turn out to be hang on this one? Then it is drawn itself."""
        return self.knowledge.facts[name].choices and any(
            name == other
            for fact in self.knowledge.facts.values()
            for entry in fact.plausible
            for other, _ in entry.given
            if fact.name not in self.knowledge.facts[BASE].needs_one_of or fact.name == TORQUE
        )

    def doubtful(self, known: "Known") -> list[str]:
        """Facts whose value is doubtful, in the order of the vocabulary: not answered, filled in, or vague."""
        filled = {assumption.fact for assumption in known.assumptions}
        return [
            name
            for name in self.knowledge.facts
            if name in known.vague
            or name in filled
            or (name in known.open and self.knowledge.facts[name].source == "asked")
        ]

    def draw(self, known: "Known", leave: frozenset[str] = frozenset()) -> "Completions | None":
        """The `Completions` of a case whose facts are `Known`, or None where nothing in it is doubtful.

        ``leave``: facts that may be missing; what is no number among them is not drawn.
        """
        completions = self._complete(known, leave)
        return completions if completions.drawn else None

    def _complete(self, known, leave=frozenset()):
        doubtful = [
            name
            for name in self.doubtful(known)
            if name not in leave
            or (self.knowledge.facts[name].kind == "number" and not self.knowledge.facts[name].choices)
        ]
        sure = {name: value for name, value in known.facts.items() if name not in doubtful}
        given = constant_columns(self.knowledge.facts, sure, self.count)
        answered = {name: np.ones(self.count, dtype=bool) for name in known.answered}
        drawn = {}
        for name in doubtful:
            if self.routes and name not in known.vague and (name == TORQUE or name in self.ways):
                continue
            drawn[name] = self._draw(name, known, given)
            self._take(name, drawn[name], known, given, answered)
        if self.routes:
            self._torque(known, given, answered, drawn)
        missing = np.full(self.count, any(name not in drawn and name not in leave for name in known.missing))
        return Completions(given, answered, missing, drawn)

    def draw_readings(self, readings: Sequence["Known"], leave: frozenset[str] = frozenset()) -> "Completions":
        """`Completions` of answers that contradict each other: each of their ``readings`` in its turn, row by row.

        What the readings do not agree on is doubtful too.
        """
        drawn = [self._complete(known, leave) for known in readings]
        turn = np.arange(self.count) % len(drawn)
        apart = {
            name
            for name in set().union(*(known.facts for known in readings))
            if len({known.facts.get(name) for known in readings}) > 1
        }
        given = {
            name: self._in_turn(name, [completions.given.get(name) for completions in drawn], turn)
            for name in dict.fromkeys(name for completions in drawn for name in completions.given)
        }
        none = np.zeros(self.count, dtype=bool)
        answered = {
            name: np.choose(turn, [completions.answered.get(name, none) for completions in drawn])
            for name in dict.fromkeys(name for completions in drawn for name in completions.answered)
        }
        names = [
            name
            for name in self.knowledge.facts
            if name in apart or any(name in completions.drawn for completions in drawn)
        ]
        missing = np.choose(turn, [completions.missing for completions in drawn])
        return Completions(given, answered, missing, {name: given[name] for name in names if name in given})

    def _in_turn(self, name, columns, turn):
        """One column from one of each reading (None: the fact has no value there), row by row."""
        fact, none = self.knowledge.facts[name], np.zeros(self.count, dtype=bool)
        known = np.choose(turn, [none if column is None else column[1] for column in columns])
        if kind_of(fact) == "list":
            held = [{} if column is None else column[0] for column in columns]
            members = dict.fromkeys(member for known in held for member in known)
            return {member: np.choose(turn, [known.get(member, none) for known in held]) for member in members}, known
        present = next(column for column in columns if column is not None)
        blank = np.repeat(first_of_column(fact, None), self.count)
        values = np.where(turn == 0, blank if columns[0] is None else columns[0][0], present[0])
        for place, column in enumerate(columns[1:], 1):
            values = np.where(turn == place, blank if column is None else column[0], values)
        return values.astype(present[0].dtype), known

    def _take(self, name, column, known, given, answered):
        """Put a drawn column among the given ones: where it has no value, what stands without an answer."""
        fact, (values, there) = self.knowledge.facts[name], column
        standing = known.facts.get(name)
        if standing is not None and not there.all():
            stands = constant_columns(self.knowledge.facts, {name: standing}, self.count)[name]
            values, given_there = np.where(there, values, stands[0]), np.ones(self.count, dtype=bool)
            given[name] = values.astype(stands[0].dtype) if fact.kind != "text" else values, given_there
        else:
            given[name] = values, there
        answered[name] = there

    def _draw(self, name, known, given):
        """(values, known) of a fact in each completion."""
        fact, where = self.knowledge.facts[name], places(name, self.count)
        own = self._of_factory_clutch(name, known)
        if own is not None:
            return own, np.ones(self.count, dtype=bool)
        vague = known.vague.get(name)
        if vague is not None:
            # In steps of what is told apart: a count drawn between two whole numbers could not be counted with.
            step = fact.resolution or 0.0
            ends = Band(name, "as answered", low=vague.low, likely=known.facts[name], high=vague.high, step=step)
            return ends.coded(fact, *ends.draw(where))
        values, there = np.repeat(first_of_column(fact, None), self.count), np.zeros(self.count, dtype=bool)
        left = np.ones(self.count, dtype=bool)
        for entry in declared(fact):
            rows, scale = self._applies(entry, given, left)
            if not rows.any():
                continue
            spread = band_of(fact, entry, self.kits)
            here, has = spread.coded(fact, *spread.draw(where, scale if entry.times else None))
            values[rows], there[rows] = here[rows], has[rows]
            left &= ~rows
            if not left.any():
                break
        return values, there

    def _of_factory_clutch(self, name, known):
        """What is estimated of the car's own clutch, as it takes it in each completion as a kit: it is one number."""
        fact, factory = self.knowledge.facts[name], known.factory_kit
        if fact.source != "factory_kit" or fact.field not in self.columns.estimates.get(factory, {}):
            return None
        alone = self.columns.subset(np.array([self.columns.index[factory]]))
        return alone.drawn(self.count).field(fact.field).values[:, 0]

    def _applies(self, entry, given, left):
        """(where an entry applies, what its band counts in) for the completions ``left``."""
        rows = left
        for name, wanted in entry.given:
            if name not in given:
                return np.zeros(self.count, dtype=bool), 1.0
            values, there = given[name]
            if not wanted:
                rows = rows & there
                continue
            fact = self.knowledge.facts[name]
            codes = [fact.choices.index(value) for value in wanted] if kind_of(fact) == "choice" else list(wanted)
            rows = rows & there & np.isin(values, codes)
        scale = np.ones(self.count)
        for names, sign in ((entry.times, 1), (entry.over, -1)):
            for name in names:
                if name not in given:
                    return np.zeros(self.count, dtype=bool), scale
                values, there = given[name]
                rows = rows & there & (np.where(there, values, 0.0) > 0.0)
                scale = scale * np.where(rows, values, 1.0) ** sign
        return rows, scale

    def _routes(self, given, answered):
        """(torque that the routes give, where; its spread, where)."""
        derived = self._torque_stage.derive(given, answered, self.count)
        return *derived.fact(BASE), *derived.fact(SPREAD)

    def _torque(self, known, given, answered, drawn):
        """Draw the torque at the flywheel wherever it is doubtful, about what the routes give."""
        feeding = {name: column for name, column in given.items() if name in self._torque_stage.base.facts}
        said = {name: mask for name, mask in answered.items() if name in self._torque_stage.base.facts}
        guessed = {name for name in ENGINE_STATE if name in drawn}
        base, there, spread, spread_known = self._routes(
            {name: column for name, column in feeding.items() if name not in guessed},
            {name: mask for name, mask in said.items() if name not in guessed},
        )
        if guessed and not there.all():
            without = there  # where what was said alone gives the torque
            guess, there, its_spread, its_spread_known = self._routes(feeding, said)
            base, there = np.where(without, base, guess), without | there
            spread = np.where(without, spread, its_spread)
            spread_known = np.where(without, spread_known, its_spread_known)
        doubt = np.sqrt(np.maximum(np.where(spread_known, spread, 0.0) ** 2 - BED_SPREAD**2, 0.0))
        doubtful = ~there | (doubt > 0.0)
        if not doubtful.any() or (TORQUE in known.facts and TORQUE not in known.vague and not doubt.any()):
            return
        fact, where = self.knowledge.facts[TORQUE], places(BASE, self.count)
        values = np.where(there, np.where(there, base, 1.0) * np.exp(doubt * _normal(where)), np.nan)
        if not there.all():
            plain, has = self._draw(TORQUE, known, given)
            values = np.where(there, values, np.where(has, plain, np.nan))
        values = np.clip(
            np.round(values / fact.resolution) * fact.resolution if fact.resolution else values, fact.low, fact.high
        )
        column = values, ~np.isnan(values)
        drawn[TORQUE] = column
        given[TORQUE], answered[TORQUE] = column, column[1]
        at = self.knowledge.facts[MEASURED_AT].choices.index(FLYWHEEL)
        given[MEASURED_AT] = np.full(self.count, at, dtype=np.int16), np.ones(self.count, dtype=bool)
        answered[MEASURED_AT] = np.ones(self.count, dtype=bool)


@functools.lru_cache(maxsize=1)
def _normal_points():
    from statistics import NormalDist

    at = (np.arange(1, 400)) / 400
    return at, np.array([NormalDist().inv_cdf(share) for share in at])


def _normal(where):
    """Quantiles of the standard normal distribution [-] at ``where``, 0 to 1; within 0.01 from 0.005 to 0.995."""
    return np.interp(where, *_normal_points())
