"""What held and slipped say of computed capacity: a probit on log(demand / computed median), exact on a grid.

One record is an installation of a kit with a facing. With r = ln(demand / computed median in the state it was tried),

    P(slipped) = e + (1 - 2 e) Phi((r - F - T) / s)

F, common to the kits of a facing, and T, the kit's own, are normal about nought; s holds what is left for one
installation and how well its demand was known; e is the share of outcomes booked wrong. "Slipped at x" says that the
capacity lies below x, "held at x" that it does not: current-status data. Held at one load and later slipped at
another, the same part, says that it lies between.

Given F the kits of a facing are independent, so every posterior is a sum over a grid. No maximum is sought: held only,
or held all below slipped, has none.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .spreads import SpreadParts

Floats = NDArray[Any]

#: Share of outcomes booked wrong: fitting measured, and not recorded (judgement).
BOOKED_WRONG, BOOKED_WRONG_UNRECORDED = 0.02, 0.05
#: Step of the grid, fine enough for the digits shown, and how many prior deviations it reaches.
STEP, REACH = 0.005, 4.4
#: So much of a posterior may lie in the outer tenth of its grid.
OUTER_TENTH = 1e-4
#: So many deviations either side of the mean hold nine tenths of a normal distribution.
NINE_TENTHS = 1.6449
_erf = np.vectorize(math.erf, otypes=[float])


@dataclass(frozen=True, slots=True, order=True)
class Installation:
    """One installed clutch: ``load`` is ln(demand / computed median), ``spread`` what is left for it and its demand.

    ``slipped``: at that load; else it held. ``held_before``: a lower load that the same part held earlier. ``source``:
    whose figure the torque is, and ``shared``: the part of the spread that all its figures have in common.
    """

    key: str
    kit: str
    facing: str
    load: float
    spread: float
    slipped: bool
    booked_wrong: float = BOOKED_WRONG
    held_before: float | None = None
    source: str = ""
    shared: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """Weights on an even grid of a deviation of ln capacity; ``outside``: what lay at the edge before widening."""

    grid: Floats
    weights: Floats
    outside: float | None = None

    @property
    def mean(self) -> float:
        """The mean."""
        return float((self.grid * self.weights).sum())

    @property
    def deviation(self) -> float:
        """The standard deviation."""
        return math.sqrt(max(float((self.grid**2 * self.weights).sum()) - self.mean**2, 0.0))

    def quantile(self, share: float) -> float:
        """Where so much lies below; read from the cumulated sum at the edges of cells."""
        edges, cumulated = self._cumulated()
        return float(np.interp(share, cumulated, edges))

    def below(self, value: float) -> float:
        """How much lies below a value."""
        edges, cumulated = self._cumulated()
        return float(np.interp(value, edges, cumulated))

    def _cumulated(self) -> tuple[Floats, Floats]:
        """(edges of the cells, how much lies below each)."""
        half = (self.grid[1] - self.grid[0]) / 2
        edges = np.concatenate([[self.grid[0] - half], self.grid + half])
        return edges, np.concatenate([[0.0], np.cumsum(self.weights)])

    @property
    def at_the_edge(self) -> float:
        """How much lies in the outer tenth of the grid."""
        if self.outside is not None:
            return self.outside
        tenth = max(1, len(self.grid) // 20)
        return float(self.weights[:tenth].sum() + self.weights[-tenth:].sum())


@dataclass(frozen=True, slots=True, eq=False)
class Learned:
    """Posteriors of F + T by kit and of F by facing; ``evidence``: log probability of the records."""

    kits: Mapping[str, Posterior]
    facings: Mapping[str, Posterior]
    evidence: float


def below_normal(deviations: Floats) -> Floats:
    """Phi: how much of a normal distribution lies below."""
    return 0.5 * (1 + _erf(deviations / math.sqrt(2)))


def log_likelihood(records: Iterable[Installation], total: Floats, ratio: float = 1.0) -> Floats:
    """Of one kit's records, for every value of F + T in ``total``.

    ``ratio``: how much likelier a slip is reported than a hold.
    """
    records = sorted(records)
    if not records:
        return np.zeros(len(total))
    slipped = np.array([record.slipped for record in records])
    chance = _booked(records, _slips(records, total, below_normal))
    if ratio != 1.0:
        chance = chance * ratio / (chance * ratio + 1 - chance)
    return np.where(slipped[None, :], np.log(chance), np.log1p(-chance)).sum(axis=1)


def _slips(records: Sequence[Installation], total: Floats, of: Callable[[Floats], Floats]) -> Floats:
    """A function of how many deviations each load lies above each value of ``total``; less that of a load held before.

    Rows: values of ``total``, columns: records.
    """
    load, spread = (np.array([getattr(record, name) for record in records]) for name in ("load", "spread"))
    values = of((load[None, :] - total[:, None]) / spread[None, :])
    for place, record in enumerate(records):
        if record.held_before is not None and record.slipped:
            values[:, place] -= of((record.held_before - total) / record.spread)
    return values


def _booked(records: Sequence[Installation], chance: Floats) -> Floats:
    wrong = np.array([record.booked_wrong for record in records])
    return wrong + (1 - 2 * wrong) * chance


def load_slopes(records: Sequence[Installation], total: Floats) -> Floats:
    """The slope of each record's log likelihood in its load; rows: values of ``total``, columns: records."""
    slipped = np.array([record.slipped for record in records])
    spread, wrong = (np.array([getattr(record, name) for record in records]) for name in ("spread", "booked_wrong"))
    chance = _booked(records, _slips(records, total, below_normal))
    slope = (1 - 2 * wrong) * _slips(records, total, _density) / spread
    return np.where(slipped[None, :], slope / chance, -slope / (1 - chance))


