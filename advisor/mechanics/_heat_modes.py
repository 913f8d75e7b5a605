"""Modes of the plates of a clutch, and the highest temperature each plate reaches over a schedule.

The working part of `heat_network`, in plain arrays that have been checked.

Flywheel, floaters and pressure plate are lumps in a row, coupled through the discs between them and each to
the air of the housing. The network is linear and does not change, so it is solved exactly in its own modes:
between events every mode fades by an exponential, and equal events sum as a geometric series.

How the highest temperature of every plate is found (`highest_rises`):

- From plates at the temperature of the air, each round starts no cooler than the one before, plate by plate
  (heat only ever spreads, it never cools a neighbour below what it would have been). So only the last round is
  searched.
- Within a phase of equal events the state after event n that lies nowhere above the state after n - 1 or n + 1
  cannot hold a peak of its own; those are dropped. Mostly one event is left.
- Just before an event a plate stands at what it shows just after less its own share of that event, so the same
  events show how hot each plate can be when one begins.
- A heavy plate goes on warming after an event while hot neighbours feed it, so for the events left the peak is
  sought over the interval that follows, and after the very last event for as long as it takes.
"""

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .argument_checks import Array

_ROWS = 8192  # rows handled at a time, to bound memory
_INNER_POINTS = 10
_TAIL_POINTS = 24
_HALVINGS = 26  # at its top a curve is flat: the height is out by the square of what the time is, 1e-15 and less


class Network:
    """Modes of the plates: temperatures are ``vectors @ amplitudes``, mode k fades as exp(-rates[k] t)."""

    def __init__(self, discs: Array, capacities: list[Array], conductance: Array, air_losses: list[Array]) -> None:
        shape = np.broadcast_shapes(discs.shape, conductance.shape, *(a.shape for a in capacities + air_losses))
        count = np.broadcast_to(discs, shape).astype(int)
        plates = int(count.max(initial=1)) + 1
        node = np.arange(plates)
        first, last = node == 0, node == count[..., None]
        self.used = node <= count[..., None]
        self.floaters = self.used & ~first & ~last
        flywheel, floater, pressure = (np.broadcast_to(c, shape)[..., None] for c in capacities)
        # A node beyond the pressure plate is a copy of it that stands alone: it never gets heat.
        capacity = np.where(first, flywheel, np.where(self.floaters, floater, pressure))
        flywheel, floater, pressure = (np.broadcast_to(a, shape)[..., None] for a in air_losses)
        loss = np.where(first, flywheel, np.where(self.floaters, floater, pressure))
        link = np.where(self.used[..., 1:], np.broadcast_to(conductance, shape)[..., None], 0.0)
        matrix = np.zeros((*shape, plates, plates))
        matrix[..., node, node] = loss
        matrix[..., node[:-1], node[:-1]] += link
        matrix[..., node[1:], node[1:]] += link
        matrix[..., node[:-1], node[1:]] = matrix[..., node[1:], node[:-1]] = -link
        root = np.sqrt(capacity)
        self.rates, vectors = np.linalg.eigh(matrix / (root[..., :, None] * root[..., None, :]))
        self.rates = np.maximum(self.rates, 0.0)
        self.vectors = vectors / root[..., :, None]
        share = np.where(first | last, 0.5, 1.0) * self.used / count[..., None]
        self.gains = np.einsum("...nk,...n->...k", self.vectors, share)  # amplitude by one joule
        self.last = count

    def flat(self, shape: tuple[int, ...]) -> tuple[Array, Array, Array]:
        """Rates, vectors and gains of every element of the broadcast shape, in one row each."""
        count = int(np.prod(shape))
        modes = self.rates.shape[-1]
        return (
            np.broadcast_to(self.rates, (*shape, modes)).reshape(count, modes),
            np.broadcast_to(self.vectors, (*shape, modes, modes)).reshape(count, modes, modes),
            np.broadcast_to(self.gains, (*shape, modes)).reshape(count, modes),
        )


def _series(exponent: Array, count: NDArray[Any]) -> Array:
    """1 + q + ... + q**(count - 1) with q = exp(-exponent), also where the exponent is zero."""
    still = exponent <= 0
    safe = np.where(still, 1.0, exponent)
    return np.where(still, count, np.expm1(-count * safe) / np.expm1(-safe))


def _highest(weights: Array, rates: Array, horizon: Array, points: int) -> Array:
    """Highest value over 0..horizon of every row of sums of fading modes.

    weights (rows, plates, modes), rates (rows, modes), horizon (rows,): sampled at points spaced in equal
    ratios, then the best sample is refined on the slope between its neighbours. Two separate peaks of one plate
    between neighbouring samples would be told apart no further than the samples do.
    """
    start = np.minimum(horizon / points, 0.25 / rates.max(axis=-1))
    ratio = np.where(start > 0, horizon / np.where(start > 0, start, 1.0), 1.0)
    times = np.concatenate(
        [np.zeros((len(rates), 1)), start[:, None] * ratio[:, None] ** np.linspace(0, 1, points)], axis=1
    )
    values = weights @ np.exp(-rates[:, :, None] * times[:, None, :])
    best = values.argmax(axis=-1)
    peak = np.take_along_axis(values, best[..., None], axis=-1)[..., 0]
    slopes = -weights * rates[:, None, :]
    # A plate that is warming at the start may peak before the first sample after it.
    row, plate = np.nonzero((best > 0) | (slopes.sum(axis=-1) > 0))
    if row.size:
        at = best[row, plate]
        low, high = times[row, np.maximum(at - 1, 0)], times[row, np.minimum(at + 1, points)]
        slope = slopes[row, plate]
        fade = rates[row]
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            rising = (slope * np.exp(-fade * middle[:, None])).sum(axis=-1) > 0
            low, high = np.where(rising, middle, low), np.where(rising, high, middle)
        refined = (weights[row, plate] * np.exp(-fade * low[:, None])).sum(axis=-1)
        peak[row, plate] = np.maximum(peak[row, plate], refined)
    return peak


