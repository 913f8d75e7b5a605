"""What a fact that nobody answered may turn out to be, as quantiles to draw from: the vocabulary's ``plausible``.

They serve the span of an advice and the choice of the next question; no rule reads them.
"""

import functools
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from ..engine.fact_columns import kind_of
from ..frozen import frozen
from ..knowledge.model import Fact, Plausible, Record

#: Where a vocabulary declares nothing: per cent who say the assumed value of a number or a choice, and of a yes or no.
COMMONEST, USUAL = 50, 80
#: Likewise, per cent for whom a fact that is left open stays open.
LEFT_OPEN = 25


@frozen
class Band:
    """How a fact is spread over cars and callers.

    ``values`` with ``weights`` (whole per cent) for what has choices; else half lie evenly from ``low`` to ``likely``,
    half from there to ``high``, all times ``scale``, and a ``share`` (0 to 1) have ``common``. ``least`` and ``most``:
    the sane range. ``none``: share (0 to 1) without a value.
    """

    fact: str
    basis: str
    values: tuple = ()
    weights: tuple = ()
    low: float = 0.0
    likely: float = 0.0
    high: float = 0.0
    scale: float = 1.0
    common: float | None = None
    share: float = 0.0
    step: float = 0.0
    least: float | None = None
    most: float | None = None
    none: float = 0.0

    def draw(self, shares: np.ndarray, scale: np.ndarray | None = None) -> tuple[np.ndarray, np.ndarray]:
        """(values, known) for ``shares`` between 0 and 1, one a caller: the quantiles of the band.

        Of what has choices the values are places in ``values``. ``scale``: an array in place of the band's own.
        """
        shares = np.asarray(shares, dtype=float)
        known = shares >= self.none
        inside = np.clip((shares - self.none) / max(1.0 - self.none, 1e-12), 0.0, 1.0 - 1e-12)
        if self.values:
            edges = np.cumsum(self.weights) / sum(self.weights)
            return np.searchsorted(edges, inside, side="right").clip(0, len(self.values) - 1), known
        return self._numbers(inside, self.scale if scale is None else scale), known

    def _numbers(self, inside, scale):
        if self.common is not None and self.share >= 1.0:
            return np.full(inside.shape, self.common)
        rest = 1.0 - self.share
        # The common answer stands where it belongs, so that the quantiles still rise with the values.
        below = rest * self._part_below(self.common, scale) if self.common is not None else np.zeros(inside.shape)
        place = np.where(inside < below, inside, inside - self.share) / rest
        drawn = scale * np.interp(place, (0.0, 0.5, 1.0), (self.low, self.likely, self.high))
        if self.step:
            drawn = np.round(np.round(drawn / self.step) * self.step, 9)
        if self.common is not None:
            drawn = np.where((inside >= below) & (inside < below + self.share), self.common, drawn)
        return np.clip(drawn, self.least, self.most) if self.least is not None or self.most is not None else drawn

    def _part_below(self, value, scale):
        """The part of the band, 0 to 1, that lies below ``value``."""
        points = np.array((self.low, self.likely, self.high)) + np.array((0.0, 1e-9, 2e-9)) * (abs(self.high) + 1.0)
        return np.interp(value / scale, points, (0.0, 0.5, 1.0))

    def coded(self, fact: Fact, drawn: np.ndarray, known: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Drawn values as the bulk evaluator takes them (see ``engine.fact_columns``): (values, known)."""
        if not self.values:
            return np.where(known, drawn, np.nan), known
        kind = kind_of(fact)
        if kind == "choice":
            codes = np.array([fact.choices.index(value) for value in self.values], dtype=np.int16)
            return np.where(known, codes[drawn], -1).astype(np.int16), known
        if kind == "flag":
            return np.array(self.values, dtype=bool)[drawn] & known, known
        if kind == "number":
            return np.where(known, np.array(self.values, dtype=float)[drawn], np.nan), known
        texts = np.array(self.values, dtype=object)[drawn]
        texts[~known] = None
        return texts, known


def band(fact: Fact, known: Mapping[str, Any], kits: Sequence[Record]) -> "Band | None":
    """The `Band` of a Fact, given the facts ``known`` now (name -> value) and the kits on file.

    None where nothing that is declared applies: then it is never asked nor drawn.
    """
    for entry in declared(fact):
        if all(known.get(name) in values if values else name in known for name, values in entry.given):
            names = (*entry.times, *entry.over)
            factors = [held for name in names if isinstance(held := known.get(name), float) and held > 0.0]
            if len(factors) == len(names):
                scale = float(np.prod(factors[: len(entry.times)]) / np.prod(factors[len(entry.times) :]))
                return band_of(fact, entry, kits, scale) if entry.none < 100 else None
    return None


def band_of(fact: Fact, entry: Plausible, kits: Sequence[Record], scale: float = 1.0) -> "Band":
    """The `Band` of one `Plausible` of a Fact."""
    none = entry.none / 100.0
    if entry.from_kits:
        texts = sorted({kit.fields[fact.name] for kit in kits if isinstance(kit.fields.get(fact.name), str)}) or [""]
        return Band(fact.name, entry.basis, tuple(texts), (1,) * len(texts), none=none)
    if entry.shares:
        values, weights = zip(*entry.shares)
        return Band(fact.name, entry.basis, values, weights, none=none)
    low, likely, high = entry.band or (0.0, 0.0, 0.0)
    return Band(
        fact.name,
        entry.basis,
        low=low,
        likely=likely,
        high=high,
        scale=scale,
        common=entry.common,
        share=entry.share / 100.0,
        step=fact.resolution or 0.0,
        least=fact.low,
        most=fact.high,
        none=none,
    )


@functools.lru_cache(maxsize=1024)
def declared(fact: Fact) -> tuple[Plausible, ...]:
    """The `Plausible`s of a Fact; what follows from ``if_unknown`` where the vocabulary declares none."""
    if fact.plausible:
        return fact.plausible
    unknown = fact.if_unknown
    left = LEFT_OPEN if unknown is None or unknown.do == "leave" else 0
    choices = (False, True) if fact.kind == "flag" else fact.choices
    if choices and unknown is not None and unknown.do == "assume":
        others = [choice for choice in choices if choice in unknown.others]
        most = USUAL if fact.kind == "flag" else COMMONEST
        shares = ((unknown.value, most), *((other, (100 - most) / len(others)) for other in others))
        return (Plausible(unknown.basis, shares=shares),)
    if choices:
        return (Plausible("each as likely, judgement", shares=tuple((choice, 1) for choice in choices), none=left),)
    if fact.kind != "number":
        return (Plausible("what the kits on file have, each as likely", from_kits=True, none=left),)
    if unknown is not None and unknown.do == "assume" and unknown.low < unknown.high:
        ends = (unknown.low, unknown.value, unknown.high)
        return (Plausible(unknown.basis, band=ends, common=unknown.value, share=COMMONEST),)
    low, high = (0.0 if fact.low is None else fact.low), (1.0 if fact.high is None else fact.high)
    return (Plausible("the whole sane range, nothing better is known", band=(low, (low + high) / 2, high), none=left),)


def whole_range(fact: Fact, kits: Sequence[Record]) -> "Band | None":
    """The `Band` over everything the vocabulary takes for a fact, evenly: for reports, never for choosing."""
    choices = (False, True) if fact.kind == "flag" else tuple(fact.choices)
    if choices:
        return Band(fact.name, "everything the vocabulary takes", choices, (1,) * len(choices))
    if fact.kind != "number":
        return band(fact, {}, kits)
    low, high = fact.low or 0.0, 1.0 if fact.high is None else fact.high
    middle = (low + high) / 2
    return Band(
        fact.name, "everything the vocabulary takes", low=low, likely=middle, high=high, step=fact.resolution or 0.0
    )
