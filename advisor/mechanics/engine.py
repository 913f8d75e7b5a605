"""Torque and power of the engine: with nitrous oxide, estimated from little, at height, corrected by standards."""

import numpy as np

from .argument_checks import Numbers, choice, not_negative, positive, refuse_where, result, share, whole, within


def torque_from_power(*, power: Numbers, speed: Numbers) -> Numbers:
    """Torque that belongs to a power at a speed.

    Formula
    -------
    torque = power / speed

    Parameters
    ----------
    power : float or array
        Power, [W]
    speed : float or array
        Engine speed, [rad/s]

    Returns
    -------
    torque : float or array
        Torque, [N m]

    Validity
    --------
    Power zero or above, speed above zero.

    Examples
    --------
    200 kW at 6000 rpm:

    >>> from math import pi
    >>> round(torque_from_power(power=200e3, speed=6000 * pi / 30), 1)
    318.3

    References
    ----------
    .. [1] Definition of power; no source needed.
    """
    (p,) = not_negative(power=power)
    (w,) = positive(speed=speed)
    return result(p / w)


def power_from_torque(*, torque: Numbers, speed: Numbers) -> Numbers:
    """Power that belongs to a torque at a speed.

    Formula
    -------
    power = torque * speed

    Parameters
    ----------
    torque : float or array
        Torque, [N m]
    speed : float or array
        Engine speed, [rad/s]

    Returns
    -------
    power : float or array
        Power, [W]

    Validity
    --------
    Both zero or above.

    Examples
    --------
    >>> power_from_torque(torque=300, speed=500)
    150000.0

    References
    ----------
    .. [1] Definition of power; no source needed.
    """
    t, w = not_negative(torque=torque, speed=speed)
    return result(t * w)


def nitrous_torque(*, power: Numbers, speed: Numbers) -> Numbers:
    """Torque that a fixed power of nitrous oxide adds at a speed.

    Formula
    -------
    torque = power / speed

    Parameters
    ----------
    power : float or array
        Power added, [W]
    speed : float or array
        Engine speed, [rad/s]

    Returns
    -------
    torque : float or array
        Torque added: the lower the speed, the more, [N m]

    Validity
    --------
    Power zero or above, speed above zero.

    Examples
    --------
    >>> from math import pi
    >>> round(nitrous_torque(power=75e3, speed=2500 * pi / 30))
    286

    References
    ----------
    .. [1] Definition of power; no source needed.
    """
    (p,) = not_negative(power=power)
    (w,) = positive(speed=speed)
    return result(p / w)


def torque_with_nitrous(*, torque: Numbers, nitrous_power: Numbers, nitrous_speed: Numbers) -> Numbers:
    """Torque of the engine and of nitrous oxide together at the speed where it sets in.

    Formula
    -------
    total = torque + nitrous_power / nitrous_speed

    Parameters
    ----------
    torque : float or array
        Torque of the engine at that speed; its peak is the careful choice, [N m]
    nitrous_power : float or array
        Power added, [W]
    nitrous_speed : float or array
        Lowest speed at which it is on, [rad/s]

    Returns
    -------
    total : float or array
        Torque with nitrous oxide, [N m]

    Validity
    --------
    Torque and power zero or above, speed above zero.

    Examples
    --------
    >>> torque_with_nitrous(torque=300, nitrous_power=75e3, nitrous_speed=300)
    550.0

    References
    ----------
    .. [1] Definition of power; no source needed.
    """
    t, p = not_negative(torque=torque, nitrous_power=nitrous_power)
    (w,) = positive(nitrous_speed=nitrous_speed)
    return result(t + p / w)


