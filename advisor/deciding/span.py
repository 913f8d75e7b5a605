"""The span of an advice: from the gentle end to the careful end, and what would narrow it.

The case is completed a stated number of times (`completions`) and decided in bulk. *Gentle end*: the gentlest kit that
is picked in at least 5 % of the completions, or, where picks are too scattered for that, up to which 5 % of them lie;
*careful end*: the gentlest that does the job in at least 95 %, else none, with the best share. It does the job where it
passes every must; but a must that rests on a wish nobody told (how much noise, judder or pedal is put up with) is no
part of the job: it is told beside in how many it suits such a wish too.
The completions that set the ends are derived again by the engines before they are told, and a difference is an error.
Neither end is a recommendation.
"""

import functools
from typing import TYPE_CHECKING

import numpy as np

from ..engine.fact_columns import Cases, kind_of
from ..errors import DisagreementError
from ..frozen import frozen
from . import consistency, ladder
from .completions import COUNT, Completer, Completions
from .judging import WISHES_TOPIC, does_job, refused

if TYPE_CHECKING:
    from ..knowledge.model import Knowledge, Record
    from .answers import Known
    from .batch import Batched
    from .decide import Decider

#: Least share of completions in which the gentle end is picked, and in which the careful end does the job.
PICKED, HOLDS = 0.05, 0.95
#: Where the car's record holds what has to be seen, gearbox off or at the pedal: paths begin with one of these.
TO_BE_SEEN = ("release.", "thrust_face.", "spline", "bolt_pattern", "housing_depth")
#: Parts, of as many completions each, into which a drawn number is cut to see what an answer would settle.
PARTS = 3
#: An answer narrows the span where it takes this share of the differences between picks, beyond what chance does.
NARROWS = 0.04
#: Answers named, at most.
MOST_NARROWING = 5


@frozen(slots=False)
class End:
    """``kit``: id or None; ``picked_in``, ``holds_in`` and ``suits_in``: whole per cent of the completions in which it
    is picked, does the job, and passes the musts of untold wishes as well; ``row``: one that set it.

    Where ``kit`` is None, ``best`` is the kit that comes nearest. ``price``: likely total of kit or best in ``row``.
    ``otherwise``: (fact, value, per cent) of safety facts that these completions mostly take otherwise than the case.
    """

    kit: str | None
    best: str | None
    picked_in: int
    holds_in: int
    suits_in: int
    row: int | None
    price: float | None = None
    otherwise: tuple = ()


@frozen(slots=False)
class Narrowing:
    """What the answer to ``fact`` would do: how many kits it lies between now, and on average once it is answered.

    Kits count by how often they are picked: the exponential of the entropy of the picks, 3 where three are as likely.
    """

    fact: str
    before: float
    after: float


@frozen(slots=False)
class Span:
    """``completions``: how many are counted; ``discarded``: how many were contradictory; ``doubtful``: facts drawn.

    ``readings``: 2 where answers contradict each other and both readings were drawn.
    """

    completions: int
    discarded: int
    doubtful: tuple
    gentle: End
    careful: End
    likely: End | None
    narrows: tuple
    fit_open: bool = False
    readings: int = 1


@frozen(slots=False)
class Outset:
    """What the span of a case is worked out from: its ``completions``, and of which of them it does not count.

    ``contradictory``: boolean (completions,), those that contradict themselves otherwise than the case does;
    ``forgiven``: ids of the musts that rest on a wish nobody told; ``open_fit``: facts to be measured on the car that
    are left open; ``readings``: as in `Span`.
    """

    platform: "Record | None"
    known: "Known"
    completions: Completions
    contradictory: np.ndarray
    forgiven: frozenset[str]
    open_fit: frozenset[str]
    readings: int

    @property
    def cases(self) -> Cases:
        """The completions as the bulk evaluator takes them."""
        return Cases(self.completions.given, self.completions.answered, len(self.contradictory))

    @property
    def missing(self) -> np.ndarray:
        """Boolean (completions,), those that are not decided."""
        return self.completions.missing | self.contradictory


