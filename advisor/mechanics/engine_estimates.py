"""Engine torque estimated from wheel figures, pressure and displacement, peak power or boost."""

import numpy as np

from .checks import not_negative, positive, refuse_where, result, share, whole, within


def flywheel_from_wheels(*, wheel_torque, loss_share):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def flywheel_power_from_wheels(*, wheel_power, tyre_power, load_efficiency, spin_power):
    """Flywheel power from wheel power, with fixed and load-dependent losses apart.

    Formula
    -------
    power = (wheel_power + tyre_power) / load_efficiency + spin_power

    Parameters
    ----------
    wheel_power : float or array
        Power on the roller, [W]
    tyre_power : float or array
        Power the tyres lose on the roller, [W]
    load_efficiency : float or array
        Efficiency of the loaded meshes: 0.96 to 0.98 a pair, hypoid 0.94 to 0.97, [-]
    spin_power : float or array
        Power lost without load, 2 to 6 kW at 100 km/h, [W]

    Returns
    -------
    power : float or array
        Power at the flywheel, [W]

    Validity
    --------
    Powers zero or above, efficiency above 0, at most 1.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(flywheel_power_from_wheels(wheel_power=200e3, tyre_power=8e3, load_efficiency=0.95, spin_power=4e3))
    222947

    References
    ----------
    .. [1] Form by the loss parts named in TRL report RR10; figures common practice, no source.
    """
    wheel, tyre, spin = not_negative(wheel_power=wheel_power, tyre_power=tyre_power, spin_power=spin_power)
    (eta,) = share(load_efficiency=load_efficiency)
    return result((wheel + tyre) / eta + spin)


def displacement_from_bore(*, bore, stroke, cylinders):
    """Displacement from bore, stroke and number of cylinders.

    Formula
    -------
    displacement = pi / 4 * bore**2 * stroke * cylinders

    Parameters
    ----------
    bore : float or array
        Bore, [m]
    stroke : float or array
        Stroke, [m]
    cylinders : int or array
        Number of cylinders, [-]

    Returns
    -------
    displacement : float or array
        Displacement, [m3]

    Validity
    --------
    Bore and stroke above zero; 1 to 16 cylinders.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(displacement_from_bore(bore=0.086, stroke=0.086, cylinders=4) * 1000, 3)
    1.998

    References
    ----------
    .. [1] Geometry; no source needed.
    """
    b, s = positive(bore=bore, stroke=stroke)
    (n,) = whole(1, 16, cylinders=cylinders)
    return result(np.pi / 4 * b**2 * s * n)


def torque_from_bmep(*, mean_pressure, displacement, strokes=4):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def peak_torque_from_power(*, power, power_speed, torque_rise):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def pressure_ratio(*, boost, air_pressure=101325.0):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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


def boosted_torque(*, natural_torque, pressure_ratio, temperature_ratio, charge_factor):
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

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

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
