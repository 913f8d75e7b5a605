"""Driveline behind the clutch: the peak on a dumped clutch and what caps it.

Tyre grip stands in `grip`, torsional vibration in `torsion`, the synchroniser in `synchroniser`; their names are
offered here too.
"""

import numpy as np

from .checks import not_negative, positive, result, within
from .grip import driven_axle_load, grip_limited_torque
from .synchroniser import (
    cone_torque,
    index_torque,
    sleeve_force_for_torque,
    synchroniser_energy,
    synchroniser_inertia,
    synchroniser_speed_difference,
    synchroniser_time,
    synchroniser_time_ratio,
)
from .torsion import (
    damper_stop_share,
    firing_frequency,
    resonance_speed,
    shuffle_frequency,
    stiffness_at_clutch,
    two_inertia_frequency,
)

__all__ = [
    "clutch_cap", "clutch_cap_share", "cone_torque", "damper_stop_share",
    "disc_speed_on_down_shift", "driven_axle_load", "firing_frequency", "gearbox_peak_torque", "grip_limited_torque",
    "index_torque", "peak_torque_on_dump", "resonance_speed", "shuffle_frequency", "sleeve_force_for_torque",
    "step_response_factor", "stiffness_at_clutch", "synchroniser_energy", "synchroniser_inertia",
    "synchroniser_speed_difference", "synchroniser_time", "synchroniser_time_ratio", "two_inertia_frequency",
]


def peak_torque_on_dump(*, engine_torque, speed_drop, stiffness, engine_inertia, vehicle_inertia):
    """Peak torque when the clutch is dumped and does not slip.

    Formula
    -------
    reduced = engine_inertia * vehicle_inertia / (engine_inertia + vehicle_inertia)
    peak = engine_torque + speed_drop * sqrt(stiffness * reduced)

    Parameters
    ----------
    engine_torque : float or array
        Torque of the engine meanwhile, [N m]
    speed_drop : float or array
        Engine less gearbox speed when the clutch bites, [rad/s]
    stiffness : float or array
        Torsional stiffness of the driveline at clutch speed; 30 soft shafts, 200 stiff, [N m/rad]
    engine_inertia : float or array
        Engine, flywheel and cover, [kg m2]
    vehicle_inertia : float or array
        Vehicle as an inertia at clutch speed, [kg m2]

    Returns
    -------
    peak : float or array
        Peak torque at the gearbox input, [N m]

    Validity
    --------
    No damping, no tyre slip: an upper bound that clutch and tyres cap, see `gearbox_peak_torque`.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    3000 rpm dropped on soft shafts:

    >>> from math import pi
    >>> round(peak_torque_on_dump(engine_torque=0, speed_drop=3000 * pi / 30, stiffness=30, engine_inertia=0.2,
    ...                           vehicle_inertia=0.74))
    683

    References
    ----------
    .. [1] Two inertias on a torsion spring; no source needed.
    """
    torque, drop = not_negative(engine_torque=engine_torque, speed_drop=speed_drop)
    k, first, second = positive(stiffness=stiffness, engine_inertia=engine_inertia, vehicle_inertia=vehicle_inertia)
    return result(torque + drop * np.sqrt(k * first * second / (first + second)))


def step_response_factor(*, near_inertia, far_inertia):
    """Peak shaft torque over clutch torque when the clutch bites at once, without damping.

    Formula
    -------
    factor = 2 * far_inertia / (near_inertia + far_inertia)

    Parameters
    ----------
    near_inertia : float or array
        Inertia between clutch and the springy shaft, [kg m2]
    far_inertia : float or array
        Inertia beyond it, the vehicle, [kg m2]

    Returns
    -------
    factor : float or array
        Up to 2; with damping and tyre slip 1.5 to 1.8, [-]

    Validity
    --------
    Inertias above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(step_response_factor(near_inertia=0.01, far_inertia=0.735), 2)
    1.97

    References
    ----------
    .. [1] Two inertias on a torsion spring; no source needed. Damped range common practice, no source.
    """
    near, far = positive(near_inertia=near_inertia, far_inertia=far_inertia)
    return result(2 * far / (near + far))