def _density(deviations: Floats) -> Floats:
    return np.exp(-0.5 * deviations**2) / math.sqrt(2 * math.pi)


def learn(
    records: Iterable[Installation],
    kits: Mapping[str, str],
    parts: Mapping[str, SpreadParts],
    *,
    ratio: float = 1.0,
    step: float = STEP,
) -> Learned:
    """Posteriors for every kit of ``kits`` (kit -> facing), each with its ``parts`` of spread.

    Kits of one facing share their facing's part. Order of the records changes no digit.
    """
    of_kit: dict[str, list[Installation]] = {kit: [] for kit in sorted(kits)}
    for record in records:
        of_kit[record.kit].append(record)
    by_kit: dict[str, Posterior] = {}
    facings: dict[str, Posterior] = {}
    evidence = 0.0
    for facing in sorted(set(kits.values())):
        own = [kit for kit in of_kit if kits[kit] == facing]
        common = max(parts[kit].facing for kit in own)
        shared, prior = normal_weights(common, step)
        log_shared = np.log(prior)
        marginals, likes, layouts = {}, {}, {}
        for kit in own:
            alone, weights = normal_weights(parts[kit].kit, step)
            total = step * np.arange(-(len(shared) // 2) - len(alone) // 2, len(shared) // 2 + len(alone) // 2 + 1)
            place = np.arange(len(shared))[:, None] + np.arange(len(alone))[None, :]
            values = log_likelihood(of_kit[kit], total, ratio)
            top = values.max()
            evidence += float(top)
            likes[kit] = np.exp(values - top)
            marginals[kit] = np.log(np.maximum((likes[kit][place] * weights).sum(axis=1), 1e-300))
            layouts[kit] = total, place, weights
            log_shared = log_shared + marginals[kit]
        most = log_shared.max()
        evidence += float(np.log(np.exp(log_shared - most).sum()) + most)
        facings[facing] = Posterior(shared, _whole(np.exp(log_shared - most)))
        for kit in own:
            total, place, weights = layouts[kit]
            rest = log_shared - marginals[kit]
            rest = _whole(np.exp(rest - rest.max()))
            joint = rest[:, None] * weights[None, :] * likes[kit][place]
            by_kit[kit] = Posterior(total, _whole(np.bincount(place.ravel(), joint.ravel(), minlength=len(total))))
    return Learned(by_kit, facings, evidence)


def normal_weights(deviation: float, step: float) -> tuple[Floats, Floats]:
    """An even grid about nought and the weights of a normal distribution on it."""
    half = max(1, math.ceil(REACH * deviation / step))
    grid = step * np.arange(-half, half + 1)
    return grid, _whole(np.exp(-0.5 * (grid / deviation) ** 2))


def _whole(values: Floats) -> Floats:
    return values / values.sum()


def information(load: float, spread: float, booked_wrong: float = BOOKED_WRONG) -> float:
    """What one more record at a load says of ln capacity, in the inverse of its variance."""
    z = load / spread
    density = math.exp(-0.5 * z * z) / math.sqrt(2 * math.pi)
    chance = booked_wrong + (1 - 2 * booked_wrong) * 0.5 * (1 + math.erf(z / math.sqrt(2)))
    return (1 - 2 * booked_wrong) ** 2 * density**2 / (spread**2 * chance * (1 - chance))


def records_wanted(deviation: float, load: float, spread: float, wanted: float = 0.05) -> int:
    """How many more records at a load bring a deviation down to the wanted one."""
    missing = 1 / wanted**2 - 1 / deviation**2
    return max(0, math.ceil(missing / information(load, spread)))
