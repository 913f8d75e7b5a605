"""Whole outcomes for many cases at once: the bulk evaluator for both stages, figures, checks and ladder as arrays.

What comes out is what `decide` gives case by case; the recorded decision is never made here. Memory is set by
the number of cases in a batch, not by how many there are.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from ..engine.bulk import BulkDerivation, BulkEvaluator
from ..engine.disagreement import holds
from ..engine.fact_columns import Cases, columns as engine_columns, each_tried, kind_of, some_of
from ..frozen import frozen
from . import ladder, parts
from .assumptions import taken_otherwise, worst_taken_otherwise
from .consistency import STAGE, BulkClashes, ranges_ends, said
from .judging import DECLINED_TOPIC, Judged, not_yet, refused
from .kit_columns import Column, FactColumns, KitColumns
from .outcomes import MORE_ANSWERS, NO_KIT, RECOMMENDED, Outcome
from .unknowns import Lacking, taken_careful, what_would_settle
from .verdicts import check

if TYPE_CHECKING:
    from ..knowledge.model import Record, Requirement
    from .answers import Assumption, Known
    from .decide import Decider

#: Cases worked on together: with a hundred kits and eighty figures some tens of megabytes.
BATCH = 256


def pieces(count: int, most: int) -> Iterator[slice]:
    """Slices of ``count`` things, as few as there can be of no more than ``most``, and as even as can be."""
    many = -(-count // most)
    for place in range(many):
        yield slice(place * count // many, (place + 1) * count // many)


class BulkFacts(FactColumns):
    """The facts of a BulkDerivation as columns (C, 1), turned as they are asked for."""

    def __init__(self, derived: BulkDerivation) -> None:
        super().__init__(derived.rows)
        self._derived = derived

    def fact(self, name: str) -> Column:
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


@dataclass(kw_only=True, eq=False, repr=False)
class Batched(Judged):
    """One batch decided, against the kits that may fit the car at all; see `Judged` for what has come out.

    ``missing``: boolean (C,), cases nobody can decide; ``declined``: cases whose vehicle no kit is made for;
    ``discarded``: cases the rules cannot agree on, decided like ``missing`` ones; ``unfit``: (C, K), kits that a record
    or an answer says do not fit. ``picks``: (C,), index into ``kits``
    or -1. ``pairs``: (N, 2), case and kit of every passing kit; ``set_up``: id of a set-up rule -> boolean (N,), where
    it fired. ``stopped``: cases that a contradiction stops, where it was `run`; ``ask_first``: row -> facts as in
    `Decision`.
    """

    derived: BulkDerivation
    facts: "BulkFacts"
    missing: np.ndarray
    declined: np.ndarray
    discarded: np.ndarray
    unfit: np.ndarray
    picks: np.ndarray = field(default_factory=not_yet)
    pairs: np.ndarray = field(default_factory=not_yet)
    set_up: Mapping[str, np.ndarray] = field(default_factory=dict)
    outcomes: list = field(default_factory=list)
    stopped: np.ndarray | None = None
    ask_first: Mapping[int, tuple] = field(default_factory=dict)

    @property
    def picked_ids(self) -> list[str | None]:
        """Id of the picked kit of each case, or None."""
        return [None if pick < 0 else self.kits.ids[pick] for pick in self.picks]

    def first(self, count: int) -> "Batched":
        """The first ``count`` cases alone, as they were decided together with others.

        Of what is looked up by its row (``derived``, ``figures``, ``pairs``) the others' rows stay behind theirs.
        """
        if count == len(self.missing):
            return self
        arrays = ("missing", "declined", "discarded", "unfit", "picks", "passes", "failed", "unjudged", "places")
        checks = tuple(replace(checked, status=checked.status[:count]) for checked in self.checks)
        keys = tuple(key[:count] for key in self.gentle_keys)
        return replace(self, checks=checks, gentle_keys=keys, **{name: getattr(self, name)[:count] for name in arrays})

    def pick_figure(self, name: str) -> np.ndarray:
        """A figure of each case's pick, NaN where there is none."""
        if not len(self.kits):
            return np.full(len(self.picks), np.nan)
        column = self.figures.column(name)
        values = np.broadcast_to(np.where(column.known, column.values, np.nan), self.passes.shape)
        return np.where(
            self.picks >= 0, np.take_along_axis(values, np.maximum(self.picks, 0)[:, None], 1)[:, 0], np.nan
        )