def flywheel_from_wheels(*, wheel_torque: Numbers, loss_share: Numbers) -> Numbers:
    """Flywheel torque read back from a torque measured at the wheels.

    The wheel torque is the one already divided by the total ratio, as a dynamometer sheet shows it. The same holds
    for power.

    Formula
    -------
    torque = wheel_torque / (1 - loss_share)

    Parameters
    ----------
    wheel_torque : float or array
        Torque (or power) measured at the wheels, at engine speed, [N m]
    loss_share : float or array
        Share lost between flywheel and roller, [-]

    Returns
    -------
    torque : float or array
        Torque (or power) at the flywheel, [N m]

    Validity
    --------
    loss_share from 0 to 0.5. A fixed share holds near one load only.

    Examples
    --------
    >>> round(flywheel_from_wheels(wheel_torque=340, loss_share=0.15), 6)
    400.0

    References
    ----------
    .. [1] Common practice, no source: front drive 0.08 to 0.15, rear 0.12 to 0.18, all-wheel 0.15 to 0.25 on a
       chassis dynamometer, tyres included.
    """
    (measured,) = not_negative(wheel_torque=wheel_torque)
    (loss,) = within(0, 0.5, loss_share=loss_share)
    return result(measured / (1 - loss))


def flywheel_power_from_wheels(*, wheel_power: Numbers, loss_share: Numbers) -> Numbers:
    """Flywheel power read back from a power measured at the wheels.

    Formula
    -------
    power = wheel_power / (1 - loss_share)

    Parameters
    ----------
    wheel_power : float or array
        Power measured at the wheels, [W]
    loss_share : float or array
        Share lost between flywheel and roller, [-]

    Returns
    -------
    power : float or array
        Power at the flywheel, [W]

    Validity
    --------
    loss_share from 0 to 0.5. A fixed share holds near one load only.

    Examples
    --------
    >>> round(flywheel_power_from_wheels(wheel_power=170_000, loss_share=0.15), 6)
    200000.0

    References
    ----------
    .. [1] Common practice, no source: front drive 0.08 to 0.15, rear 0.12 to 0.18, all-wheel 0.15 to 0.25 on a
       chassis dynamometer, tyres included.
    """
    (measured,) = not_negative(wheel_power=wheel_power)
    (loss,) = within(0, 0.5, loss_share=loss_share)
    return result(measured / (1 - loss))


def torque_from_bmep(*, mean_pressure: Numbers, displacement: Numbers, strokes: Numbers = 4) -> Numbers:
    """Torque from brake mean effective pressure and displacement.

    Formula
    -------
    torque = mean_pressure * displacement * 2 / (strokes * 2 * pi)

    Parameters
    ----------
    mean_pressure : float or array
        Brake mean effective pressure; natural petrol 0.85 to 1.05e6, [Pa]
    displacement : float or array
        Displacement, [m3]
    strokes : int or array
        Four-stroke 4, two-stroke or a rotary treated as one 2, [-]

    Returns
    -------
    torque : float or array
        Torque, [N m]

    Validity
    --------
    Pressure and displacement above zero; strokes 2 or 4.

    Examples
    --------
    >>> round(torque_from_bmep(mean_pressure=10.5e5, displacement=2.0e-3))
    167

    References
    ----------
    .. [1] An engineering encyclopaedia, entry on brake mean effective pressure (850 to 1050 kPa without boost).
    """
    pressure, volume = positive(mean_pressure=mean_pressure, displacement=displacement)
    (number,) = whole(2, 4, strokes=strokes)
    refuse_where(number == 3, "strokes", "must be 2 or 4", number)
    return result(pressure * volume / (np.pi * number))


def peak_torque_from_power(*, power: Numbers, power_speed: Numbers, torque_rise: Numbers) -> Numbers:
    """Peak torque guessed from peak power and its speed.

    Formula
    -------
    torque = torque_rise * power / power_speed

    Parameters
    ----------
    power : float or array
        Peak power, [W]
    power_speed : float or array
        Speed of peak power, [rad/s]
    torque_rise : float or array
        Peak torque over torque at peak power: 1.1 natural, 1.2 boosted, [-]

    Returns
    -------
    torque : float or array
        Peak torque, [N m]

    Validity
    --------
    torque_rise from 1 to 2.

    Examples
    --------
    >>> from math import pi
    >>> round(peak_torque_from_power(power=200e3, power_speed=6000 * pi / 30, torque_rise=1.1), 1)
    350.1

    References
    ----------
    .. [1] Rises are judgement, common practice, no source.
    """
    p, w = positive(power=power, power_speed=power_speed)
    (rise,) = within(1, 2, torque_rise=torque_rise)
    return result(rise * p / w)


