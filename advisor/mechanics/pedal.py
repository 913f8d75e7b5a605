"""At the pedal: where it releases, room for a stop, over-stroke, work and least force."""

import numpy as np

from .checks import below, finite, not_negative, positive, refuse_where, result, share, within


def pedal_at_release(*, bearing_travel_needed, free_travel, overall_ratio, loss_share=0.0):
    """Pedal travel at which the clutch is cleanly released.

    Formula
    -------
    pedal_at_release = free_travel + bearing_travel_needed * overall_ratio / (1 - loss_share)

    Parameters
    ----------
    bearing_travel_needed : float or array
        Bearing travel at clean release, see `bearing_travel_needed`, [m]
    free_travel : float or array
        Pedal travel before the bearing moves, [m]
    overall_ratio : float or array
        Pedal travel over bearing travel, see `overall_ratio`, [-]
    loss_share : float or array
        Share of the stroke lost to hose swell and flex, 0.05 to 0.15, [-]

    Returns
    -------
    pedal_at_release : float or array
        Pedal travel from rest, [m]

    Validity
    --------
    bearing_travel_needed and overall_ratio above zero; free_travel zero or above; 0 <= loss_share <= 0.9.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(pedal_at_release(bearing_travel_needed=6.2e-3, free_travel=0.012, overall_ratio=14.9) * 1000, 1)
    104.4

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, clutch chapter: pedal travel through lever arms and cylinder areas
       (structure seen in course reports, values from memory).
    """
    needed, ratio = positive(bearing_travel_needed=bearing_travel_needed, overall_ratio=overall_ratio)
    (free,) = not_negative(free_travel=free_travel)
    (lost,) = within(0, 0.9, loss_share=loss_share)
    return result(free + needed * ratio / (1 - lost))


def _pedal_limits(bearing_travel_needed, bearing_travel_max, pedal_travel, free_travel, overall_ratio, loss_share):
    """Pedal travel at clean release, and the farthest the pedal may go, after checking."""
    needed, most, floor, ratio = positive(bearing_travel_needed=bearing_travel_needed,
                                          bearing_travel_max=bearing_travel_max, pedal_travel=pedal_travel,
                                          overall_ratio=overall_ratio)
    (free,) = not_negative(free_travel=free_travel)
    (lost,) = within(0, 0.9, loss_share=loss_share)
    # Losses vary from day to day: they are counted where they hurt, not where they would help.
    return free + needed * ratio / (1 - lost), np.minimum(free + most * ratio, floor)


def pedal_stop_position(*, bearing_travel_needed, bearing_travel_max, pedal_travel, free_travel, overall_ratio, reserve,
                        loss_share=0.0):
    """Pedal travel at which a stop should stand: clean release and a reserve, never past the maker's maximum.

    Formula
    -------
    pedal_at_release = free_travel + bearing_travel_needed * overall_ratio / (1 - loss_share)
    farthest = min(free_travel + bearing_travel_max * overall_ratio, pedal_travel)
    pedal_stop_position = min(pedal_at_release + reserve, farthest)

    Parameters
    ----------
    bearing_travel_needed : float or array
        Bearing travel at clean release, see `bearing_travel_needed`, [m]
    bearing_travel_max : float or array
        Bearing travel the maker allows, [m]
    pedal_travel : float or array
        Pedal travel from rest to the floor or its own stop, [m]
    free_travel : float or array
        Pedal travel before the bearing moves, [m]
    overall_ratio : float or array
        Pedal travel over bearing travel, see `overall_ratio`, [-]
    reserve : float or array
        Pedal travel past clean release, usually 5 to 10 mm, [m]
    loss_share : float or array
        Share of the stroke lost to hose swell and flex, 0.05 to 0.15, [-]

    Returns
    -------
    pedal_stop_position : float or array
        Pedal travel from rest, [m]

    Validity
    --------
    All zero or above, ratio above zero, 0 <= loss_share <= 0.9. Clean release must lie within the maker's maximum and
    within the pedal's travel. The maximum is guarded as if no stroke were lost, the release as if loss_share were.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(pedal_stop_position(bearing_travel_needed=6.2e-3, bearing_travel_max=8e-3, pedal_travel=0.140,
    ...                           free_travel=0.012, overall_ratio=14.9, reserve=0.008) * 1000, 1)
    112.4

    References
    ----------
    Common practice, no source.
    """
    release, farthest = _pedal_limits(bearing_travel_needed, bearing_travel_max, pedal_travel, free_travel,
                                      overall_ratio, loss_share)
    (spare,) = not_negative(reserve=reserve)
    (floor,) = finite(pedal_travel=pedal_travel)
    refuse_where(release > floor, "pedal_travel", "ends before clean release, no stop can be set", floor)
    refuse_where(release > farthest, "bearing_travel_max", "is passed before clean release, no stop can be set",
                 bearing_travel_max)
    return result(np.minimum(release + spare, farthest))


def pedal_stop_room(*, bearing_travel_needed, bearing_travel_max, pedal_travel, free_travel, overall_ratio,
                    loss_share=0.0):
    """Pedal travel between clean release and the farthest a stop may stand.

    Formula
    -------
    pedal_at_release = free_travel + bearing_travel_needed * overall_ratio / (1 - loss_share)
    pedal_stop_room = min(free_travel + bearing_travel_max * overall_ratio, pedal_travel) - pedal_at_release

    Parameters
    ----------
    bearing_travel_needed : float or array
        Bearing travel at clean release, see `bearing_travel_needed`, [m]
    bearing_travel_max : float or array
        Bearing travel the maker allows, [m]
    pedal_travel : float or array
        Pedal travel from rest to the floor or its own stop, [m]
    free_travel : float or array
        Pedal travel before the bearing moves, [m]
    overall_ratio : float or array
        Pedal travel over bearing travel, see `overall_ratio`, [-]
    loss_share : float or array
        Share of the stroke lost to hose swell and flex, 0.05 to 0.15, [-]

    Returns
    -------
    pedal_stop_room : float or array
        Room; below zero no stop can be set, [m]

    Validity
    --------
    As `pedal_stop_position`, but never refused for lack of room: this is the figure to set a limit on.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(pedal_stop_room(bearing_travel_needed=6.2e-3, bearing_travel_max=8e-3, pedal_travel=0.140,
    ...                       free_travel=0.012, overall_ratio=14.9) * 1000, 1)
    26.8

    References
    ----------
    Common practice, no source.
    """
    release, farthest = _pedal_limits(bearing_travel_needed, bearing_travel_max, pedal_travel, free_travel,
                                      overall_ratio, loss_share)
    return result(farthest - release)