def _raise_to(
    peaks: Array, element: NDArray[np.int_], weights: Array, rates: Array, horizon: Array, points: int
) -> None:
    """Lift peaks (elements, plates) to the highest of each row, a row belonging to one element."""
    for begin in range(0, len(element), _ROWS):
        part = slice(begin, begin + _ROWS)
        np.maximum.at(peaks, element[part], _highest(weights[part], rates[part], horizon[part], points))


def _phase_rows(
    first: Array, heat: Array, rates: Array, vectors: Array, interval: Array, count: Array
) -> Iterator[tuple[NDArray[np.int_], Array]]:
    """Events of a phase that can hold a peak: (element, amplitudes after the event), one row each.

    first: amplitudes after the first event, heat: what each event adds. From event to event the temperatures
    change by the change of the first step, faded mode by mode.
    """
    exponent = rates * interval[:, None]
    step = heat + first * np.expm1(-exponent)
    change = np.einsum("enk,ek->en", vectors, step)
    scale = 1e-13 * np.abs(np.einsum("enk,ek->en", vectors, first)).max(axis=-1, keepdims=True)
    some = count > 0
    rising, falling = (change >= -scale).all(axis=-1), (change <= scale).all(axis=-1)
    settled = rising | falling | (count == 1)
    single, mixed = np.nonzero(some & settled)[0], np.nonzero(some & ~settled)[0]
    before = np.where(rising, count - 1, 0)[single, None]
    yield single, first[single] * np.exp(-exponent[single] * before) + heat[single] * _series(exponent[single], before)
    # Mixed phases: step through the events, keep those that no neighbouring event overlooks.
    block = max(1, 4 * _ROWS // int(count[mixed].max(initial=1)))
    for begin in range(0, len(mixed), block):
        part = mixed[begin : begin + block]
        events = np.arange(int(count[part].max()))
        fade = np.exp(-exponent[part, None, :] * events[:, None])
        changes = np.einsum("enk,evk->evn", vectors[part], fade * step[part, None, :])
        tiny = scale[part, None, :]
        overlooked = (changes >= -tiny).all(axis=-1) & (events < count[part, None] - 1)  # by the next event
        overlooked[:, 1:] |= (changes <= tiny).all(axis=-1)[:, :-1]  # by the one before
        row, event = np.nonzero((events < count[part, None]) & ~overlooked)
        element = part[row]
        piled = heat[element] * _series(exponent[element], event[:, None])
        yield element, first[element] * fade[row, event] + piled


def highest_rises(
    network: Network,
    energies: Sequence[Array],
    counts: Sequence[Array],
    intervals: Sequence[Array],
    rounds: Array,
    rest: Array,
    shape: tuple[int, ...],
) -> tuple[Array, Array]:
    """Highest rises of every plate over the air: over all (elements, plates), and when an event of a phase begins
    (phases, elements, plates), zero where a phase has no events. Energies and the like: one array a phase.
    """
    rates, vectors, gains = network.flat(shape)
    flat = [[np.broadcast_to(a, shape).reshape(-1) for a in group] for group in (energies, counts, intervals)]
    rounds, rest = (np.broadcast_to(a, shape).reshape(-1) for a in (rounds, rest))
    # Amplitudes one round leaves behind, then what rounds - 1 of them have piled up.
    left = np.zeros_like(rates)
    length = rest.copy()
    for energy, count, interval in zip(*flat):
        exponent = rates * interval[:, None]
        piled = gains * energy[:, None] * _series(exponent, count[:, None])
        left = left * np.exp(-exponent * count[:, None]) + piled * np.exp(-exponent)
        length += count * interval
    left *= np.exp(-rates * rest[:, None])
    now = left * _series(rates * length[:, None], rounds[:, None] - 1)
    peaks = np.zeros(rates.shape)
    before = np.zeros((len(flat[0]), *rates.shape))
    after_last = np.zeros_like(rates)
    for phase, (energy, count, interval) in enumerate(zip(*flat)):
        exponent = rates * interval[:, None]
        heat = gains * energy[:, None]
        own = np.einsum("enk,ek->en", vectors, heat)
        some = (count > 0)[:, None]
        for element, amplitudes in _phase_rows(now + heat, heat, rates, vectors, interval, count):
            weights = vectors[element] * amplitudes[:, None, :]
            np.maximum.at(before[phase], element, weights.sum(axis=-1) - own[element])
            _raise_to(peaks, element, weights, rates[element], interval[element], _INNER_POINTS)
        end = now * np.exp(-exponent * (count[:, None] - 1)) + heat * _series(exponent, count[:, None])
        after_last = np.where(some, end, after_last)
        now = np.where(some, end * np.exp(-exponent), now)
    everyone = np.arange(len(rates))
    slowest = np.where(rates > 0, rates, np.inf).min(axis=-1)
    _raise_to(peaks, everyone, vectors * after_last[:, None, :], rates, 8 / slowest, _TAIL_POINTS)
    return peaks, before