class Spanner:
    """Works out the span of cases of one Decider."""

    def __init__(self, decider: "Decider", count: int = COUNT) -> None:
        self.decider = decider
        self.completer = Completer(decider, count)

    def span(
        self, platform: "Record | None", known: "Known", pick: str | None = None, matters: frozenset[str] = frozenset()
    ) -> "Span | None":
        """The `Span` of a case whose facts are `Known`.

        ``pick``: id of the recorded pick; ``matters``: assumed facts that alone change the outcome.

        Where contradictions stop it both readings are drawn, each as often.
        None where something is missing without which nothing is decided, where nothing is doubtful or nothing left.
        Where all that is missing is to be measured on a car that is not on file, what must fit, how it releases and
        what the crankshaft bears are left open: a kit does the job that fails no other must, and in each completion
        the gentlest such is the one picked.
        """
        outset = self.outset(platform, known)
        return None if outset is None else self.of_batch(outset, self.decide(outset), pick, matters)

    def outset(self, platform: "Record | None", known: "Known") -> Outset | None:
        """The `Outset` of a case, or None where it has no span."""
        readings = consistency.readings(known, self.decider.knowledge)
        open_fit = fit_left_open(self.decider.knowledge, platform, readings[0])
        if readings[0].missing and not open_fit:
            return None
        if len(readings) > 1:
            completions: Completions | None = self.completer.draw_readings(readings, open_fit)
        else:
            completions = self.completer.draw(known, leave=open_fit)
        if completions is None:
            return None
        contradictory = self.decider.batch.consistency.contradictory(completions, known.clashes)
        forgiven = frozenset() if open_fit else self.forgiven(completions, known)
        return Outset(platform, known, completions, contradictory, forgiven, open_fit, len(readings))

    def decide(self, outset: Outset) -> "Batched":
        """The completions of a `Outset`, decided by themselves."""
        cases = outset.cases
        return self.decider.batch.run_columns(
            cases.columns,
            cases.answered,
            outset.missing,
            outset.platform,
            lean=not outset.open_fit,
            discard=True,
            kits=self.decider.kits.drawn(cases.rows),
            forgiven=outset.forgiven,
        )

    def of_batch(
        self, outset: Outset, batched: "Batched", pick: str | None = None, matters: frozenset[str] = frozenset()
    ) -> "Span | None":
        """As `span`, where the completions are decided; ``batched``: of them alone."""
        held = ~(batched.discarded | outset.contradictory)
        count = int(held.sum())
        order = _gentlest_first(batched)
        if not count or not len(order):
            return None
        if outset.open_fit:
            _leave_fit_open(batched, order, self.decider.upstream)
        jobs = batched.passes
        if outset.forgiven:
            among = np.broadcast_to(~batched.missing[:, None], batched.passes.shape)
            jobs = does_job(batched.checks, outset.forgiven, among)
        counts = _picked(batched)[held].sum(axis=0)
        holds, suits = ((kits & held[:, None]).sum(axis=0) for kits in (jobs, batched.passes))
        ends = _Ends(self.decider, outset, batched, held, counts, jobs, (holds, suits), matters)
        gentle = _gentle_place(order, counts, count)
        careful = next((place for place in order if _reaches(holds[place], HOLDS, count)), None)
        likely = None if pick is None else batched.kits.index.get(pick)
        return Span(
            count,
            int((~held).sum()),
            tuple(outset.completions.drawn),
            ends.gentle(gentle, order),
            ends.careful(careful, order),
            None if likely is None else ends.end(likely, None),
            self._narrowing(batched, outset.completions, held, order),
            bool(outset.open_fit),
            outset.readings,
        )

    @functools.cached_property
    def _wishes(self) -> dict[str, frozenset[str]]:
        """Asked fact of the topic of wishes -> ids of the musts that rest on it, those of safety aside."""
        knowledge, upstream = self.decider.knowledge, self.decider.upstream
        behind = {
            requirement.id: upstream.of_requirement(requirement)
            for rule in knowledge.rules
            for requirement in rule.require
            if requirement.level == "must" and not requirement.safety
        }
        return {
            name: frozenset(must for must, facts in behind.items() if name in facts)
            for name, question in knowledge.questions.items()
            if question.topic == WISHES_TOPIC
        }

    def forgiven(self, completions: Completions, known: "Known") -> frozenset[str]:
        """Ids of the musts that rest on a wish nobody told."""
        untold = [name for name in self._wishes if name in completions.drawn and name not in known.answered]
        return frozenset().union(*(self._wishes[name] for name in untold))

    def _narrowing(self, batched, completions, held, order):
        """`Narrowing`s, the answer that settles most first."""
        rank = np.empty(len(batched.kits) + 1)
        rank[order], rank[-1] = np.arange(len(order)), len(order)
        # A completion without a kit (-1, the last place) stands beyond the harshest.
        landed = rank[batched.picks][held]
        # Places count one by one among the kits that are picked at all, so that a gap in the stock counts as one step.
        _, landed = np.unique(landed, return_inverse=True)
        whole = _sum_of_squares(landed)
        if not whole:
            return ()
        before, narrowing = _kits(landed), []
        for name, (values, there) in completions.drawn.items():
            groups = _groups(self.decider.knowledge.facts[name], values, there)[held]
            marks, sizes = np.unique(groups, return_counts=True)
            if len(marks) < 2:
                continue
            inside = sum(_sum_of_squares(landed[groups == mark]) for mark in marks)
            # What groups of chance would take of the differences is taken off.
            share = 1.0 - inside / whole * (len(landed) - 1) / max(1, len(landed) - len(marks))
            bits = sum(size * np.log(_kits(landed[groups == mark])) for mark, size in zip(marks, sizes)) / len(landed)
            if share >= NARROWS:
                narrowing.append((share, Narrowing(name, round(before, 1), round(float(np.exp(bits)), 1))))
        narrowing.sort(key=lambda entry: (-entry[0], entry[1].fact))
        return tuple(entry for _, entry in narrowing[:MOST_NARROWING])


