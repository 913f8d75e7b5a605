"""Normal distribution on arrays, from the standard library (SciPy is not needed to run the advisor)."""

import math
from statistics import NormalDist

import numpy as np

from .argument_checks import Array

_each_erfc = np.frompyfunc(math.erfc, 1, 1)
_each_quantile = np.frompyfunc(NormalDist().inv_cdf, 1, 1)


def cdf(value: Array) -> Array:
    """Chance that a standard normal variable lies below each value of an array.

    >>> float(cdf(np.array(0.0)))
    0.5
    """
    return np.asarray(_each_erfc(-value / math.sqrt(2)), dtype=float) / 2


def quantile(chance: Array) -> Array:
    """Value below which a standard normal variable lies with each chance of an array, all inside 0 to 1.

    >>> float(quantile(np.array(0.5)))
    0.0
    """
    return np.asarray(_each_quantile(chance), dtype=float)
