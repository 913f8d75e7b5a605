"""Heat of slip in plates and facings: shares, rise by one event and by many, the surface, load on the facing area.

The surface of a plate of finite thickness stands in `heat_slab`, plates that warm each other in `heat_network`.
"""

import numpy as np

from .argument_checks import Numbers, finite, not_negative, positive, refuse_where, result, whole


def heat_share(*, discs: Numbers) -> Numbers:
    """Share of the slip heat that one metal friction surface takes.

    Every one of the two surfaces of each disc makes the same heat; all of it is booked to the metal, the careful
    choice, because a facing conducts little.

    Formula
    -------
    share = 1 / (2 * discs)

    Parameters
    ----------
    discs : int or array
        Number of clutch discs, [-]

    Returns
    -------
    share : float or array
        Share for one metal surface, also for flywheel or pressure plate, [-]

    Validity
    --------
    Whole number of discs from 1 to 8; equal torque on every surface.

    Examples
    --------
    >>> heat_share(discs=2)
    0.25

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design (from memory): 0.5 for a single, 0.25 and 0.5 for a twin; triples derived.
    """
    (number,) = whole(1, 8, discs=discs)
    return result(1 / (2 * number))


def floater_heat_share(*, discs: Numbers) -> Numbers:
    """Share of the slip heat that one floater takes: it has two hot faces.

    Formula
    -------
    share = min(1, discs - 1) / discs

    Parameters
    ----------
    discs : int or array
        Number of clutch discs, [-]

    Returns
    -------
    share : float or array
        Share for one floater; 0 for a single disc, which has none, [-]

    Validity
    --------
    Whole number of discs from 1 to 8; equal torque on every surface.

    Examples
    --------
    >>> floater_heat_share(discs=2)
    0.5
    >>> floater_heat_share(discs=1)
    0.0

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design (from memory): 0.5 for a single, 0.25 and 0.5 for a twin; triples derived.
    """
    (number,) = whole(1, 8, discs=discs)
    return result(np.where(number > 1, 1 / number, 0.0))


def temperature_rise(*, energy: Numbers, mass: Numbers, specific_heat: Numbers) -> Numbers:
    """Rise of a plate that takes in heat faster than it can lose it.

    Formula
    -------
    rise = energy / (mass * specific_heat)

    Parameters
    ----------
    energy : float or array
        Heat the plate takes, already times its share, [J]
    mass : float or array
        Mass of the plate, [kg]
    specific_heat : float or array
        Specific heat, iron 480 to 540, steel 480, aluminium 900, [J/(kg K)]

    Returns
    -------
    rise : float or array
        Mean rise of the plate, [K]

    Validity
    --------
    One event shorter than the time constant of the plate.

    Examples
    --------
    A 1.27 kg floater of a twin, half of 40 kJ:

    >>> round(temperature_rise(energy=20000, mass=1.27, specific_heat=480), 1)
    32.8

    References
    ----------
    .. [1] J. E. Shigley et al., Mechanical Engineering Design, ch. 16 (from memory).
    """
    (heat,) = not_negative(energy=energy)
    m, c = positive(mass=mass, specific_heat=specific_heat)
    return result(heat / (m * c))


def energy_per_area(*, energy: Numbers, facing_area: Numbers) -> Numbers:
    """Heat of one event over the whole facing area.

    Formula
    -------
    density = energy / facing_area

    Parameters
    ----------
    energy : float or array
        Heat of one event, [J]
    facing_area : float or array
        Area of all friction surfaces together, [m2]

    Returns
    -------
    density : float or array
        Heat per area; 1 J/mm2 is 1e6 of this, [J/m2]

    Validity
    --------
    Energy zero or above, area above zero.

    Examples
    --------
    Textbook start of a 1500 kg car on 240/155 mm facings, 0.31 J/mm2:

    >>> round(energy_per_area(energy=16.1e3, facing_area=0.05274) / 1e6, 2)
    0.31

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design (from memory): at most 0.40 J/mm2 for cars.
    """
    (heat,) = not_negative(energy=energy)
    (area,) = positive(facing_area=facing_area)
    return result(heat / area)


def power_per_area(*, clutch_torque: Numbers, slip_speed: Numbers, facing_area: Numbers) -> Numbers:
    """Friction power over the facing area at one moment of the slip.

    Formula
    -------
    density = clutch_torque * slip_speed / facing_area

    Parameters
    ----------
    clutch_torque : float or array
        Torque the slipping clutch carries, [N m]
    slip_speed : float or array
        Driving less driven speed, [rad/s]
    facing_area : float or array
        Area of all friction surfaces together, [m2]

    Returns
    -------
    density : float or array
        Power per area; 1 W/mm2 is 1e6 of this, [W/m2]

    Validity
    --------
    Highest at the start of a slip under constant torque.

    Examples
    --------
    >>> power_per_area(clutch_torque=300, slip_speed=300, facing_area=0.05) / 1e6
    1.8

    References
    ----------
    .. [1] M. J. Neale (ed.), The Tribology Handbook, table 7.4, lists 0.3 to 4 W/mm2 by facing.
    """
    torque, area = positive(clutch_torque=clutch_torque, facing_area=facing_area)
    (slip,) = not_negative(slip_speed=slip_speed)
    return result(torque * slip / area)


