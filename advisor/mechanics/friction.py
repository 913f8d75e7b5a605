"""Torque capacity and pressure of dry friction faces; friction against temperature.

Lengths of a full-face disc here are those of its friction ring. Paddles and
buttons are in `paddles`.
"""

import numpy as np

from .argument_checks import (
    Array,
    MechanicsError,
    Numbers,
    below,
    choice,
    finite,
    not_negative,
    positive,
    refuse_where,
    result,
    share,
    whole,
)

THEORIES = ("uniform_wear", "uniform_pressure")


def mean_radius(*, outer_radius: Numbers, inner_radius: Numbers, theory: str) -> Numbers:
    """Radius at which the friction force of a ring may be taken to act.

    Formula
    -------
    mean_radius = (outer_radius + inner_radius) / 2, where theory is uniform_wear
    cubes = outer_radius**3 - inner_radius**3
    squares = outer_radius**2 - inner_radius**2
    mean_radius = 2/3 * cubes / squares, where theory is uniform_pressure

    Parameters
    ----------
    outer_radius : float or array
        Outer radius of the friction ring, [m]
    inner_radius : float or array
        Inner radius of the friction ring, zero for a full disc, [m]
    theory : str
        uniform_wear (bedded faces) or uniform_pressure (new, flat faces), [-]

    Returns
    -------
    mean_radius : float or array
        Mean friction radius, [m]

    Validity
    --------
    0 <= inner_radius < outer_radius. Sectors of the ring have the same mean radius whatever their angle.

    Examples
    --------
    >>> mean_radius(outer_radius=0.125, inner_radius=0.0875, theory="uniform_wear")
    0.10625

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.6.
    """
    choice(THEORIES, theory=theory)
    (outer,) = positive(outer_radius=outer_radius)
    (inner,) = not_negative(inner_radius=inner_radius)
    below("outer_radius", outer, inner_radius=inner)
    if theory == "uniform_wear":
        return result((outer + inner) / 2)
    # The common factor outer - inner is divided out: exact for thin rings too.
    return result(2 / 3 * (outer**2 + outer * inner + inner**2) / (outer + inner))


def torque_capacity(
    *, friction_coefficient: Numbers, clamp_load: Numbers, mean_radius: Numbers, friction_surfaces: Numbers
) -> Numbers:
    """Torque a stack of friction surfaces holds before it slips.

    Formula
    -------
    torque = friction_surfaces * friction_coefficient * clamp_load * mean_radius

    Parameters
    ----------
    friction_coefficient : float or array
        Friction coefficient of facing on iron or steel, [-]
    clamp_load : float or array
        Clamp load of the cover, [N]
    mean_radius : float or array
        Radius at which the friction force acts, see `mean_radius`, [m]
    friction_surfaces : int or array
        Number of friction surfaces, two for each disc, [-]

    Returns
    -------
    torque : float or array
        Torque capacity, [N m]

    Validity
    --------
    All arguments above zero; friction_surfaces a whole number from 1 to 64.

    Examples
    --------
    The nine-spring clutch of [1]_, uniform wear, gives 2.142 times 250 N m:

    >>> round(torque_capacity(friction_coefficient=0.35, clamp_load=7200, mean_radius=0.10625, friction_surfaces=2), 2)
    535.5

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.6.
    """
    mu, load, radius = positive(
        friction_coefficient=friction_coefficient, clamp_load=clamp_load, mean_radius=mean_radius
    )
    (surfaces,) = whole(1, 64, friction_surfaces=friction_surfaces)
    return result(surfaces * mu * load * radius)


def clamp_load_for_torque(
    *, torque: Numbers, friction_coefficient: Numbers, mean_radius: Numbers, friction_surfaces: Numbers
) -> Numbers:
    """Clamp load at which a stack of friction surfaces just holds a torque.

    Formula
    -------
    clamp_load = torque / (friction_surfaces * friction_coefficient * mean_radius)

    Parameters
    ----------
    torque : float or array
        Torque to hold, [N m]
    friction_coefficient : float or array
        Friction coefficient, [-]
    mean_radius : float or array
        Mean friction radius, [m]
    friction_surfaces : int or array
        Number of friction surfaces, two for each disc, [-]

    Returns
    -------
    clamp_load : float or array
        Clamp load, [N]

    Validity
    --------
    All arguments above zero; friction_surfaces a whole number from 1 to 64.

    Examples
    --------
    >>> round(clamp_load_for_torque(torque=250, friction_coefficient=0.35, mean_radius=0.10625, friction_surfaces=2), 1)
    3361.3

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11 (`torque_capacity` solved for the load).
    """
    moment, mu, radius = positive(torque=torque, friction_coefficient=friction_coefficient, mean_radius=mean_radius)
    (surfaces,) = whole(1, 64, friction_surfaces=friction_surfaces)
    return result(moment / (surfaces * mu * radius))