class _Ends:
    """Makes `End`s of kits by their places, each derived again by the engines."""

    def __init__(self, decider, outset, batched, held, counts, jobs, shares, matters):
        self.decider, self.outset, self.batched, self.matters = decider, outset, batched, matters
        self.held, self.counts, self.jobs, (self.holds, self.suits) = held, counts, jobs, shares
        self.count = int(held.sum())

    def gentle(self, place, order):
        best = place if place is not None else int(max(order, key=lambda place: self.counts[place]))
        rows = np.flatnonzero((self.batched.picks == best) & self.held)
        row = int(rows[0]) if len(rows) else None
        return self.end(best, row, known=place is not None, otherwise=self._otherwise(rows) if len(rows) else ())

    def careful(self, place, order):
        best = place if place is not None else int(max(order, key=lambda place: self.holds[place]))
        holding = self.jobs[:, best] & self.held
        earlier = list(order[: list(order).index(best)])
        # One in which nothing gentler does the job set it; else any in which it does.
        alone = holding & ~self.jobs[:, earlier].any(axis=1) if earlier else holding
        setting = alone if alone.any() else holding
        suiting = setting & self.batched.passes[:, best]  # only of those is the price with all that goes with it known
        rows = np.flatnonzero(suiting if suiting.any() else setting)
        return self.end(best, int(rows[0]) if len(rows) else None, known=place is not None)

    def end(self, place, row, known=True, otherwise=()):
        kit, price = self.batched.kits.ids[place], None
        if row is not None:
            # Where what must fit is left open, nothing was set up: neither steps nor a price could be told.
            derive_again(self.decider, self.batched, self.outset.platform, row, place, set_up=not self.outset.open_fit)
            price = None if self.outset.open_fit else self.batched.figures.value(ladder.PRICE, row, place)
        picked, holds, suits = (
            int(100 * count[place] // self.count) for count in (self.counts, self.holds, self.suits)
        )
        return End(kit if known else None, None if known else kit, picked, holds, suits, row, price, otherwise)

    def _otherwise(self, rows):
        """Safety facts at their worst in the case that most of these completions take otherwise."""
        doubtful = []
        for assumption in self.outset.known.assumptions:
            if (
                not assumption.worst
                or assumption.fact not in self.matters
                or assumption.fact not in self.outset.completions.drawn
            ):
                continue
            values, there = (part[rows] for part in self.outset.completions.drawn[assumption.fact])
            fact = self.decider.knowledge.facts[assumption.fact]
            worst = fact.choices.index(assumption.value) if kind_of(fact) == "choice" else assumption.value
            other = there & (values != worst)
            if 2 * other.sum() <= len(rows):
                continue
            commonest = None
            if fact.kind != "number" or fact.choices:
                kinds, sizes = np.unique(values[other], return_counts=True)
                commonest = _plain(fact, kinds[int(np.argmax(sizes))])
            doubtful.append((assumption.fact, commonest, int(100 * other.sum() // len(rows))))
        return tuple(doubtful)


def derive_again(
    decider: "Decider",
    batched: "Batched",
    platform: "Record | None",
    row: int,
    place: int,
    *,
    set_up: bool = True,
) -> None:
    """Derive one completion with the engines of the recorded decision, both stages, for the kit at ``place``.

    ``set_up``: what goes with it, too, where it passes. DisagreementError where they come to anything else than the
    bulk evaluator, which alone has told of it so far.
    """
    facts, answered = batched.derived.inputs(row)
    derived = decider.derive("case", facts, answered)
    kit, setting_up = batched.kits.kits[place], decider.setting_up
    agreed = derived.facts == batched.derived.facts(row)
    if set_up and agreed and batched.passes[row, place]:
        derived_set_up = decider.derive(
            "setup", setting_up.facts(derived.facts, kit, batched.figures, row, place), answered
        )
        price = setting_up.price(derived_set_up, kit, platform.id if platform else "")
        in_bulk = [batched.figures.value(name, row, place) or 0.0 for name in (ladder.PRICE, ladder.LIKELY_PRICE)]
        agreed = price is None or [price.certain, price.likely] == [round(value, 2) for value in in_bulk]
    if not agreed:
        raise DisagreementError(
            "the engines derive something else from a completion of this case than the bulk evaluator.",
            value={"stage": "case", "facts": facts, "answered": sorted(answered)},
            remedy="No span is given. Keep the case as it is and report it to whoever keeps the program.",
        )


def fit_left_open(knowledge: "Knowledge", platform: "Record | None", known: "Known") -> frozenset[str]:
    """Facts to be measured on a car that is not on file, where nothing else is missing; empty otherwise.

    Those that are numbers are drawn all the same: how large a disc can be limits what it can carry.
    """
    if platform is not None or not all(knowledge.facts[name].platform for name in known.missing):
        return frozenset()
    return frozenset(known.missing)


def _leave_fit_open(batched, order, upstream):
    """Let every kit pass what hangs on the parts of the car that have to be seen, or cannot be judged without them.

    In each completion the gentlest of those that then pass is picked.
    """
    seen = {
        name
        for name, fact in upstream.knowledge.facts.items()
        if fact.source == "asked" and (fact.platform or "").startswith(TO_BE_SEEN)
    }
    judged = [
        check
        for check in batched.checks
        if check.requirement.level == "must" and not upstream.of_requirement(check.requirement) & seen
    ]
    batched.passes = ~refused(judged, batched.passes.shape)
    ranked = batched.passes[:, order]
    batched.picks = np.where(ranked.any(axis=1), order[ranked.argmax(axis=1)], -1)


def _picked(batched):
    picked = np.zeros(batched.passes.shape, dtype=bool)
    rows = np.flatnonzero(batched.picks >= 0)
    picked[rows, batched.picks[rows]] = True
    return picked


def _gentle_place(order, counts, count):
    """Place of the gentle end, or None where hardly any completion has a pick."""
    often = next((place for place in order if _reaches(counts[place], PICKED, count)), None)
    if often is not None:
        return often
    together = np.cumsum(counts[order])
    return next((place for place, sofar in zip(order, together) if _reaches(sofar, PICKED, count)), None)


def _reaches(number, share, count):
    """Whether ``number`` of ``count`` is at least ``share``; within one completion of it counts as below."""
    return number >= share * count + 1.0 - 1e-9


def _gentlest_first(batched):
    """Places of the kits, gentlest first: by the ladder's key without the concerns, its figures at their median.

    Those that fit in no completion are left out.
    """
    keys = []
    for key in batched.gentle_keys:
        # numpy.nanmedian gives the same and would load numpy.ma for it, which costs more than all of the sorting.
        ordered = np.sort(np.where(np.isfinite(key), key, np.inf), axis=0)
        counts, columns = np.isfinite(key).sum(axis=0), np.arange(key.shape[1])
        low, high = np.maximum(counts - 1, 0) // 2, np.minimum(counts // 2, len(ordered) - 1)
        keys.append((ordered[low, columns] + ordered[high, columns]) / 2)
    order = np.lexsort(tuple(reversed(keys)))
    return order[~(batched.unfit | batched.missing[:, None]).all(axis=0)[order]]


def _sum_of_squares(values):
    return float(((values - values.mean()) ** 2).sum()) if len(values) else 0.0


def _kits(landed):
    """How many kits (none at all counts as one) these completions come to, each by how often: exp of the entropy."""
    sizes = np.bincount(landed)
    shares = sizes[sizes > 0] / len(landed)
    return float(np.exp(-(shares * np.log(shares)).sum()))


def _groups(fact, values, there):
    """A number for each completion: which answer it gives, numbers cut into `PARTS` of as many completions each."""
    if fact.kind != "number" or fact.choices:
        _, groups = np.unique(values.astype(str) if values.dtype == object else values, return_inverse=True)
    elif there.any():
        # numpy.quantile gives the same and would load numpy.ma for it.
        ordered = np.sort(values[there])
        edges = np.interp(np.arange(1, PARTS) / PARTS * (len(ordered) - 1), np.arange(len(ordered)), ordered)
        groups = np.searchsorted(edges, np.where(there, values, 0.0), side="left")
    else:
        groups = np.zeros(len(there), dtype=int)
    return np.where(there, groups, -1)


def _plain(fact, value):
    """A coded value of a fact as canonical data."""
    if kind_of(fact) == "choice":
        return fact.choices[int(value)]
    return bool(value) if fact.kind == "flag" else float(value)