def pressure_ratio(*, boost: Numbers, air_pressure: Numbers = 101325.0) -> Numbers:
    """Absolute manifold pressure over the pressure of the air.

    Formula
    -------
    ratio = (air_pressure + boost) / air_pressure

    Parameters
    ----------
    boost : float or array
        Boost as a gauge shows it, over the air, [Pa]
    air_pressure : float or array
        Pressure of the air, [Pa]

    Returns
    -------
    ratio : float or array
        Pressure ratio, [-]

    Validity
    --------
    Boost zero or above.

    Examples
    --------
    >>> round(pressure_ratio(boost=100e3), 3)
    1.987

    References
    ----------
    .. [1] Definition; standard atmosphere of ISO 2533 as default.
    """
    (gauge,) = not_negative(boost=boost)
    (air,) = positive(air_pressure=air_pressure)
    return result((air + gauge) / air)


def boosted_torque(
    *, natural_torque: Numbers, pressure_ratio: Numbers, temperature_ratio: Numbers, charge_factor: Numbers
) -> Numbers:
    """Torque of a naturally aspirated engine once it is boosted.

    Formula
    -------
    torque = natural_torque * pressure_ratio * temperature_ratio * charge_factor

    Parameters
    ----------
    natural_torque : float or array
        Torque without boost, [N m]
    pressure_ratio : float or array
        Absolute manifold pressure over that of the air, see `pressure_ratio`, [-]
    temperature_ratio : float or array
        Absolute air temperature over that in the manifold, 1 with perfect cooling, [-]
    charge_factor : float or array
        What drive, exhaust and mixture cost, 0.85 to 0.95, [-]

    Returns
    -------
    torque : float or array
        Torque with boost, [N m]

    Validity
    --------
    pressure_ratio from 1 to 5; temperature_ratio and charge_factor above 0, at most 1.

    Examples
    --------
    About 6 % for every psi:

    >>> round(boosted_torque(natural_torque=200, pressure_ratio=1.5, temperature_ratio=0.97, charge_factor=0.9))
    262

    References
    ----------
    .. [1] Common practice, no source.
    """
    (torque,) = positive(natural_torque=natural_torque)
    (ratio,) = within(1, 5, pressure_ratio=pressure_ratio)
    cooling, charge = share(temperature_ratio=temperature_ratio, charge_factor=charge_factor)
    return result(torque * ratio * cooling * charge)


# The standard atmosphere of ISO 2533.
SEA_TEMPERATURE = 288.15  # K
LAPSE = 0.0065  # K/m
EXPONENT = 5.256  # gravity over gas constant and lapse rate


def altitude_factor(*, altitude: Numbers) -> Numbers:
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


def sea_level_torque(*, torque: Numbers, altitude_factor: Numbers) -> Numbers:
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


PRESSURES = (50_000, 110_000)
TEMPERATURES = (-40, 60)


def correction_sae_j1349(*, dry_pressure: Numbers, air_temperature: Numbers) -> Numbers:
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


def correction_sae_j607(*, dry_pressure: Numbers, air_temperature: Numbers) -> Numbers:
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


def correction_din_70020(*, dry_pressure: Numbers, air_temperature: Numbers) -> Numbers:
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


def correction_iso_1585_spark(*, dry_pressure: Numbers, air_temperature: Numbers) -> Numbers:
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


def correction_iso_1585_diesel(
    *, dry_pressure: Numbers, air_temperature: Numbers, charging: str, engine_exponent: Numbers
) -> Numbers:
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


def _uncorrected(*, dry_pressure: Numbers, air_temperature: Numbers) -> Numbers:
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


def correction_factor(*, standard: str, dry_pressure: Numbers, air_temperature: Numbers) -> Numbers:
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