def cooling_time_constant(*, mass: Numbers, specific_heat: Numbers, heat_transfer: Numbers, area: Numbers) -> Numbers:
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


def repeated_peak_rise(*, rise: Numbers, interval: Numbers, time_constant: Numbers) -> Numbers:
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

    Examples
    --------
    >>> round(repeated_peak_rise(rise=25, interval=60, time_constant=400))
    179

    References
    ----------
    .. [1] J. E. Shigley et al., Mechanical Engineering Design, ch. 16, example 16-5 (from memory).
    """
    (single,) = not_negative(rise=rise)
    every, tau = positive(interval=interval, time_constant=time_constant)
    return result(single / -np.expm1(-every / tau))


def launches_until(
    *, rise: Numbers, interval: Numbers, time_constant: Numbers, allowed_rise: Numbers, most: Numbers = 1000
) -> Numbers:
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

    Examples
    --------
    >>> launches_until(rise=25, interval=60, time_constant=400, allowed_rise=100)
    5.0
    >>> launches_until(rise=25, interval=60, time_constant=400, allowed_rise=200)
    1000.0

    References
    ----------
    .. [1] Inverse of the sum of a geometric series, the rise after so many events; no source needed.
    """
    single, every, tau = positive(rise=rise, interval=interval, time_constant=time_constant)
    (limit,) = not_negative(allowed_rise=allowed_rise)
    (cap,) = whole(0, 1_000_000_000, most=most)
    reach = 1 + limit * np.expm1(-every / tau) / single
    endless = reach <= 0
    number = -tau / every * np.log(np.where(endless, 1.0, reach))
    # A limit met to the last digit counts as met.
    number = np.floor(number * (1 + 1e-12) + 1e-9)
    return result(np.where(endless, cap, np.minimum(number, cap)))


def effusivity(*, conductivity: Numbers, density: Numbers, specific_heat: Numbers) -> Numbers:
    """Thermal effusivity: how readily a surface takes heat in.

    Formula
    -------
    effusivity = sqrt(conductivity * density * specific_heat)

    Parameters
    ----------
    conductivity : float or array
        Thermal conductivity, [W/(m K)]
    density : float or array
        Density, [kg/m3]
    specific_heat : float or array
        Specific heat, [J/(kg K)]

    Returns
    -------
    effusivity : float or array
        Effusivity; iron and steel about 13 000, organic facing 800 to 1300, [J/(m2 K s0.5)]

    Validity
    --------
    All arguments above zero.

    Examples
    --------
    Sintered metal by the handbook figures of [2]_:

    >>> round(effusivity(conductivity=16, density=6000, specific_heat=420), -1)
    6350.0

    References
    ----------
    .. [1] H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, semi-infinite body (from memory).
    .. [2] M. J. Neale (ed.), The Tribology Handbook, clutch facings.
    """
    k, rho, c = positive(conductivity=conductivity, density=density, specific_heat=specific_heat)
    return result(np.sqrt(k * rho * c))


def metal_heat_share(*, metal_effusivity: Numbers, facing_effusivity: Numbers) -> Numbers:
    """Share of the heat of one friction surface that goes into the metal.

    Formula
    -------
    share = metal_effusivity / (metal_effusivity + facing_effusivity)

    Parameters
    ----------
    metal_effusivity : float or array
        Effusivity of the plate, [J/(m2 K s0.5)]
    facing_effusivity : float or array
        Effusivity of the facing, [J/(m2 K s0.5)]

    Returns
    -------
    share : float or array
        Share into the metal, [-]

    Validity
    --------
    Both bodies thick against the depth the heat reaches during the slip.

    Examples
    --------
    >>> round(metal_heat_share(metal_effusivity=13280, facing_effusivity=6350), 2)
    0.68

    References
    ----------
    .. [1] H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, semi-infinite body (from memory).
    """
    metal, facing = positive(metal_effusivity=metal_effusivity, facing_effusivity=facing_effusivity)
    return result(metal / (metal + facing))


