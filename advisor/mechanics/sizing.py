"""Textbook sizing of friction faces: rings for a torque, numbers of surfaces and discs."""

import numpy as np

from .argument_checks import Numbers, below, choice, positive, refuse_where, result, share, whole
from .friction import THEORIES


def inner_radius_for_torque(
    *,
    torque: Numbers,
    friction_coefficient: Numbers,
    peak_pressure: Numbers,
    outer_radius: Numbers,
    friction_surfaces: Numbers,
    theory: str,
    root: str = "larger",
) -> Numbers:
    """Inner radius of a full ring of given outer radius that just holds a torque at a pressure limit.

    Formula
    -------
    area = friction_surfaces * pi * friction_coefficient * peak_pressure
    part = 1.5 * sqrt(3) * torque / (area * outer_radius**3)
    turn = 0, where root is larger
    turn = 2 * pi, where root is smaller
    inner_radius = 2 / sqrt(3) * outer_radius * cos((arccos(-part) - turn) / 3), where theory is uniform_wear
    inner_radius = (outer_radius**3 - 1.5 * torque / area)**(1/3), where theory is uniform_pressure

    Parameters
    ----------
    torque : float or array
        Torque to hold, [N m]
    friction_coefficient : float or array
        Friction coefficient, [-]
    peak_pressure : float or array
        Greatest pressure allowed, [Pa]
    outer_radius : float or array
        Outer radius of the ring, [m]
    friction_surfaces : int or array
        Number of friction surfaces, two for each disc, [-]
    theory : str
        uniform_wear or uniform_pressure, [-]
    root : str
        larger or smaller: uniform_wear has two answers, the larger leaves the narrower, more evenly worn ring, [-]

    Returns
    -------
    inner_radius : float or array
        Inner radius, [m]

    Validity
    --------
    All numbers above zero; friction_surfaces a whole number from 1 to 64; torque within what the outer radius can
    hold; uniform_pressure has the one root, larger.

    Examples
    --------
    A 250 mm disc for 550 N m; the book keeps 174.2 mm:

    >>> round(2000 * inner_radius_for_torque(torque=550, friction_coefficient=0.25, peak_pressure=0.5e6,
    ...                                      outer_radius=0.125, friction_surfaces=2, theory="uniform_wear"), 1)
    174.2

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.3.
    """
    choice(THEORIES, theory=theory)
    choice(("larger", "smaller") if theory == "uniform_wear" else ("larger",), root=root)
    moment, friction, pressure, outer = positive(
        torque=torque, friction_coefficient=friction_coefficient, peak_pressure=peak_pressure, outer_radius=outer_radius
    )
    (surfaces,) = whole(1, 64, friction_surfaces=friction_surfaces)
    area = surfaces * np.pi * friction * pressure
    too_much = "is above what this outer radius holds at this pressure"
    if theory == "uniform_pressure":
        left = outer**3 - 1.5 * moment / area
        refuse_where(left < 0, "torque", too_much, moment)
        return result(np.cbrt(np.maximum(left, 0)))
    # x (1 - x**2) = torque / (area * outer**3), x = inner / outer, by angles; part is 1 at the greatest torque.
    part = 1.5 * np.sqrt(3) * moment / (area * outer**3)
    refuse_where(part > 1, "torque", too_much, moment)
    turn = 0 if root == "larger" else 2 * np.pi
    return result(2 / np.sqrt(3) * outer * np.cos((np.arccos(-np.minimum(part, 1)) - turn) / 3))


def inner_radius_of_greatest_torque(*, outer_radius: Numbers) -> Numbers:
    """Inner radius at which a bedded ring holds the most at a pressure limit.

    Formula
    -------
    inner_radius = outer_radius / sqrt(3)

    Parameters
    ----------
    outer_radius : float or array
        Outer radius of the ring, [m]

    Returns
    -------
    inner_radius : float or array
        Inner radius, [m]

    Validity
    --------
    outer_radius above zero; uniform wear, clamp load free to follow the pressure limit.

    Examples
    --------
    A 165.1 mm multi-plate clutch (3.75 in in the book):

    >>> round(2 * inner_radius_of_greatest_torque(outer_radius=0.08255) * 1000, 2)
    95.32

    References
    ----------
    .. [1] J. E. Shigley et al., Mechanical Engineering Design, ch. 16, problem on a multi-disc clutch (from memory).
    """
    (outer,) = positive(outer_radius=outer_radius)
    return result(outer / np.sqrt(3))


def mean_radius_for_mean_pressure(
    *,
    torque: Numbers,
    friction_coefficient: Numbers,
    mean_pressure: Numbers,
    radius_over_width: Numbers,
    friction_surfaces: Numbers,
) -> Numbers:
    """Mean radius of a narrow ring that holds a torque at a mean pressure.

    Formula
    -------
    traction = friction_surfaces * friction_coefficient * mean_pressure * 2 * pi
    mean_radius = (torque * radius_over_width / traction)**(1/3)

    Parameters
    ----------
    torque : float or array
        Torque to hold, [N m]
    friction_coefficient : float or array
        Friction coefficient, [-]
    mean_pressure : float or array
        Pressure at the mean radius, [Pa]
    radius_over_width : float or array
        Mean radius over face width, [-]
    friction_surfaces : int or array
        Number of friction surfaces, two for each disc, [-]

    Returns
    -------
    mean_radius : float or array
        Mean radius; face width is this over radius_over_width, [m]

    Validity
    --------
    All above zero; radius_over_width above 0.5; friction_surfaces a whole number from 1 to 64.

    Examples
    --------
    7.5 kW at 900 rpm, width a quarter of the radius:

    >>> round(1000 * mean_radius_for_mean_pressure(torque=79.58, friction_coefficient=0.25, mean_pressure=70e3,
    ...                                            radius_over_width=4, friction_surfaces=2), 1)
    113.1

    References
    ----------
    .. [1] R. S. Khurmi and J. K. Gupta, Theory of Machines, ch. 10, worked example on a 7.5 kW clutch.
    """
    moment, friction, pressure, slim = positive(
        torque=torque,
        friction_coefficient=friction_coefficient,
        mean_pressure=mean_pressure,
        radius_over_width=radius_over_width,
    )
    refuse_where(slim <= 0.5, "radius_over_width", "must be above 0.5, else the ring has no hole", slim)
    (surfaces,) = whole(1, 64, friction_surfaces=friction_surfaces)
    return result(np.cbrt(moment * slim / (surfaces * friction * pressure * 2 * np.pi)))


