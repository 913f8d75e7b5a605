"""One series that several closed forms need where they would otherwise cancel."""

import numpy as np

from .argument_checks import Array


def artanh_excess(u: Array) -> Array:
    """(artanh(u) - u) / u**3 without loss of digits down to u = 0, for 0 <= u < 1."""
    u = np.asarray(u, dtype=float)
    safe = np.where(u < 0.1, 0.1, u)
    squared = u**2
    series = sum(squared**n / (2 * n + 3) for n in range(8))
    return np.where(u < 0.1, series, (np.arctanh(safe) - safe) / safe**3)