class BatchDecider:
    """Decides many cases of one platform at once with a `Decider`'s knowledge and shop."""

    def __init__(self, decider: "Decider") -> None:
        self.decider = decider
        self.knowledge = decider.knowledge
        self.case_stage = BulkEvaluator(self.knowledge, "case", decider.bases.get("case"))
        self.consistency = BulkClashes(self.knowledge, BulkEvaluator(self.knowledge, STAGE, decider.bases.get(STAGE)))
        self.setup_stage = BulkEvaluator(self.knowledge, "setup", decider.bases.get("setup"))
        self.requirements = sorted(
            (requirement for rule in self.knowledge.rules for requirement in rule.require), key=lambda rule: rule.id
        )
        self.topics = {rule.id: rule.topic for rule in self.knowledge.rules}
        self.setting_up = decider.setting_up

    def outcomes(
        self, knowns: "Sequence[Known]", platform: "Record | None", size: int = BATCH, *, ask_first: bool = True
    ) -> list[Outcome]:
        """An `Outcome` for each of ``knowns``, in their order; ``ask_first`` as in `Decider.outcomes`."""
        of_all = []
        for start in range(0, len(knowns), size):
            of_all += self.run(knowns[start : start + size], platform, lean=True, ask_first=ask_first).outcomes
        return of_all

    def look_for_first(
        self, outcomes: list[Outcome], knowns: "Mapping[int, Known]", platform: "Record | None"
    ) -> dict[int, tuple[str, ...]]:
        """Row -> the facts taken at their worst that are asked first: no kit fits, and with another value one would.

        ``knowns``: row -> `Known` of those of the ``outcomes`` that are looked at; they become MORE_ANSWERS.
        """
        tried = [
            (row, fact, other)
            for row, known in knowns.items()
            if outcomes[row].outcome == NO_KIT and not known.declined
            for fact, other in taken_otherwise(known, self.knowledge)
        ]
        others = self.outcomes([other for *_, other in tried], platform, ask_first=False)
        return _asked_first(outcomes, [(row, fact) for row, fact, _ in tried], others)

    def look_for_first_in(
        self, batched: "Batched", cases: Cases, assumptions: "Sequence[Assumption]", platform: "Record | None"
    ) -> dict[int, tuple[str, ...]]:
        """As `look_for_first`, of a batch of ``cases`` as columns; in none of them the harder reading decides.

        ``assumptions``: of the car where nobody has answered anything.
        """
        facts = self.case_stage.base.facts
        open_cases = np.array([outcome.outcome == NO_KIT for outcome in batched.outcomes], dtype=bool)
        trials = worst_taken_otherwise(assumptions, facts, open_cases & ~batched.declined, cases)
        tried = each_tried(facts, cases, trials)
        others: list[Outcome] = []
        for piece in pieces(tried.rows, max(BATCH, cases.rows)):
            some_tried = some_of(tried, np.arange(piece.start, piece.stop))
            nothing_missing = np.zeros(some_tried.rows, dtype=bool)
            others += self.run_columns(
                some_tried.columns, some_tried.answered, nothing_missing, platform, lean=True
            ).outcomes
        return _asked_first(
            batched.outcomes, [(row, trial.fact) for trial in trials for row in trial.rows.tolist()], others
        )

    def run(
        self, knowns: "Sequence[Known]", platform: "Record | None", *, lean: bool = False, ask_first: bool = True
    ) -> "Batched":
        """`Batched` for one batch of `Known`s on one platform Record (None where not on file).

        ``ask_first`` as in `Decider.outcomes`.
        """
        given, answered = engine_columns(
            self.case_stage.base.facts, [(known.facts, known.answered) for known in knowns]
        )
        stopped = self.stopped(knowns)
        missing = np.array([bool(known.missing) for known in knowns]) | stopped
        batched = self.run_columns(given, answered, missing, platform, lean=lean)
        batched.stopped = stopped
        if ask_first:
            batched.ask_first = self.look_for_first(batched.outcomes, dict(enumerate(knowns)), platform)
        return batched

    def stopped(self, knowns: "Sequence[Known]") -> np.ndarray:
        """Boolean (C,): cases stopped by a contradiction that nobody has looked for yet."""
        stopped = np.zeros(len(knowns), dtype=bool)
        rows = [row for row, known in enumerate(knowns) if known.clashes is None]
        if rows:
            mixes = [({}, *ranges_ends(knowns[row])) for row in rows]
            given, answered = engine_columns(
                self.consistency.evaluator.base.facts,
                [(said(knowns[row]) | ends, knowns[row].answered) for row, mix in zip(rows, mixes) for ends in mix],
            )
            count = sum(map(len, mixes))
            # A contradiction is one only where every mix of the ends of ranges has it.
            first = np.cumsum([0, *map(len, mixes)])[:-1]
            by_id = self.consistency.stopping(given, answered, count)
            stopped[rows] = np.logical_and.reduceat(by_id, first, axis=1).any(axis=0)
        return stopped

    def run_columns(
        self,
        given: Mapping[str, Any],
        answered: Mapping[str, np.ndarray],
        missing: np.ndarray,
        platform: "Record | None",
        *,
        lean: bool = False,
        discard: bool = False,
        kits: KitColumns | None = None,
        forgiven: frozenset[str] = frozenset(),
    ) -> "Batched":
        """As `run`, from ready columns (see ``engine.fact_columns``) and the mask of cases that lack what must be
        known.

        ``lean``: outcomes, picks, ``passes``, ``failed`` and ``unjudged`` only. Of a kit that has failed one must
        nothing more is worked out, so its other checks, its concerns and its place mean nothing. ``discard``: cases the
        rules cannot agree on are left undecided, not an error, and outcomes are told by `outcomes_of` alone.
        ``kits``: others than the Decider's own. ``forgiven``: as in `Judge.judge`.
        """
        derived = self.case_stage.derive(given, answered, len(missing))
        if derived.conflicted.any() and not discard:
            derived.derivation(int(np.argmax(derived.conflicted)))  # raises the ConflictError of the first such case
        facts = BulkFacts(derived)
        missing = missing | self._lacking(derived)
        if discard:
            missing = missing | derived.conflicted
        every = self.decider.kits if kits is None else kits
        shape = (derived.rows, len(every))
        unfit, declined = np.zeros(shape, dtype=bool), np.zeros(derived.rows, dtype=bool)
        for must in self.decider.fit_musts:
            if must.source == "kit":
                failed = refused([check(must, derived.fired(must.rule)[:, None], every, facts, None)], shape)
                if self.topics[must.rule] == DECLINED_TOPIC:
                    declined |= failed.all(axis=1)
                unfit |= failed
        missing = missing & ~declined
        alive = ~(unfit | missing[:, None]).all(axis=0)
        batched = Batched(
            kits=every.subset(np.flatnonzero(alive)),
            fit_musts=frozenset(must.id for must in self.decider.fit_musts),
            derived=derived,
            facts=facts,
            missing=missing,
            declined=declined,
            discarded=derived.conflicted,
            unfit=unfit[:, alive],
        )
        fired_by = ((requirement, derived.fired(requirement.rule)[:, None]) for requirement in self.requirements)
        posted = [(requirement, fired) for requirement, fired in fired_by if fired.any()]

        def prices(judged):
            return self._set_up(judged, platform)

        self.decider.judge.judge(batched, facts, posted, prices, among=~missing[:, None], lean=lean, forgiven=forgiven)
        batched.picks = ladder.picks(batched.passes, batched.places) if len(batched.kits) else np.full(derived.rows, -1)
        if not discard:
            batched.outcomes = self.outcomes_of(batched, range(derived.rows))
        return batched

    def _lacking(self, derived):
        lacking = np.zeros(derived.rows, dtype=bool)
        for name, fact in self.knowledge.facts.items():
            if fact.needs_one_of:
                lacking |= ~derived.fact(name)[1]
        return lacking

    def _set_up(self, batched, platform):
        """Set-up of every passing pair by the bulk evaluator; gives what they come to (C, K)."""
        derived, kits = batched.derived, batched.kits
        pairs = batched.pairs = np.argwhere(batched.passes)
        given = self.setting_up.columns(pairs, derived, kits, batched.figures)
        answered = {
            name: mask[pairs[:, 0]] for name, mask in derived.answered.items() if name in self.setup_stage.base.facts
        }
        set_up = self.setup_stage.derive(given, answered, len(pairs))
        batched.set_up = {name: set_up.fired(name) for name in self.setting_up.rules}
        return self.setting_up.prices(pairs, batched.set_up, kits, platform.id if platform else "", derived.rows)

    # --- outcomes

    def outcomes_of(self, batched: "Batched", rows: range) -> list[Outcome]:
        """An `Outcome` of each of these cases of a batch; ConflictError where the rules cannot agree on one."""
        for row in rows:
            if batched.discarded[row]:
                batched.derived.derivation(row)  # raises it
        required, cautions = self._required_and_cautions(batched)
        outcomes = []
        for row in rows:
            pick = batched.picks[row]
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

    def lacking(self, batched: "Batched", row: int) -> Lacking:
        """`unknowns.Lacking` of one case of a batch in which no kit passes."""
        return what_would_settle(_Row(batched, row, self.knowledge))

    def asks(self, batched: "Batched", row: int) -> tuple[str, ...]:
        """Facts to ask the caller, of one case of a batch in which no kit passes."""
        return batched.ask_first.get(row) or self.lacking(batched, row).asks

    def ask_maker(self, batched: "Batched", row: int) -> tuple[tuple[str, str], ...]:
        """As `Decision.ask_maker`, of one case of a batch that was not lean and in which no kit passes."""
        statuses = [
            (check.requirement, check.status[row])
            for check in batched.checks
            if batched.derived.fired(check.requirement.rule)[row]
        ]
        taken = self.decider.stand_ins.to_ask(batched.figures, row, statuses, batched.fits[row])
        return tuple(sorted({*self.lacking(batched, row).maker, *taken}))

    def taken_careful(self, batched: "Batched", row: int) -> tuple[str, ...]:
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
                cautions = frozenset(caution.id for rule in held for caution in rule.cautions if caution.safety)
                sets[key] = parts.required_ids(parts.items(held)), cautions
        return [sets[key][0] for key in keys], [sets[key][1] for key in keys]