def facing_area(*, outer_radius: Numbers, inner_radius: Numbers, coverage: Numbers = 1.0) -> Numbers:
    """Friction area of one face.

    Formula
    -------
    facing_area = coverage * pi * (outer_radius**2 - inner_radius**2)

    Parameters
    ----------
    outer_radius : float or array
        Outer radius of the ring, [m]
    inner_radius : float or array
        Inner radius of the ring, [m]
    coverage : float or array
        Share of the ring that is facing (grooves, rivets, spaces between paddles taken off), [-]

    Returns
    -------
    facing_area : float or array
        Area, [m2]

    Validity
    --------
    0 <= inner_radius < outer_radius; 0 < coverage <= 1.

    Examples
    --------
    A 240/155 mm facing, one side (both together 52 740 mm2 in the source's reckoning):

    >>> round(facing_area(outer_radius=0.120, inner_radius=0.0775) * 1e6)
    26370

    References
    ----------
    .. [1] Area of a ring, elementary geometry; one figure for coverage is common practice, no source.
    """
    (outer,) = positive(outer_radius=outer_radius)
    (inner,) = not_negative(inner_radius=inner_radius)
    below("outer_radius", outer, inner_radius=inner)
    (covered,) = share(coverage=coverage)
    return result(covered * np.pi * (outer - inner) * (outer + inner))


def mean_pressure(*, clamp_load: Numbers, facing_area: Numbers) -> Numbers:
    """Mean pressure on a face: load over facing area.

    Formula
    -------
    mean_pressure = clamp_load / facing_area

    Parameters
    ----------
    clamp_load : float or array
        Clamp load, [N]
    facing_area : float or array
        Facing area of one face, [m2]

    Returns
    -------
    mean_pressure : float or array
        Mean pressure, [Pa]

    Validity
    --------
    Both arguments above zero.

    Examples
    --------
    >>> round(mean_pressure(clamp_load=4000, facing_area=0.0235619) / 1e6, 2)
    0.17

    References
    ----------
    .. [1] R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 24 (average pressure, from memory).
    """
    load, area = positive(clamp_load=clamp_load, facing_area=facing_area)
    return result(load / area)


def _load_per_peak_pressure(outer_radius: Numbers, inner_radius: Numbers, theory: str, coverage: Numbers) -> Array:
    """Clamp load for a peak pressure of one, after checking."""
    choice(THEORIES, theory=theory)
    (outer,) = positive(outer_radius=outer_radius)
    check = positive if theory == "uniform_wear" else not_negative
    (inner,) = check(inner_radius=inner_radius)
    below("outer_radius", outer, inner_radius=inner)
    (covered,) = share(coverage=coverage)
    if theory == "uniform_wear":
        return covered * 2 * np.pi * inner * (outer - inner)
    return covered * np.pi * (outer - inner) * (outer + inner)


def peak_pressure(
    *, clamp_load: Numbers, outer_radius: Numbers, inner_radius: Numbers, theory: str, coverage: Numbers = 1.0
) -> Numbers:
    """Greatest pressure on a face: at the inner edge once bedded, everywhere when new.

    Formula
    -------
    area = coverage * 2 * pi * inner_radius * (outer_radius - inner_radius), where theory is uniform_wear
    area = coverage * pi * (outer_radius**2 - inner_radius**2), where theory is uniform_pressure
    peak_pressure = clamp_load / area

    Parameters
    ----------
    clamp_load : float or array
        Clamp load, [N]
    outer_radius : float or array
        Outer radius of the ring, [m]
    inner_radius : float or array
        Inner radius of the ring, [m]
    theory : str
        uniform_wear or uniform_pressure, [-]
    coverage : float or array
        Share of the ring that is facing, [-]

    Returns
    -------
    peak_pressure : float or array
        Greatest pressure, [Pa]

    Validity
    --------
    0 < inner_radius < outer_radius (zero allowed for uniform_pressure); 0 < coverage <= 1.

    Examples
    --------
    The 4 kN, 250/175 mm plate of [1]_, 194 kPa:

    >>> round(peak_pressure(clamp_load=4000, outer_radius=0.125, inner_radius=0.0875, theory="uniform_wear") / 1000)
    194

    References
    ----------
    .. [1] J. E. Shigley et al., Mechanical Engineering Design, ch. 16, problem on a plate clutch (from memory).
    """
    (load,) = positive(clamp_load=clamp_load)
    return result(load / _load_per_peak_pressure(outer_radius, inner_radius, theory, coverage))


