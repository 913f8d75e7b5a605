"""Start from rest on the road: what the engine gives at that speed, and the torque a start is reckoned with."""

import numpy as np

from .checks import not_negative, positive, result, within


def engine_torque_at_start(*, peak_torque, factory_torque, torque_share, gain_share, air_share):
    """Torque an engine gives at the speed of a start, full throttle, before boost has built up.

    A naturally breathing engine, or one with a blower, has its share of whatever peak it makes. What a tune adds to
    a turbocharged one comes with boost, above the speed of a start, so little of it is there.

    Formula
    -------
    tuned = factory_torque + gain_share * max(peak_torque - factory_torque, 0)
    engine_torque = torque_share * min(peak_torque, tuned) * air_share

    Parameters
    ----------
    peak_torque : float or array
        Peak torque of the engine as it is, [N m]
    factory_torque : float or array
        Peak torque as it left the factory; peak_torque where nobody knows, [N m]
    torque_share : float or array
        Torque at the speed of the start over peak torque, [-]
    gain_share : float or array
        Share of what tuning added that is there at that speed, [-]
    air_share : float or array
        Torque left at the height of the start, see `engine.altitude_factor`, [-]

    Returns
    -------
    engine_torque : float or array
        Torque, [N m]

    Validity
    --------
    Torques above zero; torque_share and air_share above 0, at most 1.1; gain_share from 0 to 1.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A small turbocharged engine with its trailer, at the sea and at 1000 m:

    >>> [round(engine_torque_at_start(peak_torque=145, factory_torque=145, torque_share=0.6, gain_share=0.33,
    ...                               air_share=air)) for air in (1, 0.897)]
    [87, 78]

    References
    ----------
    .. [1] Full-load curve of a boosted 3.0 litre six in a vehicle-simulation tutorial: 0.68 of its peak at 1000 rpm,
       0.86 at 2020; a magazine's test has a turbocharged engine take three seconds at 1800 rpm to its rated torque.
       Shares for other engines are judgement.
    """
    peak, factory = positive(peak_torque=peak_torque, factory_torque=factory_torque)
    part, air = positive(torque_share=torque_share, air_share=air_share)
    within(0, 1.1, torque_share=part, air_share=air)
    (gain,) = within(0, 1, gain_share=gain_share)
    tuned = factory + gain * np.maximum(peak - factory, 0)
    return result(part * np.minimum(peak, tuned) * air)


def start_torque(*, wanted_torque, engine_torque, load_torque, reserve):
    """Clutch torque with which the heat of a start is reckoned: what the driver wants, at most what the engine has.

    An engine that hardly beats the load would slip its clutch for ever, and torque over torque less load would be a
    division by nearly nothing. Below `reserve` times the load the heat is therefore reckoned as at that reserve. It
    is then the least such a start would cost, if it succeeds at all, and whoever shows it has to say so. The heat so
    reckoned is unbroken, and never falls as load grows or the engine weakens.

    Formula
    -------
    start_torque = max(min(wanted_torque, engine_torque), reserve * load_torque)

    Parameters
    ----------
    wanted_torque : float or array
        Torque a driver would bring, [N m]
    engine_torque : float or array
        Torque the engine gives at the speed of the start, see `engine_torque_at_start`, [N m]
    load_torque : float or array
        Load torque at the clutch, see `engagement.load_torque`, [N m]
    reserve : float or array
        Least torque over load that a start may be reckoned with, 1.25, [-]

    Returns
    -------
    start_torque : float or array
        Torque, above load_torque, [N m]

    Validity
    --------
    Torques above zero, load_torque zero or above, reserve from 1.01 to 3.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A driver who wants 147 N m, an engine that has 87, hills that ask 67 and 80:

    >>> start_torque(wanted_torque=147, engine_torque=87, load_torque=67, reserve=1.25)
    87.0
    >>> start_torque(wanted_torque=147, engine_torque=87, load_torque=80, reserve=1.25)
    100.0

    References
    ----------
    .. [1] Heat over that on the flat is torque over torque less load: 5 at a reserve of 1.25, 11 at 1.10; where to
       stop is judgement.
    """
    wanted, engine = positive(wanted_torque=wanted_torque, engine_torque=engine_torque)
    (load,) = not_negative(load_torque=load_torque)
    (least,) = within(1.01, 3, reserve=reserve)
    return result(np.maximum(np.minimum(wanted, engine), least * load))
