"""Cooling of one plate and the peaks of repeated equal events."""

import numpy as np

from .checks import below, finite, not_negative, positive, result, whole, within


def cooling_time_constant(*, mass, specific_heat, heat_transfer, area):
    """Time constant of a plate that loses heat to the air alone.

    Formula
    -------
    time_constant = mass * specific_heat / (heat_transfer * area)

    Parameters
    ----------
    mass : float or array
        Mass of the plate, [kg]
    specific_heat : float or array
        Specific heat, [J/(kg K)]
    heat_transfer : float or array
        Heat transfer to the air, 20 to 60 inside a housing (from memory), [W/(m2 K)]
    area : float or array
        Area the air reaches, [m2]

    Returns
    -------
    time_constant : float or array
        Time after which 37 % of a temperature excess is left, [s]

    Validity
    --------
    All arguments above zero. A floater is coupled to its neighbours and cools faster, see `heat_network`.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(cooling_time_constant(mass=4, specific_heat=480, heat_transfer=30, area=0.12))
    533

    References
    ----------
    .. [1] J. E. Shigley et al., Mechanical Engineering Design, ch. 16, example 16-5 (from memory).
    """
    m, c, h, a = positive(mass=mass, specific_heat=specific_heat, heat_transfer=heat_transfer, area=area)
    return result(m * c / (h * a))


def neighbour_time_constant(*, mass, specific_heat, facing_conductance, facing_area, faces=2):
    """Time constant of a plate towards its neighbours through the facings.

    Formula
    -------
    time_constant = mass * specific_heat / (faces * facing_conductance * facing_area)

    Parameters
    ----------
    mass : float or array
        Mass of the plate, [kg]
    specific_heat : float or array
        Specific heat, [J/(kg K)]
    facing_conductance : float or array
        Conductance across one disc from plate to plate; organic 110, carbon 150, metallic 500 to 600, [W/(m2 K)]
    facing_area : float or array
        Area of one friction surface, [m2]
    faces : int or array
        Faces in contact, two for a floater, [-]

    Returns
    -------
    time_constant : float or array
        Time after which 37 % of a temperature difference is left, [s]

    Validity
    --------
    Neighbours far heavier than the plate; faces 1 or 2.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(neighbour_time_constant(mass=1.3, specific_heat=480, facing_conductance=110, facing_area=0.0264))
    107

    References
    ----------
    .. [1] Lumped conduction; the conductances are judgement, no source.
    """
    m, c, k, a = positive(
        mass=mass, specific_heat=specific_heat, facing_conductance=facing_conductance, facing_area=facing_area
    )
    (count,) = whole(1, 2, faces=faces)
    return result(m * c / (count * k * a))


def cooled_temperature(*, start_temperature, air_temperature, time, time_constant):
    """Temperature of a plate after a while of cooling in air.

    Formula
    -------
    temperature = air_temperature + (start_temperature - air_temperature) * exp(-time / time_constant)

    Parameters
    ----------
    start_temperature : float or array
        Temperature at the start, [degC]
    air_temperature : float or array
        Temperature of the air around, [degC]
    time : float or array
        Time of cooling, [s]
    time_constant : float or array
        See `cooling_time_constant`, [s]

    Returns
    -------
    temperature : float or array
        Temperature afterwards, [degC]

    Validity
    --------
    One lump, constant air temperature.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(cooled_temperature(start_temperature=200, air_temperature=80, time=400, time_constant=400), 1)
    124.1

    References
    ----------
    .. [1] Newton's law of cooling; no source needed.
    """
    start, air = finite(start_temperature=start_temperature, air_temperature=air_temperature)
    (t,) = not_negative(time=time)
    (tau,) = positive(time_constant=time_constant)
    return result(air + (start - air) * np.exp(-t / tau))


def repeated_peak_rise(*, rise, interval, time_constant):
    """Highest rise over the air after endless equal events: the steady peak.

    Formula
    -------
    peak = rise / (1 - exp(-interval / time_constant))

    Parameters
    ----------
    rise : float or array
        Rise by one event, [K]
    interval : float or array
        Time from event to event, [s]
    time_constant : float or array
        See `cooling_time_constant`, [s]

    Returns
    -------
    peak : float or array
        Rise over the air just after an event, [K]

    Validity
    --------
    One lump. Just before the next event the plate is lower by rise.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(repeated_peak_rise(rise=25, interval=60, time_constant=400))
    179

    References
    ----------
    .. [1] J. E. Shigley et al., Mechanical Engineering Design, ch. 16, example 16-5 (from memory).
    """
    (one,) = not_negative(rise=rise)
    every, tau = positive(interval=interval, time_constant=time_constant)
    return result(one / -np.expm1(-every / tau))


