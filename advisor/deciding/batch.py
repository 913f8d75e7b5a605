"""Whole outcomes for many cases at once: the bulk evaluator for both stages, figures, checks and ladder as arrays.

What comes out is what `decide` gives case by case; the recorded decision is never made here. Memory is set by
the number of cases in a batch, not by how many there are.
"""

import functools
from dataclasses import dataclass, field
from typing import Mapping, NamedTuple

import numpy as np

from ..engine.bulk import BulkEvaluator
from ..engine.columns import columns as engine_columns
from ..engine.columns import kind_of
from . import ladder, parts
from .checks import FAIL, check, verdict_masks
from .columns import Column, FactColumns
from .consistency import STAGE, BulkClashes, said
from .decide import DECLINED_TOPIC, FIT_TOPICS, MORE_ANSWERS, NO_KIT, RECOMMENDED, taken_otherwise
from .unknowns import taken_careful, what_would_settle

#: Cases worked on together: with a hundred kits and eighty figures some tens of megabytes.
BATCH = 256


class Outcome(NamedTuple):
    """What a change is measured by: outcome, pick, ids of required set-up items, ids of safety cautions."""

    outcome: str
    pick: str | None
    required: frozenset
    cautions: frozenset


class BulkFacts(FactColumns):
    """The facts of a BulkDerivation as columns (C, 1), turned as they are asked for."""

    def __init__(self, derived):
        super().__init__(derived.rows, {})
        self._derived = derived

    def fact(self, name):
        """Column (C, 1) of a fact, choices and flags as objects."""
        if name not in self._columns:
            if name not in self._derived.base.facts:
                return super().fact(name)
            values, known = self._derived.fact(name)
            fact = self._derived.base.facts[name]
            kind = kind_of(fact)
            if kind == "choice":
                values = np.array([*fact.choices, None], dtype=object)[values]
            elif kind == "flag":
                values = np.array([False, True, None], dtype=object)[values]
            elif kind == "list":
                values = np.full(self.count, None, dtype=object)
            self._columns[name] = Column(values.reshape(-1, 1), known.reshape(-1, 1))
        return self._columns[name]


@dataclass
class Batched:
    """One batch decided: arrays (C, K) over the ``kits`` that may fit the car at all.

    ``missing``: boolean (C,), cases nobody can decide; ``picks``: index into ``kits`` or -1; ``places``: (C, K)
    place on the ladder. ``declined``: boolean (C,), cases whose vehicle no kit is made for. ``discarded``: boolean (C,),
    cases the rules cannot agree on, decided like ``missing`` ones. ``pairs``: (N, 2), case and kit of every passing kit;
    ``set_up``: id of a set-up rule -> boolean (N,), where it fired.
    """

    kits: object
    derived: object
    facts: object
    figures: object
    checks: tuple
    passes: np.ndarray
    failed: np.ndarray
    unjudged: np.ndarray
    concerns: np.ndarray
    places: np.ndarray
    picks: np.ndarray
    missing: np.ndarray
    outcomes: list
    declined: np.ndarray | None = None
    discarded: np.ndarray | None = None
    pairs: np.ndarray | None = None
    set_up: Mapping[str, np.ndarray] = field(default_factory=dict)

    def pick_figure(self, name):
        """A figure of each case's pick, NaN where there is none."""
        column = self.figures.column(name)
        values = np.broadcast_to(np.where(column.known, column.values, np.nan), self.passes.shape)
        return np.where(self.picks >= 0, np.take_along_axis(values, np.maximum(self.picks, 0)[:, None], 1)[:, 0], np.nan)


