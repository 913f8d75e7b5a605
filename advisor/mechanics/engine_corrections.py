"""Correction standards that take the weather out of a measured torque."""

import numpy as np

from .checks import choice, not_negative, result, within

PRESSURES = (50_000, 110_000)
TEMPERATURES = (-40, 60)


def correction_sae_j1349(*, dry_pressure, air_temperature):
    """Correction factor of SAE J1349 (25 degC, 99 kPa dry, 85 % mechanical efficiency).

    Formula
    -------
    factor = 1.180 * (99000 / dry_pressure) * sqrt((air_temperature + 273) / 298) - 0.180

    Parameters
    ----------
    dry_pressure : float or array
        Pressure of the dry air where it was measured, [Pa]
    air_temperature : float or array
        Temperature of the intake air, [degC]

    Returns
    -------
    factor : float or array
        Corrected over measured torque or power, [-]

    Validity
    --------
    Air pressure from 50 to 110 kPa, temperature from -40 to 60 degC.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(correction_sae_j1349(dry_pressure=95000, air_temperature=30), 2)
    1.06

    References
    ----------
    .. [1] SAE J1349, June 1990, as a public page on dynamometer figures quotes it.
    """
    (pressure,) = within(*PRESSURES, dry_pressure=dry_pressure)
    (temperature,) = within(*TEMPERATURES, air_temperature=air_temperature)
    return result(1.180 * (99000 / pressure) * np.sqrt((temperature + 273) / 298) - 0.180)


def correction_sae_j607(*, dry_pressure, air_temperature):
    """Correction factor of the withdrawn SAE J607 (15.6 degC, 101.3 kPa), about 4 % high.

    Formula
    -------
    factor = (101300 / dry_pressure) * sqrt((air_temperature + 273) / 288.7)

    Parameters
    ----------
    dry_pressure : float or array
        Pressure of the dry air where it was measured, [Pa]
    air_temperature : float or array
        Temperature of the intake air, [degC]

    Returns
    -------
    factor : float or array
        Corrected over measured torque or power, [-]

    Validity
    --------
    Air pressure from 50 to 110 kPa, temperature from -40 to 60 degC.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(correction_sae_j607(dry_pressure=99000, air_temperature=25), 2)
    1.04

    References
    ----------
    .. [1] SAE J607 (from memory).
    """
    (pressure,) = within(*PRESSURES, dry_pressure=dry_pressure)
    (temperature,) = within(*TEMPERATURES, air_temperature=air_temperature)
    return result(101300 / pressure * np.sqrt((temperature + 273) / 288.7))


def correction_din_70020(*, dry_pressure, air_temperature):
    """Correction factor of DIN 70020 (20 degC, 101.3 kPa).

    Formula
    -------
    factor = (101300 / dry_pressure) * sqrt((air_temperature + 273) / 293)

    Parameters
    ----------
    dry_pressure : float or array
        Pressure of the dry air where it was measured, [Pa]
    air_temperature : float or array
        Temperature of the intake air, [degC]

    Returns
    -------
    factor : float or array
        Corrected over measured torque or power, [-]

    Validity
    --------
    Air pressure from 50 to 110 kPa, temperature from -40 to 60 degC. The standard takes the whole pressure, not the
    dry one.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(correction_din_70020(dry_pressure=99000, air_temperature=25), 3)
    1.032

    References
    ----------
    .. [1] DIN 70020, as a public page on dynamometer figures quotes it.
    """
    (pressure,) = within(*PRESSURES, dry_pressure=dry_pressure)
    (temperature,) = within(*TEMPERATURES, air_temperature=air_temperature)
    return result(101300 / pressure * np.sqrt((temperature + 273) / 293))


def correction_iso_1585_spark(*, dry_pressure, air_temperature):
    """Correction factor of ISO 1585 for spark ignition (25 degC, 99 kPa dry).

    Formula
    -------
    factor = (99000 / dry_pressure)**1.2 * ((air_temperature + 273) / 298)**0.6

    Parameters
    ----------
    dry_pressure : float or array
        Pressure of the dry air where it was measured, [Pa]
    air_temperature : float or array
        Temperature of the intake air, [degC]

    Returns
    -------
    factor : float or array
        Corrected over measured torque or power, [-]

    Validity
    --------
    Air pressure from 50 to 110 kPa, temperature from -40 to 60 degC. The standard itself accepts a test only
    between 0.93 and 1.07.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(correction_iso_1585_spark(dry_pressure=95000, air_temperature=30), 3)
    1.061

    References
    ----------
    .. [1] ISO 1585 (from memory).
    """
    (pressure,) = within(*PRESSURES, dry_pressure=dry_pressure)
    (temperature,) = within(*TEMPERATURES, air_temperature=air_temperature)
    return result((99000 / pressure) ** 1.2 * ((temperature + 273) / 298) ** 0.6)