def clamp_load_for_peak_pressure(
    *, peak_pressure: Numbers, outer_radius: Numbers, inner_radius: Numbers, theory: str, coverage: Numbers = 1.0
) -> Numbers:
    """Clamp load at which the most loaded place of a face reaches a pressure.

    Formula
    -------
    area = coverage * 2 * pi * inner_radius * (outer_radius - inner_radius), where theory is uniform_wear
    area = coverage * pi * (outer_radius**2 - inner_radius**2), where theory is uniform_pressure
    clamp_load = peak_pressure * area

    Parameters
    ----------
    peak_pressure : float or array
        Pressure allowed, [Pa]
    outer_radius : float or array
        Outer radius of the ring, [m]
    inner_radius : float or array
        Inner radius of the ring, [m]
    theory : str
        uniform_wear or uniform_pressure, [-]
    coverage : float or array
        Share of the ring that is facing, [-]

    Returns
    -------
    clamp_load : float or array
        Clamp load, [N]

    Validity
    --------
    As `peak_pressure`.

    Examples
    --------
    >>> round(clamp_load_for_peak_pressure(peak_pressure=1e6, outer_radius=0.1, inner_radius=0.05,
    ...                                    theory="uniform_wear"), 1)
    15708.0

    References
    ----------
    .. [1] V. B. Bhandari, Design of Machine Elements, ch. 11, example 11.1.
    """
    (pressure,) = positive(peak_pressure=peak_pressure)
    return result(pressure * _load_per_peak_pressure(outer_radius, inner_radius, theory, coverage))


def outer_radius_for_torque(
    *,
    torque: Numbers,
    friction_coefficient: Numbers,
    peak_pressure: Numbers,
    radius_ratio: Numbers,
    friction_surfaces: Numbers,
    theory: str,
) -> Numbers:
    """Smallest outer radius of a full ring that holds a torque at a pressure limit.

    Formula
    -------
    shape = (1 - radius_ratio**-2) / radius_ratio, where theory is uniform_wear
    shape = 2/3 * (1 - radius_ratio**-3), where theory is uniform_pressure
    outer_radius = (torque / (friction_surfaces * pi * friction_coefficient * peak_pressure * shape))**(1/3)

    Parameters
    ----------
    torque : float or array
        Torque to hold, [N m]
    friction_coefficient : float or array
        Friction coefficient, [-]
    peak_pressure : float or array
        Greatest pressure allowed, [Pa]
    radius_ratio : float or array
        Outer over inner radius, [-]
    friction_surfaces : int or array
        Number of friction surfaces, two for each disc, [-]
    theory : str
        uniform_wear or uniform_pressure, [-]

    Returns
    -------
    outer_radius : float or array
        Outer radius, [m]

    Validity
    --------
    All numbers above zero; radius_ratio above 1; friction_surfaces a whole number from 1 to 64.

    Examples
    --------
    >>> round(outer_radius_for_torque(torque=100, friction_coefficient=0.3, peak_pressure=85e3, radius_ratio=1.25,
    ...                               friction_surfaces=2, theory="uniform_wear") * 1000, 1)
    129.4

    References
    ----------
    .. [1] R. S. Khurmi and J. K. Gupta, Theory of Machines, ch. 10, exercise with printed answer (from memory).
    """
    choice(THEORIES, theory=theory)
    moment, mu, pressure, ratio = positive(
        torque=torque, friction_coefficient=friction_coefficient, peak_pressure=peak_pressure, radius_ratio=radius_ratio
    )
    refuse_where(ratio <= 1, "radius_ratio", "must be above 1 (outer over inner radius)", ratio)
    (surfaces,) = whole(1, 64, friction_surfaces=friction_surfaces)
    if theory == "uniform_wear":
        shape = (1 - ratio**-2) / ratio
    else:
        shape = 2 / 3 * (1 - ratio**-3)
    return result(np.cbrt(moment / (surfaces * np.pi * mu * pressure * shape)))


def _curve(temperatures: Array, factors: Array) -> tuple[Array, Array]:
    """Check a friction curve; its points lie along the last axis."""
    (temperatures,) = finite(curve_temperatures=temperatures)
    (factors,) = positive(curve_factors=factors)
    if temperatures.ndim == 0 or temperatures.shape[-1] == 0:
        raise MechanicsError(
            "curve_temperatures", "must hold at least one point along its last axis", temperatures.tolist()
        )
    if factors.ndim == 0 or factors.shape[-1] != temperatures.shape[-1]:
        raise MechanicsError("curve_factors", "must have as many points as curve_temperatures", factors.tolist())
    steps = np.diff(temperatures, axis=-1)
    refuse_where(steps <= 0, "curve_temperatures", "must rise from point to point", temperatures[..., 1:])
    return temperatures, factors


