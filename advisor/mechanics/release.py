"""Release system: ratios, pedal force, the stroke from pedal to plate lift, bearing gap.

Further: `hydraulics` (areas, line pressure), `pedal` (stop room, over-stroke,
work), `release_bearing` (room for wear and stroke by kind of bearing),
`take_up` (pedal travel to move off with).
"""

from .checks import finite, not_negative, positive, refuse_where, result, share, whole, within
from .pedal import pedal_stop_position
from .take_up import clamp_travel, take_up_window

__all__ = ["bearing_gap", "bearing_travel", "bearing_travel_needed", "clamp_travel", "lift_needed", "overall_ratio",
           "pedal_force", "pedal_stop_position", "take_up_window", "wear_room"]


def overall_ratio(*, pedal_ratio, hydraulic_ratio=1.0, fork_ratio=1.0):
    """Pedal travel over bearing travel.

    Formula
    -------
    overall_ratio = pedal_ratio * hydraulic_ratio * fork_ratio

    Parameters
    ----------
    pedal_ratio : float or array
        Pedal arm over push-rod arm; usually 4.5 to 6.5 hydraulic, 5 to 7 cable, [-]
    hydraulic_ratio : float or array
        Slave area over master area, see `hydraulics.hydraulic_ratio`; 1 for a cable, [-]
    fork_ratio : float or array
        Fork's outer over inner arm, usually 1.3 to 2.2; 1 for a concentric cylinder, [-]

    Returns
    -------
    overall_ratio : float or array
        Ratio, [-]

    Validity
    --------
    All above zero.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(overall_ratio(pedal_ratio=5.5, hydraulic_ratio=(20.64 / 15.87)**2, fork_ratio=1.6), 2)
    14.88

    References
    ----------
    .. [1] Lever and cylinder ratios, elementary statics.
    """
    pedal, hydraulic, fork = positive(pedal_ratio=pedal_ratio, hydraulic_ratio=hydraulic_ratio, fork_ratio=fork_ratio)
    return result(pedal * hydraulic * fork)


def pedal_force(*, bearing_load, overall_ratio, efficiency, return_force=0.0):
    """Force at the pedal that holds a bearing load.

    Formula
    -------
    pedal_force = bearing_load / (overall_ratio * efficiency) + return_force

    Parameters
    ----------
    bearing_load : float or array
        Load at the release bearing, [N]
    overall_ratio : float or array
        Pedal travel over bearing travel, see `overall_ratio`, [-]
    efficiency : float or array
        Share of the work that arrives: 0.80 to 0.90 hydraulic, 0.70 to 0.80 cable or linkage, [-]
    return_force : float or array
        Force of the pedal's return spring, about 15 N, [N]

    Returns
    -------
    pedal_force : float or array
        Force on the pedal pad, [N]

    Validity
    --------
    bearing_load and return_force zero or above; overall_ratio above zero; 0 < efficiency <= 1.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(pedal_force(bearing_load=1600, overall_ratio=14.88, efficiency=0.85))
    127

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, clutch chapter (efficiencies, from memory).
    """
    load, spring = not_negative(bearing_load=bearing_load, return_force=return_force)
    (ratio,) = positive(overall_ratio=overall_ratio)
    (efficient,) = share(efficiency=efficiency)
    return result(load / (ratio * efficient) + spring)


def bearing_travel(*, pedal_travel, free_travel, overall_ratio, loss_share=0.0):
    """Travel of the release bearing that the pedal's stroke yields.

    Formula
    -------
    bearing_travel = (pedal_travel - free_travel) * (1 - loss_share) / overall_ratio

    Parameters
    ----------
    pedal_travel : float or array
        Pedal travel from rest to its stop, [m]
    free_travel : float or array
        Pedal travel before the bearing moves: free play and bearing gap, [m]
    overall_ratio : float or array
        Pedal travel over bearing travel, see `overall_ratio`, [-]
    loss_share : float or array
        Share of the stroke lost to hose swell and flex of pedal box and fork, 0.05 to 0.15, [-]

    Returns
    -------
    bearing_travel : float or array
        Travel available at the bearing, [m]

    Validity
    --------
    0 <= free_travel <= pedal_travel; overall_ratio above zero; 0 <= loss_share <= 0.9.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A concentric cylinder of 1075 mm2, 19.05 mm master, pedal 6:1, 135 mm of pedal:

    >>> round(bearing_travel(pedal_travel=0.135, free_travel=0, overall_ratio=22.63) * 1000, 1)
    6.0

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, clutch chapter: pedal travel through lever arms and cylinder areas
       (structure seen in course reports, values from memory).
    """
    stroke, free = not_negative(pedal_travel=pedal_travel, free_travel=free_travel)
    refuse_where(free > stroke, "free_travel", "must not be above pedal_travel", free)
    (ratio,) = positive(overall_ratio=overall_ratio)
    (lost,) = within(0, 0.9, loss_share=loss_share)
    return result((stroke - free) * (1 - lost) / ratio)


