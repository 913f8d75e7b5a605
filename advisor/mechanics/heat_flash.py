"""Surface temperature during one slip of a body thick against the depth the heat reaches; thinner ones in `heat_slab`."""

import numpy as np

from .checks import finite, not_negative, positive, refuse_where, result


def effusivity(*, conductivity, density, specific_heat):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def metal_heat_share(*, metal_effusivity, facing_effusivity):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def flash_rise(*, flux, time, effusivity):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def flash_rise_falling(*, flux_start, slip_time, effusivity):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def flash_rise_falling_at(*, flux_start, time, slip_time, effusivity):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def surface_temperature(*, bulk_temperature, rise):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