def _factor(temperature: Numbers, temperatures: Array, factors: Array) -> Array:
    """Factor at a temperature; one pass per segment, so cases x kits never loop in Python."""
    factor = factors[..., 0]
    for point in range(temperatures.shape[-1] - 1):
        start, end = temperatures[..., point], temperatures[..., point + 1]
        along = np.clip((temperature - start) / (end - start), 0.0, 1.0)
        factor = factor + along * (factors[..., point + 1] - factors[..., point])
    return factor + np.zeros_like(temperature)


def friction_at_temperature(
    *, friction_coefficient: Numbers, temperature: Numbers, curve_temperatures: Array, curve_factors: Array
) -> Numbers:
    """Friction coefficient at a temperature, by a facing's curve of factors.

    Formula
    -------
    friction_at_temperature = friction_coefficient * interp(temperature, curve_temperatures, curve_factors)

    Parameters
    ----------
    friction_coefficient : float or array
        Friction coefficient to which the factors refer, [-]
    temperature : float or array
        Temperature of the face, any shape, [degC]
    curve_temperatures : array
        Temperatures of the curve's points, rising, along the last axis, [degC]
    curve_factors : array
        Factors at these points, along the last axis, [-]

    Returns
    -------
    friction_at_temperature : float or array
        Friction coefficient, in the broadcast shape of the other arguments and the curve without its last axis, [-]

    Validity
    --------
    Linear between the points, flat beyond the ends. One curve for each kit goes along the leading axes;
    shorter curves are filled up with a higher temperature and the last factor, which changes nothing.

    Examples
    --------
    An organic facing at 300 C by the fade shape of common practice:

    >>> round(friction_at_temperature(friction_coefficient=0.33, temperature=300,
    ...                               curve_temperatures=[200, 300, 375], curve_factors=[1, 0.8, 0.5]), 3)
    0.264

    References
    ----------
    .. [1] Linear interpolation; the shape of such curves is common practice, no source.
    """
    (mu,) = positive(friction_coefficient=friction_coefficient)
    (heat,) = finite(temperature=temperature)
    return result(mu * _factor(heat, *_curve(curve_temperatures, curve_factors)))


def lowest_friction(
    *,
    friction_coefficient: Numbers,
    cold_temperature: Numbers,
    hot_temperature: Numbers,
    curve_temperatures: Array,
    curve_factors: Array,
) -> Numbers:
    """Lowest friction coefficient met between a cold and a hot temperature.

    Formula
    -------
    cold_factor = interp(cold_temperature, curve_temperatures, curve_factors)
    hot_factor = interp(hot_temperature, curve_temperatures, curve_factors)
    lowest_friction = friction_coefficient * min(cold_factor, hot_factor)

    Parameters
    ----------
    friction_coefficient : float or array
        Friction coefficient to which the factors refer, [-]
    cold_temperature : float or array
        Coldest temperature at which the clutch must hold, [degC]
    hot_temperature : float or array
        Hottest temperature at which it must hold, [degC]
    curve_temperatures : array
        Temperatures of the curve's points, rising, along the last axis, [degC]
    curve_factors : array
        Factors at these points, along the last axis, [-]

    Returns
    -------
    lowest_friction : float or array
        Friction coefficient, [-]

    Validity
    --------
    cold_temperature at or below hot_temperature. For a curve that rises and then falls this is the lower of the cold
    and the hot friction; a dip of the curve in between counts too.

    Examples
    --------
    A carbon-carbon pack is at its weakest cold:

    >>> round(lowest_friction(friction_coefficient=0.36, cold_temperature=20, hot_temperature=250,
    ...                       curve_temperatures=[20, 100, 200, 300], curve_factors=[0.72, 0.78, 0.92, 1]), 4)
    0.2592

    References
    ----------
    .. [1] The lower of the cold and the hot factor: common practice, no source.
    """
    (mu,) = positive(friction_coefficient=friction_coefficient)
    cold, hot = finite(cold_temperature=cold_temperature, hot_temperature=hot_temperature)
    refuse_where(cold > hot, "cold_temperature", "must not be above hot_temperature", cold)
    temperatures, factors = _curve(curve_temperatures, curve_factors)
    lowest = np.minimum(_factor(cold, temperatures, factors), _factor(hot, temperatures, factors))
    for point in range(temperatures.shape[-1]):
        here, factor = temperatures[..., point], factors[..., point]
        lowest = np.where((cold < here) & (here < hot), np.minimum(lowest, factor), lowest)
    return result(mu * lowest)