class BatchDecider:
    """Decides many cases of one platform at once with a `Decider`'s knowledge and shop."""

    def __init__(self, decider):
        self.decider = decider
        self.knowledge = decider.knowledge
        self.case_stage = BulkEvaluator(self.knowledge, "case", decider.bases.get("case"))
        self.consistency = BulkClashes(
            self.knowledge, BulkEvaluator(self.knowledge, STAGE, decider.bases.get(STAGE))
        )
        self.setup_stage = BulkEvaluator(self.knowledge, "setup", decider.bases.get("setup"))
        self.requirements = sorted((one for rule in self.knowledge.rules for one in rule.require), key=lambda one: one.id)
        self.topics = {rule.id: rule.topic for rule in self.knowledge.rules}
        self.setup_rules = [rule for rule in sorted(self.knowledge.rules, key=lambda rule: rule.id) if rule.stage == "setup"]
        self.setup_reads = decider.setup_reads
        self._prices = {}

    def outcomes(self, knowns, platform, size=BATCH, *, ask_first=True):
        """An `Outcome` for each of ``knowns``, in their order; ``ask_first`` as in `Decider.outcomes`."""
        found = []
        for start in range(0, len(knowns), size):
            found += self.run(knowns[start : start + size], platform, lean=True, ask_first=ask_first).outcomes
        return found

    def _with_questions_first(self, knowns, platform, outcomes):
        """Where no kit fits, and one would with another value of a fact taken at its worst, that is asked first."""
        tried = [
            (row, other)
            for row, outcome in enumerate(outcomes)
            if outcome.outcome == NO_KIT and not knowns[row].declined
            for _, other in taken_otherwise(knowns[row], self.knowledge)
        ]
        others = self.outcomes([other for _, other in tried], platform, ask_first=False)
        asking = {row for (row, _), outcome in zip(tried, others) if outcome.outcome == RECOMMENDED}
        return [one._replace(outcome=MORE_ANSWERS) if row in asking else one for row, one in enumerate(outcomes)]

    def run(self, knowns, platform, *, lean=False, ask_first=True):
        """`Batched` for one batch of `Known`s on one platform Record (None where not on file).

        ``ask_first`` as in `Decider.outcomes`.
        """
        given, answered = engine_columns(self.case_stage.base.facts, [(known.facts, known.answered) for known in knowns])
        missing = np.array([bool(known.missing) for known in knowns]) | self._stopped(knowns)
        batched = self.run_columns(given, answered, missing, platform, lean=lean)
        if ask_first:
            batched.outcomes = self._with_questions_first(knowns, platform, batched.outcomes)
        return batched

    def _stopped(self, knowns):
        """Boolean (C,): cases stopped by a contradiction that nobody has looked for yet."""
        stopped = np.zeros(len(knowns), dtype=bool)
        rows = [row for row, known in enumerate(knowns) if known.clashes is None]
        if rows:
            given, answered = engine_columns(
                self.consistency.evaluator.base.facts, [(said(knowns[row]), knowns[row].answered) for row in rows]
            )
            stopped[rows] = self.consistency.stopped(given, answered, len(rows))
        return stopped

    def run_columns(self, given, answered, missing, platform, *, lean=False, discard=False):
        """As `run`, from ready columns (see ``engine.columns``) and the mask of cases that lack what must be known.

        ``lean``: outcomes, picks, ``passes``, ``failed`` and ``unjudged`` only. Of a kit that has failed one must
        nothing more is worked out, so its other checks, its concerns and its place mean nothing. ``discard``: cases the
        rules cannot agree on are left undecided, not an error, and nothing is told but picks and what passes.
        """
        derived = self.case_stage.derive(given, answered, len(missing))
        if derived.conflicted.any() and not discard:
            derived.derivation(int(np.argmax(derived.conflicted)))  # raises the ConflictError of the first such case
        facts = BulkFacts(derived)
        missing = missing | self._lacking(derived)
        if discard:
            missing = missing | derived.conflicted
        every = self.decider.kits
        shape = (derived.rows, len(every))
        alive = np.ones(len(every), dtype=bool)
        fits = [one for one in self.requirements if one.level == "must" and one.source == "kit" and self.topics[one.rule] in FIT_TOPICS]
        refused, declined = np.zeros(shape, dtype=bool), np.zeros(derived.rows, dtype=bool)
        for one in fits:
            failed = check(one, derived.fired(one.rule)[:, None], every, facts, None).status == FAIL
            if self.topics[one.rule] == DECLINED_TOPIC:
                declined |= failed.all(axis=1)
            refused |= failed
        missing = missing & ~declined
        alive &= ~(refused | missing[:, None]).all(axis=0)
        kits = every.subset(np.flatnonzero(alive)) if not missing.all() else every.subset(np.array([], dtype=int))
        batched = self._judge(derived, facts, kits, missing, platform, lean)
        batched.declined, batched.discarded = declined, derived.conflicted
        if not discard:
            batched.outcomes = self._outcomes(batched)
        return batched

    def _lacking(self, derived):
        lacking = np.zeros(derived.rows, dtype=bool)
        for name, fact in self.knowledge.facts.items():
            if fact.needs_one_of:
                lacking |= ~derived.fact(name)[1]
        return lacking

    def _check(self, level, derived, facts, kits, figures):
        posted = ((one, derived.fired(one.rule)) for one in self.requirements if one.level == level)
        return [check(one, mask[:, None], kits, facts, figures) for one, mask in posted if mask.any()]

    def _lean_musts(self, derived, facts, kits, figures, missing):
        """The musts, what takes the fewest figures first, and each only of kits that no earlier one has refused."""
        figures.live = np.broadcast_to(~missing[:, None], (derived.rows, len(kits))).copy()
        found = []
        for one in self._cheapest_musts:
            mask = derived.fired(one.rule)
            if mask.any():
                found.append(check(one, mask[:, None], kits, facts, figures))
                figures.live &= found[-1].status != FAIL
        return found

    @functools.cached_property
    def _cheapest_musts(self):
        musts = [one for one in self.requirements if one.level == "must"]
        count = self.decider.figures.count_behind
        return sorted(musts, key=lambda one: count(one.measure) if one.source == "figure" else 0)

    def _judge(self, derived, facts, kits, missing, platform, lean):
        shape = (derived.rows, len(kits))
        figures = self.decider.figures.figures(kits, facts)
        if lean:
            musts = self._lean_musts(derived, facts, kits, figures, missing)
        else:
            musts = self._check("must", derived, facts, kits, figures)
        passes, failed, unjudged = verdict_masks(musts, shape)
        passes &= ~missing[:, None]
        if lean:
            figures.live = passes
        pairs = np.argwhere(passes)
        fired = self._set_up(pairs, derived, facts, kits, figures, platform)
        checks = tuple(musts + self._check("should", derived, facts, kits, figures))
        concerns = ladder.failed_concerns(checks, self.knowledge.order.concerns, shape)
        keys = ladder.gentleness_keys(kits, figures, shape)
        places = ladder.ranks([ladder.concern_number(concerns).astype(float), *keys])
        picks = ladder.picks(passes, places) if shape[1] else np.full(shape[0], -1)
        batched = Batched(kits, derived, facts, figures, checks, passes, failed, unjudged, concerns, places, picks, missing, [])
        batched.pairs, batched.set_up = pairs, fired
        return batched

    # --- set-up of every passing pair

    def _set_up(self, pairs, derived, facts, kits, figures, platform):
        """Fired masks of the set-up rules over ``pairs`` (case, kit); puts the total price among the figures."""
        rows, columns = pairs[:, 0], pairs[:, 1]
        given = {}
        for name in self.setup_reads:
            fact = self.knowledge.facts[name]
            if fact.source == "kit":
                values, known = kits.keep(("coded", name), functools.partial(_kit_coded, fact, kits.field(fact.field)))
                given[name] = (values[columns], known[columns])
                continue
            elif fact.source == "figure":
                column = figures.column(name)
                values = np.broadcast_to(column.values, (derived.rows, len(kits)))[rows, columns]
                known = np.broadcast_to(column.known, (derived.rows, len(kits)))[rows, columns]
            else:
                values, known = derived.fact(name)
                if kind_of(fact) == "list":
                    given[name] = ({member: flags[rows] for member, flags in values.items()}, known[rows])
                    continue
                given[name] = (values[rows], known[rows])
                continue
            given[name] = (_coded(fact, values, known), known)
        said = {name: mask[rows] for name, mask in derived.answered.items() if name in self.setup_stage.base.facts}
        found = self.setup_stage.derive(given, said, len(pairs))
        fired = {rule.id: found.fired(rule.id) for rule in self.setup_rules}
        self._put_prices(pairs, fired, kits, figures, platform, derived.rows)
        return fired

    def _put_prices(self, pairs, fired, kits, figures, platform, count):
        own = kits.field("price")
        sums = np.where(own.known[0], own.values[0].astype(float), np.nan)[pairs[:, 1]] if len(kits) else np.zeros(0)
        taken = {}
        for rule in self.setup_rules:
            for item in rule.items:
                if item.kind == "part" and item.level == "required":
                    held = fired[rule.id] & ~taken.get(item.id, np.zeros(len(pairs), dtype=bool))
                    if held.any():
                        sums[held] += self._price_of(item.part, kits, platform)[pairs[held, 1]]
                        taken[item.id] = taken.get(item.id, False) | held
        prices = np.full((count, len(kits)), np.nan)
        prices[pairs[:, 0], pairs[:, 1]] = np.round(sums, 2)
        figures.put(ladder.PRICE, prices, np.isfinite(prices))

    def _price_of(self, part_kind, kits, platform):
        platform_id = platform.id if platform else ""
        found = []
        for kit in kits.kits:
            key = (part_kind, platform_id, kit.id)
            if key not in self._prices:
                chosen = parts.choose(part_kind, kit, platform_id, self.decider.shop.parts)
                self._prices[key] = chosen.fields.get("price", 0.0) if chosen else 0.0
            found.append(self._prices[key])
        return np.array(found)

    # --- outcomes

    def _outcomes(self, batched):
        required, cautions = self._required_and_cautions(batched)
        outcomes = []
        for row, pick in enumerate(batched.picks):
            if pick >= 0:
                outcomes.append(Outcome(RECOMMENDED, batched.kits.ids[pick], required[row], cautions[row]))
            else:
                outcomes.append(Outcome(self._without_kit(batched, row), None, frozenset(), cautions[row]))
        return outcomes

    def _without_kit(self, batched, row):
        if batched.missing[row]:
            return MORE_ANSWERS
        if not batched.unjudged[row].any():
            return NO_KIT
        return MORE_ANSWERS if self.lacking(batched, row).asks else NO_KIT

    def lacking(self, batched, row):
        """`unknowns.Lacking` of one case of a batch in which no kit passes."""
        return what_would_settle(_Row(batched, row, self.knowledge))

    def taken_careful(self, batched, row):
        """As `unknowns.taken_careful`, of one case of a batch that was not lean."""
        return taken_careful(_Row(batched, row, self.knowledge))

    def _required_and_cautions(self, batched):
        """For each case the ids of required set-up items of its pick, and of safety cautions, as frozensets."""
        count = batched.derived.rows
        rules, marks = [], []
        picked = batched.picks[batched.pairs[:, 0]] == batched.pairs[:, 1]
        rows = batched.pairs[picked, 0]
        for rule in self.knowledge.rules:
            safety = any(caution.safety for caution in rule.cautions)
            if rule.stage == "case" and safety:
                fired = batched.derived.fired(rule.id)
                # Of a vehicle that is declined only what declines it is told, for nothing is fitted to it.
                marks.append(fired if rule.topic == DECLINED_TOPIC else fired & ~batched.declined)
            elif rule.stage == "setup" and (safety or rule.items):
                fired = np.zeros(count, dtype=bool)
                fired[rows] = batched.set_up[rule.id][picked]
                marks.append(fired)
            else:
                continue
            rules.append(rule)
        if not marks:
            return [frozenset()] * count, [frozenset()] * count
        patterns, sets = np.stack(marks, axis=1), {}
        keys = [row.tobytes() for row in patterns]
        for key, pattern in zip(keys, patterns):
            if key not in sets:
                held = [rule for rule, mark in zip(rules, pattern) if mark]
                safety = frozenset(caution.id for rule in held for caution in rule.cautions if caution.safety)
                sets[key] = parts.required_ids(parts.items(held)), safety
        return [sets[key][0] for key in keys], [sets[key][1] for key in keys]


