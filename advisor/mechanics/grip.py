"""Tyre grip: the torque at the clutch at which the driven wheels spin."""

import numpy as np

from .checks import choice, positive, refuse_where, result, share, within


def driven_axle_load(*, mass, weight_on_driven, wheelbase, cg_height, tyre_friction, driven_axle, gravity=9.80665):
    """Load on the driven axle at the grip limit, weight transfer included.

    Formula
    -------
    transfer = tyre_friction * cg_height / wheelbase
    axle_load = min(weight_on_driven / (1 - transfer), 1) * mass * gravity, where driven_axle is rear
    axle_load = weight_on_driven / (1 + transfer) * mass * gravity, where driven_axle is front
    axle_load = mass * gravity, where driven_axle is all

    Parameters
    ----------
    mass : float or array
        Mass of the vehicle, [kg]
    weight_on_driven : float or array
        Share of the weight on the driven axle at rest; not read for "all", [-]
    wheelbase : float or array
        Wheelbase, [m]
    cg_height : float or array
        Height of the centre of gravity, [m]
    tyre_friction : float or array
        Friction of tyre on road: economy or summer 0.9, sport 1.1, semi-slick 1.3 to 1.5, drag slick 1.8 to 2.5,
        [-]
    driven_axle : str
        "front", "rear" or "all", [-]
    gravity : float or array
        Acceleration of free fall, [m/s2]

    Returns
    -------
    axle_load : float or array
        Load on the driven axle, [N]

    Validity
    --------
    weight_on_driven above 0, at most 1; tyre friction up to 5; tyre_friction * cg_height below wheelbase. A rear
    axle carries at most the whole weight (front wheels in the air).

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(driven_axle_load(mass=1500, weight_on_driven=0.5, wheelbase=2.5, cg_height=0.5, tyre_friction=0.9,
    ...                        driven_axle="rear"))
    8969

    References
    ----------
    .. [1] Moments about the tyre contacts; the same form in university lecture slides on load transfer.
    """
    m, base, height, mu, g = positive(
        mass=mass, wheelbase=wheelbase, cg_height=cg_height, tyre_friction=tyre_friction, gravity=gravity
    )
    (part,) = share(weight_on_driven=weight_on_driven)
    within(0, 5, tyre_friction=tyre_friction)
    choice(("front", "rear", "all"), driven_axle=driven_axle)
    transfer = mu * height / base
    if driven_axle == "rear":
        refuse_where(transfer >= 1, "tyre_friction", "times cg_height must be below wheelbase", mu)
        on_axle = np.minimum(part / (1 - transfer), 1.0)
    elif driven_axle == "front":
        on_axle = part / (1 + transfer)
    else:
        on_axle = np.ones(np.broadcast_shapes(part.shape, transfer.shape))
    return result(on_axle * m * g)


def grip_limited_torque(
    *, mass, weight_on_driven, wheelbase, cg_height, tyre_friction, driven_axle, tyre_radius, total_ratio, efficiency,
    gravity=9.80665,
):
    """Torque at the clutch at which the driven tyres let go.

    For launch heat and shock only: never a reason to hold less than the engine gives.

    Formula
    -------
    transfer = tyre_friction * cg_height / wheelbase
    axle_load = min(weight_on_driven / (1 - transfer), 1) * mass * gravity, where driven_axle is rear
    axle_load = weight_on_driven / (1 + transfer) * mass * gravity, where driven_axle is front
    axle_load = mass * gravity, where driven_axle is all
    torque = tyre_friction * axle_load * tyre_radius / (total_ratio * efficiency)

    Parameters
    ----------
    mass : float or array
        Mass of the vehicle, [kg]
    weight_on_driven : float or array
        Share of the weight on the driven axle at rest; not read for "all", [-]
    wheelbase : float or array
        Wheelbase, [m]
    cg_height : float or array
        Height of the centre of gravity, [m]
    tyre_friction : float or array
        Friction of tyre on road: economy or summer 0.9, sport 1.1, semi-slick 1.3 to 1.5, drag slick 1.8 to 2.5,
        [-]
    driven_axle : str
        "front", "rear" or "all", [-]
    tyre_radius : float or array
        Rolling radius of the driven tyres, [m]
    total_ratio : float or array
        Gear ratio times final drive, [-]
    efficiency : float or array
        Efficiency from clutch to wheels, [-]
    gravity : float or array
        Acceleration of free fall, [m/s2]

    Returns
    -------
    torque : float or array
        Steady torque at the clutch when the tyres slip, [N m]

    Validity
    --------
    weight_on_driven above 0, at most 1; tyre friction up to 5; tyre_friction * cg_height below wheelbase. A rear
    axle carries at most the whole weight (front wheels in the air).

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(grip_limited_torque(mass=1500, weight_on_driven=0.5, wheelbase=2.5, cg_height=0.5, tyre_friction=0.9,
    ...                           driven_axle="rear", tyre_radius=0.31, total_ratio=3.5 * 4.1, efficiency=0.92))
    190

    References
    ----------
    .. [1] Moments about the tyre contacts; the same form in university lecture slides on load transfer.
    """
    load = driven_axle_load(
        mass=mass, weight_on_driven=weight_on_driven, wheelbase=wheelbase, cg_height=cg_height,
        tyre_friction=tyre_friction, driven_axle=driven_axle, gravity=gravity,
    )
    radius, ratio = positive(tyre_radius=tyre_radius, total_ratio=total_ratio)
    (eta,) = share(efficiency=efficiency)
    return result(np.asarray(tyre_friction, dtype=float) * load * radius / (ratio * eta))
