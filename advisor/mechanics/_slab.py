"""Working part of `heat_slab`, where it is derived: plain numbers that have been checked."""

import functools
import math

import numpy as np

from .argument_checks import Array

# Below the first the half-space is right to 1e-10, above the second the transient is gone to 1e-8; between them
# u_max / sqrt(F) is smooth in log F and is taken from a polynomial through exact points.
_HALF_SPACE_TO, _SETTLED_FROM, _POINTS = 0.1, 2.0, 40
_HALF_SPACE = 2 / 3 * math.sqrt(2 / math.pi)
_IMAGES_TO = 0.2  # shorter times by images, longer ones by the series: either is exact to rounding there

_erfc = np.frompyfunc(math.erfc, 1, 1)


def steady(tau: Array) -> tuple[Array, Array]:
    """c and its integral C at each tau, see the head of this module."""
    tau = np.asarray(tau, dtype=float)
    short = tau < _IMAGES_TO
    early = np.where(short & (tau > 0), tau, _IMAGES_TO / 2)
    course, integral = np.zeros_like(tau), np.zeros_like(tau)
    for image in range(4):
        weight = 1.0 if image == 0 else 2.0
        x = image / np.sqrt(early)
        none = np.asarray(_erfc(x), dtype=float)
        once = np.exp(-(x**2)) / math.sqrt(math.pi) - x * none
        twice = (none - 2 * x * once) / 4
        course = course + weight * once
        integral = integral + weight * (once - 2 * x * twice) / 6
    late = np.where(short, 1.0, tau)
    second, fourth = np.zeros_like(tau), np.zeros_like(tau)
    for n in range(1, 6):
        square = (n * math.pi) ** 2
        fading = np.exp(-square * late)
        second, fourth = second + fading / square, fourth + fading / square**2
    course = np.where(short, 2 * np.sqrt(early) * course, late + 1 / 3 - 2 * second)
    integral = np.where(short, 8 * early**1.5 * integral, late**2 / 2 + late / 3 - 1 / 45 + 2 * fourth)
    return np.where(tau > 0, course, 0.0), np.where(tau > 0, integral, 0.0)


def exact_peak(fourier: Array) -> Array:
    """u_max of each F between the ends, by halving on F * c'(tau) = c(tau)."""
    low, high = fourier / 2, fourier
    for _ in range(50):
        middle = (low + high) / 2
        images = sum(np.exp(-(m**2) / middle) for m in range(-3, 4)) / np.sqrt(math.pi * middle)
        series = 1 + 2 * sum(np.exp(-((n * math.pi) ** 2) * middle) for n in range(1, 6))
        warming = fourier * np.where(middle < _IMAGES_TO, images, series) > steady(middle)[0]
        low, high = np.where(warming, middle, low), np.where(warming, high, middle)
    course, integral = steady(low)
    return course - integral / fourier


@functools.cache
def _between() -> np.polynomial.Chebyshev:
    """u_max / sqrt(F) over log F as a polynomial through exact points."""

    def share(logarithms: Array) -> Array:
        return exact_peak(np.exp(logarithms)) / np.exp(logarithms / 2)

    ends = [math.log(_HALF_SPACE_TO), math.log(_SETTLED_FROM)]
    return np.polynomial.Chebyshev.interpolate(share, _POINTS, ends)


def peak_share(fourier: Array) -> Array:
    """u_max for an array of F: plain numbers, checked before."""
    fourier = np.asarray(fourier, dtype=float)
    root = np.sqrt(fourier)
    peak = _HALF_SPACE * root
    settled = fourier > _SETTLED_FROM
    peak = np.where(settled, fourier / 2 + 7 / (90 * np.where(settled, fourier, 1.0)), peak)
    middle = (fourier > _HALF_SPACE_TO) & ~settled
    if middle.any():
        peak = np.asarray(peak)
        peak[middle] = _between()(np.log(fourier[middle])) * root[middle]
    return peak