def clutch_cap(*, capacity, static_over_dynamic, shock_factor=1.0):
    """Peak torque a slipping clutch lets through to the gearbox.

    Formula
    -------
    cap = capacity * static_over_dynamic * shock_factor

    Parameters
    ----------
    capacity : float or array
        Torque capacity, new and bedded, [N m]
    static_over_dynamic : float or array
        Static over sliding friction: organic 1.10, metallic 1.15 to 1.20, [-]
    shock_factor : float or array
        Overshoot of the shafts: 1 at the clutch itself, 1.5 to 1.8 further down, [-]

    Returns
    -------
    cap : float or array
        Peak torque, [N m]

    Validity
    --------
    Capacity above zero; static_over_dynamic from 1 to 1.5; shock_factor from 1 to 2.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(clutch_cap(capacity=500, static_over_dynamic=1.1, shock_factor=1.8))
    990

    References
    ----------
    .. [1] M. J. Neale (ed.), The Tribology Handbook, table 7.4 (sintered metal 0.36 static, 0.30 sliding); shock
       factor common practice, no source.
    """
    (torque,) = positive(capacity=capacity)
    (grip,) = within(1, 1.5, static_over_dynamic=static_over_dynamic)
    (shock,) = within(1, 2, shock_factor=shock_factor)
    return result(torque * grip * shock)


def gearbox_peak_torque(*, clutch_cap, dump_peak, tyre_cap):
    """Peak torque at the gearbox input: the least of what clutch, shafts and tyres allow.

    Formula
    -------
    peak = min(clutch_cap, dump_peak, tyre_cap)

    Parameters
    ----------
    clutch_cap : float or array
        What the clutch lets through, see `clutch_cap`, [N m]
    dump_peak : float or array
        Peak without any slip, see `peak_torque_on_dump`, [N m]
    tyre_cap : float or array
        What the tyres let through, see `grip_limited_torque`, [N m]

    Returns
    -------
    peak : float or array
        Peak torque at the gearbox input, [N m]

    Validity
    --------
    All zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> gearbox_peak_torque(clutch_cap=990, dump_peak=683, tyre_cap=350)
    350.0

    References
    ----------
    .. [1] Common practice, no source.
    """
    clutch, spike, tyre = not_negative(clutch_cap=clutch_cap, dump_peak=dump_peak, tyre_cap=tyre_cap)
    return result(np.minimum(np.minimum(clutch, spike), tyre))


def clutch_cap_share(*, clutch_cap, dump_peak, tyre_cap):
    """Clutch cap over the lesser of the two other caps: under 1 the clutch is the fuse.

    Formula
    -------
    share = clutch_cap / min(dump_peak, tyre_cap)

    Parameters
    ----------
    clutch_cap : float or array
        What the clutch lets through, see `clutch_cap`, [N m]
    dump_peak : float or array
        Peak without any slip, see `peak_torque_on_dump`, [N m]
    tyre_cap : float or array
        What the tyres let through, see `grip_limited_torque`, [N m]

    Returns
    -------
    share : float or array
        Under 1 where the clutch is the least of the three, [-]

    Validity
    --------
    clutch_cap zero or above, the others above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> clutch_cap_share(clutch_cap=500, dump_peak=1000, tyre_cap=800)
    0.625

    References
    ----------
    .. [1] Common practice, no source.
    """
    (clutch,) = not_negative(clutch_cap=clutch_cap)
    spike, tyre = positive(dump_peak=dump_peak, tyre_cap=tyre_cap)
    return result(clutch / np.minimum(spike, tyre))


def disc_speed_on_down_shift(*, vehicle_speed, tyre_radius, gear_ratio, final_drive):
    """Speed the road gives the disc when a gear is engaged with the pedal down: the facings may be thrown off.

    Formula
    -------
    disc_speed = vehicle_speed / tyre_radius * gear_ratio * final_drive

    Parameters
    ----------
    vehicle_speed : float or array
        Speed of the vehicle, [m/s]
    tyre_radius : float or array
        Rolling radius of the driven tyres, [m]
    gear_ratio : float or array
        Ratio of the gear taken, [-]
    final_drive : float or array
        Final drive ratio, [-]

    Returns
    -------
    disc_speed : float or array
        Speed of the disc, with the engine not following, [rad/s]

    Validity
    --------
    Vehicle speed zero or above, the others above zero; no tyre slip.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    160 km/h into first, in rpm:

    >>> from math import pi
    >>> w = disc_speed_on_down_shift(vehicle_speed=160 / 3.6, tyre_radius=0.31, gear_ratio=3.5, final_drive=4.1)
    >>> round(w * 30 / pi, -1)
    19650.0

    References
    ----------
    .. [1] Gear kinematics; no source needed.
    """
    (v,) = not_negative(vehicle_speed=vehicle_speed)
    radius, gear, final = positive(tyre_radius=tyre_radius, gear_ratio=gear_ratio, final_drive=final_drive)
    return result(v / radius * gear * final)