def correction_iso_1585_diesel(*, dry_pressure, air_temperature, charging, engine_exponent):
    """Correction factor of ISO 1585 for compression ignition.

    Formula
    -------
    warmth = (air_temperature + 273) / 298
    air = 99000 / dry_pressure * warmth**0.7, where charging is natural
    air = 99000 / dry_pressure * warmth**0.7, where charging is supercharged
    air = (99000 / dry_pressure)**0.7 * warmth**1.5, where charging is turbo
    factor = air**engine_exponent

    Parameters
    ----------
    dry_pressure : float or array
        Pressure of the dry air where it was measured, [Pa]
    air_temperature : float or array
        Temperature of the intake air, [degC]
    charging : str
        "natural", "supercharged" or "turbo", [-]
    engine_exponent : float or array
        Exponent of the engine by its fuelling, 0.2 to 1.2; 0.3 for lean engines, [-]

    Returns
    -------
    factor : float or array
        Corrected over measured torque or power, [-]

    Validity
    --------
    Air pressure from 50 to 110 kPa, temperature from -40 to 60 degC. engine_exponent from 0 to 1.2.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(correction_iso_1585_diesel(dry_pressure=95000, air_temperature=30, charging="turbo",
    ...                                  engine_exponent=0.3), 3)
    1.016

    References
    ----------
    .. [1] ISO 1585 (from memory).
    """
    (pressure,) = within(*PRESSURES, dry_pressure=dry_pressure)
    (temperature,) = within(*TEMPERATURES, air_temperature=air_temperature)
    choice(("natural", "supercharged", "turbo"), charging=charging)
    (exponent,) = within(0, 1.2, engine_exponent=engine_exponent)
    a, b = (0.7, 1.5) if charging == "turbo" else (1.0, 0.7)
    return result(((99000 / pressure) ** a * ((temperature + 273) / 298) ** b) ** exponent)


def _uncorrected(*, dry_pressure, air_temperature):
    (pressure,) = within(*PRESSURES, dry_pressure=dry_pressure)
    (temperature,) = within(*TEMPERATURES, air_temperature=air_temperature)
    return result(np.ones(np.broadcast_shapes(pressure.shape, temperature.shape)))


STANDARDS = {
    "sae_j1349": correction_sae_j1349,
    "sae_j607": correction_sae_j607,
    "din_70020": correction_din_70020,
    "iso_1585_spark": correction_iso_1585_spark,
    "none": _uncorrected,
}


def correction_factor(*, standard, dry_pressure, air_temperature):
    """Correction factor by the name of its standard.

    Formula
    -------
    warmth = (air_temperature + 273) / 298
    factor = 1.180 * (99000 / dry_pressure) * sqrt(warmth) - 0.180, where standard is sae_j1349
    factor = 101300 / dry_pressure * sqrt(warmth * 298 / 288.7), where standard is sae_j607
    factor = 101300 / dry_pressure * sqrt(warmth * 298 / 293), where standard is din_70020
    factor = (99000 / dry_pressure)**1.2 * warmth**0.6, where standard is iso_1585_spark
    factor = 1, where standard is none

    Parameters
    ----------
    standard : str
        "sae_j1349", "sae_j607", "din_70020", "iso_1585_spark" or "none", [-]
    dry_pressure : float or array
        Pressure of the dry air where it was measured, [Pa]
    air_temperature : float or array
        Temperature of the intake air, [degC]

    Returns
    -------
    factor : float or array
        Corrected over measured torque or power, [-]

    Validity
    --------
    Air pressure from 50 to 110 kPa, temperature from -40 to 60 degC.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> correction_factor(standard="sae_j1349", dry_pressure=99000, air_temperature=25)
    1.0

    References
    ----------
    .. [1] See the function of each standard.
    """
    choice(tuple(STANDARDS), standard=standard)
    return STANDARDS[standard](dry_pressure=dry_pressure, air_temperature=air_temperature)


def convert_correction(*, torque, from_standard, to_standard, dry_pressure, air_temperature):
    """Torque or power corrected by one standard, as another would have it.

    Formula
    -------
    warmth = (air_temperature + 273) / 298
    correction_from = 1.180 * (99000 / dry_pressure) * sqrt(warmth) - 0.180, where from_standard is sae_j1349
    correction_from = 101300 / dry_pressure * sqrt(warmth * 298 / 288.7), where from_standard is sae_j607
    correction_from = 101300 / dry_pressure * sqrt(warmth * 298 / 293), where from_standard is din_70020
    correction_from = (99000 / dry_pressure)**1.2 * warmth**0.6, where from_standard is iso_1585_spark
    correction_from = 1, where from_standard is none
    correction_to = 1.180 * (99000 / dry_pressure) * sqrt(warmth) - 0.180, where to_standard is sae_j1349
    correction_to = 101300 / dry_pressure * sqrt(warmth * 298 / 288.7), where to_standard is sae_j607
    correction_to = 101300 / dry_pressure * sqrt(warmth * 298 / 293), where to_standard is din_70020
    correction_to = (99000 / dry_pressure)**1.2 * warmth**0.6, where to_standard is iso_1585_spark
    correction_to = 1, where to_standard is none
    converted = torque * correction_to / correction_from

    Parameters
    ----------
    torque : float or array
        Torque (or power) as printed, [N m]
    from_standard : str
        "sae_j1349", "sae_j607", "din_70020", "iso_1585_spark" or "none", [-]
    to_standard : str
        As from_standard, [-]
    dry_pressure : float or array
        Pressure of the dry air where it was measured, [Pa]
    air_temperature : float or array
        Temperature of the intake air, [degC]

    Returns
    -------
    converted : float or array
        Torque (or power) by to_standard, [N m]

    Validity
    --------
    Air pressure from 50 to 110 kPa, temperature from -40 to 60 degC.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(convert_correction(torque=416, from_standard="sae_j607", to_standard="sae_j1349",
    ...                          dry_pressure=99000, air_temperature=25))
    400

    References
    ----------
    .. [1] Both factors scale the same measured torque; no source needed.
    """
    (t,) = not_negative(torque=torque)
    choice(tuple(STANDARDS), from_standard=from_standard, to_standard=to_standard)
    air = dict(dry_pressure=dry_pressure, air_temperature=air_temperature)
    return result(t * STANDARDS[to_standard](**air) / STANDARDS[from_standard](**air))