def overstroke(*, bearing_travel, bearing_travel_max):
    """Travel by which the pedal can push the bearing past the maker's maximum.

    Formula
    -------
    overstroke = max(0, bearing_travel - bearing_travel_max)

    Parameters
    ----------
    bearing_travel : float or array
        Travel available at the bearing with no losses, see `release.bearing_travel`, [m]
    bearing_travel_max : float or array
        Bearing travel the maker allows, [m]

    Returns
    -------
    overstroke : float or array
        Over-stroke, zero where none; above zero a pedal stop is needed, [m]

    Validity
    --------
    bearing_travel zero or above; bearing_travel_max above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(overstroke(bearing_travel=9.2e-3, bearing_travel_max=8e-3) * 1000, 2)
    1.2

    References
    ----------
    Common practice, no source.
    """
    (available,) = not_negative(bearing_travel=bearing_travel)
    (most,) = positive(bearing_travel_max=bearing_travel_max)
    return result(np.maximum(0.0, available - most))


def release_work(*, bearing_load, bearing_travel_needed):
    """Work of one release at the bearing.

    Formula
    -------
    release_work = bearing_load * bearing_travel_needed

    Parameters
    ----------
    bearing_load : float or array
        Load at the release bearing, [N]
    bearing_travel_needed : float or array
        Bearing travel at clean release, [m]

    Returns
    -------
    release_work : float or array
        Work; factory clutches ask 8 to 17 J, [J]

    Validity
    --------
    Both above zero; the load is taken as constant.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(release_work(bearing_load=1600, bearing_travel_needed=7.5e-3), 1)
    12.0

    References
    ----------
    Force times distance; the range is common practice, no source.
    """
    load, travel = positive(bearing_load=bearing_load, bearing_travel_needed=bearing_travel_needed)
    return result(load * travel)


def least_pedal_force(*, release_work, efficiency, usable_pedal_travel, return_force=0.0):
    """Pedal force below which no choice of bores can go for a given release work.

    Formula
    -------
    least_pedal_force = release_work / (efficiency * usable_pedal_travel) + return_force

    Parameters
    ----------
    release_work : float or array
        Work at the bearing, see `release_work`, [J]
    efficiency : float or array
        Share of the work that arrives, 0.85 for a healthy hydraulic system, [-]
    usable_pedal_travel : float or array
        Pedal travel less free travel and reserve, [m]
    return_force : float or array
        Force of the pedal's return spring, about 15 N, [N]

    Returns
    -------
    least_pedal_force : float or array
        Force on the pedal pad, [N]

    Validity
    --------
    release_work and usable_pedal_travel above zero; 0 < efficiency <= 1; return_force zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(least_pedal_force(release_work=12, efficiency=0.85, usable_pedal_travel=0.12, return_force=15))
    133

    References
    ----------
    Energy balance of the release; efficiency from memory.
    """
    work, travel = positive(release_work=release_work, usable_pedal_travel=usable_pedal_travel)
    (efficient,) = share(efficiency=efficiency)
    (spring,) = not_negative(return_force=return_force)
    return result(work / (efficient * travel) + spring)


def centrifugal_finger_load(*, finger_mass, gravity_radius, plane_offset, pivot_radius, finger_radius, speed):
    """Load at the finger tips by fingers thrown outward once they stand past the pivot plane.

    Formula
    -------
    finger_load = finger_mass * speed**2 * gravity_radius * plane_offset / (pivot_radius - finger_radius)

    Parameters
    ----------
    finger_mass : float or array
        Mass of all fingers together, [kg]
    gravity_radius : float or array
        Radius of the fingers' centre of gravity, [m]
    plane_offset : float or array
        Distance of that centre past the pivot plane; negative before it, [m]
    pivot_radius : float or array
        Radius of the pivot, [m]
    finger_radius : float or array
        Radius of the finger tips, [m]
    speed : float or array
        Engine speed, [rad/s]

    Returns
    -------
    finger_load : float or array
        Load at the tips; above zero it holds the clutch released, [N]

    Validity
    --------
    Masses and radii above zero, finger_radius below pivot_radius, speed zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    4 mm past the plane at 8000 rpm, half of an ordinary bearing load:

    >>> round(centrifugal_finger_load(finger_mass=0.35, gravity_radius=0.055, plane_offset=0.004, pivot_radius=0.0935,
    ...                               finger_radius=0.026, speed=837.758))
    801

    References
    ----------
    Moment balance about the pivot; the figures of the example are common practice, no source.
    """
    mass, gravity, pivot, tip = positive(finger_mass=finger_mass, gravity_radius=gravity_radius,
                                         pivot_radius=pivot_radius, finger_radius=finger_radius)
    below("pivot_radius", pivot, finger_radius=tip)
    (offset,) = finite(plane_offset=plane_offset)
    (turning,) = not_negative(speed=speed)
    return result(mass * turning**2 * gravity * offset / (pivot - tip))
