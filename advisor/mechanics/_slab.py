"""Working part of `heat_slab`, where it is derived: plain numbers that have been checked."""

import math

import numpy as np

from .argument_checks import Array

# Below the first the half-space is right to 1e-10, above the second the transient is gone to 1e-8.
_HALF_SPACE_TO, _SETTLED_FROM = 0.1, 2.0
_HALF_SPACE = 2 / 3 * math.sqrt(2 / math.pi)
_IMAGES_TO = 0.2  # shorter times by images, longer ones by the series: either is exact to rounding there

#: Between them u_max / sqrt(F) is smooth in log F: coefficients of the Chebyshev polynomials, from end to end, of the
#: one through 41 exact points. What makes them exact is worked out again by the tests.
BETWEEN = (
    0.5796187167175607,
    0.08202077221002119,
    0.05102889606351975,
    0.02088477274226823,
    0.0034902351915227386,
    -0.001640253550490014,
    -0.0011173012735547834,
    3.138932483326017e-06,
    0.0002839785211047161,
    0.00011255310315137009,
    -3.5566911311683354e-05,
    -5.1294355770707904e-05,
    -1.1788660238283665e-05,
    1.2385154139908645e-05,
    1.0094449522587673e-05,
    1.901592983828819e-07,
    -3.7195159512324717e-06,
    -1.8502216946853246e-06,
    5.601660555134517e-07,
    1.003771648729996e-06,
    2.6425240887927515e-07,
    -2.7890136328920787e-07,
    -2.4592439242020163e-07,
    -5.364466567824746e-09,
    1.0062016540567277e-07,
    5.2258204627654494e-08,
    -1.6933064470261953e-08,
    -3.0950146237004023e-08,
    -8.172448038895064e-09,
    9.394598286756895e-09,
    8.317972266783236e-09,
    5.07893673574041e-11,
    -3.6660034860575774e-09,
    -1.8779558647344834e-09,
    6.936419121523773e-10,
    1.1967054572935394e-09,
    2.8445417454635686e-10,
    -4.079711375930562e-10,
    -3.235959569373974e-10,
    5.88957425115226e-11,
    1.8956603352976276e-10,
)

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


def between(logarithms: Array) -> Array:
    """u_max / sqrt(F) at log F, from `BETWEEN` by Clenshaw's recurrence."""
    low, high = math.log(_HALF_SPACE_TO), math.log(_SETTLED_FROM)
    at = -(high + low) / (high - low) + 2.0 / (high - low) * logarithms
    last, before = np.full_like(at, BETWEEN[-1]), np.full_like(at, BETWEEN[-2])
    for coefficient in BETWEEN[-3::-1]:
        last, before = before + last * (2 * at), coefficient - last
    return before + last * at


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
        peak[middle] = between(np.log(fourier[middle])) * root[middle]
    return peak
