"""What several outcomes share because one test bed, or one tuner, gave all their torques.

A bed that reads 5 per cent high does so for every car on it: its records err together, and taken each for itself they
make a kit look better known than it is. So each named source has an error Z of its own, standard normal, and a record
of it was tried at ln(demand / computed median) + c Z, c being the part of its spread that is the source's. Given all Z
the posteriors are those of `posterior.learn`. The Z are taken at their most probable values; how uncertain they still
are, by the curvature there (Laplace's approximation), widens what is said of each kit by how far it moves with them.
"""

import dataclasses
import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from .posterior import Floats, Installation, Learned, Posterior, learn, load_slopes, normal_weights
from .spreads import SpreadParts

#: How many sources are followed, those with most records; records of the others err each for itself.
MOST_SOURCES = 30
#: Step for slopes, how near the top is near enough, the most steps to it, and the least curvature believed: half of
#: what is there before any record.
STEP, NEAR, MOST_STEPS, LEAST_CURVATURE = 0.05, 1e-3, 8, 0.5


@dataclass(frozen=True, slots=True, eq=False)
class _Place:
    """What is learned where the sources err by ``errors``; ``slopes``: of the log probability, by source."""

    errors: Floats
    learned: Learned
    slopes: Floats


def learn_by_source(
    records: Iterable[Installation], kits: Mapping[str, str], parts: Mapping[str, SpreadParts]
) -> Learned:
    """As `learn`, with an error common to the records of each source that gave two or more."""
    records = sorted(records)
    counted = Counter(record.source for record in records if record.source and record.shared)
    ranked = sorted(counted, key=lambda source: (-counted[source], source))
    sources = sorted(source for source in ranked[:MOST_SOURCES] if counted[source] > 1)
    if not sources:
        return learn(records, kits, parts)
    fit = _Fit(records, kits, parts, sources)
    top, curvature, _ = fit.around(fit.at(np.zeros(len(sources))))
    for _ in range(MOST_STEPS):
        step = np.linalg.solve(curvature, top.slopes)
        top = fit.at(top.errors + step)
        if float(abs(step).max()) < NEAR:
            break
    top, curvature, beside = fit.around(top)
    doubt = np.linalg.inv(curvature)
    return dataclasses.replace(
        top.learned,
        kits=_widened({place: near.learned.kits for place, near in beside.items()}, top.learned.kits, doubt),
        facings=_widened({place: near.learned.facings for place, near in beside.items()}, top.learned.facings, doubt),
    )


class _Fit:
    """The records of kits, tried as far off as their sources err."""

    def __init__(self, records: list[Installation], kits: Any, parts: Any, sources: list[str]) -> None:
        self.records, self.kits, self.parts, self.sources = records, kits, parts, sources
        self.place = {source: number for number, source in enumerate(sources)}

    def at(self, errors: Floats) -> _Place:
        """What is learned where the sources err by so much."""
        shifted = [self._shifted(record, errors) for record in self.records]
        learned = learn(shifted, self.kits, self.parts)
        slopes = -np.asarray(errors, dtype=float)
        of_kit: dict[str, list[Installation]] = {}
        for record in shifted:
            if record.source in self.place:
                of_kit.setdefault(record.kit, []).append(record)
        for kit, own in sorted(of_kit.items()):
            posterior = learned.kits[kit]
            by_record = posterior.weights @ load_slopes(own, posterior.grid)
            for record, slope in zip(own, by_record):
                slopes[self.place[record.source]] += record.shared * slope
        return _Place(np.asarray(errors, dtype=float), learned, slopes)

    def _shifted(self, record: Installation, errors: Floats) -> Installation:
        place = self.place.get(record.source)
        if place is None:
            return record
        by = record.shared * float(errors[place])
        before = None if record.held_before is None else record.held_before + by
        rest = math.sqrt(max(record.spread**2 - record.shared**2, 1e-8))
        return dataclasses.replace(record, load=record.load + by, held_before=before, spread=rest)

    def around(self, top: _Place) -> tuple[_Place, Floats, dict[int, _Place]]:
        """(the place, minus the curvature of the log probability there, places a step beside it by source)."""
        beside = {}
        for number in range(len(self.sources)):
            errors = top.errors.copy()
            errors[number] += STEP
            beside[number] = self.at(errors)
        curvature = -np.array([(near.slopes - top.slopes) / STEP for near in beside.values()])
        values, vectors = np.linalg.eigh((curvature + curvature.T) / 2)
        return top, (vectors * np.maximum(values, LEAST_CURVATURE)) @ vectors.T, beside


def _widened(
    beside: Mapping[int, Mapping[str, Posterior]], top: Mapping[str, Posterior], doubt: Floats
) -> dict[str, Posterior]:
    """Posteriors, each as much wider as it moves with errors that are in doubt."""
    wider = {}
    for name, posterior in top.items():
        moves = np.array([(near[name].mean - posterior.mean) / STEP for near in beside.values()])
        deviation = math.sqrt(max(float(moves @ doubt @ moves), 0.0))
        cell = float(posterior.grid[1] - posterior.grid[0])
        if deviation < cell / 100:
            wider[name] = posterior
            continue
        around, weights = normal_weights(deviation, cell)
        half = len(around) // 2
        grid = posterior.grid[0] + cell * np.arange(-half, len(posterior.grid) + half)
        wider[name] = Posterior(grid, np.convolve(posterior.weights, weights), posterior.at_the_edge)
    return wider
