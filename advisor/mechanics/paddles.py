"""Area and mean radius of paddles (sectors of a ring) and of round buttons."""

import numpy as np

from .argument_checks import Array, Numbers, choice, positive, refuse_where, result, whole
from .friction import THEORIES, mean_radius

SHAPES = ("sector", "round")


def paddle_coverage(*, paddle_angle: Numbers, paddles: Numbers) -> Numbers:
    """Share of the ring that paddles cut as sectors cover.

    Formula
    -------
    paddle_coverage = paddles * paddle_angle / (2 * pi)

    Parameters
    ----------
    paddle_angle : float or array
        Angle of one paddle, a sector of the ring, [rad]
    paddles : int or array
        Number of paddles on one face, [-]

    Returns
    -------
    paddle_coverage : float or array
        Share, to be given as coverage to the functions of `friction`; the mean radius is that of the ring, [-]

    Validity
    --------
    paddle_angle above zero; paddles a whole number from 1 to 32; all paddles together at most the full circle.

    Examples
    --------
    >>> round(paddle_coverage(paddle_angle=0.5235988, paddles=6), 3)
    0.5

    References
    ----------
    .. [1] Elementary geometry.
    """
    (angle,) = positive(paddle_angle=paddle_angle)
    (count,) = whole(1, 32, paddles=paddles)
    covered = count * angle / (2 * np.pi)
    refuse_where(covered > 1 + 1e-12, "paddle_angle", "makes the paddles overlap", angle)
    return result(np.minimum(covered, 1.0))


def button_mean_radius(*, pitch_radius: Numbers, button_diameter: Numbers, theory: str) -> Numbers:
    """Radius at which the friction force of round buttons may be taken to act.

    Formula
    -------
    x = (button_diameter / (2 * pitch_radius))**2
    new = 1 + x / 8 + x**2 / 192 + x**3 / 1024 + 5/16384 * x**4 + 49/393216 * x**5
    bedded = 1 + x / 8 + 3/64 * x**2 + 25/1024 * x**3 + 245/16384 * x**4 + 1323/131072 * x**5
    mean_radius = pitch_radius * new, where theory is uniform_pressure
    mean_radius = pitch_radius / bedded, where theory is uniform_wear

    Parameters
    ----------
    pitch_radius : float or array
        Radius of the circle through the buttons' centres, [m]
    button_diameter : float or array
        Diameter of one button, [m]
    theory : str
        uniform_pressure (new) or uniform_wear (bedded: pressure times radius even), [-]

    Returns
    -------
    mean_radius : float or array
        Mean friction radius, [m]

    Validity
    --------
    Both above zero; button_diameter at most the pitch radius. The formula shows the first terms of a series that is
    summed until nothing changes.

    Examples
    --------
    Buttons of 40 mm on a radius of 90 mm act within one per cent of it:

    >>> round(button_mean_radius(pitch_radius=0.090, button_diameter=0.040, theory="uniform_pressure") * 1000, 2)
    90.56

    References
    ----------
    .. [1] Mean of the distance to the axis, and of its inverse, over a circle off the axis: hypergeometric series
       2F1(-1/2, -1/2; 2; x) and 2F1(1/2, 1/2; 2; x), NIST Digital Library of Mathematical Functions, ch. 15.
    """
    choice(THEORIES, theory=theory)
    pitch, diameter = positive(pitch_radius=pitch_radius, button_diameter=button_diameter)
    refuse_where(diameter > pitch, "button_diameter", "must not be above pitch_radius", diameter)
    x = (diameter / (2 * pitch)) ** 2
    half = -0.5 if theory == "uniform_pressure" else 0.5
    series, term = np.ones_like(x), np.ones_like(x)
    for n in range(30):  # x is at most 1/4: the last term is below 1e-18
        term = term * (half + n) ** 2 / ((n + 2) * (n + 1)) * x
        series = series + term
    return result(pitch * series if theory == "uniform_pressure" else pitch / series)


def effective_radius(
    *, outer_radius: Numbers, inner_radius: Numbers, paddle_shape: str | Array, theory: str
) -> Numbers:
    """Radius at which the friction force of a ring, whole or in paddles, may be taken to act.

    Formula
    -------
    middle = (outer_radius + inner_radius) / 2
    x = ((outer_radius - inner_radius) / (outer_radius + inner_radius))**2
    new = 1 + x / 8 + x**2 / 192 + x**3 / 1024 + 5/16384 * x**4 + 49/393216 * x**5
    bedded = 1 + x / 8 + 3/64 * x**2 + 25/1024 * x**3 + 245/16384 * x**4 + 1323/131072 * x**5
    cubes = outer_radius**3 - inner_radius**3
    squares = outer_radius**2 - inner_radius**2
    mean_radius = (outer_radius + inner_radius) / 2, where paddle_shape is sector and theory is uniform_wear
    mean_radius = 2/3 * cubes / squares, where paddle_shape is sector and theory is uniform_pressure
    mean_radius = middle / bedded, where paddle_shape is round and theory is uniform_wear
    mean_radius = middle * new, where paddle_shape is round and theory is uniform_pressure

    Parameters
    ----------
    outer_radius : float or array
        Outer radius of the ring, [m]
    inner_radius : float or array
        Inner radius of the ring, [m]
    paddle_shape : str or array
        sector (a whole ring too) or round, [-]
    theory : str
        uniform_pressure (new) or uniform_wear (bedded), [-]

    Returns
    -------
    mean_radius : float or array
        Mean friction radius, [m]

    Validity
    --------
    0 < inner_radius < outer_radius; a round paddle spans the ring, from its inner to its outer edge.

    Examples
    --------
    Round paddles bedded in act a little further in than sectors of the same ring:

    >>> ring = dict(outer_radius=0.112, inner_radius=0.076, theory="uniform_wear")
    >>> round(effective_radius(paddle_shape="sector", **ring) * 1000, 2)
    94.0
    >>> round(effective_radius(paddle_shape="round", **ring) * 1000, 2)
    93.57

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11 (ring); see `button_mean_radius` for round paddles.
    """
    shape = np.asarray(paddle_shape)
    refuse_where(~np.isin(shape, SHAPES), "paddle_shape", f"must be one of {', '.join(SHAPES)}", shape)
    ring = mean_radius(outer_radius=outer_radius, inner_radius=inner_radius, theory=theory)
    if (shape == "sector").all():
        return ring
    outer, inner = positive(outer_radius=outer_radius, inner_radius=inner_radius)
    buttons = button_mean_radius(pitch_radius=(outer + inner) / 2, button_diameter=outer - inner, theory=theory)
    return result(np.where(shape == "sector", ring, buttons))
