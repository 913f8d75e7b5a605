"""The standard atmosphere, and what height takes from a naturally aspirated engine."""

from .checks import positive, result, within

# The standard atmosphere of ISO 2533.
SEA_TEMPERATURE = 288.15  # K
LAPSE = 0.0065  # K/m
EXPONENT = 5.256  # gravity over gas constant and lapse rate


def air_temperature_at(*, altitude):
    """Air temperature at a height in the standard atmosphere.

    Formula
    -------
    temperature = 288.15 - 0.0065 * altitude

    Parameters
    ----------
    altitude : float or array
        Height above the sea, [m]

    Returns
    -------
    temperature : float or array
        Air temperature, [K]

    Validity
    --------
    Height from -500 to 11000 m.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> air_temperature_at(altitude=1000)
    281.65

    References
    ----------
    .. [1] ISO 2533, standard atmosphere, up to 11 km.
    """
    (h,) = within(-500, 11000, altitude=altitude)
    return result(SEA_TEMPERATURE - LAPSE * h)


def air_pressure_at(*, altitude, sea_level_pressure=101325.0):
    """Air pressure at a height in the standard atmosphere.

    Formula
    -------
    pressure = sea_level_pressure * (1 - 0.0065 * altitude / 288.15)**5.256

    Parameters
    ----------
    altitude : float or array
        Height above the sea, [m]
    sea_level_pressure : float or array
        Air pressure at the sea, [Pa]

    Returns
    -------
    pressure : float or array
        Air pressure, [Pa]

    Validity
    --------
    Height from -500 to 11000 m.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(air_pressure_at(altitude=1500) / 100)
    846

    References
    ----------
    .. [1] ISO 2533, standard atmosphere, up to 11 km.
    """
    (h,) = within(-500, 11000, altitude=altitude)
    (pressure,) = positive(sea_level_pressure=sea_level_pressure)
    return result(pressure * (1 - LAPSE * h / SEA_TEMPERATURE) ** EXPONENT)


def altitude_factor(*, altitude):
    """Torque of a naturally aspirated engine at a height over that at the sea.

    The pressure falls with the power 5.256 and the colder air gives half a power back.

    Formula
    -------
    factor = (1 - 0.0065 * altitude / 288.15)**4.756

    Parameters
    ----------
    altitude : float or array
        Height above the sea, [m]

    Returns
    -------
    factor : float or array
        Torque or power over that at the sea, [-]

    Validity
    --------
    Height from -500 to 11000 m; natural engines. Boosted ones lose little.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> [round(altitude_factor(altitude=h), 3) for h in (500, 1000, 1500, 2000, 3000)]
    [0.947, 0.897, 0.849, 0.803, 0.717]

    References
    ----------
    .. [1] ISO 2533, standard atmosphere, up to 11 km.
    """
    (h,) = within(-500, 11000, altitude=altitude)
    return result((1 - LAPSE * h / SEA_TEMPERATURE) ** (EXPONENT - 0.5))


def sea_level_torque(*, torque, altitude_factor):
    """Torque at the sea of a natural engine measured, uncorrected, at a height.

    Formula
    -------
    sea_torque = torque / altitude_factor

    Parameters
    ----------
    torque : float or array
        Torque measured, without any correction, [N m]
    altitude_factor : float or array
        See `altitude_factor`, [-]

    Returns
    -------
    sea_torque : float or array
        Torque at the sea: what the clutch must be sized for, [N m]

    Validity
    --------
    Torque above zero; factor above 0, at most 1.2.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(sea_level_torque(torque=300, altitude_factor=0.849))
    353

    References
    ----------
    .. [1] Definition of the factor; no source needed.
    """
    t, factor = positive(torque=torque, altitude_factor=altitude_factor)
    within(0, 1.2, altitude_factor=altitude_factor)
    return result(t / factor)