def lift_needed(*, discs, gap, cushion_travel, run_out=0.0):
    """Lift of the pressure plate at which every disc runs free.

    Formula
    -------
    lift_needed = 2 * discs * gap + discs * cushion_travel + run_out

    Parameters
    ----------
    discs : int or array
        Number of discs, [-]
    gap : float or array
        Running gap at each friction face: 0.3 to 0.5 mm single, 0.20 to 0.40 mm packs, [m]
    cushion_travel : float or array
        Free height of one disc less its height under clamp, zero without cushion, [m]
    run_out : float or array
        Allowance for run-out and warp of all discs together, [m]

    Returns
    -------
    lift_needed : float or array
        Plate lift, [m]

    Validity
    --------
    discs a whole number from 1 to 4; gap above zero; cushion_travel and run_out zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A twin with 0.30 mm gaps and 0.8 mm cushions:

    >>> round(lift_needed(discs=2, gap=0.30e-3, cushion_travel=0.8e-3) * 1000, 2)
    2.8

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, clutch chapter (gaps, from memory); packs: common practice, no source.
    """
    (plates,) = whole(1, 4, discs=discs)
    (clearance,) = positive(gap=gap)
    cushion, warp = not_negative(cushion_travel=cushion_travel, run_out=run_out)
    return result(2 * plates * clearance + plates * cushion + warp)


def bearing_travel_needed(*, lift, release_ratio, finger_bend, cover_flex=0.0):
    """Bearing travel that a plate lift asks for.

    Formula
    -------
    bearing_travel_needed = lift * release_ratio + finger_bend + cover_flex

    Parameters
    ----------
    lift : float or array
        Plate lift, see `lift_needed`, [m]
    release_ratio : float or array
        Bearing travel over plate lift of rigid fingers, [-]
    finger_bend : float or array
        Travel lost in bending fingers, see `disc_spring.finger_bending`, [m]
    cover_flex : float or array
        Travel lost in the cover, usually 0.2 to 0.5 mm, [m]

    Returns
    -------
    bearing_travel_needed : float or array
        Travel at the bearing, [m]

    Validity
    --------
    lift and release_ratio above zero; the others zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(bearing_travel_needed(lift=1.5e-3, release_ratio=3.293, finger_bend=1.12e-3) * 1000, 2)
    6.06

    References
    ----------
    .. [1] Wang Wangyu, Automobile Design, clutch chapter: pedal travel through lever arms and cylinder areas
       (structure seen in course reports, values from memory).
    """
    height, ratio = positive(lift=lift, release_ratio=release_ratio)
    bend, flex = not_negative(finger_bend=finger_bend, cover_flex=cover_flex)
    return result(height * ratio + bend + flex)


def bearing_gap(*, housing_to_bearing, block_to_fingers, spacer_thickness=0.0):
    """Gap between a bearing bolted to the gearbox and the diaphragm fingers.

    Formula
    -------
    bearing_gap = housing_to_bearing + spacer_thickness - block_to_fingers

    Parameters
    ----------
    housing_to_bearing : float or array
        Depth from the bellhousing's engine face to the bearing face, piston fully back, [m]
    block_to_fingers : float or array
        Height of the finger tips over the block face, clutch bolted up; negative if below it, [m]
    spacer_thickness : float or array
        Gasket or mid-plate between block and bellhousing, [m]

    Returns
    -------
    bearing_gap : float or array
        Gap; negative means the bearing would press on the fingers, [m]

    Validity
    --------
    Finite numbers; spacer_thickness zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    >>> round(bearing_gap(housing_to_bearing=52.0e-3, block_to_fingers=49.5e-3, spacer_thickness=0.8e-3) * 1000, 2)
    3.3

    References
    ----------
    Measuring scheme of fitting sheets: common practice, no source.
    """
    depth, height = finite(housing_to_bearing=housing_to_bearing, block_to_fingers=block_to_fingers)
    (spacer,) = not_negative(spacer_thickness=spacer_thickness)
    return result(depth + spacer - height)


def wear_room(*, free_distance, release_ratio, heat_growth=0.0):
    """Facing wear, all faces together, that a free distance at the bearing swallows.

    Formula
    -------
    wear_room = (free_distance - heat_growth) / release_ratio

    Parameters
    ----------
    free_distance : float or array
        Distance the fingers may still move with wear before they are held: gap (fixed), travel still retractable
        (sprung), free play at the bearing (conventional). Push fingers move to the gearbox with wear, pull fingers to
        the engine, [m]
    release_ratio : float or array
        Bearing travel over plate lift, [-]
    heat_growth : float or array
        Distance kept for growth by heat, 0.5 to 1 mm, [m]

    Returns
    -------
    wear_room : float or array
        Wear that can be taken up; zero or less means none, [m]

    Validity
    --------
    free_distance finite; release_ratio above zero; heat_growth zero or above.

    Raises
    ------
    MechanicsError
        Names the argument outside the validity.

    Examples
    --------
    A fixed gap of 4 mm covers about 1 mm of wear:

    >>> round(wear_room(free_distance=4e-3, release_ratio=3.3, heat_growth=0.7e-3) * 1000, 2)
    1.0

    References
    ----------
    Lever geometry; the allowance is common practice, no source.
    """
    (distance,) = finite(free_distance=free_distance)
    (ratio,) = positive(release_ratio=release_ratio)
    (growth,) = not_negative(heat_growth=heat_growth)
    return result((distance - growth) / ratio)