def peak_rise_after(*, rise, interval, time_constant, events):
    """Rise over the air just after the last of a number of equal events.

    Formula
    -------
    peak = rise * (1 - exp(-events * interval / time_constant)) / (1 - exp(-interval / time_constant))

    Parameters
    ----------
    rise : float or array
        Rise by one event, [K]
    interval : float or array
        Time from event to event, [s]
    time_constant : float or array
        See `cooling_time_constant`, [s]
    events : int or array
        Number of events, from a plate at the temperature of the air, [-]

    Returns
    -------
    peak : float or array
        Rise over the air just after the last event, [K]

    Validity
    --------
    One lump; whole number of events from 1 to 1e6.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(peak_rise_after(rise=25, interval=60, time_constant=400, events=5), 1)
    94.7

    References
    ----------
    .. [1] Geometric sum of the cooled rises; no source needed.
    """
    (one,) = not_negative(rise=rise)
    every, tau = positive(interval=interval, time_constant=time_constant)
    (number,) = whole(1, 1e6, events=events)
    return result(one * np.expm1(-number * every / tau) / np.expm1(-every / tau))


def launches_until(*, rise, interval, time_constant, allowed_rise, most=1000):
    """Equal events a plate bears before it passes a limit.

    Formula
    -------
    reach = 1 - allowed_rise * (1 - exp(-interval / time_constant)) / rise
    least = exp(-(most + 1) * interval / time_constant)
    launches = min(most, floor(-time_constant / interval * log(max(reach, least))))

    Parameters
    ----------
    rise : float or array
        Rise by one event, [K]
    interval : float or array
        Time from event to event, [s]
    time_constant : float or array
        See `cooling_time_constant`, [s]
    allowed_rise : float or array
        Limit, as rise over the air, [K]
    most : int or array
        Answer where the steady peak stays within the limit, and the highest answer given, [-]

    Returns
    -------
    launches : float or array
        Number of events whose peaks all stay within the limit, [-]

    Validity
    --------
    One lump from the temperature of the air; 0 where already the first event passes the limit.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> launches_until(rise=25, interval=60, time_constant=400, allowed_rise=100)
    5.0
    >>> launches_until(rise=25, interval=60, time_constant=400, allowed_rise=200)
    1000.0

    References
    ----------
    .. [1] Inverse of `peak_rise_after`; no source needed.
    """
    one, every, tau = positive(rise=rise, interval=interval, time_constant=time_constant)
    (limit,) = not_negative(allowed_rise=allowed_rise)
    (cap,) = whole(0, 1e9, most=most)
    reach = 1 + limit * np.expm1(-every / tau) / one
    endless = reach <= 0
    number = -tau / every * np.log(np.where(endless, 1.0, reach))
    # A limit met to the last digit counts as met.
    number = np.floor(number * (1 + 1e-12) + 1e-9)
    return result(np.where(endless, cap, np.minimum(number, cap)))


def ring_air_area(*, mass, density, outer_diameter, inner_diameter, exposed_faces):
    """Area that air reaches on a plate, taken as a plain ring of known mass.

    Formula
    -------
    face = pi / 4 * (outer_diameter**2 - inner_diameter**2)
    thickness = mass / (density * face)
    area = pi * (outer_diameter + inner_diameter) * thickness + exposed_faces * face

    Parameters
    ----------
    mass : float or array
        Mass of the plate, [kg]
    density : float or array
        Density, iron 7200, steel 7850, [kg/m3]
    outer_diameter : float or array
        Outer diameter, [m]
    inner_diameter : float or array
        Inner diameter, [m]
    exposed_faces : float or array
        Flat faces open to the air: 1 for a pressure plate or flywheel, 0 to 1 for a floater, [-]

    Returns
    -------
    area : float or array
        Rim, bore and the exposed share of the faces, [m2]

    Validity
    --------
    inner_diameter below outer_diameter; exposed_faces from 0 to 2.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(ring_air_area(mass=2.5, density=7200, outer_diameter=0.245, inner_diameter=0.150, exposed_faces=1), 4)
    0.0441

    References
    ----------
    .. [1] Geometry of a ring; no source needed.
    """
    m, rho, outer, inner = positive(
        mass=mass, density=density, outer_diameter=outer_diameter, inner_diameter=inner_diameter
    )
    below("outer_diameter", outer, inner_diameter=inner)
    (faces,) = within(0, 2, exposed_faces=exposed_faces)
    face = np.pi / 4 * (outer**2 - inner**2)
    return result(np.pi * (outer + inner) * m / (rho * face) + faces * face)