def bedded_pressure(
    *, clamp_load: Numbers, radius: Numbers, outer_radius: Numbers, inner_radius: Numbers, coverage: Numbers = 1.0
) -> Numbers:
    """Pressure of a bedded face at a radius: it falls outward, load times radius being even.

    Formula
    -------
    bedded_pressure = clamp_load / (coverage * 2 * pi * radius * (outer_radius - inner_radius))

    Parameters
    ----------
    clamp_load : float or array
        Clamp load, [N]
    radius : float or array
        Radius in question, [m]
    outer_radius : float or array
        Outer radius of the ring, [m]
    inner_radius : float or array
        Inner radius of the ring, [m]
    coverage : float or array
        Share of the ring that is facing, [-]

    Returns
    -------
    bedded_pressure : float or array
        Pressure, [Pa]

    Validity
    --------
    0 < inner_radius <= radius <= outer_radius, the ends apart; clamp_load above zero; 0 < coverage <= 1.

    Examples
    --------
    At the outer edge of a 100/50 mm ring under 4 kN:

    >>> round(bedded_pressure(clamp_load=4000, radius=0.1, outer_radius=0.1, inner_radius=0.05) / 1e6, 4)
    0.1273

    References
    ----------
    .. [1] R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 24 (minimum pressure, from memory).
    """
    load, where, outer, inner = positive(
        clamp_load=clamp_load, radius=radius, outer_radius=outer_radius, inner_radius=inner_radius
    )
    below("outer_radius", outer, inner_radius=inner)
    refuse_where((where < inner) | (where > outer), "radius", "must lie between inner_radius and outer_radius", where)
    (covered,) = share(coverage=coverage)
    return result(load / (covered * 2 * np.pi * where * (outer - inner)))


def surfaces_of_plates(*, first_plates: Numbers, second_plates: Numbers) -> Numbers:
    """Friction surfaces of a stack of alternating plates.

    Formula
    -------
    surfaces_of_plates = first_plates + second_plates - 1

    Parameters
    ----------
    first_plates : int or array
        Plates of one kind, [-]
    second_plates : int or array
        Plates of the other kind, [-]

    Returns
    -------
    surfaces_of_plates : float or array
        Number of friction surfaces, [-]

    Validity
    --------
    Whole numbers from 1 to 32 that differ by one at most, so that the plates can alternate.

    Examples
    --------
    >>> surfaces_of_plates(first_plates=5, second_plates=4)
    8.0

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.8.
    """
    first, second = whole(1, 32, first_plates=first_plates, second_plates=second_plates)
    refuse_where(np.abs(first - second) > 1, "second_plates", "must be within one of first_plates", second)
    return result(first + second - 1)


def surfaces_needed(
    *, torque: Numbers, friction_coefficient: Numbers, clamp_load: Numbers, mean_radius: Numbers
) -> Numbers:
    """Friction surfaces needed to hold a torque, as an exact figure.

    Formula
    -------
    surfaces_needed = torque / (friction_coefficient * clamp_load * mean_radius)

    Parameters
    ----------
    torque : float or array
        Torque to hold, [N m]
    friction_coefficient : float or array
        Friction coefficient, [-]
    clamp_load : float or array
        Clamp load, [N]
    mean_radius : float or array
        Mean friction radius, [m]

    Returns
    -------
    surfaces_needed : float or array
        Number, usually not whole: see `whole_discs`, [-]

    Validity
    --------
    All above zero.

    Examples
    --------
    >>> round(surfaces_needed(torque=50.93, friction_coefficient=0.1, clamp_load=3628.5, mean_radius=0.055), 2)
    2.55

    References
    ----------
    .. [1] R. C. Juvinall and K. M. Marshek, Fundamentals of Machine Component Design, ch. 18 (from memory).
    """
    moment, friction, load, radius = positive(
        torque=torque, friction_coefficient=friction_coefficient, clamp_load=clamp_load, mean_radius=mean_radius
    )
    return result(moment / (friction * load * radius))


def whole_discs(*, surfaces_needed: Numbers) -> Numbers:
    """Lined discs that give at least a number of friction surfaces.

    Formula
    -------
    whole_discs = ceil(surfaces_needed / 2)

    Parameters
    ----------
    surfaces_needed : float or array
        Friction surfaces needed, see `surfaces_needed`, [-]

    Returns
    -------
    whole_discs : float or array
        Number of discs, each with two surfaces, [-]

    Validity
    --------
    surfaces_needed above zero.

    Examples
    --------
    >>> whole_discs(surfaces_needed=6.69)
    4.0

    References
    ----------
    .. [1] R. C. Juvinall and K. M. Marshek, Fundamentals of Machine Component Design, ch. 18 (from memory).
    """
    (needed,) = positive(surfaces_needed=surfaces_needed)
    # A figure that is whole but for rounding must not cost a disc.
    return result(np.ceil(np.round(needed / 2, 9)))