class _Row:
    """One case of a batch, as `unknowns` looks at a decision."""

    def __init__(self, batched, row, knowledge):
        self.kits, self.knowledge, self.unjudged = batched.kits, knowledge, batched.unjudged[row : row + 1]
        self.checks = [_RowCheck(one.requirement, one.status[row : row + 1]) for one in batched.checks]
        self.figures = _RowFigures(batched.figures, row)
        self.derivation = _RowFacts(batched.derived.facts(row), batched.derived, row)


@dataclass(frozen=True, slots=True)
class _RowCheck:
    requirement: object
    status: np.ndarray


@dataclass(frozen=True, slots=True)
class _RowFacts:
    facts: dict
    derived: object
    row: int

    def fired(self):
        return {rule.id for rule in self.derived.base.rules if self.derived.fired(rule.id)[self.row]}


class _RowFigures:
    def __init__(self, figures, row):
        self._figures, self._row = figures, row

    def column(self, name):
        column = self._figures.column(name)
        if column.known.shape[0] == 1:
            return column
        row = slice(self._row, self._row + 1)
        return Column(column.values[row], column.known[row])


def _kit_coded(fact, column):
    return _coded(fact, column.values[0], column.known[0]), column.known[0]


def _coded(fact, values, known):
    """Kit fields and figures as the bulk evaluator takes them."""
    kind = kind_of(fact)
    if kind == "choice":
        codes = {choice: code for code, choice in enumerate(fact.choices)}
        return np.array([codes[value] if there else -1 for value, there in zip(values, known)], dtype=np.int16)
    if kind == "flag":
        return np.array([bool(value) and bool(there) for value, there in zip(values, known)], dtype=bool)
    if kind == "number":
        return np.where(known, values, np.nan).astype(float)
    return values