def flash_rise(*, flux: Numbers, time: Numbers, effusivity: Numbers) -> Numbers:
    """Rise of the surface over the bulk under a constant heat flux.

    Formula
    -------
    rise = 2 * flux * sqrt(time / pi) / effusivity

    Parameters
    ----------
    flux : float or array
        Heat flux into the metal: over the swept ring, not the paddles, [W/m2]
    time : float or array
        Time the flux has lasted, [s]
    effusivity : float or array
        Effusivity of the metal, see `effusivity`, [J/(m2 K s0.5)]

    Returns
    -------
    rise : float or array
        Surface temperature over bulk, [K]

    Validity
    --------
    Body thick against sqrt(diffusivity * time), about 4 mm in iron after one second.

    Examples
    --------
    0.6 W/mm2 for a second on iron:

    >>> round(flash_rise(flux=0.6e6, time=1, effusivity=13280))
    51

    References
    ----------
    .. [1] H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, semi-infinite body (from memory).
    """
    q, t = not_negative(flux=flux, time=time)
    (e,) = positive(effusivity=effusivity)
    return result(2 * q * np.sqrt(t / np.pi) / e)


def flash_rise_falling(*, flux_start: Numbers, slip_time: Numbers, effusivity: Numbers) -> Numbers:
    """Highest rise of the surface over the bulk when the flux falls in a straight line to zero.

    The slip of a start under constant torque: the peak comes at half of the slip time.

    Formula
    -------
    rise = 2 / 3 * 2 * flux_start * sqrt(slip_time / 2 / pi) / effusivity

    Parameters
    ----------
    flux_start : float or array
        Heat flux into the metal when the slip begins, over the swept ring, [W/m2]
    slip_time : float or array
        Time until the flux is zero, [s]
    effusivity : float or array
        Effusivity of the metal, see `effusivity`, [J/(m2 K s0.5)]

    Returns
    -------
    rise : float or array
        Highest surface temperature over bulk, [K]

    Validity
    --------
    Body thick against sqrt(diffusivity * slip_time).

    Examples
    --------
    0.471 times the rise a constant flux would give:

    >>> round(flash_rise_falling(flux_start=1e6, slip_time=1, effusivity=13280), 1)
    40.1

    References
    ----------
    .. [1] H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, semi-infinite body (from memory).
    """
    q, t = not_negative(flux_start=flux_start, slip_time=slip_time)
    (e,) = positive(effusivity=effusivity)
    return result(4 / 3 * q * np.sqrt(t / 2 / np.pi) / e)


def flash_rise_falling_at(*, flux_start: Numbers, time: Numbers, slip_time: Numbers, effusivity: Numbers) -> Numbers:
    """Rise of the surface at one moment while the flux falls in a straight line to zero.

    Formula
    -------
    rise = 2 * flux_start * sqrt(time / pi) / effusivity * (1 - 2 * time / (3 * slip_time))

    Parameters
    ----------
    flux_start : float or array
        Heat flux into the metal when the slip begins, over the swept ring, [W/m2]
    time : float or array
        Time since the slip began, at most slip_time, [s]
    slip_time : float or array
        Time until the flux is zero, [s]
    effusivity : float or array
        Effusivity of the metal, see `effusivity`, [J/(m2 K s0.5)]

    Returns
    -------
    rise : float or array
        Surface temperature over bulk, [K]

    Validity
    --------
    time from 0 to slip_time; body thick against sqrt(diffusivity * slip_time).

    Examples
    --------
    >>> round(flash_rise_falling_at(flux_start=1e6, time=0.5, slip_time=1, effusivity=13280), 1)
    40.1

    References
    ----------
    .. [1] H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, semi-infinite body (from memory).
    """
    q, t = not_negative(flux_start=flux_start, time=time)
    total, e = positive(slip_time=slip_time, effusivity=effusivity)
    refuse_where(t > total, "time", "must not be above slip_time", t)
    return result(2 * q * np.sqrt(t / np.pi) / e * (1 - 2 * t / (3 * total)))


def surface_temperature(*, bulk_temperature: Numbers, rise: Numbers) -> Numbers:
    """Temperature of a plate's skin at the height of a slip.

    Formula
    -------
    surface = bulk_temperature + rise

    Parameters
    ----------
    bulk_temperature : float or array
        Temperature of the plate before the slip, [degC]
    rise : float or array
        Rise of the skin by that slip alone, see `heat_slab.slab_peak_rise`, [K]

    Returns
    -------
    surface : float or array
        Temperature of the skin, [degC]

    Validity
    --------
    rise zero or above. Not for a plate that holds the heat of the same slip already: that would count it twice.

    Examples
    --------
    >>> surface_temperature(bulk_temperature=180.0, rise=85.0)
    265.0

    References
    ----------
    .. [1] Heat conduction is linear: what was there before and what the slip adds are summed.
    """
    (bulk,) = finite(bulk_temperature=bulk_temperature)
    (quick,) = not_negative(rise=rise)
    return result(bulk + quick)
