"""What size and boost, a quarter mile or the cylinders' pressure say of an engine's torque or power."""

import numpy as np

from .argument_checks import Numbers, positive, result
from .engine import boosted_torque, pressure_ratio, torque_from_bmep


def torque_from_boost(
    *,
    displacement: Numbers,
    boost: Numbers,
    natural_pressure: Numbers,
    charge_factor: Numbers,
    air_pressure: Numbers = 101325.0,
) -> Numbers:
    """Torque of a four-stroke from its size, its boost and the mean pressure it would have without.

    Formula
    -------
    torque = natural_pressure * displacement / (4 * pi) * (1 + boost / air_pressure) * charge_factor

    Parameters
    ----------
    displacement : float or array
        Displacement, [m3]
    boost : float or array
        Gauge pressure in the manifold, [Pa]
    natural_pressure : float or array
        Brake mean effective pressure without boost, [Pa]
    charge_factor : float or array
        What drive, exhaust and mixture cost, 0.85 to 0.95, [-]
    air_pressure : float or array
        Pressure of the air outside, [Pa]

    Returns
    -------
    torque : float or array
        Torque with boost, [N m]

    Validity
    --------
    As `torque_from_bmep`, `pressure_ratio` and `boosted_torque`.

    Examples
    --------
    >>> round(torque_from_boost(displacement=2.0e-3, boost=1.0e5, natural_pressure=10.5e5, charge_factor=0.9))
    299

    References
    ----------
    .. [1] Common practice, no source.
    """
    natural = torque_from_bmep(mean_pressure=natural_pressure, displacement=displacement)
    ratio = pressure_ratio(boost=boost, air_pressure=air_pressure)
    return boosted_torque(
        natural_torque=natural, pressure_ratio=ratio, temperature_ratio=1.0, charge_factor=charge_factor
    )


def torque_in_step(*, power: Numbers, stock_power: Numbers, stock_torque: Numbers) -> Numbers:
    """Peak torque that goes with a power, held against the two figures that the engine left the factory with.

    Formula
    -------
    torque = stock_torque * power / stock_power

    Parameters
    ----------
    power : float or array
        Peak power now, [W]
    stock_power : float or array
        Peak power from the factory, [W]
    stock_torque : float or array
        Peak torque from the factory, [N m]

    Returns
    -------
    torque : float or array
        Peak torque now, [N m]

    Validity
    --------
    All above zero; an engine whose power still peaks near where it did.

    Examples
    --------
    >>> torque_in_step(power=210e3, stock_power=150e3, stock_torque=290.0)
    406.0

    References
    ----------
    .. [1] Torque and power of one engine are tuned in step; judgement.
    """
    now, before, torque = positive(power=power, stock_power=stock_power, stock_torque=stock_torque)
    return result(torque * now / before)


def quarter_mile_power(*, mass: Numbers, end_speed: Numbers, constant: Numbers = 234.0) -> Numbers:
    """Power that a standing quarter mile takes, from the speed at its end and the mass of the car.

    Formula
    -------
    power / mass = (end_speed / constant) ** 3 in horsepower a pound and miles an hour

    Parameters
    ----------
    mass : float or array
        Mass of the car with driver, [kg]
    end_speed : float or array
        Speed at the end of the quarter mile, [m/s]
    constant : float or array
        Miles an hour that a horsepower a pound would reach: 224, 230 or 234, [-]

    Returns
    -------
    power : float or array
        Power at the flywheel, [W]

    Validity
    --------
    Mass and speed above zero; a car that puts its power down, on the flat.

    Examples
    --------
    3,000 lb at 117 mph takes 375 hp:

    >>> round(quarter_mile_power(mass=1360.7771, end_speed=52.30368) / 745.699872)
    375

    References
    ----------
    .. [1] Hale's quarter-mile formula, 234 times the cube root of horsepower over pounds; common practice, no source.
    .. [2] Huntington, Rod & Custom, December 1958, has 224; G. T. Fox, American Journal of Physics, 1973, derives the
       cube root and gives 230; both as quoted on public pages.
    """
    weight, speed, reached = positive(mass=mass, end_speed=end_speed, constant=constant)
    pounds, miles = weight / 0.45359237, speed / 0.44704
    return result((miles / reached) ** 3 * pounds * 745.6998715822702)


def mean_pressure(*, torque: Numbers, displacement: Numbers) -> Numbers:
    """Brake mean effective pressure of a four-stroke from its torque.

    Formula
    -------
    mean_pressure = 4 * pi * torque / displacement

    Parameters
    ----------
    torque : float or array
        Torque, [N m]
    displacement : float or array
        Displacement, [m3]

    Returns
    -------
    mean_pressure : float or array
        Brake mean effective pressure, [Pa]

    Validity
    --------
    Torque and displacement above zero.

    Examples
    --------
    >>> round(mean_pressure(torque=167.1, displacement=2.0e-3) / 1e5, 2)
    10.5

    References
    ----------
    .. [1] Work of one cycle of two turns: the reverse of `torque_from_bmep`.
    """
    turning, volume = positive(torque=torque, displacement=displacement)
    return result(4.0 * np.pi * turning / volume)