def _asked_first(outcomes, tried, others):
    """Row -> facts with another value of which a kit fits.

    ``tried``: pairs (row, fact); ``others``: what came of each.
    """
    asking: dict[int, list[str]] = {}
    for (row, fact), outcome in zip(tried, others):
        if outcome.outcome == RECOMMENDED and fact not in asking.setdefault(row, []):
            asking[row].append(fact)
    first = {row: tuple(facts) for row, facts in asking.items() if facts}
    for row in first:
        outcomes[row] = outcomes[row]._replace(outcome=MORE_ANSWERS)
    return first


class _Row:
    """One case of a batch, as `unknowns` looks at a decision."""

    def __init__(self, batched, row, knowledge):
        self.kits, self.knowledge, self.unjudged = batched.kits, knowledge, batched.unjudged[row : row + 1]
        self.checks = [_RowCheck(check.requirement, check.status[row : row + 1]) for check in batched.checks]
        self.figures = _RowFigures(batched.figures, row)
        self.derivation = _RowFacts(batched.derived.facts(row), batched.derived, row)


@frozen
class _RowCheck:
    """One check of one case."""

    requirement: "Requirement"
    status: np.ndarray


@frozen
class _RowFacts:
    """The facts of one case, and what fired in it."""

    facts: dict
    derived: BulkDerivation
    row: int

    def fired(self):
        return {rule.id for rule in self._fired_rules()}

    def held_branches(self):
        given, answered = self.derived.inputs(self.row)
        return {
            rule.id: tuple(
                place
                for place, branch in enumerate(rule.any)
                if all(holds(condition, self.facts, given, answered) for condition in branch)
            )
            for rule in self._fired_rules()
        }

    def _fired_rules(self):
        return [rule for rule in self.derived.base.rules if self.derived.fired(rule.id)[self.row]]


class _RowFigures:
    def __init__(self, figures, row):
        self._figures, self._row = figures, row

    def column(self, name):
        column = self._figures.column(name)
        if column.known.shape[0] == 1:
            return column
        row = slice(self._row, self._row + 1)
        return Column(column.values[row], column.known[row])
